/**
 * How evenly chests fill, where it counts: as the least even of all starts and of all places where the wagons may stop has it,
 * also by the second simulator. TRANSLOOM_SEED sets the first seed of rows of chests.
 */
import { describe, expect, it } from 'vitest';
import { fillingImbalance } from '../../src/audit/loading-shortfall.js';
import { armsOf } from '../../src/audit/networks.js';
import { flowsFrom } from '../../src/audit/steady-flow.js';
import { jainImbalance } from '../../src/base/jain.js';
import { isLess, maxRational, minRational, ONE, ratio, ZERO, type Rational } from '../../src/base/rational.js';
import type { Layout, Part } from '../../src/layout/layout.js';
import { compileLayout } from '../../src/simulation/compile.js';
import { startDelays, Starts } from '../../src/simulation/starts.js';
import { chestFlows, throughChest } from '../../src/simulation/supply.js';
import { verifyLoading } from '../../src/simulation/verify-loading.js';
import { spotted } from '../../src/layout/spotting.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { judgeOf } from '../../src/tasks/mend-judge.js';
import { termsByTarget } from '../../src/tasks/mend-terms.js';
import { SEED } from '../documents.js';
import { tinyBrief } from '../oracles/every-loading-plan.js';
import { seededLoadingPlan } from '../oracles/random-plans.js';
import { catalogOf, tinyLayout } from '../oracles/tiny-repairs.js';

const STARTS = { starts: 3, seed: 1, tickLimit: 20_000 };
const PATIENCE = { mostTicks: 20_000, shouldStop: () => false };

/** By start, by the second simulator; undefined where some start does not come over again in time. */
function imbalances(layout: Layout): readonly Rational[] | undefined {
  const program = compileLayout(layout);
  const order = program.network.arms.map(({ part }) => layout.parts[part]);
  const found = Array.from({ length: STARTS.starts + 1 }, (_, start) => {
    const held = startDelays(program, STARTS.seed, start);
    const flows = flowsFrom(layout, { delays: armsOf(layout).map((arm) => held[order.indexOf(arm)]) }, PATIENCE);
    return flows.taken.includes(undefined) ? undefined : fillingImbalance(layout, flows);
  });
  return found.includes(undefined) ? undefined : found.flatMap((each) => each ?? []);
}

/** Chests beside each other along a belt, of catalogs drawn by seed. */
function row(seed: number): Layout {
  const { catalog } = tinyBrief(seed);
  const chests = 2 + (seed % 3);
  const plan = tinyLayout([`${'N'.repeat(chests)}.`, `${'o'.repeat(chests)}.`, `${'N'.repeat(chests)}.`, '>'.repeat(chests + 1)], catalogOf(undefined));
  const [arm, belt, chest] = [catalog.arms[0], catalog.belts[0], catalog.chests[0]];
  const parts = plan.parts.map((part): Part => {
    if (part.kind === 'arm') return { ...part, model: arm };
    if (part.kind === 'chest') return { ...part, model: chest };
    return part.kind === 'belt' ? { ...part, model: belt } : part;
  });
  return { ...plan, catalog, parts: parts.filter((part) => !(part.kind === 'belt' && part.at.x === chests)), entries: [{ at: { x: 0, y: 3 }, heading: 'E', give: undefined }] };
}

/** Random plans of which some starts fill chests less evenly than others; most fill them alike from every start. */
const UNLIKE = [1951, 2700, 10_394, 10_928];

it.each(UNLIKE)('is that of the least even start: random plan %i', (seed) => {
  const layout = seededLoadingPlan(seed);
  const starts = new Starts(compileLayout(layout), STARTS);
  const found = Array.from({ length: STARTS.starts + 1 }, (_, start) => jainImbalance(chestFlows(compileLayout(layout), starts.settle(start), ONE).map(throughChest)));
  const [least, most] = [found.reduce(minRational), found.reduce(maxRational)];
  expect(isLess(least, most)).toBe(true);
  const nothing = { entries: (layout.entries ?? []).map(() => ZERO), wagons: layout.wagons.map(() => ZERO), together: ZERO };
  const { failure, throughChests } = verifyLoading(layout, nothing, { ...STARTS, presence: ONE, exceed: false });
  expect(failure).toBeUndefined();
  expect(jainImbalance(throughChests)).toEqual(most);
});

it(`is told alike by both simulators, on rows of chests from seed ${SEED} on`, () => {
  let uneven = 0;
  for (let seed = SEED; seed < SEED + 40; seed++) {
    const layout = row(seed);
    const { failure, throughChests } = verifyLoading(layout, { entries: [ZERO], wagons: [ZERO], together: ZERO }, { ...STARTS, presence: ONE, exceed: false });
    const found = failure === undefined ? imbalances(layout) : undefined;
    if (found === undefined) continue;
    expect(jainImbalance(throughChests).compare(found.reduce(maxRational)), `seed ${seed}`).toBe(0);
    uneven += isLess(ZERO, found[0]) ? 1 : 0;
  }
  expect(uneven).toBeGreaterThan(0);
});

describe('where wagons stop short or far', () => {
  // One step short, the arm at the east misses the wagon; one far, both arms reach it again.
  const layout: Layout = {
    ...tinyLayout(['.NN.', '.oo.', '.NN.', '>>>.'], catalogOf(undefined)),
    entries: [{ at: { x: 0, y: 3 }, heading: 'E', give: undefined }],
  };
  const [wagon] = layout.wagons;
  const station: Layout = { ...layout, wagons: [{ ...wagon, model: { ...wagon.model, length: 3 } }] };
  const terms = termsByTarget(station, () => ratio(1, 10));
  const brief = { ...terms.brief, spotting: 1, feed: 'chests' as const };
  const most = spotted(station, 1).map((stands) => imbalances(stands)?.reduce(maxRational) ?? ZERO);

  it('is that of the least even place', () => {
    expect(most.map((each) => isLess(each, most[1]))).toEqual([true, false, true]);
    const witness = loadingVerifier(STARTS)(station, { ...brief, load: terms.brief.load });
    if (witness.verdict !== 'passes') throw new Error(witness.verdict);
    expect(jainImbalance(witness.chestOutflows)).toEqual(most[1]);
  });

  it('limits what a repair may be, to the very share', () => {
    const judged = (imbalance: Rational) => judgeOf({ ...terms, brief: { ...brief, limits: { ...brief.limits, imbalance } } }, STARTS)(station);
    expect(judged(most[1])).toEqual({ verdict: 'passes' });
    expect(judged(most[1].mul(ratio(99, 100)))).toMatchObject({ verdict: 'fails', lack: { kind: 'limit', limit: 'imbalance' } });
  });
});
