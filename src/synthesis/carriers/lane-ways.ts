/**
 * How lanes of a network under construction lead on: who feeds whom, what a lane bears, which turns are or may become tee
 * merges. What the flow test (`lane-flow.ts`) and the bound by single exits (`exit-most.ts`) both build on.
 */
import { BELT, FREE, OPEN, type CarrierNetwork } from './carrier-network.js';
import { back, right, type SiteMap } from '../site/site-map.js';

/** In a route: its items may come to change lanes; or all of them come to one lane. */
export const ANY_LANE = 1 << 30;
export const ONTO_LEFT = 1 << 29;
export const ONTO_RIGHT = 1 << 28;
export const JOINS = 1 << 27;
/** The route into carrier `to`, entered with `heading`. */
export const joinRoute = (to: number, heading: number): number => JOINS | (to << 2) | heading;
export const joinedBy = (route: number): number => (route & ~(JOINS | ANY_LANE)) >> 2;

/** Lanes as bits. */
export const LEFT_LANE = 1;
export const RIGHT_LANE = 2;

export class LaneWays {
  /** Whether no feeder can come any more to what stands. */
  whole = false;
  /** By open carrier, where its items go on to: to exits (bits), or into a carrier (`joinRoute`); undefined: anywhere. */
  routes: Int32Array | undefined;
  /** The same by free drop tile. */
  dropRoutes: Int32Array | undefined;
  /** Exits (bits) whose own belt is still to come, and gets one feeder and nothing set down. */
  plainExits = 0;
  /** A turn that becomes a tee merge, or -1. */
  tee = -1;
  /** By carrier: how many feed it. */
  readonly feeders: Int16Array;
  private readonly lastFeeder: Int16Array;
  /** By carrier, whether a route leads into it. */
  private readonly joined: Uint8Array;

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
  ) {
    const most = map.tiles + 4;
    this.feeders = new Int16Array(most);
    this.lastFeeder = new Int16Array(most);
    this.joined = new Uint8Array(most);
  }

  /** Finds who feeds whom, as it stands now: before all else that is asked of carriers. */
  count(): void {
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

  /** Most that leaves a lane of a carrier: more than passes along it only where items are set down on it or come faster. */
  capacityOf(c: number): number {
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

  /** The same of an exit's own belt. */
  exitCapacity(exit: number): number {
    const { map } = this;
    const capacities = (this.plainExits & (1 << exit)) !== 0 ? map.plainCapacities : map.endCapacities;
    return capacities[map.belts[map.exitBelt[exit]].speed];
  }

  /** The carrier that `c` merely carries on: its one feeder, straight behind, of the same speed, no drop on `c`; or -1. */
  follows(c: number): number {
    const { net } = this;
    if (this.feeders[c] !== 1 || net.mate[c] >= 0 || this.joined[c] === 1) return -1;
    const from = this.lastFeeder[c];
    if (net.mate[from] >= 0 || net.heading[from] !== net.heading[c] || net.speed[from] !== net.speed[c]) return -1;
    return net.drops[net.tail[c]] > 0 || net.drops[net.head[c]] > 0 ? -1 : from;
  }

  /** Lanes of carrier `to` (bits) onto which items may come that enter it with `heading` from this lane: along its way, or onto the near one by a tee merge. */
  lanesOnto(to: number, heading: number, lane: number): number {
    const { net } = this;
    const own = lane === 0 ? LEFT_LANE : RIGHT_LANE;
    if (net.kind[to] !== BELT || net.heading[to] === heading) return own;
    // From its side. While no other feeder stands there it may be a turn or, once one comes, a tee merge.
    const near = heading === right(net.heading[to]) ? LEFT_LANE : RIGHT_LANE;
    if (to === this.tee || this.hasOtherFeeder(to, heading)) return near;
    return this.mayGetFeeder(to, heading) ? own | near : own;
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
