/**
 * Where ways of entries may meet. Up to the first tile from which an arm may pick, all that an entry is to give passes along
 * its way. So where ways meet before that, it has to get through one belt, and what comes from a side through one lane of it
 * (world rules, section 2); and into a packed way it never gets (`held-up.ts`).
 *
 * That a lane lets no more through than its speed by the pitch P asks that each item, until an arm takes it or it leaves for
 * another lane, has come a pitch beyond where others join: else the next one follows it closer than that. What joins does so
 * at 3U/4 and what is left of its move at the furthest, so this holds up to P = U/4 where the way goes on beyond the tile's
 * end, as it does for two entries; above that nothing is said. Of several ways, where two meet they may run into the side of
 * a third, which ends what is ahead. And on a turn shorter than P the speed of what feeds it counts (`rate-model.ts`).
 */
import { backOf, sameTile, stepFrom } from '../../base/geometry.js';
import { tilesOf, type Part, type PlacedBelt, type PlacedEntry } from '../../layout/layout.js';
import { plainWay, type Ways } from './held-up.js';
import { wantedOf } from './loading-groups.js';
import type { LoadingSite } from './loading-site.js';

/** A forest's carriers by tile, as far as they are laid. */
export interface LaidWays extends Ways {
  /** The tile onto which a carrier's end leads; -1: none so far. */
  readonly onward: (tile: number) => number;
}

/** A way from an entry's edge up to where an arm may pick from it, it is parted, or is not laid yet: each tile onto which it leads, and from where (-1: the edge). */
type BareWay = readonly { readonly from: number; readonly tile: number }[];

export class MeetingPlaces {
  /** Whether anything is said at all. */
  private readonly isClose: boolean;

  constructor(private readonly site: LoadingSite) {
    const { pitch, unitsPerTile } = site.brief.catalog;
    this.isClose = 4 * pitch <= unitsPerTile;
  }

  mayBePicked(part: Part): boolean {
    return tilesOf(part).some((tile) => this.site.picks[this.site.indexOf(tile)].length > 0);
  }

  /** Whether ways of two entries, without splitters, may meet only where an arm may have picked from one of them. */
  mustBePickedFirst(a: number, b: number): boolean {
    if (!this.isClose) return false;
    const { entryWanted, job, laneRate, underpasses } = this.site;
    const [speed, ...others] = [job.entries[a].belt, job.entries[b].belt, ...underpasses].map((model) => model.speed);
    const lane = Math.max(laneRate(speed), laneRate(others[0]));
    if (wantedOf([a, b], this.site) > 2 * lane) return true;
    // One comes from a side at least, and where nothing is slower or faster, the other one would come packed from behind.
    const isEven = others.every((other) => other === speed);
    const [less, more] = [entryWanted[a], entryWanted[b]].sort((one, other) => one - other);
    return less > 0 && (isEven ? more : less) > lane;
  }

  /** Ends with the tile from which an arm may pick, if there is one. */
  private bareWay(entry: PlacedEntry, { partAt, onward }: LaidWays): BareWay {
    const { indexOf } = this.site;
    const way: { from: number; tile: number }[] = [];
    let [from, tile] = [-1, indexOf(entry.at)];
    while (tile >= 0) {
      const part = partAt(tile);
      if (part === undefined || part.kind === 'splitter') break;
      way.push({ from, tile });
      if (this.mayBePicked(part)) break;
      const tiles = tilesOf(part);
      from = indexOf(tiles[tiles.length - 1]);
      tile = onward(from);
    }
    return way;
  }

  private isBehind(from: number, { at, heading }: PlacedBelt): boolean {
    return from < 0 || sameTile(this.site.tileAt(from), stepFrom(at, backOf(heading)));
  }

  /** Whether one way alone leads onto a tile, packed from its edge on, so that nothing else gets in from a side. */
  private isPacked(tile: number, through: number, part: PlacedBelt, ways: LaidWays): boolean {
    return plainWay(tile, through, part.model.speed, ways, this.site)?.every((each) => this.site.picks[each].length === 0) === true;
  }

  /**
   * Whether as much may come to where arms may pick as is wanted, over each of these entries. Holds once no more of their ways
   * are to meet; `placed`: where they come in.
   */
  letThrough(entries: readonly number[], placed: readonly PlacedEntry[], ways: LaidWays): boolean {
    if (!this.isClose) return true;
    const { site } = this;
    const over = new Map<string, { readonly most: number; readonly entries: number[] }>();
    for (const entry of entries) {
      for (const { from, tile } of this.bareWay(placed[entry], ways)) {
        const part = ways.partAt(tile);
        if (part?.kind !== 'belt' || this.mayBePicked(part)) continue;
        const feeders = [ways.from(tile), ...ways.joins.filter(([, onto]) => onto === tile).map(([feeder]) => feeder)];
        const lane = feeders.length > 1 ? this.joinedLane(part, entries.length) : site.laneRate(part.model.speed);
        if (feeders.length > 1 && !this.isBehind(from, part)) {
          const through = feeders.find((feeder) => this.isBehind(feeder, part));
          if (site.entryWanted[entry] > 0 && through !== undefined && this.isPacked(tile, through, part, ways)) return false;
          add(over, `${from} ${tile}`, lane, entry);
        }
        add(over, `${tile}`, 2 * lane, entry);
      }
    }
    return [...over.values()].every(({ most, entries: all }) => wantedOf(all, site) <= most);
  }

  /** What a lane of a belt where ways of some of so many entries meet passes on at most. */
  private joinedLane({ model: { speed } }: PlacedBelt, entries: number): number {
    return entries > 2 ? this.site.endRate(speed) : this.site.laneRate(speed);
  }

  /**
   * By tile: whether one more entry may join ways of these there, as the last, if no arm may pick from what it brings before.
   */
  mayMeet(entry: number, others: readonly number[], placed: readonly PlacedEntry[], ways: LaidWays): (tile: number) => boolean {
    if (!this.isClose) return () => true;
    const { site } = this;
    const over = new Map<number, { readonly from: number; readonly entries: number[] }>();
    for (const other of others) {
      for (const { from, tile } of this.bareWay(placed[other], ways)) {
        const there = over.get(tile);
        if (there === undefined) over.set(tile, { from, entries: [other] });
        else there.entries.push(other);
      }
    }
    return (tile) => {
      const there = over.get(tile);
      const part = ways.partAt(tile);
      if (there === undefined || part?.kind !== 'belt' || this.mayBePicked(part)) return true;
      const lane = this.joinedLane(part, others.length + 1);
      if (wantedOf([...there.entries, entry], site) > 2 * lane) return false;
      if (ways.joins.some(([, onto]) => onto === tile)) return true;
      // Where a way turns, what was there comes from a side then, whichever way the other one comes.
      if (!this.isBehind(there.from, part)) return wantedOf(there.entries, site) <= lane;
      return wantedOf([entry], site) <= lane && !(site.entryWanted[entry] > 0 && this.isPacked(tile, there.from, part, ways));
    };
  }
}

function add(over: Map<string, { readonly most: number; readonly entries: number[] }>, key: string, most: number, entry: number): void {
  const there = over.get(key);
  if (there === undefined) over.set(key, { most, entries: [entry] });
  else there.entries.push(entry);
}
