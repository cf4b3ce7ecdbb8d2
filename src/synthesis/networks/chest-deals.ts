/**
 * What load arms bring at the most, wherever they stand: they are dealt out to chests, each of which gives no more than what
 * fills it and than its own arms take; and so many of them at most drop on a splitter. The sums over all arms that a bill
 * rests on forget this: of seven arms one has a chest to itself if there are four chests, and leaves some of it there.
 * How often networks draw from chests is in `chest-shares.ts`.
 */
import { sum, type Bill, type Counts } from '../site/bill.js';
import type { Candidates } from '../site/candidates.js';
import type { SiteMap } from '../site/site-map.js';
import { partsOf } from '../bills/unsplit.js';
import { mostSupplyOfChest } from './chest-shares.js';

type Rates = Pick<SiteMap, 'bestLane' | 'lineGain' | 'fillRates'>;
/** Load arms, and the chests that all but those fed directly draw from, each from one and none left out. */
type Dealt = Pick<Bill, 'chests' | 'loads' | 'splitters'>;

/** How many arms can be where, at the most. */
export interface ChestRoom {
  readonly loadsOfChest: number;
  /** On the two tiles of a splitter. */
  readonly dropsOfSplitter: number;
  /** Scaled: what all arms bring together that fill one chest. */
  readonly supplyOfChest: number;
  /** Whether arms may draw from wagons too, or from chests that are given. */
  readonly mayBeDirect: boolean;
}

/** There are too many ways of dealing out more; of these nothing is said. */
const MOST_WAYS = 2_000_000;

const less = (counts: Counts, some: Counts): Counts => counts.map((n, m) => n - some[m]);

export class ChestDeals {
  private readonly known = new Map<string, number>();

  constructor(
    private readonly rates: Rates,
    private readonly room: ChestRoom,
  ) {}

  /** Scaled; -Infinity where they can't be dealt out. `fills`: all that fill chests, at least one for each; left out: as many as fit. */
  mostBrought({ chests, loads, splitters }: Dealt, fills?: Counts): number {
    const lines = Math.min(sum(loads), this.room.dropsOfSplitter * sum(splitters));
    const ways = (of: Counts): number => of.reduce((product, n) => product * (n + 1), 1);
    if ((ways(loads) * ways(fills ?? [])) ** 2 * (chests + 1) * (lines + 1) > MOST_WAYS) return Infinity;
    let most = -Infinity;
    for (const direct of this.room.mayBeDirect ? partsOf(loads) : [loads.map(() => 0)]) {
      for (let some = 0; some <= Math.min(lines, sum(direct)); some++) {
        most = Math.max(most, this.taken(direct, some) + this.fromChests(chests, less(loads, direct), fills, lines - some));
      }
    }
    return most;
  }

  private fromChests(chests: number, loads: Counts, fills: Counts | undefined, lines: number): number {
    if (chests === 0) return sum(loads) === 0 ? 0 : -Infinity;
    const key = `${chests}|${loads.join()}|${fills?.join() ?? ''}|${lines}`;
    const known = this.known.get(key);
    if (known !== undefined) return known;
    const { loadsOfChest, supplyOfChest } = this.room;
    let most = -Infinity;
    for (const someLoads of chests === 1 ? [loads] : partsOf(loads)) {
      if (sum(someLoads) === 0 || sum(someLoads) > loadsOfChest) continue;
      for (const someFills of fills === undefined ? [undefined] : chests === 1 ? [fills] : partsOf(fills)) {
        if (someFills !== undefined && sum(someFills) === 0) continue;
        const supply = someFills === undefined ? supplyOfChest : Math.min(supplyOfChest, this.filled(someFills));
        for (let some = 0; some <= Math.min(lines, sum(someLoads)); some++) {
          const given = Math.min(supply, this.taken(someLoads, some));
          const others = this.fromChests(chests - 1, less(loads, someLoads), fills === undefined || someFills === undefined ? undefined : less(fills, someFills), lines - some);
          most = Math.max(most, given + others);
          if (given === supply) break;
        }
      }
    }
    this.known.set(key, most);
    return most;
  }

  private filled(fills: Counts): number {
    return fills.reduce((total, n, m) => total + n * this.rates.fillRates[m], 0);
  }

  /** What these arms take, so many of them at dividing lines: those to which that adds most. */
  private taken(loads: Counts, lines: number): number {
    const { bestLane, lineGain } = this.rates;
    const gains = loads.flatMap((n, m) => new Array<number>(n).fill(lineGain[m])).sort((a, b) => b - a);
    return loads.reduce((total, n, m) => total + n * bestLane[m], 0) + sum(gains.slice(0, lines));
  }
}

export function chestRoom(map: SiteMap, spots: Candidates): ChestRoom {
  const { neighbour } = map;
  const tilesOf = new Map<number, Set<number>>();
  const dropsOn = new Map<number, Set<number>>();
  const note = (all: Map<number, Set<number>>, at: number, tile: number): void => {
    all.set(at, (all.get(at) ?? new Set<number>()).add(tile));
  };
  for (const { chestTile, tile, target } of spots.loads) {
    if (chestTile >= 0) note(tilesOf, chestTile, tile);
    note(dropsOn, target, tile);
  }
  // Each arm stands on a tile of its own, and none on a splitter's.
  const dropsOnBoth = (a: number, b: number): number => new Set([...(dropsOn.get(a) ?? []), ...(dropsOn.get(b) ?? [])].filter((tile) => tile !== a && tile !== b)).size;
  let dropsOfSplitter = 0;
  for (const tile of dropsOn.keys()) {
    for (let heading = 0; heading < 4; heading++) {
      const beside = neighbour[tile * 4 + heading];
      if (beside >= 0) dropsOfSplitter = Math.max(dropsOfSplitter, dropsOnBoth(tile, beside));
    }
  }
  return {
    loadsOfChest: Math.max(0, ...[...tilesOf.values()].map((tiles) => tiles.size)),
    dropsOfSplitter,
    supplyOfChest: mostSupplyOfChest(map, spots),
    mayBeDirect: spots.loads.some(({ chestTile }) => chestTile < 0),
  };
}
