/**
 * How a run ends: what it could not decide is never ruled out, and never called proven.
 */
import { describe, expect, it } from 'vitest';
import { ratio } from '../../src/base/rational.js';
import { exhausted, infeasible, stoppedAt, type RunKnowledge } from '../../src/synthesis/run-end.js';
import { planOf } from '../documents.js';

const layout = planOf('models/plans/grain-two-bins.json');
const NONE = { kind: 'space-exhausted', nearest: [], looked: 'not' } as const;

const known = (changes: Partial<RunKnowledge> = {}): RunKnowledge => ({
  best: layout, price: 60, undecided: Infinity, space: 'all', solver: undefined, rounds: 1, simulations: 2, seconds: 3, resumed: false, ...changes,
});
const nothing = { best: undefined, price: Infinity };

describe('a run that is through', () => {
  it('has the optimum, unless something cheaper was not decided', () => {
    const optimal = exhausted(known(), NONE);
    expect(optimal).toMatchObject({ status: 'optimal', layout, proof: { bound: 60, cost: 60, gap: ratio(0) } });
    expect(optimal.proof).not.toHaveProperty('undecided');
    expect(exhausted(known({ undecided: 60 }), NONE)).toMatchObject({ status: 'optimal', proof: { bound: 60, undecided: 60 } });
    expect(exhausted(known({ undecided: 61 }), NONE).proof).not.toHaveProperty('undecided');
    expect(exhausted(known({ undecided: 45 }), NONE)).toMatchObject({ status: 'feasible', stoppedBy: 'simulation', proof: { bound: 45, cost: 60, undecided: 45, gap: ratio(1, 4) } });
  });

  it('has shown that there is none, unless something was not decided', () => {
    expect(exhausted(known(nothing), NONE)).toMatchObject({ status: 'infeasible', reason: NONE, proof: { bound: undefined, cost: undefined } });
    const unknown = exhausted(known({ ...nothing, undecided: 45 }), NONE);
    expect(unknown).toMatchObject({ status: 'unknown', stoppedBy: 'simulation', proof: { bound: 45 } });
    expect(unknown.proof).not.toHaveProperty('undecided');
  });
});

describe('a run that was stopped', () => {
  it('is bound by what it had settled and by what it did not decide', () => {
    expect(stoppedAt(known(), 50, 'time-limit')).toMatchObject({ status: 'feasible', layout, stoppedBy: 'time-limit', proof: { bound: 50, cost: 60, gap: ratio(1, 6) } });
    expect(stoppedAt(known({ undecided: 45 }), 50, 'interrupt')).toMatchObject({ stoppedBy: 'interrupt', proof: { bound: 45, undecided: 45 } });
    expect(stoppedAt(known(nothing), 50, 'solver')).toMatchObject({ status: 'unknown', stoppedBy: 'solver', proof: { bound: 50, gap: undefined } });
  });

  it('tells that it went on, if it did', () => {
    expect(stoppedAt(known({ resumed: true }), 50, 'interrupt').proof.resumed).toBe(true);
    expect(infeasible(known(nothing), NONE).proof).not.toHaveProperty('resumed');
  });
});
