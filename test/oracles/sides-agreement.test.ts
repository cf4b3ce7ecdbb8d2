/**
 * As `agreement.test.ts`, on sites with two sides, some of them with parts beyond an end of the track: the two simulators
 * hold the same items in the same places, tick for tick, count the same, and find the same flows. TRANSLOOM_PLANS sets how
 * many plans (120), TRANSLOOM_SEED the first seed (1). What a plan does on the other side of the track is in
 * `test/relations/sides.test.ts`.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { ONE } from '../../src/base/rational.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { tilesOf, wagonAt, pickTile, type Layout } from '../../src/layout/layout.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { writePlan } from '../../src/layout/write-plan.js';
import { countItems } from '../../src/simulation/counts.js';
import { createRun } from '../../src/simulation/run.js';
import { runTrial } from '../../src/simulation/trial.js';
import { countDifference, describeDifference } from './compare-counts.js';
import { flowDifference } from './compare-flows.js';
import { armsInOrder, placeDifference, type Watch } from './compare-places.js';
import { planDocument, seededSidesPlan, shrinkPlan } from './random-plans.js';

const plans = Number(process.env.TRANSLOOM_PLANS ?? 120);
const firstSeed = Number(process.env.TRANSLOOM_SEED ?? 1);
const seeds = Array.from({ length: plans }, (_, index) => firstSeed + index);

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

/** What such plans must have among them. */
const SORTS: Readonly<Record<string, (layout: Layout) => boolean>> = {
  'arms from one wagon on both sides': ({ parts, wagons }) =>
    ['N', 'S'].every((heading) => parts.some((part) => part.kind === 'arm' && part.heading === heading && wagonAt(wagons, pickTile(part)) !== undefined)),
  'an arm that picks over the end of a wagon': ({ parts, wagons }) =>
    parts.some((part) => part.kind === 'arm' && (part.at.y === -1 || part.at.y === -2) && wagonAt(wagons, pickTile(part)) !== undefined),
  'an underpass beneath the track': ({ parts }) =>
    parts.some((part) => part.kind === 'underpass' && Math.sign(part.from.y + 1.5) !== Math.sign(part.to.y + 1.5)),
  'parts beyond the end of the track': ({ parts }) => parts.some((part) => tilesOf(part).some(({ y }) => y === -1 || y === -2)),
  'an exit in the north': ({ exits }) => exits.some(({ at, heading }) => at.y < -2 && heading === 'N'),
  'an entry': ({ entries = [] }) => entries.length > 0,
};

describe('the two simulators, with both sides of a wagon', () => {
  it(`count the same on ${plans} plans from seed ${firstSeed} on`, { timeout: 60_000 + plans * 100 }, () => {
    const failures: string[] = [];
    let moved = 0;
    for (const seed of seeds) {
      const layout = seededSidesPlan(seed);
      const ticks = ticksFor(seed);
      if (countItems(layout, ticks[2]).exits.some(({ left, right }) => left + right > 0)) moved += 1;
      if (countDifference(layout, ticks, countItems) === undefined) continue;
      failures.push(describeDifference(`seed ${seed}`, layout, ticks, countItems));
      if (failures.length >= 3) break;
    }
    expect(failures).toEqual([]);
    expect(moved).toBeGreaterThan(plans / 3);
  });

  it('hold their items in the same places, tick for tick', { timeout: 60_000 + plans * 100 }, () => {
    const failures: string[] = [];
    for (const seed of seeds.filter((_, index) => index % 4 < 2)) {
      const layout = seededSidesPlan(seed);
      const delays = delaysFor(seed, armsInOrder(layout).length);
      if (placeDifference(layout, 100, watch, delays) === undefined) continue;
      const standard = placeDifference(layout, 100, watch) !== undefined;
      const small = standard ? shrinkPlan(layout, (plan) => placeDifference(plan, 100, watch) !== undefined) : layout;
      failures.push(`seed ${seed}: ${placeDifference(small, 100, watch, standard ? [] : delays)}\n${JSON.stringify(planDocument(small))}`);
      if (failures.length >= 3) break;
    }
    expect(failures).toEqual([]);
  });

  it('find the same exact flows', { timeout: 60_000 + plans * 200 }, () => {
    const failures: string[] = [];
    let exact = 0;
    for (const seed of seeds.filter((_, index) => index % 5 === 0)) {
      const layout = seededSidesPlan(seed);
      const trial = runTrial(layout, { starts: 0, seed: 1, tickLimit: 20_000, presence: ONE });
      const difference = flowDifference(layout, trial, 1000);
      if (difference === undefined) exact += 1;
      else if (difference !== 'unproven') failures.push(`seed ${seed}: ${difference}\n${JSON.stringify(planDocument(layout))}`);
    }
    expect(failures).toEqual([]);
    expect(exact).toBeGreaterThan(plans / 20);
  });
});

describe('random plans with two sides', () => {
  const layouts = seeds.map((seed) => seededSidesPlan(seed));

  it('are legal, and files hold them', () => {
    expect(layouts.flatMap((layout) => checkLegality(layout).map(({ code }) => code))).toEqual([]);
    for (const layout of layouts) {
      const document = writePlan(layout);
      const read = parsePlan(document, layout.catalog);
      expect(read.ok && writePlan(read.value)).toEqual(document);
    }
  });

  it.each(Object.entries(SORTS))('have among them: %s', (_, isOfSort) => {
    // A batch of a few plans can't hold everything.
    expect(plans < 120 || layouts.some(isOfSort)).toBe(true);
  });
});
