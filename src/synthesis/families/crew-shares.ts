/**
 * How a family's crews are dealt out to the shares of its search. Where chests can stand in many ways, all crews with the
 * same chests belong to one share, so that each is put together once. But a few chests may take nearly all of the time:
 * crews with these, as where chests stand in few ways, are dealt out one by one. A crew that by itself takes much of the time
 * belongs to every share, each of which goes through a part of its networks. The shares of one crew's networks are in
 * `carriers/share.ts`; they begin alike, so that together they take longer than one would.
 */
import { WHOLE, type Share } from '../carriers/share.js';
import { chestsOf, isOfChests } from '../crews/crew-search.js';
import { crewKey, type Crew } from '../site/crew.js';

/** From so many ways of placing the chests on, these are dealt out. */
const FEWEST_CHEST_SETS = 500;
/** Steps of one share's search for the carriers of all crews with the same chests, or of one crew. */
const LONG_STEPS = 1_000;
/** And of one crew, the share of all steps. */
const LONG_SHARE = 1 / 4;

export const NONE_DIVIDED: ReadonlySet<string> = new Set();

export class CrewShares {
  private readonly steps = new Map<string, number>();
  private readonly stepsOfCrews = new Map<string, number>();
  private total = 0;
  private readonly byChests: boolean;

  /** `chestSets`: ways of placing the chests; `divided`: chests and crews, by name, that belong to all shares. Once divided, they must stay so. */
  constructor(
    private readonly share: Share,
    chestSets: number,
    private readonly divided: ReadonlySet<string>,
  ) {
    this.byChests = share.of > 1 && chestSets >= FEWEST_CHEST_SETS;
  }

  /** Whether any crew of a group may belong to this share. */
  mayHold(group: string): boolean {
    return !isOfChests(group) || !this.dealsOut(group) || this.isOwn(group);
  }

  /** Of a crew that may: the share of its networks; undefined where another one has it. */
  shareOf(crew: Crew): Share | undefined {
    if (this.share.of === 1 || this.dealsOut(chestsOf(crew))) return WHOLE;
    const name = crewKey(crew);
    if (this.divided.has(name)) return this.share;
    return this.isOwn(name) ? WHOLE : undefined;
  }

  /** Told how many steps a crew's networks took. */
  note(crew: Crew, steps: number): void {
    if (this.share.of === 1) return;
    this.total += steps;
    const chests = chestsOf(crew);
    if (this.dealsOut(chests)) this.steps.set(chests, (this.steps.get(chests) ?? 0) + steps);
    else if (steps > LONG_STEPS) this.stepsOfCrews.set(crewKey(crew), steps);
  }

  /** Chests and crews, by name, that took so long that they are better divided from now on. */
  get long(): readonly string[] {
    const chests = [...this.steps].flatMap(([name, steps]) => (steps > LONG_STEPS ? [name] : []));
    const crews = [...this.stepsOfCrews].flatMap(([name, steps]) => (steps > LONG_SHARE * this.total && !this.divided.has(name) ? [name] : []));
    return [...chests, ...crews];
  }

  /** Whether all crews with these chests belong to one share. */
  private dealsOut(chests: string): boolean {
    return this.byChests && !this.divided.has(chests);
  }

  private isOwn(name: string): boolean {
    return placeOf(name, this.share.of) === this.share.index;
  }
}

function placeOf(name: string, of: number): number {
  let hash = 0x811c9dc5;
  for (let i = 0; i < name.length; i++) hash = Math.imul(hash ^ name.charCodeAt(i), 0x01000193);
  return ((hash ^ (hash >>> 15)) >>> 0) % of;
}
