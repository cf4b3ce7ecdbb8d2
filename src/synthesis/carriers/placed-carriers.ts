/**
 * Placed carriers of a network under construction, as stretches may join them: to what each leads, how far it is to the
 * nearest, and which ways into them let the same flows through. What it takes to come there is in `stretches.ts`.
 */
import { BELT, DEAD, FREE, OPEN, exitOf, type CarrierNetwork } from './carrier-network.js';
import { ONTO_LEFT, ONTO_RIGHT } from './lane-ways.js';
import { back, right, type SiteMap } from '../site/site-map.js';

/** More are left to the other bounds. Masks hold a bit for each end, and above them one for each exit. */
export const MOST_ENDS = 8;
export const EXIT_BITS = MOST_ENDS;
/** So that a mask and the number of an end fit into 31 bits together. */
export const MOST_EXITS = 31 - EXIT_BITS - 3;

/** A stretch that joins a placed carrier: to what that leads, onto which lane it comes, and which turn it makes a tee merge, or -1. */
export interface Joining {
  readonly mask: number;
  readonly onto: number;
  readonly tee: number;
  readonly cost: number;
  /** The carrier, and with which heading it is entered. */
  readonly to: number;
  readonly heading: number;
}
/** Those that let the same flows through once, the cheapest of them. */
export type Joinings = ReadonlyMap<number, Joining>;

export class PlacedCarriers {
  /** [tile]: moves from it to the nearest one, if nothing stood in the way. */
  readonly movesTo: Int32Array;
  /** By carrier. */
  private readonly feeders: Int16Array;
  private readonly lastFeeder: Int16Array;
  /** By carrier, -1 where not known: the mask of what it leads to. */
  private readonly leads: Int32Array;
  /** Whether all carriers are equally fast, and no lane gives more than passes along it. */
  private readonly oneSpeed: boolean;

  /** `ends`: of stretches, which masks name by their numbers. */
  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
    private readonly ends: readonly number[],
  ) {
    this.movesTo = new Int32Array(map.tiles);
    this.leads = new Int32Array(map.tiles + 4);
    this.feeders = new Int16Array(map.tiles + 4);
    this.lastFeeder = new Int16Array(map.tiles + 4);
    const speeds = [...map.belts, ...map.underpasses, ...map.splitters].map(({ speed }) => speed);
    this.oneSpeed = speeds.every((speed) => speed === speeds[0] && map.endCapacities[speed] === map.capacities[speed]);
  }

  measure(): void {
    const { net } = this;
    this.leads.fill(-1, 0, net.count);
    this.feeders.fill(0, 0, net.count);
    for (let c = 0; c < net.count; c++) {
      const to = net.next[c];
      if (to < 0) continue;
      this.feeders[to]++;
      this.lastFeeder[to] = c;
    }
    this.measureMoves();
  }

  /** Two sweeps over the site, row by row from both corners. */
  private measureMoves(): void {
    const { map, net, movesTo: moves } = this;
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

  /** Keeps the cheapest of the ways into a placed carrier that let the same flows through. */
  noteJoining(joins: Map<number, Joining>, cost: number, to: number, heading: number): void {
    const { net, oneSpeed } = this;
    const side = heading === right(net.heading[to]) ? 0 : 1;
    const isAlike = oneSpeed && net.heading[to] !== heading && this.carriesOn(to);
    const key = isAlike ? -1 - (net.root[to] * 2 + side) : to * 4 + heading;
    const known = joins.get(key);
    if (known === undefined || cost < known.cost) joins.set(key, { cost, to, heading, mask: this.leadsTo(to), ...this.waysInto(to, heading) });
  }

  /** Whether a belt has one feeder, straight behind: so that what comes from its side comes onto one lane of the whole stretch. */
  private carriesOn(to: number): boolean {
    const { net, map } = this;
    if (net.kind[to] !== BELT || net.root[to] === to) return false;
    const behind = map.neighbour[net.tail[to] * 4 + back(net.heading[to])];
    return behind >= 0 && net.occupant[behind] > FREE && net.next[net.occupant[behind] - 1] === to;
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

  /** The mask of what a carrier leads to: ends, and exits that are taken. */
  leadsTo(c: number): number {
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
