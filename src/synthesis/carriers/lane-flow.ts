/**
 * The flow test: whether an optimistic flow through a network under construction meets every exit's demand.
 * Placed lanes bear at most what the site map says of their speed, open places are free to lead to any lane
 * of any exit, arms give the rate model's bound, chests their supply. A network that fails can't be
 * completed to one that meets the target.
 */
import { dropOn } from '../../layout/drop.js';
import { ArmRates } from './arm-rates.js';
import { DEAD, FREE, OPEN, exitOf, type CarrierNetwork } from './carrier-network.js';
import type { Crew } from '../site/crew.js';
import { ExitMost } from './exit-most.js';
import { ANY_LANE, JOINS, LEFT_LANE, LaneWays, ONTO_LEFT, ONTO_RIGHT, RIGHT_LANE, joinedBy } from './lane-ways.js';
import { MaxFlow } from '../rates/max-flow.js';
import { headingOf, type SiteMap } from '../site/site-map.js';

/** Ways of dealing out what arms give that are tried. */
const MOST_DEALS = 4096;
const ENDLESS = Number.MAX_SAFE_INTEGER;

export class LaneFlow {
  readonly arms: ArmRates;
  private readonly ways: LaneWays;
  private readonly exitMost: ExitMost;
  private readonly graph = new MaxFlow();
  private readonly laneNode: Int32Array;
  private readonly leaveNode: Int32Array;
  private readonly tileNode: Int32Array;
  private readonly tileCall: Int32Array;
  private tileNodeCall = 0;
  private readonly exitNode: Int32Array;
  /** Of what is wanted, what may come from whichever exits. */
  private readonly common: number;
  private splittersLeft = 0;
  private readonly streams: number[] = [];
  /** [exit * 2 + lane]: what is left of what it can bear, while streams are dealt out. */
  private readonly room: Float64Array;

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
  ) {
    const most = map.tiles + 4;
    this.arms = new ArmRates(map, net);
    this.ways = new LaneWays(map, net);
    this.exitMost = new ExitMost(map, net, this.arms, this.ways);
    this.laneNode = new Int32Array(most * 2);
    this.leaveNode = new Int32Array(most * 2);
    this.tileNode = new Int32Array(map.tiles);
    this.tileCall = new Int32Array(map.tiles);
    this.exitNode = new Int32Array(map.demands.length * 2);
    this.room = new Float64Array(map.demands.length * 2);
    this.common = map.wanted - map.demands.reduce((sum, demand) => sum + demand.total, 0);
  }

  enter(crew: Crew): void {
    this.arms.enter(crew);
  }

  /** With so many splitters still to be placed. */
  suffices(splittersLeft: number): boolean {
    this.ways.whole = false;
    return this.flowMeetsDemands(splittersLeft);
  }

  /** Of a network to which nothing more comes: whether enough may come to each exit. What else it lacks, simulations tell. */
  wholeSuffices(): boolean {
    this.ways.whole = true;
    return this.givesEnough(0) && this.exitMost.suffices();
  }

  /**
   * The same of a network with no splitters to come, where each open carrier's stretch goes by its route: to exits (bits), or
   * into a placed carrier (`joinRoute`); to exits of `plainExits` (bits) by carriers with one feeder each. `fed`: no carrier
   * that stands gets one more feeder, but for `tee` (or -1), a turn that becomes a tee merge. `dropRoutes`: by free drop tile,
   * left out where there is none.
   */
  sufficesBy(routes: Int32Array, plainExits: number, fed: boolean, tee: number, dropRoutes?: Int32Array): boolean {
    const { ways } = this;
    ways.routes = routes;
    ways.dropRoutes = dropRoutes;
    ways.plainExits = plainExits;
    ways.tee = tee;
    ways.whole = fed;
    const found = this.streamsFit() && this.flowMeetsDemands(0);
    ways.routes = undefined;
    ways.dropRoutes = undefined;
    ways.plainExits = 0;
    ways.tee = -1;
    return found;
  }

  /** The same of what arms and chests give alone: all that placing a carrier can spoil that joins nothing. */
  givesEnough(splittersLeft: number): boolean {
    this.splittersLeft = splittersLeft;
    return this.arms.most(splittersLeft) >= this.map.wanted;
  }

  private flowMeetsDemands(splittersLeft: number): boolean {
    return this.givesEnough(splittersLeft) && this.solve();
  }

  /**
   * Whether an optimistic flow meets every exit's demand: placed lanes at v / P, open places free to go to
   * any lane of any exit, arms at the rate model's bound, chests at their supply.
   */
  private solve(): boolean {
    const { map, graph, ways } = this;
    graph.reset();
    this.tileNodeCall++;
    const source = graph.addNode();
    const sink = graph.addNode();
    const openAny = graph.addNode();
    this.linkExits(sink, openAny);
    ways.count();
    this.addLanes();
    this.linkLanes(openAny);
    this.linkArms(source, openAny);
    return graph.solve(source, sink, map.wanted) >= map.wanted;
  }

  /** From lanes of exits, and from what may go anywhere, to what each exit and all together are asked for. */
  private linkExits(sink: number, openAny: number): void {
    const { map, graph, ways } = this;
    const common = this.common > 0 ? graph.addNode() : -1;
    if (common >= 0) graph.addEdge(common, sink, this.common);
    for (let e = 0; e < map.demands.length; e++) {
      const demand = map.demands[e];
      const extra = graph.addNode();
      graph.addEdge(extra, sink, demand.total - demand.left - demand.right);
      const capacity = ways.exitCapacity(e);
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
  }

  /** Nodes of lanes: where items come onto a carrier, and where they leave it. */
  private addLanes(): void {
    const { net, graph, ways, laneNode, leaveNode } = this;
    for (let c = 0; c < net.count; c++) {
      if (ways.follows(c) >= 0) continue;
      for (let lane = 0; lane < 2; lane++) {
        const node = graph.addNode();
        laneNode[c * 2 + lane] = node;
        leaveNode[c * 2 + lane] = net.mate[c] >= 0 ? graph.addNode() : node;
      }
    }
    // A carrier that only passes on what the one before it gave has no nodes of its own.
    for (let c = 0; c < net.count; c++) {
      let from = ways.follows(c);
      if (from < 0) continue;
      for (let before = ways.follows(from); before >= 0; before = ways.follows(from)) from = before;
      for (let lane = 0; lane < 2; lane++) leaveNode[c * 2 + lane] = laneNode[c * 2 + lane] = leaveNode[from * 2 + lane];
    }
  }

  /** From each carrier to what it passes on to. */
  private linkLanes(openAny: number): void {
    const { map, net, graph, ways } = this;
    for (let c = 0; c < net.count; c++) {
      if (net.next[c] >= 0 && ways.follows(net.next[c]) === c) continue;
      const capacity = ways.capacityOf(c);
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
        if (code === OPEN && ways.routes !== undefined) {
          this.linkRoute(leaves, ways.routes[c], lane, capacity);
        } else if (code === OPEN) {
          graph.addEdge(leaves, this.openNode(map.neighbour[net.head[c] * 4 + net.heading[c]], openAny), capacity);
        } else if (code >= 0) {
          this.linkInto(leaves, code, net.heading[c], lane, capacity);
        } else if (code !== DEAD) {
          graph.addEdge(leaves, this.exitNode[exitOf(code) * 2 + lane], capacity);
        }
      }
    }
  }

  /** From arms and chests to what they place on, after `ArmRates.most`. */
  private linkArms(source: number, openAny: number): void {
    const { map, net, graph, arms } = this;
    // What dividing lines can add to arms whose tiles are still free.
    const gain = arms.lineGain;
    const gains = gain > 0 ? graph.addNode() : -1;
    if (gain > 0) graph.addEdge(gains, openAny, gain);
    const firstChest = graph.addNode();
    for (let chest = 1; chest < arms.crew.chests.length; chest++) graph.addNode();
    for (const chest of arms.openChests) graph.addEdge(source, firstChest + chest, ENDLESS);
    for (const [a, arm] of arms.crew.arms.entries()) {
      if (arm.role === 'fill') {
        graph.addEdge(source, firstChest + arm.chest, map.fillRates[arm.model]);
        continue;
      }
      const from = arm.chest >= 0 ? firstChest + arm.chest : source;
      if (net.occupant[arm.target] !== FREE) {
        this.linkPlacing(from, a, net.occupant[arm.target] - 1);
        continue;
      }
      graph.addEdge(from, this.openNode(arm.target, openAny), arms.rate[a]);
      if (gain > 0) graph.addEdge(from, gains, arms.gainOfArm[a]);
    }
  }

  /** From what arm number `a` lifts from to the carrier on which it places. */
  private linkPlacing(from: number, a: number, carrier: number): void {
    const { net, graph, arms } = this;
    const rate = arms.rate[a];
    const mate = net.mate[carrier];
    const drop = dropOn(headingOf(arms.crew.arms[a].heading), headingOf(net.heading[carrier]), mate >= 0);
    const lane = drop.side === 'left' ? 0 : 1;
    const leaves = this.leaveNode[carrier * 2 + lane];
    if (drop.kind === 'lane') {
      graph.addEdge(from, leaves, rate);
      return;
    }
    const node = graph.addNode();
    const toOne = arms.toOneOutput(a, net.speed[carrier]);
    graph.addEdge(from, node, rate);
    graph.addEdge(node, leaves, toOne);
    graph.addEdge(node, this.leaveNode[mate * 2 + lane], toOne);
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

  /**
   * Whether what arms give can be dealt out to the lanes of exits so that all demands are met, of a network with nothing but
   * stretches to come. Without a splitter no arm's items part: each comes to one lane of one exit.
   */
  private streamsFit(): boolean {
    const { net, arms, ways, streams, room } = this;
    for (let c = 0; c < net.count; c++) if (net.mate[c] >= 0) return true;
    streams.length = 0;
    for (const arm of arms.crew.arms) if (arm.role === 'load') streams.push(arms.rateOf(arm));
    if (room.length ** streams.length > MOST_DEALS) return true;
    for (let lane = 0; lane < room.length; lane++) room[lane] = ways.exitCapacity(lane >> 1);
    return this.dealOut(0, 0);
  }

  /** Whether streams from `from` on can be dealt out so that, with the `given` of those before, enough leaves. */
  private dealOut(from: number, given: number): boolean {
    const { map, streams, room } = this;
    if (from === streams.length) {
      return (
        given >= map.wanted &&
        map.demands.every(({ left, right, total }, e) => {
          const capacity = this.ways.exitCapacity(e);
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
    this.ways.whole = true;
    this.ways.count();
    return this.ways.capacityOf(carrier);
  }

  /** The node of a free tile on which some carrier must come to stand: all that comes there goes on at will. */
  private openNode(tile: number, openAny: number): number {
    if (this.tileCall[tile] !== this.tileNodeCall) {
      this.tileCall[tile] = this.tileNodeCall;
      this.tileNode[tile] = this.graph.addNode();
      // Of a splitter half, what comes in and what arms set down may leave by both halves.
      const lanes = this.splittersLeft > 0 && this.net.drops[tile] > 0 ? 4 : 2;
      const { dropRoutes } = this.ways;
      if (dropRoutes !== undefined && this.net.drops[tile] > 0) {
        this.linkRoute(this.tileNode[tile], dropRoutes[tile], 0, lanes * this.map.mostLaneCapacity);
        return this.tileNode[tile];
      }
      this.graph.addEdge(this.tileNode[tile], openAny, lanes * this.map.mostLaneCapacity);
    }
    return this.tileNode[tile];
  }

  /** From a lane that heads into carrier `to`: along its way, or onto the near lane by a tee merge. */
  private linkInto(from: number, to: number, heading: number, lane: number, capacity: number): void {
    const { graph, laneNode } = this;
    const onto = this.ways.lanesOnto(to, heading, lane);
    let into = from;
    if (onto === (LEFT_LANE | RIGHT_LANE)) {
      into = graph.addNode();
      graph.addEdge(from, into, capacity);
    }
    const most = into === from ? capacity : ENDLESS;
    if ((onto & LEFT_LANE) !== 0) graph.addEdge(into, laneNode[to * 2], most);
    if ((onto & RIGHT_LANE) !== 0) graph.addEdge(into, laneNode[to * 2 + 1], most);
  }
}
