/**
 * The last join. Once all drop tiles and splitters are placed, open stretches only come together; where
 * one more is open than exits are left, just one of them still joins another one's way, or a placed
 * carrier, and all others lead to an exit each. What that costs at least, over the joins that the flow test
 * allows: an admissible bound that sees what stands in the way, which grid lines do not.
 */
import { DEAD, exitOf, type CarrierNetwork } from './carrier-network.js';
import type { Crew } from '../site/crew.js';
import type { EvenSplit } from './even-split.js';
import type { LaneFlow } from './lane-flow.js';
import { ANY_LANE, ONTO_LEFT, ONTO_RIGHT } from './lane-ways.js';
import type { SiteMap } from '../site/site-map.js';
import { EXIT_BITS, MOST_ENDS, MOST_EXITS, type Joining } from './placed-carriers.js';
import type { Stretches } from './stretches.js';

/** Answers of the flow test, by what comes together where; they stay true while the stretches only grow. */
export type JoinMemory = Map<number | string, boolean>;
/** The same, of where only stretches have grown since. */
export type KnownJoins = ReadonlyMap<number | string, boolean>;

/** Two ends meet on a tile from which a stretch leads on to an exit, or on the exit's own. */
type MeetsAt = 'tile' | 'exit';

type Joined = Pick<Joining, 'mask' | 'onto' | 'tee'>;

export class LastJoin {
  private readonly routes: Int32Array;
  private readonly exitOfEnd = new Int32Array(MOST_ENDS);
  private readonly rough: number[] = [];
  private readonly gathered = { most: 0, wanted: 0 };
  private crew: Crew = { chests: [], arms: [] };
  /** Whether `split` has been told what is placed. */
  private entered = false;

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
    private readonly flow: LaneFlow,
    private readonly split: EvenSplit,
    private readonly stretches: Stretches,
  ) {
    this.routes = new Int32Array(map.tiles + 4);
  }

  /**
   * Least cost of the carriers that still must come, where `joinsLeft` has just said that it is one; Infinity
   * where no join can meet the target. Ways dearer than `most` are followed no further: what needs one costs at least what that had come to.
   * `idle`: so many idle belts are paid for, which could bring stretches onto one lane; 0: none will come. `connects`: the join must
   * make one network of two, which `divide` has just named.
   */
  leastCost(crew: Crew, most: number, idle: number, connects: boolean, memory: JoinMemory): number {
    const { net, stretches } = this;
    const { ends } = stretches;
    if (stretches.areTooMany) return 0;
    const spared = stretches.measure(most, idle);
    const keepsLanes = idle === 0;
    this.entered = false;
    this.crew = crew;
    let best = Infinity;
    for (let i = 0; i < ends.length; i++) {
      for (const joining of stretches.joins[i].values()) {
        if (connects && stretches.networkOfMask(joining.mask) === net.networkOf[ends[i]]) continue;
        const total = this.tailsBut(i, i) + joining.cost;
        if (total < best && this.allowsJoining(i, joining, keepsLanes, memory)) best = total;
      }
      for (let j = 0; j < i; j++) {
        if (connects && net.networkOf[ends[j]] === net.networkOf[ends[i]]) continue;
        const others = this.tailsBut(i, j);
        const meetings = stretches.meetingOf(i, j);
        for (const at of MEETINGS) {
          const total = others + meetings[at];
          if (total < best && (this.allowsMeeting(i, j, at, keepsLanes, memory) || this.allowsMeeting(j, i, at, keepsLanes, memory))) best = total;
        }
      }
    }
    return Math.min(best, stretches.leastCut) - spared;
  }

  /** Whether enough may flow where `joinsLeft` has just said that there is none: each end leads to an exit of its own. */
  tailsAllow(keepsLanes: boolean): boolean {
    return this.map.demands.length > MOST_EXITS || this.tailsAllowFrom(0, keepsLanes, 0);
  }

  private tailsAllowFrom(from: number, keepsLanes: boolean, given: number): boolean {
    const { routes } = this;
    const { ends, exitsLeft } = this.stretches;
    if (from < ends.length) {
      return exitsLeft.some((exit) => {
        if ((given & (1 << exit)) !== 0) return false;
        routes[ends[from]] = (1 << exit) | (keepsLanes ? 0 : ANY_LANE);
        return this.tailsAllowFrom(from + 1, keepsLanes, given | (1 << exit));
      });
    }
    let plain = 0;
    for (const exit of exitsLeft) if (keepsLanes || this.needsBothLanes(exit)) plain |= 1 << exit;
    return this.flow.sufficesBy(routes, plain, keepsLanes, -1);
  }

  /** Least cost of leading all ends but these two (or this one) to an exit each. */
  private tailsBut(i: number, j: number): number {
    const { ends } = this.stretches;
    let sum = 0;
    for (let k = 0; k < ends.length; k++) if (k !== i && k !== j) sum += this.stretches.tailOf(k);
    return sum;
  }

  private allowsJoining(i: number, joining: Joining, keepsLanes: boolean, memory: JoinMemory): boolean {
    return this.allows(joiningKey(joining) * MOST_ENDS + i, i, joining, undefined, keepsLanes, memory);
  }

  private allowsMeeting(i: number, j: number, at: MeetsAt, keepsLanes: boolean, memory: JoinMemory): boolean {
    const key = MEETING_KEYS + (i * MOST_ENDS + j) * 2 + (at === 'exit' ? 1 : 0);
    return this.allows(key, i, { mask: 1 << j, onto: 0, tee: -1 }, at, keepsLanes, memory);
  }

  private allows(key: number, i: number, joining: Joined, meets: MeetsAt | undefined, keepsLanes: boolean, memory: JoinMemory): boolean {
    const own = keepsLanes ? key : key + IDLE_KEYS;
    let known = memory.get(own);
    if (known === undefined) memory.set(own, (known = this.flowAllows(i, joining, meets, keepsLanes, 0, 0)));
    return known;
  }

  /**
   * Whether, for some way of giving the exits that are left to the other ends from `from` on, enough flows with end `i` joined
   * as said; `meets`: with the one end that its mask names, on a tile of their own.
   */
  private flowAllows(i: number, joining: Joined, meets: MeetsAt | undefined, keepsLanes: boolean, from: number, given: number): boolean {
    const { exitOfEnd, routes } = this;
    const { ends, exitsLeft } = this.stretches;
    if (from === i) return this.flowAllows(i, joining, meets, keepsLanes, from + 1, given);
    if (from < ends.length) {
      for (const exit of exitsLeft) {
        if ((given & (1 << exit)) !== 0) continue;
        exitOfEnd[from] = exit;
        if (this.flowAllows(i, joining, meets, keepsLanes, from + 1, given | (1 << exit))) return true;
      }
      return false;
    }
    const { mask, onto, tee } = joining;
    let exits = mask >> EXIT_BITS;
    for (let j = 0; j < ends.length; j++) {
      if (j === i) continue;
      if ((mask & (1 << j)) !== 0) exits |= 1 << exitOfEnd[j];
      routes[ends[j]] = (1 << exitOfEnd[j]) | (keepsLanes ? 0 : ANY_LANE);
    }
    if (this.split.applies && keepsLanes && !this.sharesSuffice(i, mask, exits)) return false;
    // Where two ends meet on an exit's own tile, a tee merge may set items down there.
    const meetsAtExit = meets === 'exit' ? exits : 0;
    let plain = 0;
    for (const exit of exitsLeft) if ((meetsAtExit & (1 << exit)) === 0 && (keepsLanes || this.needsBothLanes(exit))) plain |= 1 << exit;
    if (!keepsLanes || !this.leadsOneWay(mask)) {
      routes[ends[i]] = exits | ANY_LANE;
      return this.flow.sufficesBy(routes, plain, keepsLanes, tee);
    }
    if (meets === undefined) {
      routes[ends[i]] = exits | onto;
      return this.flow.sufficesBy(routes, plain, true, tee);
    }
    const other = routes[ends[31 - Math.clz32(mask)]];
    return MEETING_LANES.some(([own, others]) => {
      routes[ends[i]] = exits | own;
      routes[ends[31 - Math.clz32(mask)]] = other | others;
      return this.flow.sufficesBy(routes, plain, true, -1);
    });
  }

  /** Whether all that comes to what a mask names comes by one way: no splitter parts it. */
  private leadsOneWay(mask: number): boolean {
    const { net } = this;
    for (let c = 0; c < net.count; c++) if (net.mate[c] >= 0) return false;
    return (mask & (mask - 1)) === 0;
  }

  /** Whether an exit's demand is more than leaves by one lane, onto which an idle belt beside a stretch brings all of it. */
  private needsBothLanes(exit: number): boolean {
    const { demands, endCapacities, belts, exitBelt } = this.map;
    return demands[exit].total > endCapacities[belts[exitBelt[exit]].speed];
  }

  /** The same of what splitters that share evenly leave to each exit. `exits` are those that the join feeds. */
  private sharesSuffice(i: number, mask: number, exits: number): boolean {
    const { map, net, exitOfEnd, split, rough, gathered } = this;
    const { ends } = this.stretches;
    if (!this.entered) split.enter(this.crew);
    this.entered = true;
    rough.length = 0;
    for (let j = 0; j < ends.length; j++) if (j === i || (mask & (1 << j)) !== 0) rough.push(ends[j]);
    split.setRough(rough, mask >> EXIT_BITS);
    const mostOfBoth = (c: number): number => split.mostOf(c, 0) + split.mostOf(c, 1);
    const suffices = (exit: number, c: number): boolean => {
      const { left, right, total } = map.demands[exit];
      if ((exits & (1 << exit)) === 0) return split.mostOf(c, 0) >= left && split.mostOf(c, 1) >= right && mostOfBoth(c) >= total;
      // All exits that the join feeds together: it may share among them as it likes.
      gathered.most += mostOfBoth(c);
      gathered.wanted += total;
      return true;
    };
    gathered.most = mostOfBoth(ends[i]);
    gathered.wanted = 0;
    for (let j = 0; j < ends.length; j++) if (j !== i && !suffices(exitOfEnd[j], ends[j])) return false;
    for (let c = 0; c < net.count; c++) if (net.next[c] < DEAD && !suffices(exitOf(net.next[c]), c)) return false;
    return gathered.most >= gathered.wanted;
  }
}

const MEETINGS = ['tile', 'exit'] as const;

/** On which lanes two that meet come to lie: one from behind, or both from a side. The other way round is asked for by itself. */
const MEETING_LANES: readonly (readonly [number, number])[] = [
  [ONTO_LEFT, 0],
  [ONTO_RIGHT, 0],
  [ONTO_LEFT, ONTO_RIGHT],
];

/** Where a turn becomes a tee merge it counts which one, and that leads to its mask. Below `MEETING_KEYS`, and one for each. */
const joiningKey = ({ mask, onto, tee }: Joined): number => {
  const lane = onto === ONTO_LEFT ? 1 : onto === ONTO_RIGHT ? 2 : 0;
  return tee < 0 ? mask * 3 + lane : -1 - (tee * 3 + lane);
};
const MEETING_KEYS = 2 ** 40;
/** Added where idle belts may still come. */
const IDLE_KEYS = 2 ** 41;
