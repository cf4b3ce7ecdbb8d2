/**
 * The network under construction: carriers in flat arrays, what stands on which tile, and the moves that
 * carriers make across grid lines. Placing and taking back; no choice is made here.
 *
 * Representation. A carrier is a belt, one half of a splitter, or a whole underpass; carriers are numbered
 * in the order in which they were placed, so taking back is cutting the tail off. `next[c]` is the carrier
 * it passes to, or OPEN (its front tile is still free and must be filled), DEAD (a splitter half that
 * leads nowhere) or exitCode(e). Headings are quarter turns from N.
 */
import type { Crew } from '../site/crew.js';
import { back, type SiteMap } from '../site/site-map.js';

export const OPEN = -1;
export const DEAD = -2;
export const exitCode = (exit: number): number => -3 - exit;
export const exitOf = (code: number): number => -3 - code;

export const BELT = 0;
export const SPLITTER_LEFT = 1;
export const SPLITTER_RIGHT = 2;
export const UNDERPASS = 3;

/** What stands on a tile: nothing, a chest, an arm or an obstacle, or carrier number `occupant` - 1. */
export const FREE = 0;
export const BLOCKED = -1;

/** A network to be read; when handed to a judge it is complete, and valid only during the call. */
export interface CarrierView {
  readonly count: number;
  readonly kind: Int8Array;
  readonly heading: Int8Array;
  readonly model: Int16Array;
  readonly tail: Int32Array;
  readonly head: Int32Array;
  /** The other half of a splitter, or -1. */
  readonly mate: Int16Array;
  readonly next: Int16Array;
  readonly speed: Int32Array;
}

export class CarrierNetwork implements CarrierView {
  count = 0;
  readonly kind: Int8Array;
  readonly heading: Int8Array;
  readonly model: Int16Array;
  readonly tail: Int32Array;
  readonly head: Int32Array;
  readonly mate: Int16Array;
  readonly next: Int16Array;
  readonly speed: Int32Array;
  /** Where the stretch began that a carrier continues: its one feeder's root, or itself. */
  readonly root: Int16Array;
  /** As `divide` left it. */
  readonly networkOf: Int16Array;
  readonly occupant: Int16Array;
  /** Number of arms that place on a tile, and the tiles with any. */
  readonly drops: Uint8Array;
  dropTiles: readonly number[] = [];
  /** Of the crew; Infinity where it has none. */
  copyInTheWest = Infinity;
  /** Moves across grid lines by direction (N, E, S, W); line r lies before row r, line c before column c. */
  readonly crossings: readonly Int16Array[];
  /** What the carriers that make these moves can carry together, scaled. */
  readonly carried: readonly Float64Array[];
  /** What stands on tiles of the site without a crew. */
  private readonly bare: Int16Array;
  private readonly settled: Uint8Array;
  private readonly stamp: Int32Array;
  private stampNow = 0;

  constructor(private readonly map: SiteMap) {
    const most = map.tiles + 4;
    this.kind = new Int8Array(most);
    this.heading = new Int8Array(most);
    this.model = new Int16Array(most);
    this.tail = new Int32Array(most);
    this.head = new Int32Array(most);
    this.mate = new Int16Array(most);
    this.next = new Int16Array(most);
    this.speed = new Int32Array(most);
    this.root = new Int16Array(most);
    this.networkOf = new Int16Array(most);
    this.bare = Int16Array.from(map.keepOut, (kept) => (kept === 1 ? BLOCKED : FREE));
    this.occupant = new Int16Array(map.tiles);
    this.settled = new Uint8Array(most);
    this.stamp = new Int32Array(most);
    this.drops = new Uint8Array(map.tiles);
    const lines = (): Int16Array => new Int16Array(Math.max(map.width, map.depth) + 1);
    this.crossings = [lines(), lines(), lines(), lines()];
    this.carried = this.crossings.map((moves) => new Float64Array(moves.length));
  }

  /** Begins anew: a crew and no carriers. */
  enter(crew: Crew): void {
    this.count = 0;
    this.occupant.set(this.bare);
    this.drops.fill(0);
    const dropTiles: number[] = [];
    for (const chest of crew.chests) this.occupant[chest.tile] = BLOCKED;
    for (const arm of crew.arms) this.occupant[arm.tile] = BLOCKED;
    for (const arm of crew.arms) {
      if (arm.role !== 'load') continue;
      if (this.drops[arm.target] === 0) dropTiles.push(arm.target);
      this.drops[arm.target]++;
    }
    this.dropTiles = dropTiles;
    this.copyInTheWest = crew.copyInTheWest ?? Infinity;
    for (const lines of this.crossings) lines.fill(0);
    for (const lines of this.carried) lines.fill(0);
  }

  /** Tiles on which arms place and nothing stands yet. */
  freeDrops(): number {
    let free = 0;
    for (const tile of this.dropTiles) if (this.occupant[tile] === FREE) free++;
    return free;
  }

  /** Carriers that are still to pass on to something. */
  openEnds(): number {
    let open = 0;
    for (let c = 0; c < this.count; c++) if (this.next[c] === OPEN) open++;
    return open;
  }

  /** The tile that a carrier faces. */
  frontOf(carrier: number): number {
    return this.map.neighbour[this.head[carrier] * 4 + this.heading[carrier]];
  }

  add(
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
    this.root[id] = id;
    this.occupant[tail] = id + 1;
    this.occupant[head] = id + 1;
    return id;
  }

  /** Links a new carrier to what faces it and to what it faces; false where that closes a ring. */
  settle(id: number, next: number): boolean {
    const { map } = this;
    // Nothing passes into an underpass' exit end, so only what faces the tail is taken.
    const tile = this.tail[id];
    let feeders = 0;
    for (let heading = 0; heading < 4; heading++) {
      const from = map.neighbour[tile * 4 + back(heading)];
      if (from < 0 || this.occupant[from] <= 0) continue;
      const feeder = this.occupant[from] - 1;
      if (this.heading[feeder] === heading && this.head[feeder] === from && this.next[feeder] === OPEN) {
        this.next[feeder] = id;
        this.root[id] = feeders++ === 0 ? this.root[feeder] : id;
      }
    }
    this.next[id] = next;
    this.settled[id] = 1;
    this.countCrossings(id, 1);
    return next < 0 || !this.leadsTo(next, id);
  }

  undo(mark: number): void {
    while (this.count > mark) {
      const id = --this.count;
      if (this.settled[id] === 1) this.countCrossings(id, -1);
      this.settled[id] = 0;
      this.occupant[this.tail[id]] = FREE;
      this.occupant[this.head[id]] = FREE;
      for (let c = 0; c < id; c++) if (this.next[c] === id) this.next[c] = OPEN;
    }
  }

  /** The code of passing on to `front`: a carrier that accepts, OPEN before a free tile, undefined where blocked. */
  nextOf(front: number, heading: number): number | undefined {
    const at = this.occupant[front];
    if (at === FREE) return OPEN;
    if (at === BLOCKED) return undefined;
    const carrier = at - 1;
    if (this.kind[carrier] === BELT) return this.heading[carrier] === back(heading) ? undefined : carrier;
    if (this.heading[carrier] !== heading || this.tail[carrier] !== front) return undefined;
    return carrier;
  }

  /** Bits of the headings of carriers that face `tile` and must (OPEN) or must not (DEAD) be taken. */
  facing(tile: number, code: number): number {
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

  /** Whether an end of another underpass of this line and heading would lie between two ends. */
  crossesUnderpass(entry: number, exit: number, heading: number): boolean {
    const low = Math.min(entry, exit);
    const high = Math.max(entry, exit);
    for (let c = 0; c < this.count; c++) {
      if (this.kind[c] !== UNDERPASS || this.heading[c] !== heading || !this.onOneLine(this.tail[c], entry, heading)) continue;
      const otherLow = Math.min(this.tail[c], this.head[c]);
      const otherHigh = Math.max(this.tail[c], this.head[c]);
      if (otherLow < high && low < otherHigh) return true;
    }
    return false;
  }

  /** Whether some carrier leads into it. */
  isFed(carrier: number): boolean {
    for (let c = 0; c < this.count; c++) if (this.next[c] === carrier) return true;
    return false;
  }

  /** Whether two tiles lie in one column, for headings north and south, or one row. */
  private onOneLine(a: number, b: number, heading: number): boolean {
    const { width } = this.map;
    return heading === 0 || heading === 2 ? a % width === b % width : Math.floor(a / width) === Math.floor(b / width);
  }

  /** Names each carrier's network in `networkOf` by its first carrier, and returns how many there are. */
  divide(): number {
    const { networkOf: parent, next, mate } = this;
    let networks = this.count;
    for (let c = 0; c < this.count; c++) parent[c] = c;
    for (let c = 0; c < this.count; c++) {
      if (next[c] >= 0 && this.unite(c, next[c])) networks--;
      if (mate[c] > c && this.unite(c, mate[c])) networks--;
    }
    for (let c = 0; c < this.count; c++) parent[c] = this.rootOf(c);
    return networks;
  }

  private unite(a: number, b: number): boolean {
    const [ra, rb] = [this.rootOf(a), this.rootOf(b)];
    if (ra === rb) return false;
    this.networkOf[Math.max(ra, rb)] = Math.min(ra, rb);
    return true;
  }

  private rootOf(c: number): number {
    let root = c;
    while (this.networkOf[root] !== root) root = this.networkOf[root];
    this.networkOf[c] = root;
    return root;
  }

  /** Whether carrier `to`, or its mate, lies downstream of `from`. */
  leadsTo(from: number, to: number): boolean {
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
    const most = by * 2 * this.map.endCapacities[this.speed[id]];
    const at = heading === 0 ? y : heading === 1 ? x + 1 : heading === 2 ? y + 1 : x;
    if (this.next[id] !== DEAD) this.cross(heading, at, by, most);
    if (this.kind[id] === UNDERPASS) {
      const tx = this.tail[id] % width;
      const ty = (this.tail[id] - tx) / width;
      const apart = Math.abs(tx - x) + Math.abs(ty - y);
      const step = heading === 0 || heading === 3 ? 1 : -1;
      for (let k = 1; k <= apart; k++) this.cross(heading, at + step * k, by, most);
    }
    if (this.kind[id] === SPLITTER_LEFT) {
      // Items may shift to either half, across the line between them.
      const mateTile = this.tail[this.mate[id]];
      const mateX = mateTile % width;
      const vertical = heading === 0 || heading === 2;
      const between = vertical ? Math.max(x, mateX) : Math.max(y, (mateTile - mateX) / width);
      this.cross(vertical ? 1 : 0, between, by, most);
      this.cross(vertical ? 3 : 2, between, by, most);
    }
  }

  private cross(way: number, line: number, by: number, most: number): void {
    this.crossings[way][line] += by;
    this.carried[way][line] += most;
  }
}
