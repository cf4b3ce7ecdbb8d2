/**
 * Every tree of carriers that leads on from the entries of a loading brief, up to a price: each once, by deciding for one
 * open end after the other whether it ends there or what comes next. Who picks from it is in `loading-crews.ts`.
 */
import { leftOf, rightOf, stepFrom, backOf, type Heading } from '../../base/geometry.js';
import { borderTile } from '../../base/ground.js';
import { wagonAt, type Part, type PlacedEntry } from '../../layout/layout.js';
import type { EntryDemand } from '../../brief/load-job.js';
import { Room } from './loading-room.js';
import type { LoadingSite } from './loading-site.js';

/** The end of a carrier that leads nowhere: tiles of it from which an arm may pick, one of which has to be. */
export interface Leaf {
  readonly tiles: readonly number[];
  readonly heading: Heading;
  readonly entry: number;
}

export interface Forest {
  readonly parts: readonly Part[];
  readonly entries: readonly PlacedEntry[];
  /** Tiles that carriers stand on. */
  readonly taken: ReadonlySet<number>;
  /** By tile that is taken: over which entry what comes to it comes in. */
  readonly entryOf: ReadonlyMap<number, number>;
  readonly leaves: readonly Leaf[];
  /** Of carriers alone. */
  readonly price: number;
}

/** An end that is still to be decided. */
interface OpenEnd {
  readonly at: number;
  readonly tiles: readonly number[];
  readonly heading: Heading;
}

/** Where a belt may come in, heading inward. */
export function placesOf(site: Pick<LoadingSite, 'indexOf' | 'isOpen' | 'brief'>, { edge, from, to }: EntryDemand): readonly PlacedEntry[] {
  const heading = backOf(edge);
  return Array.from({ length: to - from + 1 }, (_, index) => borderTile(site.brief.site, edge, from + index))
    .filter((at) => site.indexOf(at) >= 0 && site.isOpen(site.indexOf(at)) && wagonAt(site.brief.wagons, stepFrom(at, edge)) === undefined)
    .map((at) => ({ at, heading, give: undefined }));
}

export class Trees {
  /** Least price above the asked one at which there may be more. */
  next = Infinity;
  private readonly parts: Part[] = [];
  private readonly entries: PlacedEntry[] = [];
  private readonly taken = new Set<number>();
  private readonly entryOf = new Map<number, number>();
  private readonly leaves: Leaf[] = [];
  private price = 0;

  /** By entry: the belts of those after it. */
  private readonly laterPrices: readonly number[];
  /** By entry: leaves that its tree has, or will have at least. */
  private readonly leavesOf: number[];
  private readonly room: Room;

  /** `crewPrice`: what arms and chests cost at least, if the trees of the entries have so many leaves. */
  constructor(
    private readonly site: LoadingSite,
    private readonly crewPrice: (leaves: readonly number[]) => number,
  ) {
    this.room = new Room(site);
    this.leavesOf = site.job.entries.map(() => 1);
    const prices = site.job.entries.map(({ belt }) => site.priceOf(belt));
    this.laterPrices = prices.map((_, entry) => prices.slice(entry + 1).reduce((sum, price) => sum + price, 0));
  }

  private mayBePicked(tiles: readonly number[]): boolean {
    return this.site.picks[tiles[0]].length > 0 || (tiles.length > 1 && this.site.picks[tiles[1]].length > 0);
  }

  /** All of them whose carriers, with the least crew, cost no more than `most`. The forest handed out is valid until the next one. */
  *upTo(most: number): Generator<Forest, void> {
    this.next = Infinity;
    yield* this.enter(0, most);
  }

  private *enter(entry: number, most: number): Generator<Forest, void> {
    const { site } = this;
    if (entry === site.job.entries.length) {
      if (!endNowhere(site, this.leaves, this.parts)) return;
      yield { parts: this.parts, entries: this.entries, taken: this.taken, entryOf: this.entryOf, leaves: this.leaves, price: this.price };
      return;
    }
    const demand = site.job.entries[entry];
    for (const place of placesOf(site, demand)) {
      const tile = site.indexOf(place.at);
      if (this.taken.has(tile)) continue;
      this.entries.push(place);
      yield* this.put({ kind: 'belt', at: place.at, heading: place.heading, model: demand.belt }, [tile], [{ at: tile, tiles: [tile], heading: place.heading }], [], entry, most);
      this.entries.pop();
    }
    this.leavesOf[entry] = 1;
  }

  /** Puts a part down, with the ends that it adds to those that are open, and goes on. */
  private *put(part: Part, tiles: readonly number[], ends: readonly OpenEnd[], open: readonly OpenEnd[], entry: number, most: number): Generator<Forest, void> {
    const { site } = this;
    const price = site.priceOf(part.model) * (part.kind === 'underpass' ? 2 : 1);
    this.parts.push(part);
    for (const tile of tiles) {
      this.taken.add(tile);
      this.entryOf.set(tile, entry);
    }
    this.price += price;
    if (!this.room.isAsked(tiles) || this.room.isLeft(this.taken)) yield* this.decide([...open, ...ends], entry, most);
    this.price -= price;
    for (const tile of tiles) {
      this.taken.delete(tile);
      this.entryOf.delete(tile);
    }
    this.parts.pop();
  }

  /** What any forest costs at least that has this one's parts and leads on from these ends. */
  private least(open: readonly OpenEnd[], entry: number): number {
    const { site, laterPrices } = this;
    let ways = 0;
    for (const { at, tiles } of open) if (!this.mayBePicked(tiles)) ways += site.wayLeft[at];
    const { leavesOf } = this;
    leavesOf[entry] = open.length;
    for (const leaf of this.leaves) if (leaf.entry === entry) leavesOf[entry]++;
    return this.price + ways + laterPrices[entry] + this.crewPrice(leavesOf);
  }

  private *decide(open: readonly OpenEnd[], entry: number, most: number): Generator<Forest, void> {
    const { site } = this;
    const least = this.least(open, entry);
    if (least > most) {
      this.next = Math.min(this.next, least);
      return;
    }
    const end = open.at(-1);
    if (end === undefined) {
      yield* this.enter(entry + 1, most);
      return;
    }
    const rest = open.slice(0, -1);
    const { heading } = end;
    if (this.mayBePicked(end.tiles)) {
      this.leaves.push({ tiles: end.tiles, heading, entry });
      yield* this.decide(rest, entry, most);
      this.leaves.pop();
    }
    const here = site.tileAt(end.at);
    const ahead = stepFrom(here, heading);
    const tile = site.indexOf(ahead);
    if (tile < 0 || !this.isFree(tile)) return;
    for (const turned of [heading, leftOf(heading), rightOf(heading)]) {
      const { belt: model } = site.job.entries[entry];
      yield* this.put({ kind: 'belt', at: ahead, heading: turned, model }, [tile], [{ at: tile, tiles: [tile], heading: turned }], rest, entry, most);
    }
    for (const model of site.underpasses) {
      for (let apart = 1; apart <= model.span; apart++) {
        const to = stepFrom(ahead, heading, apart);
        const last = site.indexOf(to);
        if (last < 0) break;
        if (!this.isFree(last)) continue;
        yield* this.put({ kind: 'underpass', from: ahead, to, model }, [tile, last], [{ at: last, tiles: [tile, last], heading }], rest, entry, most);
      }
    }
    for (const model of site.splitters) {
      for (const left of [ahead, stepFrom(ahead, leftOf(heading))]) {
        const right = stepFrom(left, rightOf(heading));
        const halves = [site.indexOf(left), site.indexOf(right)];
        if (halves.some((half) => half < 0 || !this.isFree(half))) continue;
        const ends = halves.map((half): OpenEnd => ({ at: half, tiles: [half], heading }));
        yield* this.put({ kind: 'splitter', at: left, heading, model }, halves, ends, rest, entry, most);
      }
    }
  }

  private isFree(tile: number): boolean {
    return this.site.isOpen(tile) && !this.taken.has(tile);
  }
}

/** Whether no end that is to lead nowhere faces a carrier that would take its items: then entries have trees of their own. */
export function endNowhere({ tileAt }: Pick<LoadingSite, 'tileAt'>, leaves: readonly Omit<Leaf, 'entry'>[], parts: readonly Part[]): boolean {
  return leaves.every(({ tiles, heading }) => {
    const last = tileAt(tiles[tiles.length - 1]);
    const ahead = stepFrom(last, heading);
    return parts.every((part) => {
      switch (part.kind) {
        case 'belt':
          return part.at.x !== ahead.x || part.at.y !== ahead.y || part.heading === backOf(heading);
        case 'splitter': {
          const right = stepFrom(part.at, rightOf(part.heading));
          const isThere = (part.at.x === ahead.x && part.at.y === ahead.y) || (right.x === ahead.x && right.y === ahead.y);
          return !isThere || part.heading !== heading;
        }
        case 'underpass': {
          const enters = part.from.x === ahead.x && part.from.y === ahead.y;
          const along = Math.sign(part.to.x - part.from.x) === ahead.x - last.x && Math.sign(part.to.y - part.from.y) === ahead.y - last.y;
          return !enters || !along;
        }
        default:
          return true;
      }
    });
  });
}
