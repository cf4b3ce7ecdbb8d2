/**
 * Whole layouts put together from designs of few exits each, so that a run with several exits soon has one to show:
 * each exit gets a strip of columns first, then what room the others leave; then one or two at a time are designed
 * again, cheaper, and may lift from the others' chests. Nothing here is proven, and no proof rests on it: whoever asks
 * judges each layout like any other. How exits are designed without the others, and a simulator, are handed in.
 */
import { compareTiles, sameTile, type Box, type Tile } from '../../base/geometry.js';
import { northOf } from '../../base/ground.js';
import { seededRandom } from '../../base/random.js';
import { ZERO, formatRational, isLess, ratio, sumRational, type Rational } from '../../base/rational.js';
import type { Brief, ExitDemand } from '../../brief/brief.js';
import { checkLegality } from '../../layout/check-layout.js';
import { beltCapacity, layoutCost, partCount, tilesOf, type Layout, type Part, type PlacedExit } from '../../layout/layout.js';
import { deriveNetwork } from '../../layout/network.js';
import type { AloneAnswer, DesignAlone, GatherAlone, NearbyDesign } from './design-alone.js';
import { stripsOf, type Strip } from './exit-strips.js';
import { networksOfLayout } from './networks-of-layout.js';
import { liftsFrom, partsOf, sparing, storesIn, type Store } from './shared-chests.js';
import { packings } from './packings.js';
import type { Packed, PackedStation, Passes } from './packing.js';
import { hasChoice, isHigh, simplerDesigns } from './simpler-designs.js';
import { demandOf, priceOf, totalDemand } from '../site/site-map.js';
import { shifted, standingHead, type Head } from './station-heads.js';

export interface FirstLayoutTools {
  readonly designAlone: DesignAlone;
  readonly gatherAlone: GatherAlone;
  readonly nearbyCrews: NearbyDesign;
  /** Whether a layout meets a brief: the whole one, or some of its exits alone. */
  readonly passes: (layout: Layout, brief: Brief) => boolean;
}

/** The parts of one exit or more, where they stand on the whole site; but for chests that others share. */
interface Piece {
  /** Indices into the brief's exits, rising, and where each leaves. */
  readonly exits: readonly number[];
  readonly placed: readonly PlacedExit[];
  readonly parts: readonly Part[];
  readonly price: number;
}

interface Attempt {
  /** Columns that are added at both sides. */
  readonly spread: number;
  /** How much more than its target each exit is to carry: 0 nothing, 1 all that its belt can. */
  readonly aim: Rational;
  readonly milliseconds: number;
}

/** Where a few exits' parts may stand, which columns of the wagons they may take from, and most price. */
interface Ground {
  readonly strip: Strip;
  readonly wagonStrip: Strip;
  /** Whether only the rows near the wagons are looked at, and belts that leave over the south go straight on. */
  readonly shallow: boolean;
  readonly mostPrice: number | undefined;
}

interface Ask extends Attempt, Ground {
  readonly exits: readonly number[];
}

const HALF = ratio(1, 2);
const FULL = ratio(1);
const AIMS: readonly Rational[] = [ZERO, FULL];
/** Near a belt's most it is the layouts that only just fall short that take long: so more is asked first. */
const HIGH_AIMS: readonly Rational[] = [HALF, FULL, ZERO];
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
/** A network takes three columns as a rule: a chest, an arm beside it, and the belt that it places on. */
const LEAST_STRIP = 3;
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
/** Each holds what it knows of its search. */
const MOST_BEGUN = 12;
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
/** The same of crews near the one that exits have; and how many exits are looked at together. */
const NEARBY_SPREAD = 3;
const NEARBY_EXITS = 2;
const NEARBY_MILLISECONDS = 800;
/** Of more exits, packings and designs of one exit gain more in the same time: these come first. */
const FEW_EXITS = 3;
const REDESIGN_AIMS: readonly Rational[] = [HALF, ZERO, FULL];
/** Rows that one network takes, as a multiple of an arm's reach and the tile that it stands on. */
const SHALLOW_ROWS = 4;

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
  const few = brief.exits.length <= FEW_EXITS ? [improved(table)] : [];
  // Belts with room to spare are served well in strips, and chests that many share take long to simulate.
  yield* isNearlyFull ? byTurns(...few, redesigned(table), adopted(packed, table)) : byTurns(...few, redesigned(table));
  if (!isNearlyFull) yield* adopted(packed, table);
  yield* improved(table);
}

/** Layouts of the table, each cheaper than the one before, by designing one or two exits again. */
async function* redesigned(table: PieceTable): AsyncGenerator<Layout | undefined, void> {
  for (const { milliseconds, pairs } of REDESIGNS) {
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

/** The exits' pieces so far, the stores that several of them share, and what has been asked before. */
class PieceTable {
  readonly targets: readonly ExitDemand[];
  private pieces: readonly Piece[] = [];
  private shared: readonly Store[] = [];
  /** Exits and the chest that they took too much from. */
  private readonly overdrawn = new Set<string>();
  /** By the brief that was asked: its answer, and how long was looked for it. */
  private readonly asked = new Map<string, { readonly answer: AloneAnswer; readonly milliseconds: number }>();
  /** Of the last few groups of exits, by what was asked of them; `price`: near what it goes on. */
  private readonly nearby = new Map<string, { readonly design: ReturnType<NearbyDesign>; readonly price: number }>();
  /** Designs that may go on: the last ones that were late, by the same key. */
  private readonly begun = new Map<string, ReturnType<DesignAlone>>();

  constructor(
    private readonly brief: Brief,
    private readonly tools: FirstLayoutTools,
  ) {
    this.targets = targetsAlone(brief);
  }

  get missing(): readonly number[] {
    return this.brief.exits.flatMap((_, e) => (this.pieces.some(({ exits }) => exits.includes(e)) ? [] : [e]));
  }

  get price(): number {
    return this.pieces.reduce((sum, { price }) => sum + price, 0) + this.priceOf(this.shared.flatMap(partsOf));
  }

  get layout(): Layout {
    return joined(this.brief, this.pieces, this.shared);
  }

  clear(): void {
    this.pieces = [];
    this.shared = [];
  }

  /** In which order to try how much more than its target an exit is to carry. */
  aimsOf(e: number): readonly Rational[] {
    const exit = this.targets[e];
    if (exit.target.total.equals(beltCapacity(this.brief.catalog, exit.belt))) return [ZERO];
    return isHigh(this.brief, exit) ? HIGH_AIMS : AIMS;
  }

  /** Each piece's exits; with `pairs`, then those of two single ones that stand side by side. */
  groups(pairs: boolean): readonly (readonly number[])[] {
    const fromWest = [...this.pieces].sort((a, b) => columnsOf(a.parts).from - columnsOf(b.parts).from);
    const neighbours = fromWest.slice(1).flatMap(({ exits }, index) => {
      const both = [...fromWest[index].exits, ...exits].sort((a, b) => a - b);
      return both.length === 2 && both.length < this.brief.exits.length ? [both] : [];
    });
    return [...this.pieces.map(({ exits }) => exits), ...(pairs ? neighbours : [])];
  }

  /** Exits of pieces that stand side by side, as many as go together up to `most`. */
  neighbours(most: number): readonly (readonly number[])[] {
    const fromWest = [...this.pieces].sort((a, b) => columnsOf(a.parts).from - columnsOf(b.parts).from);
    const runs = fromWest.flatMap((_, from) => fromWest.slice(from).map((__, n) => fromWest.slice(from, from + n + 1).flatMap(({ exits }) => exits)));
    return runs.filter(({ length }) => length === Math.min(most, this.brief.exits.length)).map((exits) => [...exits].sort((a, b) => a - b));
  }

  /** Looks for a piece of an exit in its strip; whether that took any time. */
  place(e: number, wagonStrip: Strip, attempt: Attempt, own: boolean): Promise<boolean> {
    const strip = spreadOut(this.brief, wagonStrip, Math.max(attempt.spread, Math.ceil((LEAST_STRIP - wagonStrip.to + wagonStrip.from - 1) / 2)));
    const shallow = attempt.spread < Infinity;
    return this.ask({ ...attempt, exits: [e], strip, wagonStrip: own ? wagonStrip : strip, shallow, mostPrice: undefined });
  }

  /** Looks for a cheaper piece of exits around where they stand; whether that took any time. */
  async redesign(exits: readonly number[], attempt: Attempt): Promise<boolean> {
    const now = this.pieces.filter((piece) => piece.exits.some((e) => exits.includes(e)));
    if (now.flatMap((piece) => piece.exits).length !== exits.length) return false;
    const strip = spreadOut(this.brief, columnsOf(now.flatMap(({ parts }) => parts)), attempt.spread);
    const mostPrice = now.reduce((sum, { price }) => sum + price, 0) - 1;
    return this.ask({ ...attempt, exits, strip, wagonStrip: strip, shallow: false, mostPrice });
  }

  /** Of packings. */
  readonly judges: Passes = {
    together: ({ stations, stores }) => {
      const pieces = stations.map((station) => this.pieceOfStation(station));
      if (!areApart(this.brief, pieces, stores)) return false;
      const isShared = stores.some((store) => pieces.filter(({ parts }) => liftsFrom(parts, store) > 0).length > 1);
      return !isShared || this.tools.passes(joined(this.brief, pieces, stores), this.brief);
    },
    alone: (station, stores) => {
      const layout = joined(this.brief, [this.pieceOfStation(station)], stores);
      return this.tools.passes(layout, { ...this.brief, exits: [this.targets[station.exit]], together: undefined });
    },
  };

  /** What there is of whole layouts, and the heads in it if each exit has its own. */
  get standing(): { readonly price: number; readonly heads: readonly Head[] | undefined } {
    if (this.missing.length > 0) return { price: Infinity, heads: undefined };
    const heads = this.targets.flatMap((_, e) => {
      const piece = this.pieces.find(({ exits }) => exits.length === 1 && exits[0] === e);
      if (piece === undefined) return [];
      const used = this.shared.filter((store) => liftsFrom(piece.parts, store) > 0);
      return standingHead(joined(this.brief, [piece], used)) ?? [];
    });
    return { price: this.price, heads: heads.length === this.targets.length ? heads : undefined };
  }

  /** Whether a packing is cheaper than what there is; it takes its place then. */
  adopt({ stations, stores, price }: Packed): boolean {
    if (price >= this.standing.price) return false;
    this.pieces = stations.map((station) => this.pieceOfStation(station));
    this.shared = stores;
    this.settleStores();
    return true;
  }

  private readonly pieceOfStation = ({ exit, placed, parts }: PackedStation): Piece => ({ exits: [exit], placed: [placed], parts, price: this.priceOf(parts) });

  /** Looks for a cheaper crew of exits near the one that they have; whether that took any time. */
  async improve(exits: readonly number[], milliseconds: number): Promise<boolean> {
    const { brief } = this;
    const now = this.pieces.filter((piece) => piece.exits.some((e) => exits.includes(e)));
    const others = this.pieces.filter((piece) => !now.includes(piece));
    const used = this.shared.filter((store) => now.some(({ parts }) => liftsFrom(parts, store) > 0));
    const given = used.filter((store) => others.some(({ parts }) => liftsFrom(parts, store) > 0));
    const own = used.filter((store) => !given.includes(store));
    const parts = [...now.flatMap((piece) => piece.parts), ...own.flatMap(partsOf)];
    const strip = spreadOut(brief, columnsOf([...parts, ...given.flatMap(partsOf)]), NEARBY_SPREAD);
    const rest = this.shared.filter((store) => !own.includes(store));
    const asked = briefAlone(brief, exits.map((e) => this.targets[e]), { strip, wagonStrip: strip, shallow: false, mostPrice: undefined }, [...others.flatMap((piece) => piece.parts), ...rest.flatMap(partsOf)]);
    if (asked === undefined) return false;
    const price = this.priceOf(parts);
    const key = textOf(asked, given);
    const known = this.nearby.get(key);
    const inStrip = (all: readonly Part[]): readonly Part[] => all.map((part) => shifted(part, -strip.from));
    const design = known?.price === price ? known.design : this.tools.nearbyCrews(asked, inStrip(given.flatMap(partsOf)), { ...asked, parts: inStrip(parts), exits: [] }, price);
    const found = await design(milliseconds);
    const piece = typeof found === 'string' ? undefined : pieceOf(brief, exits, found, strip.from);
    this.nearby.delete(key);
    this.nearby.set(key, { design, price: piece?.price ?? price });
    for (const [oldest] of this.nearby) if (this.nearby.size > MOST_BEGUN) this.nearby.delete(oldest);
    if (found === 'none') return false;
    if (piece !== undefined) this.takeApart(piece, others, rest);
    return true;
  }

  /** Puts a piece in the place of what its exits had, network by network, if the whole passes. */
  private takeApart(piece: Piece, others: readonly Piece[], rest: readonly Store[]): void {
    const { networks, stores } = networksOfLayout(joined(this.brief, [{ ...piece, exits: piece.exits.map((_, n) => n) }], rest));
    const pieces = networks.map(({ exits, parts }): Piece => ({ exits: exits.map((n) => piece.exits[n]), placed: exits.map((n) => piece.placed[n]), parts, price: this.priceOf(parts) }));
    const before = { pieces: this.pieces, shared: this.shared, price: this.price };
    this.pieces = [...others, ...pieces];
    this.shared = [...rest, ...stores.filter(({ chest }) => !rest.some((store) => sameTile(store.chest.at, chest.at)))];
    this.settleStores();
    if (this.price < before.price && areApart(this.brief, this.pieces, this.shared) && this.tools.passes(this.layout, this.brief)) return;
    ({ pieces: this.pieces, shared: this.shared } = before);
  }

  private async ask(ask: Ask): Promise<boolean> {
    const { brief } = this;
    const { exits, strip, milliseconds } = ask;
    const others = this.pieces.filter((piece) => !piece.exits.some((e) => exits.includes(e)));
    const taken = [...others.flatMap(({ parts }) => parts), ...this.shared.flatMap(partsOf)];
    const asked = briefAlone(brief, exits.map((e) => aimed(brief, this.targets[e], ask.aim)), ask, taken);
    if (asked === undefined) return false;
    const given = this.givenTo(ask, taken);
    const key = textOf(asked, given);
    const known = this.asked.get(key) ?? { answer: 'late', milliseconds: 0 };
    const isKnown = known.answer !== 'late' || known.milliseconds >= milliseconds;
    const answer = isKnown ? known.answer : await this.goOn(key, asked, given.flatMap(partsOf).map((part) => shifted(part, -strip.from)), milliseconds - known.milliseconds);
    if (!isKnown) this.asked.set(key, { answer, milliseconds });
    if (typeof answer !== 'string') {
      const piece = pieceOf(brief, exits, answer, strip.from);
      if (areApart(brief, [...others, piece], this.shared)) this.take(piece, others, given);
    }
    return !isKnown;
  }

  /** Chests of others with something to spare for one exit that is designed again. */
  private givenTo({ exits, strip, mostPrice }: Ask, taken: readonly Part[]): readonly Store[] {
    const { brief, targets } = this;
    if (mostPrice === undefined || exits.length > 1) return [];
    const within = (part: Part): boolean => tilesOf(part).every(({ x }) => x >= strip.from && x <= strip.to);
    const flow = sumRational(targets.flatMap(({ target }, e) => (exits.includes(e) ? [] : [target.total])));
    return sparing(brief, storesIn(taken), taken, flow).filter((store) => partsOf(store).every(within) && !this.overdrawn.has(drawKey(exits, store)));
  }

  /** Puts a piece in the place of what its exits had, unless it takes too much from the chests of others. */
  private take(piece: Piece, others: readonly Piece[], given: readonly Store[]): void {
    const used = given.filter((store) => liftsFrom(piece.parts, store) > 0);
    const before = { pieces: this.pieces, shared: this.shared, price: this.price };
    this.pieces = [...others, piece];
    this.shared = [...this.shared.filter(({ chest }) => !used.some((store) => store.chest === chest)), ...used];
    this.settleStores();
    if (used.length === 0 && before.shared.length === 0) return;
    if (this.price < before.price && this.tools.passes(this.layout, this.brief)) return;
    ({ pieces: this.pieces, shared: this.shared } = before);
    for (const store of used) this.overdrawn.add(drawKey(piece.exits, store));
  }

  /** A store from which one piece alone lifts belongs to it, and one from which none does is given up. */
  private settleStores(): void {
    const stores = this.shared;
    const users = stores.map((store) => this.pieces.filter(({ parts }) => liftsFrom(parts, store) > 0));
    const isOf = (part: Part): boolean => stores.some((store) => partsOf(store).includes(part));
    this.pieces = this.pieces.map((piece) => {
      const own = stores.filter((_, s) => users[s].length === 1 && users[s][0] === piece);
      const parts = [...piece.parts.filter((part) => !isOf(part)), ...own.flatMap(partsOf)];
      return { ...piece, parts, price: this.priceOf(parts) };
    });
    this.shared = stores.filter((_, s) => users[s].length > 1);
  }

  private priceOf(parts: readonly Part[]): number {
    const { brief } = this;
    const layout = { ...brief, parts, exits: [] };
    return priceOf(brief) === 'cost' ? layoutCost(layout) : partCount(layout);
  }

  private async goOn(key: string, asked: Brief, given: readonly Part[], milliseconds: number): Promise<AloneAnswer> {
    const design = this.begun.get(key) ?? this.tools.designAlone(asked, given, true);
    this.begun.delete(key);
    const answer = await design(milliseconds);
    if (answer === 'late') this.begun.set(key, design);
    for (const [oldest] of this.begun) if (this.begun.size > MOST_BEGUN) this.begun.delete(oldest);
    return answer;
  }
}

const boxOf = ({ x, y }: Tile): Box => ({ x, y, width: 1, height: 1 });
const NO_LIMITS: Brief['limits'] = { arms: undefined, parts: undefined, cost: undefined, imbalance: undefined };

/** A few exits alone on a strip of the site, past the others' parts; undefined where there is no way out for one. */
function briefAlone(brief: Brief, demands: readonly ExitDemand[], { strip, wagonStrip, shallow, mostPrice }: Ground, standing: readonly Part[]): Brief | undefined {
  const { from, to } = strip;
  const depth = shallow ? shallowDepth(brief, demands) : brief.site.depth;
  const price = priceOf(brief);
  const taken = standing.flatMap(tilesOf).sort(compareTiles);
  const inStrip = (box: Box): readonly Box[] => {
    const x = Math.max(box.x, from);
    const end = Math.min(box.x + box.width, to + 1);
    return x < end && box.y < depth ? [{ ...box, x: x - from, width: end - x }] : [];
  };
  const exits = demands.flatMap((exit): readonly ExitDemand[] => {
    if (exit.edge === 'W') return from > 0 ? [] : [{ ...exit, to: Math.min(exit.to, depth - 1) }];
    if (exit.edge === 'E') return to < brief.site.width - 1 ? [] : [{ ...exit, to: Math.min(exit.to, depth - 1) }];
    const range = { from: Math.max(exit.from, from) - from, to: Math.min(exit.to, to) - from };
    return range.from > range.to ? [] : [{ ...exit, ...range }];
  });
  if (exits.length < demands.length) return undefined;
  // A belt that is drawn out over rows that are left out finds them free.
  const barred = [...brief.site.keepOut, ...taken.map(boxOf)]
    .filter((box) => box.y + box.height > depth)
    .map((box) => ({ ...box, y: Math.min(box.y, depth - 1), height: 1 }));
  return {
    ...brief,
    site: {
      width: to - from + 1,
      depth,
      ...northWithin(brief.site, from),
      keepOut: [...brief.site.keepOut, ...taken.map(boxOf), ...barred].flatMap(inStrip),
    },
    wagons: brief.wagons.flatMap(({ at, model }) => {
      const west = Math.max(at, wagonStrip.from);
      const length = Math.min(at + model.length, wagonStrip.to + 1) - west;
      return length > 0 ? [{ model: { ...model, length }, at: west - from }] : [];
    }),
    exits,
    together: undefined,
    limits: mostPrice === undefined ? NO_LIMITS : { ...NO_LIMITS, [price]: mostPrice },
    minimise: [price],
  };
}

/** The north side of a site's columns from `from` on, with the track where it then lies. */
function northWithin(site: Brief['site'], from: number): Pick<Brief['site'], 'north' | 'track'> {
  const { north, track } = northOf(site);
  if (north === undefined) return {};
  const moved = track && { ...(track.from === undefined ? {} : { from: track.from - from }), ...(track.to === undefined ? {} : { to: track.to - from }) };
  return { north, ...(moved === undefined ? {} : { track: moved }) };
}

/** Rows that are enough for a network, with a side exit's first one. */
function shallowDepth({ site, catalog }: Brief, demands: readonly ExitDemand[]): number {
  const reach = Math.max(1, ...catalog.arms.map((arm) => arm.reach));
  const sides = demands.flatMap(({ edge, from }) => (edge === 'W' || edge === 'E' ? [from + 2] : []));
  return Math.min(site.depth, Math.max(SHALLOW_ROWS * (reach + 1), ...sides));
}

/** What tells the briefs apart that are made of one brief. */
const textOf = ({ site, wagons, exits, limits }: Brief, given: readonly Store[]): string =>
  JSON.stringify([
    site,
    wagons.map(({ at, model }) => [at, model.length, model.name]),
    exits.map(({ edge, from, to, belt, target }) => [edge, from, to, belt.name, ...[target.total, target.left, target.right].map(formatRational)]),
    limits.cost,
    limits.parts,
    given.map(({ chest }) => chest.at),
  ]);

const drawKey = (exits: readonly number[], { chest }: Store): string => `${exits.join()}@${chest.at.x},${chest.at.y}`;

/** Each exit with its share of the common target, by what its belt can carry beyond its own. */
function targetsAlone(brief: Brief): readonly ExitDemand[] {
  const { exits, catalog } = brief;
  const more = totalDemand(brief).sub(sumRational(exits.map(demandOf)));
  const room = exits.map((exit) => beltCapacity(catalog, exit.belt).sub(demandOf(exit)));
  const roomInAll = sumRational(room);
  return exits.map((exit, e) => {
    const share = isLess(ZERO, roomInAll) ? more.mul(room[e]).div(roomInAll) : ZERO;
    return { ...exit, target: { ...exit.target, total: demandOf(exit).add(share) } };
  });
}

function aimed({ catalog }: Brief, exit: ExitDemand, aim: Rational): ExitDemand {
  const { target } = exit;
  const room = beltCapacity(catalog, exit.belt).sub(target.total);
  return { ...exit, target: { ...target, total: target.total.add(room.mul(aim)) } };
}

/** What stations are gathered for: where much is asked also for all that the belt can carry, which comes sooner. */
const libraryAims = (brief: Brief, exit: ExitDemand): readonly ExitDemand[] =>
  isHigh(brief, exit) && isLess(exit.target.total, beltCapacity(brief.catalog, exit.belt)) ? [aimed(brief, exit, FULL), exit] : [exit];

const spreadOut = ({ site }: Brief, { from, to }: Strip, spread: number): Strip => ({
  from: Math.max(0, from - spread),
  to: Math.min(site.width - 1, to + spread),
});

function columnsOf(parts: readonly Part[]): Strip {
  const xs = parts.flatMap(tilesOf).map(({ x }) => x);
  return { from: Math.min(...xs), to: Math.max(...xs) };
}

/** A layout of these exits on columns from `from` on, its belts over the south edge drawn out to that of the site. */
function pieceOf(brief: Brief, exits: readonly number[], { parts, exits: placed, site }: Layout, from: number): Piece {
  const more = brief.site.depth - site.depth;
  const leaving = placed.map((exit) => ({ ...exit, at: { x: exit.at.x + from, y: exit.at.y } }));
  const south = leaving.flatMap((exit, index) => (exit.heading === 'S' ? [{ at: exit.at, model: brief.exits[exits[index]].belt }] : []));
  const all: readonly Part[] = [
    ...parts.map((part) => shifted(part, from)),
    ...south.flatMap(({ at, model }) =>
      Array.from({ length: more }, (_, row): Part => ({ kind: 'belt', at: { x: at.x, y: at.y + row + 1 }, heading: 'S', model })),
    ),
  ];
  const layout = { ...brief, parts: all, exits: [] };
  return {
    exits,
    placed: leaving.map((exit) => (exit.heading === 'S' ? { ...exit, at: { ...exit.at, y: exit.at.y + more } } : exit)),
    parts: all,
    price: priceOf(brief) === 'cost' ? layoutCost(layout) : partCount(layout),
  };
}

function joined({ name, catalog, site, wagons }: Brief, pieces: readonly Piece[], shared: readonly Store[]): Layout {
  const exits = pieces.flatMap(({ exits: indices, placed }) => indices.map((index, n) => ({ index, exit: placed[n] })));
  return {
    name,
    catalog,
    site,
    wagons,
    parts: [...pieces.flatMap(({ parts }) => parts), ...shared.flatMap(partsOf)],
    exits: exits.sort((a, b) => a.index - b.index).map(({ exit }) => exit),
  };
}

/** Whether pieces make a legal layout in which none passes items to another, or bends another's belts. */
function areApart(brief: Brief, pieces: readonly Piece[], shared: readonly Store[]): boolean {
  const layout = joined(brief, pieces, shared);
  if (checkLegality(layout).some(({ severity }) => severity === 'error')) return false;
  const owner = pieces.flatMap(({ parts }, piece) => parts.map(() => piece));
  const { carriers } = deriveNetwork(layout);
  return carriers.every(({ part, behind, fromLeft, fromRight }) =>
    [behind, fromLeft, fromRight].every((feeder) => feeder === undefined || owner[carriers[feeder].part] === owner[part]),
  );
}
