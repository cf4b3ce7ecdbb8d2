/**
 * One brief for each defect that was found in the design loop, with what it did wrong. Each is held against brute force.
 * Defects of the simulator are in `simulator.test.ts`.
 */
import { describe, expect, it } from 'vitest';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { readJson } from '../documents.js';
import { compareDesign } from '../oracles/compare-designs.js';
import { readBrief } from '../oracles/random-briefs.js';

const DEFECTS = [
  {
    name: 'stub-before-a-belt',
    status: 'infeasible',
    mostSteps: 10_000,
    defect: 'a stub that stood for a last stretch faced a belt of the other exit, which took it for a feeder and was no turn any more',
  },
  {
    name: 'two-stretches-one-exit',
    status: 'optimal',
    mostSteps: 400_000,
    defect: 'last stretches that came together were still taken for ways to two exits, so that one exit was left out',
  },
] as const;

describe('design', () => {
  it.each(DEFECTS)('$name: $defect', { timeout: 60_000 }, async ({ name, status, mostSteps }) => {
    const brief = readBrief(readJson(`test/regressions/${name}.json`) as { readonly catalog: unknown });
    if (brief === undefined) throw new Error(name);
    const { outcome, compared, difference } = await compareDesign(brief, await loadGlpkSolver(), { mostSteps });
    expect([outcome.status, compared, difference]).toEqual([status, true, undefined]);
    if (outcome.status === 'optimal') expect(outcome.layout.exits).toHaveLength(brief.exits.length);
  });
});
