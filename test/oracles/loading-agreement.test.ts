/**
 * As `agreement.test.ts`, on plans with entries and arms that pick from carriers: the two simulators hold the same items
 * in the same places, tick for tick, count the same, and find the same flows. TRANSLOOM_PLANS sets how many plans (120),
 * TRANSLOOM_SEED the first seed (1).
 */
import { describe, expect, it } from 'vitest';
import { referenceRun } from '../../src/audit/reference-simulator.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { createRun } from '../../src/simulation/run.js';
import { placeDifference, type Watch } from './compare-places.js';
import { countFailures, flowAgreement, placeFailures } from './compare-plans.js';
import { seededLoadingPlan } from './random-plans.js';

const plans = Number(process.env.TRANSLOOM_PLANS ?? 120);
const firstSeed = Number(process.env.TRANSLOOM_SEED ?? 1);
const seeds = Array.from({ length: plans }, (_, index) => firstSeed + index);

const FEATURES = [
  'entry: came in',
  'entry: came in, metered',
  'entry: no credit',
  'entry: waits for room',
  'arm: took from a belt',
  'arm: took from a splitter',
  'arm: took from a turn',
  'arm: took from a underpass',
  'arm: left with a part-full hand',
  'arm: placed into a container',
  'order: ring opened',
  'order: behind rule dropped',
  'shape: tee into through traffic',
  'splitter: both want',
];

describe('the two simulators, with entries', () => {
  it(`count the same on ${plans} plans from seed ${firstSeed} on`, { timeout: 300_000 + plans * 100 }, () => {
    const events = new Map<string, number>();
    expect(countFailures(seeds, seededLoadingPlan, events)).toEqual([]);
    // A batch of a few plans can't hold everything.
    if (plans >= 120) expect(FEATURES.filter((feature) => !events.has(feature))).toEqual([]);
  });

  it('hold their items in the same places, tick for tick', { timeout: 300_000 + plans * 100 }, () => {
    expect(placeFailures(seeds, seededLoadingPlan)).toEqual([]);
  });

  it('hold the same items whether or not tiles are merged', () => {
    const unmerged: Watch = (layout, delays) => createRun(layout, { delays, mergeTiles: false });
    const failures = seeds.filter((_, index) => index % 8 === 0).flatMap((seed) => {
      const difference = placeDifference(seededLoadingPlan(seed), 60, unmerged);
      return difference === undefined ? [] : [`seed ${seed}: ${difference}`];
    });
    expect(failures).toEqual([]);
  });

  it('find the same exact flows', { timeout: 300_000 + plans * 200 }, () => {
    const { exact, failures } = flowAgreement(seeds, seededLoadingPlan);
    expect(failures).toEqual([]);
    expect(exact).toBeGreaterThan(plans / 20);
  });
});

describe('entries', () => {
  it('lose no item: what came in is on carriers, in hands, was delivered, or has left', () => {
    let cameIn = 0;
    for (const seed of seeds) {
      const run = referenceRun(seededLoadingPlan(seed));
      for (let tick = 0; tick < 60; tick += 1) {
        run.step();
        const { taken, delivered, left, entered, inside } = run.totals();
        expect(taken + entered, `seed ${seed}, tick ${tick}`).toBe(delivered + left + inside);
      }
      cameIn += run.totals().entered;
    }
    expect(cameIn).toBeGreaterThan(plans * 5);
  });

  it('are part of legal plans here', () => {
    const illegal = seeds.flatMap((seed) => checkLegality(seededLoadingPlan(seed)).map((finding) => `${seed} ${finding.code}`));
    expect(illegal).toEqual([]);
  });
});
