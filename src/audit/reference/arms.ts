/**
 * How arms act in a tick (world rules, section 7).
 */
import { invariant } from '../../base/invariant.js';
import { distanceAhead, isFree, lift, newItem, put } from './distances.js';
import { outputOrder, turnOutputToggle } from './movement.js';
import { happened, type ArmState, type Item, type World } from './world.js';

export function act(world: World, arm: ArmState): void {
  const { now } = world;
  if (now <= arm.holdBackTicks) return;
  if (arm.source.kind === 'nothing' || arm.target.kind === 'nothing') return;
  if (arm.phase === 'back' && now >= arm.arrives) arm.phase = 'pick';
  if (arm.phase === 'pick') pick(world, arm);
  if (arm.phase === 'out' && now >= arm.arrives) arm.phase = 'place';
  if (arm.phase === 'place') place(world, arm);
}

/** The arm starts its swing in tick `first`. */
function swing(arm: ArmState, phase: 'out' | 'back', first: number): void {
  arm.phase = phase;
  arm.arrives = first + arm.placed.model.swingTicks;
  arm.lastAct = undefined;
}

function pick(world: World, arm: ArmState): void {
  const { now, events } = world;
  const { payload, grabTicks, patienceTicks } = arm.placed.model;
  if (arm.source.kind === 'nothing') return;
  if (arm.source.kind === 'container') {
    const container = arm.source.container;
    const take = Math.min(payload, container.held);
    if (take === 0) return;
    for (let taken = 0; taken < take; taken += 1) arm.hand.push(newItem(world));
    container.taken += take;
    arm.taken += take;
    container.held -= take;
    container.room += take;
    happened(events, 'arm: took from a container');
    swing(arm, 'out', now + grabTicks);
    return;
  }
  if (arm.lastAct !== undefined && patienceTicks !== undefined && now - arm.lastAct > patienceTicks) {
    happened(events, 'arm: left with a part-full hand');
    swing(arm, 'out', now);
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
    happened(events, `arm: took from a ${arm.source.what}`);
    if (arm.hand.length === payload) swing(arm, 'out', now + 1);
    return;
  }
}

function place(world: World, arm: ArmState): void {
  const { now, events } = world;
  if (arm.target.kind === 'nothing') return;
  if (arm.target.kind === 'container') {
    const container = arm.target.container;
    const fit = Math.min(arm.hand.length, container.room);
    arm.hand = arm.hand.slice(fit);
    container.delivered += fit;
    container.held += fit;
    container.room -= fit;
    happened(events, 'arm: placed into a container');
    if (arm.hand.length === 0) swing(arm, 'back', now + 1);
    return;
  }
  if (arm.lastAct !== undefined && now - arm.lastAct < arm.placed.model.releaseTicks) return;
  const item = arm.hand[0];
  invariant(item !== undefined, 'an arm that places holds an item');
  if (!placeOne(world, arm, item)) {
    happened(events, 'arm: waits for room');
    return;
  }
  arm.hand = arm.hand.slice(1);
  arm.lastAct = now;
  if (arm.hand.length === 0) swing(arm, 'back', now + 1);
}

/** Whether there was room for an item. */
function placeOne(world: World, arm: ArmState, item: Item): boolean {
  const { events, pitch } = world;
  const slack = arm.placed.model.slack;
  if (arm.target.kind === 'spot') {
    const { stretch, spot } = arm.target;
    const highest = Math.min(stretch.high, spot + slack);
    const lowest = Math.max(stretch.low, spot - slack);
    for (let at = highest; at >= lowest; at -= 1) {
      if (!isFree(world, stretch.lane, at)) continue;
      put(stretch.lane, item, at);
      happened(events, `arm: placed on ${arm.target.what}`);
      if (at < spot) happened(events, 'arm: placed before its spot');
      if (at > spot) happened(events, 'arm: placed beyond its spot');
      return true;
    }
    return false;
  }
  invariant(arm.target.kind === 'line', 'items are placed one by one on lanes only');
  const { splitter, side } = arm.target;
  for (const half of outputOrder(splitter, side)) {
    const output = splitter.halves[half].output[side];
    const room = distanceAhead(world, output, 0) - pitch;
    if (room < 0) continue;
    put(output, item, Math.min(slack, room, output.length));
    if (half !== outputOrder(splitter, side)[0]) happened(events, 'arm: placed at the line, second choice');
    turnOutputToggle(splitter, side, half);
    happened(events, `arm: placed on ${arm.target.what}`);
    return true;
  }
  return false;
}
