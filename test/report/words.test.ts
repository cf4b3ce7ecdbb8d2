/**
 * A sentence for every finding: no code without words, no value missing from them, none in vain.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Finding } from '../../src/base/finding.js';
import { checkSchema } from '../../src/base/schema-check.js';
import { parseBrief } from '../../src/brief/parse-brief.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { parseMeasurements } from '../../src/fitting/parse-measurements.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { parsePromise } from '../../src/ranking/parse-promise.js';
import { findingSentence } from '../../src/report/words.js';
import { projectFile, readCatalog, readJson } from '../documents.js';

const catalog = readCatalog('models/catalogs/grain-yard.json');
const bareCatalog = { ...catalog, chests: [], arms: [] };
const longArms = { ...catalog, arms: catalog.arms.map((arm) => ({ ...arm, reach: 99 })) };

const fromCatalog = (json: unknown): readonly Finding[] => {
  const parsed = parseCatalog(json);
  return parsed.ok ? parsed.warnings : parsed.findings;
};
const fromBrief = (json: unknown, against = catalog): readonly Finding[] => {
  const parsed = parseBrief(json, against);
  return parsed.ok ? parsed.warnings : parsed.findings;
};
const fromPlan = (json: unknown): readonly Finding[] => {
  const parsed = parsePlan(json, catalog);
  return parsed.ok ? parsed.warnings : parsed.findings;
};
const fromPromise = (json: unknown): readonly Finding[] => {
  const parsed = parsePromise(json);
  return parsed.ok ? parsed.warnings : parsed.findings;
};

const fromMeasurements = (changes: object): readonly Finding[] => {
  const parsed = parseMeasurements(changed('models/measurements/grain-yard.json', changes));
  return parsed.ok ? parsed.warnings : parsed.findings;
};

const changed = (path: string, change: object): object => ({ ...(readJson(path) as object), ...change });
const catalogWith = (change: object): object => changed('models/catalogs/grain-yard.json', change);
const briefWith = (change: object): object => changed('models/briefs/grain-100.json', change);
const planWith = (change: object): object =>
  changed('models/plans/grain-two-bins.json', { parts: [], exits: [], ...change });

const exit = { edge: 'S', from: 0, to: 5, belt: 'field belt', target: { fill: '1' } };
const aims = (target: object): object => briefWith({ exits: [{ ...exit, target }] });
const belt = (x: number, y: number, heading: string): object => ({
  kind: 'belt',
  at: [x, y],
  heading,
  model: 'field belt',
});
const arm = (x: number, y: number): object => ({ kind: 'arm', at: [x, y], heading: 'S', model: 'bay arm' });
const underpass = (from: readonly number[], to: readonly number[]): object => ({
  kind: 'underpass',
  from,
  to,
  model: 'field underpass',
});

/** Bad input of every sort, so that together they give every code. */
const FINDINGS: readonly Finding[] = [
  { severity: 'error', code: 'file-unreadable', values: { path: 'a.json', reason: 'no such file' } },
  { severity: 'error', code: 'not-json', values: { reason: 'unexpected end' } },
  { severity: 'error', code: 'not-utf8', values: {} },
  { severity: 'error', code: 'file-too-long', values: { path: 'a.json', reason: '128 MiB' } },
  ...checkSchema('plan', { plan: { format: 'transloom-plan/1' } }).findings,
  { severity: 'error', code: 'not-as-described', pointer: '/x', values: { found: '3', rule: 'contains' } },
  ...(['version', 'solver', 'seed', 'brief', 'price'] as const).map((what): Finding => {
    const values = { found: '"this"', expected: '"that"' };
    return { severity: 'error', code: `search-other-${what}`, pointer: `/${what}`, values };
  }),
  { severity: 'error', code: 'search-other-job', pointer: '/loading' },
  { severity: 'error', code: 'search-counts', pointer: '/families/0/bill' },
  { severity: 'error', code: 'search-exits', pointer: '/networks/0/exits', values: { last: 1 } },
  { severity: 'error', code: 'search-price', pointer: '/rest', values: { found: 1, least: 2 } },
  { severity: 'error', code: 'search-repeats', pointer: '/families/1/bill' },
  { severity: 'error', code: 'search-best', pointer: '/best' },
  ...fromCatalog([]),
  ...fromCatalog(readJson('models/briefs/grain-100.json')),
  ...fromCatalog(
    catalogWith({ unitsPerTile: 242, pitch: 300, extra: 1, naem: 1, name: 'x'.repeat(101), ticksPerSecond: 0 }),
  ),
  ...fromCatalog(catalogWith({ pitch: 241, arms: { a: {} } })),
  ...fromCatalog(catalogWith({ belts: { '': { speed: 99, cost: 1e9 } } })),
  ...fromBrief({ ...(readJson('models/briefs/grain-100.json') as object), name: 'a\nb' }),
  ...fromBrief({ ...(readJson('models/briefs/grain-100.json') as object), name: '', feed: 'chest' }),
  ...fromBrief(briefWith({ demand: { rate: '0/h', roundTrip: 'long' } })),
  ...fromCatalog(catalogWith({ work: { remove: 3, turn: 2 } })),
  ...fromPlan(planWith({ exits: [{ at: [0, 7], heading: 'S', take: '1/99999999999999999999' }] })),
  ...fromBrief(briefWith({ keep: [[1, 2, 3], [5, 7, 2, 2], [6, 0]] })),
  ...fromBrief(
    briefWith({
      site: {
        width: 201,
        depth: 8,
        keepOut: [
          [1, 2],
          [1, 2, 3, 4, 5],
        ],
      },
      presence: 'x',
      starts: -1,
    }),
  ),
  ...fromBrief(briefWith({ minimise: ['depth', 'depth'], wagons: [{ model: 'x', at: 0 }], presence: '0' })),
  ...fromBrief(briefWith({ site: { width: 6, depth: 8, keepOut: [[5, 7, 3, 3]] } })),
  ...fromBrief(
    briefWith({
      wagons: [
        { model: 'long grain wagon', at: 9 },
        { model: 'long grain wagon', at: 1 },
      ],
    }),
  ),
  ...fromBrief(
    briefWith({
      wagons: [
        { model: 'long grain wagon', at: 0 },
        { model: 'long grain wagon', at: 1 },
      ],
    }),
  ),
  ...fromBrief(briefWith({ limits: { dwell: '0', trainsPerHour: 'x' } })),
  ...fromBrief(briefWith({ limits: { trainsPerHour: '1000000' } })),
  ...fromBrief(aims({ fill: '2' })),
  ...fromBrief(aims({ fill: '1', rate: '1' })),
  ...fromBrief(aims({})),
  ...fromBrief(aims({ rate: '0' })),
  ...fromBrief(briefWith({ exits: [{ ...exit, target: undefined }] })),
  ...fromBrief(briefWith({ target: { fill: '0.5' } })),
  ...fromBrief(aims({ rate: '999/s' })),
  ...fromBrief(aims({ rate: 'much' })),
  ...fromBrief(aims({ fill: '0.1', left: { fill: '1' } })),
  ...fromBrief(
    briefWith({
      exits: [
        { ...exit, from: 3, to: 2 },
        { ...exit, to: 6 },
        { ...exit, edge: 'N' },
      ],
    }),
  ),
  ...fromBrief(briefWith({ site: { width: 6, depth: 8, keepOut: [[0, 7, 6, 1]] } })),
  ...fromBrief(
    briefWith({
      exits: [
        { ...exit, to: 0 },
        { ...exit, to: 0 },
      ],
    }),
  ),
  ...fromBrief(briefWith({ entries: [{ ...exit }], target: { full: '60s' } })),
  ...fromBrief(briefWith({ job: 'load', entries: [{ ...exit, target: undefined }, { ...exit, target: { full: '60s' } }] })),
  ...fromBrief(briefWith({ job: 'load', exits: undefined, entries: [{ ...exit, target: { fill: '1', full: '60s' } }] })),
  ...fromBrief(briefWith({ job: 'load', exits: undefined, entries: [{ ...exit, target: { full: '10s' } }] })),
  ...fromBrief(briefWith({ job: 'load', exits: undefined, entries: [{ ...exit, target: { full: '600s' } }], site: { width: 6, depth: 8, north: 3 } })),
  ...fromBrief(briefWith({ feed: 'chests' }), bareCatalog),
  ...fromBrief(briefWith({}), longArms),
  ...fromPlan(
    planWith({
      site: { width: 6, depth: 8, keepOut: [[1, 1, 1, 1]] },
      parts: [belt(1, 1, 'S'), belt(1, 1, 'S'), belt(9, 1, 'S')],
    }),
  ),
  ...fromPlan(
    planWith({
      parts: [
        underpass([0, 0], [1, 1]),
        underpass([2, 2], [2, 2]),
        underpass([3, 1], [3, 6]),
        underpass([3, 2], [3, 4]),
      ],
    }),
  ),
  ...fromPlan(
    planWith({ parts: [{ kind: 'splitter', at: [3, 3], heading: 'S', model: 'field splitter', favourIn: 'left' }] }),
  ),
  ...fromPlan(
    planWith({
      exits: [
        { at: [1, 1], heading: 'S' },
        { at: [1, 0], heading: 'N' },
        { at: [1, 0], heading: 'N' },
      ],
    }),
  ),
  ...fromPlan(
    planWith({
      parts: [arm(3, 3), { kind: 'chest', at: [0, 3], model: 'grain bin' }],
      exits: [{ at: [1, 7], heading: 'S', take: '0' }],
    }),
  ),
  ...fromPlan(
    planWith({
      exits: [{ at: [0, 4], heading: 'W' }],
      entries: [
        { at: [1, 1], heading: 'N' },
        { at: [1, 0], heading: 'S' },
        { at: [1, 7], heading: 'N' },
        { at: [1, 7], heading: 'N' },
        { at: [0, 4], heading: 'E' },
      ],
    }),
  ),
  ...fromPlan(planWith({ entries: [{ at: [1, 7], heading: 'N', give: '0' }] })),
  ...fromPlan(planWith({ parts: [belt(0, 0, 'E'), belt(1, 0, 'S'), belt(1, 1, 'W'), belt(0, 1, 'N')] })),
  ...fromPlan(planWith({ parts: [belt(0, 0, 'E'), belt(1, 0, 'W'), belt(4, 4, 'E')] })),
  ...fromPlan(planWith({ parts: [belt(0, 1, 'E'), belt(1, 0, 'S'), belt(1, 1, 'S')] })),
  ...fromMeasurements({ ranges: { swing: [1, 9000] } }),
  ...['1.01s', '0'].flatMap((time) => fromMeasurements({ measurements: [{ kind: 'arm-to-chest', arm: 'bey arm', time, items: 1, uncertainty: 0 }] })),
  ...fromPlan(planWith({ site: { width: 6, depth: 8, track: { to: 6 } } })),
  ...fromPlan(planWith({ site: { width: 6, depth: 8, north: 2, track: {} } })),
  ...fromPlan(
    planWith({
      site: { width: 8, depth: 8, north: 3, track: { from: 1, to: 4 } },
      parts: [belt(0, -6, 'N'), belt(2, -1, 'E')],
      exits: [{ at: [2, 0], heading: 'N' }],
    }),
  ),
  ...fromPlan(planWith({ site: { width: 8, depth: 8, north: 3, track: { from: 4, to: 1 }, keepOut: [[0, -9, 2, 2]] } })),
  ...fromBrief(briefWith({ site: { width: 8, depth: 8, north: 3, track: { to: 6 } }, wagons: [{ model: 'long grain wagon', at: 0 }], spotting: 2 })),
  ...fromBrief(briefWith({ site: { width: 8, depth: 8, north: 3 }, exits: [{ ...exit, edge: 'W', from: -2, to: -1 }, { ...exit, edge: 'E', from: -9, to: 0 }] })),
  ...fromPromise({ result: { cost: 'much', exits: [{}] } }),
];

/** The codes that the table of words has. */
const CODES = Array.from(
  readFileSync(projectFile('src/report/words.ts'), 'utf8').matchAll(/^ {2}'([a-z-]+)': \(/gm),
  ([, code]) => code ?? '',
);

describe('findingSentence', () => {
  it('has words for more than fifty codes, and bad input of every sort gives them all', () => {
    expect(CODES.length).toBeGreaterThan(50);
    const given = new Set(FINDINGS.map(({ code }) => code));
    expect(CODES.filter((code) => !given.has(code))).toEqual([]);
  });

  it.each(FINDINGS.map((finding) => [findingSentence(finding), finding] as const))('says: %s', (sentence, finding) => {
    expect(sentence).not.toMatch(/undefined|NaN|Infinity|\[object|null tiles/);
    expect(sentence).toMatch(/[.?!]$/);
    expect(sentence.length).toBeLessThan(260);
    if (finding.pointer !== undefined && finding.pointer !== '') expect(sentence).toContain(`At ${finding.pointer}`);
    if (finding.tile !== undefined) expect(sentence).toContain(`[${finding.tile.x}, ${finding.tile.y}]`);
  });

  it('says where and what is meant', () => {
    const values = { field: 'headign', hint: 'heading' };
    const finding = { severity: 'error', code: 'unknown-field', pointer: '/parts/3/headign', values } as const;
    expect(findingSentence(finding)).toBe(
      'At /parts/3/headign: There is no field “headign” here. Did you mean “heading”?',
    );
    expect(
      findingSentence({ severity: 'warning', code: 'chest-unemptied', pointer: '/parts/1', tile: { x: 2, y: 4 } }),
    ).toBe('At /parts/1, tile [2, 4]: No arm empties this chest; add one or remove it.');
  });

  it('falls back to the code itself for one it does not know', () => {
    expect(findingSentence({ severity: 'error', code: 'some-new-code' })).toBe('some new code.');
  });
});
