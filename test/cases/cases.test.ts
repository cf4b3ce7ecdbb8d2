/**
 * The briefs of this folder: each that is known to close has the optimum of `expected.json`, to the very
 * price. A bound that is not admissible, or a search that leaves something out, shows here as a dearer one.
 */
import { describe, expect, it } from 'vitest';
import { designStation, parseBrief } from '../../src/index.js';
import { catalogOf, jsonFiles, readJson } from '../documents.js';

const EXPECTED = readJson('test/cases/expected.json') as Readonly<Record<string, number>>;
/** Briefs that are too hard, or take too long for every run. */
const LEFT_OUT = ['headline-speed-14', 'headline-site-16x20'];

const nameOf = (path: string): string => path.replace(/^.*\/|\.json$/g, '');
const briefs = jsonFiles('test/cases').filter((path) => !/-catalog\.json$|expected\.json$/.test(path));

describe('cases', () => {
  it('have an expected price, or are left out by name', () => {
    expect(briefs.map(nameOf).sort()).toEqual([...Object.keys(EXPECTED), ...LEFT_OUT].sort());
  });

  it.each(briefs.filter((path) => Object.hasOwn(EXPECTED, nameOf(path))).map((path) => [nameOf(path), path]))('%s', async (name, path) => {
    const brief = parseBrief(readJson(path), catalogOf(path));
    if (!brief.ok) throw new Error(JSON.stringify(brief.findings));
    const { outcome } = await designStation(brief.value, { now: () => performance.now() });
    expect([outcome.status, outcome.proof.cost, outcome.proof.bound]).toEqual(['optimal', EXPECTED[name], EXPECTED[name]]);
  });
});
