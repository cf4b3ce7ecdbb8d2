/**
 * As `agreement.test.ts`, on plans with entries and arms that pick from carriers: the two simulators hold the same items
 * in the same places, tick for tick, count the same, and find the same flows. TRANSLOOM_PLANS sets how many plans (120),
 * TRANSLOOM_SEED the first seed (1).
 */
import { describe, expect, it } from 'vitest';
import { referenceRun } from '../../src/audit/reference-simulator.js';
import { seededRandom } from '../../src/base/random.js';
import { ONE } from '../../src/base/rational.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { countItems } from '../../src/simulation/counts.js';
import { createRun } from '../../src/simulation/run.js';
import { runTrial } from '../../src/simulation/trial.js';
import { countDifference, describeDifference } from './compare-counts.js';
import { flowDifference } from './compare-flows.js';
import { armsInOrder, placeDifference, type Watch } from './compare-places.js';
import { planDocument, seededLoadingPlan, shrinkPlan } from './random-plans.js';

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

const watch: Watch = (layout, delays) => createRun(layout, { delays });

function ticksFor(seed: number): readonly number[] {
  const draw = seededRandom(seed * 7919 + 1);
  return [1 + draw(40), 40 + draw(100), 140 + draw(200)];
}

/** Every other seed has a staggered start. */
function delaysFor(seed: number, arms: number): readonly number[] {
  const draw = seededRandom(seed * 104_729 + 3);
  return Array.from({ length: arms }, () => (seed % 2 === 0 ? draw(30) : 0));
}

describe('the two simulators, with entries', () => {
  it(`count the same on ${plans} plans from seed ${firstSeed} on`, { timeout: 60_000 + plans * 100 }, () => {
    const events = new Map<string, number>();
    const failures: string[] = [];
    for (const seed of seeds) {
      const layout = seededLoadingPlan(seed);
      const ticks = ticksFor(seed);
      if (countDifference(layout, ticks, countItems, events) === undefined) continue;
      failures.push(describeDifference(`seed ${seed}`, layout, ticks, countItems));
      if (failures.length >= 3) break;
    }
    expect(failures).toEqual([]);
    // A batch of a few plans can't hold everything.
    if (plans >= 120) expect(FEATURES.filter((feature) => !events.has(feature))).toEqual([]);
  });

  it('hold their items in the same places, tick for tick', { timeout: 60_000 + plans * 100 }, () => {
    const failures: string[] = [];
    for (const seed of seeds.filter((_, index) => index % 4 < 2)) {
      const layout = seededLoadingPlan(seed);
      const delays = delaysFor(seed, armsInOrder(layout).length);
      if (placeDifference(layout, 100, watch, delays) === undefined) continue;
      const standard = placeDifference(layout, 100, watch) !== undefined;
      const small = standard ? shrinkPlan(layout, (plan) => placeDifference(plan, 100, watch) !== undefined) : layout;
      failures.push(`seed ${seed}: ${placeDifference(small, 100, watch, standard ? [] : delays)}\n${JSON.stringify(planDocument(small))}`);
      if (failures.length >= 3) break;
    }
    expect(failures).toEqual([]);
  });

  it('hold the same items whether or not tiles are merged', () => {
    const unmerged: Watch = (layout, delays) => createRun(layout, { delays, mergeTiles: false });
    const failures = seeds.filter((_, index) => index % 8 === 0).flatMap((seed) => {
      const difference = placeDifference(seededLoadingPlan(seed), 60, unmerged);
      return difference === undefined ? [] : [`seed ${seed}: ${difference}`];
    });
    expect(failures).toEqual([]);
  });

  it('find the same exact flows', { timeout: 60_000 + plans * 200 }, () => {
    const failures: string[] = [];
    let exact = 0;
    for (const seed of seeds.filter((_, index) => index % 5 === 0)) {
      const layout = seededLoadingPlan(seed);
      const trial = runTrial(layout, { starts: 0, seed: 1, tickLimit: 20_000, presence: ONE });
      const difference = flowDifference(layout, trial, 1000);
      if (difference === undefined) exact += 1;
      else if (difference !== 'unproven') failures.push(`seed ${seed}: ${difference}\n${JSON.stringify(planDocument(layout))}`);
    }
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
