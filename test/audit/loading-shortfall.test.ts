/**
 * What gets from each entry into wagons, by the second simulator's flows, beside what the first one tells: of random plans, and
 * of belts that are joined, where all that is left counts against each.
 */
import { expect, it } from 'vitest';
import { carriedOff, measureLoading } from '../../src/audit/loading-shortfall.js';
import { flowsFrom } from '../../src/audit/steady-flow.js';
import { formatRational, isLess, ratio, ZERO } from '../../src/base/rational.js';
import { entriesOf, type Layout } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { leastLoaded } from '../../src/simulation/loading-flows.js';
import { termsByTarget } from '../../src/tasks/mend-terms.js';
import { seededLoadingPlan } from '../oracles/random-plans.js';
import { catalogOf, tinyLayout } from '../oracles/tiny-repairs.js';
import { loadJobOf } from '../documents.js';

const PATIENCE = { mostTicks: 3_000, shouldStop: () => false };
const STANDARD = { starts: 0, seed: 1, tickLimit: 20_000 };

it('is told alike by both simulators, of random plans', () => {
  let [compared, several, given] = [0, 0, 0];
  for (let seed = 1; seed <= 40; seed++) {
    const layout = seededLoadingPlan(seed);
    const presence = ratio(9, 10);
    const told = leastLoaded(layout, STANDARD, presence);
    if (told === undefined) continue;
    const flows = flowsFrom(layout, { delays: [] }, PATIENCE);
    if (flows.taken.includes(undefined) || flows.entered.includes(undefined)) continue;
    const found = carriedOff(layout, flows, presence);
    expect(found.map((flow, entry) => flow.compare(told.entries[entry])), `seed ${seed}`).toEqual(told.entries.map(() => 0));
    compared++;
    several += entriesOf(layout).length > 1 ? 1 : 0;
    given += found.some((flow) => isLess(ZERO, flow)) ? 1 : 0;
  }
  expect(Math.min(compared, several, given), JSON.stringify({ compared, several, given })).toBeGreaterThan(0);
});

it('is no more than what comes in, also where a chest beside gives more of what wagons get', () => {
  // Belts so slow that an arm out of a chest fills what is left free.
  const layout = seededLoadingPlan(20_240_808);
  const told = leastLoaded(layout, STANDARD, ratio(1));
  const flows = flowsFrom(layout, { delays: [] }, { ...PATIENCE, mostTicks: 300_000 });
  const found = carriedOff(layout, flows, ratio(1));
  expect(found.map(formatRational)).toEqual(['0', '1/120', '0']);
  expect(told?.entries.map(formatRational)).toEqual(['0', '1/120', '0']);
  expect(told?.wagons.map(formatRational)).toEqual(['3/29']);
});

it.each([
  ['by a tee merge', ['..N.', '>>>.', '.^..'], [{ at: { x: 0, y: 1 }, heading: 'E' as const }, { at: { x: 1, y: 2 }, heading: 'N' as const }]],
] as const)('of belts that are joined %s, what all bring does not count for each', (_, rows, places) => {
  const entries = places.map((place) => ({ ...place, give: undefined }));
  const layout: Layout = { ...tinyLayout(rows, catalogOf(undefined)), entries };
  expect(deriveNetwork(layout).carriers.filter(({ entry }) => entry !== undefined)).toHaveLength(2);
  const told = leastLoaded(layout, STANDARD, ratio(1));
  if (told === undefined) throw new Error('it repeats');
  const flows = flowsFrom(layout, { delays: [] }, PATIENCE);
  const most = told.wagons[0];
  expect(isLess(told.entries[1], most)).toBe(true);
  const { brief } = termsByTarget(layout, () => most);
  expect(measureLoading(layout, flows, brief, loadJobOf(brief)).shortfalls).toMatchObject(told.entries.flatMap((found, entry) => (isLess(found, most) ? [{ kind: 'entry', entry, found, asked: most }] : [])));
});
