/**
 * Stations for all exits of a brief out of a library that grows: each exit's is gathered on a small site of its own, a
 * while at a time, and what has come by then is packed (`packing.ts`).
 */
import type { Brief, ExitDemand } from '../../brief/brief.js';
import type { GatherAlone } from './design-alone.js';
import { Packing, type Packed, type Passes } from './packing.js';
import { demandKey, headKey, headOf, mirrored, windowOf, type Head } from './station-heads.js';

/** How much more than the cheapest a station may cost in its own site, and how many are gathered for an exit. */
const ABOVE = 4;
const MOST_GATHERED = 30_000;
/** For each exit that others are not like, round by round. */
const ROUNDS: readonly number[] = [150, 150, 300, 400, 500, 500, 1_000, 1_000, 2_000, 2_000, 4_000];

/** Of exits that are alike. */
class Library {
  readonly heads = new Map<string, Head>();
  isWhole = false;
  private taken = 0;

  constructor(
    private readonly gather: ReturnType<GatherAlone>,
    private readonly mayMirror: boolean,
  ) {}

  /** Whether there is anything new. */
  async grow(milliseconds: number): Promise<boolean> {
    const { layouts, isWhole } = await this.gather(milliseconds);
    const before = this.heads.size;
    for (; this.taken < layouts.length; this.taken++) {
      const head = headOf(layouts[this.taken]);
      if (head === undefined) continue;
      // What was found itself takes the place of a mirror image.
      this.heads.set(headKey(head), head);
      const image = mirrored(head);
      if (this.mayMirror && !this.heads.has(headKey(image))) this.heads.set(headKey(image), image);
    }
    this.isWhole = isWhole;
    return this.heads.size > before;
  }
}

/**
 * `asked`: for each exit what stations are gathered for, its own target or more.
 * Packings that `passes` takes and that cost less than what there is `now`; undefined where there is a moment to look up.
 */
export async function* packings(
  brief: Brief,
  targets: readonly ExitDemand[],
  asked: readonly (readonly ExitDemand[])[],
  gatherAlone: GatherAlone,
  passes: Passes,
  now: () => { readonly price: number; readonly heads: readonly Head[] | undefined },
): AsyncGenerator<Packed | undefined, void> {
  const libraries = new Map<string, Library>();
  for (const exit of asked.flat()) {
    if (!libraries.has(demandKey(exit))) libraries.set(demandKey(exit), new Library(gatherAlone(windowOf(brief, exit), ABOVE, MOST_GATHERED), exit.target.left.equals(exit.target.right)));
  }
  const images = new Map<string, boolean>();
  for (const milliseconds of ROUNDS) {
    let grown = false;
    for (const library of libraries.values()) {
      if (library.isWhole) continue;
      if (await library.grow(milliseconds)) grown = true;
      yield undefined;
    }
    const heads = asked.map((own) => own.flatMap((exit) => [...(libraries.get(demandKey(exit))?.heads.values() ?? [])]));
    if (!grown || heads.some((own) => own.length === 0)) continue;
    const packing = new Packing(brief, targets, passes, images);
    packing.placeAll(heads);
    if (packing.isHopeless) continue;
    const { price, heads: standing } = now();
    yield* packing.run(price, standing);
    if ([...libraries.values()].every(({ isWhole }) => isWhole)) return;
  }
}
