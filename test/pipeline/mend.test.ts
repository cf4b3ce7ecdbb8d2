/**
 * Repairs as a user meets them: plans that were broken on purpose are mended at no more than the damage, what gives enough
 * is left alone, what is to be kept stays, and both simulators agree on the outcome. TRANSLOOM_MENDS sets how many
 * plans are broken (18), TRANSLOOM_SEED the first seed.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { boxHolds } from '../../src/base/geometry.js';
import { ONE, ratio } from '../../src/base/rational.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { layoutCost, tilesOf, type Layout, type Part } from '../../src/layout/layout.js';
import { mendDocument, mendReport } from '../../src/tasks/mend-station.js';
import { termsByBrief, termsByPromise, termsByTarget } from '../../src/tasks/mend-terms.js';
import { designStation } from '../../src/pipeline.js';
import type { PlanPromise } from '../../src/ranking/promise.js';
import { plainInks } from '../../src/report/ink.js';
import { countItems } from '../../src/simulation/counts.js';
import { leastFlows } from '../../src/simulation/least-flows.js';
import { runTrial } from '../../src/simulation/trial.js';
import { briefOf } from '../documents.js';
import { countDifference } from '../oracles/compare-counts.js';
import { seededPlan } from '../oracles/random-plans.js';
import { broken } from './broken-plan.js';
import { arm, belt, chest, exit, layoutOf, splitter, splitterModel, wagonModel } from '../simulation/sketch.js';
import { mendsFrom, repairOf, shippedPlan } from './repairs.js';

const plans = Number(process.env['TRANSLOOM_MENDS'] ?? 18);
const firstSeed = Number(process.env['TRANSLOOM_SEED'] ?? 1);
const seeds = Array.from({ length: plans }, (_, index) => firstSeed + index);
/** How often a search is asked whether it is to stop before a repair for the damage will do: some two seconds. */
const PATIENCE = 2_000;

const STARTS = { starts: 4, seed: 1, tickLimit: 200_000 };

const now = (): number => performance.now();
const mended = mendsFrom(STARTS);

const designed = async (name: string): Promise<Layout> => {
  const { outcome } = await designStation(briefOf(`test/cases/${name}.json`), { now });
  if (outcome.status !== 'optimal') throw new Error(outcome.status);
  return outcome.layout;
};

const promiseOf = (layout: Layout): PlanPromise => {
  const { exits, together } = leastFlows(layout, STARTS);
  return { exits: exits.map((flows, exit) => ({ ...layout.exits[exit], ...flows })), together, cost: layoutCost(layout), starts: STARTS.starts, seed: STARTS.seed, presence: ONE, spotting: 0 };
};

describe('broken plans', () => {
  let whole: readonly Layout[] = [];
  beforeAll(async () => {
    const names = ['tiny-4x5-060', 'tiny-4x5-100', 'headline-060', 'headline-100', 'suite-35-two-belts-030-6x8'];
    whole = [...['grain-two-bins', 'grain-direct-tee', 'grain-middle-bin', 'grain-two-exits'].map(shippedPlan), ...(await Promise.all(names.map(designed)))];
  });

  it('are mended at no more than the damage, and both simulators count what comes of it alike', { timeout: 1_200_000 }, async () => {
    const kinds = new Map<string, number>();
    let proven = 0;
    let cheaper = 0;
    for (const seed of seeds) {
      const plan = whole[seed % whole.length];
      const { layout, damage, kinds: what } = broken(plan, seed);
      for (const kind of what) kinds.set(kind, (kinds.get(kind) ?? 0) + 1);
      // Some proofs take long; a repair for no more than the damage is there long before. Counted, not timed: a busy
      // machine finds no less.
      let best = Infinity;
      let asked = 0;
      const answer = await mended(layout, termsByPromise(layout, promiseOf(plan)), {
        timeLimitSeconds: undefined,
        onProgress: (progress) => {
          best = progress.best ?? Infinity;
        },
        shouldStop: () => ++asked > PATIENCE && best <= damage,
      });
      expect({ seed, what, status: answer.outcome.status }).not.toMatchObject({ status: 'unknown' });
      const repair = repairOf(answer);
      expect({ seed, what, price: repair.price, within: repair.price <= damage }).toMatchObject({ within: true });
      expect(answer.outcome.proof.bound).toBeLessThanOrEqual(repair.price);
      expect(checkLegality(repair.layout).filter(({ severity }) => severity === 'error')).toEqual([]);
      const given = leastFlows(repair.layout, STARTS);
      given.exits.forEach(({ flow }, exit) => {
        expect(flow.compare(answer.brief.exits[exit].target.total)).toBeGreaterThanOrEqual(0);
      });
      expect(countDifference(repair.layout, [150, 400], countItems)).toBeUndefined();
      const text = mendReport(answer, { ink: plainInks, ascii: false }).join('\n');
      expect(text).not.toMatch(/undefined|NaN|\[object|Infinity/);
      expect(JSON.stringify(mendDocument(answer))).not.toContain('null');
      proven += answer.outcome.status === 'optimal' ? 1 : 0;
      cheaper += repair.price < damage ? 1 : 0;
    }
    expect([...kinds.keys()]).toEqual(expect.arrayContaining(['removed belt', 'turned belt', 'removed arm', 'turned arm', 'removed chest']));
    expect(proven).toBeGreaterThan(plans / 3);
    expect(cheaper).toBeLessThan(plans);
  });

  it('steps say what changes, and add up', async () => {
    const plan = whole[2];
    const { layout } = broken(plan, 5);
    const { steps, price, layout: after } = repairOf(await mended(layout, termsByPromise(layout, promiseOf(plan))));
    const key = (part: Part): string => JSON.stringify({ ...part, model: part.model.name }, Object.keys(part).concat('x', 'y', 'model').sort());
    const parts = new Set(layout.parts.map(key));
    for (const step of steps) {
      if (step.kind !== 'add') expect(parts.delete(key(step.part))).toBe(true);
      if (step.kind !== 'remove') parts.add(key(step.kind === 'turn' ? step.turned : step.part));
    }
    expect([...parts].sort()).toEqual(after.parts.map(key).sort());
    expect(steps.reduce((sum, step) => sum + step.price, 0)).toBe(price);
  });
});

it('a plan that gives what is asked is left alone', async () => {
  let sound = 0;
  for (const seed of seeds) {
    const layout = seededPlan(seed);
    const area = layout.site.width * layout.site.depth;
    if (layout.exits.length === 0 || area > 80) continue;
    const promise = promiseOf(layout);
    const trial = runTrial(layout, { ...STARTS, presence: ONE });
    if (!trial.exact || !trial.chests.every(({ keepsUp }) => keepsUp)) continue;
    sound += 1;
    const { outcome } = await mended(layout, termsByPromise(layout, promise));
    expect({ seed, outcome }).toMatchObject({ outcome: { status: 'optimal', mend: { price: 0, steps: [] } } });
  }
  expect(sound).toBeGreaterThan(plans / 12);
});

describe('what is to be kept', () => {
  const plan = shippedPlan('grain-two-bins');
  const layout: Layout = { ...plan, parts: plan.parts.filter((part) => !('at' in part && part.at.x === 2 && part.at.y === 4)) };
  const terms = termsByPromise(layout, promiseOf(plan));

  it('stays, whatever else that costs', async () => {
    const box = { x: 2, y: 4, width: 1, height: 1 };
    const free = repairOf(await mended(layout, terms));
    const kept = repairOf(await mended(layout, terms, { kept: { boxes: [box], tiles: [] } }));
    expect(free.price).toBe(2);
    expect(kept.price).toBeGreaterThan(free.price);
    expect(kept.layout.parts.filter((part) => tilesOf(part).some((tile) => boxHolds(box, tile)))).toEqual([]);
  });

  it('may leave no way at all', async () => {
    // Arms that reach over two tiles can hand items across a narrower one.
    const boxes = [{ x: 0, y: 4, width: 6, height: 3 }];
    const underpasses: Layout = { ...layout, catalog: { ...layout.catalog, underpasses: [] } };
    const { outcome } = await mended(underpasses, termsByPromise(underpasses, promiseOf(plan)), { kept: { boxes, tiles: [] } });
    expect(outcome.status).toBe('infeasible');
  });

  it('is a part that is not turned', async () => {
    const turned: Layout = { ...plan, parts: plan.parts.map((part) => (part.kind === 'belt' && part.at.y === 3 ? { ...part, heading: 'E' } : part)) };
    const free = repairOf(await mended(turned, termsByPromise(turned, promiseOf(plan))));
    const kept = repairOf(await mended(turned, termsByPromise(turned, promiseOf(plan)), { kept: { boxes: [], tiles: [{ x: 2, y: 3 }] } }));
    expect(free.price).toBe(1);
    expect(kept.price).toBeGreaterThan(1);
    expect(kept.layout.parts).toContainEqual(expect.objectContaining({ at: { x: 2, y: 3 }, heading: 'E' }));
  });
});

describe('a brief', () => {
  const brief = briefOf('test/cases/tiny-4x5-060.json');

  it('limits and feeds what a repair may be', async () => {
    const whole = await designed('tiny-4x5-060');
    const least = layoutCost(whole);
    const { layout } = broken(whole, 2);
    const terms = termsByBrief(layout, brief);
    const tight = termsByBrief(layout, { ...brief, limits: { ...brief.limits, cost: least - 1 } });
    const direct = termsByBrief(whole, { ...brief, feed: 'direct' });
    if ('flaw' in terms || 'flaw' in tight || 'flaw' in direct) throw new Error('the brief fits');
    expect((await mended(layout, terms)).outcome.status).toBe('optimal');
    expect((await mended(layout, tight, { timeLimitSeconds: 2 })).outcome.status).not.toBe('optimal');
    const fed = repairOf(await mended(whole, direct));
    expect(fed.price).toBeGreaterThan(0);
    expect(fed.layout.parts.some(({ kind }) => kind === 'arm')).toBe(true);
  });

  it('fed by chests has no arm that draws straight from a wagon which stops short or far', async () => {
    // The arm in the east reaches the wagon only where that stops a tile too far.
    const parts = [arm(2, 0, 'S'), chest(2, 1), arm(2, 2, 'S'), belt(2, 3, 'S'), arm(4, 0, 'S'), belt(4, 1, 'S')];
    const sketch = layoutOf(parts, [exit(2, 3, 'S')], { wagons: [{ model: { ...wagonModel, length: 3 }, at: 1 }] });
    const layout = { ...sketch, site: { width: 6, depth: 4, keepOut: [] } };
    const { brief: asked, ...terms } = termsByTarget(layout, () => ratio(1, 100));
    const mendedOf = async (changes: Partial<typeof asked>): Promise<Layout> => repairOf(await mended(layout, { ...terms, brief: { ...asked, ...changes } })).layout;
    expect((await mendedOf({ feed: 'chests', spotting: 0 })).parts).toEqual(parts);
    expect((await mendedOf({ feed: 'either', spotting: 1 })).parts).toEqual(parts);
    expect((await mendedOf({ feed: 'chests', spotting: 1 })).parts).not.toContainEqual(parts[4]);
  });

  it('must be of the same site, wagons, catalog and exits', async () => {
    const whole = await designed('tiny-4x5-060');
    expect(termsByBrief(whole, { ...brief, site: { ...brief.site, depth: 9 } })).toEqual({ flaw: 'site' });
    expect(termsByBrief(whole, { ...brief, wagons: [] })).toEqual({ flaw: 'wagons' });
    expect(termsByBrief(whole, { ...brief, catalog: { ...brief.catalog, pitch: 59 } })).toEqual({ flaw: 'catalog' });
    expect(termsByBrief(whole, { ...brief, exits: [...brief.exits, ...brief.exits] })).toEqual({ flaw: { exit: 1 } });
  });
});

it('a target may ask for more than any layout gives', async () => {
  const plan = shippedPlan('grain-two-bins');
  const { outcome } = await mended(plan, termsByTarget(plan, (_, saturated) => saturated.mul(ratio(3))));
  expect(outcome).toMatchObject({ status: 'infeasible', proof: { bound: Infinity } });
});

it('is looked for no longer than asked, also where one layout gives many to look at', async () => {
  const layout = shippedPlan('grain-two-exits');
  // A clock on which everything takes long, so that the search looks widely at once.
  let ticks = 0;
  let asked = 0;
  const { outcome } = await mended(layout, termsByTarget(layout, (_, saturated) => saturated), { now: () => (ticks += 200), timeLimitSeconds: undefined, shouldStop: () => ++asked > 10 });
  expect(outcome).toMatchObject({ status: 'unknown', stoppedBy: 'interrupt' });
  expect(outcome.proof.simulations).toBeLessThan(20);
});

it('is proven on while any is looked for widely, so that much to look at holds nothing up', async () => {
  const layout = shippedPlan('grain-two-exits');
  let ticks = 0;
  let asked = 0;
  const { outcome } = await mended(layout, termsByTarget(layout, (_, saturated) => saturated), { now: () => (ticks += 20), timeLimitSeconds: undefined, shouldStop: () => ++asked > 300 });
  expect(outcome).toMatchObject({ stoppedBy: 'interrupt' });
  expect(outcome.proof.branches).toBeGreaterThan(20);
});

it('a splitter that is turned is told with the half that it favours', async () => {
  const favouring = splitterModel(15, true);
  const plan: Layout = {
    ...layoutOf([arm(2, 0, 'S'), splitter(2, 1, 'N', { favourOut: 'left' })], [exit(2, 1, 'S')], { wagons: [{ model: wagonModel, at: 0 }], catalog: { splitters: [favouring] } }),
    site: { width: 6, depth: 2, keepOut: [] },
  };
  const answer = await mended(plan, termsByTarget(plan, () => ratio(1, 10)));
  const told = { kind: 'splitter', model: favouring.name, favourOut: 'left' };
  expect(mendDocument(answer)).toMatchObject({ status: 'optimal', steps: [{ kind: 'turn', part: { ...told, at: [2, 1], heading: 'N' }, becomes: { ...told, at: [3, 1], heading: 'S' } }] });
});
