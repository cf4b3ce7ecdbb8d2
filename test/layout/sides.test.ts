/**
 * Sites with a north side: where parts may stand, over which edges belts leave, and how far the track reaches.
 */
import { describe, expect, it } from 'vitest';
import { parseBrief } from '../../src/brief/parse-brief.js';
import { writeBrief } from '../../src/brief/write-brief.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { writePlan } from '../../src/layout/write-plan.js';
import { briefOf, gist, readCatalog } from '../documents.js';

const catalog = readCatalog('models/catalogs/grain-yard.json');

type Json = Readonly<Record<string, unknown>>;

const belt = (x: number, y: number, heading: string): Json => ({ kind: 'belt', at: [x, y], heading, model: 'field belt' });
const exit = (x: number, y: number, heading: string): Json => ({ at: [x, y], heading });

/** Six wide, two rows on each side; the track ends after x = 3. */
const SITE = { width: 6, depth: 2, north: 2, track: { to: 3 } };
const WAGONS = [{ model: 'short grain wagon', at: 0 }];

function findingsOf(changes: Json): readonly string[] {
  const parsed = parsePlan({ format: 'transloom-plan/1', name: 'test', catalog: 'x', site: SITE, wagons: WAGONS, parts: [], exits: [], ...changes }, catalog);
  return gist(parsed.ok ? [] : parsed.findings.filter(({ severity }) => severity === 'error'));
}

const ALL_SITES: readonly (readonly [string, Json])[] = [
  ['its least tile', { parts: [belt(0, -4, 'E')] }],
  ['beyond the end of the track, on its rows', { parts: [belt(4, -1, 'S'), belt(5, -2, 'S')] }],
  ['an underpass beneath track and wagon', { parts: [{ kind: 'underpass', from: [1, 0], to: [1, -3], model: 'field underpass' }] }],
  ['an arm over the end of the wagon', { parts: [{ kind: 'arm', at: [4, -2], heading: 'E', model: 'bay arm' }] }],
  ['an exit over the northmost row, the wagon below', { exits: [exit(1, -4, 'N')] }],
  ['exits over the sides, also beyond the track', { exits: [exit(0, -3, 'W'), exit(5, -1, 'E'), exit(5, -2, 'E')] }],
  ['a track longer than the site', { site: { ...SITE, track: { from: -9, to: 99 } } }],
  ['no track told', { site: { width: 6, depth: 2, north: 2 } }],
];

describe('a site with a north side', () => {
  it.each(ALL_SITES)('takes %s', (_, changes) => {
    expect(findingsOf(changes)).toEqual([]);
  });

  it.each<readonly [string, Json, readonly string[]]>([
    ['a part north of it', { parts: [belt(0, -5, 'E')] }, ['part-outside /parts/0']],
    ['a part on the track', { parts: [belt(3, -1, 'E'), belt(3, -2, 'E')] }, ['part-on-track /parts/0', 'part-on-track /parts/1']],
    ['a part where a track without an end goes on', { site: { width: 6, depth: 2, north: 2, track: { from: 0 } }, parts: [belt(5, -1, 'E')] }, ['part-on-track /parts/0']],
    ['a part on a track of which nothing is told', { site: { width: 6, depth: 2, north: 2 }, parts: [belt(5, -2, 'E')] }, ['part-on-track /parts/0']],
    ['an end of an underpass on the track', { parts: [{ kind: 'underpass', from: [1, 0], to: [1, -2], model: 'field underpass' }] }, ['part-on-track /parts/0']],
    ['an underpass that is too short to pass', { parts: [{ kind: 'underpass', from: [1, 1], to: [1, -3], model: 'field underpass' }] }, ['underpass-too-long /parts/0']],
    ['an exit onto the track', { exits: [exit(1, 0, 'N')] }, ['exit-not-at-border /exits/0']],
    ['an exit onto its rows beyond the track', { exits: [exit(5, 0, 'N'), exit(4, -1, 'W')] }, ['exit-not-at-border /exits/0', 'exit-not-at-border /exits/1']],
    ['an exit along the track', { exits: [exit(0, -1, 'W')] }, ['exit-not-at-border /exits/0']],
    ['an entry from the track', { entries: [exit(1, 0, 'S')] }, ['entry-not-at-border /entries/0']],
    ['a wagon beyond the track', { wagons: [{ model: 'short grain wagon', at: 1 }] }, ['wagon-off-track /wagons/0']],
    ['a track that ends before it begins', { site: { ...SITE, track: { from: 3, to: 2 } } }, ['track-reversed /site/track', 'wagon-off-track /wagons/0']],
    ['a track without a north side', { site: { width: 6, depth: 2, track: { to: 3 } } }, ['track-without-north /site/track']],
    ['a north side that is no number of rows', { site: { ...SITE, north: -1 }, parts: [belt(0, -4, 'E')] }, ['too-small /site/north']],
    ['an empty track', { site: { ...SITE, track: {} } }, ['object-empty /site/track']],
  ])('does not take %s', (_, changes, findings) => {
    expect(findingsOf(changes)).toEqual(findings);
  });

  it('is written as it was read', () => {
    for (const [, changes] of ALL_SITES) {
      const plan = { format: 'transloom-plan/1', name: 'test', catalog: 'x', site: SITE, wagons: WAGONS, parts: [], exits: [], ...changes };
      const parsed = parsePlan(plan, catalog);
      expect(parsed.ok && writePlan(parsed.value)['site']).toEqual(plan.site);
    }
  });

  it('of no rows is no side', () => {
    const parsed = parsePlan({ format: 'transloom-plan/1', name: 'test', catalog: 'x', site: { width: 6, depth: 2, north: 0 }, wagons: WAGONS, parts: [], exits: [] }, catalog);
    expect(parsed.ok && writePlan(parsed.value)['site']).toEqual({ width: 6, depth: 2 });
  });
});

describe('a brief with a north side', () => {
  const aim = { belt: 'field belt', target: { fill: '1/2' } };
  const read = (changes: Json): readonly string[] => {
    const parsed = parseBrief({ format: 'transloom-brief/1', name: 'test', catalog: 'x', site: SITE, wagons: WAGONS, exits: [{ edge: 'N', from: 0, to: 5, ...aim }], ...changes }, catalog);
    return gist(parsed.ok ? [] : parsed.findings.filter(({ severity }) => severity === 'error'));
  };

  it('may have exits over the north, wagon or not, and over the sides in rows of both', () => {
    expect(read({})).toEqual([]);
    expect(read({ exits: [{ edge: 'W', from: -4, to: 1, ...aim }, { edge: 'E', from: -2, to: -1, ...aim }] })).toEqual([]);
  });

  it('has none where the track leaves the site, or beyond its rows', () => {
    expect(read({ exits: [{ edge: 'W', from: -2, to: -1, ...aim }] })).toEqual(['range-on-track /exits/0']);
    expect(read({ exits: [{ edge: 'W', from: -5, to: 1, ...aim }] })).toEqual(['range-outside /exits/0']);
  });

  it('leaves wagons room on the track to stop short or far', () => {
    expect(read({ site: { ...SITE, track: { from: -1, to: 4 } }, spotting: 1 })).toEqual([]);
    expect(read({ site: { ...SITE, track: { from: -1, to: 4 } }, spotting: 2 })).toEqual(['wagon-spotted-off-track /wagons/0']);
    for (const track of [{ to: 4 }, { from: -1 }]) expect(read({ site: { ...SITE, track }, spotting: 2 })).toEqual(['wagon-spotted-off-track /wagons/0']);
  });

  it('is written as it was read', () => {
    const brief = briefOf('models/briefs/grain-060.json', { site: { ...SITE, width: 8, track: { to: 6 } } });
    const again = parseBrief(writeBrief(brief), brief.catalog);
    expect(again.ok && again.value.site).toEqual({ width: 8, depth: 2, north: 2, track: { to: 6 }, keepOut: [] });
  });
});
