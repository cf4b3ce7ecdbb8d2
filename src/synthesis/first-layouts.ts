/**
 * Whole layouts put together from designs of one exit each, so that a run with several exits soon has one to show:
 * each exit gets a strip of columns first, then what room the others leave; then one after the other is designed
 * again, cheaper. Nothing here is proven or simulated, and no proof rests on it: whoever asks judges each layout
 * like any other. How one exit is designed alone is handed in.
 */
import type { Box, Tile } from '../base/geometry.js';
import { ZERO, formatRational, ratio, sumRational, type Rational } from '../base/rational.js';
import type { Brief, ExitDemand } from '../brief/brief.js';
import { checkLegality } from '../layout/check-layout.js';
import { beltCapacity, layoutCost, partCount, tilesOf, wagonAt, type Layout, type Part, type PlacedExit } from '../layout/layout.js';
import { deriveNetwork } from '../layout/network.js';
import { boxHolds } from '../base/geometry.js';
import { demandOf, priceOf, totalDemand } from './site-map.js';

/** Looks for the cheapest layout of a brief for so long; `none`: there is none. */
export type DesignAlone = (brief: Brief, milliseconds: number) => Promise<Layout | 'none' | 'late'>;

/** One exit's parts, where they stand on the whole site. */
interface Piece {
  readonly parts: readonly Part[];
  readonly exit: PlacedExit;
  readonly price: number;
}

/** Columns from `from` to `to`, both included. */
interface Strip {
  readonly from: number;
  readonly to: number;
}

interface Attempt {
  /** Columns that are added to an exit's strip at both sides. */
  readonly spread: number;
  /** How much more than its target the exit is to carry: 0 nothing, 1 all that its belt can. */
  readonly aim: Rational;
  readonly milliseconds: number;
}

const FULL = ratio(1);
const ATTEMPTS: readonly Attempt[] = [
  { spread: 0, aim: ZERO, milliseconds: 250 },
  // Near a belt's most it is the layouts that only just fall short that take long; the saturated one may be at hand.
  { spread: 0, aim: FULL, milliseconds: 400 },
  { spread: 1, aim: ZERO, milliseconds: 250 },
  { spread: 1, aim: FULL, milliseconds: 400 },
  { spread: 3, aim: ZERO, milliseconds: 400 },
  { spread: 3, aim: FULL, milliseconds: 600 },
  { spread: Infinity, aim: ZERO, milliseconds: 600 },
  { spread: Infinity, aim: FULL, milliseconds: 1_000 },
];
/** How often strips of exits that found no room are widened at the cost of their neighbours'. */
const BORDER_MOVES = 3;
/** An exit that is designed again looks this far around where it stands. */
const REDESIGN_SPREAD = 3;
const REDESIGN_MILLISECONDS: readonly number[] = [250, 1_000, 4_000];
const REDESIGN_AIMS: readonly Rational[] = [ZERO, ratio(1, 2), FULL];
/** A network takes three columns as a rule: an arm beside a chest, and the belt that it places on. */
const LEAST_STRIP = 3;
/** What a column counts that no arm can take from a wagon in, as a share of one where it can. */
const FAR_COLUMN = 1 / 8;

/** Layouts to try, as a rule each better than the one before; undefined wherever there is a moment to look up. */
export async function* firstLayouts(brief: Brief, designAlone: DesignAlone): AsyncGenerator<Layout | undefined, void> {
  // The whole search is after a single exit already, and finds it sooner alone.
  if (brief.exits.length < 2) return;
  const table = new PieceTable(brief, designAlone);
  const strips = stripsOf(brief);
  for (let moves = 0; moves <= BORDER_MOVES && !table.whole; moves++) {
    const missing = table.missing;
    if (moves > 0) table.clear();
    const wider = widened(brief, strips, missing, moves);
    for (const attempt of ATTEMPTS) {
      for (const e of table.missing) if (await table.place(e, wider[e], attempt)) yield undefined;
      if (table.whole) break;
    }
  }
  if (!table.whole) return;
  yield table.layout();
  for (const milliseconds of REDESIGN_MILLISECONDS) {
    for (let gained = true; gained; ) {
      gained = false;
      for (const aim of REDESIGN_AIMS) {
        for (let e = 0; e < brief.exits.length; e++) {
          const before = table.price;
          if (!(await table.redesign(e, { spread: REDESIGN_SPREAD, aim, milliseconds }))) continue;
          gained ||= table.price < before;
          yield table.price < before ? table.layout() : undefined;
        }
      }
    }
  }
}

/** The exits' pieces so far, and what has been asked before. */
class PieceTable {
  private readonly pieces: (Piece | undefined)[];
  private readonly targets: readonly ExitDemand[];
  /** By the brief that was asked: its answer, and how long was looked for it. */
  private readonly asked = new Map<string, { readonly answer: Layout | 'none' | 'late'; readonly milliseconds: number }>();

  constructor(
    private readonly brief: Brief,
    private readonly designAlone: DesignAlone,
  ) {
    this.pieces = brief.exits.map(() => undefined);
    this.targets = targetsAlone(brief);
  }

  get missing(): readonly number[] {
    return this.pieces.flatMap((piece, e) => (piece === undefined ? [e] : []));
  }

  get whole(): boolean {
    return this.missing.length === 0;
  }

  get price(): number {
    return this.pieces.reduce((sum, piece) => sum + (piece?.price ?? 0), 0);
  }

  clear(): void {
    this.pieces.fill(undefined);
  }

  layout(): Layout {
    return joined(this.brief, this.pieces.flatMap((piece) => piece ?? []));
  }

  /** Looks for a piece of an exit in its strip; whether that took any time. */
  async place(e: number, strip: Strip, attempt: Attempt): Promise<boolean> {
    return this.ask(e, strip, attempt, undefined);
  }

  /** The same around where it stands, if cheaper. */
  async redesign(e: number, attempt: Attempt): Promise<boolean> {
    const piece = this.pieces[e];
    if (piece === undefined) return false;
    const xs = piece.parts.flatMap(tilesOf).map(({ x }) => x);
    return this.ask(e, { from: Math.min(...xs), to: Math.max(...xs) }, attempt, piece.price - 1);
  }

  private async ask(e: number, { from, to }: Strip, { spread, aim, milliseconds }: Attempt, mostPrice: number | undefined): Promise<boolean> {
    const { brief } = this;
    const others = this.pieces.flatMap((piece, other) => (piece === undefined || other === e ? [] : [piece]));
    const strip = { from: Math.max(0, from - spread), to: Math.min(brief.site.width - 1, to + spread) };
    const asked = briefAlone(brief, aimed(brief, this.targets[e], aim), strip, others, mostPrice);
    if (asked === undefined) return false;
    const key = textOf(asked);
    const known = this.asked.get(key);
    const knows = known !== undefined && (known.answer !== 'late' || known.milliseconds >= milliseconds);
    const answer = knows ? known.answer : await this.designAlone(asked, milliseconds);
    this.asked.set(key, { answer, milliseconds });
    if (typeof answer !== 'string') {
      const piece = pieceOf(answer, strip.from, priceOf(brief));
      if (areApart(brief, [...others, piece])) this.pieces[e] = piece;
    }
    return !knows;
  }
}

const NO_LIMITS: Brief['limits'] = { arms: undefined, parts: undefined, cost: undefined, imbalance: undefined };

/** One exit alone on a strip of the site, past the others' parts; undefined where the strip has no way out for it. */
function briefAlone(brief: Brief, exit: ExitDemand, { from, to }: Strip, others: readonly Piece[], mostPrice: number | undefined): Brief | undefined {
  const { depth, keepOut, width } = brief.site;
  const price = priceOf(brief);
  const within = (x: number): boolean => x >= from && x <= to;
  const taken: readonly Tile[] = others.flatMap(({ parts }) => parts.flatMap(tilesOf)).filter(({ x }) => within(x));
  const boxes: readonly Box[] = [
    ...keepOut.flatMap((box) => {
      const x = Math.max(box.x, from);
      const end = Math.min(box.x + box.width, to + 1);
      return x < end ? [{ ...box, x: x - from, width: end - x }] : [];
    }),
    ...[...taken].sort((a, b) => a.y - b.y || a.x - b.x).map(({ x, y }) => ({ x: x - from, y, width: 1, height: 1 })),
  ];
  const upright = exit.edge === 'N' || exit.edge === 'S';
  if ((exit.edge === 'W' && from > 0) || (exit.edge === 'E' && to < width - 1)) return undefined;
  const range = upright ? { from: Math.max(exit.from, from) - from, to: Math.min(exit.to, to) - from } : { from: exit.from, to: exit.to };
  if (range.from > range.to) return undefined;
  return {
    ...brief,
    site: { width: to - from + 1, depth, keepOut: boxes },
    wagons: brief.wagons
      .filter(({ at, model }) => at <= to + brief.spotting && at + model.length > from - brief.spotting)
      .map((wagon) => ({ ...wagon, at: wagon.at - from })),
    exits: [{ ...exit, ...range }],
    together: undefined,
    limits: mostPrice === undefined ? NO_LIMITS : { ...NO_LIMITS, [price]: mostPrice },
    minimise: [price],
  };
}

/** What tells the briefs apart that are made of one brief. */
const textOf = ({ site, wagons, exits, limits }: Brief): string =>
  JSON.stringify([
    site,
    wagons.map(({ at, model }) => [at, model.name]),
    exits.map(({ edge, from, to, belt, target }) => [edge, from, to, belt.name, formatRational(target.total), formatRational(target.left), formatRational(target.right)]),
    limits.cost,
    limits.parts,
  ]);

/** Each exit with its share of the common target, by what its belt can carry beyond its own. */
function targetsAlone(brief: Brief): readonly ExitDemand[] {
  const { exits, catalog } = brief;
  const asked = sumRational(exits.map(demandOf));
  const more = totalDemand(brief).sub(asked);
  const room = exits.map((exit) => beltCapacity(catalog, exit.belt).sub(demandOf(exit)));
  const roomInAll = sumRational(room);
  return exits.map((exit, e) => {
    const share = roomInAll.compare(ZERO) > 0 ? more.mul(room[e]).div(roomInAll) : ZERO;
    return { ...exit, target: { ...exit.target, total: demandOf(exit).add(share) } };
  });
}

function aimed({ catalog }: Brief, exit: ExitDemand, aim: Rational): ExitDemand {
  const { target } = exit;
  const room = beltCapacity(catalog, exit.belt).sub(target.total);
  return { ...exit, target: { ...target, total: target.total.add(room.mul(aim)) } };
}

/** Where an exit lies on the way from west to east, in columns. */
function columnOf({ site }: Brief, { edge, from, to }: ExitDemand): number {
  if (edge === 'W') return -1;
  if (edge === 'E') return site.width;
  return (from + to) / 2;
}

/** A strip for each exit, in the brief's order: from west to east, by what they ask for and where wagons can be reached. */
function stripsOf(brief: Brief): readonly Strip[] {
  const { site, exits, wagons } = brief;
  const { width } = site;
  const order = exits.map((_, e) => e).sort((a, b) => columnOf(brief, exits[a]) - columnOf(brief, exits[b]) || a - b);
  const weights = Array.from({ length: width }, (_, x) => {
    const blocked = site.keepOut.some((box) => boxHolds(box, { x, y: 0 }));
    return !blocked && wagonAt(wagons, { x, y: -1 }) !== undefined ? 1 : FAR_COLUMN;
  });
  const all = weights.reduce((sum, weight) => sum + weight, 0);
  const targets = targetsAlone(brief).map(({ target }) => target.total.valueOf());
  const asked = targets.reduce((sum, target) => sum + target, 0);
  const least = Math.max(1, Math.min(LEAST_STRIP, Math.floor(width / exits.length)));
  const strips: Strip[] = exits.map(() => ({ from: 0, to: width - 1 }));
  let from = 0;
  let done = 0;
  let reached = 0;
  order.forEach((e, place) => {
    done += asked > 0 ? targets[e] / asked : 1 / exits.length;
    const last = Math.max(from, width - 1 - least * (order.length - 1 - place));
    let to = from - 1;
    // A border lies where half of the next column would be too much.
    while (to < last && (to - from + 1 < least || place === order.length - 1 || reached + weights[to + 1] / 2 <= done * all)) {
      to++;
      reached += weights[to];
    }
    strips[e] = { from: Math.min(from, width - 1), to: Math.max(to, Math.min(from, width - 1)) };
    from = to + 1;
  });
  return strips;
}

/** The strips with those of `missing` wider by so many columns at both sides, and the others' narrower. */
function widened({ site }: Brief, strips: readonly Strip[], missing: readonly number[], columns: number): readonly Strip[] {
  if (columns === 0 || missing.length === strips.length) return strips;
  const grown = (e: number): Strip => ({ from: Math.max(0, strips[e].from - columns), to: Math.min(site.width - 1, strips[e].to + columns) });
  return strips.map((strip, e) => {
    if (missing.includes(e)) return grown(e);
    let { from, to } = strip;
    for (const other of missing) {
      const wide = grown(other);
      if (strips[other].from > strip.to) to = Math.min(to, wide.from - 1);
      else from = Math.max(from, wide.to + 1);
    }
    return from <= to ? { from, to } : strip;
  });
}

function pieceOf(layout: Layout, from: number, price: 'cost' | 'parts'): Piece {
  const moved = (tile: Tile): Tile => ({ x: tile.x + from, y: tile.y });
  const [exit] = layout.exits;
  return {
    parts: layout.parts.map((part): Part => (part.kind === 'underpass' ? { ...part, from: moved(part.from), to: moved(part.to) } : { ...part, at: moved(part.at) })),
    exit: { ...exit, at: moved(exit.at) },
    price: price === 'cost' ? layoutCost(layout) : partCount(layout),
  };
}

const joined = ({ name, catalog, site, wagons }: Brief, pieces: readonly Piece[]): Layout => ({
  name,
  catalog,
  site,
  wagons,
  parts: pieces.flatMap(({ parts }) => parts),
  exits: pieces.map(({ exit }) => exit),
});

/** Whether pieces make a legal layout in which none passes items to another, or bends another's belts. */
function areApart(brief: Brief, pieces: readonly Piece[]): boolean {
  const layout = joined(brief, pieces);
  if (checkLegality(layout).some(({ severity }) => severity === 'error')) return false;
  const owner = pieces.flatMap(({ parts }, piece) => parts.map(() => piece));
  const { carriers } = deriveNetwork(layout);
  return carriers.every(({ part, behind, fromLeft, fromRight }) =>
    [behind, fromLeft, fromRight].every((feeder) => feeder === undefined || owner[carriers[feeder].part] === owner[part]),
  );
}
