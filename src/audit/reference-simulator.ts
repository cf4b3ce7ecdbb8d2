/**
 * The world rules, transcribed as literally as possible: an object per item, a list per lane, exact rationals for
 * credits, and no cleverness. It is slow on purpose and shares no code with `src/simulation`, so that the two can
 * witness each other (`test/oracles/agreement.test.ts`).
 * Where the world rules are silent, what was chosen is said in `rationale.md` beside this file.
 */
import { invariant } from '../base/invariant.js';
import {
  backOf,
  compareTiles,
  leftOf,
  rightHalfOf,
  rightOf,
  sameTile,
  stepFrom,
  type Heading,
  type Tile,
} from '../base/geometry.js';
import { ONE, ZERO, compare, formatRational, maxRational, minRational, ratio, type Rational } from '../base/rational.js';
import {
  entriesOf,
  pickTile,
  placeTile,
  tilesApart,
  tilesOf,
  underpassHeading,
  wagonAt,
  type Layout,
  type PlacedArm,
  type PlacedEntry,
  type PlacedExit,
  type PlacedSplitter,
  type Side,
} from '../layout/layout.js';
import type { Counts } from '../simulation/trial-result.js';

const SIDES: readonly Side[] = ['left', 'right'];
const otherSide = (side: Side): Side => (side === 'left' ? 'right' : 'left');

// ---------------------------------------------------------------------------------------------- what a world holds

interface Item {
  readonly id: number;
  /** Units from the start of its lane. */
  at: number;
  /** The tick in which it last moved, or tried to: an item moves once in a tick. */
  movedIn: number;
}

/** What lies past the end of a lane. */
type Way =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'lane'; readonly lane: Lane }
  | { readonly kind: 'tee'; readonly near: Lane; readonly join: number }
  | { readonly kind: 'line' }
  | { readonly kind: 'exit'; readonly exit: ExitState; readonly side: Side };

/** A stretch on which items keep their order. A splitter half has an input and an output stretch on each side. */
interface Lane {
  readonly name: string;
  readonly length: number;
  readonly speed: number;
  /** The foremost first. */
  items: Item[];
  way: Way;
  /** The lane that flows into the start of this one from behind or through a turn. */
  before: Lane | undefined;
}

type Lanes = Readonly<Record<Side, Lane>>;

interface BeltState {
  readonly kind: 'belt';
  readonly at: Tile;
  readonly heading: Heading;
  readonly lanes: Lanes;
}

interface UnderpassState {
  readonly kind: 'underpass';
  readonly from: Tile;
  readonly to: Tile;
  readonly heading: Heading;
  readonly tilesApart: number;
  readonly lanes: Lanes;
}

interface HalfState {
  readonly at: Tile;
  readonly input: Lanes;
  readonly output: Lanes;
}

interface SplitterState {
  readonly kind: 'splitter';
  readonly placed: PlacedSplitter;
  readonly heading: Heading;
  readonly halves: Readonly<Record<Side, HalfState>>;
  /** By lane side: the half that is tried first. */
  readonly outputToggle: Record<Side, Side>;
  readonly inputToggle: Record<Side, Side>;
}

type CarrierState = BeltState | UnderpassState | SplitterState;

/** Where a carrier hands on its items: the tile that they leave, and the lanes that end there. */
interface Head {
  readonly carrier: CarrierState;
  readonly at: Tile;
  readonly heading: Heading;
  readonly lanes: Lanes;
}

interface ExitState {
  readonly placed: PlacedExit;
  /** The speed of the carrier on the exit's tile; 0 where nothing reaches the exit. */
  speed: number;
  credit: Rational;
  /** The lane that had the last item. */
  last: Side | undefined;
  readonly counts: Record<Side, number>;
  readonly departures: Record<Side, { readonly tick: number; readonly unspent: number }[]>;
}

/** What waits behind an entry's edge: an endless belt, packed at the pitch, of which a stretch is kept. */
interface EntryState {
  readonly placed: PlacedEntry;
  readonly lanes: Lanes;
  credit: Rational;
  /** The lane that had the last item. */
  last: Side | undefined;
  readonly counts: Record<Side, number>;
}

interface Container {
  /** Items that arms may still take out, and put in; Infinity in a steady run. */
  held: number;
  room: number;
  taken: number;
  delivered: number;
}

/** A part of a lane that lies on one tile, in units from the lane's start, both ends included. */
interface Stretch {
  readonly lane: Lane;
  readonly low: number;
  readonly high: number;
}

type Source =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'container'; readonly container: Container }
  /** In the order in which the arm looks through them. */
  | { readonly kind: 'lanes'; readonly what: string; readonly stretches: readonly Stretch[] };

type Target =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'container'; readonly container: Container }
  | { readonly kind: 'spot'; readonly what: string; readonly stretch: Stretch; readonly spot: number }
  | { readonly kind: 'line'; readonly what: string; readonly splitter: SplitterState; readonly side: Side };

interface ArmState {
  readonly placed: PlacedArm;
  readonly source: Source;
  readonly target: Target;
  readonly holdBackTicks: number;
  hand: Item[];
  taken: number;
  /** `out` and `back` end at the tick `arrives`, in which the arm may already act on the other side. */
  phase: 'pick' | 'out' | 'place' | 'back';
  arrives: number;
  /** The tick of the last take or placement of this visit. */
  lastAct: number | undefined;
}

export interface ReferenceRun {
  readonly tick: () => number;
  readonly step: () => void;
  readonly counts: () => Counts;
  /** Every item that lies on a lane or in a hand. */
  readonly items: () => readonly { readonly id: number; readonly where: string; readonly at: number | undefined }[];
  /** Every item on a carrier: its tile, its lane, and the units from the tail of its belt, splitter half or underpass. */
  readonly places: () => readonly { readonly tile: Tile; readonly lane: Side; readonly position: number }[];
  readonly totals: () => {
    readonly taken: number;
    readonly delivered: number;
    readonly left: number;
    readonly entered: number;
    readonly inside: number;
  };
  /** What wagons (0 where none stands) and chests hold, in the order of `VisitLevels`. */
  readonly levels: () => { readonly wagons: readonly number[]; readonly chests: readonly number[] };
  /** The trains that have left. */
  readonly visits: () => readonly ReferenceVisit[];
  /** What all trains that came have brought. */
  readonly brought: () => number;
  /** Gaps in units from each item that left to the one before it, per exit in the layout's order. */
  readonly gaps: () => readonly { readonly left: readonly number[]; readonly right: readonly number[] }[];
  /**
   * The greatest gap in units on each exit's lanes in a period of so many ticks that ends now, the one from its first
   * item to the last of the period before included; undefined where no item leaves.
   */
  readonly greatestGaps: (periodTicks: number) => readonly Readonly<Record<Side, number | undefined>>[];
  /** Items that each arm took, in the order of the layout's parts. */
  readonly takenByArms: () => readonly { readonly at: Tile; readonly taken: number }[];
  /** The whole state as text: equal texts have equal futures. */
  readonly key: () => string;
  /** How often each kind of thing happened; shape counts too. */
  readonly events: ReadonlyMap<string, number>;
  /** Names of the first two items found closer than the pitch along a lane's way, if any. */
  readonly tooClose: () => string | undefined;
}

const show = (tile: Tile): string => `${tile.x},${tile.y}`;

// --------------------------------------------------------------------------------------------------- the simulator

/** Real counts: what the wagons (in the layout's order) and the chests (in that of its parts) hold at the start. */
export interface VisitLevels {
  readonly wagons: readonly number[];
  readonly chests: readonly number[];
  /** With one, `wagons` is what each train brings; without, the wagons stand there for ever. */
  readonly timetable?: {
    /** Least ticks from one arrival to the next; undefined: a train comes as soon as the one before has left. */
    readonly headwayTicks: number | undefined;
    /** Most ticks that a train stands there; undefined: until it is empty. */
    readonly stayTicks: number | undefined;
    /** When a train leaves before that: once it is empty (also where left out), or once it is full. */
    readonly leaves?: 'empty' | 'full' | undefined;
  };
}

/** A train's stay: ticks that had passed when it came and when it left, and what it took away again. */
export interface ReferenceVisit {
  readonly arrived: number;
  readonly left: number;
  readonly takenAway: number;
}

/**
 * `holdBackTicks`: for each arm, in the order of the layout's parts, the ticks it stays idle at the start.
 * Without `visit`, containers never run dry and never fill.
 */
export function referenceRun(
  layout: Layout,
  holdBackTicks: readonly number[] = [],
  visit?: VisitLevels,
): ReferenceRun {
  const U = layout.catalog.unitsPerTile;
  const P = layout.catalog.pitch;
  const events = new Map<string, number>();
  const happened = (what: string): void => void events.set(what, (events.get(what) ?? 0) + 1);
  let now = 0;
  let nextId = 0;

  // ------------------------------------------------------------------------------------------------ shapes and ways

  const headHeadings = new Map<string, Heading>();
  for (const part of layout.parts) {
    if (part.kind === 'belt') headHeadings.set(show(part.at), part.heading);
    if (part.kind === 'splitter') for (const tile of tilesOf(part)) headHeadings.set(show(tile), part.heading);
    if (part.kind === 'underpass') headHeadings.set(show(part.to), underpassHeading(part));
  }
  const isFeeder = (tile: Tile, heading: Heading): boolean => headHeadings.get(show(tile)) === heading;

  interface Feeders {
    readonly behind: boolean;
    readonly left: boolean;
    readonly right: boolean;
  }
  const isEntered = (at: Tile, heading: Heading): boolean =>
    entriesOf(layout).some((entry) => entry.heading === heading && sameTile(entry.at, at));
  const feedersOf = (at: Tile, heading: Heading): Feeders => ({
    behind: isFeeder(stepFrom(at, backOf(heading)), heading) || isEntered(at, heading),
    left: isFeeder(stepFrom(at, leftOf(heading)), rightOf(heading)),
    right: isFeeder(stepFrom(at, rightOf(heading)), leftOf(heading)),
  });
  /** The side from which a turn is fed, or undefined for a straight tile. */
  const turnsFrom = (at: Tile, heading: Heading): Side | undefined => {
    const feeders = feedersOf(at, heading);
    if (feeders.behind || feeders.left === feeders.right) return undefined;
    return feeders.left ? 'left' : 'right';
  };

  const makeLane = (name: string, length: number, speed: number): Lane => ({
    name,
    length,
    speed,
    items: [],
    way: { kind: 'nothing' },
    before: undefined,
  });
  const makeLanes = (name: string, lengths: Readonly<Record<Side, number>>, speed: number): Lanes => ({
    left: makeLane(`${name} left`, lengths.left, speed),
    right: makeLane(`${name} right`, lengths.right, speed),
  });
  const both = (length: number): Record<Side, number> => ({ left: length, right: length });

  const carriers: CarrierState[] = [];
  for (const part of layout.parts) {
    if (part.kind === 'belt') {
      const from = turnsFrom(part.at, part.heading);
      const lengths = both(U);
      if (from !== undefined) {
        lengths[from] = layout.catalog.turn.inner;
        lengths[otherSide(from)] = layout.catalog.turn.outer;
        happened('shape: turn');
      }
      const lanes = makeLanes(`belt ${show(part.at)}`, lengths, part.model.speed);
      carriers.push({ kind: 'belt', at: part.at, heading: part.heading, lanes });
    } else if (part.kind === 'underpass') {
      const apart = tilesApart(part);
      const lanes = makeLanes(`underpass ${show(part.from)}`, both((apart + 1) * U), part.model.speed);
      const heading = underpassHeading(part);
      carriers.push({ kind: 'underpass', from: part.from, to: part.to, heading, tilesApart: apart, lanes });
    } else if (part.kind === 'splitter') {
      const half = (at: Tile): HalfState => ({
        at,
        input: makeLanes(`splitter in ${show(at)}`, both(U / 2), part.model.speed),
        output: makeLanes(`splitter out ${show(at)}`, both(U / 2), part.model.speed),
      });
      const halves = { left: half(part.at), right: half(rightHalfOf(part.at, part.heading)) };
      carriers.push({
        kind: 'splitter',
        placed: part,
        heading: part.heading,
        halves,
        outputToggle: { left: 'left', right: 'left' },
        inputToggle: { left: 'left', right: 'left' },
      });
    }
  }

  const headsOf = (carrier: CarrierState): readonly Head[] => {
    const heading = carrier.heading;
    switch (carrier.kind) {
      case 'belt':
        return [{ carrier, at: carrier.at, heading, lanes: carrier.lanes }];
      case 'underpass':
        return [{ carrier, at: carrier.to, heading, lanes: carrier.lanes }];
      case 'splitter':
        return SIDES.map((side) => ({
          carrier,
          at: carrier.halves[side].at,
          heading,
          lanes: carrier.halves[side].output,
        }));
    }
  };
  const carrierTiles = (carrier: CarrierState): readonly Tile[] => {
    switch (carrier.kind) {
      case 'belt':
        return [carrier.at];
      case 'underpass':
        return [carrier.from, carrier.to];
      case 'splitter':
        return [carrier.halves.left.at, carrier.halves.right.at];
    }
  };
  const carrierAt = (tile: Tile): CarrierState | undefined =>
    carriers.find((carrier) => carrierTiles(carrier).some((own) => sameTile(own, tile)));

  const exits: ExitState[] = layout.exits.map((placed) => ({
    placed,
    speed: 0,
    credit: ZERO,
    last: undefined,
    counts: { left: 0, right: 0 },
    departures: { left: [], right: [] },
  }));

  /** The tail of the carrier onto which an entry's items come, if one with its heading is there. */
  const tailAt = (entry: PlacedEntry): Lanes | undefined => {
    const carrier = carrierAt(entry.at);
    if (carrier?.heading !== entry.heading) return undefined;
    switch (carrier.kind) {
      case 'belt':
        return carrier.lanes;
      case 'underpass':
        return sameTile(carrier.from, entry.at) ? carrier.lanes : undefined;
      case 'splitter':
        return SIDES.map((side) => carrier.halves[side]).find((half) => sameTile(half.at, entry.at))?.input;
    }
  };
  const entries = entriesOf(layout).flatMap((placed): readonly EntryState[] => {
    const tail = tailAt(placed);
    if (tail === undefined) return [];
    const length = 3 * P;
    const lanes = makeLanes(`entry ${show(placed.at)}`, both(length), tail.left.speed);
    for (const side of SIDES) {
      lanes[side].way = { kind: 'lane', lane: tail[side] };
      tail[side].before = lanes[side];
      lanes[side].items = [0, 1, 2].map((back) => ({ id: -1, at: length - back * P, movedIn: 0 }));
    }
    return [{ placed, lanes, credit: ZERO, last: undefined, counts: { left: 0, right: 0 } }];
  });

  /** Who must have moved before whom. */
  const passesTo = new Map<CarrierState, CarrierState[]>();
  const waitsForBehind = new Map<CarrierState, CarrierState[]>();

  for (const carrier of carriers) {
    const targets: CarrierState[] = [];
    const behinds: CarrierState[] = [];
    if (carrier.kind === 'splitter') {
      for (const half of SIDES) for (const side of SIDES) carrier.halves[half].input[side].way = { kind: 'line' };
    }
    for (const head of headsOf(carrier)) {
      const exit = exits.find((one) => one.placed.heading === head.heading && sameTile(one.placed.at, head.at));
      if (exit !== undefined) {
        exit.speed = head.lanes.left.speed;
        for (const side of SIDES) head.lanes[side].way = { kind: 'exit', exit, side };
        continue;
      }
      const ahead = stepFrom(head.at, head.heading);
      const target = carrierAt(ahead);
      if (target === undefined) {
        happened('shape: faces nothing');
        continue;
      }
      const flowInto = (lanes: Lanes): void => {
        for (const side of SIDES) {
          head.lanes[side].way = { kind: 'lane', lane: lanes[side] };
          lanes[side].before = head.lanes[side];
        }
        targets.push(target);
      };
      if (target.kind === 'splitter') {
        if (target.heading !== head.heading) happened('shape: into a splitter side');
        for (const half of SIDES) {
          if (sameTile(target.halves[half].at, ahead) && target.heading === head.heading) flowInto(target.halves[half].input);
        }
      } else if (target.kind === 'underpass') {
        if (sameTile(target.from, ahead) && target.heading === head.heading) flowInto(target.lanes);
        else happened('shape: into an underpass side');
      } else if (head.heading === backOf(target.heading)) {
        happened('shape: head on');
      } else if (head.heading === target.heading || turnsFrom(target.at, target.heading) !== undefined) {
        flowInto(target.lanes);
      } else {
        // A tee merge from the left of the target heads to the target's right, and the other way round.
        const nearSide: Side = head.heading === rightOf(target.heading) ? 'left' : 'right';
        const upstreamSide: Side = rightOf(head.heading) === backOf(target.heading) ? 'right' : 'left';
        const near = target.lanes[nearSide];
        for (const side of SIDES) {
          head.lanes[side].way = { kind: 'tee', near, join: side === upstreamSide ? U / 4 : (3 * U) / 4 };
        }
        targets.push(target);
        const behind = carrierAt(stepFrom(target.at, backOf(target.heading)));
        if (feedersOf(target.at, target.heading).behind && behind !== undefined) {
          behinds.push(behind);
          happened('shape: tee into through traffic');
        } else {
          happened('shape: opposed tee');
        }
      }
    }
    passesTo.set(carrier, targets);
    waitsForBehind.set(carrier, behinds);
  }

  // ----------------------------------------------------------------------------------------------- order of movement

  const leastTile = (carrier: CarrierState): Tile => [...carrierTiles(carrier)].sort(compareTiles)[0];
  const least = (some: readonly CarrierState[]): CarrierState | undefined =>
    [...some].sort((a, b) => compareTiles(leastTile(a), leastTile(b)))[0];

  function orderOfMovement(): readonly CarrierState[] {
    const order: CarrierState[] = [];
    const dropped = new Set<CarrierState>();
    while (order.length < carriers.length) {
      const waiting = carriers.filter((carrier) => !order.includes(carrier));
      const targetsMoved = (carrier: CarrierState): boolean => (passesTo.get(carrier) ?? []).every((one) => order.includes(one));
      const behindsMoved = (carrier: CarrierState): boolean =>
        dropped.has(carrier) || (waitsForBehind.get(carrier) ?? []).every((one) => order.includes(one));
      const free = least(waiting.filter((carrier) => targetsMoved(carrier) && behindsMoved(carrier)));
      if (free !== undefined) {
        order.push(free);
        continue;
      }
      const heldByBehindAlone = least(waiting.filter(targetsMoved));
      if (heldByBehindAlone !== undefined) {
        dropped.add(heldByBehindAlone);
        happened('order: behind rule dropped');
        continue;
      }
      const reach = (from: CarrierState): ReadonlySet<CarrierState> => {
        const seen = new Set<CarrierState>();
        const open = [from];
        for (let one = open.pop(); one !== undefined; one = open.pop()) {
          for (const target of passesTo.get(one) ?? []) {
            if (order.includes(target) || seen.has(target)) continue;
            seen.add(target);
            open.push(target);
          }
        }
        return seen;
      };
      // On a last ring: all that it reaches reaches it again.
      const onLastRing = waiting.filter((carrier) => {
        const reached = [...reach(carrier)];
        return reached.includes(carrier) && reached.every((one) => reach(one).has(carrier));
      });
      const opened = least(onLastRing);
      invariant(opened !== undefined, 'some carrier is on a last ring');
      order.push(opened);
      happened('order: ring opened');
    }
    return order;
  }
  const order = orderOfMovement();

  // ------------------------------------------------------------------------------------------------------- distances

  /** No test reaches further: a move, or a slack at a dividing line, plus the pitch, each of them at most U. */
  const farEnough = 2 * U;

  /** Units to the nearest item at or ahead of a position, along the lane's way; Infinity for none within reach. */
  function distanceAhead(lane: Lane, at: number, but?: Item): number {
    let walked = -at;
    let least = at;
    for (let here = lane; ; ) {
      const ahead = here.items.filter((item) => item !== but && item.at >= least).map((item) => walked + item.at);
      if (ahead.length > 0) return Math.min(...ahead);
      walked += here.length;
      least = 0;
      if (here.way.kind !== 'lane' || walked > farEnough) return Infinity;
      here = here.way.lane;
    }
  }

  /** Units to the nearest item behind a position, against the lane's way; Infinity for none within reach. */
  function distanceBehind(lane: Lane, at: number): number {
    const own = lane.items.filter((item) => item.at < at).map((item) => at - item.at);
    if (own.length > 0) return Math.min(...own);
    let walked = at;
    for (let here = lane.before; here !== undefined && walked <= farEnough; here = here.before) {
      const length = here.length;
      const behind = here.items.map((item) => walked + length - item.at);
      if (behind.length > 0) return Math.min(...behind);
      walked += length;
    }
    return Infinity;
  }

  const isFree = (lane: Lane, at: number): boolean => distanceAhead(lane, at) >= P && distanceBehind(lane, at) >= P;

  function put(lane: Lane, item: Item, at: number): void {
    item.at = at;
    lane.items = [...lane.items, item].sort((a, b) => b.at - a.at);
  }
  function lift(lane: Lane, item: Item): void {
    lane.items = lane.items.filter((one) => one !== item);
  }

  // -------------------------------------------------------------------------------------------------------- movement

  /** Where a move ends. `travelled` counts on past an exit's edge. */
  type Destination = { readonly travelled: number; readonly teePassed: boolean } & (
    | { readonly kind: 'rest'; readonly lane: Lane; readonly at: number }
    | { readonly kind: 'exit'; readonly exit: ExitState; readonly side: Side; readonly unspent: number }
  );

  const mayLeave = (exit: ExitState): boolean => exit.placed.take === undefined || compare(exit.credit, ONE) >= 0;

  /** Where a move of `units` from a position ends if no item is in its way (but those at tee merges). */
  function destination(lane: Lane, at: number, units: number): Destination {
    if (at + units <= lane.length) return { kind: 'rest', lane, at: at + units, travelled: units, teePassed: false };
    const here = lane.length - at;
    const left = units - here;
    const atEnd: Destination = { kind: 'rest', lane, at: lane.length, travelled: here, teePassed: false };
    switch (lane.way.kind) {
      case 'nothing':
      case 'line':
        return atEnd;
      case 'lane': {
        const further = destination(lane.way.lane, 0, left);
        return { ...further, travelled: here + further.travelled };
      }
      case 'exit':
        if (!mayLeave(lane.way.exit)) {
          happened('exit: no credit');
          return atEnd;
        }
        return { kind: 'exit', exit: lane.way.exit, side: lane.way.side, unspent: left, travelled: units, teePassed: false };
      case 'tee': {
        const entered = teeEntry(lane.way.near, lane.way.join, left);
        return entered === undefined ? atEnd : { ...entered, teePassed: true };
      }
    }
  }

  /** Where an item ends that enters the near lane with `left` units of its move; undefined if it has to wait. */
  function teeEntry(near: Lane, join: number, left: number): Destination | undefined {
    const units = Math.min(left, distanceAhead(near, join) - P);
    if (units < 0) {
      happened('tee: waits for the item ahead');
      return undefined;
    }
    const to = destination(near, join, units);
    if (to.teePassed) {
      happened('tee: two in one move');
      return to;
    }
    if (distanceBehind(near, join) + to.travelled < P) {
      happened('tee: waits for the item behind');
      return undefined;
    }
    happened('tee: entered');
    if (to.kind === 'exit') happened('tee: entered and left');
    if (to.kind === 'rest' && to.lane !== near) happened('tee: entered beyond the target');
    return to;
  }

  function settle(item: Item, to: Destination): void {
    if (to.kind === 'rest') {
      put(to.lane, item, to.at);
      return;
    }
    if (to.exit.placed.take !== undefined) to.exit.credit = to.exit.credit.sub(ONE);
    to.exit.last = to.side;
    to.exit.counts[to.side] += 1;
    to.exit.departures[to.side].push({ tick: now, unspent: to.unspent });
    happened(to.exit.placed.take === undefined ? 'exit: left, open' : 'exit: left, metered');
  }

  /** Moves by at most `speed` (that of the tile on which the item starts) from a position of a lane. */
  function advance(item: Item, lane: Lane, at: number, units: number): void {
    const allowed = Math.max(0, Math.min(units, distanceAhead(lane, at) - P));
    settle(item, destination(lane, at, allowed));
  }

  function moveLane(lane: Lane): void {
    for (const item of [...lane.items]) {
      if (item.movedIn === now) continue;
      item.movedIn = now;
      lift(lane, item);
      advance(item, lane, item.at, lane.speed);
    }
  }

  /** Moves two lanes that end at one head, in the order that the rules give. */
  function moveHead(lanes: Lanes): void {
    const leftWay = lanes.left.way;
    const rightWay = lanes.right.way;
    let first: Side = 'left';
    if (leftWay.kind === 'tee' && rightWay.kind === 'tee') first = leftWay.join > rightWay.join ? 'left' : 'right';
    if (leftWay.kind === 'exit' && leftWay.exit.placed.take !== undefined) {
      const exit = leftWay.exit;
      const couldLeave = (lane: Lane): boolean => {
        const foremost = lane.items[0];
        return foremost !== undefined && foremost.movedIn !== now && foremost.at + lane.speed > lane.length;
      };
      if (couldLeave(lanes.left) && couldLeave(lanes.right) && mayLeave(exit)) {
        first = exit.last === undefined ? 'left' : otherSide(exit.last);
        happened(`exit: both could leave, ${first} first`);
      }
    }
    moveLane(lanes[first]);
    moveLane(lanes[otherSide(first)]);
  }

  /** Lets one lane's queue move; an item needs credit to come in, and without it stops at the edge. */
  function moveQueue(entry: EntryState, side: Side): void {
    const lane = entry.lanes[side];
    const into = lane.way;
    const isShut = entry.placed.give !== undefined && compare(entry.credit, ONE) < 0;
    const foremost = lane.items[0];
    invariant(foremost !== undefined, 'a queue has no end');
    const units = Math.max(0, Math.min(lane.speed, distanceAhead(lane, foremost.at, foremost) - P));
    const wouldEnter = foremost.at + units > lane.length;
    if (isShut && wouldEnter) {
      happened('entry: no credit');
      foremost.at = lane.length;
    } else if (wouldEnter && into.kind === 'lane') {
      lift(lane, foremost);
      nextId += 1;
      const to = destination(into.lane, 0, foremost.at + units - lane.length);
      invariant(to.kind === 'rest' && to.lane === into.lane, 'an item that comes in ends on the carrier of its entry');
      put(to.lane, { id: nextId, at: 0, movedIn: now }, to.at);
      entry.counts[side] += 1;
      entry.last = side;
      if (entry.placed.give !== undefined) entry.credit = entry.credit.sub(ONE);
      happened(entry.placed.give === undefined ? 'entry: came in' : 'entry: came in, metered');
    } else {
      if (units < lane.speed) happened('entry: waits for room');
      foremost.at += units;
    }
    for (const item of [...lane.items]) {
      if (item === foremost) continue;
      item.at += Math.max(0, Math.min(lane.speed, distanceAhead(lane, item.at, item) - P));
    }
    const last = lane.items[lane.items.length - 1];
    if (last !== undefined && last.at >= P) put(lane, { id: -1, at: 0, movedIn: now }, last.at - P);
  }

  function moveEntries(carrier: CarrierState): void {
    for (const entry of entries) {
      if (carrierAt(entry.placed.at) !== carrier) continue;
      const first: Side = entry.last === undefined ? 'left' : otherSide(entry.last);
      moveQueue(entry, first);
      moveQueue(entry, otherSide(first));
    }
  }

  /** The output halves in the order in which a lane side tries them. */
  const outputOrder = (splitter: SplitterState, side: Side): readonly Side[] => {
    const first = splitter.placed.favourOut ?? splitter.outputToggle[side];
    return [first, otherSide(first)];
  };
  function turnOutputToggle(splitter: SplitterState, side: Side, used: Side): void {
    if (splitter.placed.favourOut === undefined) splitter.outputToggle[side] = otherSide(used);
  }

  /** Whether the item crossed. */
  function cross(splitter: SplitterState, half: Side, side: Side): boolean {
    const input = splitter.halves[half].input[side];
    const item = input.items[0];
    invariant(item !== undefined, 'an item wants to cross');
    const beyond = item.at + input.speed - input.length;
    for (const used of outputOrder(splitter, side)) {
      const output = splitter.halves[used].output[side];
      if (distanceAhead(output, 0) < P) continue;
      lift(input, item);
      item.movedIn = now;
      advance(item, output, 0, beyond);
      if (used === otherSide(outputOrder(splitter, side)[0])) happened('splitter: crossed to the second choice');
      turnOutputToggle(splitter, side, used);
      happened(splitter.placed.favourOut === undefined ? 'splitter: crossed' : 'splitter: crossed by favour');
      if (half !== used) happened('splitter: changed halves');
      return true;
    }
    happened('splitter: stopped at the line');
    return false;
  }

  function moveSplitter(splitter: SplitterState): void {
    for (const half of SIDES) moveHead(splitter.halves[half].output);
    for (const side of SIDES) {
      const wanting = SIDES.filter((half) => {
        const input = splitter.halves[half].input[side];
        const foremost = input.items[0];
        return foremost !== undefined && foremost.movedIn !== now && foremost.at + input.speed > input.length;
      });
      if (wanting.length === 2) {
        const first = splitter.placed.favourIn ?? splitter.inputToggle[side];
        const crossed = cross(splitter, first, side);
        cross(splitter, otherSide(first), side);
        if (crossed && splitter.placed.favourIn === undefined) splitter.inputToggle[side] = otherSide(first);
        if (crossed) happened(splitter.placed.favourIn === undefined ? 'splitter: both want' : 'splitter: both want, favour');
      } else {
        for (const half of wanting) cross(splitter, half, side);
      }
      for (const half of SIDES) moveLane(splitter.halves[half].input[side]);
    }
  }

  function moveCarriers(): void {
    for (const carrier of order) {
      if (carrier.kind === 'splitter') moveSplitter(carrier);
      else moveHead(carrier.lanes);
      moveEntries(carrier);
    }
  }

  // ------------------------------------------------------------------------------------------------------------ arms

  const makeContainer = (capacity: number, held: number | undefined): Container => ({
    held: visit === undefined ? Infinity : (held ?? 0),
    room: visit === undefined ? Infinity : capacity - (held ?? 0),
    taken: 0,
    delivered: 0,
  });
  const wagons: Container[] = layout.wagons.map((wagon, i) => makeContainer(wagon.model.capacity, visit?.wagons[i]));
  const chests = layout.parts
    .flatMap((part) => (part.kind === 'chest' ? [part] : []))
    .map((part, i) => ({ at: part.at, container: makeContainer(part.model.capacity, visit?.chests[i]) }));
  const containerAt = (tile: Tile): Container | undefined => {
    const wagon = wagonAt(layout.wagons, tile);
    if (wagon !== undefined) return wagons[wagon];
    return chests.find((chest) => sameTile(chest.at, tile))?.container;
  };

  /** The stretches of a lane side that lie on a tile, the foremost first. */
  function stretchesOn(carrier: CarrierState, tile: Tile, side: Side): readonly Stretch[] {
    switch (carrier.kind) {
      case 'belt':
        return [{ lane: carrier.lanes[side], low: 0, high: carrier.lanes[side].length }];
      case 'underpass': {
        if (sameTile(carrier.from, tile)) return [{ lane: carrier.lanes[side], low: 0, high: U }];
        // An item on the border is on the tile behind it.
        const border = carrier.tilesApart * U;
        return [{ lane: carrier.lanes[side], low: border + 1, high: border + U }];
      }
      case 'splitter': {
        const half = sameTile(carrier.halves.left.at, tile) ? carrier.halves.left : carrier.halves.right;
        return [
          { lane: half.output[side], low: 0, high: U / 2 },
          { lane: half.input[side], low: 0, high: U / 2 },
        ];
      }
    }
  }

  /** The lane of a tile of heading `h` that lies in the direction `towards`, seen across it. */
  const laneTowards = (h: Heading, towards: Heading): Side => (towards === rightOf(h) ? 'right' : 'left');

  function sourceOf(arm: PlacedArm): Source {
    const tile = pickTile(arm);
    const container = containerAt(tile);
    if (container !== undefined) return { kind: 'container', container };
    const carrier = carrierAt(tile);
    if (carrier === undefined) return { kind: 'nothing' };
    const d = arm.heading;
    const h = carrier.heading;
    const across = d === rightOf(h) || d === leftOf(h);
    // Behind the arm, so what is nearer to it lies in the direction d.
    const first = laneTowards(h, across ? d : rightOf(d));
    return {
      kind: 'lanes',
      what: carrier.kind === 'belt' && turnsFrom(carrier.at, h) !== undefined ? 'turn' : carrier.kind,
      stretches: [...stretchesOn(carrier, tile, first), ...stretchesOn(carrier, tile, otherSide(first))],
    };
  }

  function targetOf(arm: PlacedArm): Target {
    const tile = placeTile(arm);
    const container = containerAt(tile);
    if (container !== undefined) return { kind: 'container', container };
    const carrier = carrierAt(tile);
    if (carrier === undefined) return { kind: 'nothing' };
    const d = arm.heading;
    const h = carrier.heading;
    const way = d === h ? 'along' : d === backOf(h) ? 'against' : 'across';
    const side = laneTowards(h, way === 'across' ? d : rightOf(d));
    const quarters = way === 'along' ? 3 : way === 'against' ? 1 : 2;
    if (carrier.kind === 'splitter') {
      if (way !== 'along') return { kind: 'line', what: `splitter ${way}`, splitter: carrier, side };
      const [output] = stretchesOn(carrier, tile, side);
      invariant(output !== undefined, 'a splitter half has an output segment');
      return { kind: 'spot', what: 'splitter along', stretch: output, spot: (3 * U) / 4 - U / 2 };
    }
    const [stretch] = stretchesOn(carrier, tile, side);
    invariant(stretch !== undefined, 'a tile has a stretch of each lane');
    if (carrier.kind === 'belt') {
      const what = `${turnsFrom(carrier.at, h) === undefined ? 'belt' : 'turn'} ${way}`;
      return { kind: 'spot', what, stretch, spot: Math.floor((quarters * stretch.lane.length) / 4) };
    }
    const isEntry = sameTile(carrier.from, tile);
    const border = isEntry ? 0 : carrier.tilesApart * U;
    const what = `underpass ${isEntry ? 'entry' : 'exit end'} ${way}`;
    return { kind: 'spot', what, stretch, spot: border + (quarters * U) / 4 };
  }

  const placedArms = layout.parts.flatMap((part) => (part.kind === 'arm' ? [part] : []));
  const armsInPlanOrder: ArmState[] = placedArms.map((placed, index) => ({
    placed,
    source: sourceOf(placed),
    target: targetOf(placed),
    holdBackTicks: holdBackTicks[index] ?? 0,
    hand: [],
    taken: 0,
    phase: 'pick',
    arrives: 0,
    lastAct: undefined,
  }));
  const arms = [...armsInPlanOrder].sort((a, b) => compareTiles(a.placed.at, b.placed.at));

  const newItem = (): Item => {
    nextId += 1;
    return { id: nextId, at: 0, movedIn: now };
  };

  /** The arm starts its swing out in tick `first`. */
  function swingOut(arm: ArmState, first: number): void {
    arm.phase = 'out';
    arm.arrives = first + arm.placed.model.swingTicks;
    arm.lastAct = undefined;
  }
  function swingBack(arm: ArmState, first: number): void {
    arm.phase = 'back';
    arm.arrives = first + arm.placed.model.swingTicks;
    arm.lastAct = undefined;
  }

  function pick(arm: ArmState): void {
    const { payload, grabTicks, patienceTicks } = arm.placed.model;
    if (arm.source.kind === 'nothing') return;
    if (arm.source.kind === 'container') {
      const container = arm.source.container;
      const take = Math.min(payload, container.held);
      if (take === 0) return;
      for (let taken = 0; taken < take; taken += 1) arm.hand.push(newItem());
      container.taken += take;
      arm.taken += take;
      container.held -= take;
      container.room += take;
      happened('arm: took from a container');
      swingOut(arm, now + grabTicks);
      return;
    }
    if (arm.lastAct !== undefined && patienceTicks !== undefined && now - arm.lastAct > patienceTicks) {
      happened('arm: left with a part-full hand');
      swingOut(arm, now);
      return;
    }
    if (arm.lastAct !== undefined && now - arm.lastAct < grabTicks) return;
    for (const { lane, low, high } of arm.source.stretches) {
      const item = lane.items.find((one) => one.at >= low && one.at <= high);
      if (item === undefined) continue;
      lift(lane, item);
      arm.hand.push(item);
      arm.taken += 1;
      arm.lastAct = now;
      happened(`arm: took from a ${arm.source.what}`);
      if (arm.hand.length === payload) swingOut(arm, now + 1);
      return;
    }
  }

  /** Whether there was room for an item. */
  function placeOne(arm: ArmState, item: Item): boolean {
    const slack = arm.placed.model.slack;
    if (arm.target.kind === 'spot') {
      const { stretch, spot } = arm.target;
      const highest = Math.min(stretch.high, spot + slack);
      const lowest = Math.max(stretch.low, spot - slack);
      for (let at = highest; at >= lowest; at -= 1) {
        if (!isFree(stretch.lane, at)) continue;
        put(stretch.lane, item, at);
        happened(`arm: placed on ${arm.target.what}`);
        if (at < spot) happened('arm: placed before its spot');
        if (at > spot) happened('arm: placed beyond its spot');
        return true;
      }
      return false;
    }
    invariant(arm.target.kind === 'line', 'items are placed one by one on lanes only');
    const { splitter, side } = arm.target;
    for (const half of outputOrder(splitter, side)) {
      const output = splitter.halves[half].output[side];
      const room = distanceAhead(output, 0) - P;
      if (room < 0) continue;
      put(output, item, Math.min(slack, room, output.length));
      if (half !== outputOrder(splitter, side)[0]) happened('arm: placed at the line, second choice');
      turnOutputToggle(splitter, side, half);
      happened(`arm: placed on ${arm.target.what}`);
      return true;
    }
    return false;
  }

  function place(arm: ArmState): void {
    if (arm.target.kind === 'nothing') return;
    if (arm.target.kind === 'container') {
      const container = arm.target.container;
      const fit = Math.min(arm.hand.length, container.room);
      arm.hand = arm.hand.slice(fit);
      container.delivered += fit;
      container.held += fit;
      container.room -= fit;
      happened('arm: placed into a container');
      if (arm.hand.length === 0) swingBack(arm, now + 1);
      return;
    }
    if (arm.lastAct !== undefined && now - arm.lastAct < arm.placed.model.releaseTicks) return;
    const item = arm.hand[0];
    invariant(item !== undefined, 'an arm that places holds an item');
    if (!placeOne(arm, item)) {
      happened('arm: waits for room');
      return;
    }
    arm.hand = arm.hand.slice(1);
    arm.lastAct = now;
    if (arm.hand.length === 0) swingBack(arm, now + 1);
  }

  function act(arm: ArmState): void {
    if (now <= arm.holdBackTicks) return;
    if (arm.source.kind === 'nothing' || arm.target.kind === 'nothing') return;
    if (arm.phase === 'back' && now >= arm.arrives) arm.phase = 'pick';
    if (arm.phase === 'pick') pick(arm);
    if (arm.phase === 'out' && now >= arm.arrives) arm.phase = 'place';
    if (arm.phase === 'place') place(arm);
  }

  // ------------------------------------------------------------------------------------------------------ the trains

  const timetable = visit?.timetable;
  const trainLoad = layout.wagons.map((_, index) => visit?.wagons[index] ?? 0);
  const visits: ReferenceVisit[] = [];
  let brought = 0;
  let trainStands = timetable === undefined;
  /** The first tick of the last train that came. */
  let arrivedIn: number | undefined;

  const standEmpty = (container: Container): void => {
    container.held = 0;
    container.room = 0;
  };
  if (timetable !== undefined) for (const wagon of wagons) standEmpty(wagon);

  function trainArrives(): void {
    if (timetable === undefined || trainStands) return;
    const isEarly = arrivedIn !== undefined && now - arrivedIn < (timetable.headwayTicks ?? 0);
    if (isEarly) return;
    trainStands = true;
    arrivedIn = now;
    wagons.forEach((wagon, index) => {
      wagon.held = trainLoad[index];
      wagon.room = layout.wagons[index].model.capacity - trainLoad[index];
      brought += trainLoad[index];
    });
    happened('train: arrived');
  }

  function trainLeaves(): void {
    if (timetable === undefined || !trainStands || arrivedIn === undefined) return;
    const takenAway = wagons.reduce((sum, wagon) => sum + wagon.held, 0);
    const stood = now - arrivedIn + 1;
    const isDone = timetable.leaves === 'full' ? wagons.every((wagon) => wagon.room === 0) : takenAway === 0;
    if (!isDone && stood < (timetable.stayTicks ?? Infinity)) return;
    trainStands = false;
    for (const wagon of wagons) standEmpty(wagon);
    visits.push({ arrived: arrivedIn - 1, left: now, takenAway });
    if (timetable.leaves === 'full') happened(isDone ? 'train: left full' : 'train: left before it was full');
    else happened(isDone ? 'train: left empty' : 'train: left before it was empty');
  }

  // -------------------------------------------------------------------------------------------------------- the tick

  function step(): void {
    now += 1;
    trainArrives();
    for (const exit of exits) if (exit.placed.take !== undefined) exit.credit = exit.credit.add(exit.placed.take);
    for (const entry of entries) if (entry.placed.give !== undefined) entry.credit = entry.credit.add(entry.placed.give);
    moveCarriers();
    for (const arm of arms) act(arm);
    trainLeaves();
    for (const exit of exits) {
      if (exit.placed.take !== undefined) exit.credit = minRational(exit.credit, maxRational(ONE, exit.placed.take));
    }
    for (const entry of entries) {
      if (entry.placed.give !== undefined) entry.credit = minRational(entry.credit, maxRational(ONE, entry.placed.give));
    }
  }

  // --------------------------------------------------------------------------------------------------------- reading

  const allLanes: readonly Lane[] = carriers.flatMap((carrier) =>
    carrier.kind === 'splitter'
      ? SIDES.flatMap((half) =>
          SIDES.flatMap((side) => [carrier.halves[half].input[side], carrier.halves[half].output[side]]),
        )
      : SIDES.map((side) => carrier.lanes[side]),
  );

  const cameIn = entriesOf(layout).map((placed) => {
    const counted = (): EntryState['counts'] => entries.find((entry) => entry.placed === placed)?.counts ?? { left: 0, right: 0 };
    return () => ({ at: placed.at, heading: placed.heading, ...counted() });
  });
  const counts = (): Counts => ({
    ...(cameIn.length === 0 ? {} : { entries: cameIn.map((read) => read()) }),
    exits: exits.map(({ placed, counts: { left, right } }) => ({ at: placed.at, heading: placed.heading, left, right })),
    chests: chests.map(({ at, container }) => ({ at, taken: container.taken })),
    wagons: layout.wagons.map((wagon, index) => ({ at: wagon.at, taken: wagons[index]?.taken ?? 0 })),
  });

  const items = (): readonly { id: number; where: string; at: number | undefined }[] => [
    ...allLanes.flatMap((lane) => lane.items.map((item) => ({ id: item.id, where: lane.name, at: item.at }))),
    ...arms.flatMap((arm) =>
      arm.hand.map((item) => ({ id: item.id, where: `hand ${show(arm.placed.at)}`, at: undefined })),
    ),
  ];

  const places = (): readonly { tile: Tile; lane: Side; position: number }[] =>
    carriers.flatMap((carrier) =>
      SIDES.flatMap((lane) => {
        switch (carrier.kind) {
          case 'belt':
            return carrier.lanes[lane].items.map((item) => ({ tile: carrier.at, lane, position: item.at }));
          case 'underpass':
            return carrier.lanes[lane].items.map((item) => {
              // An item on a border is on the tile behind it.
              const tilesIn = Math.max(0, Math.ceil(item.at / U) - 1);
              return { tile: stepFrom(carrier.from, carrier.heading, tilesIn), lane, position: item.at };
            });
          case 'splitter':
            return SIDES.flatMap((half) => {
              const { at: tile, input, output } = carrier.halves[half];
              return [
                ...input[lane].items.map((item) => ({ tile, lane, position: item.at })),
                ...output[lane].items.map((item) => ({ tile, lane, position: U / 2 + item.at })),
              ];
            });
        }
      }),
    );

  const totals = (): { taken: number; delivered: number; left: number; entered: number; inside: number } => {
    const containers = [...wagons, ...chests.map((chest) => chest.container)];
    return {
      taken: containers.reduce((sum, container) => sum + container.taken, 0),
      delivered: containers.reduce((sum, container) => sum + container.delivered, 0),
      left: exits.reduce((sum, exit) => sum + exit.counts.left + exit.counts.right, 0),
      entered: entries.reduce((sum, entry) => sum + entry.counts.left + entry.counts.right, 0),
      inside: items().length,
    };
  };

  /** v(t2 - t1) + u1 - u2. */
  const gapsBetween = (exit: ExitState, departures: ExitState['departures']['left']): readonly number[] =>
    departures.flatMap((departure, index) => {
      if (index === 0) return [];
      const before = departures[index - 1];
      return [exit.speed * (departure.tick - before.tick) + before.unspent - departure.unspent];
    });
  const gaps = (): readonly { left: readonly number[]; right: readonly number[] }[] =>
    exits.map((exit) => ({
      left: gapsBetween(exit, exit.departures.left),
      right: gapsBetween(exit, exit.departures.right),
    }));

  const greatestGaps = (periodTicks: number): readonly Record<Side, number | undefined>[] =>
    exits.map((exit) => {
      const greatest = (side: Side): number | undefined => {
        const inPeriod = exit.departures[side].filter((departure) => departure.tick > now - periodTicks);
        if (inPeriod.length === 0) return undefined;
        const [first] = inPeriod;
        return Math.max(...gapsBetween(exit, [...inPeriod, { tick: first.tick + periodTicks, unspent: first.unspent }]));
      };
      return { left: greatest('left'), right: greatest('right') };
    });

  const takenByArms = (): readonly { at: Tile; taken: number }[] =>
    armsInPlanOrder.map((arm) => ({ at: arm.placed.at, taken: arm.taken }));

  /** Ticks after which none of an arm's clocks matters any more. */
  const clocksRunFor = ({ placed: { model } }: ArmState): number =>
    1 + Math.max(model.grabTicks, model.releaseTicks, model.patienceTicks ?? 0);

  /** Ticks since a past one and ticks to a coming one, so that equal states at different ticks read the same. */
  const key = (): string =>
    JSON.stringify([
      allLanes.map((lane) => lane.items.map((item) => item.at)),
      carriers.map((carrier) => (carrier.kind === 'splitter' ? [carrier.outputToggle, carrier.inputToggle] : [])),
      entries.map((entry) => [
        SIDES.map((side) => entry.lanes[side].items[0]?.at),
        formatRational(entry.credit),
        entry.placed.give === undefined ? '' : (entry.last ?? ''),
      ]),
      exits.map((exit) => [formatRational(exit.credit), exit.placed.take === undefined ? '' : (exit.last ?? '')]),
      arms.map((arm) => [
        Math.max(0, arm.holdBackTicks - now),
        arm.phase,
        arm.hand.length,
        arm.phase === 'out' || arm.phase === 'back' ? arm.arrives - now : 0,
        arm.lastAct === undefined ? '' : Math.min(now - arm.lastAct, clocksRunFor(arm)),
      ]),
      visit === undefined ? [] : [...wagons, ...chests.map((chest) => chest.container)].map((one) => one.held),
      timetable === undefined ? [] : [trainStands, now - (arrivedIn ?? now)],
    ]);

  const tooClose = (): string | undefined => {
    for (const lane of allLanes) {
      for (const item of lane.items) {
        const others = lane.items.filter((one) => one !== item && one.at <= item.at).map((one) => item.at - one.at);
        const upstream = others.length > 0 ? Math.min(...others) : distanceBehind(lane, item.at);
        if (upstream < P) return `${lane.name} at ${item.at}: ${upstream}`;
      }
    }
    return undefined;
  };

  return {
    tick: () => now,
    step,
    counts,
    items,
    places,
    totals,
    levels: () => ({ wagons: wagons.map(({ held }) => held), chests: chests.map(({ container }) => container.held) }),
    visits: () => visits,
    brought: () => brought,
    gaps,
    greatestGaps,
    takenByArms,
    key,
    events,
    tooClose,
  };
}

/** Items counted over `ticks` ticks from the standard start. */
export function referenceCounts(layout: Layout, ticks: number, holdBackTicks: readonly number[] = []): Counts {
  const run = referenceRun(layout, holdBackTicks);
  for (let tick = 0; tick < ticks; tick += 1) run.step();
  return run.counts();
}

export interface ReferenceLane {
  /** Items per tick. */
  readonly flow: Rational;
  /** Units; undefined where no item leaves, or where the flow is not exact. */
  readonly greatestGap: number | undefined;
}

export interface ReferenceFlow {
  /** Whether the state repeated within the limit; otherwise flows are merely measured over the whole run. */
  readonly exact: boolean;
  readonly transientTicks: number;
  readonly periodTicks: number;
  readonly exits: readonly {
    readonly at: Tile;
    readonly heading: Heading;
    readonly left: ReferenceLane;
    readonly right: ReferenceLane;
  }[];
  /** Items per tick that come in over each of the layout's entries. */
  readonly entries: readonly { readonly at: Tile; readonly heading: Heading; readonly left: Rational; readonly right: Rational }[];
  /** Items per tick that each arm takes, in the order of the layout's parts. */
  readonly arms: readonly { readonly at: Tile; readonly flow: Rational }[];
  /** Items per tick that arms take out of each chest. */
  readonly chests: readonly { readonly at: Tile; readonly outflow: Rational }[];
}

/** The exact flow, by waiting until a whole state comes back. */
export function referenceFlow(layout: Layout, tickLimit: number, holdBackTicks: readonly number[] = []): ReferenceFlow {
  const run = referenceRun(layout, holdBackTicks);
  interface Mark {
    readonly tick: number;
    readonly counts: Counts;
    readonly arms: ReturnType<ReferenceRun['takenByArms']>;
  }
  const mark = (): Mark => ({ tick: run.tick(), counts: run.counts(), arms: run.takenByArms() });
  const between = (exact: boolean, from: Mark, to: Mark): ReferenceFlow => {
    const ticks = to.tick - from.tick;
    const per = (after: number, before: number): Rational => ratio(after - before, Math.max(1, ticks));
    const gaps = exact ? run.greatestGaps(ticks) : [];
    return {
      exact,
      transientTicks: from.tick,
      periodTicks: ticks,
      exits: to.counts.exits.map(({ at, heading, left, right }, i) => ({
        at,
        heading,
        left: { flow: per(left, from.counts.exits[i].left), greatestGap: gaps[i]?.left },
        right: { flow: per(right, from.counts.exits[i].right), greatestGap: gaps[i]?.right },
      })),
      entries: (to.counts.entries ?? []).map(({ at, heading, left, right }, i) => ({
        at,
        heading,
        left: per(left, from.counts.entries?.[i].left ?? 0),
        right: per(right, from.counts.entries?.[i].right ?? 0),
      })),
      arms: to.arms.map(({ at, taken }, i) => ({ at, flow: per(taken, from.arms[i].taken) })),
      chests: to.counts.chests.map(({ at, taken }, i) => ({ at, outflow: per(taken, from.counts.chests[i].taken) })),
    };
  };
  const start = mark();
  const seen = new Map<string, Mark>([[run.key(), start]]);
  while (run.tick() < tickLimit) {
    run.step();
    const key = run.key();
    const before = seen.get(key);
    if (before !== undefined) return between(true, before, mark());
    seen.set(key, mark());
  }
  return between(false, start, mark());
}
