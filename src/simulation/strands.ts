/**
 * Splits a machine into strands that never influence each other in a steady run: lanes never mix at splitters, and
 * an arm puts down on one lane. So each strand repeats in its own, often far shorter, time. What one holds is in
 * `machine.ts`; why nothing passes between them stands in `rationale.md`.
 */
import { ArmEndKind, Link, Op, PICK_STRETCHES, type Machine, type Strand } from './machine.js';

/** By lane, the least lane of its strand. */
function leadersOf(m: Machine): Int32Array {
  const leader = Int32Array.from(m.whole.lanes);
  const find = (lane: number): number => {
    let at = lane;
    while (leader[at] !== at) at = leader[at] = leader[leader[at]];
    return at;
  };
  const tie = (a: number, b: number): void => {
    const [one, other] = [find(a), find(b)];
    if (one < other) leader[other] = one;
    else leader[one] = other;
  };
  const lastAtExit = new Map<number, number>();
  for (const lane of m.whole.lanes) {
    const to = m.laneTo[lane];
    if (m.laneLink[lane] === Link.onward || m.laneLink[lane] === Link.tee) tie(lane, to);
    if (m.laneLink[lane] !== Link.exit || m.exitPrice[to >> 1] === 0) continue;
    // Both lanes of a metered exit draw on one credit.
    tie(lane, lastAtExit.get(to >> 1) ?? lane);
    lastAtExit.set(to >> 1, lane);
  }
  for (const turn of m.whole.turns) {
    const [left, right] = [(turn >> 1) * 4 + (turn & 1), (turn >> 1) * 4 + 2 + (turn & 1)];
    for (const lane of [m.splitterIn[right], m.splitterOut[left], m.splitterOut[right]]) tie(m.splitterIn[left], lane);
  }
  for (const left of m.entryLane) tie(left, left + 1);
  for (const arm of m.whole.arms) {
    const [first, ...others] = lanesOfArm(m, arm);
    for (const lane of others) tie(first, lane);
  }
  return leader.map((_, lane) => find(lane));
}

/** All lanes that an arm takes from or puts down on, at least one. */
function lanesOfArm(m: Machine, arm: number): readonly number[] {
  const lanes = [...m.armPickLane.subarray(arm * PICK_STRETCHES, (arm + 1) * PICK_STRETCHES)].filter((lane) => lane >= 0);
  const place = m.armPlaceLane[arm];
  if (m.armPlaceKind[arm] === ArmEndKind.lane) lanes.push(place);
  if (m.armPlaceKind[arm] === ArmEndKind.line) lanes.push(m.splitterIn[(place >> 1) * 4 + (place & 1)]);
  return lanes;
}

export function strandsOf(m: Machine): readonly Strand[] {
  const { whole } = m;
  const leader = leadersOf(m);
  const leaders = whole.lanes.filter((lane) => leader[lane] === lane);
  if (leaders.length === 1) return [whole];
  const laneOfOp = (op: number): number => {
    const first = whole.opFirst[op];
    if (whole.opKind[op] === Op.cross) return m.splitterIn[(first >> 1) * 4 + (first & 1)];
    return whole.opKind[op] === Op.enter ? m.entryLane[first] : first;
  };
  const exitLaneOf = new Map<number, number>();
  for (const lane of whole.lanes) if (m.laneLink[lane] === Link.exit) exitLaneOf.set(m.laneTo[lane], lane);
  return [...leaders].map((own): Strand => {
    const isOwn = (lane: number | undefined): boolean => lane !== undefined && leader[lane] === own;
    const isOwnOp = (_: number, op: number): boolean => isOwn(laneOfOp(op));
    return {
      opKind: whole.opKind.filter(isOwnOp),
      opFirst: whole.opFirst.filter(isOwnOp),
      opSecond: whole.opSecond.filter(isOwnOp),
      lanes: whole.lanes.filter((lane) => isOwn(lane)),
      turns: whole.turns.filter((turn) => isOwn(m.splitterIn[(turn >> 1) * 4 + (turn & 1)])),
      exitLanes: whole.exitLanes.filter((exitLane) => isOwn(exitLaneOf.get(exitLane))),
      meters: whole.meters.filter((exit) => isOwn(exitLaneOf.get(exit * 2))),
      entries: whole.entries.filter((entry) => isOwn(m.entryLane[entry])),
      arms: whole.arms.filter((arm) => isOwn(lanesOfArm(m, arm)[0])),
    };
  });
}
