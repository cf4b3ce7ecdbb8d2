/** Forests of carriers that are whole, and over which entries comes what comes to each of their tiles. */
import { tilesOf, type Part, type PlacedEntry } from '../../layout/layout.js';
import { endNowhere } from './carrier-ends.js';
import { outletsOf, type Outlet } from './held-up.js';
import type { LaidForest } from './laid-forest.js';
import type { Grouping } from './loading-groups.js';
import type { LoadingSite } from './loading-site.js';

export interface Forest {
  readonly parts: readonly Part[];
  readonly entries: readonly PlacedEntry[];
  readonly grouping: Grouping;
  /** Tiles that carriers stand on. */
  readonly taken: ReadonlySet<number>;
  /** Of a tile that is taken: over which entries what comes to it comes in. */
  readonly entriesAt: (tile: number) => readonly number[];
  /** Where carriers lead nowhere: an arm has to pick from one tile of each. */
  readonly leaves: readonly { readonly tiles: readonly number[]; readonly group: number }[];
  /** Where items of some entry may never get in (`held-up.ts`). */
  readonly outlets: readonly Outlet[];
  /** Where ways meet: from which tile (-1: an edge) onto which. */
  readonly joins: readonly (readonly [number, number])[];
  /** Of carriers alone. */
  readonly price: number;
}

/** By tile: over which entries what comes to it comes in. */
type Coming = ReadonlyMap<number, readonly number[]>;

/** What is laid, if no end faces carriers that would take its items, and each belt is of the model of an entry whose items come over it; valid until the next move. */
export function forestOf(laid: LaidForest, site: LoadingSite): Forest | undefined {
  const { parts, entries, grouping, leaves, joins, price } = laid;
  if (!endNowhere(leaves.map(({ at, heading }) => ({ at: site.tileAt(at), heading })), parts)) return undefined;
  const taken = new Set(parts.flatMap((part) => tilesOf(part).map(site.indexOf)));
  const coming = joins.length === 0 ? undefined : comingOf(taken, laid, site);
  if (coming !== undefined && !beltsAreTheirs(coming, laid, site)) return undefined;
  const entriesAt = (tile: number): readonly number[] => coming?.get(tile) ?? [laid.entryAt(tile) ?? 0];
  return { parts, entries, grouping, taken, entriesAt, leaves, outlets: coming === undefined ? [] : outletsIn(coming, taken, laid, site), joins, price };
}

function comingOf(taken: ReadonlySet<number>, { from, joins, entries, partAt }: LaidForest, { indexOf }: LoadingSite): Coming {
  const onward = new Map<number, number[]>();
  const lead = (behind: number, to: number): void => {
    onward.set(behind, [...(onward.get(behind) ?? []), to]);
  };
  for (const tile of taken) lead(from(tile), tile);
  for (const [behind, onto] of joins) lead(behind, onto);
  const coming = new Map<number, number[]>([...taken].map((tile) => [tile, []]));
  entries.forEach(({ at }, entry) => {
    const ways = [indexOf(at)];
    for (const tile of ways) {
      const part = partAt(tile);
      // Of a splitter that is joined, both halves pass on what comes to one.
      for (const each of part === undefined ? [] : tilesOf(part).map(indexOf)) {
        if (coming.get(each)?.at(-1) === entry) continue;
        coming.get(each)?.push(entry);
        ways.push(...(onward.get(each) ?? []));
      }
    }
  });
  return coming;
}

function beltsAreTheirs(coming: Coming, { partAt }: LaidForest, { job: { entries } }: LoadingSite): boolean {
  if (entries.every(({ belt }) => belt === entries[0].belt)) return true;
  return [...coming].every(([tile, comes]) => {
    const part = partAt(tile);
    return part?.kind !== 'belt' || comes.some((entry) => entries[entry].belt === part.model);
  });
}

function outletsIn(coming: Coming, taken: ReadonlySet<number>, laid: LaidForest, site: LoadingSite): readonly Outlet[] {
  const comes = (entry: number, tile: number): boolean => coming.get(tile)?.includes(entry) === true;
  return outletsOf(laid, (onto, sides) => {
    const beyond = tilesBeyond(onto, taken, laid, site);
    const held = [...site.entryWanted.keys()].filter((entry) => site.entryWanted[entry] > 0 && sides.some((side) => comes(entry, side)));
    return held.map((entry) => ({ wanted: site.entryWanted[entry], has: (tile) => comes(entry, tile) && !beyond.has(tile) }));
  }, site, site.brief.catalog.unitsPerTile);
}

/** A tile and all that what comes onto it comes to. */
function tilesBeyond(tile: number, taken: ReadonlySet<number>, { partAt, from, joins }: LaidForest, { indexOf }: LoadingSite): ReadonlySet<number> {
  const found = new Set([tile]);
  for (const each of found) {
    const part = partAt(each);
    for (const other of part === undefined ? [] : tilesOf(part)) found.add(indexOf(other));
    for (const next of taken) if (from(next) === each) found.add(next);
    for (const [behind, onto] of joins) if (behind === each) found.add(onto);
  }
  return found;
}
