/**
 * The exact search for carriers: given a crew and a number of splitters of each model, every network
 * of belts, splitters and underpasses of a stated cost that takes each arm's items to the exits.
 * Depth first from the drop tiles, always at the open place farthest from the exits. What is cut off is
 * cut off by an admissible bound on what is still to pay, or by an optimistic greatest flow.
 * Whether a network that is left really meets the target is for the judge (the simulator) to say.
 *
 * Representation. A carrier is a belt, one half of a splitter, or a whole underpass; carriers are numbered
 * in the order in which they were placed, so taking back is cutting the tail off. `next[c]` is the carrier
 * it passes to, or OPEN (its front tile is still free and must be filled), DEAD (a splitter half that
 * leads nowhere) or exitCode(e). Headings are quarter turns from N.
 */
import { dropOn } from '../layout/drop.js';
import type { Crew } from './crew.js';
import { KeyHeap } from './key-heap.js';
import { movesTo } from './least-moves.js';
import { MaxFlow } from './max-flow.js';
import { back, headingOf, left, right, type SiteMap } from './site-map.js';

export const OPEN = -1;
export const DEAD = -2;
const exitCode = (exit: number): number => -3 - exit;
export const exitOf = (code: number): number => -3 - code;

export const BELT = 0;
export const SPLITTER_LEFT = 1;
export const SPLITTER_RIGHT = 2;
export const UNDERPASS = 3;

const FREE = 0;
const BLOCKED = -1;
const FAR = 1_000_000;
const ENDLESS = Number.MAX_SAFE_INTEGER;

/** A complete network, as the judge sees it; valid only during the call. */
export interface CarrierView {
  readonly count: number;
  readonly kind: Int8Array;
  readonly heading: Int8Array;
  readonly model: Int16Array;
  readonly tail: Int16Array;
  readonly head: Int16Array;
  /** The other half of a splitter, or -1. */
  readonly mate: Int16Array;
  readonly next: Int16Array;
  readonly speed: Int32Array;
}

export type Verdict = 'passes' | 'fails' | 'undecided';

/** Says whether a complete network meets the brief. */
export type Judge = (view: CarrierView, crew: Crew) => Verdict;

/** Told of every network of the stated cost that passes. */
export type Accept = (view: CarrierView, crew: Crew) => void;

export interface CarrierSearchHooks {
  readonly judge: Judge;
  readonly accept: Accept;
  /** Whether a network in a box of this size can still be of interest; asked only while `boxMatters`. */
  readonly admits: (width: number, depth: number) => boolean;
  readonly boxMatters: () => boolean;
  /** Looked at every few hundred steps. */
  readonly shouldStop: () => boolean;
}

/** Of the last stretch to an exit: no way found yet, or what the judge said of one and so of all. */
type TailVerdict = 'untried' | 'yes' | 'no';

export class SearchStopped extends Error {
  override readonly name = 'SearchStopped';
}

export class CarrierSearch implements CarrierView {
  count = 0;
  readonly kind: Int8Array;
  readonly heading: Int8Array;
  readonly model: Int16Array;
  readonly tail: Int16Array;
  readonly head: Int16Array;
  readonly mate: Int16Array;
  readonly next: Int16Array;
  readonly speed: Int32Array;

  /** Steps taken since this object was made. */
  steps = 0;

  private readonly occupant: Int16Array;
  private readonly settled: Uint8Array;
  private readonly tailCost: Int32Array;
  private readonly tailHeap = new KeyHeap();
  /** [exit][tile]: moves from a tile until an item has left by that exit, on an empty site. */
  private readonly exitMoves: readonly Int32Array[];
  private tailVerdict: TailVerdict = 'untried';
  /** Number of arms that place on a tile. */
  private readonly drops: Uint8Array;
  private dropTiles: number[] = [];
  /** Least number of moves from a tile to an exit past the crew, FAR where there is no way. */
  private readonly distance: Int32Array;
  private readonly stamp: Int32Array;
  private stampNow = 0;
  private readonly exitTaken: Uint8Array;

  /** Moves across grid lines by direction (N, E, S, W); line r lies before row r, line c before column c. */
  private readonly crossings: readonly Int16Array[];
  private readonly needed: readonly Int16Array[];

  private crew: Crew = { chests: [], arms: [] };
  private spent = 0;
  /** Least cost above the budget at which some network was cut off; Infinity if none was. */
  private nextBudget = Infinity;
  /** While a network without open places is looked at: no feeder can come any more. */
  private whole = false;
  private budget = 0;
  private readonly splittersLeft: number[];
  private splittersTotalLeft = 0;
  private readonly coverCost: Float64Array;
  private readonly splitterCover: number;
  private readonly cheapestTile: number;
  private readonly graph = new MaxFlow();
  private readonly laneNode: Int32Array;
  private readonly leaveNode: Int32Array;
  private readonly tileNode: Int32Array;
  private readonly tileCall: Int32Array;
  private tileNodeCall = 0;
  private readonly exitNode: Int32Array;
  private readonly feeders: Int16Array;
  private readonly lastFeeder: Int16Array;
  /** Scaled v / P by speed. */
  private readonly capacities: Float64Array;

  constructor(
    private readonly map: SiteMap,
    private readonly hooks: CarrierSearchHooks,
  ) {
    const most = map.tiles + 4;
    this.kind = new Int8Array(most);
    this.heading = new Int8Array(most);
    this.model = new Int16Array(most);
    this.tail = new Int16Array(most);
    this.head = new Int16Array(most);
    this.mate = new Int16Array(most);
    this.next = new Int16Array(most);
    this.speed = new Int32Array(most);
    this.occupant = new Int16Array(map.tiles);
    this.settled = new Uint8Array(most);
    this.tailCost = new Int32Array(map.tiles * 4);
    this.exitMoves = map.brief.exits.map((exit) => Int32Array.from({ length: map.tiles }, (_, tile) => movesTo(map, tile, exit)));
    this.drops = new Uint8Array(map.tiles);
    this.distance = new Int32Array(map.tiles);
    this.stamp = new Int32Array(most);
    this.exitTaken = new Uint8Array(map.demands.length);
    const lines = (): Int16Array => new Int16Array(Math.max(map.width, map.depth) + 1);
    this.crossings = [lines(), lines(), lines(), lines()];
    this.needed = [lines(), lines(), lines(), lines()];
    this.splittersLeft = map.splitters.map(() => 0);
    this.laneNode = new Int32Array(most * 2);
    this.leaveNode = new Int32Array(most * 2);
    this.tileNode = new Int32Array(map.tiles);
    this.tileStamp = new Int32Array(map.tiles);
    this.tileCall = new Int32Array(map.tiles);
    this.exitNode = new Int32Array(map.demands.length * 2);
    this.feeders = new Int16Array(most);
    this.lastFeeder = new Int16Array(most);
    this.capacities = new Float64Array(Math.max(...map.laneCapacity.keys()) + 1);
    for (const [speed, capacity] of map.laneCapacity) this.capacities[speed] = capacity;
    this.cheapestTile = Math.min(
      ...map.belts.map((belt) => belt.cost),
      ...map.underpasses.map((underpass) => underpass.cost),
    );
    this.coverCost = coverCosts(map);
    // A splitter's halves cross one line each (the same one) and it shifts items across the line between them.
    this.splitterCover = map.demands.length > 1 ? 3 : 2;
  }

  /** Least cost of carriers (splitters apart) that any network for this crew can have; if not `whole`, with arms still to come. */
  leastCost(crew: Crew, splitters: readonly number[], whole: boolean): number {
    this.enter(crew, splitters, 0, whole);
    const bound = this.lowerBound();
    this.leave();
    return bound;
  }

  /**
   * Hands every network for `crew` with just these splitters and carriers of exactly `budget` in all
   * (splitters apart) to the judge. Networks below the budget are passed over: they were judged at theirs.
   * Returns the least budget above this one at which there may be more; Infinity if there is none.
   */
  run(crew: Crew, splitters: readonly number[], budget: number): number {
    this.enter(crew, splitters, budget, true);
    this.nextBudget = Infinity;
    try {
      if (this.flowSuffices()) this.descend();
    } finally {
      this.undo(0);
      this.leave();
    }
    return this.nextBudget;
  }

  // ---------------------------------------------------------------- setting up

  private enter(crew: Crew, splitters: readonly number[], budget: number, wholeCrew: boolean): void {
    const { map } = this;
    this.crew = crew;
    this.count = 0;
    this.spent = 0;
    this.budget = budget;
    this.splittersTotalLeft = 0;
    splitters.forEach((number, m) => {
      this.splittersLeft[m] = number;
      this.splittersTotalLeft += number;
    });
    for (let tile = 0; tile < map.tiles; tile++) this.occupant[tile] = map.keepOut[tile] === 1 ? BLOCKED : FREE;
    this.drops.fill(0);
    this.dropTiles = [];
    for (const chest of crew.chests) this.occupant[chest.tile] = BLOCKED;
    for (const arm of crew.arms) this.occupant[arm.tile] = BLOCKED;
    for (const arm of crew.arms) {
      if (arm.role !== 'load') continue;
      if (this.drops[arm.target] === 0) this.dropTiles.push(arm.target);
      this.drops[arm.target]++;
    }
    this.exitTaken.fill(0);
    for (const lines of this.crossings) lines.fill(0);
    this.measureDistances();
    this.countNeededCrossings(wholeCrew);
  }

  private leave(): void {
    this.count = 0;
  }

  /** Breadth first from the exits, backwards; an underpass counts its tiles apart as one move at least. */
  private measureDistances(): void {
    const { map, distance } = this;
    distance.fill(FAR);
    const queue: number[] = [];
    for (let tile = 0; tile < map.tiles; tile++) {
      if (this.occupant[tile] === BLOCKED) continue;
      for (let heading = 0; heading < 4; heading++) {
        if (map.exitsAt[tile * 4 + heading] !== 0 && distance[tile] === FAR) {
          distance[tile] = 1;
          queue.push(tile);
        }
      }
    }
    const span = map.underpasses.reduce((most, model) => Math.max(most, model.span), 0);
    for (let at = 0; at < queue.length; at++) {
      const tile = queue[at];
      const reach = (from: number): void => {
        if (this.occupant[from] !== BLOCKED && distance[from] === FAR) {
          distance[from] = distance[tile] + 1;
          queue.push(from);
        }
      };
      for (let heading = 0; heading < 4; heading++) {
        let from = map.neighbour[tile * 4 + heading];
        if (from < 0) continue;
        reach(from);
        // A splitter may shift items to the tile beside it, an underpass end may stand further off.
        for (let apart = 2; apart <= Math.max(span + 1, 2); apart++) {
          from = map.neighbour[from * 4 + heading];
          if (from < 0) break;
          if (apart <= span) reach(from);
        }
        const ahead = map.neighbour[tile * 4 + heading];
        if (map.splitters.length > 0) {
          for (const turn of [left(heading), right(heading)]) {
            const diagonal = map.neighbour[ahead * 4 + turn];
            if (diagonal >= 0) reach(diagonal);
          }
        }
      }
    }
  }

  /** For each grid line that all items must cross: how many moves it takes to carry the demand across. */
  private countNeededCrossings(wholeCrew: boolean): void {
    const { map } = this;
    for (const lines of this.needed) lines.fill(0);
    if (this.dropTiles.length === 0) return;
    let minX = map.width;
    let minY = map.depth;
    let maxX = -1;
    let maxY = -1;
    if (!wholeCrew && map.demands.length > 1) {
      // Arms still to come may serve one of the exits on their own, from anywhere: only the last moves are sure.
      minX = 0;
      minY = 0;
      maxX = map.width - 1;
      maxY = map.depth - 1;
    }
    for (const tile of this.dropTiles) {
      const x = tile % map.width;
      const y = (tile - x) / map.width;
      minX = Math.min(minX, x);
      maxX = Math.max(maxX, x);
      minY = Math.min(minY, y);
      maxY = Math.max(maxY, y);
    }
    const perMove = 2 * map.mostLaneCapacity;
    const demandBeyond = (heading: number, line: number): { flow: number; border: number } => {
      let flow = 0;
      let border = 0;
      map.brief.exits.forEach((exit, e) => {
        const last = heading === 2 ? map.depth : heading === 1 ? map.width : 0;
        const leaves = exit.edge === headingOf(heading);
        const vertical = exit.edge === 'N' || exit.edge === 'S';
        const rows: readonly [number, number] = vertical ? (exit.edge === 'N' ? [0, 0] : [map.depth - 1, map.depth - 1]) : [exit.from, exit.to];
        const columns: readonly [number, number] = vertical
          ? [exit.from, exit.to]
          : exit.edge === 'W' ? [0, 0] : [map.width - 1, map.width - 1];
        const beyond =
          heading === 2 ? rows[0] >= line : heading === 0 ? rows[1] < line : heading === 1 ? columns[0] >= line : columns[1] < line;
        if (line === last ? leaves : beyond) {
          flow += map.demands[e].total;
          if (line === last) border++;
        }
      });
      return { flow, border };
    };
    const fill = (heading: number, from: number, to: number): void => {
      for (let line = from; line <= to; line++) {
        const { flow, border } = demandBeyond(heading, line);
        this.needed[heading][line] = Math.max(border, Math.ceil(flow / perMove));
      }
    };
    fill(2, maxY + 1, map.depth);
    fill(0, 0, minY);
    fill(1, maxX + 1, map.width);
    fill(3, 0, minX);
  }

  // ---------------------------------------------------------------- bounds

  /**
   * Admissible bound on what is still to pay. Every carrier makes one move across one grid line (an
   * underpass as many as its span and one more, a splitter at most `splitterCover`), and the lines that lie
   * between open places and exits, or between open places that must come together, each need a move.
   */
  private lowerBound(): number {
    const { map } = this;
    let minX = FAR;
    let minY = FAR;
    let maxX = -1;
    let maxY = -1;
    let openPlaces = 0;
    let unreachable = false;
    this.stampTiles++;
    for (let d = 0; d < this.dropTiles.length + this.count; d++) {
      let tile: number;
      if (d < this.dropTiles.length) {
        tile = this.dropTiles[d];
        if (this.occupant[tile] !== FREE) continue;
      } else {
        const carrier = d - this.dropTiles.length;
        if (this.next[carrier] !== OPEN) continue;
        tile = map.neighbour[this.head[carrier] * 4 + this.heading[carrier]];
      }
      if (this.tileStamp[tile] === this.stampTiles) continue;
      this.tileStamp[tile] = this.stampTiles;
      openPlaces++;
      if (this.distance[tile] === FAR) unreachable = true;
      const x = tile % map.width;
      const y = (tile - x) / map.width;
      if (x < minX) minX = x;
      if (x > maxX) maxX = x;
      if (y < minY) minY = y;
      if (y > maxY) maxY = y;
    }
    if (unreachable) return Infinity;
    let exitsLeft = 0;
    let exitCost = 0;
    for (let e = 0; e < this.exitTaken.length; e++) {
      if (this.exitTaken[e] === 1) continue;
      exitsLeft++;
      exitCost += map.belts[map.exitBelt[e]].cost;
    }
    if (openPlaces === 0) return exitsLeft > 0 ? Infinity : 0;

    const lines = this.missingCrossings(minX, minY, maxX, maxY);
    const bySplitters = this.splittersTotalLeft;
    // An exit's belt is a tile of its own that makes one move, at its own price.
    const uncovered = Math.max(0, lines - exitsLeft - this.splitterCover * bySplitters);
    const places = Math.max(0, openPlaces - exitsLeft - 2 * bySplitters);
    const tiles = Math.max(this.coverCost[Math.min(uncovered, this.coverCost.length - 1)], places * this.cheapestTile);
    return exitCost + tiles;
  }

  private stampTiles = 0;
  private readonly tileStamp: Int32Array;

  /** Grid lines (with their multiplicities) that no placed carrier crosses yet and some move still must. */
  private missingCrossings(minX: number, minY: number, maxX: number, maxY: number): number {
    const { map } = this;
    // Where every allowed exit lies beyond, the nearest of the lines up to them must be crossed.
    let south = map.depth + 1;
    let north = -1;
    let east = map.width + 1;
    let west = -1;
    for (const exit of map.brief.exits) {
      const vertical = exit.edge === 'N' || exit.edge === 'S';
      const top = vertical ? (exit.edge === 'N' ? 0 : map.depth - 1) : exit.from;
      const bottom = vertical ? top : exit.to;
      const first = vertical ? exit.from : exit.edge === 'W' ? 0 : map.width - 1;
      const last = vertical ? exit.to : first;
      south = Math.min(south, exit.edge === 'S' ? map.depth : top);
      north = Math.max(north, exit.edge === 'N' ? 0 : bottom + 1);
      east = Math.min(east, exit.edge === 'E' ? map.width : first);
      west = Math.max(west, exit.edge === 'W' ? 0 : last + 1);
    }
    const single = map.demands.length === 1;
    let missing = 0;
    const [crossN, crossE, crossS, crossW] = this.crossings;
    const [needN, needE, needS, needW] = this.needed;
    for (let line = 0; line <= map.depth; line++) {
      let short = 0;
      const down = Math.max(needS[line], line > minY && line <= south ? 1 : 0);
      if (down > crossS[line]) short += down - crossS[line];
      const up = Math.max(needN[line], line <= maxY && line >= north ? 1 : 0);
      if (up > crossN[line]) short += up - crossN[line];
      if (short === 0 && single && line > minY && line <= maxY && crossS[line] + crossN[line] === 0) short = 1;
      missing += short;
    }
    for (let line = 0; line <= map.width; line++) {
      let short = 0;
      const toEast = Math.max(needE[line], line > minX && line <= east ? 1 : 0);
      if (toEast > crossE[line]) short += toEast - crossE[line];
      const toWest = Math.max(needW[line], line <= maxX && line >= west ? 1 : 0);
      if (toWest > crossW[line]) short += toWest - crossW[line];
      if (short === 0 && single && line > minX && line <= maxX && crossE[line] + crossW[line] === 0) short = 1;
      missing += short;
    }
    return missing;
  }

  /**
   * Whether an optimistic flow meets every exit's demand: placed lanes at v / P, open places free to go to
   * any lane of any exit, arms at the rate model's bound, chests at their supply.
   */
  private flowSuffices(): boolean {
    const { map, graph } = this;
    graph.reset();
    const source = graph.addNode();
    const sink = graph.addNode();
    const openAny = graph.addNode();
    let want = 0;
    for (let e = 0; e < map.demands.length; e++) {
      const demand = map.demands[e];
      want += demand.total;
      const extra = graph.addNode();
      graph.addEdge(extra, sink, demand.total - demand.left - demand.right);
      const capacity = this.capacities[map.belts[map.exitBelt[e]].speed];
      for (let lane = 0; lane < 2; lane++) {
        const into = graph.addNode();
        const node = graph.addNode();
        this.exitNode[e * 2 + lane] = into;
        graph.addEdge(into, node, capacity);
        graph.addEdge(node, sink, lane === 0 ? demand.left : demand.right);
        graph.addEdge(node, extra, ENDLESS);
        // An open place may lead to any exit, or come to join a placed carrier and reach one that is taken.
        graph.addEdge(openAny, into, ENDLESS);
      }
    }
    this.countFeeders();
    for (let c = 0; c < this.count; c++) {
      if (this.follows(c) >= 0) continue;
      for (let lane = 0; lane < 2; lane++) {
        const node = graph.addNode();
        this.laneNode[c * 2 + lane] = node;
        this.leaveNode[c * 2 + lane] = this.mate[c] >= 0 ? graph.addNode() : node;
      }
    }
    // A carrier that only passes on what the one before it gave has no nodes of its own.
    for (let c = 0; c < this.count; c++) {
      let from = this.follows(c);
      if (from < 0) continue;
      for (let before = this.follows(from); before >= 0; before = this.follows(from)) from = before;
      for (let lane = 0; lane < 2; lane++) this.leaveNode[c * 2 + lane] = this.laneNode[c * 2 + lane] = this.leaveNode[from * 2 + lane];
    }
    this.tileNodeCall++;
    for (let c = 0; c < this.count; c++) {
      if (this.next[c] >= 0 && this.follows(this.next[c]) === c) continue;
      const capacity = this.capacities[this.speed[c]];
      const mate = this.mate[c];
      const code = this.next[c];
      for (let lane = 0; lane < 2; lane++) {
        const leaves = this.leaveNode[c * 2 + lane];
        if (mate >= 0) {
          // Of one input lane no more crosses the line than the lane holds, to whichever half.
          const across = graph.addNode();
          graph.addEdge(this.laneNode[c * 2 + lane], across, capacity);
          graph.addEdge(across, leaves, ENDLESS);
          graph.addEdge(across, this.leaveNode[mate * 2 + lane], ENDLESS);
        }
        if (code === OPEN) {
          graph.addEdge(leaves, this.openNode(map.neighbour[this.head[c] * 4 + this.heading[c]], openAny), capacity);
        } else if (code >= 0) {
          this.linkInto(leaves, code, this.heading[c], lane, capacity);
        } else if (code !== DEAD) {
          graph.addEdge(leaves, this.exitNode[exitOf(code) * 2 + lane], capacity);
        }
      }
    }
    // What dividing lines can add to arms whose tiles are still free: splitters that are left cover two
    // tiles each, and two drop tiles only where they are neighbours.
    const gain = this.mostLineGain();
    const gains = gain > 0 ? graph.addNode() : -1;
    if (gain > 0) graph.addEdge(gains, openAny, gain);
    const firstChest = graph.addNode();
    for (let chest = 1; chest < this.crew.chests.length; chest++) graph.addNode();
    for (const arm of this.crew.arms) {
      if (arm.role === 'fill') {
        graph.addEdge(source, firstChest + arm.chest, map.fillRates[arm.model]);
        continue;
      }
      const from = arm.chest >= 0 ? firstChest + arm.chest : source;
      const at = this.occupant[arm.target];
      if (at === FREE) {
        graph.addEdge(from, this.openNode(arm.target, openAny), map.bestLane[arm.model]);
        if (gain > 0) graph.addEdge(from, gains, map.lineGain[arm.model]);
        continue;
      }
      const carrier = at - 1;
      const mate = this.mate[carrier];
      const drop = dropOn(headingOf(arm.heading), headingOf(this.heading[carrier]), mate >= 0);
      const lane = drop.side === 'left' ? 0 : 1;
      const leaves = this.leaveNode[carrier * 2 + lane];
      if (drop.kind === 'line') {
        const outputs = this.next[carrier] === DEAD || this.next[mate] === DEAD ? 1 : 2;
        const node = graph.addNode();
        graph.addEdge(from, node, lineRate(map, this.speed[carrier], arm.model, outputs));
        graph.addEdge(node, leaves, ENDLESS);
        graph.addEdge(node, this.leaveNode[mate * 2 + lane], ENDLESS);
      } else {
        graph.addEdge(from, leaves, laneRate(map, this.speed[carrier], arm.model, drop.quarter));
      }
    }
    return graph.solve(source, sink) >= want;
  }

  private countFeeders(): void {
    this.feeders.fill(0, 0, this.count);
    for (let c = 0; c < this.count; c++) {
      const to = this.next[c];
      if (to < 0) continue;
      this.feeders[to]++;
      this.lastFeeder[to] = c;
    }
  }

  /** The carrier that `c` merely carries on: its one feeder, straight behind, of the same speed, no drop on `c`; or -1. */
  private follows(c: number): number {
    if (this.feeders[c] !== 1 || this.mate[c] >= 0) return -1;
    const from = this.lastFeeder[c];
    if (this.mate[from] >= 0 || this.heading[from] !== this.heading[c] || this.speed[from] !== this.speed[c]) return -1;
    return this.drops[this.tail[c]] > 0 || this.drops[this.head[c]] > 0 ? -1 : from;
  }

  /** The node of a free tile on which some carrier must come to stand: all that comes there goes on at will. */
  private openNode(tile: number, openAny: number): number {
    if (this.tileCall[tile] !== this.tileNodeCall) {
      this.tileCall[tile] = this.tileNodeCall;
      this.tileNode[tile] = this.graph.addNode();
      this.graph.addEdge(this.tileNode[tile], openAny, 2 * this.map.mostLaneCapacity);
    }
    return this.tileNode[tile];
  }

  /** Most that the splitters still to come can add to the rates of arms whose tiles are free. */
  private mostLineGain(): number {
    if (this.splittersTotalLeft === 0) return 0;
    const { map } = this;
    const free = this.dropTiles.filter((tile) => this.occupant[tile] === FREE);
    if (free.length === 0) return 0;
    let pairs = 0;
    for (const tile of free) {
      for (const heading of [1, 2]) if (free.includes(map.neighbour[tile * 4 + heading])) pairs++;
    }
    const covered = this.splittersTotalLeft + Math.min(pairs, this.splittersTotalLeft);
    const gains = free
      .map((tile) => {
        let gain = 0;
        for (const arm of this.crew.arms) if (arm.role === 'load' && arm.target === tile) gain += map.lineGain[arm.model];
        return gain;
      })
      .sort((a, b) => b - a);
    return gains.slice(0, covered).reduce((sum, value) => sum + value, 0);
  }

  /** From a lane that heads into carrier `to`: along its way, or onto the near lane by a tee merge. */
  private linkInto(from: number, to: number, heading: number, lane: number, capacity: number): void {
    const { graph } = this;
    const own = this.laneNode[to * 2 + lane];
    if (this.kind[to] !== BELT || this.heading[to] === heading) {
      graph.addEdge(from, own, capacity);
      return;
    }
    // From its side. While no other feeder stands there it may be a turn or, once one comes, a tee merge.
    const near = heading === right(this.heading[to]) ? 0 : 1;
    const nearNode = this.laneNode[to * 2 + near];
    const tee = this.hasOtherFeeder(to, heading);
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
    const { map } = this;
    const behind = map.neighbour[this.tail[to] * 4 + back(this.heading[to])];
    const opposite = map.neighbour[this.tail[to] * 4 + heading];
    return (behind >= 0 && this.occupant[behind] === FREE) || (opposite >= 0 && this.occupant[opposite] === FREE);
  }

  private hasOtherFeeder(to: number, heading: number): boolean {
    for (let c = 0; c < this.count; c++) {
      if (this.next[c] === to && this.heading[c] !== heading) return true;
    }
    return false;
  }

  // ---------------------------------------------------------------- the search

  private descend(): void {
    this.steps++;
    if ((this.steps & 255) === 0 && this.hooks.shouldStop()) throw new SearchStopped();
    const still = this.lowerBound();
    if (this.spent + still > this.budget) {
      if (this.spent + still < this.nextBudget) this.nextBudget = this.spent + still;
      return;
    }
    if (!this.boxAdmitted()) return;
    const place = this.chooseOpenPlace();
    if (place < 0) {
      if (this.splittersTotalLeft === 0 && this.spent === this.budget) this.judgeWhole();
      return;
    }
    if (this.splittersTotalLeft === 0 && this.finishTail(place)) return;
    this.branch(place);
  }

  /** The open place farthest from the exits, or -1 if none is left. */
  private chooseOpenPlace(): number {
    const { map } = this;
    let best = -1;
    let bestKey = -1;
    const consider = (tile: number): void => {
      const key = this.distance[tile] * 65_536 + (65_535 - tile);
      if (key > bestKey) {
        bestKey = key;
        best = tile;
      }
    };
    for (const tile of this.dropTiles) if (this.occupant[tile] === FREE) consider(tile);
    for (let c = 0; c < this.count; c++) {
      if (this.next[c] === OPEN) consider(map.neighbour[this.head[c] * 4 + this.heading[c]]);
    }
    return best;
  }

  /** Bits of the headings of carriers that face `tile` and must (OPEN) or must not (DEAD) be taken. */
  private facing(tile: number, code: number): number {
    const { map } = this;
    let bits = 0;
    for (let heading = 0; heading < 4; heading++) {
      const from = map.neighbour[tile * 4 + back(heading)];
      if (from < 0 || this.occupant[from] <= 0) continue;
      const carrier = this.occupant[from] - 1;
      if (this.heading[carrier] === heading && this.head[carrier] === from && this.next[carrier] === code) bits |= 1 << heading;
    }
    return bits;
  }

  private branch(place: number): void {
    const open = this.facing(place, OPEN);
    const dead = this.facing(place, DEAD);
    const dropped = this.drops[place] > 0;
    for (let heading = 0; heading < 4; heading++) this.tryBelts(place, heading, open, dead);
    if (this.splittersTotalLeft > 0) {
      for (let heading = 0; heading < 4; heading++) {
        this.trySplitters(place, heading, true);
        this.trySplitters(place, heading, false);
      }
    }
    if (this.map.underpasses.length > 0) {
      for (let heading = 0; heading < 4; heading++) {
        this.tryUnderpassesFrom(place, heading, open, dead);
        if (dropped && open === 0) this.tryUnderpassesTo(place, heading);
      }
    }
  }

  private tryBelts(place: number, heading: number, open: number, dead: number): void {
    const { map } = this;
    const headOn = 1 << back(heading);
    // A belt takes from behind and from both sides, so a half that is to lead nowhere must be head on.
    if ((open & headOn) !== 0 || (dead & ~headOn) !== 0) return;
    const front = map.neighbour[place * 4 + heading];
    if (front < 0) {
      const exits = map.exitsAt[place * 4 + heading];
      for (let e = 0; e < map.demands.length; e++) {
        if ((exits & (1 << e)) === 0 || this.exitTaken[e] === 1 || this.sameDemandFreeBefore(e, place, heading)) continue;
        this.exitTaken[e] = 1;
        this.putBelt(place, heading, map.exitBelt[e], exitCode(e), true);
        this.exitTaken[e] = 0;
      }
      return;
    }
    const next = this.nextOf(front, heading);
    if (next === undefined) return;
    const joins = next >= 0 || (open & (open - 1)) !== 0 || (this.drops[place] > 0 && open !== 0);
    for (const m of map.bodyBelts) {
      this.putBelt(place, heading, m, next, joins || this.mayLower(place, heading, map.belts[m].speed));
    }
  }

  /** Whether a belt that is fed by arms alone may bear less than the flow test took its free tile for. */
  private mayLower(place: number, heading: number, speed: number): boolean {
    if (this.drops[place] === 0) return false;
    if (this.drops[place] > 1 || this.splittersTotalLeft > 0) return true;
    const { map } = this;
    const arm = this.crew.arms.find(({ role, target }) => role === 'load' && target === place);
    if (arm === undefined) return true;
    const drop = dropOn(headingOf(arm.heading), headingOf(heading), false);
    const best = map.bestLane[arm.model];
    if (drop.kind !== 'lane' || best > this.capacities[speed]) return true;
    return laneRate(map, speed, arm.model, drop.quarter) < best;
  }

  /** Equal demands are served in their order. */
  private sameDemandFreeBefore(exit: number, place: number, heading: number): boolean {
    const { map } = this;
    for (let e = 0; e < exit; e++) {
      if (this.exitTaken[e] === 1 || (map.exitsAt[place * 4 + heading] & (1 << e)) === 0) continue;
      const a = map.brief.exits[e];
      const b = map.brief.exits[exit];
      const alike =
        a.edge === b.edge && a.from === b.from && a.to === b.to && a.belt === b.belt &&
        a.target.total.equals(b.target.total) && a.target.left.equals(b.target.left) && a.target.right.equals(b.target.right);
      if (alike) return true;
    }
    return false;
  }

  private putBelt(place: number, heading: number, model: number, next: number, checkFlow: boolean): void {
    const belt = this.map.belts[model];
    const mark = this.count;
    const id = this.add(BELT, heading, model, place, place, -1, belt.speed);
    this.spent += belt.cost;
    if (this.settle(id, next) && (!checkFlow || this.flowSuffices())) this.descend();
    this.spent -= belt.cost;
    this.undo(mark);
  }

  private trySplitters(place: number, heading: number, asLeft: boolean): void {
    const { map } = this;
    const other = map.neighbour[place * 4 + (asLeft ? right(heading) : left(heading))];
    if (other < 0 || this.occupant[other] !== FREE) return;
    const leftTile = asLeft ? place : other;
    const rightTile = asLeft ? other : place;
    const own = 1 << heading;
    // A splitter takes from behind only.
    if (((this.facing(leftTile, OPEN) | this.facing(rightTile, OPEN)) & ~own) !== 0) return;
    if (((this.facing(leftTile, DEAD) | this.facing(rightTile, DEAD)) & own) !== 0) return;
    const leftWays = this.waysOn(leftTile, heading);
    const rightWays = this.waysOn(rightTile, heading);
    for (let m = 0; m < map.splitters.length; m++) {
      if (this.splittersLeft[m] === 0) continue;
      for (const leftNext of leftWays) {
        for (const rightNext of rightWays) {
          if (leftNext === DEAD && rightNext === DEAD) continue;
          this.putSplitter(leftTile, rightTile, heading, m, leftNext, rightNext);
        }
      }
    }
  }

  /** What a splitter half on `tile` may come to pass to: one code, or OPEN and DEAD before a free tile. */
  private waysOn(tile: number, heading: number): readonly number[] {
    const front = this.map.neighbour[tile * 4 + heading];
    if (front < 0) return DEAD_ONLY;
    if (this.occupant[front] === FREE) return this.distance[front] === FAR ? DEAD_ONLY : OPEN_OR_DEAD;
    const next = this.nextOf(front, heading);
    return next === undefined ? DEAD_ONLY : [next];
  }

  private putSplitter(
    leftTile: number,
    rightTile: number,
    heading: number,
    model: number,
    leftNext: number,
    rightNext: number,
  ): void {
    const splitter = this.map.splitters[model];
    const mark = this.count;
    const leftId = this.add(SPLITTER_LEFT, heading, model, leftTile, leftTile, mark + 1, splitter.speed);
    const rightId = this.add(SPLITTER_RIGHT, heading, model, rightTile, rightTile, mark, splitter.speed);
    this.splittersLeft[model]--;
    this.splittersTotalLeft--;
    // Only with both halves linked to what faces them does a ring through the left one show.
    const ringless = this.settle(leftId, leftNext) && this.settle(rightId, rightNext) && !(leftNext >= 0 && this.leadsTo(leftNext, leftId));
    if (ringless && this.flowSuffices()) this.descend();
    this.splittersLeft[model]++;
    this.splittersTotalLeft++;
    this.undo(mark);
  }

  private tryUnderpassesFrom(entry: number, heading: number, open: number, dead: number): void {
    const { map } = this;
    const own = 1 << heading;
    if ((open & ~own) !== 0 || (dead & own) !== 0) return;
    let exit = entry;
    for (let apart = 1; ; apart++) {
      exit = map.neighbour[exit * 4 + heading];
      if (exit < 0) return;
      let longEnough = false;
      for (let m = 0; m < map.underpasses.length; m++) {
        if (map.underpasses[m].span < apart) continue;
        longEnough = true;
        this.putUnderpass(entry, exit, heading, m);
      }
      if (!longEnough) return;
    }
  }

  private tryUnderpassesTo(exit: number, heading: number): void {
    const { map } = this;
    let entry = exit;
    for (let apart = 1; ; apart++) {
      entry = map.neighbour[entry * 4 + back(heading)];
      if (entry < 0) return;
      const own = 1 << heading;
      if ((this.facing(entry, OPEN) & ~own) !== 0 || (this.facing(entry, DEAD) & own) !== 0) continue;
      let longEnough = false;
      for (let m = 0; m < map.underpasses.length; m++) {
        if (map.underpasses[m].span < apart) continue;
        longEnough = true;
        this.putUnderpass(entry, exit, heading, m);
      }
      if (!longEnough) return;
    }
  }

  private putUnderpass(entry: number, exit: number, heading: number, model: number): void {
    const { map } = this;
    if (this.occupant[entry] !== FREE || this.occupant[exit] !== FREE) return;
    // Nothing passes into an exit end.
    if (this.facing(exit, OPEN) !== 0 || this.crossesUnderpass(entry, exit, heading)) return;
    const front = map.neighbour[exit * 4 + heading];
    if (front < 0) return;
    const next = this.nextOf(front, heading);
    if (next === undefined) return;
    const underpass = map.underpasses[model];
    const mark = this.count;
    const id = this.add(UNDERPASS, heading, model, entry, exit, -1, underpass.speed);
    this.spent += 2 * underpass.cost;
    const joins = next >= 0 || this.drops[entry] > 0 || this.drops[exit] > 0;
    if (this.settle(id, next) && (!joins || this.flowSuffices())) this.descend();
    this.spent -= 2 * underpass.cost;
    this.undo(mark);
  }

  /** Whether an end of another underpass of this line and heading would lie between two ends. */
  private crossesUnderpass(entry: number, exit: number, heading: number): boolean {
    const low = Math.min(entry, exit);
    const high = Math.max(entry, exit);
    const { width } = this.map;
    const sameLine = (tile: number): boolean =>
      heading === 0 || heading === 2 ? tile % width === entry % width : Math.floor(tile / width) === Math.floor(entry / width);
    for (let c = 0; c < this.count; c++) {
      if (this.kind[c] !== UNDERPASS || this.heading[c] !== heading || !sameLine(this.tail[c])) continue;
      const otherLow = Math.min(this.tail[c], this.head[c]);
      const otherHigh = Math.max(this.tail[c], this.head[c]);
      if (otherLow < high && low < otherHigh) return true;
    }
    return false;
  }

  /** The code of passing on to `front`: a carrier that accepts, OPEN before a free tile, undefined where blocked. */
  private nextOf(front: number, heading: number): number | undefined {
    const at = this.occupant[front];
    if (at === FREE) return this.distance[front] === FAR ? undefined : OPEN;
    if (at === BLOCKED) return undefined;
    const carrier = at - 1;
    if (this.kind[carrier] === BELT) return this.heading[carrier] === back(heading) ? undefined : carrier;
    if (this.heading[carrier] !== heading || this.tail[carrier] !== front) return undefined;
    return carrier;
  }

  private add(
    kind: number,
    heading: number,
    model: number,
    tail: number,
    head: number,
    mate: number,
    speed: number,
  ): number {
    const id = this.count++;
    this.kind[id] = kind;
    this.heading[id] = heading;
    this.model[id] = model;
    this.tail[id] = tail;
    this.head[id] = head;
    this.mate[id] = mate;
    this.speed[id] = speed;
    this.next[id] = DEAD;
    this.occupant[tail] = id + 1;
    this.occupant[head] = id + 1;
    return id;
  }

  /** Links a new carrier to what faces it and to what it faces; false where that closes a ring. */
  private settle(id: number, next: number): boolean {
    const { map } = this;
    // Nothing passes into an underpass' exit end, so only what faces the tail is taken.
    const tile = this.tail[id];
    for (let heading = 0; heading < 4; heading++) {
      const from = map.neighbour[tile * 4 + back(heading)];
      if (from < 0 || this.occupant[from] <= 0) continue;
      const feeder = this.occupant[from] - 1;
      if (this.heading[feeder] === heading && this.head[feeder] === from && this.next[feeder] === OPEN) this.next[feeder] = id;
    }
    this.next[id] = next;
    this.settled[id] = 1;
    this.countCrossings(id, 1);
    return next < 0 || !this.leadsTo(next, id);
  }

  /** Whether carrier `to`, or its mate, lies downstream of `from`. */
  private leadsTo(from: number, to: number): boolean {
    this.stampNow++;
    return this.follow(from, to);
  }

  private follow(from: number, to: number): boolean {
    if (from === to || this.mate[from] === to) return true;
    if (this.stamp[from] === this.stampNow) return false;
    this.stamp[from] = this.stampNow;
    if (this.next[from] >= 0 && this.follow(this.next[from], to)) return true;
    const mate = this.mate[from];
    if (mate < 0 || this.stamp[mate] === this.stampNow) return false;
    this.stamp[mate] = this.stampNow;
    return this.next[mate] >= 0 && this.follow(this.next[mate], to);
  }

  private countCrossings(id: number, by: 1 | -1): void {
    const { width } = this.map;
    const heading = this.heading[id];
    const x = this.head[id] % width;
    const y = (this.head[id] - x) / width;
    const lines = this.crossings[heading];
    const at = heading === 0 ? y : heading === 1 ? x + 1 : heading === 2 ? y + 1 : x;
    if (this.next[id] !== DEAD) lines[at] += by;
    if (this.kind[id] === UNDERPASS) {
      const tx = this.tail[id] % width;
      const ty = (this.tail[id] - tx) / width;
      const apart = Math.abs(tx - x) + Math.abs(ty - y);
      const step = heading === 0 || heading === 3 ? 1 : -1;
      for (let k = 1; k <= apart; k++) lines[at + step * k] += by;
    }
    if (this.kind[id] === SPLITTER_LEFT) {
      // Items may shift to either half, across the line between them.
      const mateTile = this.tail[this.mate[id]];
      const mateX = mateTile % width;
      const vertical = heading === 0 || heading === 2;
      const between = vertical ? Math.max(x, mateX) : Math.max(y, (mateTile - mateX) / width);
      this.crossings[vertical ? 1 : 0][between] += by;
      this.crossings[vertical ? 3 : 2][between] += by;
    }
  }

  private undo(mark: number): void {
    while (this.count > mark) {
      const id = --this.count;
      if (this.settled[id] === 1) this.countCrossings(id, -1);
      this.settled[id] = 0;
      this.occupant[this.tail[id]] = FREE;
      this.occupant[this.head[id]] = FREE;
      for (let c = 0; c < id; c++) if (this.next[c] === id) this.next[c] = OPEN;
    }
  }

  // ---------------------------------------------------------------- leaves

  private judgeWhole(): boolean {
    this.whole = true;
    const suffices = this.flowSuffices();
    this.whole = false;
    if (!suffices) return false;
    if (this.hooks.judge(this, this.crew) !== 'passes') return false;
    this.hooks.accept(this, this.crew);
    return true;
  }

  /** The exit that is left, where one carrier's front is the one open place and no arm drops there; else -1. */
  private tailExit(place: number): number {
    if (this.drops[place] > 0) return -1;
    for (const tile of this.dropTiles) if (this.occupant[tile] === FREE) return -1;
    let open = 0;
    for (let c = 0; c < this.count; c++) if (this.next[c] === OPEN) open++;
    if (open !== 1) return -1;
    let exit = -1;
    for (let e = 0; e < this.exitTaken.length; e++) {
      if (this.exitTaken[e] === 1) continue;
      if (exit >= 0) return -1;
      exit = e;
    }
    return exit;
  }

  /**
   * From one open place to the one exit that is left, where every carrier that can bear the demand has
   * the same speed, no less than that of the carrier before it. Such a tail never holds an item up, so all
   * tails are alike in flow: only the cheapest matter, and the first verdict stands for all of them.
   * Returns false where this does not hold.
   */
  private finishTail(place: number): boolean {
    const { map } = this;
    const exit = this.tailExit(place);
    if (exit < 0) return false;
    const demand = map.demands[exit];
    const bears = (speed: number): boolean => {
      const capacity = this.capacities[speed];
      return 2 * capacity >= demand.total && capacity >= demand.left && capacity >= demand.right;
    };
    const speed = map.belts[map.exitBelt[exit]].speed;
    const uniform = [...map.belts, ...map.underpasses].every((model) => model.speed === speed || !bears(model.speed));
    let feeder = 0;
    while (this.next[feeder] !== OPEN) feeder++;
    if (!uniform || speed < this.speed[feeder]) return false;

    const belt = map.bodyBelts.find((m) => map.belts[m].speed === speed) ?? map.exitBelt[exit];
    // Where a way without detours is free it costs what any way costs at least. All ways are needed only if
    // one of them, at just the budget, passes.
    const straight = this.straightCost(place, belt, exit);
    let least = FAR;
    if (straight !== undefined && this.findsStraightWay(place, this.heading[feeder], exit)) {
      least = straight;
      if (this.spent + straight === this.budget) {
        if (this.tryStraightWay(place, this.heading[feeder], exit, belt, speed) === 'no') return true;
        this.measureTail(exit, belt, speed, this.budget - this.spent);
      }
    } else {
      this.measureTail(exit, belt, speed, this.budget - this.spent);
      least = this.tailCost[place * 4 + this.heading[feeder]];
    }
    const total = this.spent + least;
    if (total > this.budget) {
      // FAR only says: no tail within what is left of the budget.
      this.nextBudget = Math.min(this.nextBudget, least === FAR ? this.budget + 1 : total);
      return true;
    }
    if (total < this.budget) return true;
    this.tailVerdict = 'untried';
    this.walkTail(place, this.heading[feeder], exit, belt, speed);
    // A cheapest way that runs into itself is no way; the true cost is then unknown, but greater.
    if (this.tailVerdict === 'untried') this.nextBudget = Math.min(this.nextBudget, this.budget + 1);
    return true;
  }

  /** Cost of as many belts as there are moves; undefined where underpasses could make the moves for less. */
  private straightCost(place: number, belt: number, exit: number): number | undefined {
    const { map } = this;
    const moves = this.exitMoves[exit][place];
    const cost = map.belts[belt].cost;
    if (this.coverCost[moves] < moves * this.cheapestTile || cost !== this.cheapestTile) return undefined;
    return (moves - 1) * cost + map.belts[map.exitBelt[exit]].cost;
  }

  private findsStraightWay(place: number, entered: number, exit: number): boolean {
    this.stampTiles++;
    return this.hasStraightWay(place, entered, exit);
  }

  /** Whether free tiles lead from `place` to the exit, each one move nearer than the one before. */
  private hasStraightWay(place: number, entered: number, exit: number): boolean {
    if (this.occupant[place] !== FREE || this.facing(place, DEAD) !== 0) return false;
    const { map } = this;
    const moves = this.exitMoves[exit];
    for (let heading = 0; heading < 4; heading++) {
      if (heading === back(entered)) continue;
      const front = map.neighbour[place * 4 + heading];
      if (front < 0) {
        if ((map.exitsAt[place * 4 + heading] & (1 << exit)) !== 0) return true;
      } else if (moves[front] < moves[place] && this.tileStamp[front] !== this.stampTiles) {
        this.tileStamp[front] = this.stampTiles;
        if (this.hasStraightWay(front, heading, exit)) return true;
      }
    }
    return false;
  }

  /** Lays the first way without detours and has it judged. */
  private tryStraightWay(place: number, entered: number, exit: number, belt: number, speed: number): TailVerdict {
    const { map } = this;
    const moves = this.exitMoves[exit];
    let verdict: TailVerdict = 'untried';
    for (let heading = 0; heading < 4 && verdict === 'untried'; heading++) {
      if (heading === back(entered)) continue;
      const front = map.neighbour[place * 4 + heading];
      if (front < 0) {
        if ((map.exitsAt[place * 4 + heading] & (1 << exit)) === 0) continue;
        this.exitTaken[exit] = 1;
        this.place(BELT, place, place, heading, map.exitBelt[exit], speed, map.belts[map.exitBelt[exit]].cost, exitCode(exit), () => {
          verdict = this.judgeWhole() ? 'yes' : 'no';
        });
        this.exitTaken[exit] = 0;
      } else if (moves[front] < moves[place] && this.occupant[front] === FREE && this.facing(front, DEAD) === 0) {
        this.place(BELT, place, place, heading, belt, speed, map.belts[belt].cost, OPEN, () => {
          verdict = this.tryStraightWay(front, heading, exit, belt, speed);
        });
      }
    }
    return verdict;
  }

  /** tailCost[tile * 4 + heading]: least cost to the exit once a carrier must come on `tile`, entered with `heading`. */
  private measureTail(exit: number, belt: number, speed: number, most: number): void {
    const { map, tailCost } = this;
    tailCost.fill(FAR);
    const heap = this.tailHeap;
    heap.clear();
    const relax = (tile: number, entered: number, cost: number): void => {
      const state = tile * 4 + entered;
      if (cost >= tailCost[state] || cost > most) return;
      tailCost[state] = cost;
      heap.push(cost, state);
    };
    const beltCost = map.belts[belt].cost;
    const exitCost = map.belts[map.exitBelt[exit]].cost;
    const viaBelt = (tile: number, heading: number, cost: number): void => {
      if (this.occupant[tile] !== FREE) return;
      for (let entered = 0; entered < 4; entered++) if (entered !== back(heading)) relax(tile, entered, cost);
    };
    for (let tile = 0; tile < map.tiles; tile++) {
      for (let heading = 0; heading < 4; heading++) {
        if ((map.exitsAt[tile * 4 + heading] & (1 << exit)) !== 0) viaBelt(tile, heading, exitCost);
      }
    }
    while (heap.size > 0) {
      const state = heap.pop();
      const cost = heap.poppedKey;
      if (cost > tailCost[state]) continue;
      const heading = state & 3;
      let from = map.neighbour[(state >> 2) * 4 + back(heading)];
      if (from < 0) continue;
      viaBelt(from, heading, cost + beltCost);
      // An underpass whose exit end stands on `from`.
      const end = from;
      if (this.occupant[end] !== FREE) continue;
      for (let apart = 1; ; apart++) {
        from = map.neighbour[from * 4 + back(heading)];
        if (from < 0) break;
        let longEnough = false;
        for (const model of map.underpasses) {
          if (model.span < apart) continue;
          longEnough = true;
          if (model.speed !== speed || this.occupant[from] !== FREE || this.crossesUnderpass(from, end, heading)) continue;
          relax(from, heading, cost + 2 * model.cost);
        }
        if (!longEnough) break;
      }
    }
  }

  private walkTail(place: number, entered: number, exit: number, belt: number, speed: number): void {
    if (this.tailVerdict === 'no' || this.occupant[place] !== FREE) return;
    const { map, tailCost } = this;
    if (!this.boxAdmitted()) {
      if (this.tailVerdict === 'untried') this.tailVerdict = 'yes';
      return;
    }
    const left = this.budget - this.spent;
    const dead = this.facing(place, DEAD);
    for (let heading = 0; heading < 4; heading++) {
      if (heading === back(entered) || (dead & ~(1 << back(heading))) !== 0) continue;
      const front = map.neighbour[place * 4 + heading];
      if (front < 0) {
        const cost = map.belts[map.exitBelt[exit]].cost;
        if ((map.exitsAt[place * 4 + heading] & (1 << exit)) === 0 || cost !== left) continue;
        this.exitTaken[exit] = 1;
        this.place(BELT, place, place, heading, map.exitBelt[exit], speed, cost, exitCode(exit), () => {
          if (this.boxAdmitted()) this.tailVerdict = this.judgeWhole() ? 'yes' : this.tailVerdict === 'yes' ? 'yes' : 'no';
          else if (this.tailVerdict === 'untried') this.tailVerdict = 'yes';
        });
        this.exitTaken[exit] = 0;
      } else if (this.occupant[front] === FREE && tailCost[front * 4 + heading] === left - map.belts[belt].cost) {
        this.place(BELT, place, place, heading, belt, speed, map.belts[belt].cost, OPEN, () => {
          this.walkTail(front, heading, exit, belt, speed);
        });
      }
    }
    if ((dead & (1 << entered)) !== 0) return;
    let end = place;
    for (let apart = 1; ; apart++) {
      end = map.neighbour[end * 4 + entered];
      if (end < 0) return;
      const front = map.neighbour[end * 4 + entered];
      if (front < 0) return;
      let longEnough = false;
      for (let m = 0; m < map.underpasses.length; m++) {
        const model = map.underpasses[m];
        if (model.span < apart) continue;
        longEnough = true;
        if (model.speed !== speed || this.occupant[end] !== FREE || this.occupant[front] !== FREE) continue;
        if (this.crossesUnderpass(place, end, entered)) continue;
        if (tailCost[front * 4 + entered] !== left - 2 * model.cost) continue;
        this.place(UNDERPASS, place, end, entered, m, speed, 2 * model.cost, OPEN, () => {
          this.walkTail(front, entered, exit, belt, speed);
        });
      }
      if (!longEnough) return;
    }
  }

  private place(
    kind: number,
    tail: number,
    head: number,
    heading: number,
    model: number,
    speed: number,
    cost: number,
    next: number,
    then: () => void,
  ): void {
    const mark = this.count;
    const id = this.add(kind, heading, model, tail, head, -1, speed);
    this.spent += cost;
    if (this.settle(id, next)) then();
    this.spent -= cost;
    this.undo(mark);
  }

  /** Whether the box of all that stands, and of what must still come, is of interest. */
  private boxAdmitted(): boolean {
    if (!this.hooks.boxMatters()) return true;
    const { map } = this;
    let minX = map.width;
    let minY = map.depth;
    let maxX = -1;
    let maxY = -1;
    const hold = (tile: number): void => {
      const x = tile % map.width;
      const y = (tile - x) / map.width;
      if (x < minX) minX = x;
      if (x > maxX) maxX = x;
      if (y < minY) minY = y;
      if (y > maxY) maxY = y;
    };
    for (const chest of this.crew.chests) hold(chest.tile);
    for (const arm of this.crew.arms) {
      hold(arm.tile);
      if (arm.role === 'load') hold(arm.target);
    }
    for (let c = 0; c < this.count; c++) {
      hold(this.tail[c]);
      hold(this.head[c]);
      if (this.next[c] === OPEN) hold(map.neighbour[this.head[c] * 4 + this.heading[c]]);
    }
    for (const exit of map.brief.exits) {
      if (exit.edge === 'S') maxY = map.depth - 1;
      if (exit.edge === 'N') minY = 0;
      if (exit.edge === 'E') maxX = map.width - 1;
      if (exit.edge === 'W') minX = 0;
    }
    return this.hooks.admits(maxX - minX + 1, maxY - minY + 1);
  }
}

const DEAD_ONLY: readonly number[] = [DEAD];
const OPEN_OR_DEAD: readonly number[] = [OPEN, DEAD];

const laneRate = (map: SiteMap, speed: number, arm: number, quarter: number): number =>
  map.laneRates.get(speed)?.[arm * 3 + quarter - 1] ?? 0;

const lineRate = (map: SiteMap, speed: number, arm: number, outputs: 1 | 2): number =>
  map.lineRates.get(speed)?.[arm * 2 + outputs - 1] ?? 0;

/** [n]: least cost of belts and underpasses that make n moves across grid lines. */
export function coverCosts(map: SiteMap): Float64Array {
  const most = 4 * (map.width + map.depth + 2) * Math.max(1, map.demands.length);
  const costs = new Float64Array(most + 1);
  const belt = Math.min(...map.belts.map((model) => model.cost));
  for (let n = 1; n <= most; n++) {
    costs[n] = costs[n - 1] + belt;
    for (const { span, cost } of map.underpasses) costs[n] = Math.min(costs[n], costs[Math.max(0, n - span - 1)] + 2 * cost);
  }
  return costs;
}
