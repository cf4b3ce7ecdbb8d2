/**
 * Which entries a station joins: every way of dealing them out to groups. The carriers of one group are joined to one tree,
 * those of two groups have nothing in common. Each such choice is searched by itself (`loading-trees.ts`), so that of entries
 * that stay apart is known what is known of any tree without merges.
 */
import type { LoadingSite } from './loading-site.js';

export interface Group {
  /** In rising order. */
  readonly entries: readonly number[];
  /** What arms at its carriers are to take in all. */
  readonly wanted: number;
}

export interface Grouping {
  readonly groups: readonly Group[];
  readonly groupOf: readonly number[];
}

type Asked = Pick<LoadingSite, 'entryWanted' | 'brief'>;

/** Of several flows each of which is to be exceeded, the sum need be by one unit only. */
function wantedOf(entries: readonly number[], { entryWanted, brief }: Asked): number {
  const all = entries.map((entry) => entryWanted[entry]).filter((wanted) => wanted > 0);
  const sum = all.reduce((total, wanted) => total + wanted, 0);
  return brief.exceed === true && all.length > 0 ? sum - (all.length - 1) : sum;
}

/** All ways of dealing out the entries from one on, after those that have been. */
function* dealt(count: number, lists: readonly (readonly number[])[], entry: number): Generator<readonly (readonly number[])[], void> {
  if (entry === count) {
    yield lists;
    return;
  }
  yield* dealt(count, [...lists, [entry]], entry + 1);
  for (let index = 0; index < lists.length; index++) yield* dealt(count, lists.with(index, [...lists[index], entry]), entry + 1);
}

/** First that in which none is joined. */
export function* groupingsOf(site: Asked): Generator<Grouping, void> {
  const { entryWanted } = site;
  for (const lists of dealt(entryWanted.length, [], 0)) {
    yield {
      groups: lists.map((entries) => ({ entries, wanted: wantedOf(entries, site) })),
      groupOf: entryWanted.map((_, entry) => lists.findIndex((entries) => entries.includes(entry))),
    };
  }
}
