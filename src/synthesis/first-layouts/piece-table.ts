/**
 * The pieces of which a layout is put together: asked for, taken, designed again, given up, with what was asked before.
 * When which is asked for is in `first-layouts.ts`.
 */
import { sameTile } from '../../base/geometry.js';
import { ratio, sumRational, ZERO, type Rational } from '../../base/rational.js';
import type { Brief, ExitDemand } from '../../brief/brief.js';
import { beltCapacity, tilesOf, type Layout, type Part } from '../../layout/layout.js';
import { aimed, briefAlone, spreadOut, targetsAlone, textOf, type Ground } from './brief-alone.js';
import type { AloneAnswer, DesignAlone, GatherAlone, NearbyDesign } from './design-alone.js';
import type { Strip } from './exit-strips.js';
import { networksOfLayout } from './networks-of-layout.js';
import type { Packed, PackedStation, Passes } from './packing.js';
import { areApart, columnsOf, joined, pieceOf, priceOfParts, type Piece } from './pieces.js';
import { liftsFrom, partsOf, sparing, storesIn, type Store } from './shared-chests.js';
import { isHigh } from './simpler-designs.js';
import { shifted, standingHead, type Head } from './station-heads.js';

export interface FirstLayoutTools {
  readonly designAlone: DesignAlone;
  readonly gatherAlone: GatherAlone;
  readonly nearbyCrews: NearbyDesign;
  /** Whether a layout meets a brief: the whole one, or some of its exits alone. */
  readonly passes: (layout: Layout, brief: Brief) => boolean;
}

interface Attempt {
  /** Columns that are added at both sides. */
  readonly spread: number;
  /** How much more than its target each exit is to carry: 0 nothing, 1 all that its belt can. */
  readonly aim: Rational;
  readonly milliseconds: number;
}

interface Ask extends Attempt, Ground {
  readonly exits: readonly number[];
}

const HALF = ratio(1, 2);
const FULL = ratio(1);
const AIMS: readonly Rational[] = [ZERO, FULL];
/** Near a belt's most it is the layouts that only just fall short that take long: so more is asked first. */
export const HIGH_AIMS: readonly Rational[] = [HALF, FULL, ZERO];
/** A network takes three columns as a rule: a chest, an arm beside it, and the belt that it places on. */
export const LEAST_STRIP = 3;
/** Each holds what it knows of its search. */
const MOST_BEGUN = 12;
/** Crews near the one that exits have are looked for this far around where they stand. */
const NEARBY_SPREAD = 3;

/** The exits' pieces so far, the stores that several of them share, and what has been asked before. */
export class PieceTable {
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

  /** What just these exits have; undefined where some is missing, or they have come to share a network with others. */
  private piecesOf(exits: readonly number[]): readonly Piece[] | undefined {
    const pieces = this.pieces.filter((piece) => piece.exits.some((e) => exits.includes(e)));
    return pieces.flatMap((piece) => piece.exits).length === exits.length ? pieces : undefined;
  }

  /** Looks for a cheaper piece of exits around where they stand; whether that took any time. */
  async redesign(exits: readonly number[], attempt: Attempt): Promise<boolean> {
    const now = this.piecesOf(exits);
    if (now === undefined) return false;
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
    const now = this.piecesOf(exits);
    if (now === undefined) return false;
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
    return priceOfParts(this.brief, parts);
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

const drawKey = (exits: readonly number[], { chest }: Store): string => `${exits.join()}@${chest.at.x},${chest.at.y}`;
