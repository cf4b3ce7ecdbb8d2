/**
 * Every part that may come to stand on a plan's site when it is mended, as numbered placements with their prices: the
 * plan's own parts first, then these turned where they stand, then all that the catalog offers. Which of them
 * stand is a `MendState`; what a verdict depends on is in `mend-relevance.ts`, the search in `mend.ts`.
 */
import { backOf, boxHolds, HEADINGS, rightHalfOf, sameTile, stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import type { Kept } from '../../brief/brief.js';
import { workOf, type Work } from '../../catalog/catalog.js';
import { isWithin, TRACK_ROWS, tilesWithin } from '../../base/ground.js';
import { costOf, pickTile, placeTile, tilesApart, tilesOf, underpassHeading, type Layout, type Part } from '../../layout/layout.js';
import { back, indexOfHeading, type SiteMap } from '../site/site-map.js';

interface Placement {
  readonly part: Part;
  /** As `tileNumber` has it; of a splitter the left half first, of an underpass the entry. */
  readonly tiles: readonly number[];
  /** Quarter turns from N; of a chest 0. */
  readonly heading: number;
  /** What it costs to buy. */
  readonly cost: number;
}

export const NOTHING_KEPT: Kept = { boxes: [], tiles: [] };

export interface Universe {
  readonly layout: Layout;
  readonly map: SiteMap;
  readonly work: Work;
  /** The first `standing` are the plan's parts, in its order. */
  readonly placements: readonly Placement[];
  readonly standing: number;
  /** [placement]: the plan's part of which it is the turned one, or -1. */
  readonly turnOf: Int32Array;
  /** [tile]: placements that cover it. */
  readonly covering: readonly (readonly number[])[];
  /** [tile * 4 + heading]: carriers that pass into that tile along that heading. */
  readonly passingInto: readonly (readonly number[])[];
  /** [tile * 4 + heading]: carriers on that tile that take what comes along that heading. */
  readonly taking: readonly (readonly number[])[];
  /** [tile * 4 + heading]: carriers that leave that tile along that heading. */
  readonly leaving: readonly (readonly number[])[];
  /** [tile]: arms that place on it, and arms that pick from it. */
  readonly armsOnto: readonly (readonly number[])[];
  readonly armsFrom: readonly (readonly number[])[];
  /** 1 for a placement that may not change: a part that is kept, or one that would stand where nothing may change. */
  readonly fixed: Uint8Array;
}

/** Rows one after the other from the first one on; -1 outside of the site. */
export const tileNumber = ({ brief, top, width }: SiteMap, tile: Tile): number => (isWithin(brief.site, tile) ? (tile.y - top) * width + tile.x : -1);

/** Whether a wagon may come to stand there, if not where it is planned then within its spotting. */
export const mayHoldWagon = ({ y }: Tile): boolean => y < 0 && y >= -TRACK_ROWS;

/** What tells one placement from all others. */
export const keyOf = (part: Part): string => {
  const [at, other] = tilesOf(part);
  const ends = part.kind === 'underpass' ? `${at.x},${at.y},${other.x},${other.y}` : `${at.x},${at.y}`;
  const favour = part.kind === 'splitter' ? `${part.favourIn ?? ''}/${part.favourOut ?? ''}` : '';
  return `${part.kind} ${ends} ${'heading' in part ? part.heading : ''} ${part.model.name} ${favour}`;
};

/** The same part on the same tiles with another heading. */
function turned(part: Part): readonly Part[] {
  switch (part.kind) {
    case 'belt':
    case 'arm':
      return HEADINGS.filter((heading) => heading !== part.heading).map((heading) => ({ ...part, heading }));
    case 'splitter':
      // Turned about, its left half stands where its right one stood.
      return [{ ...part, at: rightHalfOf(part.at, part.heading), heading: backOf(part.heading) }];
    case 'underpass':
      return [{ ...part, from: part.to, to: part.from }];
    case 'chest':
      return [];
  }
}

function offered({ brief, arms, chests, belts, bodyBelts, splitters, underpasses, exitBelt }: SiteMap): readonly Part[] {
  const parts: Part[] = [];
  const entryBelt = (brief.load?.entries ?? []).map(({ belt }) => belts.findIndex(({ name }) => name === belt.name));
  const models = [...new Set([...bodyBelts, ...exitBelt, ...entryBelt])].sort((a, b) => a - b).map((m) => belts[m]);
  for (const at of tilesWithin(brief.site)) {
    for (const model of chests) parts.push({ kind: 'chest', at, model });
    for (const heading of HEADINGS) {
      for (const model of models) parts.push({ kind: 'belt', at, heading, model });
      for (const model of arms) parts.push({ kind: 'arm', at, heading, model });
      for (const model of splitters) parts.push({ kind: 'splitter', at, heading, model });
      for (const model of underpasses) {
        for (let apart = 1; apart <= model.span; apart++) parts.push({ kind: 'underpass', from: at, to: stepFrom(at, heading, apart), model });
      }
    }
  }
  return parts;
}

const headingOfPart = (part: Part): Heading => (part.kind === 'underpass' ? underpassHeading(part) : part.kind === 'chest' ? 'N' : part.heading);

const lists = (length: number): number[][] => Array.from({ length }, () => []);

/** All placements of a legal layout's site; `map` is of the same site, and knows exits and entries. */
export function mendUniverse(layout: Layout, map: SiteMap, kept: Kept = NOTHING_KEPT): Universe {
  const { tiles: tileCount } = map;
  const numberOf = (tile: Tile): number => tileNumber(map, tile);
  const turnOfPart = new Map(layout.parts.flatMap((part, index) => turned(part).map((other): readonly [string, number] => [keyOf(other), index])));
  const all = new Map<string, Part>();
  for (const part of [...layout.parts, ...layout.parts.flatMap(turned), ...offered(map)]) {
    const key = keyOf(part);
    if (!all.has(key) && tilesOf(part).every((tile) => numberOf(tile) >= 0 && map.keepOut[numberOf(tile)] === 0)) all.set(key, part);
  }
  const keys = [...all.keys()];
  const placements = [...all.values()].map(
    (part): Placement => ({ part, tiles: tilesOf(part).map(numberOf), heading: indexOfHeading(headingOfPart(part)), cost: costOf(part) }),
  );
  const covering = lists(tileCount);
  const passingInto = lists(tileCount * 4);
  const taking = lists(tileCount * 4);
  const leaving = lists(tileCount * 4);
  const armsOnto = lists(tileCount);
  const armsFrom = lists(tileCount);
  const fixed = new Uint8Array(placements.length);
  placements.forEach(({ part, tiles, heading }, id) => {
    for (const tile of tiles) covering[tile].push(id);
    const isPlans = id < layout.parts.length;
    const isKept = tilesOf(part).some((tile) => kept.boxes.some((box) => boxHolds(box, tile)) || (isPlans && kept.tiles.some((at) => sameTile(at, tile))));
    if (isKept) fixed[id] = 1;
    if (part.kind === 'arm') {
      const [onto, from] = [placeTile(part), pickTile(part)];
      if (numberOf(onto) >= 0) armsOnto[numberOf(onto)].push(id);
      if (numberOf(from) >= 0) armsFrom[numberOf(from)].push(id);
      return;
    }
    if (part.kind === 'chest') return;
    const tails = part.kind === 'underpass' ? tiles.slice(0, 1) : tiles;
    const heads = part.kind === 'underpass' ? tiles.slice(1) : tiles;
    for (const head of heads) {
      leaving[head * 4 + heading].push(id);
      const front = map.neighbour[head * 4 + heading];
      if (front >= 0) passingInto[front * 4 + heading].push(id);
    }
    for (const tail of tails) {
      for (let way = 0; way < 4; way++) {
        if (way === heading || (part.kind === 'belt' && way !== back(heading))) taking[tail * 4 + way].push(id);
      }
    }
  });
  const turnOf = Int32Array.from(keys, (key, id) => (id < layout.parts.length ? -1 : (turnOfPart.get(key) ?? -1)));
  return { layout, map, work: workOf(layout.catalog), placements, standing: layout.parts.length, turnOf, covering, passingInto, taking, leaving, armsOnto, armsFrom, fixed };
}

/** What turning one of the plan's parts costs: never more than to take it away and to buy it anew. */
export const turnPrice = ({ work, placements }: Universe, id: number): number => Math.min(work.turn, work.remove + placements[id].cost);

const NOBODY = -1;
const NONE: readonly number[] = [];

/** Which placements stand, which of all may still change, and what the changes cost. */
export class MendState {
  /** 1 for a placement that stands. */
  readonly stands: Uint8Array;
  /** 1 for a placement that stays as it is, standing or not, in all that comes of this state. */
  readonly settled: Uint8Array;
  readonly occupant: Int32Array;
  price = 0;
  private readonly underpasses = new Set<number>();

  constructor(readonly universe: Universe) {
    const { placements, standing, map, fixed } = universe;
    this.stands = new Uint8Array(placements.length);
    this.settled = fixed.slice();
    this.occupant = new Int32Array(map.tiles).fill(NOBODY);
    for (let id = 0; id < standing; id++) this.enter(id);
  }

  /** Another one like it, to be changed by itself. */
  copy(): MendState {
    const other = new MendState(this.universe);
    other.stands.set(this.stands);
    other.settled.set(this.settled);
    other.occupant.set(this.occupant);
    other.price = this.price;
    other.underpasses.clear();
    for (const id of this.underpasses) other.underpasses.add(id);
    return other;
  }

  private enter(id: number): void {
    const { tiles, part } = this.universe.placements[id];
    this.stands[id] = 1;
    for (const tile of tiles) this.occupant[tile] = id;
    if (part.kind === 'underpass') this.underpasses.add(id);
  }

  private leave(id: number): void {
    this.stands[id] = 0;
    for (const tile of this.universe.placements[id].tiles) this.occupant[tile] = NOBODY;
    this.underpasses.delete(id);
  }

  /** The parts that can't stand together with this placement. */
  inTheWayOf(id: number): readonly number[] {
    const { placements } = this.universe;
    const { tiles, part } = placements[id];
    const found: number[] = [];
    for (const tile of tiles) {
      const other = this.occupant[tile];
      if (other !== NOBODY && !found.includes(other)) found.push(other);
    }
    if (part.kind !== 'underpass') return found.length === 0 ? NONE : found;
    for (const other of this.underpasses) if (!found.includes(other) && crosses(part, placements[other].part)) found.push(other);
    return found;
  }

  /** What it costs more to change this placement; Infinity where it can't be changed any more. */
  priceOf(id: number): number {
    if (this.settled[id] === 1) return Infinity;
    const { universe } = this;
    const { standing, turnOf, placements, work } = universe;
    if (this.stands[id] === 1) return work.remove;
    const turns = turnOf[id];
    const inTheWay = this.inTheWayOf(id);
    // What was added is settled, so what may be taken away is the plan's.
    if (inTheWay.some((other) => other >= standing || this.settled[other] === 1)) return Infinity;
    if (turns >= 0 && this.stands[turns] === 1) return turnPrice(universe, turns) + (inTheWay.length - 1) * work.remove;
    const own = turns >= 0 ? turnPrice(universe, turns) - work.remove : placements[id].cost;
    return own + inTheWay.length * work.remove;
  }

  /** Takes the part away, or puts it there in place of all that is in its way; it stays so. */
  change(id: number): void {
    this.price += this.priceOf(id);
    if (this.stands[id] === 1) this.leave(id);
    else {
      for (const other of this.inTheWayOf(id)) {
        this.leave(other);
        this.settled[other] = 1;
      }
      this.enter(id);
    }
    this.settled[id] = 1;
  }

  settle(id: number): void {
    this.settled[id] = 1;
  }

  /** The placements that stand: the plan's parts in its order, then what was added. */
  get standing(): readonly number[] {
    const ids: number[] = [];
    this.stands.forEach((stands, id) => {
      if (stands === 1) ids.push(id);
    });
    return ids;
  }
}

export const layoutOf = ({ layout, placements }: Universe, standing: readonly number[]): Layout => ({
  ...layout,
  parts: standing.map((id) => placements[id].part),
});

/** Whether an end of one of two underpasses of one heading and line lies between the ends of the other. */
function crosses(a: Part, b: Part): boolean {
  if (a.kind !== 'underpass' || b.kind !== 'underpass') return false;
  const heading = underpassHeading(a);
  if (heading !== underpassHeading(b)) return false;
  const along = heading === 'N' || heading === 'S' ? ('y' as const) : ('x' as const);
  const across = along === 'y' ? 'x' : 'y';
  if (a.from[across] !== b.from[across]) return false;
  const lowest = (part: typeof a): number => Math.min(part.from[along], part.to[along]);
  return lowest(a) < lowest(b) + tilesApart(b) && lowest(b) < lowest(a) + tilesApart(a);
}
