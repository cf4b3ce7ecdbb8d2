/**
 * How much flows over every lane of a layout, and where it has gaps: for pictures and for people who look
 * for what holds a station back. A trial (`trial.ts`) tells of exits alone and needs none of this.
 * Items are counted as they come onto a lane of an unmerged machine, by watching its counts.
 */
import { ratio, ZERO, type Rational } from '../base/rational.js';
import { goOnUnless, type ShouldStop } from '../base/run-stopped.js';
import type { Layout } from '../layout/layout.js';
import type { Carrier } from '../layout/network.js';
import { compileLayout, type Piece } from './compile.js';
import { itemAt } from './lanes.js';
import { Link, resetMachine, WATCH_NONE, type Machine } from './machine.js';
import { startDelays, Starts, type StartOptions } from './starts.js';
import type { Settled } from './steady-state.js';
import { stepMachine } from './tick.js';

/**
 * full: saturated. gaps: two items that follow each other stand further apart than the pitch. waiting: no gap,
 * but slower than it could go. standing: items that never move. empty: never any item.
 */
export type LaneState = 'full' | 'gaps' | 'waiting' | 'standing' | 'empty';

export interface LaneFlow {
  /** Items per tick that come onto the lane, from carriers or arms. */
  readonly flow: Rational;
  /** flow / (v / P) of the carrier. */
  readonly fill: Rational;
  readonly state: LaneState;
}

/** Undefined where items go over the whole lane in one move, so that none is seen there. */
export interface SegmentFlow {
  readonly left: LaneFlow | undefined;
  readonly right: LaneFlow | undefined;
}

/** Of a splitter half `tail` is before its dividing line and `head` beyond it; elsewhere they are the same. */
interface CarrierFlow {
  readonly tail: SegmentFlow;
  readonly head: SegmentFlow;
}

export interface LaneFlows {
  /** Whether each flow is that of a whole period; otherwise they are measured. */
  readonly exact: boolean;
  /** In the order of the network's carriers. */
  readonly carriers: readonly CarrierFlow[];
}

/** A start that has not repeated by then is measured; and no more than so many ticks are looked at. */
const SETTLE_TICKS = 200_000;
const LOOK_TICKS = 20_000;

interface Tally {
  /** Per lane of the machine. */
  readonly entered: Int32Array;
  readonly hasGap: Uint8Array;
  readonly wasEmpty: Uint8Array;
  readonly ticks: number;
}

/** The machine as it stands, with every item counted that comes onto a lane. */
function watched(machine: Machine, entered: Int32Array): Machine {
  let lastLeft = -1;
  const laneCount = new Proxy(machine.laneCount, {
    get: (counts, lane) => counts[Number(lane)],
    set: (counts, name, count: number) => {
      const lane = Number(name);
      const comes = count > counts[lane];
      // On a ring, an item that finds no way on is taken from its lane and put back.
      const comesBack = comes && lane === lastLeft && machine.opensRing && machine.laneMoved[lane] === 0;
      if (comes && !comesBack) entered[lane]++;
      lastLeft = comes ? -1 : lane;
      counts[lane] = count;
      return true;
    },
  });
  return { ...machine, laneCount };
}

/** Marks lanes on which, at this moment, two items that follow each other are further apart than the pitch. */
function markGaps(m: Machine, hasGap: Uint8Array): void {
  for (let lane = 0; lane < m.laneCount.length; lane++) {
    const count = m.laneCount[lane];
    for (let i = 1; i < count; i++) if (itemAt(m, lane, i - 1) - itemAt(m, lane, i) > m.pitch) hasGap[lane] = 1;
    if (count === 0 || m.laneLink[lane] !== Link.onward) continue;
    const path = [lane];
    let distance = m.laneLength[lane] - itemAt(m, lane, 0);
    for (let at = m.laneTo[lane]; at !== lane; at = m.laneTo[at]) {
      path.push(at);
      const there = m.laneCount[at];
      if (there > 0) {
        if (distance + itemAt(m, at, there - 1) > m.pitch) for (const each of path) hasGap[each] = 1;
        break;
      }
      distance += m.laneLength[at];
      // A way that comes back to one of its own lanes has been looked at once.
      if (m.laneLink[at] !== Link.onward || path.length > m.laneCount.length) break;
    }
  }
}

const STOP_EVERY_TICKS = 64;

function tallyPiece(piece: Piece, { orbit, transientTicks }: Settled, delays: readonly number[], shouldStop: ShouldStop): Tally {
  const { machine, arms } = piece;
  const lanes = machine.laneCount.length;
  const tally = { entered: new Int32Array(lanes), hasGap: new Uint8Array(lanes), wasEmpty: new Uint8Array(lanes) };
  if (arms.length === 0 && piece.entries.length === 0) return { ...tally, ticks: 1 };
  resetMachine(machine, arms.map((arm) => delays[arm]));
  machine.watch = WATCH_NONE;
  for (let tick = 0; tick < transientTicks; tick++) {
    if (tick % STOP_EVERY_TICKS === 0) goOnUnless(shouldStop);
    stepMachine(machine);
  }
  const ticks = Math.min(orbit.periodTicks, LOOK_TICKS);
  const watching = watched(machine, tally.entered);
  for (let tick = 0; tick < ticks; tick++) {
    if (tick % STOP_EVERY_TICKS === 0) goOnUnless(shouldStop);
    stepMachine(watching);
    markGaps(machine, tally.hasGap);
    for (let lane = 0; lane < lanes; lane++) if (machine.laneCount[lane] === 0) tally.wasEmpty[lane] = 1;
  }
  return { ...tally, ticks };
}

/** Whether an item may come onto a lane and leave it in one move, so that it is never counted there. */
function isPassedOver(m: Machine, lane: number): boolean {
  const fastest = m.laneSpeed.reduce((most, speed) => Math.max(most, speed), 0);
  const length = m.laneLength[lane];
  const joinsLate = (link: number, side: number): boolean =>
    link === Link.tee && m.laneTo[side] === lane && m.laneJoin[side] + fastest > length;
  return length < fastest || m.laneLink.some(joinsLate);
}

function laneFlow(m: Machine, lane: number, { entered, hasGap, wasEmpty, ticks }: Tally): LaneFlow | undefined {
  if (isPassedOver(m, lane)) return undefined;
  const flow = ratio(entered[lane], ticks);
  const fill = flow.mul(ratio(m.pitch, m.laneSpeed[lane]));
  if (entered[lane] === 0) return { flow, fill, state: wasEmpty[lane] === 1 ? 'empty' : 'standing' };
  if (fill.compare(1) >= 0) return { flow, fill, state: 'full' };
  const gaps = hasGap[lane] === 1 || (wasEmpty[lane] === 1 && m.laneLength[lane] >= m.pitch);
  return { flow, fill, state: gaps ? 'gaps' : 'waiting' };
}

const NOTHING: LaneFlow = { flow: ZERO, fill: ZERO, state: 'empty' };

/** A turn that items pass over carries what its one feeder brings. */
function throughShortTurns(carriers: readonly Carrier[], flows: readonly CarrierFlow[], pitch: number): readonly CarrierFlow[] {
  const fed = (index: number, side: 'left' | 'right', turns: number): LaneFlow | undefined => {
    const { shape, speed, fromLeft, fromRight } = carriers[index];
    const own = flows[index].head[side];
    const feeder = fromLeft ?? fromRight;
    if (own !== undefined || shape === 'straight' || feeder === undefined || turns > carriers.length) return own;
    const brought = fed(feeder, side, turns + 1);
    if (brought === undefined) return undefined;
    const fill = brought.flow.mul(ratio(pitch, speed));
    return { ...brought, fill, state: brought.state === 'full' && fill.compare(1) < 0 ? 'gaps' : brought.state };
  };
  return flows.map((flow, index) => {
    if (carriers[index].shape === 'straight') return flow;
    const both = { left: fed(index, 'left', 0), right: fed(index, 'right', 0) };
    return { tail: both, head: both };
  });
}

/** From one start (`trial.ts` names the worst), once it has settled. */
export function laneFlows(layout: Layout, start: number, options: StartOptions): LaneFlows {
  const program = compileLayout(layout, { mergeTiles: false });
  const settled = new Starts(program, { ...options, tickLimit: Math.min(options.tickLimit, SETTLE_TICKS) }).settle(start);
  const delays = startDelays(program, options.seed, start);
  const nothing: SegmentFlow = { left: NOTHING, right: NOTHING };
  const flows: CarrierFlow[] = program.network.carriers.map(() => ({ tail: nothing, head: nothing }));
  let exact = true;
  program.pieces.forEach((piece, index) => {
    const tally = tallyPiece(piece, settled[index], delays, options.shouldStop);
    const { orbit } = settled[index];
    exact &&= orbit.exact && orbit.periodTicks <= LOOK_TICKS;
    for (const { carrier, lane, carrierFrom } of piece.stretches) {
      const segment = { left: laneFlow(piece.machine, lane, tally), right: laneFlow(piece.machine, lane + 1, tally) };
      flows[carrier] = { tail: carrierFrom > 0 ? flows[carrier].tail : segment, head: segment };
    }
  });
  return { exact, carriers: throughShortTurns(program.network.carriers, flows, layout.catalog.pitch) };
}
