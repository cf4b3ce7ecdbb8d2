/**
 * What is still to pay, from below: an admissible bound on the carriers that a network under construction
 * still needs. Every carrier makes one move across one grid line (an underpass as many as its span and one
 * more), and the lines that lie between open places and exits, or between open places that must come
 * together, each need a move; so many of them as the demand takes, and of carriers fast enough for it.
 */
import type { ExitDemand } from '../../brief/brief.js';
import { BLOCKED, FREE, OPEN, type CarrierNetwork } from './carrier-network.js';
import { LineCosts } from './line-costs.js';
import { headingOf, left, right, type SiteMap } from '../site/site-map.js';

export const FAR = 1_000_000;

export class CarrierBound {
  /** Least number of moves from a tile to an exit past the crew, FAR where there is no way; once they are `measured`. */
  readonly distance: Int32Array;
  private measured = false;
  /** Whether all arms are placed. */
  private wholeCrew = true;
  /** For each grid line that all items must cross: how many moves it takes to carry the demand across. */
  private readonly needed: readonly Int16Array[];
  private readonly neededByAny: readonly Int16Array[];
  private readonly movesBeyond: Lines;
  /** What must be carried across each grid line that all items must cross; only where carriers come at several speeds. */
  private readonly flow: readonly Float64Array[];
  private readonly flowByAny: readonly Float64Array[];
  private readonly flowBeyond: Lines;
  private readonly lineCosts: LineCosts;
  /** Of the lines of the last call of `missingCrossings`: what a move across them costs beyond the cheapest belt. */
  private readonly extras: number[] = [];
  readonly coverCost: Float64Array;
  /** Into how many networks a layout may fall: no more than there are exits. */
  mostNetworks: number;
  readonly cheapestTile: number;
  private readonly reach: Reach;
  private stampTiles = 0;
  private readonly tileStamp: Int32Array;
  /** Rows and columns with an open place: those that hold the stamp of the last call. */
  private readonly openRows: Int32Array;
  private readonly openColumns: Int32Array;
  private readonly gaps: Int32Array;
  /** Where what must come together lies, as `stillToPay` has just found. */
  private readonly span: Span = { left: 0, right: 0, top: 0, bottom: 0 };
  /** Pairs of missing moves across the same line, of the last call of `missingAlong`. */
  private pairs = 0;
  private readonly steps: Steps;
  private readonly exitTiles: readonly ExitTiles[];
  /** Tiles in the order in which they are reached. */
  private readonly queue: Int32Array;

  /** `drops`: tiles on which arms may place. */
  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
    drops: readonly number[] = Array.from({ length: map.tiles }, (_, tile) => tile),
  ) {
    this.distance = new Int32Array(map.tiles);
    this.needed = linesOf(map);
    this.neededByAny = linesOf(map);
    this.movesBeyond = beyondLines(map, movesBeyond);
    fillNeededCrossings(map, this.movesBeyond, drops, this.neededByAny);
    this.flowBeyond = beyondLines(map, flowBeyond);
    this.flow = linesOf(map).map((lines) => new Float64Array(lines.length));
    this.flowByAny = this.flow.map((lines) => new Float64Array(lines.length));
    fillNeededCrossings(map, this.flowBeyond, drops, this.flowByAny);
    this.tileStamp = new Int32Array(map.tiles);
    this.coverCost = coverCosts(map);
    this.lineCosts = new LineCosts(map, this.coverCost);
    this.mostNetworks = map.demands.length;
    this.cheapestTile = cheapestTile(map);
    this.reach = exitReach(map);
    this.steps = stepsOf(map);
    this.exitTiles = map.brief.exits.map((exit) => exitTiles(map, exit));
    this.queue = new Int32Array(map.tiles);
    this.openRows = new Int32Array(map.depth);
    this.openColumns = new Int32Array(map.width);
    this.gaps = new Int32Array(Math.max(1, map.demands.length - 1));
  }

  /** Measures the site around a new crew, but for distances: most crews are only weighed. */
  enter(wholeCrew: boolean): void {
    this.measured = false;
    this.wholeCrew = wholeCrew;
    this.countNeededCrossings(wholeCrew);
  }

  /** Breadth first from the exits, backwards; an underpass counts its tiles apart as one move at least. */
  measureDistances(): void {
    const { net, distance, queue, steps } = this;
    this.measured = true;
    distance.fill(FAR);
    let end = 0;
    for (const tile of steps.exits) {
      if (net.occupant[tile] === BLOCKED) continue;
      distance[tile] = 1;
      queue[end++] = tile;
    }
    for (let at = 0; at < end; at++) {
      const tile = queue[at];
      for (const from of steps.before[tile]) {
        if (net.occupant[from] === BLOCKED || distance[from] !== FAR) continue;
        distance[from] = distance[tile] + 1;
        queue[end++] = from;
      }
    }
  }

  /** Whether any way leads from a tile to an exit past the crew. Distances are measured only if it isn't the first shortest one past no crew. */
  private leadsOut(tile: number): boolean {
    let at = tile;
    while (!this.measured && this.steps.distance[at] > 1) {
      at = this.nearer(at);
      if (at < 0) this.measureDistances();
    }
    return !this.measured || this.distance[tile] !== FAR;
  }

  /** The first tile past the crew to which one move leads and that lies nearer to an exit, if nothing stood there; or -1. */
  private nearer(tile: number): number {
    const { after, distance } = this.steps;
    for (const to of after[tile]) if (distance[to] < distance[tile] && this.net.occupant[to] !== BLOCKED) return to;
    return -1;
  }

  private countNeededCrossings(wholeCrew: boolean): void {
    const { map, net, needed } = this;
    for (const lines of needed) lines.fill(0);
    for (const lines of this.flow) lines.fill(0);
    if (wholeCrew && net.dropTiles.length === 0) return;
    // Arms still to come may serve one of the exits on their own, from wherever they may place.
    if (!wholeCrew && map.demands.length > 1) for (let d = 0; d < 4; d++) needed[d].set(this.neededByAny[d]);
    else if (net.dropTiles.length > 0) fillNeededCrossings(map, this.movesBeyond, net.dropTiles, needed);
    if (net.copyInTheWest < map.width) {
      // Items must come so far west that the copy would not fit: see `westmost.ts`.
      const west = net.dropTiles.reduce((least, tile) => Math.min(least, tile % map.width), map.width);
      for (let line = net.copyInTheWest + 1; line <= west; line++) needed[3][line] = Math.max(needed[3][line], 1);
    }
    if (!this.lineCosts.hasTiers) return;
    // Not all of it comes from arms that stand already.
    if (wholeCrew) fillNeededCrossings(map, this.flowBeyond, net.dropTiles, this.flow);
    else for (let d = 0; d < 4; d++) this.flow[d].set(this.flowByAny[d]);
  }

  /** Least price of the carriers that still must come (splitters apart); Infinity where none can help. */
  stillToPay(exitTaken: Uint8Array, splittersLeft: number): number {
    const { map, net } = this;
    let minX = FAR;
    let minY = FAR;
    let maxX = -1;
    let maxY = -1;
    let openPlaces = 0;
    let unreachable = false;
    this.stampTiles++;
    for (let d = 0; d < net.dropTiles.length + net.count; d++) {
      let tile: number;
      if (d < net.dropTiles.length) {
        tile = net.dropTiles[d];
        if (net.occupant[tile] !== FREE) continue;
      } else {
        const carrier = d - net.dropTiles.length;
        if (net.next[carrier] !== OPEN) continue;
        tile = map.neighbour[net.head[carrier] * 4 + net.heading[carrier]];
      }
      if (this.tileStamp[tile] === this.stampTiles) continue;
      this.tileStamp[tile] = this.stampTiles;
      openPlaces++;
      if (!this.leadsOut(tile)) unreachable = true;
      const x = tile % map.width;
      const y = (tile - x) / map.width;
      this.openColumns[x] = this.stampTiles;
      this.openRows[y] = this.stampTiles;
      if (x < minX) minX = x;
      if (x > maxX) maxX = x;
      if (y < minY) minY = y;
      if (y > maxY) maxY = y;
    }
    if (unreachable) return Infinity;
    let exitsLeft = 0;
    let exitCost = 0;
    // What must come together: an exit lies in a network too, and of some the row or column is known.
    const { span } = this;
    span.left = minX;
    span.right = maxX;
    span.top = minY;
    span.bottom = maxY;
    for (let e = 0; e < exitTaken.length; e++) {
      if (exitTaken[e] === 1) continue;
      exitsLeft++;
      exitCost += map.belts[map.exitBelt[e]].cost;
      const { top, bottom, first, final } = this.exitTiles[e];
      if (top === bottom) {
        this.openRows[top] = this.stampTiles;
        if (top < span.top) span.top = top;
        if (top > span.bottom) span.bottom = top;
      }
      if (first === final) {
        this.openColumns[first] = this.stampTiles;
        if (first < span.left) span.left = first;
        if (first > span.right) span.right = first;
      }
    }
    // Each open place takes one carrier, which passes on to one more; only a splitter leads to two.
    if (this.wholeCrew && openPlaces + splittersLeft < exitsLeft) return Infinity;
    if (openPlaces === 0 && this.wholeCrew) return exitsLeft > 0 ? Infinity : 0;

    // An exit's belt is a tile of its own that makes one move, at its own price.
    const uncovered = Math.max(0, this.missingCrossings(minX, minY, maxX, maxY, splittersLeft) - exitsLeft);
    const places = Math.max(0, openPlaces - exitsLeft - 2 * splittersLeft);
    // Exits' belts may make the dearest moves.
    if (this.extras.length > 0) this.extras.splice(0, exitsLeft);
    const tiles = Math.max(this.lineCosts.ofMoves(uncovered, this.extras), places * this.cheapestTile);
    return exitCost + tiles;
  }

  /**
   * Moves across grid lines (with their multiplicities) that no placed carrier makes yet and some carrier still
   * must, less what the splitters to come may make of them.
   */
  private missingCrossings(minX: number, minY: number, maxX: number, maxY: number, splittersLeft: number): number {
    const { net, span, openRows, openColumns } = this;
    const { south, north, east, west } = this.reach;
    this.extras.length = 0;
    const [crossN, crossE, crossS, crossW] = net.crossings;
    const [needN, needE, needS, needW] = this.needed;
    const rows = this.missingAlong(minY, maxY, span.top, span.bottom, this.map.depth, openRows, crossS, crossN, needS, needN, south, north, 2);
    const rowPairs = this.pairs;
    const columns = this.missingAlong(minX, maxX, span.left, span.right, this.map.width, openColumns, crossE, crossW, needE, needW, east, west, 1);
    const columnPairs = this.pairs;
    if (this.extras.length > 1) this.extras.sort((a, b) => b - a);
    if (splittersLeft === 0) return rows + columns;
    // A splitter's halves make a move each across one line, and it shifts items across the line between them.
    let covered = 0;
    for (let upright = 0; upright <= splittersLeft; upright++) {
      const down = Math.min(rows, splittersLeft + Math.min(upright, rowPairs));
      const aside = Math.min(columns, splittersLeft + Math.min(splittersLeft - upright, columnPairs));
      if (down + aside > covered) covered = down + aside;
    }
    if (this.extras.length > 0) this.extras.splice(0, covered);
    return rows + columns - covered;
  }

  /**
   * Missing moves across the lines of one axis. Open places lie in so many networks at most; where a gap between neighbouring
   * open places isn't one between two networks, all its lines must be crossed.
   */
  private missingAlong(
    least: number,
    most: number,
    first: number,
    final: number,
    last: number,
    open: Int32Array,
    crossUp: Int16Array,
    crossDown: Int16Array,
    needUp: Int16Array,
    needDown: Int16Array,
    farthest: number,
    nearest: number,
    up: number,
  ): number {
    const { gaps, stampTiles } = this;
    const { hasTiers } = this.lineCosts;
    const down = (up + 2) & 3;
    const cuts = this.mostNetworks - 1;
    let missing = 0;
    this.pairs = 0;
    gaps.fill(0);
    let gap = 0;
    for (let line = 0; line <= last; line++) {
      let missingUp = Math.max(needUp[line], line > least && line <= farthest ? 1 : 0) - crossUp[line];
      let missingDown = Math.max(needDown[line], line <= most && line >= nearest ? 1 : 0) - crossDown[line];
      if (hasTiers) {
        missingUp = this.missingAcross(up, line, missingUp);
        missingDown = this.missingAcross(down, line, missingDown);
      }
      const short = Math.max(0, missingUp) + Math.max(0, missingDown);
      missing += short;
      this.pairs += short >> 1;
      if (line <= first || line > final) continue;
      if (short === 0 && crossUp[line] + crossDown[line] === 0) gap++;
      if (open[line] !== stampTiles) continue;
      // The gap before this open row or column is at its end; the widest ones lie between networks.
      missing += gap;
      for (let c = 0; c < cuts; c++) {
        if (gap > gaps[c]) {
          const wider = gap;
          gap = gaps[c];
          gaps[c] = wider;
        }
      }
      gap = 0;
    }
    for (let c = 0; c < cuts; c++) missing -= gaps[c];
    return missing;
  }

  /** Moves that are missing across a line: so many by count, and one at least where what crosses it carries too little. */
  private missingAcross(heading: number, line: number, byCount: number): number {
    const moves = Math.max(0, byCount);
    const asked = this.flow[heading][line];
    const flow = asked - this.net.carried[heading][line];
    if (asked === 0 || flow <= 0) return moves;
    const extra = this.lineCosts.extraOf(flow, Math.max(1, moves));
    if (extra > 0) this.extras.push(extra);
    return Math.max(1, moves);
  }
}

/** [heading][line]: of each grid line, what all exits beyond ask for. */
type Lines = readonly (readonly number[])[];

const beyondLines = (map: SiteMap, beyond: (map: SiteMap, heading: number, line: number) => number): Lines =>
  [0, 1, 2, 3].map((heading) => Array.from({ length: Math.max(map.width, map.depth) + 1 }, (_, line) => beyond(map, heading, line)));

/** Fills in how much of this must cross, whatever is set down on `drops`: lines that lie beyond them all. */
function fillNeededCrossings(map: SiteMap, moves: Lines, drops: readonly number[], needed: readonly (Int16Array | Float64Array)[]): void {
  let minX = map.width;
  let minY = map.depth;
  let maxX = -1;
  let maxY = -1;
  for (const tile of drops) {
    const x = tile % map.width;
    const y = (tile - x) / map.width;
    minX = Math.min(minX, x);
    maxX = Math.max(maxX, x);
    minY = Math.min(minY, y);
    maxY = Math.max(maxY, y);
  }
  const fill = (heading: number, from: number, to: number): void => {
    for (let line = from; line <= to; line++) needed[heading][line] = moves[heading][line];
  };
  fill(2, maxY + 1, map.depth);
  fill(0, 0, minY);
  fill(1, maxX + 1, map.width);
  fill(3, 0, minX);
}

const linesOf = (map: SiteMap): readonly Int16Array[] => [0, 1, 2, 3].map(() => new Int16Array(Math.max(map.width, map.depth) + 1));

/** Least number of moves across grid lines that carry out what is set down on some of these tiles. */
export function leastCrossings(map: SiteMap, drops: readonly number[]): number {
  const needed = linesOf(map);
  fillNeededCrossings(map, beyondLines(map, movesBeyond), drops, needed);
  return needed.reduce((sum, lines) => lines.reduce((total, n) => total + n, sum), 0);
}

/** Rows and columns from the first to the last of what must come together. */
interface Span {
  left: number;
  right: number;
  top: number;
  bottom: number;
}

/** Where moves may end, and from where they come, whatever stands there. */
interface Steps {
  /** Tiles over which belts may leave. */
  readonly exits: readonly number[];
  /** [tile]: tiles from which one move, at least, leads there. */
  readonly before: readonly Int32Array[];
  /** [tile]: tiles to which one leads. */
  readonly after: readonly (readonly number[])[];
  /** [tile]: least number of moves to an exit past no crew, FAR where there is no way. */
  readonly distance: Int32Array;
}

function stepsOf(map: SiteMap): Steps {
  const tiles = Array.from({ length: map.tiles }, (_, tile) => tile);
  const ways = [0, 1, 2, 3];
  const before = tiles.map((tile) =>
    ways.flatMap((heading) => {
      const beside = map.neighbour[tile * 4 + heading];
      if (beside < 0) return [];
      const from = [beside];
      let beyond = beside;
      for (let apart = 2; apart <= map.longestSpan; apart++) {
        beyond = map.neighbour[beyond * 4 + heading];
        if (beyond < 0) break;
        from.push(beyond);
      }
      // A splitter may shift items to the tile beside it.
      if (map.splitters.length > 0) from.push(...[left(heading), right(heading)].map((turn) => map.neighbour[beside * 4 + turn]).filter((diagonal) => diagonal >= 0));
      return from;
    }),
  );
  const after = tiles.map((): number[] => []);
  before.forEach((some, to) => {
    for (const from of new Set(some)) after[from].push(to);
  });
  const exits = tiles.filter((tile) => ways.some((heading) => map.exitsAt[tile * 4 + heading] !== 0));
  const distance = new Int32Array(map.tiles).fill(FAR);
  const reached = exits.filter((tile) => map.keepOut[tile] === 0);
  for (const tile of reached) distance[tile] = 1;
  for (const tile of reached) {
    for (const from of before[tile]) {
      if (map.keepOut[from] !== 0 || distance[from] !== FAR) continue;
      distance[from] = distance[tile] + 1;
      reached.push(from);
    }
  }
  return { exits, before: before.map((from) => Int32Array.from(new Set(from))), after, distance };
}

/** What exits beyond a grid line ask for, if all items come from before it; and how many of them leave across it, or whether any does beyond. */
function askedBeyond(map: SiteMap, heading: number, line: number): { readonly flow: number; readonly belts: number } {
  let flow = 0;
  let belts = 0;
  let nearer = 0;
  map.brief.exits.forEach((exit, e) => {
    const last = heading === 2 ? map.depth : heading === 1 ? map.width : 0;
    const leaves = exit.edge === headingOf(heading);
    const { top, bottom, first, final } = exitTiles(map, exit);
    const beyond = heading === 2 ? top >= line : heading === 0 ? bottom < line : heading === 1 ? first >= line : final < line;
    if (line === last ? leaves : beyond) {
      flow += map.demands[e].total;
      belts = line === last ? belts + 1 : 1;
    } else nearer += 2 * map.endCapacities[exit.belt.speed];
  });
  // Of a common target, what the other exits can't take.
  return { flow: Math.max(flow, map.wanted - nearer), belts };
}

const flowBeyond = (map: SiteMap, heading: number, line: number): number => Math.max(0, askedBeyond(map, heading, line).flow);

/** How many moves it takes across a grid line to carry that. */
function movesBeyond(map: SiteMap, heading: number, line: number): number {
  const { flow, belts } = askedBeyond(map, heading, line);
  return Math.max(belts, Math.ceil(flow / (2 * map.mostLaneCapacity)));
}

/** Rows (`top` to `bottom`, counted from the map's first) and columns (`first` to `final`) of the border tiles by which an exit may leave. */
interface ExitTiles {
  readonly top: number;
  readonly bottom: number;
  readonly first: number;
  readonly final: number;
}

function exitTiles(map: SiteMap, { edge, from, to }: ExitDemand): ExitTiles {
  const row = edge === 'N' ? 0 : map.depth - 1;
  const column = edge === 'W' ? 0 : map.width - 1;
  const vertical = edge === 'N' || edge === 'S';
  return vertical ? { top: row, bottom: row, first: from, final: to } : { top: from - map.top, bottom: to - map.top, first: column, final: column };
}

/** The last grid line in each direction that items must cross from far enough off, whichever exit they take. */
interface Reach {
  readonly south: number;
  readonly north: number;
  readonly east: number;
  readonly west: number;
}

function exitReach(map: SiteMap): Reach {
  const exits = map.brief.exits.map((exit) => ({ edge: exit.edge, ...exitTiles(map, exit) }));
  return {
    south: Math.min(map.depth + 1, ...exits.map(({ edge, top }) => (edge === 'S' ? map.depth : top))),
    north: Math.max(-1, ...exits.map(({ edge, bottom }) => (edge === 'N' ? 0 : bottom + 1))),
    east: Math.min(map.width + 1, ...exits.map(({ edge, first }) => (edge === 'E' ? map.width : first))),
    west: Math.max(-1, ...exits.map(({ edge, final }) => (edge === 'W' ? 0 : final + 1))),
  };
}

export const cheapestTile = (map: SiteMap): number =>
  Math.min(...map.belts.map((belt) => belt.cost), ...map.underpasses.map((underpass) => underpass.cost));

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
