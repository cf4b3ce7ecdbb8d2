/**
 * The fast simulator and the naive reference hold and count the same items on random plans, tick for tick, and find the
 * same exact flows and gaps, from the standard start and from staggered ones. TRANSLOOM_PLANS sets how many plans (300), TRANSLOOM_SEED the first seed (1). Every kind of thing that
 * the rules know has to occur in a batch; see `src/audit/rationale.md` for what the reference chose where rules are silent.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { ONE } from '../../src/base/rational.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { countItems } from '../../src/simulation/counts.js';
import { createRun } from '../../src/simulation/run.js';
import { runTrial } from '../../src/simulation/trial.js';
import { countDifference, describeDifference } from './compare-counts.js';
import { flowDifference } from './compare-flows.js';
import { armsInOrder, placeDifference, type Watch } from './compare-places.js';
import { arbitraryPlan, planDocument, seededPlan, shrinkPlan } from './random-plans.js';

const plans = Number(process.env.TRANSLOOM_PLANS ?? 300);
const firstSeed = Number(process.env.TRANSLOOM_SEED ?? 1);
const seeds = Array.from({ length: plans }, (_, index) => firstSeed + index);

/** Each has to be an event of the batch, or with a star, to begin the name of one. */
const FEATURES = [
  'arm: left with a part-full hand',
  'arm: placed at the line, second choice',
  'arm: placed before its spot',
  'arm: placed beyond its spot',
  'arm: placed into a container',
  'arm: placed on belt across',
  'arm: placed on belt against',
  'arm: placed on belt along',
  'arm: placed on splitter across',
  'arm: placed on splitter against',
  'arm: placed on splitter along',
  'arm: placed on turn across',
  'arm: placed on turn against',
  'arm: placed on turn along',
  'arm: placed on underpass entry *',
  'arm: placed on underpass exit end *',
  'arm: took from a belt',
  'arm: took from a container',
  'arm: took from a splitter',
  'arm: took from a turn',
  'arm: took from a underpass',
  'arm: waits for room',
  'exit: both could leave, left first',
  'exit: both could leave, right first',
  'exit: left, metered',
  'exit: left, open',
  'exit: no credit',
  'order: behind rule dropped',
  'order: ring opened',
  'shape: faces nothing',
  'shape: head on',
  'shape: into a splitter side',
  'shape: into an underpass side',
  'shape: opposed tee',
  'shape: tee into through traffic',
  'shape: turn',
  'splitter: both want',
  'splitter: both want, favour',
  'splitter: changed halves',
  'splitter: crossed',
  'splitter: crossed by favour',
  'splitter: crossed to the second choice',
  'splitter: stopped at the line',
  'tee: entered',
  'tee: entered and left',
  'tee: entered beyond the target',
  'tee: two in one move',
  'tee: waits for the item ahead',
  'tee: waits for the item behind',
];

/** Ticks to compare after: early, middle and late, so that what is merely late is found too. */
function ticksFor(seed: number): readonly number[] {
  const draw = seededRandom(seed * 7919 + 1);
  return [1 + draw(40), 40 + draw(100), 140 + draw(200)];
}

const watch: Watch = (layout, delays) => createRun(layout, { delays });

/** Every other seed has a staggered start. */
function delaysFor(seed: number, arms: number): readonly number[] {
  const draw = seededRandom(seed * 104_729 + 3);
  return Array.from({ length: arms }, () => (seed % 2 === 0 ? draw(30) : 0));
}

describe('the two simulators', () => {
  it(`count the same on ${plans} plans from seed ${firstSeed} on`, { timeout: 60_000 + plans * 100 }, () => {
    const events = new Map<string, number>();
    const failures: string[] = [];
    for (const seed of seeds) {
      const layout = seededPlan(seed);
      const ticks = ticksFor(seed);
      if (countDifference(layout, ticks, countItems, events) === undefined) continue;
      failures.push(describeDifference(`seed ${seed}`, layout, ticks, countItems));
      if (failures.length >= 3) break;
    }
    expect(failures).toEqual([]);
    const occurs = (feature: string): boolean =>
      [...events.keys()].some((event) => (feature.endsWith('*') ? event.startsWith(feature.slice(0, -1)) : event === feature));
    // A batch of a few plans can't hold everything.
    if (plans >= 300) expect(FEATURES.filter((feature) => !occurs(feature))).toEqual([]);
  });

  it('hold their items in the same places, tick for tick', { timeout: 60_000 + plans * 100 }, () => {
    const failures: string[] = [];
    for (const seed of seeds.filter((_, index) => index % 4 < 2)) {
      const layout = seededPlan(seed);
      const delays = delaysFor(seed, armsInOrder(layout).length);
      if (placeDifference(layout, 100, watch, delays) === undefined) continue;
      // Delays belong to the arms of the whole plan, so it is shrunk from the standard start if that fails, too.
      const standard = placeDifference(layout, 100, watch) !== undefined;
      const small = standard ? shrinkPlan(layout, (plan) => placeDifference(plan, 100, watch) !== undefined) : layout;
      const difference = placeDifference(small, 100, watch, standard ? [] : delays);
      const start = standard ? 'standard start' : `delays ${delays.join(' ')}`;
      failures.push(`seed ${seed}, ${start}: ${difference}\n${JSON.stringify(planDocument(small))}`);
      if (failures.length >= 3) break;
    }
    expect(failures).toEqual([]);
  });

  it('find the same exact flows, gaps and outflows', { timeout: 60_000 + plans * 200 }, () => {
    const failures: string[] = [];
    let exact = 0;
    for (const seed of seeds.filter((_, index) => index % 5 === 0)) {
      const layout = seededPlan(seed);
      const trial = runTrial(layout, { starts: 0, seed: 1, tickLimit: 20_000, presence: ONE });
      const difference = flowDifference(layout, trial, 1000);
      if (difference === undefined) exact += 1;
      else if (difference !== 'unproven') failures.push(`seed ${seed}: ${difference}\n${JSON.stringify(planDocument(layout))}`);
    }
    expect(failures).toEqual([]);
    expect(exact).toBeGreaterThan(plans / 20);
  });

  it('count the same on plans that shrink', () => {
    fc.assert(
      fc.property(arbitraryPlan, fc.integer({ min: 1, max: 200 }), (layout, tick) => {
        const difference = countDifference(layout, [tick], countItems);
        if (difference !== undefined) throw new Error(`${difference}\n${JSON.stringify(planDocument(layout))}`);
      }),
      { numRuns: Math.ceil(plans / 10), seed: firstSeed },
    );
  });
});

describe('the random plans', () => {
  it('are legal, and most of them move many items', () => {
    const illegal = seeds.flatMap((seed) => checkLegality(seededPlan(seed)).map((finding) => `${seed} ${finding.code}`));
    expect(illegal).toEqual([]);
  });
});
