/**
 * Whole layouts put together from designs of few exits each, so that a run with several exits soon has one to show:
 * each exit gets a strip of columns first, then what room the others leave; then one or two at a time are designed
 * again, cheaper, and may lift from the others' chests. Nothing here is proven, and no proof rests on it: whoever asks
 * judges each layout like any other. Here is when which is tried; what is tried is in `piece-table.ts`.
 */
import { seededRandom } from '../../base/random.js';
import { ratio, ZERO, type Rational } from '../../base/rational.js';
import type { Brief } from '../../brief/brief.js';
import type { Layout } from '../../layout/layout.js';
import { libraryAims } from './brief-alone.js';
import { stripsOf } from './exit-strips.js';
import type { Packed } from './packing.js';
import { packings } from './packings.js';
import { HIGH_AIMS, LEAST_STRIP, PieceTable, type FirstLayoutTools } from './piece-table.js';
import { hasChoice, isHigh, simplerDesigns } from './simpler-designs.js';

const HALF = ratio(1, 2);
const FULL = ratio(1);
/** `own`: only from the wagons' columns in the exit's own strip. `milliseconds`: with those of earlier rounds. `mostMissing`: exits, else nobody waits so long. */
interface Round {
  readonly spread: number;
  readonly own: boolean;
  readonly milliseconds: number;
  readonly mostMissing?: number;
}

const FIRST_ROUNDS: readonly Round[] = [
  { spread: 0, own: true, milliseconds: 250 },
  { spread: 1, own: true, milliseconds: 250 },
  { spread: 2, own: true, milliseconds: 250 },
  { spread: 0, own: true, milliseconds: 900 },
];
const ROUNDS: readonly Round[] = [
  ...FIRST_ROUNDS,
  { spread: 0, own: false, milliseconds: 250 },
  { spread: 1, own: false, milliseconds: 250 },
  { spread: 3, own: false, milliseconds: 600 },
  { spread: Infinity, own: false, milliseconds: 1_000 },
];
/** How a site is divided: see `stripsOf`. */
interface Division {
  readonly least: number;
  readonly even: boolean;
}
const DIVISIONS: readonly Division[] = [
  { least: 1, even: false },
  { least: LEAST_STRIP, even: false },
  { least: LEAST_STRIP, even: true },
];
/** Nearly full belts take room. */
const HIGH_DIVISIONS: readonly Division[] = [DIVISIONS[1], DIVISIONS[0], DIVISIONS[2]];
/** Each division has a quick look before any is looked at for longer. */
const QUICK_ROUNDS: readonly Round[] = [
  { spread: 0, own: true, milliseconds: 250 },
  { spread: 0, own: true, milliseconds: 900, mostMissing: 1 },
];
/** Looks for pieces in strips before the library is asked too. */
const STEPS_ALONE = 40;
/** How many divisions of the site are tried, and in how many steps a drawn share grows to twice its own. */
const MOST_DIVISIONS = 400;
const DRAWN_STEPS = 16;
/** Exits that are designed again look this far around where they stand. */
const REDESIGN_SPREAD = 3;
/** In rounds; `milliseconds`: with those of earlier rounds. */
const REDESIGNS: readonly { readonly milliseconds: number; readonly pairs: boolean }[] = [
  { milliseconds: 250, pairs: false },
  { milliseconds: 500, pairs: true },
  { milliseconds: 750, pairs: true },
  { milliseconds: 1_000, pairs: true },
  { milliseconds: 1_500, pairs: true },
  { milliseconds: 2_000, pairs: true },
];
/** The same of crews near the one that exits have: how many exits are looked at together. */
const NEARBY_EXITS = 2;
const NEARBY_MILLISECONDS = 800;
/** Of more exits that are nearly full, packings and designs of one exit gain more in the same time: these come first. */
const FEW_EXITS = 3;
const REDESIGN_AIMS: readonly Rational[] = [HALF, ZERO, FULL];

/** Layouts to try, as a rule each better than the one before; undefined wherever there is a moment to look up. */
export async function* firstLayouts(brief: Brief, tools: FirstLayoutTools): AsyncGenerator<Layout | undefined, void> {
  if (brief.exits.length < 2) {
    // The whole search is after a single exit already, and finds it sooner alone where there is no choice to take away.
    if (hasChoice(brief.catalog)) yield* simplerDesigns(brief, tools.designAlone);
    return;
  }
  const table = new PieceTable(brief, tools);
  const packed = packings(brief, table.targets, table.targets.map((exit) => libraryAims(brief, exit)), tools.gatherAlone, table.judges, () => table.standing);
  yield* firstOfEither(firstPieces(brief, table), packed, table);
  if (table.missing.length > 0) return;
  yield table.layout;
  const isNearlyFull = brief.exits.some((exit) => isHigh(brief, exit));
  const few = brief.exits.length <= FEW_EXITS;
  // With room to spare a proof is often near, and designs of one exit gain more at first.
  const first = isNearlyFull || few ? 0 : 1;
  yield* redesigned(table, REDESIGNS.slice(0, first));
  const redesigns = redesigned(table, REDESIGNS.slice(first));
  const soon = !isNearlyFull || few ? [improved(table)] : [];
  // Belts with room to spare are served well in strips, and chests that many share take long to simulate.
  yield* isNearlyFull ? byTurns(...soon, redesigns, adopted(packed, table)) : byTurns(...soon, redesigns);
  if (!isNearlyFull) yield* adopted(packed, table);
  yield* improved(table);
}

/** Layouts of the table, each cheaper than the one before, by designing one or two exits again. */
async function* redesigned(table: PieceTable, rounds: typeof REDESIGNS): AsyncGenerator<Layout | undefined, void> {
  for (const { milliseconds, pairs } of rounds) {
    for (let gained = true; gained; ) {
      gained = false;
      for (const aim of REDESIGN_AIMS) {
        for (const exits of table.groups(pairs)) {
          const before = table.price;
          if (!(await table.redesign(exits, { spread: REDESIGN_SPREAD, aim, milliseconds }))) continue;
          gained ||= table.price < before;
          yield table.price < before ? table.layout : undefined;
        }
      }
    }
  }
}

/** The same by crews near those that there are, of two exits together, or of a network that serves as many. */
async function* improved(table: PieceTable): AsyncGenerator<Layout | undefined, void> {
  for (let went = true; went; ) {
    went = false;
    for (const exits of table.neighbours(NEARBY_EXITS)) {
      const before = table.price;
      if (!(await table.improve(exits, NEARBY_MILLISECONDS))) continue;
      went = true;
      yield table.price < before ? table.layout : undefined;
    }
  }
}

/** The same by packings. */
async function* adopted(packed: AsyncGenerator<Packed | undefined, void>, table: PieceTable): AsyncGenerator<Layout | undefined, void> {
  for await (const each of packed) yield each !== undefined && table.adopt(each) ? table.layout : undefined;
}

/** Who comes upon something goes on at once. */
async function* byTurns<T>(...all: readonly AsyncGenerator<T | undefined, void>[]): AsyncGenerator<T | undefined, void> {
  for (let open = all; open.length > 0; ) {
    const still: AsyncGenerator<T | undefined, void>[] = [];
    for (const each of open) {
      let step = await each.next();
      for (; step.done !== true && step.value !== undefined; step = await each.next()) yield step.value;
      if (step.done === true) continue;
      still.push(each);
      yield undefined;
    }
    open = still;
  }
}

/** Until each exit has a piece: in strips at first, then by turns from a library. */
async function* firstOfEither(pieces: AsyncGenerator<undefined, void>, packed: AsyncGenerator<Packed | undefined, void>, table: PieceTable): AsyncGenerator<undefined, void> {
  for (let n = 0; table.missing.length > 0; n++) {
    const piece = await pieces.next();
    yield undefined;
    if (table.missing.length === 0 || n < STEPS_ALONE) continue;
    const { value, done } = await packed.next();
    if (value !== undefined) table.adopt(value);
    if (piece.done === true && done === true) return;
  }
}

/** Until each exit has a piece: first where all reach wagons alike, then with room for all, then as it is drawn. */
async function* firstPieces(brief: Brief, table: PieceTable): AsyncGenerator<undefined, void> {
  const draw = seededRandom(1);
  const divisions = brief.exits.some((exit) => isHigh(brief, exit)) ? HIGH_DIVISIONS : DIVISIONS;
  for (let n = 0; n < MOST_DIVISIONS && table.missing.length > 0; n++) {
    const division = divisions[n % divisions.length];
    const drawn = n >= 2 * divisions.length;
    const flows = table.targets.map(({ target }) => target.total.valueOf() * (drawn ? 1 + draw(DRAWN_STEPS) / DRAWN_STEPS : 1));
    const strips = stripsOf(brief, flows, division.least, division.even);
    // Who has least room of his own goes first.
    const rank = strips.map(({ from, to }) => (drawn ? draw(DRAWN_STEPS) : to - from));
    const order = strips.map((_, e) => e).sort((a, b) => rank[a] - rank[b] || a - b);
    const rounds = drawn ? ROUNDS.slice(draw(2) * FIRST_ROUNDS.length) : n < divisions.length ? QUICK_ROUNDS : FIRST_ROUNDS;
    table.clear();
    for (const { spread, own, milliseconds, mostMissing } of rounds) {
      if (table.missing.length > (mostMissing ?? Infinity)) continue;
      for (const e of order.filter((each) => table.missing.includes(each))) {
        const aims = table.aimsOf(e);
        // Who has but one aim has the time of all.
        const patience = aims.length === 1 ? HIGH_AIMS.length : 1;
        for (const aim of aims) {
          if (await table.place(e, strips[e], { spread, aim, milliseconds: milliseconds * patience }, own)) yield undefined;
          if (!table.missing.includes(e)) break;
        }
      }
    }
  }
}

/** Whether a brief of several exits asks for so much that its proof takes longer than a first layout. */
export const asksForMuch = (brief: Brief): boolean => brief.exits.length > 2 || (brief.exits.length === 2 && brief.exits.some((exit) => isHigh(brief, exit)));
