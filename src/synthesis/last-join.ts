/**
 * The last join. Once all drop tiles and splitters are placed, open stretches only come together; where
 * one more is open than exits are left, just one of them still joins another one's way, or a placed
 * carrier, and all others lead to an exit each. What that costs at least, over the joins that the flow test
 * allows: an admissible bound that sees what stands in the way, which grid lines do not.
 */
import { coverCosts } from './carrier-bound.js';
import { BELT, DEAD, FREE, OPEN, exitOf, type CarrierNetwork } from './carrier-network.js';
import type { Crew } from './crew.js';
import type { EvenSplit } from './even-split.js';
import { ANY_LANE, ONTO_LEFT, ONTO_RIGHT, type LaneFlow } from './lane-flow.js';
import { back, right, type SiteMap } from './site-map.js';
import { BELT_STEP, FIRST_STEP, StepQueues, UNDERPASS_STEP } from './step-queues.js';

/** More are left to the other bounds. Masks hold a bit for each end, and above them one for each exit. */
const MOST_ENDS = 8;
const EXIT_BITS = MOST_ENDS;
/** So that a mask and the number of an end fit into 31 bits together. */
const MOST_EXITS = 31 - EXIT_BITS - 3;

/** Answers of the flow test, by what comes together where; they stay true while the stretches only grow. */
export type JoinMemory = Map<number, boolean>;

/** Two ends meet on a tile from which a stretch leads on to an exit, or on the exit's own. */
type MeetsAt = 'tile' | 'exit';

/** A stretch that joins placed carriers: to what they lead, onto which lane it comes, and which turn it makes a tee merge, or -1. */
interface Joining {
  readonly mask: number;
  readonly onto: number;
  readonly tee: number;
  readonly cost: number;
}
type Joined = Omit<Joining, 'cost'>;

export class LastJoin {
  /** Open carriers in the order of their roots, so that they keep their numbers while their stretches grow. */
  private readonly ends: number[] = [];
  private readonly exitsLeft: number[] = [];
  /** [end][tile]: least cost of a stretch from an open end to before this tile; Infinity but for the tiles in `reached`. */
  private readonly before: readonly Float64Array[];
  /** [end]: the first `reachedCount` are tiles to which it was followed. */
  private readonly reached: readonly Int32Array[];
  private readonly reachedCount = new Int32Array(MOST_ENDS);
  /** [end]: by `joiningKey`, the cheapest of stretches that join alike. */
  private readonly joins: readonly Map<number, Joining>[];
  /** By carrier, as `begin` finds them. */
  private readonly feeders: Int16Array;
  private readonly lastFeeder: Int16Array;
  /** Least cost from a tile on to any exit that is left, this tile included. */
  private readonly onward: Float64Array;
  /** [tile * 4 + entered]: of one end while it is measured; otherwise Infinity. */
  private readonly states: Float64Array;
  private readonly queue: StepQueues;
  /** By carrier, -1 where not known: the mask of what it leads to. */
  private readonly leads: Int32Array;
  private readonly routes: Int32Array;
  /** [tile] */
  private readonly columns: Int32Array;
  private readonly rows: Int32Array;
  /** Where the stretches of the ends go on. */
  private readonly endX = new Int32Array(MOST_ENDS);
  private readonly endY = new Int32Array(MOST_ENDS);
  private readonly exitOfEnd = new Int32Array(MOST_ENDS);
  /** [set of ends]: least cost of bringing them to one exit; and see `leastCostOfSeveral`. */
  private readonly gather = new Float64Array(1 << MOST_ENDS);
  private readonly ways: Float64Array;
  private readonly joined = new Float64Array(MOST_ENDS);
  private readonly rough: number[] = [];
  private readonly tails = new Float64Array(MOST_ENDS);
  /** Whether `leastCost` has passed over a join that may do with idle belts. */
  idleMayHelp = false;
  private readonly gathered = { most: 0, wanted: 0 };
  private readonly tileCost: number;
  /** Least cost of a carrier that is no exit's own. */
  private readonly leastStep: number;
  private readonly meetings = { tile: Infinity, exit: Infinity };
  /** [tile]: least cost of leaving right there by an exit that is left; Infinity where none does. And the least of them. */
  private readonly exitBelow: Float64Array;
  private leastExit = Infinity;
  /** [n]: least cost of n moves across grid lines. */
  private readonly coverCost: Float64Array;
  private most = 0;
  /** The end that is measured, and what all else costs at least where it joins a placed carrier and where it meets another end. */
  private measured = 0;
  private besideJoin = 0;
  private besideMeeting = 0;
  /** [tile]: moves from it to the nearest placed carrier, if nothing stood in the way. */
  private readonly movesToCarrier: Int32Array;
  /** [exit]: tiles over which it leaves the site. */
  private readonly exitTiles: readonly Int32Array[];
  private readonly exitsByCost: readonly number[];
  private crew: Crew = { chests: [], arms: [] };
  /** Whether `split` has been told what is placed. */
  private entered = false;
  /** Of the ways dearer than `most`, which are not followed, what the cheapest one had come to. */
  private leastCut = Infinity;

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
    private readonly flow: LaneFlow,
    private readonly split: EvenSplit,
  ) {
    this.before = Array.from({ length: MOST_ENDS }, () => new Float64Array(map.tiles).fill(Infinity));
    this.reached = Array.from({ length: MOST_ENDS }, () => new Int32Array(map.tiles));
    this.joins = Array.from({ length: MOST_ENDS }, () => new Map());
    this.onward = new Float64Array(map.tiles);
    this.ways = new Float64Array((map.demands.length + 1) << MOST_ENDS);
    this.states = new Float64Array(map.tiles * 4).fill(Infinity);
    this.queue = new StepQueues(map.underpasses.length);
    this.leads = new Int32Array(map.tiles + 4);
    this.feeders = new Int16Array(map.tiles + 4);
    this.lastFeeder = new Int16Array(map.tiles + 4);
    this.routes = new Int32Array(map.tiles + 4);
    this.coverCost = coverCosts(map);
    this.tileCost = Math.min(...map.belts.map((belt) => belt.cost));
    this.leastStep = Math.min(this.tileCost, ...map.underpasses.map((model) => 2 * model.cost));
    this.exitBelow = new Float64Array(map.tiles);
    this.movesToCarrier = new Int32Array(map.tiles);
    this.columns = Int32Array.from({ length: map.tiles }, (_, tile) => tile % map.width);
    this.rows = Int32Array.from({ length: map.tiles }, (_, tile) => Math.floor(tile / map.width));
    this.exitTiles = map.demands.map((_, exit) => Int32Array.from(tilesOfExit(map, exit)));
    this.exitsByCost = map.demands.map((_, exit) => exit).sort((a, b) => exitCost(map, a) - exitCost(map, b));
  }

  /** How many joins are still to come; -1 where splitters or drops to come may change that. */
  joinsLeft(exitTaken: Uint8Array): number {
    const { net, ends, exitsLeft } = this;
    for (const tile of net.dropTiles) if (net.occupant[tile] === FREE) return -1;
    // Filled before they are cut to length, so that they keep their room.
    let count = 0;
    for (let c = 0; c < net.count; c++) if (net.next[c] === OPEN) ends[count++] = c;
    ends.length = count;
    count = 0;
    for (let e = 0; e < exitTaken.length; e++) if (exitTaken[e] === 0) exitsLeft[count++] = e;
    exitsLeft.length = count;
    return ends.length - exitsLeft.length;
  }

  /**
   * Least cost of the carriers that still must come, where `joinsLeft` has just said that it is one; Infinity
   * where no join can meet the target. Ways dearer than `most` are followed no further: what needs one costs at least what that had come to.
   * `keepsLanes`: no idle belt will come that could bring a stretch onto one lane. `connects`: the join must
   * make one network of two, which `divide` has just named.
   */
  leastCost(crew: Crew, most: number, keepsLanes: boolean, connects: boolean, memory: JoinMemory): number {
    const { map, net, ends } = this;
    if (ends.length > MOST_ENDS || map.demands.length > MOST_EXITS) return 0;
    this.begin(most);
    this.entered = false;
    this.crew = crew;
    let best = Infinity;
    for (let i = 0; i < ends.length; i++) {
      for (const joining of this.joins[i].values()) {
        if (connects && this.networkOfMask(joining.mask) === net.networkOf[ends[i]]) continue;
        const total = this.tailsBut(i, i) + joining.cost;
        if (total < best && this.allowsJoining(i, joining, keepsLanes, memory)) best = total;
      }
      for (let j = 0; j < i; j++) {
        if (connects && net.networkOf[ends[j]] === net.networkOf[ends[i]]) continue;
        const others = this.tailsBut(i, j);
        this.measureMeeting(i, j);
        for (const at of MEETINGS) {
          const total = others + this.meetings[at];
          if (total < best && (this.allowsMeeting(i, j, at, keepsLanes, memory) || this.allowsMeeting(j, i, at, keepsLanes, memory))) best = total;
        }
      }
    }
    return Math.min(best, this.leastCut);
  }

  /**
   * Least cost of what still must come where several joins are left, ways dearer than `most` cut short as
   * above: each exit that is left is reached by some of the ends together, all others come to a placed carrier.
   */
  leastCostOfSeveral(most: number): number {
    const { map, ends, exitsLeft, gather, ways } = this;
    if (ends.length > MOST_ENDS || map.demands.length > MOST_EXITS) return 0;
    this.begin(most);
    const all = (1 << ends.length) - 1;
    this.measureGathering(all);
    const { joined } = this;
    for (let i = 0; i < ends.length; i++) {
      joined[i] = Infinity;
      for (const { cost } of this.joins[i].values()) if (cost < joined[i]) joined[i] = cost;
    }
    // ways[exits * (all + 1) + set]: least cost of bringing just these ends to so many exits.
    ways.fill(Infinity, 0, (exitsLeft.length + 1) * (all + 1));
    for (let set = 0; set <= all; set++) {
      // They may come together first: no less than the one farthest off takes.
      let cost = 0;
      for (let i = 0; i < ends.length; i++) if ((set & (1 << i)) !== 0) cost = Math.max(cost, joined[i]);
      ways[set] = cost;
    }
    for (let exits = 1; exits <= exitsLeft.length; exits++) {
      for (let set = 1; set <= all; set++) {
        let least = Infinity;
        for (let group = set; group > 0; group = (group - 1) & set) {
          least = Math.min(least, gather[group] + ways[(exits - 1) * (all + 1) + (set ^ group)]);
        }
        ways[exits * (all + 1) + set] = least;
      }
    }
    return Math.min(ways[exitsLeft.length * (all + 1) + all], this.leastCut);
  }

  /** Whether enough may flow where `joinsLeft` has just said that there is none: each end leads to an exit of its own. */
  tailsAllow(keepsLanes: boolean): boolean {
    return this.map.demands.length > MOST_EXITS || this.tailsAllowFrom(0, keepsLanes, 0);
  }

  private tailsAllowFrom(from: number, keepsLanes: boolean, given: number): boolean {
    const { ends, exitsLeft, routes } = this;
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

  /** Fills `gather`: a set takes no less than any of its ends, or any two of them, take. */
  private measureGathering(all: number): void {
    const { net, ends, gather, onward } = this;
    gather.fill(0, 0, all + 1);
    const raise = (some: number, least: number): void => {
      for (let set = some; set <= all; set = (set + 1) | some) if (gather[set] < least) gather[set] = least;
    };
    for (let i = 0; i < ends.length; i++) {
      raise(1 << i, onward[net.frontOf(ends[i])]);
      for (let j = 0; j < i; j++) {
        this.measureMeeting(i, j);
        raise((1 << i) | (1 << j), Math.min(this.meetings.tile, this.meetings.exit));
      }
    }
  }

  /** Least cost of leading all ends but these two (or this one) to an exit each. */
  private tailsBut(i: number, j: number): number {
    const { net, ends, onward } = this;
    let sum = 0;
    for (let k = 0; k < ends.length; k++) if (k !== i && k !== j) sum += onward[net.frontOf(ends[k])];
    return sum;
  }

  /** What so many exits take at least that ends other than this one lead to. */
  private leastTails(i: number, exits: number): number {
    const { net, ends, onward, tails } = this;
    if (exits <= 0) return 0;
    let count = 0;
    for (let k = 0; k < ends.length; k++) {
      if (k === i) continue;
      const tail = onward[net.frontOf(ends[k])];
      let at = count++;
      for (; at > 0 && tails[at - 1] > tail; at--) tails[at] = tails[at - 1];
      tails[at] = tail;
    }
    let sum = 0;
    for (let k = 0; k < exits; k++) sum += tails[k];
    return sum;
  }

  /** Least cost of bringing two ends together and on to an exit: before its own tile, and on it. */
  private measureMeeting(i: number, j: number): void {
    const { before, onward, reached, reachedCount, exitBelow, leastStep } = this;
    let inside = Infinity;
    let atExit = Infinity;
    const [own, other] = reachedCount[i] < reachedCount[j] ? [i, j] : [j, i];
    for (let at = 0; at < reachedCount[own]; at++) {
      const tile = reached[own][at];
      const both = before[own][tile] + before[other][tile];
      const exit = exitBelow[tile];
      if (both + exit < atExit) atExit = both + exit;
      // Whatever does not leave here makes one more step to where it does.
      const total = both + Math.max(onward[tile], exit === Infinity ? 0 : this.leastExit + leastStep);
      if (total < inside) inside = total;
    }
    this.meetings.tile = inside;
    this.meetings.exit = atExit;
  }

  private begin(most: number): void {
    const { net, ends } = this;
    this.most = most;
    this.leastCut = Infinity;
    for (let i = 1; i < ends.length; i++) {
      const end = ends[i];
      let at = i;
      for (; at > 0 && net.root[ends[at - 1]] > net.root[end]; at--) ends[at] = ends[at - 1];
      ends[at] = end;
    }
    for (let i = 0; i < ends.length; i++) {
      const front = net.frontOf(ends[i]);
      this.endX[i] = this.columns[front];
      this.endY[i] = this.rows[front];
    }
    this.leads.fill(-1, 0, net.count);
    this.feeders.fill(0, 0, net.count);
    for (let c = 0; c < net.count; c++) {
      const to = net.next[c];
      if (to < 0) continue;
      this.feeders[to]++;
      this.lastFeeder[to] = c;
    }
    this.measureOnward();
    this.measureMovesToCarrier();
    for (let i = 0; i < ends.length; i++) this.measureFrom(i);
  }

  /** The network that leads to all that a mask names. */
  private networkOfMask(mask: number): number {
    const { net, ends } = this;
    for (let j = 0; j < ends.length; j++) if ((mask & (1 << j)) !== 0) return net.networkOf[ends[j]];
    for (let c = 0; c < net.count; c++) {
      if (net.next[c] < DEAD && (mask & (1 << (EXIT_BITS + exitOf(net.next[c])))) !== 0) return net.networkOf[c];
    }
    return -1;
  }

  private allowsJoining(i: number, joining: Joining, keepsLanes: boolean, memory: JoinMemory): boolean {
    return this.allows(joiningKey(joining) * MOST_ENDS + i, i, joining, undefined, keepsLanes, memory);
  }

  private allowsMeeting(i: number, j: number, at: MeetsAt, keepsLanes: boolean, memory: JoinMemory): boolean {
    const key = MEETING_KEYS + (i * MOST_ENDS + j) * 2 + (at === 'exit' ? 1 : 0);
    return this.allows(key, i, { mask: 1 << j, onto: 0, tee: -1 }, at, keepsLanes, memory);
  }

  private allows(key: number, i: number, joining: Joined, meets: MeetsAt | undefined, keepsLanes: boolean, memory: JoinMemory): boolean {
    const ask = (keeps: boolean): boolean => {
      const own = keeps ? key : key + IDLE_KEYS;
      let known = memory.get(own);
      if (known === undefined) memory.set(own, (known = this.flowAllows(i, joining, meets, keeps, 0, 0)));
      return known;
    };
    const allowed = ask(keepsLanes);
    if (!allowed && keepsLanes && !this.idleMayHelp) this.idleMayHelp = ask(false);
    return allowed;
  }

  /**
   * Whether, for some way of giving the exits that are left to the other ends from `from` on, enough flows with end `i` joined
   * as said; `meets`: with the one end that its mask names, on a tile of their own.
   */
  private flowAllows(i: number, joining: Joined, meets: MeetsAt | undefined, keepsLanes: boolean, from: number, given: number): boolean {
    const { ends, exitsLeft, exitOfEnd, routes } = this;
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
    const { map, net, ends, exitOfEnd, split, rough, gathered } = this;
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

  private measureOnward(): void {
    const { map, net, onward, queue, tileCost, coverCost, most } = this;
    onward.fill(Infinity);
    this.exitBelow.fill(Infinity);
    this.leastExit = Infinity;
    queue.clear();
    const relax = (step: number, tile: number, cost: number): void => {
      if (cost >= onward[tile] || net.occupant[tile] !== FREE) return;
      const least = cost + coverCost[this.movesFromEnds(tile)];
      if (least > most) {
        if (least < this.leastCut) this.leastCut = least;
        return;
      }
      onward[tile] = cost;
      queue.push(step, cost, tile);
    };
    for (const exit of this.exitsByCost) {
      if (!this.exitsLeft.includes(exit)) continue;
      const cost = exitCost(map, exit);
      this.leastExit = Math.min(this.leastExit, cost);
      for (const tile of this.exitTiles[exit]) {
        this.exitBelow[tile] = Math.min(this.exitBelow[tile], cost);
        relax(FIRST_STEP, tile, cost);
      }
    }
    for (let tile = queue.pop(); tile >= 0; tile = queue.pop()) {
      const cost = queue.poppedKey;
      if (cost > onward[tile]) continue;
      for (let heading = 0; heading < 4; heading++) {
        const end = map.neighbour[tile * 4 + back(heading)];
        if (end < 0 || net.occupant[end] !== FREE) continue;
        relax(BELT_STEP, end, cost + tileCost);
        let entry = end;
        let clear = true;
        for (let apart = 1; apart <= map.longestSpan; apart++) {
          entry = map.neighbour[entry * 4 + back(heading)];
          if (entry < 0) break;
          for (let m = 0; m < map.underpasses.length; m++) {
            if (this.pays(m, apart, clear)) relax(UNDERPASS_STEP + m, entry, cost + 2 * map.underpasses[m].cost);
          }
          clear &&= net.occupant[entry] === FREE;
        }
      }
    }
  }

  /** Whether an underpass model may lead so far, and is not simply what belts do for no more; `clear`: all tiles between are free. */
  private pays(model: number, apart: number, clear: boolean): boolean {
    const { span, cost } = this.map.underpasses[model];
    return span >= apart && (!clear || 2 * cost < (apart + 1) * this.tileCost);
  }

  /** Least number of moves from the open end that is nearest to a tile. */
  private movesFromEnds(tile: number): number {
    const { ends, endX, endY, columns, rows } = this;
    const x = columns[tile];
    const y = rows[tile];
    let least = Infinity;
    for (let i = 0; i < ends.length; i++) {
      const moves = Math.abs(x - endX[i]) + Math.abs(y - endY[i]);
      if (moves < least) least = moves;
    }
    return least;
  }

  private measureFrom(i: number): void {
    const { map, net, ends, states, queue, tileCost } = this;
    const before = this.before[i];
    const reached = this.reached[i];
    for (let at = 0; at < this.reachedCount[i]; at++) before[reached[at]] = Infinity;
    let count = 0;
    this.joins[i].clear();
    queue.clear();
    this.measured = i;
    this.besideJoin = this.leastTails(i, this.exitsLeft.length);
    this.besideMeeting = this.leastTails(i, this.exitsLeft.length - 1);
    this.reach(FIRST_STEP, net.frontOf(ends[i]), net.heading[ends[i]], 0);
    for (let state = queue.pop(); state >= 0; state = queue.pop()) {
      const cost = queue.poppedKey;
      if (cost > states[state]) continue;
      const tile = state >> 2;
      const entered = state & 3;
      if (before[tile] === Infinity) reached[count++] = tile;
      if (cost < before[tile]) before[tile] = cost;
      for (let heading = 0; heading < 4; heading++) if (heading !== back(entered)) this.leave(i, BELT_STEP, tile, heading, cost + tileCost);
      let end = tile;
      let clear = true;
      for (let apart = 1; apart <= map.longestSpan; apart++) {
        end = map.neighbour[end * 4 + entered];
        if (end < 0) break;
        if (net.occupant[end] !== FREE) {
          clear = false;
          continue;
        }
        for (let m = 0; m < map.underpasses.length; m++) {
          if (this.pays(m, apart, clear)) this.leave(i, UNDERPASS_STEP + m, end, entered, cost + 2 * map.underpasses[m].cost);
        }
      }
    }
    this.reachedCount[i] = count;
    queue.unreach(states);
  }

  private reach(step: number, tile: number, entered: number, cost: number): void {
    const state = tile * 4 + entered;
    if (cost >= this.states[state] || this.net.occupant[tile] !== FREE) return;
    const least = cost + Math.min(this.besideJoin + this.coverCost[this.movesToCarrier[tile]], this.leastMeetingFrom(tile) + this.besideMeeting);
    if (least > this.most) {
      if (least < this.leastCut) this.leastCut = least;
      return;
    }
    this.states[state] = cost;
    this.queue.push(step, cost, state);
  }

  /**
   * What it takes at least from a tile on to meet another end and go on to an exit: of the three parts of such a way (from
   * here, from the other end, onward) any two lead from one of these three places to another, and each is counted twice.
   */
  private leastMeetingFrom(tile: number): number {
    const { map, ends, endX, endY, onward, coverCost, columns, rows } = this;
    const x = columns[tile];
    const y = rows[tile];
    let least = Infinity;
    for (let j = 0; j < ends.length; j++) {
      if (j === this.measured) continue;
      const apart = coverCost[Math.abs(x - endX[j]) + Math.abs(y - endY[j])];
      const other = onward[endY[j] * map.width + endX[j]] + apart;
      if (other < least) least = other;
    }
    return Math.max(onward[tile], Math.ceil((onward[tile] + least) / 2));
  }

  /** Two sweeps over the site: moves to the nearest of several tiles, row by row from both corners. */
  private measureMovesToCarrier(): void {
    const { map, net, movesToCarrier: moves } = this;
    const { width, tiles } = map;
    const unknown = width + map.depth;
    for (let tile = 0; tile < tiles; tile++) {
      let least = net.occupant[tile] > FREE ? 0 : unknown;
      if (tile % width > 0) least = Math.min(least, moves[tile - 1] + 1);
      if (tile >= width) least = Math.min(least, moves[tile - width] + 1);
      moves[tile] = least;
    }
    for (let tile = tiles - 1; tile >= 0; tile--) {
      let least = moves[tile];
      if (tile % width < width - 1) least = Math.min(least, moves[tile + 1] + 1);
      if (tile < tiles - width) least = Math.min(least, moves[tile + width] + 1);
      moves[tile] = least;
    }
  }

  /** A stretch from end `i` whose last carrier, of that step, has its head on `tile`: on to a free tile, or into a placed carrier. */
  private leave(i: number, step: number, tile: number, heading: number, cost: number): void {
    const { map, net } = this;
    const front = map.neighbour[tile * 4 + heading];
    if (front < 0) return;
    if (net.occupant[front] === FREE) {
      this.reach(step, front, heading, cost);
      return;
    }
    const to = net.nextOf(front, heading);
    if (to === undefined || to < 0) return;
    const mask = this.leadsTo(to);
    // What leads back to this end would close a ring.
    if ((mask & (1 << i)) !== 0) return;
    const joining = { mask, ...this.waysInto(to, heading), cost };
    const key = joiningKey(joining);
    const known = this.joins[i].get(key);
    if (known === undefined || cost < known.cost) this.joins[i].set(key, joining);
  }

  /**
   * Onto which lane a stretch of this heading comes at the end of the way of a placed carrier that it joins (where no splitter
   * parts it), and which turn it makes a tee merge.
   */
  private waysInto(to: number, heading: number): { readonly onto: number; readonly tee: number } {
    const { net, feeders, lastFeeder } = this;
    const isTurn = net.kind[to] === BELT && feeders[to] === 1 && net.heading[lastFeeder[to]] !== net.heading[to];
    let onto = feeders[to] === 0 ? 0 : this.laneFromSide(heading, to);
    for (let at = to; net.next[at] >= 0; at = net.next[at]) {
      const next = net.next[at];
      if (feeders[next] > 1) onto = this.laneFromSide(net.heading[at], next) || onto;
    }
    return { onto, tee: isTurn ? to : -1 };
  }

  /** The lane of a tee merge onto which a side feeder of this heading brings all; 0 of one from behind. */
  private laneFromSide(heading: number, to: number): number {
    const own = this.net.heading[to];
    return heading === own ? 0 : heading === right(own) ? ONTO_LEFT : ONTO_RIGHT;
  }

  private leadsTo(c: number): number {
    const { net, leads } = this;
    if (leads[c] < 0) leads[c] = this.beyond(c) | (net.mate[c] >= 0 ? this.beyond(net.mate[c]) : 0);
    return leads[c];
  }

  private beyond(c: number): number {
    const code = this.net.next[c];
    if (code === OPEN) return 1 << this.ends.indexOf(c);
    if (code === DEAD) return 0;
    return code >= 0 ? this.leadsTo(code) : 1 << (EXIT_BITS + exitOf(code));
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

const exitCost = (map: SiteMap, exit: number): number => map.belts[map.exitBelt[exit]].cost;

const tilesOfExit = (map: SiteMap, exit: number): readonly number[] =>
  Array.from({ length: map.tiles }, (_, tile) => tile).filter((tile) => [0, 1, 2, 3].some((heading) => (map.exitsAt[tile * 4 + heading] & (1 << exit)) !== 0));
