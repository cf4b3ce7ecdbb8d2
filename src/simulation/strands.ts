/**
 * Splits a machine into strands that never influence each other in a steady run: lanes never mix at splitters, and
 * an arm puts down on one lane. So each strand repeats in its own, often far shorter, time. What one holds is in
 * `machine.ts`; why nothing passes between them stands in `rationale.md`.
 */
import { ArmEndKind, Link, Op, PICK_STRETCHES, type Machine, type Strand } from './machine.js';

/** Splitter x 2 + side, and a half as 0 or 2: where its lane is in `splitterIn` and `splitterOut`. */
const atTurn = (turn: number, half: 0 | 2): number => (turn >> 1) * 4 + half + (turn & 1);

/** Calls back for every pair of lanes that influence each other other than by way of a third; what nothing ever comes onto passes nothing on. */
function forEachTie(m: Machine, isFed: Uint8Array, tie: (a: number, b: number) => void): void {
  const { lanes, turns, arms } = m.whole;
  const firstAtExit = new Int32Array(m.exitPrice.length).fill(-1);
  for (const lane of lanes) {
    const to = m.laneTo[lane];
    const link = m.laneLink[lane];
    if (isFed[lane] === 1 && (link === Link.onward || link === Link.tee)) tie(lane, to);
    if (link !== Link.exit || m.exitPrice[to >> 1] === 0) continue;
    // Both lanes of a metered exit draw on one credit.
    if (firstAtExit[to >> 1] < 0) firstAtExit[to >> 1] = lane;
    tie(lane, firstAtExit[to >> 1]);
  }
  for (const turn of turns) {
    const first = m.splitterIn[atTurn(turn, 0)];
    tie(first, m.splitterIn[atTurn(turn, 2)]);
    tie(first, m.splitterOut[atTurn(turn, 0)]);
    tie(first, m.splitterOut[atTurn(turn, 2)]);
  }
  for (const left of m.entryLane) tie(left, left + 1);
  for (const arm of arms) {
    const first = firstLaneOfArm(m, arm);
    for (let k = arm * PICK_STRETCHES; k < (arm + 1) * PICK_STRETCHES && m.armPickLane[k] >= 0; k++) tie(first, m.armPickLane[k]);
  }
}

/** Where an arm puts down, or else a lane from which it takes. */
function firstLaneOfArm(m: Machine, arm: number): number {
  if (m.armPlaceKind[arm] === ArmEndKind.lane) return m.armPlaceLane[arm];
  return m.armPlaceKind[arm] === ArmEndKind.line ? m.splitterIn[atTurn(m.armPlaceLane[arm], 0)] : m.armPickLane[arm * PICK_STRETCHES];
}

/** By lane, the least lane of its strand. */
function leadersOf(m: Machine, isFed: Uint8Array): Int32Array {
  const leader = Int32Array.from(m.whole.lanes);
  const find = (lane: number): number => {
    let at = lane;
    while (leader[at] !== at) at = leader[at] = leader[leader[at]];
    return at;
  };
  forEachTie(m, isFed, (a, b) => {
    const [one, other] = [find(a), find(b)];
    if (one < other) leader[other] = one;
    else leader[one] = other;
  });
  // A leader is less than all that it leads, so it has been settled before them.
  for (let lane = 0; lane < leader.length; lane++) leader[lane] = leader[leader[lane]];
  return leader;
}

/** By lane, whether an item may ever come onto it. */
function fedLanes(m: Machine): Uint8Array {
  const isFed = new Uint8Array(m.laneLink.length);
  const turnOfInput = new Int32Array(m.laneLink.length).fill(-1);
  for (const turn of m.whole.turns) {
    turnOfInput[m.splitterIn[atTurn(turn, 0)]] = turn;
    turnOfInput[m.splitterIn[atTurn(turn, 2)]] = turn;
  }
  const feed = (lane: number): void => {
    if (isFed[lane] === 1) return;
    isFed[lane] = 1;
    if (m.laneLink[lane] === Link.onward || m.laneLink[lane] === Link.tee) feed(m.laneTo[lane]);
    if (turnOfInput[lane] >= 0) feedBeyond(turnOfInput[lane]);
  };
  const feedBeyond = (turn: number): void => {
    feed(m.splitterOut[atTurn(turn, 0)]);
    feed(m.splitterOut[atTurn(turn, 2)]);
  };
  for (const arm of m.whole.arms) {
    if (m.armPlaceKind[arm] === ArmEndKind.lane) feed(m.armPlaceLane[arm]);
    if (m.armPlaceKind[arm] === ArmEndKind.line) feedBeyond(m.armPlaceLane[arm]);
  }
  for (const left of m.entryLane) {
    feed(left);
    feed(left + 1);
  }
  return isFed;
}

/** The lanes that a step moves; -1: no other. */
function lanesOfStep(m: Machine, step: number): readonly [number, number] {
  const first = m.whole.opFirst[step];
  switch (m.whole.opKind[step]) {
    case Op.cross:
      return [m.splitterIn[atTurn(first, 0)], m.splitterIn[atTurn(first, 2)]];
    case Op.enter:
      return [m.entryLane[first], m.entryLane[first] + 1];
    default:
      return [first, m.whole.opSecond[step]];
  }
}

/** Lanes that stay empty belong to none, and are not moved; nor are those on which no arm and no entry ever acts. */
export function strandsOf(m: Machine): readonly Strand[] {
  const { whole } = m;
  const isFed = fedLanes(m);
  const leader = leadersOf(m, isFed);
  const byLeader = new Map<number, Record<keyof Strand, number[]>>();
  const strandOf = (lane: number): Record<keyof Strand, number[]> => {
    const known = byLeader.get(leader[lane]);
    if (known !== undefined) return known;
    const fresh = { opKind: [], opFirst: [], opSecond: [], lanes: [], turns: [], exitLanes: [], meters: [], entries: [], arms: [] };
    byLeader.set(leader[lane], fresh);
    return fresh;
  };
  for (const lane of whole.lanes) {
    if (isFed[lane] === 0) continue;
    const strand = strandOf(lane);
    strand.lanes.push(lane);
    if (m.laneLink[lane] !== Link.exit) continue;
    const exitLane = m.laneTo[lane];
    strand.exitLanes.push(exitLane);
    if (m.exitPrice[exitLane >> 1] > 0 && !strand.meters.includes(exitLane >> 1)) strand.meters.push(exitLane >> 1);
  }
  for (let step = 0; step < whole.opKind.length; step++) {
    const [one, other] = lanesOfStep(m, step);
    if (isFed[one] === 0 && (other < 0 || isFed[other] === 0)) continue;
    const { opKind, opFirst, opSecond } = strandOf(one);
    opKind.push(whole.opKind[step]);
    opFirst.push(whole.opFirst[step]);
    opSecond.push(whole.opSecond[step]);
  }
  for (const turn of whole.turns) {
    const output = m.splitterOut[atTurn(turn, 0)];
    // One side of a splitter is fed on both of its outputs, or an arm puts down beyond its line and nothing crosses.
    if (isFed[output] === 1 && isFed[m.splitterOut[atTurn(turn, 2)]] === 1) strandOf(output).turns.push(turn);
  }
  whole.entries.forEach((entry) => strandOf(m.entryLane[entry]).entries.push(entry));
  whole.arms.forEach((arm) => strandOf(firstLaneOfArm(m, arm)).arms.push(arm));
  return [...byLeader.values()].map((strand) => ({
    opKind: Int32Array.from(strand.opKind),
    opFirst: Int32Array.from(strand.opFirst),
    opSecond: Int32Array.from(strand.opSecond),
    lanes: Int32Array.from(strand.lanes),
    turns: Int32Array.from(strand.turns),
    exitLanes: Int32Array.from(strand.exitLanes),
    meters: Int32Array.from(strand.meters),
    entries: Int32Array.from(strand.entries),
    arms: Int32Array.from(strand.arms),
  }));
}
