/**
 * A start that has not repeated within the tick limit is unproven, whatever it measured: a verdict of
 * "fails" must be as well founded as one of "passes".
 */
import { describe, expect, it } from 'vitest';
import { ONE, ZERO } from '../../src/base/rational.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { verifyTargets } from '../../src/simulation/verify.js';
import { catalogOf, readJson } from '../documents.js';

const PLAN = 'models/plans/grain-two-bins.json';

describe('a verification cut short', () => {
  const parsed = parsePlan(readJson(PLAN), catalogOf(PLAN));
  if (!parsed.ok) throw new Error(PLAN);
  const { value: layout } = parsed;
  const tooMuch = layout.exits.map((_, exit) => ({ exit, total: ONE, left: ZERO, right: ZERO }));

  it('is unproven, not a flow too small', () => {
    const { passes, exact, failure } = verifyTargets(layout, tooMuch, { starts: 0, seed: 1, tickLimit: 40, presence: ONE });
    expect([passes, exact, failure?.kind]).toEqual([false, false, 'unproven']);
  });

  it('is a flow too small once the state has repeated', () => {
    const { passes, exact, failure } = verifyTargets(layout, tooMuch, { starts: 0, seed: 1, tickLimit: 100_000, presence: ONE });
    expect([passes, exact, failure?.kind]).toEqual([false, true, 'flow']);
  });
});
