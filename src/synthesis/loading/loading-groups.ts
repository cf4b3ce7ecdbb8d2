/**
 * Which entries a station joins: every way of dealing them out to groups that may pay. The carriers of one group are joined
 * to one tree, those of two groups have nothing in common. Each such choice is searched by itself (`loading-trees.ts`), so
 * that of entries that stay apart is known what is known of any tree without merges.
 *
 * Entries of which the brief says the same are alike: a station stays what it is when they change names. So each choice is
 * met once, whichever of them are meant, and their places are in order (`earlierOf`).
 */
import type { EntryDemand } from '../../brief/load-job.js';
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

type Asked = Pick<LoadingSite, 'entryWanted' | 'brief' | 'job'>;

/** Of several flows each of which is to be exceeded, the sum need be by one unit only. */
export function wantedOf(entries: readonly number[], { entryWanted, brief }: Pick<Asked, 'entryWanted' | 'brief'>): number {
  const all = entries.map((entry) => entryWanted[entry]).filter((wanted) => wanted > 0);
  const sum = all.reduce((total, wanted) => total + wanted, 0);
  return brief.exceed === true && all.length > 0 ? sum - (all.length - 1) : sum;
}

const areAlike = (a: EntryDemand, b: EntryDemand): boolean => a.edge === b.edge && a.from === b.from && a.to === b.to && a.belt === b.belt && a.target.equals(b.target);

/** By entry: the first that is like it. */
const kindsOf = ({ entries }: Asked['job']): readonly number[] => entries.map((entry) => entries.findIndex((other) => areAlike(entry, other)));

/** That of groups which have these entries. */
export function groupingOf(lists: readonly (readonly number[])[], site: Asked): Grouping {
  const groups = lists.map((list): Group => {
    const entries = [...list].sort((a, b) => a - b);
    return { entries, wanted: wantedOf(entries, site) };
  });
  return { groups, groupOf: site.entryWanted.map((_, entry) => groups.findIndex(({ entries }) => entries.includes(entry))) };
}

/** That in which all are joined. */
export const allJoined = (site: Asked): Grouping => groupingOf([[...site.entryWanted.keys()]], site);

/** Where some entries are dealt out: groups that have these for sure, and may have any of the others; they want no more than whatever comes of them. */
const begun = (lists: readonly (readonly number[])[], others: readonly number[], site: Asked): readonly Group[] =>
  lists.map((entries) => ({ entries: [...entries, ...others], wanted: wantedOf(entries, site) }));

/**
 * First that in which none is joined. `mayPay`: whether groups may be of use that have at least what these want, where each
 * entry that a group may have is among its own. Yields undefined where that cuts some off, so that others may have their turn.
 *
 * Kinds are dealt one after the other. Groups stand in the order of their first kind, then by how many they have of each,
 * more first; the entries of a kind go to them in rising order. So what differs by names alone is met once.
 */
export function* groupingsOf(site: Asked, mayPay: (groups: readonly Group[]) => boolean): Generator<Grouping | undefined, void> {
  const kindOf = kindsOf(site.job);
  const order = [...kindOf.keys()].sort((a, b) => kindOf[a] - kindOf[b] || a - b);
  const countOf = (list: readonly number[], kind: number): number => list.filter((entry) => kindOf[entry] === kind).length;
  const kinds = [...new Set(order.map((entry) => kindOf[entry]))];
  /** Whether a group may stand behind the one before it. */
  const isInOrder = (lists: readonly (readonly number[])[], index: number): boolean => {
    if (index === 0 || kindOf[lists[index - 1][0]] !== kindOf[lists[index][0]]) return true;
    const differs = kinds.find((kind) => countOf(lists[index - 1], kind) !== countOf(lists[index], kind));
    return differs === undefined || countOf(lists[index - 1], differs) > countOf(lists[index], differs);
  };

  /** `from`: the first group to which the next entry may go, as the last of its kind went there. */
  function* dealt(lists: readonly (readonly number[])[], next: number, from: number): Generator<Grouping | undefined, void> {
    if (!mayPay(begun(lists, order.slice(next), site))) {
      yield undefined;
      return;
    }
    if (next === order.length) {
      yield groupingOf(lists, site);
      return;
    }
    const entry = order[next];
    for (let index = lists.length; index >= from; index--) {
      const more = index === lists.length ? [...lists, [entry]] : lists.with(index, [...lists[index], entry]);
      const isLastOfKind = kindOf[order[next + 1]] !== kindOf[entry];
      if (isInOrder(more, index)) yield* dealt(more, next + 1, isLastOfKind ? 0 : index);
    }
  }

  yield* dealt([], 0, 0);
}

/**
 * By entry: those that come in at earlier places of an edge than it does. That rules out no station, but its names for those
 * that are alike: in a group these are by place, as are the groups that have as many of each kind, by the first of each.
 */
export function earlierOf({ groups }: Grouping, { job }: Asked): readonly (readonly number[])[] {
  const kindOf = kindsOf(job);
  const earlier: number[][] = kindOf.map(() => []);
  const makeUp = (entries: readonly number[]): string => entries.map((entry) => kindOf[entry]).sort((a, b) => a - b).join();
  /** That by which groups of one make-up are told from each other. */
  const first = ({ entries }: Group): number => entries.reduce((least, entry) => (kindOf[entry] < kindOf[least] ? entry : least));
  for (const group of groups) {
    for (const [index, entry] of group.entries.entries()) {
      const before = group.entries.slice(0, index).findLast((other) => kindOf[other] === kindOf[entry]);
      if (before !== undefined) earlier[entry].push(before);
    }
  }
  const inOrder = [...groups].sort((a, b) => first(a) - first(b));
  for (const [index, group] of inOrder.entries()) {
    const before = inOrder.slice(0, index).findLast((other) => makeUp(other.entries) === makeUp(group.entries));
    if (before !== undefined) earlier[first(group)].push(first(before));
  }
  return earlier;
}
