/**
 * A promise holds from every start, and so must the chests keep up: the worst start is that of the worst exit, and from
 * another one more may leave than is brought. So it is told, and asked of changes.
 */
import { describe, expect, it } from 'vitest';
import { ratio } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import type { PlanPromise } from '../../src/ranking/promise.js';
import { plainInks } from '../../src/report/ink.js';
import { readTrial } from '../../src/report/read-trial.js';
import { trialJson } from '../../src/report/trial-json.js';
import { trialText } from '../../src/report/trial-text.js';
import { runTrial } from '../../src/simulation/trial.js';
import { tryPlan } from '../../src/tasks/try-plan.js';
import { whyDocument, whyReport, whyStation } from '../../src/tasks/why-station.js';
import { seededPlan } from '../oracles/random-plans.js';

const STYLE = { ink: plainInks, ascii: true };

// Of this plan 5/29 items per tick are taken out of the chest in the worst start, the sixth, and up to 5/27 in others.
const layout = seededPlan(3914);
const trial = tryPlan(layout, undefined, { starts: 8, seed: 1 }).trial;
const [chest] = trial.chests;
/** Just what leaves in the worst start is brought. */
const scarce = chest.outflow.div(chest.supply);

describe('a promise of chests that keep up', () => {
  const kinds = (presence: PlanPromise['presence']): readonly string[] => {
    const promise: PlanPromise = { exits: [], wagons: undefined, together: undefined, cost: trial.cost, starts: 8, seed: 1, presence, spotting: 0 };
    return (tryPlan(layout, promise).breaches ?? []).map(({ kind }) => kind);
  };

  it('is broken by one that runs dry from another start than the worst', () => {
    expect([trial.worstStart, chest.outflow.toFraction()]).toEqual([5, '5/29']);
    expect(kinds(scarce)).toContain('chest-runs-dry');
  });

  it('is kept where all that leaves from any start is brought', () => {
    expect(kinds(ratio(5, 27).div(chest.supply))).toEqual([]);
  });
});

describe('of a chest that runs dry from another start than the worst', () => {
  const found = runTrial(layout, { starts: 8, seed: 1, tickLimit: 100_000, presence: scarce });

  it('a trial tells from which, and what leaves it then', () => {
    expect(found.worstStart).toBe(5);
    expect(found.chests.map(({ keepsUp, fromStart, outflow }) => [keepsUp, fromStart, outflow.toFraction()])).toEqual([[false, 0, '5/27']]);
    expect(found.imbalance.equals(trial.imbalance)).toBe(true);
    expect(trialText({ layout, trial: found, presence: scarce }, STYLE).join('\n')).toContain('runs dry from the standard start');
    expect(readTrial(trialJson(found, layout.catalog.ticksPerSecond)).chests).toEqual(found.chests);
  });

  it('so does why, and no change after which it does is said to keep it from that', () => {
    const request = { starts: 8, seed: 1, tickLimit: 100_000, presence: scarce, changes: false };
    const why = whyStation(layout, request);
    expect(whyReport(why, STYLE).join('\n')).toContain('runs dry from the standard start: ');
    expect(whyDocument(why)).toMatchObject({ filling: [], drying: [{ outflow: '5/27', supply: '5/29', fromStart: 0 }] });
    // Without its arm onto the belt; that may be added again.
    const without: Layout = { ...layout, parts: layout.parts.filter((_, index) => index !== 2) };
    const { changes } = whyStation(without, { ...request, changes: true });
    expect(changes.filter(({ gain }) => gain.equals(ratio(5, 29))).map(({ change, chestsKeepUp }) => [change.kind, chestsKeepUp])).toEqual([['add', false]]);
  });
});
