/**
 * From a layout to machines: splits it into pieces that never influence each other, and writes each piece
 * as flat arrays (`machine.ts`). Where the order of moves can't tell, the lanes of consecutive tiles become
 * one lane of the machine; why that changes no item's way stands in `rationale.md`.
 */
import { backOf, rightOf, type Heading, type Tile } from '../base/geometry.js';
import { invariant } from '../base/invariant.js';
import type { Rational } from '../base/rational.js';
import { entriesOf, type Layout, type PlacedArm } from '../layout/layout.js';
import { deriveNetwork, type ArmLink, type Carrier, type Network } from '../layout/network.js';
import { orderCarriers } from './carrier-order.js';
import { ArmEndKind, FAR, Link, Op, PICK_STRETCHES, resetMachine, WATCH_NONE, type Machine, type Strand } from './machine.js';

export const LEFT = 0;
export const RIGHT = 1;

/** An arm that takes from a container and puts into one: its rhythm needs no simulation. */
export interface FreeArm {
  /** Index into the network's arms. */
  readonly arm: number;
  readonly cycleTicks: number;
  readonly payload: number;
}

/** Where a stretch of a carrier lies on the machine's lanes. */
export interface Stretch {
  readonly carrier: number;
  /** Index of the left lane; the right one follows it. */
  readonly lane: number;
  /** Where the stretch begins on the machine's lane and on the carrier's own, per side, and its length. */
  readonly laneFrom: readonly [number, number];
  readonly carrierFrom: number;
  readonly length: readonly [number, number];
}

export interface Piece {
  readonly machine: Machine;
  /** The network's arms and the layout's exits and entries that the machine's ones stand for. */
  readonly arms: readonly number[];
  readonly exits: readonly number[];
  readonly entries: readonly number[];
  /** From the tail of each machine lane to its head. */
  readonly stretches: readonly Stretch[];
}

export interface Program {
  readonly layout: Layout;
  readonly network: Network;
  readonly pieces: readonly Piece[];
  readonly freeArms: readonly FreeArm[];
  /** Indices into the network's arms: those with nothing to pick from or to place on never act. */
  readonly idleArms: readonly number[];
}

export interface CompileOptions {
  /** Whether tiles may become one lane where that makes no difference; off only to test that it makes none. */
  readonly mergeTiles: boolean;
}

/** The least unit that has its own place in the order of moves: a belt, an underpass, or one segment of a splitter half. */
interface Segment {
  readonly carrier: Carrier;
  readonly role: 'whole' | 'input' | 'output';
  readonly length: readonly [number, number];
  /** One of `Link`. */
  link: number;
  /** The segment that it passes to; of a tee merge also the target's near side. Else -1. */
  to: number;
  joinSide: number;
  /** The exit that it passes to, or -1. */
  exit: number;
  /** The segment that flows onward into this one, or -1. */
  up: number;
  /** Rank of its part in the order of moves. */
  rank: number;
  /** The track that it is part of, and where on the track's two lanes it begins. */
  track: number;
  offset: [number, number];
}

/** Ticks from one pick at a container to the next of an arm that also places into one. */
export const containerCycle = (arm: PlacedArm): number => arm.model.grabTicks + 2 * arm.model.swingTicks + 1;

function armPart(layout: Layout, link: ArmLink): PlacedArm {
  const part = layout.parts[link.part];
  invariant(part.kind === 'arm', 'an arm link names an arm', { part: link.part });
  return part;
}

export const isIdle = (link: ArmLink): boolean => link.pick.kind === 'nothing' || link.place.kind === 'nothing';

/** Sets of carriers that pass items to each other, share a splitter, or share an arm. */
function groupCarriers(network: Network): readonly (readonly number[])[] {
  const { carriers, arms } = network;
  const leader = carriers.map((_, index) => index);
  const find = (index: number): number => {
    let at = index;
    while (leader[at] !== at) at = leader[at] = leader[leader[at]];
    return at;
  };
  const join = (a: number, b: number): void => {
    const [low, high] = [find(a), find(b)].sort((x, y) => x - y);
    leader[high] = low;
  };
  carriers.forEach((carrier, index) => {
    if (carrier.next.kind === 'carrier') join(index, carrier.next.carrier);
    if (index > 0 && carriers[index - 1].part === carrier.part) join(index, index - 1);
  });
  for (const arm of arms) {
    if (arm.pick.kind === 'carrier' && arm.place.kind === 'carrier') join(arm.pick.carrier, arm.place.carrier);
  }
  const groups = new Map<number, number[]>();
  carriers.forEach((_, index) => {
    const lead = find(index);
    const group = groups.get(lead);
    if (group === undefined) groups.set(lead, [index]);
    else group.push(index);
  });
  return [...groups.values()];
}

function buildSegments(layout: Layout, network: Network, members: readonly number[], parts: readonly number[]) {
  const segments: Segment[] = [];
  const inputOf = new Map<number, number>();
  const outputOf = new Map<number, number>();
  const rankOf = new Map(parts.map((part, rank) => [part, rank]));
  const half = layout.catalog.unitsPerTile / 2;
  for (const member of members) {
    const carrier = network.carriers[member];
    const rank = rankOf.get(carrier.part);
    invariant(rank !== undefined, 'every carrier has its place in the order of moves', { carrier: member });
    const add = (role: Segment['role'], length: readonly [number, number]): number => {
      const fresh = { link: Link.nothing, to: -1, joinSide: -1, exit: -1, up: -1, track: -1 };
      segments.push({ carrier, role, length, rank, offset: [0, 0], ...fresh });
      return segments.length - 1;
    };
    if (carrier.kind === 'splitter-half') {
      inputOf.set(member, add('input', [half, half]));
      outputOf.set(member, add('output', [half, half]));
    } else {
      invariant(carrier.leftLength > 0 && carrier.rightLength > 0, 'lanes have a length', { carrier: member });
      const whole = add('whole', [carrier.leftLength, carrier.rightLength]);
      inputOf.set(member, whole);
      outputOf.set(member, whole);
    }
  }
  segments.forEach((segment, index) => {
    if (segment.role === 'input') {
      segment.link = Link.line;
      return;
    }
    const next = segment.carrier.next;
    if (next.kind === 'exit') {
      segment.link = Link.exit;
      segment.exit = next.exit;
    } else if (next.kind === 'carrier') {
      const to = inputOf.get(next.carrier);
      invariant(to !== undefined, 'a piece holds all that it passes to', { carrier: next.carrier });
      segment.to = to;
      if (next.entry === 'behind' || next.entry === 'turn') {
        segment.link = Link.onward;
        segments[to].up = index;
      } else {
        segment.link = Link.tee;
        segment.joinSide = next.entry === 'tee-left' ? LEFT : RIGHT;
      }
    }
  });
  return { segments, inputOf, outputOf };
}

/**
 * Whether tiles may be merged at all: no item reaches past a whole tile in one move or one test, so that
 * only neighbours can tell in which order they moved.
 */
function isCompact(layout: Layout, members: readonly number[], network: Network): boolean {
  const { unitsPerTile, pitch, turn } = layout.catalog;
  const fastest = Math.max(...members.map((member) => network.carriers[member].speed));
  return pitch + fastest <= unitsPerTile / 2 && Math.min(turn.inner, turn.outer) >= unitsPerTile / 4;
}

/** What an arm does at a tile: the lane side, and where along the carrier. */
type Spot =
  | { readonly kind: 'lane'; readonly output: boolean; readonly side: number; readonly from: number; readonly to: number }
  | { readonly kind: 'line'; readonly side: number; readonly beyond: number };

const sideToward = (heading: Heading, toward: Heading): number => (rightOf(heading) === toward ? RIGHT : LEFT);

/** The end tile of an underpass that an arm reaches, as the units before it on the lane. */
function tileStart(carrier: Carrier, tile: Tile, unitsPerTile: number): number {
  const atHead = tile.x === carrier.head.x && tile.y === carrier.head.y;
  return carrier.kind === 'underpass' && atHead ? carrier.leftLength - unitsPerTile : 0;
}

function spotOf(layout: Layout, arm: PlacedArm, carrier: Carrier, tile: Tile): Spot {
  const { unitsPerTile } = layout.catalog;
  const { slack } = arm.model;
  const across = carrier.heading !== arm.heading && carrier.heading !== backOf(arm.heading);
  const along = carrier.heading === arm.heading;
  const side = across ? sideToward(carrier.heading, arm.heading) : along ? RIGHT : LEFT;
  if (carrier.kind === 'splitter-half') {
    const half = unitsPerTile / 2;
    if (!along) return { kind: 'line', side, beyond: Math.min(slack, half) };
    const spot = unitsPerTile / 4;
    return { kind: 'lane', output: true, side, from: Math.max(0, spot - slack), to: Math.min(half, spot + slack) };
  }
  const start = tileStart(carrier, tile, unitsPerTile);
  const whole = side === LEFT ? carrier.leftLength : carrier.rightLength;
  const length = carrier.kind === 'underpass' ? unitsPerTile : whole;
  const spot = start + Math.floor((length * (across ? 2 : along ? 3 : 1)) / 4);
  // The exit end of an underpass lies beyond its border, so its first unit is the least position on it.
  const least = start > 0 ? start + 1 : 0;
  return {
    kind: 'lane',
    output: false,
    side,
    from: Math.max(least, spot - slack),
    to: Math.min(start + length, spot + slack),
  };
}

/** Sides in the order in which an arm of heading `arm` looks for items on a carrier. */
function pickSides(carrier: Carrier, arm: Heading): readonly [number, number] {
  const along = carrier.heading === arm;
  const against = carrier.heading === backOf(arm);
  const first = along ? RIGHT : against ? LEFT : sideToward(carrier.heading, arm);
  return [first, 1 - first];
}

/** Segments before which no merging is allowed, for the order of moves or a border position could tell. */
function findCuts(
  layout: Layout,
  network: Network,
  segments: readonly Segment[],
  inputOf: ReadonlyMap<number, number>,
  arms: readonly number[],
): Uint8Array {
  const cut = new Uint8Array(segments.length);
  for (const segment of segments) {
    if (segment.link !== Link.tee) continue;
    const up = segments[segment.to].up;
    // Here the side feeder moves before the through traffic.
    if (up >= 0 && segments[up].rank >= segment.rank) cut[segment.to] = 1;
  }
  for (const index of arms) {
    const link = network.arms[index];
    if (link.place.kind !== 'carrier') continue;
    const spot = spotOf(layout, armPart(layout, link), network.carriers[link.place.carrier], link.place.tile);
    const segment = inputOf.get(link.place.carrier);
    // An item put down right on the tile's tail would count as one on the tile behind.
    if (spot.kind === 'lane' && !spot.output && spot.from === 0 && segment !== undefined) cut[segment] = 1;
  }
  return cut;
}

interface Track {
  /** From tail to head. */
  readonly segments: readonly number[];
}

function formTracks(segments: readonly Segment[], merges: (from: number, to: number) => boolean): readonly Track[] {
  const tracks: Track[] = [];
  segments.forEach((segment, index) => {
    if (segment.link === Link.onward && merges(index, segment.to)) return;
    const chain = [index];
    for (let at = index, up = segment.up; up >= 0 && merges(up, at); at = up, up = segments[up].up) chain.push(up);
    chain.reverse();
    const offset: [number, number] = [0, 0];
    for (const member of chain) {
      segments[member].track = tracks.length;
      segments[member].offset = [offset[LEFT], offset[RIGHT]];
      offset[LEFT] += segments[member].length[LEFT];
      offset[RIGHT] += segments[member].length[RIGHT];
    }
    tracks.push({ segments: chain });
  });
  return tracks;
}

/** A step of the order of moves: a track's lanes, or a splitter's crossing with its two input tracks. */
type Move =
  | { readonly kind: 'track'; readonly track: number }
  | { readonly kind: 'cross'; readonly part: number }
  | { readonly kind: 'enter'; readonly entry: number };

/** An entry of the piece: index among the layout's, and the segment onto which items come. */
interface EntrySite {
  readonly entry: number;
  readonly segment: number;
}

/** Each entry moves right after the carrier onto which it lets items. */
function withEntries(
  moves: readonly Move[],
  segments: readonly Segment[],
  tracks: readonly Track[],
  entries: readonly EntrySite[],
): readonly Move[] {
  if (entries.length === 0) return moves;
  return moves.flatMap((move): readonly Move[] => {
    const isOnto = ({ segment }: EntrySite): boolean => {
      const { track } = segments[segment];
      const head = segments[tracks[track].segments[tracks[track].segments.length - 1]];
      if (head.role === 'input') return move.kind === 'cross' && move.part === head.carrier.part;
      return move.kind === 'track' && move.track === track;
    };
    const onto = entries.flatMap((site, entry): readonly Move[] => (isOnto(site) ? [{ kind: 'enter', entry }] : []));
    return [move, ...onto];
  });
}

/** Unmerged: the carriers' own order, output segments before the crossing. */
function exactMoves(segments: readonly Segment[], parts: readonly number[]): readonly Move[] {
  const ofPart = new Map<number, Move[]>(parts.map((part) => [part, []]));
  const splitters = new Set<number>();
  for (const segment of segments) {
    const { part } = segment.carrier;
    if (segment.role === 'input') splitters.add(part);
    else ofPart.get(part)?.push({ kind: 'track', track: segment.track });
  }
  for (const part of splitters) ofPart.get(part)?.push({ kind: 'cross', part });
  return parts.flatMap((part) => ofPart.get(part) ?? []);
}

/** Merged: any order that keeps the order of neighbours; undefined where none does. */
function mergedMoves(segments: readonly Segment[], tracks: readonly Track[]): readonly Move[] | undefined {
  const moves: Move[] = [];
  const moveOfTrack = new Int32Array(tracks.length);
  const crossOfPart = new Map<number, number>();
  tracks.forEach((track, index) => {
    const head = segments[track.segments[track.segments.length - 1]];
    if (head.role !== 'input') {
      moveOfTrack[index] = moves.push({ kind: 'track', track: index }) - 1;
      return;
    }
    const { part } = head.carrier;
    const known = crossOfPart.get(part);
    const cross = known ?? moves.push({ kind: 'cross', part }) - 1;
    crossOfPart.set(part, cross);
    moveOfTrack[index] = cross;
  });
  const moveOf = (segment: number): number => moveOfTrack[segments[segment].track];
  const later: number[][] = moves.map(() => []);
  const waits = new Int32Array(moves.length);
  const before = (first: number, second: number): void => {
    if (first === second) return;
    later[first].push(second);
    waits[second]++;
  };
  segments.forEach((segment, index) => {
    if (segment.to >= 0) before(moveOf(segment.to), moveOf(index));
    if (segment.link === Link.tee) {
      const up = segments[segment.to].up;
      if (up >= 0 && segments[up].rank < segment.rank) before(moveOf(up), moveOf(index));
      else if (up >= 0) before(moveOf(index), moveOf(up));
    }
    if (segment.role === 'output') {
      const cross = crossOfPart.get(segment.carrier.part);
      if (cross !== undefined) before(moveOf(index), cross);
    }
  });
  const order: Move[] = [];
  const free: number[] = [];
  for (let move = 0; move < moves.length; move++) if (waits[move] === 0) free.push(move);
  for (let move = free.pop(); move !== undefined; move = free.pop()) {
    order.push(moves[move]);
    for (const next of later[move]) if (--waits[next] === 0) free.push(next);
  }
  return order.length === moves.length ? order : undefined;
}

function planMoves(
  layout: Layout,
  network: Network,
  members: readonly number[],
  segments: readonly Segment[],
  order: { readonly parts: readonly number[]; readonly opensRing: boolean },
  cut: Uint8Array,
  options: CompileOptions,
): { readonly tracks: readonly Track[]; readonly moves: readonly Move[] } {
  if (options.mergeTiles && !order.opensRing && isCompact(layout, members, network)) {
    const tracks = formTracks(
      segments,
      (from, to) => cut[to] === 0 && segments[from].carrier.speed === segments[to].carrier.speed,
    );
    const moves = mergedMoves(segments, tracks);
    if (moves !== undefined) return { tracks, moves };
  }
  const tracks = formTracks(segments, () => false);
  return { tracks, moves: exactMoves(segments, order.parts) };
}

/** What an item costs at each edge, and what each gains in a tick, in the edge's own unit of credit; 0 where there is no limit. */
function prices(limits: readonly (Rational | undefined)[]): readonly [price: Float64Array, gain: Float64Array] {
  const price = new Float64Array(limits.length);
  const gain = new Float64Array(limits.length);
  limits.forEach((limit, index) => {
    if (limit === undefined) return;
    price[index] = Number(limit.d);
    gain[index] = Number(limit.n);
    invariant(Number.isSafeInteger(price[index] + gain[index]), 'a take or give has a small enough fraction', { index });
  });
  return [price, gain];
}

function compilePiece(
  layout: Layout,
  network: Network,
  members: readonly number[],
  arms: readonly number[],
  options: CompileOptions,
): Piece {
  const { pitch, unitsPerTile } = layout.catalog;
  const order = orderCarriers(layout, network, members);
  const { segments, inputOf, outputOf } = buildSegments(layout, network, members, order.parts);
  const cut = findCuts(layout, network, segments, inputOf, arms);
  const planned = planMoves(layout, network, members, segments, order, cut, options);
  const { tracks } = planned;
  const entries = members.flatMap((member): readonly EntrySite[] => {
    const { entry } = network.carriers[member];
    const segment = inputOf.get(member);
    return entry === undefined || segment === undefined ? [] : [{ entry, segment }];
  });
  const moves = withEntries(planned.moves, segments, tracks, entries);

  const lanes = (tracks.length + entries.length) * 2;
  const laneLength = new Int32Array(lanes);
  const laneSpeed = new Int32Array(lanes);
  const laneBase = new Int32Array(lanes + 1);
  const laneLink = new Int32Array(lanes);
  const laneTo = new Int32Array(lanes).fill(-1);
  const laneJoin = new Int32Array(lanes);
  const laneUp = new Int32Array(lanes).fill(-1);
  const exits: number[] = [];
  const exitSpeeds: number[] = [];
  const stretches: Stretch[] = [];
  let room = 0;
  tracks.forEach((track, index) => {
    const head = segments[track.segments[track.segments.length - 1]];
    const tail = segments[track.segments[0]];
    if (head.link === Link.exit) {
      exits.push(head.exit);
      exitSpeeds.push(head.carrier.speed);
    }
    for (const member of track.segments) {
      const { carrier, role, offset, length } = segments[member];
      const carrierFrom = role === 'output' ? unitsPerTile / 2 : 0;
      stretches.push({ carrier: carrier.index, lane: index * 2, laneFrom: offset, carrierFrom, length });
    }
    for (let side = 0; side < 2; side++) {
      const lane = index * 2 + side;
      laneLength[lane] = head.offset[side] + head.length[side];
      laneSpeed[lane] = head.carrier.speed;
      // Items keep the pitch, which bounds their number. Twice that room: a lane's head moves on as items leave.
      room += 2 * (Math.floor(laneLength[lane] / pitch) + 2);
      laneBase[lane + 1] = room;
      laneLink[lane] = head.link;
      if (tail.up >= 0) laneUp[lane] = segments[tail.up].track * 2 + side;
      if (head.link === Link.exit) laneTo[lane] = (exits.length - 1) * 2 + side;
      if (head.link === Link.onward) laneTo[lane] = segments[head.to].track * 2 + side;
      if (head.link === Link.tee) {
        const target = segments[head.to];
        laneTo[lane] = target.track * 2 + head.joinSide;
        // The side lane nearer to where the target heads joins downstream.
        const downstream = side === head.joinSide;
        laneJoin[lane] = target.offset[head.joinSide] + (unitsPerTile / 4) * (downstream ? 3 : 1);
      }
    }
  });

  const entryLane = Int32Array.from(entries, (_, entry) => (tracks.length + entry) * 2);
  entries.forEach(({ segment }, entry) => {
    const { track, carrier } = segments[segment];
    for (let side = 0; side < 2; side++) {
      const lane = entryLane[entry] + side;
      laneLength[lane] = pitch;
      laneSpeed[lane] = carrier.speed;
      room += 1;
      laneBase[lane + 1] = room;
      laneLink[lane] = Link.onward;
      laneTo[lane] = track * 2 + side;
      laneUp[laneTo[lane]] = lane;
    }
  });
  const [entryPrice, entryGain] = prices(entries.map(({ entry }) => entriesOf(layout)[entry].give));

  const splitterOfPart = new Map<number, number>();
  for (const move of moves) if (move.kind === 'cross') splitterOfPart.set(move.part, splitterOfPart.size);
  const splitters = splitterOfPart.size;
  const splitterIn = new Int32Array(splitters * 4);
  const splitterOut = new Int32Array(splitters * 4);
  const splitterFavourIn = new Int32Array(splitters).fill(-1);
  const splitterFavourOut = new Int32Array(splitters).fill(-1);
  for (const segment of segments) {
    if (segment.role === 'whole') continue;
    const splitter = splitterOfPart.get(segment.carrier.part);
    invariant(splitter !== undefined, 'every splitter has its crossing', { part: segment.carrier.part });
    const half = segment.carrier.side === 'left' ? LEFT : RIGHT;
    const lanesOf = segment.role === 'input' ? splitterIn : splitterOut;
    for (let side = 0; side < 2; side++) lanesOf[splitter * 4 + half * 2 + side] = segment.track * 2 + side;
    const part = layout.parts[segment.carrier.part];
    if (part.kind !== 'splitter') continue;
    if (part.favourIn !== undefined) splitterFavourIn[splitter] = part.favourIn === 'left' ? LEFT : RIGHT;
    if (part.favourOut !== undefined) splitterFavourOut[splitter] = part.favourOut === 'left' ? LEFT : RIGHT;
  }

  const [exitPrice, exitGain] = prices(exits.map((exit) => layout.exits[exit].take));

  const ops: (readonly [kind: number, first: number, second: number])[] = [];
  for (const move of moves) {
    if (move.kind === 'enter') {
      ops.push([Op.enter, move.entry, -1]);
      continue;
    }
    if (move.kind === 'cross') {
      const splitter = splitterOfPart.get(move.part) ?? -1;
      ops.push([Op.cross, splitter * 2 + LEFT, -1], [Op.cross, splitter * 2 + RIGHT, -1]);
      continue;
    }
    const left = move.track * 2;
    const link = laneLink[left];
    if (link === Link.exit && exitPrice[laneTo[left] >> 1] > 0) {
      ops.push([Op.meter, left, left + 1]);
      continue;
    }
    // Of a side belt's lanes the one that joins further downstream moves first.
    const rightFirst = link === Link.tee && laneJoin[left + 1] > laneJoin[left];
    const first = rightFirst ? left + 1 : left;
    ops.push([Op.move, first, -1], [Op.move, left + (left + 1) - first, -1]);
  }
  const indices = (count: number): Int32Array => Int32Array.from({ length: count }, (_, index) => index);
  const whole: Strand = {
    opKind: Int32Array.from(ops, ([kind]) => kind),
    opFirst: Int32Array.from(ops, ([, first]) => first),
    opSecond: Int32Array.from(ops, ([, , second]) => second),
    lanes: indices(lanes),
    turns: indices(splitters * 2),
    exitLanes: indices(exits.length * 2),
    meters: indices(exits.length).filter((exit) => exitPrice[exit] > 0),
    entries: indices(entries.length),
    arms: indices(arms.length),
  };

  const count = arms.length;
  const armArray = (): Int32Array => new Int32Array(count);
  const armPickKind = armArray();
  const armPickLane = new Int32Array(count * PICK_STRETCHES).fill(-1);
  const armPickFrom = new Int32Array(count * PICK_STRETCHES);
  const armPickTo = new Int32Array(count * PICK_STRETCHES);
  const armPlaceKind = armArray();
  const armPlaceLane = armArray();
  const armPlaceFrom = armArray();
  const armPlaceTo = armArray();
  const armPayload = armArray();
  const armSwing = armArray();
  const armGrab = armArray();
  const armRelease = armArray();
  const armPatience = armArray();
  const segmentOf = (index: number | undefined): Segment => {
    invariant(index !== undefined, 'a piece holds what its arms reach');
    return segments[index];
  };
  arms.forEach((networkArm, arm) => {
    const link = network.arms[networkArm];
    const placed = armPart(layout, link);
    const { model } = placed;
    armPayload[arm] = model.payload;
    armSwing[arm] = model.swingTicks;
    armGrab[arm] = model.grabTicks;
    armRelease[arm] = model.releaseTicks;
    armPatience[arm] = model.patienceTicks ?? -1;
    if (link.pick.kind === 'carrier') {
      armPickKind[arm] = ArmEndKind.lane;
      const carrier = network.carriers[link.pick.carrier];
      const start = tileStart(carrier, link.pick.tile, unitsPerTile);
      const split = carrier.kind === 'splitter-half';
      let k = arm * PICK_STRETCHES;
      for (const side of pickSides(carrier, placed.heading)) {
        const looksAt = split ? [outputOf.get(carrier.index), inputOf.get(carrier.index)] : [inputOf.get(carrier.index)];
        for (const index of looksAt) {
          const segment = segmentOf(index);
          const length = carrier.kind === 'underpass' ? unitsPerTile : segment.length[side];
          const from = segment.offset[side] + start;
          armPickLane[k] = segment.track * 2 + side;
          // The lane's own tail belongs to its first tile; other borders belong to the tile behind.
          armPickFrom[k] = from === 0 ? -1 : from;
          armPickTo[k] = from + length;
          k++;
        }
      }
    }
    if (link.place.kind === 'carrier') {
      const carrier = network.carriers[link.place.carrier];
      const spot = spotOf(layout, placed, carrier, link.place.tile);
      if (spot.kind === 'line') {
        armPlaceKind[arm] = ArmEndKind.line;
        armPlaceLane[arm] = (splitterOfPart.get(carrier.part) ?? -1) * 2 + spot.side;
        armPlaceTo[arm] = spot.beyond;
      } else {
        const segment = segmentOf((spot.output ? outputOf : inputOf).get(carrier.index));
        armPlaceKind[arm] = ArmEndKind.lane;
        armPlaceLane[arm] = segment.track * 2 + spot.side;
        armPlaceFrom[arm] = segment.offset[spot.side] + spot.from;
        armPlaceTo[arm] = segment.offset[spot.side] + spot.to;
      }
    }
  });

  const exitLanes = (): Int32Array => new Int32Array(exits.length * 2);
  const early = order.opensRing ? room : 0;
  const machine: Machine = {
    pitch,
    opensRing: order.opensRing,
    laneLength,
    laneSpeed,
    laneBase,
    laneHead: laneBase.slice(0, lanes),
    laneCount: new Int32Array(lanes),
    laneShift: new Int32Array(lanes),
    lanePacked: new Int32Array(lanes),
    laneLink,
    laneTo,
    laneJoin,
    laneUp,
    laneHeld: new Int32Array(lanes).fill(FAR),
    laneTeed: new Int32Array(lanes),
    position: new Int32Array(room),
    whole,
    splitterIn,
    splitterOut,
    splitterFavourIn,
    splitterFavourOut,
    toggleIn: new Int32Array(splitters * 2),
    toggleOut: new Int32Array(splitters * 2),
    exitPrice,
    exitGain,
    exitCredit: new Float64Array(exits.length),
    exitLast: new Int32Array(exits.length).fill(RIGHT),
    exitSpeed: Int32Array.from(exitSpeeds),
    exitCount: exitLanes(),
    gapFirstTick: exitLanes().fill(-1),
    gapFirstRest: exitLanes(),
    gapLastTick: exitLanes().fill(-1),
    gapLastRest: exitLanes(),
    gapGreatest: exitLanes().fill(-1),
    entryLane,
    entryPrice,
    entryGain,
    entryCredit: new Float64Array(entries.length),
    entryLast: new Int32Array(entries.length).fill(RIGHT),
    entryCount: new Int32Array(entries.length * 2),
    armPickKind,
    armPickLane,
    armPickFrom,
    armPickTo,
    armPlaceKind,
    armPlaceLane,
    armPlaceFrom,
    armPlaceTo,
    armPayload,
    armSwing,
    armGrab,
    armRelease,
    armPatience,
    armPhase: armArray(),
    armHand: armArray(),
    armDue: armArray(),
    armGrabDue: armArray(),
    armLastTake: armArray(),
    armTaken: armArray(),
    armPlaced: armArray(),
    armCycles: armArray(),
    armStarved: armArray(),
    armBlocked: armArray(),
    laneMoved: new Uint8Array(order.opensRing ? lanes : 0),
    earlyLane: new Int32Array(early),
    earlyPosition: new Int32Array(early),
    earlyCount: 0,
    opened: false,
    now: 0,
    watch: WATCH_NONE,
  };
  resetMachine(machine);
  return { machine, arms, exits, entries: entries.map(({ entry }) => entry), stretches };
}

/** The whole layout as one piece, arms between containers included: containers that run dry or fill join what else never meets. */
export function compileWhole(layout: Layout, options: CompileOptions = { mergeTiles: true }): { readonly network: Network; readonly piece: Piece } {
  const network = deriveNetwork(layout);
  const arms = network.arms.flatMap((link, arm) => (isIdle(link) ? [] : [arm]));
  const members = network.carriers.map(({ index }) => index);
  return { network, piece: compilePiece(layout, network, members, arms, options) };
}

export function compileLayout(layout: Layout, options: CompileOptions = { mergeTiles: true }): Program {
  const network = deriveNetwork(layout);
  const idleArms: number[] = [];
  const freeArms: FreeArm[] = [];
  const armsOfCarrier = new Map<number, number[]>();
  network.arms.forEach((link, arm) => {
    if (isIdle(link)) {
      idleArms.push(arm);
      return;
    }
    const carrier =
      link.pick.kind === 'carrier' ? link.pick.carrier : link.place.kind === 'carrier' ? link.place.carrier : undefined;
    if (carrier === undefined) {
      const placed = armPart(layout, link);
      freeArms.push({ arm, cycleTicks: containerCycle(placed), payload: placed.model.payload });
      return;
    }
    const known = armsOfCarrier.get(carrier);
    if (known === undefined) armsOfCarrier.set(carrier, [arm]);
    else known.push(arm);
  });
  const pieces = groupCarriers(network).map((members) => {
    const arms = members.flatMap((member) => armsOfCarrier.get(member) ?? []).sort((a, b) => a - b);
    return compilePiece(layout, network, members, arms, options);
  });
  return { layout, network, pieces, freeArms, idleArms };
}
