/**
 * Repairs of stations that fill wagons as a user meets them: plans that were broken on purpose are mended at no more than the
 * damage, what is promised is kept, and both simulators agree on the outcome. TRANSLOOM_MENDS sets how many plans are broken
 * (12), TRANSLOOM_SEED the first seed.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { measureLoading } from '../../src/audit/loading-shortfall.js';
import { flowsFrom } from '../../src/audit/steady-flow.js';
import { isLess, ONE, ratio, ZERO, type Rational } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { layoutCost, type Layout } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { designStation } from '../../src/pipeline.js';
import type { PlanPromise } from '../../src/ranking/promise.js';
import { overfullSentence } from '../../src/report/mend-text.js';
import { plainInks } from '../../src/report/ink.js';
import { countItems } from '../../src/simulation/counts.js';
import { leastLoaded } from '../../src/simulation/loading-flows.js';
import { overfullChest } from '../../src/simulation/overfull.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { mendDocument, mendPage, mendReport, mendSvg, type MendAnswer } from '../../src/tasks/mend-station.js';
import { termsByBrief, termsByPromise, termsByTarget } from '../../src/tasks/mend-terms.js';
import { briefOf, loadJobOf } from '../documents.js';
import { countDifference } from '../oracles/compare-counts.js';
import { catalogOf, tinyLayout } from '../oracles/tiny-repairs.js';
import { broken } from './broken-plan.js';
import { mendsFrom, repairOf, shippedPlan } from './repairs.js';

const plans = Number(process.env['TRANSLOOM_MENDS'] ?? 12);
const firstSeed = Number(process.env['TRANSLOOM_SEED'] ?? 1);
const seeds = Array.from({ length: plans }, (_, index) => firstSeed + index);
const STARTS = { starts: 2, seed: 1, tickLimit: 200_000 };

const now = (): number => performance.now();
const mended = mendsFrom(STARTS);

const designed = async (brief: Brief): Promise<Layout> => {
  const { outcome } = await designStation(brief, { now });
  if (outcome.status !== 'optimal') throw new Error(outcome.status);
  return outcome.layout;
};

function promiseOf(layout: Layout): PlanPromise {
  const wagons = leastLoaded(layout, STARTS, ONE)?.wagons.map((inflow, wagon) => ({ at: layout.wagons[wagon].at, inflow }));
  return { exits: [], wagons, together: undefined, cost: layoutCost(layout), starts: STARTS.starts, seed: STARTS.seed, presence: ONE, spotting: 0 };
}

const brief = briefOf('models/briefs/grain-load-full.json');

describe('broken plans that fill wagons', () => {
  let station: Layout;
  beforeAll(async () => {
    station = await designed(brief);
  });

  it('are mended at no more than the damage, and both simulators count what comes of it alike', { timeout: 600_000 }, async () => {
    const kinds = new Set<string>();
    let [proven, cheaper] = [0, 0];
    for (const seed of seeds) {
      const plan = seed % 2 === 0 ? shippedPlan('grain-loading') : station;
      const { layout, damage, kinds: what } = broken(plan, seed);
      for (const kind of what) kinds.add(kind);
      // Some proofs take long; a repair for no more than the damage is there long before.
      let best = Infinity;
      const patience = now() + 2_000;
      const answer = await mended(layout, termsByPromise(layout, promiseOf(plan)), {
        onProgress: (progress) => {
          best = progress.best ?? Infinity;
        },
        shouldStop: () => best <= damage && now() > patience,
      });
      const repair = repairOf(answer);
      expect({ seed, what, price: repair.price, within: repair.price <= damage }).toMatchObject({ within: true });
      expect(answer.outcome.proof.bound).toBeLessThanOrEqual(repair.price);
      expect(checkLegality(repair.layout).filter(({ severity }) => severity === 'error')).toEqual([]);
      expect(deriveNetwork(repair.layout).arms.filter(({ pick, place }) => pick.kind === 'wagon' && place.kind !== 'nothing')).toEqual([]);
      const [was, is] = [promiseOf(plan).wagons, promiseOf(repair.layout).wagons];
      is?.forEach(({ inflow }, wagon) => {
        expect(isLess(inflow, was?.[wagon].inflow ?? ZERO)).toBe(false);
      });
      expect(is).toHaveLength(plan.wagons.length);
      expect(countDifference(repair.layout, [150, 400], countItems)).toBeUndefined();
      const texts = [mendReport(answer, { ink: plainInks, ascii: false }).join('\n'), mendSvg(answer), mendPage(answer)];
      for (const text of texts) expect(text).not.toMatch(/undefined|NaN|\[object|Infinity/);
      expect(JSON.stringify(mendDocument(answer))).not.toContain('null');
      proven += answer.outcome.status === 'optimal' ? 1 : 0;
      cheaper += repair.price < damage ? 1 : 0;
    }
    expect(kinds.size).toBeGreaterThan(3);
    expect(proven).toBeGreaterThan(plans / 2);
    expect(cheaper).toBeLessThan(plans);
  });

  it('are held against a brief: its targets, limits, feed and belts', async () => {
    const { layout, damage } = broken(station, 3);
    const terms = termsByBrief(layout, brief);
    if ('flaw' in terms) throw new Error('the brief fits');
    const repair = repairOf(await mended(layout, terms));
    expect(repair.price).toBeLessThanOrEqual(damage);
    expect(loadingVerifier(STARTS)(repair.layout, brief).verdict).toBe('passes');
    const sound = await mended(station, terms);
    expect(sound.outcome).toMatchObject({ status: 'optimal', mend: { price: 0 } });
    const least = layoutCost(station);
    for (const [other, status] of [
      [{ ...brief, limits: { ...brief.limits, cost: least - 1 } }, 'unknown'],
      [{ ...brief, limits: { ...brief.limits, dwell: ratio(1) } }, 'unknown'],
    ] as const) {
      const tight = termsByBrief(station, other);
      if ('flaw' in tight) throw new Error('the brief fits');
      expect((await mended(station, tight, { timeLimitSeconds: 1 })).outcome.status).toBe(status);
    }
    const faster = layout.catalog.belts.find(({ name }) => name === 'quay belt');
    if (brief.load === undefined || faster === undefined) throw new Error('a brief that loads');
    const byOther = termsByBrief(station, { ...brief, load: { ...brief.load, entries: brief.load.entries.map((entry) => ({ ...entry, belt: faster })) } });
    if ('flaw' in byOther) throw new Error('the brief fits');
    const { steps } = repairOf(await mended(station, byOther));
    expect(steps.map(({ part }) => part.model.name)).toContain('quay belt');
  });

  it('must be of the same job, site and entries as the brief', () => {
    const load = loadJobOf(brief);
    expect(termsByBrief(station, briefOf('models/briefs/grain-060.json'))).toEqual({ flaw: 'job' });
    expect(termsByBrief({ ...station, entries: [], exits: [{ at: { x: 0, y: 4 }, heading: 'S', take: undefined }] }, brief)).toEqual({ flaw: 'job' });
    expect(termsByBrief(station, { ...brief, site: { ...brief.site, depth: 9 } })).toEqual({ flaw: 'site' });
    expect(termsByBrief(station, { ...brief, load: { ...load, entries: [...load.entries, ...load.entries] } })).toEqual({ flaw: { entry: 1 } });
  });
});

it('an arm that takes from a wagon is taken away, turned, or left without an end', async () => {
  const plan = shippedPlan('grain-loading');
  const parts = plan.parts.map((part) => (part.kind === 'arm' && part.at.y === 0 && part.at.x === 1 ? { ...part, heading: 'S' as const } : part));
  const { steps, price } = repairOf(await mended({ ...plan, parts }, termsByTarget(plan, () => ratio(1, 10))));
  expect(price).toBeGreaterThan(0);
  expect(steps.some(({ part }) => part.kind === 'arm' || part.kind === 'chest')).toBe(true);
});

it('a metered entry brings no more than it gives', async () => {
  const plan = shippedPlan('grain-loading');
  const metered: Layout = { ...plan, entries: [{ at: { x: 0, y: 3 }, heading: 'E', give: ratio(1, 10) }] };
  const all = await mended(metered, termsByTarget(metered, (_, most) => most));
  expect(all.outcome).toMatchObject({ status: 'optimal', mend: { price: 0 } });
  const more = await mended(metered, termsByTarget(metered, (_, most) => most.mul(2)));
  expect(more.outcome).toMatchObject({ status: 'infeasible', proof: { bound: Infinity } });
});

describe('a chest that fills up', () => {
  // Two arms fill a chest that one empties.
  const layout: Layout = { ...tinyLayout(['.N..', '.oW^', '.N.^', '>>>^'], catalogOf(undefined)), entries: [{ at: { x: 0, y: 3 }, heading: 'E', give: undefined }] };
  const answerAt = async (presence: Rational): Promise<MendAnswer> => {
    const terms = termsByTarget(layout, () => ratio(1, 10));
    return mended(layout, { ...terms, brief: { ...terms.brief, presence, feed: 'chests' } });
  };

  it.each([ONE, ratio(9, 10)])('is named with the arm that carries off too little, as the second simulator has it: presence %s', async (presence) => {
    const answer = await answerAt(presence);
    const flows = flowsFrom(layout, { delays: [] }, { mostTicks: 20_000, shouldStop: () => false });
    const { shortfalls } = measureLoading(layout, flows, answer.brief, loadJobOf(answer.brief));
    expect(shortfalls).toMatchObject([{ kind: 'overfull', at: { x: 1, y: 1 } }]);
    const [found] = shortfalls;
    if (found.kind !== 'overfull') throw new Error(found.kind);
    expect(answer.overfull).toEqual({ chest: found.at, arms: [{ x: 1, y: 0 }], inflow: found.inflow, carryOff: found.carryOff, offset: 0 });
    expect(found.carryOff).toEqual(ratio(1, 4).mul(presence));
    const sentence = overfullSentence(answer) ?? '';
    expect(sentence).toMatch(/^Before, the chest at \[1, 1\] fills up: .* come in, and the arm at \[1, 0\] carries off .* at most/);
    expect(sentence.includes('as wagons stand there 9/10 of the time')).toBe(!presence.equals(ONE));
    expect(mendReport(answer, { ink: plainInks, ascii: false }).join(' ').replace(/\s+/g, ' ')).toContain(sentence);
    expect(mendPage(answer)).toContain(sentence);
    expect(mendDocument(answer)).toMatchObject({ overfull: { at: [1, 1], arms: [[1, 0]], words: sentence } });
    // The repair does not fill up.
    expect(overfullChest(repairOf(answer).layout, STARTS, presence)).toBeUndefined();
  });

  it('is told with where wagons stop, in numbers that differ, and with all arms that empty it', async () => {
    const answer = await answerAt(ONE);
    if (answer.overfull === undefined) throw new Error('it fills up');
    const close = { ...answer.overfull, offset: -1, arms: [{ x: 1, y: 0 }, { x: 0, y: 1 }], inflow: ratio(2501, 10_000) };
    expect(overfullSentence({ ...answer, overfull: close })).toContain('fills up, where wagons stop 1 tile short: ');
    expect(overfullSentence({ ...answer, overfull: close })).toContain('(2501/10000 per tick) come in, and the arms at [1, 0] and [0, 1] carry off');
  });

  it('is not told of where none does', async () => {
    const plan = shippedPlan('grain-loading');
    const answer = await mended(plan, termsByTarget(plan, () => ratio(1, 10)));
    expect(answer.overfull).toBeUndefined();
    expect(mendDocument(answer)).not.toHaveProperty('overfull');
  });
});
