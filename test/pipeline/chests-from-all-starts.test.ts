/**
 * A promise holds from every start, and so must the chests keep up: the worst start is that of the worst exit, and from
 * another one more may leave than is brought. So it is told, and asked of changes.
 */
import { describe, expect, it } from 'vitest';
import { ratio } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import { breachesOf, type PlanPromise } from '../../src/ranking/promise.js';
import { plainInks } from '../../src/report/ink.js';
import { readTrial } from '../../src/report/read-trial.js';
import { trialJson } from '../../src/report/trial-json.js';
import { trialText } from '../../src/report/trial-text.js';
import { failingLines } from '../../src/report/why-text.js';
import { overStarts, runTrial } from '../../src/simulation/trial.js';
import type { ChestTrial, TrialResult } from '../../src/simulation/trial-result.js';
import { tryPlan } from '../../src/tasks/try-plan.js';
import { failingChests, whyDocument, whyReport, whyStation } from '../../src/tasks/why-station.js';
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
    expect(found.chests.map(({ keepsUp, runsDryFrom, outflow }) => [keepsUp, runsDryFrom, outflow.toFraction()])).toEqual([[false, 0, '5/27']]);
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

describe('of a chest that runs dry from one start and fills up from another, both are told', () => {
  // From the start shown it does neither; half of the time a wagon stands there.
  const presence = ratio(1, 2);
  const at = (outflow: number, inflow: number, keepsUp: boolean): ChestTrial => ({ at: chest.at, outflow: ratio(outflow, 10), supply: ratio(4, 10), loads: { inflow: ratio(inflow, 10), carryOff: ratio(6, 10) }, keepsUp });
  const starts = [at(2, 3, true), at(3, 2, false), at(1, 5, false), at(9, 9, false)].map((each, start) => ({ start, chest: each }));
  const joined = overStarts(starts[0].chest, starts, presence);
  const told: TrialResult = { ...trial, chests: [joined] };

  it('each as from the first such start', () => {
    expect(joined).toEqual({ ...at(3, 5, false), runsDryFrom: 1, fillsUpFrom: 2 });
    // What fails from the start shown is told of that.
    expect(overStarts(starts[2].chest, starts, presence)).toEqual({ ...at(3, 5, false), runsDryFrom: 1 });
    expect(overStarts(starts[0].chest, starts.slice(0, 1), presence)).toEqual(starts[0].chest);
  });

  it('by trial, by its JSON, and of a promise', () => {
    expect(trialText({ layout, trial: told, presence }, STYLE).join('\n')).toMatch(/fills up from staggered start 2[^]*runs dry from staggered start 1/);
    expect(readTrial(trialJson(told, layout.catalog.ticksPerSecond)).chests).toEqual([joined]);
    const promise: PlanPromise = { exits: [], wagons: undefined, together: undefined, cost: trial.cost, starts: 3, seed: 1, presence, spotting: 0 };
    expect(breachesOf(promise, { exits: [], together: ratio(0), wagons: undefined }, told).map(({ kind }) => kind)).toEqual(['chest-fills-up', 'chest-runs-dry']);
  });

  it('by why', () => {
    expect(failingChests(told, presence)).toEqual({
      drying: [{ at: chest.at, outflow: ratio(3, 10), supply: ratio(2, 10), fromStart: 1 }],
      filling: [{ at: chest.at, inflow: ratio(5, 10), carryOff: ratio(3, 10), fromStart: 2 }],
    });
    const lines = failingLines({ layout, ...failingChests(told, presence) }, STYLE).join(' ');
    expect(lines).toMatch(/fills up from staggered start 2: .* runs dry from staggered start 1: /);
  });
});
