/**
 * Briefs of the job "load": targets in items per tick, times in ticks, and that bad ones give their findings.
 */
import { describe, expect, it } from 'vitest';
import { formatRational } from '../../src/base/rational.js';
import type { LoadJob } from '../../src/brief/load-job.js';
import { parseBrief } from '../../src/brief/parse-brief.js';
import { gist, readCatalog } from '../documents.js';

/** 50 ticks a second: a belt carries 1/2 item per tick, which is 25 a second; a wagon holds 2000. */
const catalog = readCatalog('test/cases/headline-catalog.json');

const ENTRY = { edge: 'S', from: 0, to: 5, belt: 'belt' };
const LOADING = {
  format: 'transloom-brief/1',
  name: 'test',
  job: 'load',
  catalog: 'headline-catalog.json',
  site: { width: 6, depth: 8 },
  wagons: [{ model: 'wagon', at: 0 }],
};
const withEntries = (targets: readonly (object | undefined)[], target?: object): unknown => ({
  ...LOADING,
  entries: targets.map((own) => ({ ...ENTRY, ...(own === undefined ? {} : { target: own }) })),
  ...(target === undefined ? {} : { target }),
});
const UNLOADING = { ...LOADING, job: 'unload', exits: [{ ...ENTRY, target: { fill: '1' } }] };

function jobOf(json: unknown): LoadJob {
  const parsed = parseBrief(json, catalog);
  if (!parsed.ok || parsed.value.load === undefined) throw new Error(gist(parsed.ok ? [] : parsed.findings).join());
  return parsed.value.load;
}

const findingsOf = (json: unknown): readonly string[] => {
  const parsed = parseBrief(json, catalog);
  return parsed.ok ? [] : gist(parsed.findings);
};

describe('what is asked', () => {
  it('may be as much as belts bring, but no more', () => {
    // 2000 items at 1/2 a tick.
    expect(jobOf(withEntries([{ full: '4000' }])).fullTicks?.toFraction()).toBe('4000');
    expect(findingsOf(withEntries([{ full: '3999' }]))).toEqual(['full-too-soon /entries/0/target/full']);
  });

  it('is flows of entries, and of all wagons together', () => {
    const { entries, together, fullTicks } = jobOf(withEntries([{ fill: '3/5' }, { rate: '5/s' }], { rate: '20/s' }));
    expect(entries.map(({ target }) => formatRational(target))).toEqual(['3/10', '1/10']);
    expect(together && formatRational(together)).toBe('2/5');
    expect(fullTicks).toBeUndefined();
  });

  it('may have rows on both sides of its wagons', () => {
    expect(jobOf({ ...(withEntries([{ fill: '3/5' }]) as object), site: { width: 6, depth: 8, north: 2 } }).entries).toHaveLength(1);
  });

  it('is a time, of the only entry or of all; of two the shorter', () => {
    const ticks = (json: unknown): string => formatRational(jobOf(json).fullTicks ?? jobOf(json).entries[0].target);
    expect(ticks(withEntries([{ full: '90s' }]))).toBe('4500');
    expect(ticks(withEntries([undefined], { full: '4600' }))).toBe('4600');
    expect(ticks(withEntries([{ full: '90s' }], { full: '100s' }))).toBe('4500');
    expect(ticks(withEntries([{ full: '100s' }], { full: '90s' }))).toBe('4500');
  });
});

it.each<readonly [string, unknown, readonly string[]]>([
  ['exits', { ...LOADING, entries: [{ ...ENTRY, target: { fill: '1' } }], exits: UNLOADING.exits }, ['exits-of-loading /exits']],
  ['entries of the other job', { ...UNLOADING, entries: [ENTRY] }, ['entries-of-unloading /entries']],
  ['a time of the other job', { ...UNLOADING, target: { full: '90s' } }, ['full-of-unloading /target/full']],
  ['a time of one of several entries', withEntries([{ full: '90s' }, { fill: '1' }]), ['full-of-one-entry /entries/0/target/full']],
  ['a time and a flow', withEntries([{ full: '90s', fill: '1' }]), ['full-and-flow /entries/0/target/full']],
  ['a time that is none', withEntries([{ full: 'soon' }]), ['not-a-time /entries/0/target/full']],
  ['no time at all', withEntries([undefined], { full: '0s' }), ['not-a-time /target/full']],
  // 2000 items at 25 a second.
  ['a time in which belts bring too little', withEntries([{ full: '79s' }]), ['full-too-soon /entries/0/target/full']],
  ['a time in which two belts bring too little', withEntries([undefined, undefined], { full: '39s' }), ['full-too-soon /target/full']],
  ['an entry of which nothing is asked', withEntries([undefined]), ['entry-target-missing /entries/0']],
  ['an empty target', withEntries([{}]), ['target-empty /entries/0/target']],
  ['an empty common target', withEntries([{ fill: '1' }], {}), ['target-empty /target']],
  ['a target of nothing', withEntries([{ fill: '0' }]), ['target-zero /entries/0/target']],
  ['a rate over the belt', withEntries([{ rate: '26/s' }]), ['target-over-capacity /entries/0/target/rate']],
  ['a range turned round', { ...LOADING, entries: [{ ...ENTRY, from: 3, to: 2, target: { fill: '1' } }] }, ['range-reversed /entries/0']],
  ['two belts over one place', { ...LOADING, entries: [1, 1].map((at) => ({ ...ENTRY, from: at, to: at, target: { fill: '1' } })) }, ['exits-crowded /entries/1']],
])('%s is told', (_, json, expected) => {
  expect(findingsOf(json)).toEqual(expected);
});
