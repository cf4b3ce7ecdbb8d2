/**
 * The stretches of a network under construction that still lead nowhere, once all splitters are placed: where each may go on,
 * to which placed carriers (`placed-carriers.ts`), and what it takes to bring it to an exit. Ways past what stands there, and
 * beneath it (`beneath.ts`), which grid lines do not see. What follows from that for all stretches together is in
 * `last-join.ts` and `joins-to-come.ts`.
 */
import { Beneath } from './beneath.js';
import { DEAD, FREE, OPEN, exitOf, type CarrierNetwork } from './carrier-network.js';
import type { LaneFlow } from './lane-flow.js';
import { coverCosts } from './line-costs.js';
import { EXIT_BITS, MOST_ENDS, MOST_EXITS, PlacedCarriers, type Joining } from './placed-carriers.js';
import { back, type SiteMap } from '../site/site-map.js';
import { BELT_STEP, FIRST_STEP, StepQueues, UNDERPASS_STEP } from './step-queues.js';
import { StretchLoads, UNBEARABLE } from './stretch-loads.js';

/** Costs by tile, Infinity but for the first `count` of `tiles`. */
export interface Ways {
  readonly costs: Float64Array;
  readonly tiles: Int32Array;
  readonly count: number;
}

export class Stretches {
  /**
   * Open carriers, and free drop tiles as -1 - tile: in the order of the tiles where their stretches begin, so that they keep
   * their numbers while these grow.
   */
  readonly ends: number[] = [];
  /** [end]: where its stretch goes on. */
  readonly endTile = new Int32Array(MOST_ENDS);
  readonly exitsLeft: number[] = [];
  readonly loads: StretchLoads;
  readonly placed: PlacedCarriers;
  readonly beneath: Beneath;
  /** Least cost from a tile on to any exit that is left, this tile included; and [kind] the same by carriers of that kind. */
  readonly onward: Float64Array;
  private readonly onwardBy: readonly Float64Array[];
  private readonly onwardKnown: Uint8Array;
  /** [end]: its cheapest ways into placed carriers. */
  readonly joins: readonly Map<number, Joining>[];
  /** [n]: least cost of n moves across grid lines. */
  readonly coverCost: Float64Array;
  readonly queue: StepQueues;
  readonly tileCost: number;
  /** Of the ways dearer than `most`, which are not followed, what the cheapest one had come to. */
  leastCut = Infinity;
  /** [end][tile]: least cost of a stretch from an open end to before this tile; Infinity but for the tiles in `reached`. */
  private readonly before: readonly Float64Array[];
  /** [end]: the first `reachedCount` are tiles to which it was followed. */
  private readonly reached: readonly Int32Array[];
  private readonly reachedCount = new Int32Array(MOST_ENDS);
  /** [tile * 4 + entered]: of one end while it is measured; otherwise Infinity. */
  private readonly states: Float64Array;
  /** Whether belts lead as far as an underpass for no more: then two ends that meet on a drop tile by one are bounded as others are. */
  private readonly beltsLeadOut: boolean;
  /** [tile] */
  private readonly columns: Int32Array;
  private readonly rows: Int32Array;
  private readonly endX = new Int32Array(MOST_ENDS);
  private readonly endY = new Int32Array(MOST_ENDS);
  private readonly tails = new Float64Array(MOST_ENDS);
  /** Least cost of a carrier that is no exit's own. */
  private readonly leastStep: number;
  /** [tile]: least cost of leaving right there by an exit that is left; Infinity where none does. And the least of them. */
  private readonly exitBelow: Float64Array;
  private leastExit = Infinity;
  private most = 0;
  /** The end that is measured, and what all else costs at least where it joins a placed carrier and where it meets another end. */
  private measured = 0;
  private besideJoin = 0;
  private besideMeeting = 0;
  /** [exit]: tiles over which it leaves the site. */
  private readonly exitTiles: readonly Int32Array[];
  private readonly exitsByCost: readonly number[];

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
    flow: LaneFlow,
  ) {
    this.loads = new StretchLoads(map, net, flow, MOST_ENDS);
    this.placed = new PlacedCarriers(map, net, this.ends);
    this.beneath = new Beneath(map, net, this.loads.kinds);
    this.onwardBy = this.loads.kinds.map(() => new Float64Array(map.tiles));
    this.onwardKnown = new Uint8Array(this.onwardBy.length);
    this.before = Array.from({ length: MOST_ENDS }, () => new Float64Array(map.tiles).fill(Infinity));
    this.reached = Array.from({ length: MOST_ENDS }, () => new Int32Array(map.tiles));
    this.joins = Array.from({ length: MOST_ENDS }, () => new Map());
    this.onward = this.onwardBy[0];
    this.states = new Float64Array(map.tiles * 4).fill(Infinity);
    this.queue = new StepQueues(2 * map.underpasses.length);
    this.coverCost = coverCosts(map);
    this.tileCost = Math.min(...map.belts.map((belt) => belt.cost));
    this.beltsLeadOut = map.underpasses.every(({ cost, span }) => 2 * cost >= (span + 1) * this.tileCost);
    this.leastStep = Math.min(this.tileCost, ...map.underpasses.map((model) => 2 * model.cost));
    this.exitBelow = new Float64Array(map.tiles);
    this.columns = Int32Array.from({ length: map.tiles }, (_, tile) => tile % map.width);
    this.rows = Int32Array.from({ length: map.tiles }, (_, tile) => Math.floor(tile / map.width));
    this.exitTiles = map.demands.map((_, exit) => Int32Array.from(tilesOfExit(map, exit)));
    this.exitsByCost = map.demands.map((_, exit) => exit).sort((a, b) => exitCost(map, a) - exitCost(map, b));
  }

  /** Whether there are more ends or exits than masks hold. */
  get areTooMany(): boolean {
    return this.ends.length > MOST_ENDS || this.map.demands.length > MOST_EXITS;
  }

  /** How many joins are still to come where no splitters are; undefined where that is not known. */
  joinsLeft(exitTaken: Uint8Array): number | undefined {
    const { net, ends, exitsLeft } = this;
    // Filled before they are cut to length, so that they keep their room.
    let count = 0;
    for (const tile of net.dropTiles) if (net.occupant[tile] === FREE) ends[count++] = -1 - tile;
    if (count > 0 && !this.beltsLeadOut) return undefined;
    for (let c = 0; c < net.count; c++) if (net.next[c] === OPEN) ends[count++] = c;
    ends.length = count;
    count = 0;
    for (let e = 0; e < exitTaken.length; e++) if (exitTaken[e] === 0) exitsLeft[count++] = e;
    exitsLeft.length = count;
    return ends.length - exitsLeft.length;
  }

  /** Whether all ends are open carriers: no arm's tile is free. */
  get areLaid(): boolean {
    return this.ends.every((end) => end >= 0);
  }

  /**
   * Measures ways to exits alone. Those dearer than `most` are followed no further: see `leastCut`. `idle`: so many idle
   * belts are paid for; 0: none will come. Returns how much all is measured too dear at most, for what they spare elsewhere.
   */
  measureExits(most: number, idle: number): number {
    this.leastCut = Infinity;
    this.nameEnds();
    this.beneath.measure();
    const spared = this.loads.begin(this.ends, idle);
    this.most = most + spared;
    this.onwardKnown.fill(0);
    this.measureOnward(0);
    for (let i = 0; i < this.ends.length; i++) this.onwardOf(1 << i);
    return spared;
  }

  /** Measures all ways from where the ends are, those that `joinsLeft` has just found; `most` and `idle` as above. */
  measure(most: number, idle: number): number {
    const spared = this.measureExits(most, idle);
    this.placed.measure();
    for (let i = 0; i < this.ends.length; i++) this.measureFrom(i);
    return spared;
  }

  /** Whether a way of this cost is to be followed. */
  pays(cost: number): boolean {
    if (cost <= this.most) return true;
    if (cost < this.leastCut && cost < UNBEARABLE / 2) this.leastCut = cost;
    return false;
  }

  waysOf(i: number): Ways {
    return { costs: this.before[i], tiles: this.reached[i], count: this.reachedCount[i] };
  }

  /** Least cost from an end to an exit. */
  tailOf(i: number): number {
    return this.onwardBy[this.loads.kindOf(1 << i)][this.endTile[i]] - this.sparedOnDrop(i);
  }

  /**
   * The same if so many others come to join it: where each of them does, the cheapest belt may be enough (see `sparedAt`). Ways
   * dearer than `most` were not followed, so of them no more is known.
   */
  leastTailOf(i: number, joined: number): number {
    const tail = this.tailOf(i);
    const spared = joined === 0 ? 0 : joined * this.mostSparedOf(1 << i);
    return spared === 0 ? tail : Math.max(this.onward[this.endTile[i]], Math.min(tail, this.most) - spared);
  }

  /** Least cost from an end to a placed carrier, whatever joins it. */
  leastJoinOf(i: number): number {
    return this.net.count === 0 ? Infinity : this.coverCost[this.placed.movesTo[this.endTile[i]]];
  }

  /** No belt of a set's stretch is spared more. */
  mostSparedOf(set: number): number {
    return this.tileCostOf(set) - this.tileCost;
  }

  /** Least cost from a tile on to any exit that is left, this tile included, of carriers that bear what a set of ends brings. */
  onwardOf(set: number): Float64Array {
    const kind = this.loads.kindOf(set);
    if (this.onwardKnown[kind] === 0) this.measureOnward(kind);
    return this.onwardBy[kind];
  }

  tileCostOf(set: number): number {
    return this.loads.kinds[this.loads.kindOf(set)].tileCost;
  }

  /** What a belt costs less than others of a set's stretch on the tile where an arm places, or where stretches meet: more leaves there than passes along a lane. */
  sparedAt(tile: number, set: number): number {
    const { loads } = this;
    if (!loads.hasTiers) return 0;
    return this.tileCostOf(set) - (this.net.drops[tile] > 0 ? this.tileCost : Math.min(loads.meetingCost(set), this.tileCostOf(set)));
  }

  private sparedOnDrop(i: number): number {
    return this.ends[i] < 0 ? this.sparedAt(this.endTile[i], 1 << i) : 0;
  }

  /** The tile where a stretch begins. */
  private startOf(end: number): number {
    return end < 0 ? -1 - end : this.net.tail[this.net.root[end]];
  }

  private nameEnds(): void {
    const { net, ends } = this;
    for (let i = 1; i < ends.length; i++) {
      const end = ends[i];
      let at = i;
      for (; at > 0 && this.startOf(ends[at - 1]) > this.startOf(end); at--) ends[at] = ends[at - 1];
      ends[at] = end;
    }
    for (let i = 0; i < ends.length; i++) {
      const front = ends[i] < 0 ? -1 - ends[i] : net.frontOf(ends[i]);
      this.endTile[i] = front;
      this.endX[i] = this.columns[front];
      this.endY[i] = this.rows[front];
    }
  }

  /** What so many exits take at least that ends other than this one lead to. */
  private leastTails(i: number, exits: number): number {
    const { ends, tails } = this;
    if (exits <= 0) return 0;
    // One join is that of this end, or into it.
    const joined = ends.length - this.exitsLeft.length - 1;
    let count = 0;
    for (let k = 0; k < ends.length; k++) {
      if (k === i) continue;
      const tail = this.leastTailOf(k, joined);
      let at = count++;
      for (; at > 0 && tails[at - 1] > tail; at--) tails[at] = tails[at - 1];
      tails[at] = tail;
    }
    let sum = 0;
    for (let k = 0; k < exits; k++) sum += tails[k];
    return sum;
  }

  /** Least cost of bringing two ends together and on to an exit: before its own tile, and on it. */
  meetingOf(i: number, j: number): { readonly tile: number; readonly exit: number } {
    const { before, reached, reachedCount, exitBelow, leastStep } = this;
    const both = (1 << i) | (1 << j);
    const onward = this.onwardOf(both);
    let inside = Infinity;
    let atExit = Infinity;
    const [own, other] = reachedCount[i] < reachedCount[j] ? [i, j] : [j, i];
    for (let at = 0; at < reachedCount[own]; at++) {
      const tile = reached[own][at];
      const meeting = before[own][tile] + before[other][tile];
      const exit = exitBelow[tile];
      if (meeting + exit < atExit) atExit = meeting + exit;
      // Whatever does not leave here makes one more step to where it does.
      const total = meeting + Math.max(onward[tile] - this.sparedAt(tile, both), exit === Infinity ? 0 : this.leastExit + leastStep);
      if (total < inside) inside = total;
    }
    return { tile: inside, exit: atExit };
  }

  /** Names a network as `divide` does; that of a free drop tile as its end. */
  networkOfEnd(i: number): number {
    const end = this.ends[i];
    return end < 0 ? end : this.net.networkOf[end];
  }

  /** The network that leads to all that a mask names. */
  networkOfMask(mask: number): number {
    const { net, ends } = this;
    for (let j = 0; j < ends.length; j++) if ((mask & (1 << j)) !== 0) return this.networkOfEnd(j);
    for (let c = 0; c < net.count; c++) {
      if (net.next[c] < DEAD && (mask & (1 << (EXIT_BITS + exitOf(net.next[c])))) !== 0) return net.networkOf[c];
    }
    return -1;
  }

  private measureOnward(kind: number): void {
    const { map, net, queue, beneath } = this;
    const { tileCost } = this.loads.kinds[kind];
    const onward = this.onwardBy[kind];
    this.onwardKnown[kind] = 1;
    onward.fill(Infinity);
    this.exitBelow.fill(Infinity);
    this.leastExit = Infinity;
    queue.clear();
    const relax = (step: number, tile: number, cost: number): void => {
      if (cost >= onward[tile] || net.occupant[tile] !== FREE) return;
      if (!this.pays(this.leastThrough(tile, cost, tileCost - this.tileCost))) return;
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
        for (let k = 0, found = beneath.leads(end, back(heading), kind); k < found; k++) {
          const m = beneath.models[k];
          relax(UNDERPASS_STEP + m, beneath.ends[k], cost + 2 * map.underpasses[m].cost);
        }
      }
    }
  }

  /**
   * Least cost of a way that goes on from a tile for `cost`, this tile included: through it from the nearest end, or from where
   * it begins, under an arm or where it meets that of another end. There a belt may be spared that is so much dearer than the cheapest.
   */
  private leastThrough(tile: number, cost: number, spared: number): number {
    const { ends, endX, endY, columns, rows, coverCost } = this;
    const x = columns[tile];
    const y = rows[tile];
    let nearest = coverCost.length - 1;
    let second = nearest;
    for (let i = 0; i < ends.length; i++) {
      const moves = Math.abs(x - endX[i]) + Math.abs(y - endY[i]);
      if (moves < nearest) {
        second = nearest;
        nearest = moves;
      } else if (moves < second) second = moves;
    }
    const through = cost + coverCost[nearest];
    if (spared === 0) return through;
    return Math.min(through, this.net.drops[tile] > 0 ? cost - spared : through - spared + coverCost[second]);
  }

  private measureFrom(i: number): void {
    const { map, net, ends, endTile, states, queue, beneath } = this;
    const kind = this.loads.kindOf(1 << i);
    const { tileCost } = this.loads.kinds[kind];
    const before = this.before[i];
    const reached = this.reached[i];
    for (let at = 0; at < this.reachedCount[i]; at++) before[reached[at]] = Infinity;
    let count = 0;
    this.joins[i].clear();
    queue.clear();
    this.measured = i;
    this.besideJoin = this.leastTails(i, this.exitsLeft.length);
    this.besideMeeting = this.leastTails(i, this.exitsLeft.length - 1);
    // What arms set down on a free tile may leave it with any heading.
    const spared = this.sparedOnDrop(i);
    if (ends[i] < 0) for (let heading = 0; heading < 4; heading++) this.reach(FIRST_STEP, endTile[i], heading, -spared);
    else this.reach(FIRST_STEP, endTile[i], net.heading[ends[i]], 0);
    for (let state = queue.pop(); state >= 0; state = queue.pop()) {
      const cost = queue.poppedKey;
      if (cost > states[state]) continue;
      const tile = state >> 2;
      const entered = state & 3;
      if (before[tile] === Infinity) reached[count++] = tile;
      // What is spared on an arm's tile is spared as a stretch leaves it.
      if (cost < before[tile]) before[tile] = Math.max(0, cost);
      for (let heading = 0; heading < 4; heading++) if (heading !== back(entered)) this.leave(i, BELT_STEP, tile, heading, cost + tileCost);
      for (let k = 0, found = beneath.leads(tile, entered, kind); k < found; k++) {
        const end = beneath.ends[k];
        const m = beneath.models[k];
        const beyond = cost + 2 * map.underpasses[m].cost;
        this.leave(i, UNDERPASS_STEP + m, end, entered, beyond);
        if (net.drops[end] > 0) this.reach(beneath.ontoDropStep(m), end, entered, beyond - this.tileCost);
      }
    }
    this.reachedCount[i] = count;
    queue.unreach(states);
  }

  private reach(step: number, tile: number, entered: number, cost: number): void {
    const state = tile * 4 + entered;
    if (cost >= this.states[state] || this.net.occupant[tile] !== FREE) return;
    if (!this.pays(cost + Math.min(this.besideJoin + this.coverCost[this.placed.movesTo[tile]], this.leastMeetingFrom(tile) + this.besideMeeting))) return;
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
    // What leads back to this end would close a ring.
    if ((this.placed.leadsTo(to) & (1 << i)) === 0) this.placed.noteJoining(this.joins[i], cost, to, heading);
  }

}

const exitCost = (map: SiteMap, exit: number): number => map.belts[map.exitBelt[exit]].cost;

const tilesOfExit = (map: SiteMap, exit: number): readonly number[] =>
  Array.from({ length: map.tiles }, (_, tile) => tile).filter((tile) => [0, 1, 2, 3].some((heading) => (map.exitsAt[tile * 4 + heading] & (1 << exit)) !== 0));
