/**
 * As `agreement.test.ts`, on sites with two sides, some of them with parts beyond an end of the track: the two simulators
 * hold the same items in the same places, tick for tick, count the same, and find the same flows. TRANSLOOM_PLANS sets how
 * many plans (120), TRANSLOOM_SEED the first seed (1). What a plan does on the other side of the track is in
 * `test/relations/sides.test.ts`.
 */
import { describe, expect, it } from 'vitest';
import { checkLegality } from '../../src/layout/check-layout.js';
import { tilesOf, wagonAt, pickTile, type Layout } from '../../src/layout/layout.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { writePlan } from '../../src/layout/write-plan.js';
import { countItems } from '../../src/simulation/counts.js';
import { countFailures, flowAgreement, placeFailures, ticksFor } from './compare-plans.js';
import { seededSidesPlan } from './random-plans.js';

const plans = Number(process.env.TRANSLOOM_PLANS ?? 120);
const firstSeed = Number(process.env.TRANSLOOM_SEED ?? 1);
const seeds = Array.from({ length: plans }, (_, index) => firstSeed + index);

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
  it(`count the same on ${plans} plans from seed ${firstSeed} on`, { timeout: 300_000 + plans * 100 }, () => {
    const moved = seeds.filter((seed) => countItems(seededSidesPlan(seed), ticksFor(seed)[2]).exits.some(({ left, right }) => left + right > 0));
    expect(countFailures(seeds, seededSidesPlan)).toEqual([]);
    expect(moved.length).toBeGreaterThan(plans / 3);
  });

  it('hold their items in the same places, tick for tick', { timeout: 300_000 + plans * 100 }, () => {
    expect(placeFailures(seeds, seededSidesPlan)).toEqual([]);
  });

  it('find the same exact flows', { timeout: 300_000 + plans * 200 }, () => {
    const { exact, failures } = flowAgreement(seeds, seededSidesPlan);
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
