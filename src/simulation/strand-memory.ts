/**
 * What strands come to, remembered by all that decides it: networks that a search tries one after the other have most of
 * their strands in common. Which lanes are a strand is settled in `strands.ts`, how one ends in `steady-state.ts`.
 */
import { ArmEndKind, Link, Op, type Machine, type Strand } from './machine.js';
import type { Orbit } from './steady-state.js';

/** Counts in the period of a strand. */
export interface StrandFlows {
  /** Whether it has repeated; otherwise nothing is known. */
  readonly exact: boolean;
  readonly periodTicks: number;
  /** In the order of the strand's exit lanes. */
  readonly exitCount: readonly number[];
  /** In the order of the strand's arms. */
  readonly armTaken: readonly number[];
}

export const flowsOf = ({ exact, periodTicks, exitCount, armTaken }: Orbit, { exitLanes, arms }: Strand): StrandFlows => ({
  exact,
  periodTicks,
  exitCount: Array.from(exitLanes, (lane) => exitCount[lane]),
  armTaken: Array.from(arms, (arm) => armTaken[arm]),
});

/** A strand of one arm repeats in less time than it takes to write down what decides it. */
const FEWEST_ARMS = 2;
const MOST_STRANDS = 40_000;

/** Of layouts of one catalog, with one limit of ticks. */
export class StrandMemory {
  private readonly known = new Map<string, StrandFlows>();

  /** What a strand comes to from a start of which each of the machine's arms is held back by `delays`; `find` runs it. */
  flows(m: Machine, strand: Strand, delays: ArrayLike<number>, find: () => StrandFlows): StrandFlows {
    if (strand.arms.length < FEWEST_ARMS || !mayBeKnown(m, strand)) return find();
    const key = strandKey(m, strand, delays);
    const known = this.known.get(key);
    if (known !== undefined) return known;
    const found = find();
    if (this.known.size >= MOST_STRANDS) this.known.clear();
    this.known.set(key, found);
    return found;
  }
}

/** Rings, credit, entries and arms that take from carriers are left alone. */
const mayBeKnown = (m: Machine, { arms, meters, entries }: Strand): boolean =>
  !m.opensRing && meters.length === 0 && entries.length === 0 && arms.every((arm) => m.armPickKind[arm] === ArmEndKind.container);

/** Where a splitter's side has its lanes in `splitterIn` and `splitterOut`; the right half's are two further on. */
const firstOfTurn = (turn: number): number => (turn >> 1) * 4 + (turn & 1);

/** A strand's lanes in an order that tells nothing of how they are numbered: upstream from each exit and each end. */
function upstreamOrder(m: Machine, { lanes, turns }: Strand): ReadonlyMap<number, number> {
  const feeders = new Map<number, number[]>([...lanes].map((lane) => [lane, []]));
  const feed = (from: number, to: number): void => {
    if (feeders.has(from)) feeders.get(to)?.push(from);
  };
  for (const turn of turns) {
    const at = firstOfTurn(turn);
    for (const from of [m.splitterOut[at], m.splitterOut[at + 2], m.splitterIn[at], m.splitterIn[at + 2]]) {
      for (const to of [m.splitterOut[at], m.splitterOut[at + 2]]) if (from !== to) feed(from, to);
    }
  }
  for (const lane of lanes) if (m.laneLink[lane] === Link.onward) feed(lane, m.laneTo[lane]);
  const joining = [...lanes].filter((lane) => m.laneLink[lane] === Link.tee).sort((a, b) => m.laneJoin[a] - m.laneJoin[b]);
  for (const lane of joining) feed(lane, m.laneTo[lane]);
  const order = new Map<number, number>();
  const visit = (lane: number): void => {
    if (order.has(lane)) return;
    order.set(lane, order.size);
    feeders.get(lane)?.forEach(visit);
  };
  const ends = (link: number): Int32Array => lanes.filter((lane) => m.laneLink[lane] === link);
  ends(Link.exit).forEach(visit);
  ends(Link.nothing).forEach(visit);
  lanes.forEach(visit);
  return order;
}

/**
 * How much of an open exit's lane matters: items there never wait for anything, so what is a pitch beyond the last place
 * where any may come in is felt by none of them.
 */
function lengthThatMatters(m: Machine, { lanes, arms }: Strand, lane: number): number {
  const length = m.laneLength[lane];
  if (m.laneLink[lane] !== Link.exit) return length;
  const speed = lanes.reduce((most, each) => Math.max(most, m.laneSpeed[each]), 0);
  let last = speed;
  for (const from of lanes) if (m.laneLink[from] === Link.tee && m.laneTo[from] === lane) last = Math.max(last, m.laneJoin[from] + speed);
  for (const arm of arms) {
    const isHere = m.armPlaceKind[arm] === ArmEndKind.line || m.armPlaceLane[arm] === lane;
    if (isHere) last = Math.max(last, m.armPlaceTo[arm]);
  }
  return Math.min(length, last + m.pitch);
}

/** Strands with the same text do the same, tick for tick, but for when items get over the edge of an exit. */
function strandKey(m: Machine, strand: Strand, delays: ArrayLike<number>): string {
  const order = upstreamOrder(m, strand);
  const numberOf = (lane: number): number => order.get(lane) ?? -1;
  const text: number[] = [m.pitch, order.size];
  for (const lane of order.keys()) {
    const isOnward = m.laneLink[lane] === Link.onward || m.laneLink[lane] === Link.tee;
    text.push(lengthThatMatters(m, strand, lane), m.laneSpeed[lane], m.laneLink[lane], isOnward ? numberOf(m.laneTo[lane]) : -1, m.laneJoin[lane]);
  }
  const turnOf = new Map([...strand.turns].sort((a, b) => numberOf(m.splitterOut[firstOfTurn(a)]) - numberOf(m.splitterOut[firstOfTurn(b)])).map((turn, index) => [turn, index]));
  text.push(turnOf.size);
  for (const turn of turnOf.keys()) {
    const at = firstOfTurn(turn);
    const lanesAt = [m.splitterIn[at], m.splitterIn[at + 2], m.splitterOut[at], m.splitterOut[at + 2]];
    text.push(...lanesAt.map(numberOf), m.splitterFavourIn[turn >> 1], m.splitterFavourOut[turn >> 1]);
  }
  text.push(strand.arms.length);
  for (const arm of strand.arms) {
    const isLine = m.armPlaceKind[arm] === ArmEndKind.line;
    text.push(m.armPlaceKind[arm], isLine ? (turnOf.get(m.armPlaceLane[arm]) ?? -1) : numberOf(m.armPlaceLane[arm]), m.armPlaceFrom[arm], m.armPlaceTo[arm]);
    text.push(m.armPayload[arm], m.armSwing[arm], m.armGrab[arm], m.armRelease[arm], delays[arm]);
  }
  strand.opKind.forEach((kind, op) => {
    const first = strand.opFirst[op];
    text.push(kind, kind === Op.cross ? (turnOf.get(first) ?? -1) : numberOf(first));
  });
  return text.join();
}
