/**
 * What is still to pay, from below: an admissible bound on the carriers that a network under construction
 * still needs. Every carrier makes one move across one grid line (an underpass as many as its span and one
 * more), and the lines that lie between open places and exits, or between open places that must come
 * together, each need a move; so many of them as the demand takes, and of carriers fast enough for it.
 */
import { FREE, OPEN, type CarrierNetwork } from './carrier-network.js';
import { beyondLines, borderOf, fillNeededCrossings, flowBeyond, lastLines, linesOf, movesBeyond, type Border, type LastLines, type Lines } from './grid-lines.js';
import { LineCosts, cheapestTile, coverCosts } from './line-costs.js';
import type { SiteMap } from '../site/site-map.js';
import { WaysOut } from './ways-out.js';

/** Beyond all rows and columns. */
const BEYOND = 1_000_000;

export class CarrierBound {
  readonly waysOut: WaysOut;
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
  /** Of the lines of the last call of `missingCrossings`: what a move across them costs beyond the cheapest belt; and how many moves splitters may make. */
  private readonly extras: number[] = [];
  private madeBySplitters = 0;
  /** Into how many networks a layout may fall: no more than there are exits. */
  mostNetworks: number;
  private readonly cheapestTile: number;
  private readonly lastLines: LastLines;
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
  /** [exit] */
  private readonly borders: readonly Border[];

  /** `drops`: tiles on which arms may place. */
  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
    drops: readonly number[] = Array.from({ length: map.tiles }, (_, tile) => tile),
  ) {
    this.waysOut = new WaysOut(map, net);
    this.needed = linesOf(map);
    this.neededByAny = linesOf(map);
    this.movesBeyond = beyondLines(map, movesBeyond);
    fillNeededCrossings(map, this.movesBeyond, drops, this.neededByAny);
    this.flowBeyond = beyondLines(map, flowBeyond);
    this.flow = linesOf(map).map((lines) => new Float64Array(lines.length));
    this.flowByAny = this.flow.map((lines) => new Float64Array(lines.length));
    fillNeededCrossings(map, this.flowBeyond, drops, this.flowByAny);
    this.tileStamp = new Int32Array(map.tiles);
    this.lineCosts = new LineCosts(map, coverCosts(map));
    this.mostNetworks = map.demands.length;
    this.cheapestTile = cheapestTile(map);
    this.lastLines = lastLines(map);
    this.borders = map.brief.exits.map((exit) => borderOf(map, exit));
    this.openRows = new Int32Array(map.depth);
    this.openColumns = new Int32Array(map.width);
    this.gaps = new Int32Array(Math.max(1, map.demands.length - 1));
  }

  /** Measures the site around a new crew, but for ways out: most crews are only weighed. */
  enter(wholeCrew: boolean): void {
    this.waysOut.enter();
    this.wholeCrew = wholeCrew;
    this.countNeededCrossings(wholeCrew);
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
    let minX = BEYOND;
    let minY = BEYOND;
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
      if (!this.waysOut.leadsFrom(tile)) unreachable = true;
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
      const { top, bottom, first, final } = this.borders[e];
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
    // Exits' belts may make the dearest moves that splitters do not.
    const tiles = Math.max(this.lineCosts.ofMoves(uncovered, this.extras, this.madeBySplitters + exitsLeft), places * this.cheapestTile);
    return exitCost + tiles;
  }

  /**
   * Moves across grid lines (with their multiplicities) that no placed carrier makes yet and some carrier still
   * must, less what the splitters to come may make of them.
   */
  private missingCrossings(minX: number, minY: number, maxX: number, maxY: number, splittersLeft: number): number {
    const { net, span, openRows, openColumns } = this;
    const { south, north, east, west } = this.lastLines;
    this.extras.length = 0;
    this.madeBySplitters = 0;
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
    this.madeBySplitters = covered;
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

/** Rows and columns from the first to the last of what must come together. */
interface Span {
  left: number;
  right: number;
  top: number;
  bottom: number;
}
