/**
 * The strands of a layout as texts, read off its network without a machine: strands with the same text come to the same
 * flows from starts that hold their arms back alike. What is remembered by them is in `strand-memory.ts`, how a machine
 * falls into strands in `strands.ts`; why a text tells enough stands in `rationale.md`.
 */
import { entriesOf, type Layout } from '../layout/layout.js';
import { halvesOf, type Carrier, type Network } from '../layout/network.js';
import { armPart, spotOf } from './arm-spots.js';
import { orderCarriers } from './carrier-order.js';
import { LEFT, RIGHT } from './sides.js';
import { isCompact } from './tracks.js';

export interface StrandText {
  readonly text: string;
  /** Exit x 2 + side, of the layout. */
  readonly exitLanes: readonly number[];
  /** Of the network, in the order in which the text comes upon them. */
  readonly arms: readonly number[];
}

/** An arm that puts down on a lane, from and up to these positions; at a dividing line, up to so far beyond it. */
interface Drop {
  readonly arm: number;
  readonly kind: 'lane' | 'line';
  readonly from: number;
  readonly to: number;
}

/** What flows into a lane, and where a tee merge joins it. */
interface Feed {
  readonly carrier: number;
  readonly side: number;
  /** Undefined: at the lane's tail. */
  readonly join: number | undefined;
  /** Whether it moves before what comes from behind, which as a rule goes first. */
  readonly isFirst: boolean;
}

const SIDES = [LEFT, RIGHT] as const;

/**
 * Of all lanes that anything ever comes onto; none where the text of some would not tell all: with entries, rings, limits at
 * exits, arms that pick from carriers, lanes that lead nowhere, and where more than neighbours could tell in which order they moved.
 */
export function strandTexts(layout: Layout, network: Network): readonly StrandText[] {
  const members = network.carriers.map(({ index }) => index);
  const isPlain =
    entriesOf(layout).length === 0 &&
    layout.exits.every(({ take }) => take === undefined) &&
    network.arms.every(({ pick }) => pick.kind !== 'carrier') &&
    isCompact(layout, members, network);
  if (!isPlain) return [];
  const { parts, opensRing } = orderCarriers(layout, network, members);
  return opensRing ? [] : new Writer(layout, network, parts).strands();
}

class Writer {
  private readonly carriers: readonly Carrier[];
  /** By part, its place in the order of moves. */
  private readonly rankOf: ReadonlyMap<number, number>;
  /** [carrier x 2 + side]. */
  private readonly drops = new Map<number, Drop[]>();
  private readonly fed = new Map<number, boolean>();
  private readonly seen = new Set<number>();
  /** No item goes further in a tick. */
  private readonly fastest: number;
  /** Of the strand that is being written: arms, numbers of splitters' sides (left half x 2 + side), exit lanes. */
  private arms: number[] = [];
  private numbers = new Map<number, number>();
  private exitLanes: number[] = [];
  /** Lanes of splitter halves that have been followed to exits: none is of two strands. */
  private readonly noted = new Set<number>();

  constructor(
    private readonly layout: Layout,
    private readonly network: Network,
    partsInOrder: readonly number[],
  ) {
    this.carriers = network.carriers;
    this.rankOf = new Map(partsInOrder.map((part, rank) => [part, rank]));
    this.fastest = Math.max(0, ...this.carriers.map(({ speed }) => speed));
    network.arms.forEach((link, arm) => {
      if (link.pick.kind === 'nothing' || link.place.kind !== 'carrier') return;
      const { carrier, tile } = link.place;
      const spot = spotOf(layout, armPart(layout, link), this.carriers[carrier], tile);
      const [from, to] = spot.kind === 'line' ? [0, spot.beyond] : [spot.from, spot.to];
      const key = carrier * 2 + spot.side;
      this.drops.set(key, [...(this.drops.get(key) ?? []), { arm, kind: spot.kind, from, to }]);
    });
  }

  strands(): readonly StrandText[] {
    const { carriers, layout } = this;
    const found: StrandText[] = [];
    const written = new Set<number>();
    const lastOf = new Map(carriers.flatMap(({ index, next }) => (next.kind === 'exit' ? [[next.exit, index] as const] : [])));
    for (let exitLane = 0; exitLane < layout.exits.length * 2; exitLane++) {
      const last = lastOf.get(exitLane >> 1);
      if (last === undefined || written.has(exitLane) || !this.isFed(last, exitLane & 1)) continue;
      this.arms = [];
      this.numbers = new Map();
      this.exitLanes = [exitLane];
      const { pitch, unitsPerTile } = layout.catalog;
      let text = `${pitch}/${unitsPerTile}`;
      // What is written may find more exits, behind the other halves of splitters.
      for (let n = 0; n < this.exitLanes.length; n++) {
        const lane = this.exitLanes[n];
        written.add(lane);
        text += `e${this.lane(lastOf.get(lane >> 1) ?? last, lane & 1, true)}`;
      }
      const { arms, exitLanes } = this;
      const inOrder = [...arms].sort((a, b) => a - b);
      found.push({ text: `${text}@${arms.map((arm) => inOrder.indexOf(arm)).join()}`, exitLanes, arms });
    }
    const isMissed = ({ index }: Carrier): boolean => !this.seen.has(index) && SIDES.some((side) => this.isFed(index, side));
    return carriers.some(isMissed) ? [] : found;
  }

  /** Whether an item may ever leave by a carrier's lane. */
  private isFed(carrier: number, side: number): boolean {
    const key = carrier * 2 + side;
    const known = this.fed.get(key);
    if (known !== undefined) return known;
    const fed = this.feedsNow(carrier, side);
    this.fed.set(key, fed);
    return fed;
  }

  /** A carrier from which items leave by an exit may face another one all the same, where the exit is no edge of the site. */
  private passes(from: number | undefined, to: number): from is number {
    if (from === undefined) return false;
    const { next } = this.carriers[from];
    return next.kind === 'carrier' && next.carrier === to;
  }

  private feedsNow(index: number, side: number): boolean {
    const carrier = this.carriers[index];
    if (this.drops.has(index * 2 + side)) return true;
    if (carrier.kind !== 'splitter-half') return this.feedsOf(carrier, side).length > 0;
    const isOverLine = ({ kind }: Drop): boolean => kind === 'line';
    return halvesOf(carrier).some((half) => {
      const { behind } = this.carriers[half];
      return (this.passes(behind, half) && this.isFed(behind, side)) || this.drops.get(half * 2 + side)?.some(isOverLine) === true;
    });
  }

  /** Of a belt's or an underpass's lane: what brings items, from behind first. */
  private feedsOf({ index, shape, behind, fromLeft, fromRight }: Carrier, side: number): readonly Feed[] {
    const feeds: Feed[] = [];
    const rank = (carrier: number): number => this.rankOf.get(this.carriers[carrier].part) ?? -1;
    const add = (carrier: number | undefined, from: number, join: number | undefined): void => {
      if (!this.passes(carrier, index) || !this.isFed(carrier, from)) return;
      // All else in the order of moves follows from who passes to whom.
      const isFirst = join !== undefined && feeds.some((feed) => feed.join === undefined && rank(carrier) < rank(feed.carrier));
      feeds.push({ carrier, side: from, join, isFirst });
    };
    add(behind, side, undefined);
    if (shape !== 'straight') add(fromLeft ?? fromRight, side, undefined);
    else {
      const quarter = this.layout.catalog.unitsPerTile / 4;
      // Of a side belt's lanes the one nearer to where the target heads joins downstream.
      for (const from of SIDES) add(side === LEFT ? fromLeft : fromRight, from, quarter * (from === side ? 3 : 1));
    }
    return feeds;
  }

  /** Tiles of one speed that one feeder leads along are one lane, as in a machine. */
  private lane(index: number, side: number, toExit: boolean): string {
    let carrier = this.carriers[index];
    if (carrier.kind === 'splitter-half') return this.splitter(carrier, side);
    let length = lengthOf(carrier, side);
    let feeds = this.feedsOf(carrier, side);
    let drops = this.drops.get(carrier.index * 2 + side) ?? [];
    this.seen.add(carrier.index);
    while (drops.length === 0 && feeds.length === 1 && feeds[0].join === undefined) {
      const before = this.carriers[feeds[0].carrier];
      if (before.kind === 'splitter-half' || before.speed !== carrier.speed) break;
      carrier = before;
      length += lengthOf(carrier, side);
      feeds = this.feedsOf(carrier, side);
      drops = this.drops.get(carrier.index * 2 + side) ?? [];
      this.seen.add(carrier.index);
    }
    if (toExit) length = Math.min(length, this.lengthThatMatters(feeds, drops));
    const joined = feeds.map((feed) => `${feed.join ?? ''}${feed.isFirst ? '!' : ''}${this.lane(feed.carrier, feed.side, false)}`);
    return `b${carrier.speed}.${length}${this.dropsText(drops)}(${joined.join('|')})`;
  }

  /**
   * How much of a free way to an exit matters: items there never wait for anything, so what is a pitch beyond the last place
   * where any may come in is felt by none of them.
   */
  private lengthThatMatters(feeds: readonly Feed[], drops: readonly Drop[]): number {
    const last = Math.max(0, ...feeds.map(({ join }) => join ?? 0)) + this.fastest;
    return Math.max(last, ...drops.map(({ to }) => to)) + this.layout.catalog.pitch;
  }

  /** Both halves, on one side, as a feeder of what lies before one of them. */
  private splitter({ index, side: own }: Carrier, side: number): string {
    const halves = halvesOf(this.carriers[index]);
    // Its two sides share nothing, and either does what the other would.
    const key = halves[0] * 2 + side;
    const known = this.numbers.get(key);
    const number = known ?? this.numbers.size;
    const name = `s${number}${own === 'left' ? 'l' : 'r'}`;
    if (known !== undefined) return name;
    this.numbers.set(key, number);
    const body = halves.map((half) => this.half(half, side));
    return `${name}[${this.partText(this.carriers[halves[0]])};${body.join(';')}]`;
  }

  private half(half: number, side: number): string {
    const { behind, next } = this.carriers[half];
    this.seen.add(half);
    if (this.isFed(half, side)) this.noteExits(half, side);
    const feed = this.passes(behind, half) && this.isFed(behind, side) ? this.lane(behind, side, false) : '';
    return `${next.kind === 'nothing' ? 'x' : ''}${this.dropsText(this.drops.get(half * 2 + side) ?? [])}${feed}`;
  }

  /** The exit lanes to which a fed lane leads belong to the strand too. */
  private noteExits(from: number, side: number): void {
    const { next, kind } = this.carriers[from];
    if (next.kind === 'exit') {
      const exitLane = next.exit * 2 + side;
      if (!this.exitLanes.includes(exitLane)) this.exitLanes.push(exitLane);
    }
    if (next.kind !== 'carrier' || (kind === 'splitter-half' && this.noted.has(from * 2 + side))) return;
    if (kind === 'splitter-half') this.noted.add(from * 2 + side);
    const onto = next.entry === 'tee-left' ? LEFT : next.entry === 'tee-right' ? RIGHT : side;
    const to = this.carriers[next.carrier];
    if (to.kind === 'splitter-half') for (const half of halvesOf(to)) this.noteExits(half, onto);
    else this.noteExits(next.carrier, onto);
  }

  private partText({ part, speed }: Carrier): string {
    const placed = this.layout.parts[part];
    const favours = placed.kind === 'splitter' ? `${placed.favourIn ?? ''}.${placed.favourOut ?? ''}` : '';
    return `${speed}.${favours}`;
  }

  private dropsText(drops: readonly Drop[]): string {
    return drops
      .map(({ arm, kind, from, to }) => {
        const { payload, swingTicks, grabTicks, releaseTicks } = armPart(this.layout, this.network.arms[arm]).model;
        this.arms.push(arm);
        return `${kind === 'line' ? 'd' : 'a'}${payload}.${swingTicks}.${grabTicks}.${releaseTicks}.${from}.${to}`;
      })
      .join('');
  }
}

const lengthOf = ({ leftLength, rightLength }: Carrier, side: number): number => (side === LEFT ? leftLength : rightLength);
