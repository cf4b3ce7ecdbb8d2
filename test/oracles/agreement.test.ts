/**
 * The fast simulator and the naive reference hold and count the same items on random plans, tick for tick, and find the
 * same exact flows and gaps, from the standard start and from staggered ones. TRANSLOOM_PLANS sets how many plans (300), TRANSLOOM_SEED the first seed (1). Every kind of thing that
 * the rules know has to occur in a batch; see `src/audit/rationale.md` for what the reference chose where rules are silent.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkLegality } from '../../src/layout/check-layout.js';
import { countItems } from '../../src/simulation/counts.js';
import { countDifference } from './compare-counts.js';
import { countFailures, flowAgreement, placeFailures } from './compare-plans.js';
import { arbitraryPlan, planDocument, seededPlan } from './random-plans.js';

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

describe('the two simulators', () => {
  it(`count the same on ${plans} plans from seed ${firstSeed} on`, { timeout: 300_000 + plans * 100 }, () => {
    const events = new Map<string, number>();
    expect(countFailures(seeds, seededPlan, events)).toEqual([]);
    const occurs = (feature: string): boolean =>
      [...events.keys()].some((event) => (feature.endsWith('*') ? event.startsWith(feature.slice(0, -1)) : event === feature));
    // A batch of a few plans can't hold everything.
    if (plans >= 300) expect(FEATURES.filter((feature) => !occurs(feature))).toEqual([]);
  });

  it('hold their items in the same places, tick for tick', { timeout: 300_000 + plans * 100 }, () => {
    expect(placeFailures(seeds, seededPlan)).toEqual([]);
  });

  it('find the same exact flows, gaps and outflows', { timeout: 300_000 + plans * 200 }, () => {
    const { exact, failures } = flowAgreement(seeds, seededPlan);
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
