/**
 * The flow test: whether an optimistic flow through a network under construction meets every exit's demand.
 * Placed lanes bear at most what the site map says of their speed, open places are free to lead to any lane
 * of any exit, arms give the rate model's bound, chests their supply. A network that fails can't be
 * completed to one that meets the target. The bound of a finished layout is in `flow-bound.ts`.
 */
import { dropOn } from '../../layout/drop.js';
import { BELT, DEAD, FREE, OPEN, exitOf, type CarrierNetwork } from './carrier-network.js';
import type { Crew, CrewArm } from '../site/crew.js';
import { LineCover } from './line-cover.js';
import { MaxFlow } from '../rates/max-flow.js';
import { back, headingOf, laneRate, lineRate, outputRate, right, totalDemand, type SiteMap } from '../site/site-map.js';
import { boundsOfCrew, type TrainBounds } from '../site/train-bounds.js';

/** Ways of dealing out what arms give that are tried. */
const MOST_DEALS = 4096;
const ENDLESS = Number.MAX_SAFE_INTEGER;
/** In a route: its items may come to change lanes; or all of them come to one lane. */
export const ANY_LANE = 1 << 30;
export const ONTO_LEFT = 1 << 29;
export const ONTO_RIGHT = 1 << 28;
const JOINS = 1 << 27;
/** The route into carrier `to`, entered with `heading`. */
export const joinRoute = (to: number, heading: number): number => JOINS | (to << 2) | heading;
const joinedBy = (route: number): number => (route & ~(JOINS | ANY_LANE)) >> 2;

export class LaneFlow {
  private readonly graph = new MaxFlow();
  private readonly laneNode: Int32Array;
  private readonly leaveNode: Int32Array;
  private readonly tileNode: Int32Array;
  private readonly tileCall: Int32Array;
  private tileNodeCall = 0;
  private readonly exitNode: Int32Array;
  private readonly feeders: Int16Array;
  private readonly lastFeeder: Int16Array;
  private crew: Crew = { chests: [], arms: [] };
  /** Of what is wanted, what may come from whichever exits. */
  private readonly common: number;
  /** Scaled, not rounded up: what all exits give at the least. */
  private readonly asked: number;
  private chestGives = new Float64Array(4);
  private chestHas = new Float64Array(4);
  private openChests: readonly number[] = [];
  /** Of the last call of `mostGiven`, and what dividing lines to come have in it. */
  private given = 0;
  private lineGain = 0;
  private readonly lineCover: LineCover;
  private splittersLeft = 0;
  /** Whether no feeder can come any more to what stands. */
  private whole = false;
  /** By open carrier, where its items go on to: see `sufficesBy`; undefined: anywhere. */
  private routes: Int32Array | undefined;
  private dropRoutes: Int32Array | undefined;
  /** By carrier, whether a route leads into it. */
  private readonly joined: Uint8Array;
  /** Exits (bits) whose own belt is still to come, and gets one feeder and nothing set down. */
  private plainExits = 0;
  private tee = -1;
  private readonly streams: number[] = [];
  /** [exit * 2 + lane]: what is left of what it can bear, while streams are dealt out. */
  private readonly room: Float64Array;

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
  ) {
    const most = map.tiles + 4;
    this.laneNode = new Int32Array(most * 2);
    this.leaveNode = new Int32Array(most * 2);
    this.lineCover = new LineCover(map, net);
    this.tileNode = new Int32Array(map.tiles);
    this.tileCall = new Int32Array(map.tiles);
    this.exitNode = new Int32Array(map.demands.length * 2);
    this.room = new Float64Array(map.demands.length * 2);
    this.feeders = new Int16Array(most);
    this.joined = new Uint8Array(most);
    this.lastFeeder = new Int16Array(most);
    this.asked = map.scale.demand(totalDemand(map.brief));
    this.common = map.wanted - map.demands.reduce((sum, demand) => sum + demand.total, 0);
  }

  enter(crew: Crew): void {
    this.crew = crew;
    if (this.chestGives.length < crew.chests.length) {
      this.chestGives = new Float64Array(crew.chests.length);
      this.chestHas = new Float64Array(crew.chests.length);
    }
    // What fills a chest may be left open; then it holds enough.
    this.openChests = crew.chests.flatMap((_, chest) => (crew.arms.some((arm) => arm.role === 'fill' && arm.chest === chest) ? [] : [chest]));
  }

  get crewNow(): Crew {
    return this.crew;
  }

  /** `splittersLeft`: splitters still to be placed; `whole`: nothing is left to be placed. */
  suffices(splittersLeft: number, whole: boolean): boolean {
    this.splittersLeft = splittersLeft;
    this.whole = whole;
    return this.mostGiven() >= this.map.wanted && this.solve();
  }

  /**
   * The same of a network with no splitters to come, where each open carrier's stretch goes by its route: to exits (bits), or
   * into a placed carrier (`joinRoute`); to exits of `plainExits` (bits) by carriers with one feeder each. `fed`: no carrier
   * that stands gets one more feeder, but for `tee` (or -1), a turn that becomes a tee merge. `dropRoutes`: by free drop tile,
   * left out where there is none.
   */
  sufficesBy(routes: Int32Array, plainExits: number, fed: boolean, tee: number, dropRoutes?: Int32Array): boolean {
    this.routes = routes;
    this.dropRoutes = dropRoutes;
    this.plainExits = plainExits;
    this.tee = tee;
    const found = this.streamsFit() && this.suffices(0, fed);
    this.routes = undefined;
    this.dropRoutes = undefined;
    this.plainExits = 0;
    this.tee = -1;
    return found;
  }

  /** The same of what arms and chests give alone: all that placing a carrier can spoil that joins nothing. */
  givesEnough(splittersLeft: number): boolean {
    this.splittersLeft = splittersLeft;
    return this.mostGiven() >= this.map.wanted;
  }

  /**
   * No layout that comes of this drains its chests more evenly (see `base/jain.ts`), but for rounding: what is wanted
   * shared out as evenly as the most that each chest can give allows. To give more than that only makes it less even.
   */
  leastImbalance(splittersLeft: number): number {
    const { crew, chestGives, chestHas } = this;
    this.splittersLeft = splittersLeft;
    const chests = crew.chests.length;
    if (chests < 2) return 0;
    let fromChests = this.mostGiven();
    for (let chest = 0; chest < chests; chest++) fromChests -= Math.min(chestGives[chest], chestHas[chest]);
    // Gains of dividing lines and what comes straight from wagons are no more than that; either may be all of one chest.
    const gain = this.lineGain;
    const wanted = this.asked - (fromChests - gain);
    if (wanted <= 0) return 0;
    const most = Array.from({ length: chests }, (_, chest) => Math.min(chestGives[chest] + gain, chestHas[chest])).sort((a, b) => a - b);
    let left = wanted;
    let squares = 0;
    most.forEach((limit, n) => {
      const share = Math.min(limit, left / (chests - n));
      left -= share;
      squares += share * share;
    });
    return 1 - (wanted * wanted) / (chests * squares);
  }

  /**
   * The same of trains. Where one wagon is emptied by way of chests alone, closer than `boundsOfCrew`: if the greatest of
   * the shares flow / supply of its chests is r, they give the sum of min(most, r supply) at most, and the dwell is the load
   * times r by what they give, which rises with r; and r is no less than what is asked for takes.
   */
  trainBounds(splittersLeft: number): TrainBounds {
    const { map, crew, chestGives, chestHas } = this;
    this.splittersLeft = splittersLeft;
    const given = this.mostGiven();
    const { leastDwell, mostTrainsPerHour } = boundsOfCrew(map, crew);
    const { brief, scale, demands, exitBelt, endCapacities } = map;
    const { wagons, presence } = brief;
    const load = wagons.reduce((sum, { model }) => sum + model.capacity, 0);
    const leaves = demands.reduce((sum, _, e) => sum + 2 * endCapacities[map.belts[exitBelt[e]].speed], 0);
    const trains = (3600 * brief.catalog.ticksPerSecond * Math.min(given, leaves)) / scale.factor / load;
    const isByChests = wagons.length === 1 && crew.arms.every(({ role, chest }) => role === 'fill' || chest >= 0);
    const gain = this.lineGain;
    const drains = crew.chests.map((_, chest) => ({
      most: Math.min(chestGives[chest] + gain, chestHas[chest]),
      supply: chestHas[chest] / presence.valueOf(),
    }));
    const closer = isByChests ? (load * leastShare(drains, this.asked) * scale.factor) / this.asked : 0;
    return { leastDwell: Math.max(leastDwell, closer), mostTrainsPerHour: Math.min(mostTrainsPerHour, trains) };
  }

  /** Most that all arms together can give, wherever their items go. */
  private mostGiven(): number {
    const { map, crew, chestGives, chestHas } = this;
    chestGives.fill(0);
    chestHas.fill(0);
    for (const chest of this.openChests) chestHas[chest] = ENDLESS;
    let direct = 0;
    for (const arm of crew.arms) {
      if (arm.role === 'fill') {
        chestHas[arm.chest] += map.fillRates[arm.model];
        continue;
      }
      const rate = this.rateOf(arm);
      if (arm.chest >= 0) chestGives[arm.chest] += rate;
      else direct += rate;
    }
    this.lineGain = this.lineCover.most(crew, this.splittersLeft);
    let total = direct + this.lineGain;
    for (let chest = 0; chest < crew.chests.length; chest++) total += Math.min(chestGives[chest], chestHas[chest]);
    this.given = total;
    return total;
  }

  /** What an arm of this bound must give if all others, as of the last call of `mostGiven`, give their most. */
  private leastOf({ chest }: CrewArm, rate: number): number {
    const { given, chestGives, chestHas } = this;
    const others = chest < 0 ? given - rate : given - Math.min(chestGives[chest], chestHas[chest]) + Math.min(chestGives[chest] - rate, chestHas[chest]);
    return this.map.wanted - others;
  }

  /** Bound of one load arm: by what stands on its drop tile, or by the best lane while that is free. */
  rateOf(arm: CrewArm): number {
    const { map, net } = this;
    const at = net.occupant[arm.target];
    if (at === FREE) return map.bestLane[arm.model];
    const carrier = at - 1;
    const mate = net.mate[carrier];
    const drop = dropOn(headingOf(arm.heading), headingOf(net.heading[carrier]), mate >= 0);
    if (drop.kind === 'lane') return laneRate(map, net.speed[carrier], arm.model, drop.quarter);
    const outputs = net.next[carrier] === DEAD || net.next[mate] === DEAD ? 1 : 2;
    return lineRate(map, net.speed[carrier], arm.model, outputs);
  }

  /**
   * Whether an optimistic flow meets every exit's demand: placed lanes at v / P, open places free to go to
   * any lane of any exit, arms at the rate model's bound, chests at their supply.
   */
  private solve(): boolean {
    const { map, net, graph } = this;
    graph.reset();
    const source = graph.addNode();
    const sink = graph.addNode();
    const openAny = graph.addNode();
    const common = this.common > 0 ? graph.addNode() : -1;
    if (common >= 0) graph.addEdge(common, sink, this.common);
    for (let e = 0; e < map.demands.length; e++) {
      const demand = map.demands[e];
      const extra = graph.addNode();
      graph.addEdge(extra, sink, demand.total - demand.left - demand.right);
      const capacity = this.exitCapacity(e);
      for (let lane = 0; lane < 2; lane++) {
        const into = graph.addNode();
        const node = graph.addNode();
        this.exitNode[e * 2 + lane] = into;
        graph.addEdge(into, node, capacity);
        graph.addEdge(node, sink, lane === 0 ? demand.left : demand.right);
        graph.addEdge(node, extra, ENDLESS);
        if (common >= 0) graph.addEdge(node, common, ENDLESS);
        // An open place may lead to any exit, or come to join a placed carrier and reach one that is taken.
        graph.addEdge(openAny, into, ENDLESS);
      }
    }
    this.countFeeders();
    for (let c = 0; c < net.count; c++) {
      if (this.follows(c) >= 0) continue;
      for (let lane = 0; lane < 2; lane++) {
        const node = graph.addNode();
        this.laneNode[c * 2 + lane] = node;
        this.leaveNode[c * 2 + lane] = net.mate[c] >= 0 ? graph.addNode() : node;
      }
    }
    // A carrier that only passes on what the one before it gave has no nodes of its own.
    for (let c = 0; c < net.count; c++) {
      let from = this.follows(c);
      if (from < 0) continue;
      for (let before = this.follows(from); before >= 0; before = this.follows(from)) from = before;
      for (let lane = 0; lane < 2; lane++) this.leaveNode[c * 2 + lane] = this.laneNode[c * 2 + lane] = this.leaveNode[from * 2 + lane];
    }
    this.tileNodeCall++;
    for (let c = 0; c < net.count; c++) {
      if (net.next[c] >= 0 && this.follows(net.next[c]) === c) continue;
      const capacity = this.capacityOf(c);
      const mate = net.mate[c];
      const code = net.next[c];
      for (let lane = 0; lane < 2; lane++) {
        const leaves = this.leaveNode[c * 2 + lane];
        if (mate >= 0) {
          // Of one input lane no more crosses the line than the lane holds, to whichever half.
          const across = graph.addNode();
          graph.addEdge(this.laneNode[c * 2 + lane], across, capacity);
          graph.addEdge(across, leaves, ENDLESS);
          graph.addEdge(across, this.leaveNode[mate * 2 + lane], ENDLESS);
        }
        if (code === OPEN && this.routes !== undefined) {
          this.linkRoute(leaves, this.routes[c], lane, capacity);
        } else if (code === OPEN) {
          graph.addEdge(leaves, this.openNode(map.neighbour[net.head[c] * 4 + net.heading[c]], openAny), capacity);
        } else if (code >= 0) {
          this.linkInto(leaves, code, net.heading[c], lane, capacity);
        } else if (code !== DEAD) {
          graph.addEdge(leaves, this.exitNode[exitOf(code) * 2 + lane], capacity);
        }
      }
    }
    // What dividing lines can add to arms whose tiles are still free.
    const gain = this.lineGain;
    const gains = gain > 0 ? graph.addNode() : -1;
    if (gain > 0) graph.addEdge(gains, openAny, gain);
    const firstChest = graph.addNode();
    for (let chest = 1; chest < this.crew.chests.length; chest++) graph.addNode();
    for (const chest of this.openChests) graph.addEdge(source, firstChest + chest, ENDLESS);
    for (const [a, arm] of this.crew.arms.entries()) {
      if (arm.role === 'fill') {
        graph.addEdge(source, firstChest + arm.chest, map.fillRates[arm.model]);
        continue;
      }
      const from = arm.chest >= 0 ? firstChest + arm.chest : source;
      const at = net.occupant[arm.target];
      const rate = this.rateOf(arm);
      if (at === FREE) {
        graph.addEdge(from, this.openNode(arm.target, openAny), rate);
        if (gain > 0) graph.addEdge(from, gains, this.lineCover.ofArm[a]);
        continue;
      }
      const carrier = at - 1;
      const mate = net.mate[carrier];
      const drop = dropOn(headingOf(arm.heading), headingOf(net.heading[carrier]), mate >= 0);
      const lane = drop.side === 'left' ? 0 : 1;
      const leaves = this.leaveNode[carrier * 2 + lane];
      if (drop.kind === 'line') {
        const node = graph.addNode();
        const toOne = outputRate(map, net.speed[carrier], arm.model, this.leastOf(arm, rate));
        graph.addEdge(from, node, rate);
        graph.addEdge(node, leaves, toOne);
        graph.addEdge(node, this.leaveNode[mate * 2 + lane], toOne);
      } else {
        graph.addEdge(from, leaves, rate);
      }
    }
    return graph.solve(source, sink, map.wanted) >= map.wanted;
  }

  private linkRoute(from: number, route: number, lane: number, capacity: number): void {
    const { graph, exitNode } = this;
    const way = graph.addNode();
    graph.addEdge(from, way, capacity);
    if ((route & JOINS) !== 0) {
      this.linkInto(way, joinedBy(route), route & 3, lane, ENDLESS);
      if ((route & ANY_LANE) !== 0) this.linkInto(way, joinedBy(route), route & 3, 1 - lane, ENDLESS);
      return;
    }
    const onto = (route & ONTO_LEFT) !== 0 ? 0 : (route & ONTO_RIGHT) !== 0 ? 1 : lane;
    for (let e = 0; e < this.map.demands.length; e++) {
      if ((route & (1 << e)) === 0) continue;
      graph.addEdge(way, exitNode[e * 2 + onto], ENDLESS);
      if ((route & ANY_LANE) !== 0) graph.addEdge(way, exitNode[e * 2 + 1 - lane], ENDLESS);
    }
  }

  private exitCapacity(exit: number): number {
    const { map } = this;
    const capacities = (this.plainExits & (1 << exit)) !== 0 ? map.plainCapacities : map.endCapacities;
    return capacities[map.belts[map.exitBelt[exit]].speed];
  }

  /**
   * Whether what arms give can be dealt out to the lanes of exits so that all demands are met, of a network with nothing but
   * stretches to come. Without a splitter no arm's items part: each comes to one lane of one exit.
   */
  private streamsFit(): boolean {
    const { net, crew, streams, room } = this;
    for (let c = 0; c < net.count; c++) if (net.mate[c] >= 0) return true;
    streams.length = 0;
    for (const arm of crew.arms) if (arm.role === 'load') streams.push(this.rateOf(arm));
    if (room.length ** streams.length > MOST_DEALS) return true;
    for (let lane = 0; lane < room.length; lane++) room[lane] = this.exitCapacity(lane >> 1);
    return this.dealOut(0, 0);
  }

  /** Whether streams from `from` on can be dealt out so that, with the `given` of those before, enough leaves. */
  private dealOut(from: number, given: number): boolean {
    const { map, streams, room } = this;
    if (from === streams.length) {
      return (
        given >= map.wanted &&
        map.demands.every(({ left, right, total }, e) => {
          const capacity = this.exitCapacity(e);
          const onLeft = Math.min(capacity, capacity - room[2 * e]);
          const onRight = Math.min(capacity, capacity - room[2 * e + 1]);
          return onLeft >= left && onRight >= right && onLeft + onRight >= total;
        })
      );
    }
    for (let lane = 0; lane < room.length; lane++) {
      const taken = Math.max(0, Math.min(room[lane], streams[from]));
      room[lane] -= streams[from];
      const fits = this.dealOut(from + 1, given + taken);
      room[lane] += streams[from];
      if (fits) return true;
    }
    return false;
  }

  /** Most that leaves a lane of an open carrier to which no more feeders come. */
  mostFrom(carrier: number): number {
    this.whole = true;
    this.countFeeders();
    return this.capacityOf(carrier);
  }

  /** Most that leaves a lane of a carrier: more than passes along it only where items are set down on it or come faster. */
  private capacityOf(c: number): number {
    const { net, map } = this;
    const only = this.lastFeeder[c];
    const setDown =
      c === this.tee ||
      this.joined[c] === 1 ||
      net.drops[net.tail[c]] > 0 ||
      net.drops[net.head[c]] > 0 ||
      net.mate[c] >= 0 ||
      this.feeders[c] > 1 ||
      (this.feeders[c] === 1 &&
        (net.speed[only] > net.speed[c] || (net.heading[only] !== net.heading[c] && this.mayGetFeeder(c, net.heading[only]))));
    return (setDown ? map.endCapacities : map.capacities)[net.speed[c]];
  }

  private countFeeders(): void {
    const { net } = this;
    this.feeders.fill(0, 0, net.count);
    this.joined.fill(0, 0, net.count);
    if (this.dropRoutes !== undefined) for (const tile of net.dropTiles) if (net.occupant[tile] === FREE) this.noteJoin(this.dropRoutes[tile]);
    for (let c = 0; c < net.count; c++) {
      const to = net.next[c];
      if (to === OPEN && this.routes !== undefined) this.noteJoin(this.routes[c]);
      if (to < 0) continue;
      this.feeders[to]++;
      this.lastFeeder[to] = c;
    }
  }

  private noteJoin(route: number): void {
    if ((route & JOINS) !== 0) this.joined[joinedBy(route)] = 1;
  }

  /** The carrier that `c` merely carries on: its one feeder, straight behind, of the same speed, no drop on `c`; or -1. */
  private follows(c: number): number {
    const { net } = this;
    if (this.feeders[c] !== 1 || net.mate[c] >= 0 || this.joined[c] === 1) return -1;
    const from = this.lastFeeder[c];
    if (net.mate[from] >= 0 || net.heading[from] !== net.heading[c] || net.speed[from] !== net.speed[c]) return -1;
    return net.drops[net.tail[c]] > 0 || net.drops[net.head[c]] > 0 ? -1 : from;
  }

  /** The node of a free tile on which some carrier must come to stand: all that comes there goes on at will. */
  private openNode(tile: number, openAny: number): number {
    if (this.tileCall[tile] !== this.tileNodeCall) {
      this.tileCall[tile] = this.tileNodeCall;
      this.tileNode[tile] = this.graph.addNode();
      // Of a splitter half, what comes in and what arms set down may leave by both halves.
      const lanes = this.splittersLeft > 0 && this.net.drops[tile] > 0 ? 4 : 2;
      if (this.dropRoutes !== undefined && this.net.drops[tile] > 0) {
        this.linkRoute(this.tileNode[tile], this.dropRoutes[tile], 0, lanes * this.map.mostLaneCapacity);
        return this.tileNode[tile];
      }
      this.graph.addEdge(this.tileNode[tile], openAny, lanes * this.map.mostLaneCapacity);
    }
    return this.tileNode[tile];
  }

  /** From a lane that heads into carrier `to`: along its way, or onto the near lane by a tee merge. */
  private linkInto(from: number, to: number, heading: number, lane: number, capacity: number): void {
    const { graph, net } = this;
    const own = this.laneNode[to * 2 + lane];
    if (net.kind[to] !== BELT || net.heading[to] === heading) {
      graph.addEdge(from, own, capacity);
      return;
    }
    // From its side. While no other feeder stands there it may be a turn or, once one comes, a tee merge.
    const near = heading === right(net.heading[to]) ? 0 : 1;
    const nearNode = this.laneNode[to * 2 + near];
    const tee = to === this.tee || this.hasOtherFeeder(to, heading);
    const undecided = !tee && this.mayGetFeeder(to, heading);
    if (undecided && near !== lane) {
      const either = graph.addNode();
      graph.addEdge(from, either, capacity);
      graph.addEdge(either, nearNode, ENDLESS);
      graph.addEdge(either, own, ENDLESS);
    } else graph.addEdge(from, tee ? nearNode : own, capacity);
  }

  /** Whether a feeder may still come to stand behind belt `to` or opposite to the one of `heading`. */
  private mayGetFeeder(to: number, heading: number): boolean {
    if (this.whole) return false;
    const { map, net } = this;
    const behind = map.neighbour[net.tail[to] * 4 + back(net.heading[to])];
    const opposite = map.neighbour[net.tail[to] * 4 + heading];
    return (behind >= 0 && net.occupant[behind] === FREE) || (opposite >= 0 && net.occupant[opposite] === FREE);
  }

  private hasOtherFeeder(to: number, heading: number): boolean {
    const { net } = this;
    for (let c = 0; c < net.count; c++) {
      if (net.next[c] === to && net.heading[c] !== heading) return true;
    }
    return false;
  }
}

/** The least r for which the sum of min(most, r supply) comes to `asked`; 0 where it never does. */
function leastShare(drains: readonly { readonly most: number; readonly supply: number }[], asked: number): number {
  let left = asked;
  let supplyLeft = drains.reduce((sum, { supply }) => sum + supply, 0);
  for (const { most, supply } of [...drains].sort((a, b) => a.most / a.supply - b.most / b.supply)) {
    const share = left / supplyLeft;
    if (share * supply <= most) return share;
    left -= most;
    supplyLeft -= supply;
  }
  return 0;
}
