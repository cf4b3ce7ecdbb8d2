/**
 * Runs for parts of a brief are told to stop in the midst of a simulation, as the run that asks for them is.
 */
import { expect, it } from 'vitest';
import { goOnUnless, RunStopped } from '../../src/base/run-stopped.js';
import type { DesignTools } from '../../src/synthesis/design-tools.js';
import { OwnRuns } from '../../src/synthesis/own-runs.js';
import type { Verify } from '../../src/synthesis/verifier.js';
import { jslpSolver } from '../../src/program/jslp-port.js';
import { briefOf, planOf } from '../documents.js';

const layout = planOf('models/plans/grain-two-bins.json');
const brief = briefOf('models/briefs/grain-060.json');

/** Passes whatever it is asked, unless it is to stop. */
const verify: Verify = (_layout, _brief, _flowsAlone, shouldStop) => {
  goOnUnless(shouldStop);
  return { verdict: 'passes', chestOutflows: [], fill: brief.presence, trains: undefined };
};

it('a simulation ends in its midst, whatever stands beside', () => {
  let isOver = false;
  const tools: DesignTools[] = [];
  const runs = new OwnRuns(brief, {
    verify,
    solver: jslpSolver,
    now: () => 0,
    shouldStop: () => isOver,
    secondsLeft: () => 1,
    breathe: () => Promise.resolve(),
    begin: (_brief, own) => {
      tools.push(own);
      return { run: () => Promise.reject(new Error('not run')) };
    },
    isLong: () => false,
  });
  for (const given of [[], layout.parts.filter(({ kind }) => kind === 'chest')]) runs.designAlone(brief, given, false);
  const asked = (): readonly string[] => tools.map((own) => own.verify(layout, brief, false, own.shouldStop).verdict);
  expect([runs.passes(layout, brief), ...asked()]).toEqual([true, 'passes', 'passes']);
  isOver = true;
  expect(runs.passes(layout, brief)).toBe(false);
  for (const own of tools) expect(() => own.verify(layout, brief, false, own.shouldStop)).toThrow(RunStopped);
  expect(tools).toHaveLength(2);
});
