/**
 * Ways of dealing entries out to groups: each that differs by more than by names of entries that are alike is met once, unless
 * its price is too high; and with many entries a search has its first moments at which others may have their turn soon.
 */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { ratio } from '../../src/base/rational.js';
import type { EntryDemand } from '../../src/brief/load-job.js';
import { earlierOf, groupingsOf, type Group, type Grouping } from '../../src/synthesis/loading/loading-groups.js';
import { LoadingSearch } from '../../src/synthesis/loading/loading-search.js';
import { briefOf, loadJobOf, SEED } from '../documents.js';

const BRIEF = briefOf('test/cases/loading-10-two-belts-030-together-6x5.json');
const LOAD = loadJobOf(BRIEF);

/** Entries of a kind ask for the same. */
function siteOf(kinds: readonly number[]) {
  const entries = kinds.map((kind): EntryDemand => ({ ...LOAD.entries[0], target: ratio(kind + 1, 100) }));
  return { brief: BRIEF, job: { ...LOAD, entries }, entryWanted: kinds.map((kind) => kind + 1) };
}

/** All ways of writing a group for each entry, whatever the groups' numbers. */
function everyPartition(count: number): readonly (readonly number[])[] {
  const all = (left: number): readonly (readonly number[])[] => (left === 0 ? [[]] : all(left - 1).flatMap((some) => Array.from({ length: count }, (_, group) => [...some, group])));
  return all(count).filter((groups) => groups.every((group, entry) => group <= Math.max(-1, ...groups.slice(0, entry)) + 1));
}

/** What does not change with names: of each group how many of each kind it has. */
const nameless = (groupOf: readonly number[], kinds: readonly number[]): string =>
  [...new Set(groupOf)]
    .map((group) => kinds.filter((_, entry) => groupOf[entry] === group).sort().join())
    .sort()
    .join(' ');

const kindsOfEntries = fc.array(fc.nat(2), { minLength: 1, maxLength: 6 });

/** The more groups, and the more each wants, the dearer; less for one that may be joined by others. */
const priceOf = (groups: readonly Group[]): number => groups.reduce((sum, { wanted, entries }) => sum + Math.max(2, wanted) + (entries.length === 1 ? 4 : 0), 0);

it('all are met once that may pay', () => {
  fc.assert(
    fc.property(kindsOfEntries, fc.nat(20), (kinds, most) => {
      const site = siteOf(kinds);
      const met = [...groupingsOf(site, (groups) => priceOf(groups) <= most)].filter((grouping): grouping is Grouping => grouping !== undefined);
      const names = met.map(({ groupOf }) => nameless(groupOf, kinds));
      expect(new Set(names).size).toBe(names.length);
      const wanted = (groupOf: readonly number[]): readonly Group[] =>
        [...new Set(groupOf)].map((group) => {
          const entries = [...kinds.keys()].filter((entry) => groupOf[entry] === group);
          return { entries, wanted: entries.reduce((sum, entry) => sum + kinds[entry] + 1, 0) };
        });
      const all = everyPartition(kinds.length).filter((groupOf) => priceOf(wanted(groupOf)) <= most);
      expect([...names].sort()).toEqual([...new Set(all.map((groupOf) => nameless(groupOf, kinds)))].sort());
      for (const { groups, groupOf } of met) {
        expect(groups.map(({ wanted: asked }) => asked)).toEqual(groups.map(({ entries }) => entries.reduce((sum, entry) => sum + kinds[entry] + 1, 0)));
        expect(groups.every(({ entries }, group) => entries.every((entry) => groupOf[entry] === group))).toBe(true);
      }
    }),
    { seed: SEED, numRuns: 100 },
  );
});

it('some order of places is left for each station, and one only', () => {
  fc.assert(
    fc.property(kindsOfEntries, (kinds) => {
      const site = siteOf(kinds);
      // Each way in which entries stand in a row, in groups as said: named anew, as one group of its make-up is any other.
      const rows = everyPermutation(kinds.length);
      const seen = new Map<string, number>();
      for (const grouping of groupingsOf(site, () => true)) {
        if (grouping === undefined) continue;
        const earlier = earlierOf(grouping, site);
        for (const row of rows) {
          const isKept = row.every((entry, place) => earlier[entry].every((other) => row.indexOf(other) < place));
          const station = nameless(grouping.groupOf, kinds) + '|' + shape(row, grouping, kinds);
          seen.set(station, (seen.get(station) ?? 0) + (isKept ? 1 : 0));
        }
      }
      expect([...seen.values()].filter((times) => times !== 1)).toEqual([]);
    }),
    { seed: SEED, numRuns: 60 },
  );
});

function everyPermutation(count: number): readonly (readonly number[])[] {
  const all = (rest: readonly number[]): readonly (readonly number[])[] => (rest.length === 0 ? [[]] : rest.flatMap((first) => all(rest.filter((other) => other !== first)).map((more) => [first, ...more])));
  return all(Array.from({ length: count }, (_, entry) => entry));
}

/** What a row shows without names: each place's kind, and which places are of one group. */
function shape(row: readonly number[], { groupOf }: Grouping, kinds: readonly number[]): string {
  const groups = row.map((entry) => groupOf[entry]);
  return row.map((entry, place) => `${kinds[entry]}@${groups.indexOf(groups[place])}`).join();
}

it('of 13 entries, alike or not, a search gives way soon', () => {
  for (const isAlike of [true, false]) {
    const brief = briefOf('test/cases/loading-10-two-belts-030-together-6x5.json', {
      site: { width: 24, depth: 8 },
      wagons: [0, 6, 12, 18].map((at) => ({ model: 'wagon', at })),
      target: undefined,
      entries: Array.from({ length: 13 }, (_, index) => ({ edge: 'S', from: isAlike ? 0 : index, to: isAlike ? 23 : index + 8, belt: 'belt', target: { fill: '0.1' } })),
    });
    const search = new LoadingSearch(brief, loadJobOf(brief), { verify: () => ({ verdict: 'fails', start: 0, anywhere: true }) }, { admits: () => true, offer: () => undefined });
    search.begin();
    let turns = 0;
    while (turns < 300) for (const _ of search.settle()) if (++turns === 300) break;
    expect(turns).toBe(300);
  }
});
