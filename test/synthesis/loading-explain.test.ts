/**
 * Infeasible briefs that load: the reason names what binds, and every change that is said to help does: a design of the
 * changed brief finds a station that passes, of the cost said, and what is called the least change is not undercut.
 * TRANSLOOM_SEED sets the first seed of the tiny ones.
 */
import { describe, expect, it } from 'vitest';
import { designStation, type DesignAnswer } from '../../src/index.js';
import { seededRandom } from '../../src/base/random.js';
import { isLess, minRational, ratio, ZERO } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { layoutCost } from '../../src/layout/layout.js';
import { changed } from '../../src/synthesis/change.js';
import type { Change, InfeasibleReason } from '../../src/synthesis/outcome.js';
import { remedyText } from '../../src/report/reason-text.js';
import { leastLoaded } from '../../src/simulation/loading-flows.js';
import { loadingSite } from '../../src/synthesis/loading/loading-site.js';
import { spotted } from '../../src/layout/spotting.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { briefOf, SEED } from '../documents.js';
import { unhurried } from '../unhurried.js';
import { everyPlan, isInside, tinyBrief } from '../oracles/every-loading-plan.js';

const FULL = 'models/briefs/grain-load-full.json';

type Design = (brief: Brief, timeLimitSeconds?: number) => Promise<DesignAnswer>;

const designBy =
  (now: () => number): Design =>
  (brief, timeLimitSeconds = 20) =>
    designStation(brief, { now, timeLimitSeconds });

async function reasonOf(brief: Brief, design: Design): Promise<InfeasibleReason> {
  const { outcome } = await design(brief);
  if (outcome.status !== 'infeasible') throw new Error(`${outcome.status}, not infeasible`);
  return outcome.reason;
}

/** One step back towards the brief; undefined where that is the brief itself, or no such step is known here. */
function smaller(change: Change, brief: Brief): Change | undefined {
  switch (change.kind) {
    case 'limit':
      return change.to - 1 > (brief.limits[change.limit] ?? Infinity) ? { ...change, to: change.to - 1 } : undefined;
    case 'target':
      return change.share.equals(ratio(19, 20)) ? undefined : { ...change, share: change.share.add(ratio(1, 20)) };
    case 'site':
      return change.to - 1 > (brief.site[change.side] ?? Infinity) ? { ...change, to: change.to - 1 } : undefined;
    default:
      return undefined;
  }
}

async function checkRemedies(brief: Brief, { nearest }: InfeasibleReason, design: Design): Promise<void> {
  const verify = loadingVerifier({ starts: brief.starts, seed: 1, tickLimit: 60_000 });
  for (const remedy of nearest) {
    const helped = changed(brief, remedy.changes);
    const { outcome } = await design(helped, 5);
    const text = remedyText(remedy, brief);
    if (!('layout' in outcome)) throw new Error(`${text}: ${outcome.status}`);
    expect(verify(outcome.layout, helped).verdict, text).toBe('passes');
    if (outcome.status === 'optimal') expect(remedy.cost, text).toBeGreaterThanOrEqual(layoutCost(outcome.layout));
    const less = remedy.least && remedy.changes.length === 1 ? smaller(remedy.changes[0], brief) : undefined;
    if (less !== undefined) expect((await design(changed(brief, [less]), 5)).outcome.status, text).not.toBe('optimal');
  }
}

describe('an infeasible brief that loads', () => {
  it.each<readonly [string, object, Partial<InfeasibleReason>, readonly string[]]>([
    ['a limit of cost', { limits: { cost: 35 } }, { kind: 'limit-too-low', limit: 'cost', allowed: 35, needed: 36 } as object, ['allow a cost of 36', 'lower the target to 3/5 of it (full in 7500 ticks']],
    ['a limit of arms', { limits: { arms: 1 } }, { kind: 'limit-too-low', limit: 'arms', allowed: 1, needed: 2 } as object, ['allow 2 arms: a station of cost 36']],
    ['a site of one row', { site: { width: 6, depth: 1 } }, { kind: 'site-too-small' }, ['add 1 row (depth 2)']],
    ['arms that stand beside nothing', { site: { width: 6, depth: 3, keepOut: [[0, 0, 5, 2]] }, entries: [{ edge: 'S', from: 0, to: 5, belt: 'quay belt' }], target: { full: '60s' } }, { kind: 'loading-too-slow', by: 'arms' }, ['free the kept-out 5 x 2 tiles at [0, 0]']],
    ['arms that carry too little', { feed: 'chests', site: { width: 1, depth: 5 }, entries: [{ edge: 'S', from: 0, to: 0, belt: 'quay belt', target: { fill: '1' } }], target: undefined }, { kind: 'loading-too-slow', by: 'arms' }, ['lower the target to']],
    ['belts that bring too little while a wagon stands there', { feed: 'direct', presence: '4/5', entries: [{ edge: 'S', from: 0, to: 5, belt: 'field belt', target: { fill: '0.82' } }], target: undefined }, { kind: 'loading-too-slow', by: 'entries' }, ['let wagons stand there for 17/20 of the time', 'feed "either"']],
    ['wagons that chests can not reach wherever they stop', { feed: 'chests', spotting: 3 }, { kind: 'spotting-too-far', way: 'into', spotting: 3, most: ratio(0) } as object, ['make wagons stop within']],
    ['wagons that too few arms reach wherever they stop', { feed: 'direct', site: { width: 4, depth: 3 }, wagons: [{ model: 'long grain wagon', at: 2 }], entries: [{ edge: 'S', from: 0, to: 3, belt: 'field belt', target: { fill: '0.6' } }], target: undefined, spotting: 1 }, { kind: 'spotting-too-far', way: 'into', spotting: 1 } as object, ['make wagons stop just at their place']],
    ['a wagon beyond all arms, wherever it stops', { feed: 'chests', site: { width: 6, depth: 1 }, spotting: 3 }, { kind: 'site-too-small' }, []],
    ['a range without a way', { site: { width: 6, depth: 2, keepOut: [[0, 0, 1, 1], [1, 1, 1, 1]] }, entries: [{ edge: 'S', from: 0, to: 0, belt: 'field belt' }], target: { full: '90s' } }, {}, ['let belt 1 come in over the south edge anywhere from 0 to 2']],
  ])('because of %s says so, and what helps', async (_, changes, expected, texts) => {
    const brief = briefOf(FULL, { starts: 1, ...changes });
    await unhurried(async (now) => {
      const design = designBy(now);
      const reason = await reasonOf(brief, design);
      expect(reason).toMatchObject(expected);
      const told = reason.nearest.map((remedy) => remedyText(remedy, brief)).join('\n');
      for (const text of texts) expect(told).toContain(text);
      await checkRemedies(brief, reason, design);
    });
  });

  it(`is helped by what is said to help, on tiny sites from seed ${SEED} on`, async () => {
    await unhurried(async (now) => {
      const design = designBy(now);
      let explained = 0;
      let remedies = 0;
      for (let seed = SEED; explained < 3; seed++) {
        const brief = tinyBrief(seed);
        const { outcome } = await design(brief, 2);
        if (outcome.status !== 'infeasible') continue;
        explained++;
        remedies += outcome.reason.nearest.length;
        await checkRemedies(brief, outcome.reason, design);
      }
      expect(remedies).toBeGreaterThan(0);
    });
  });
});

it(`no station brings more into wagons that stop short or far than is said, on tiny sites from seed ${SEED} on`, () => {
  let [briefs, ruledOut, stations, reached] = [0, 0, 0, 0];
  // Of the first ones some reach what is said.
  for (const seed of [99, SEED].flatMap((first) => Array.from({ length: 9 }, (_, index) => first + index))) {
    const plain = tinyBrief(seed);
    const draw = seededRandom(seed);
    const [{ model }] = plain.wagons;
    const brief: Brief = { ...plain, spotting: 1, wagons: [{ at: draw(3) - 1, model: { ...model, length: 1 + draw(4) } }] };
    if (brief.load === undefined || brief.feed === 'either') continue;
    briefs++;
    const { most, tooSlowFor } = loadingSite(brief, brief.load);
    ruledOut += tooSlowFor === 'target' && loadingSite({ ...brief, spotting: 0 }, brief.load).tooSlowFor === undefined ? 1 : 0;
    everyPlan(brief, brief.feed === 'chests' ? 6 : 5, (layout) => {
      if (!isInside(layout, brief.spotting) || checkLegality(layout).some(({ severity }) => severity === 'error')) return;
      const flows = spotted(layout, brief.spotting).map((stands) => leastLoaded(stands, { starts: 0, seed: 1, tickLimit: 20_000 }, brief.presence)?.together);
      if (flows.includes(undefined)) return;
      const least = flows.flatMap((flow) => flow ?? []).reduce(minRational);
      stations++;
      reached += least.equals(most) && isLess(ZERO, most) ? 1 : 0;
      if (isLess(most, least)) expect({ seed, parts: layout.parts }).toBe('bringing no more');
    });
  }
  expect(Math.min(ruledOut, stations, reached), JSON.stringify({ briefs, ruledOut, stations, reached })).toBeGreaterThan(0);
});
