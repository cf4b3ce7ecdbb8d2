/**
 * The two simulators on many plans: in what they count, in where their items lie, in their exact flows. What fails is
 * told with the plan, as small as it can be made. What a batch must hold is its test's to say.
 */
import { seededRandom } from '../../src/base/random.js';
import { ONE } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import { countItems } from '../../src/simulation/counts.js';
import { createRun } from '../../src/simulation/run.js';
import { runTrial } from '../../src/simulation/trial.js';
import { countDifference, describeDifference } from './compare-counts.js';
import { flowDifference } from './compare-flows.js';
import { armsInOrder, placeDifference, type Watch } from './compare-places.js';
import { planDocument, shrinkPlan } from './random-plans.js';

type PlanOf = (seed: number) => Layout;

const MOST_TOLD = 3;

/** Ticks to compare after: early, middle and late, so that what is merely late is found too. */
export function ticksFor(seed: number): readonly number[] {
  const draw = seededRandom(seed * 7919 + 1);
  return [1 + draw(40), 40 + draw(100), 140 + draw(200)];
}

const watch: Watch = (layout, delays) => createRun(layout, { delays });

/** Every other seed has a staggered start. */
function delaysFor(seed: number, arms: number): readonly number[] {
  const draw = seededRandom(seed * 104_729 + 3);
  return Array.from({ length: arms }, () => (seed % 2 === 0 ? draw(30) : 0));
}

/** The first few plans on which they count differently. `events`: what the rules did, and how often; grows. */
export function countFailures(seeds: readonly number[], planOf: PlanOf, events?: Map<string, number>): readonly string[] {
  const failures: string[] = [];
  for (const seed of seeds) {
    const layout = planOf(seed);
    const ticks = ticksFor(seed);
    if (countDifference(layout, ticks, countItems, events) === undefined) continue;
    failures.push(describeDifference(`seed ${seed}`, layout, ticks, countItems));
    if (failures.length >= MOST_TOLD) break;
  }
  return failures;
}

/** The first few plans, of half of the seeds, on which they hold items in different places at some tick. */
export function placeFailures(seeds: readonly number[], planOf: PlanOf): readonly string[] {
  const failures: string[] = [];
  for (const seed of seeds.filter((_, index) => index % 4 < 2)) {
    const layout = planOf(seed);
    const delays = delaysFor(seed, armsInOrder(layout).length);
    if (placeDifference(layout, 100, watch, delays) === undefined) continue;
    // Delays belong to the arms of the whole plan, so it is shrunk from the standard start if that fails, too.
    const standard = placeDifference(layout, 100, watch) !== undefined;
    const small = standard ? shrinkPlan(layout, (plan) => placeDifference(plan, 100, watch) !== undefined) : layout;
    const difference = placeDifference(small, 100, watch, standard ? [] : delays);
    const start = standard ? 'standard start' : `delays ${delays.join(' ')}`;
    failures.push(`seed ${seed}, ${start}: ${difference}\n${JSON.stringify(planDocument(small))}`);
    if (failures.length >= MOST_TOLD) break;
  }
  return failures;
}

/** The plans, of a fifth of the seeds, whose flows differ; and on how many they are the same, exactly. */
export function flowAgreement(seeds: readonly number[], planOf: PlanOf): { readonly exact: number; readonly failures: readonly string[] } {
  const failures: string[] = [];
  let exact = 0;
  for (const seed of seeds.filter((_, index) => index % 5 === 0)) {
    const layout = planOf(seed);
    const trial = runTrial(layout, { starts: 0, seed: 1, tickLimit: 20_000, presence: ONE });
    const difference = flowDifference(layout, trial, 1000);
    if (difference === undefined) exact += 1;
    else if (difference !== 'unproven') failures.push(`seed ${seed}: ${difference}\n${JSON.stringify(planDocument(layout))}`);
  }
  return { exact, failures };
}
