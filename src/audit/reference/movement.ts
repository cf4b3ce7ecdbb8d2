/**
 * How carriers move in a tick: lanes, tee merges, exits, entries and splitters (world rules, sections 2, 4 and 8).
 */
import { ONE, compare } from '../../base/rational.js';
import { invariant } from '../../base/invariant.js';
import type { Side } from '../../layout/layout.js';
import { carrierAt } from './carriers.js';
import { distanceAhead, distanceBehind, lift, newItem, put } from './distances.js';
import { SIDES, happened, otherSide, type CarrierState, type EntryState, type ExitState, type Item, type Lane, type Lanes, type SplitterState, type World } from './world.js';

export function moveCarriers(world: World): void {
  for (const carrier of world.order) {
    if (carrier.kind === 'splitter') moveSplitter(world, carrier);
    else moveHead(world, carrier.lanes);
    moveEntries(world, carrier);
  }
}

// ----------------------------------------------------------------------------------------------------------- lanes

/** Where a move ends. `travelled` counts on past an exit's edge. */
type Destination = { readonly travelled: number; readonly teePassed: boolean } & (
  | { readonly kind: 'rest'; readonly lane: Lane; readonly at: number }
  | { readonly kind: 'exit'; readonly exit: ExitState; readonly side: Side; readonly unspent: number }
);

const mayLeave = (exit: ExitState): boolean => exit.placed.take === undefined || compare(exit.credit, ONE) >= 0;

/** Where a move of `units` from a position ends if no item is in its way (but those at tee merges). */
function destination(world: World, from: Lane, start: number, units: number): Destination {
  let [lane, at, travelled] = [from, start, 0];
  // A loop, for a way round of a few units may be gone very often in one move.
  while (lane.way.kind === 'lane' && at + units - travelled > lane.length) {
    travelled += lane.length - at;
    [lane, at] = [lane.way.lane, 0];
  }
  const rest = units - travelled;
  if (at + rest <= lane.length) return { kind: 'rest', lane, at: at + rest, travelled: units, teePassed: false };
  const here = travelled + lane.length - at;
  const left = units - here;
  const atEnd: Destination = { kind: 'rest', lane, at: lane.length, travelled: here, teePassed: false };
  switch (lane.way.kind) {
    case 'nothing':
    case 'line':
    case 'lane':
      return atEnd;
    case 'exit':
      if (!mayLeave(lane.way.exit)) {
        happened(world.events, 'exit: no credit');
        return atEnd;
      }
      return { kind: 'exit', exit: lane.way.exit, side: lane.way.side, unspent: left, travelled: units, teePassed: false };
    case 'tee': {
      const entered = teeEntry(world, lane.way.near, lane.way.join, left);
      return entered === undefined ? atEnd : { ...entered, teePassed: true };
    }
  }
}

/** Where an item ends that enters the near lane with `left` units of its move; undefined if it has to wait. */
function teeEntry(world: World, near: Lane, join: number, left: number): Destination | undefined {
  const { events, pitch } = world;
  const units = Math.min(left, distanceAhead(world, near, join) - pitch);
  if (units < 0) {
    happened(events, 'tee: waits for the item ahead');
    return undefined;
  }
  const to = destination(world, near, join, units);
  if (to.teePassed) {
    happened(events, 'tee: two in one move');
    return to;
  }
  if (distanceBehind(world, near, join) + to.travelled < pitch) {
    happened(events, 'tee: waits for the item behind');
    return undefined;
  }
  happened(events, 'tee: entered');
  if (to.kind === 'exit') happened(events, 'tee: entered and left');
  if (to.kind === 'rest' && to.lane !== near) happened(events, 'tee: entered beyond the target');
  return to;
}

function settle(world: World, item: Item, to: Destination): void {
  if (to.kind === 'rest') {
    put(to.lane, item, to.at);
    return;
  }
  if (to.exit.placed.take !== undefined) to.exit.credit = to.exit.credit.sub(ONE);
  to.exit.last = to.side;
  to.exit.counts[to.side] += 1;
  to.exit.departures[to.side].push({ tick: world.now, unspent: to.unspent });
  happened(world.events, to.exit.placed.take === undefined ? 'exit: left, open' : 'exit: left, metered');
}

/** Moves by at most `units` from a position of a lane. */
function advance(world: World, item: Item, lane: Lane, at: number, units: number): void {
  const allowed = Math.max(0, Math.min(units, distanceAhead(world, lane, at) - world.pitch));
  settle(world, item, destination(world, lane, at, allowed));
}

/** Each item by at most the speed of the tile on which it starts the tick. */
function moveLane(world: World, lane: Lane): void {
  for (const item of [...lane.items]) {
    if (item.movedIn === world.now) continue;
    item.movedIn = world.now;
    lift(lane, item);
    advance(world, item, lane, item.at, lane.speed);
  }
}

/** Moves two lanes that end at one head, in the order that the rules give. */
function moveHead(world: World, lanes: Lanes): void {
  const leftWay = lanes.left.way;
  const rightWay = lanes.right.way;
  let first: Side = 'left';
  if (leftWay.kind === 'tee' && rightWay.kind === 'tee') first = leftWay.join > rightWay.join ? 'left' : 'right';
  if (leftWay.kind === 'exit' && leftWay.exit.placed.take !== undefined) {
    const exit = leftWay.exit;
    const couldLeave = (lane: Lane): boolean => {
      const foremost = lane.items[0];
      return foremost !== undefined && foremost.movedIn !== world.now && foremost.at + lane.speed > lane.length;
    };
    if (couldLeave(lanes.left) && couldLeave(lanes.right) && mayLeave(exit)) {
      first = exit.last === undefined ? 'left' : otherSide(exit.last);
      happened(world.events, `exit: both could leave, ${first} first`);
    }
  }
  moveLane(world, lanes[first]);
  moveLane(world, lanes[otherSide(first)]);
}

// --------------------------------------------------------------------------------------------------------- entries

/** Lets one lane's queue move; an item needs credit to come in, and without it stops at the edge. */
function moveQueue(world: World, entry: EntryState, side: Side): void {
  const { events, pitch } = world;
  const lane = entry.lanes[side];
  const into = lane.way;
  const isShut = entry.placed.give !== undefined && compare(entry.credit, ONE) < 0;
  const foremost = lane.items[0];
  invariant(foremost !== undefined, 'a queue has no end');
  const unitsOf = (item: Item): number => Math.max(0, Math.min(lane.speed, distanceAhead(world, lane, item.at, item) - pitch));
  const units = unitsOf(foremost);
  const wouldEnter = foremost.at + units > lane.length;
  if (isShut && wouldEnter) {
    happened(events, 'entry: no credit');
    foremost.at = lane.length;
  } else if (wouldEnter && into.kind === 'lane') {
    lift(lane, foremost);
    const to = destination(world, into.lane, 0, foremost.at + units - lane.length);
    invariant(to.kind === 'rest' && to.lane === into.lane, 'an item that comes in ends on the carrier of its entry');
    put(to.lane, newItem(world), to.at);
    entry.counts[side] += 1;
    entry.last = side;
    if (entry.placed.give !== undefined) entry.credit = entry.credit.sub(ONE);
    happened(events, entry.placed.give === undefined ? 'entry: came in' : 'entry: came in, metered');
  } else {
    if (units < lane.speed) happened(events, 'entry: waits for room');
    foremost.at += units;
  }
  for (const item of [...lane.items]) if (item !== foremost) item.at += unitsOf(item);
  const last = lane.items[lane.items.length - 1];
  if (last !== undefined && last.at >= pitch) put(lane, { id: -1, at: 0, movedIn: world.now }, last.at - pitch);
}

function moveEntries(world: World, carrier: CarrierState): void {
  for (const entry of world.entries) {
    if (carrierAt(world.carriers, entry.placed.at) !== carrier) continue;
    const first: Side = entry.last === undefined ? 'left' : otherSide(entry.last);
    moveQueue(world, entry, first);
    moveQueue(world, entry, otherSide(first));
  }
}

// ------------------------------------------------------------------------------------------------------- splitters

/** The output halves in the order in which a lane side tries them. */
export const outputOrder = (splitter: SplitterState, side: Side): readonly Side[] => {
  const first = splitter.placed.favourOut ?? splitter.outputToggle[side];
  return [first, otherSide(first)];
};

export function turnOutputToggle(splitter: SplitterState, side: Side, used: Side): void {
  if (splitter.placed.favourOut === undefined) splitter.outputToggle[side] = otherSide(used);
}

/** Whether the item crossed. */
function cross(world: World, splitter: SplitterState, half: Side, side: Side): boolean {
  const { events } = world;
  const input = splitter.halves[half].input[side];
  const item = input.items[0];
  invariant(item !== undefined, 'an item wants to cross');
  const beyond = item.at + input.speed - input.length;
  for (const used of outputOrder(splitter, side)) {
    const output = splitter.halves[used].output[side];
    if (distanceAhead(world, output, 0) < world.pitch) continue;
    lift(input, item);
    item.movedIn = world.now;
    advance(world, item, output, 0, beyond);
    if (used === otherSide(outputOrder(splitter, side)[0])) happened(events, 'splitter: crossed to the second choice');
    turnOutputToggle(splitter, side, used);
    happened(events, splitter.placed.favourOut === undefined ? 'splitter: crossed' : 'splitter: crossed by favour');
    if (half !== used) happened(events, 'splitter: changed halves');
    return true;
  }
  happened(events, 'splitter: stopped at the line');
  return false;
}

function moveSplitter(world: World, splitter: SplitterState): void {
  for (const half of SIDES) moveHead(world, splitter.halves[half].output);
  for (const side of SIDES) {
    const wanting = SIDES.filter((half) => {
      const input = splitter.halves[half].input[side];
      const foremost = input.items[0];
      return foremost !== undefined && foremost.movedIn !== world.now && foremost.at + input.speed > input.length;
    });
    if (wanting.length === 2) {
      const first = splitter.placed.favourIn ?? splitter.inputToggle[side];
      const crossed = cross(world, splitter, first, side);
      cross(world, splitter, otherSide(first), side);
      if (crossed && splitter.placed.favourIn === undefined) splitter.inputToggle[side] = otherSide(first);
      if (crossed) happened(world.events, splitter.placed.favourIn === undefined ? 'splitter: both want' : 'splitter: both want, favour');
    } else {
      for (const half of wanting) cross(world, splitter, half, side);
    }
    for (const half of SIDES) moveLane(world, splitter.halves[half].input[side]);
  }
}
