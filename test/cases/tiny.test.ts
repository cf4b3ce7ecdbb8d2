/**
 * The tiny briefs, on whose sites the whole grid as one integer program closes too: each has its known
 * optimum, to the very price. A bound that is not admissible shows here, as a dearer one.
 */
import { describe, expect, it } from 'vitest';
import { designStation, parseBrief } from '../../src/index.js';
import { catalogOf, jsonFiles, readJson } from '../documents.js';

const OPTIMA: Readonly<Record<string, number>> = {
  'tiny-4x5-060': 40,
  'tiny-4x5-100': 73,
  'tiny-4x6-060': 41,
  'tiny-4x6-100': 74,
  'tiny-5x6-060': 41,
  'tiny-5x6-100': 73,
};

const nameOf = (path: string): string => path.replace(/^.*\/|\.json$/g, '');
const briefs = jsonFiles('test/cases').filter((path) => nameOf(path).startsWith('tiny-'));

describe('tiny sites', () => {
  it('all have a known optimum', () => {
    expect(briefs.map(nameOf)).toEqual(Object.keys(OPTIMA));
  });

  it.each(briefs.map((path) => [nameOf(path), path]))('%s', async (name, path) => {
    const brief = parseBrief(readJson(path), catalogOf(path));
    if (!brief.ok) throw new Error(JSON.stringify(brief.findings));
    const { outcome } = await designStation(brief.value, { now: () => performance.now() });
    expect([outcome.status, outcome.proof.cost, outcome.proof.bound]).toEqual(['optimal', OPTIMA[name], OPTIMA[name]]);
  });
});
