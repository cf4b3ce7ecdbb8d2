/**
 * A promise holds from every start, and so must the chests keep up: the worst start is that of the worst exit, and from
 * another one more may leave than is brought.
 */
import { describe, expect, it } from 'vitest';
import { ratio } from '../../src/base/rational.js';
import type { PlanPromise } from '../../src/ranking/promise.js';
import { tryPlan } from '../../src/tasks/try-plan.js';
import { seededPlan } from '../oracles/random-plans.js';

describe('a promise of chests that keep up', () => {
  // Of this plan 5/29 items per tick are taken out of the chest in the worst start, the sixth, and up to 5/27 in others.
  const layout = seededPlan(3914);
  const trial = tryPlan(layout, undefined, { starts: 8, seed: 1 }).trial;
  const [chest] = trial.chests;
  const kinds = (presence: PlanPromise['presence']): readonly string[] => {
    const promise: PlanPromise = { exits: [], wagons: undefined, together: undefined, cost: trial.cost, starts: 8, seed: 1, presence, spotting: 0 };
    return (tryPlan(layout, promise).breaches ?? []).map(({ kind }) => kind);
  };

  it('is broken by one that runs dry from another start than the worst', () => {
    expect([trial.worstStart, chest.outflow.toFraction()]).toEqual([5, '5/29']);
    // Just what leaves in the worst start is brought.
    expect(kinds(chest.outflow.div(chest.supply))).toContain('chest-runs-dry');
  });

  it('is kept where all that leaves from any start is brought', () => {
    expect(kinds(ratio(5, 27).div(chest.supply))).toEqual([]);
  });
});
