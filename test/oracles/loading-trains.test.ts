/**
 * Trains as limits and objectives where wagons are filled, against every legal plan of tiny sites (`every-loading-plan.ts`):
 * lists by cost, dwell and trains an hour hold what nothing betters, designs under a limit cost what the cheapest plan that
 * keeps to it costs; and what is counted of trains is what a trial and the second simulator's flows give.
 * TRANSLOOM_TRAINS adds dearer plans (minutes).
 */
import { describe, expect, it } from 'vitest';
import { fillingPace } from '../../src/audit/loading-shortfall.js';
import { flowsFrom } from '../../src/audit/steady-flow.js';
import { formatRational, isLess, ratio, type Rational } from '../../src/base/rational.js';
import type { Brief, Objective } from '../../src/brief/brief.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { layoutCost, type Layout } from '../../src/layout/layout.js';
import { asBurden, type TrainTimes } from '../../src/layout/measure.js';
import { trainFormula } from '../../src/ranking/train-formula.js';
import { runTrial } from '../../src/simulation/trial.js';
import { changed } from '../../src/synthesis/change.js';
import { designLoading } from '../../src/synthesis/loading/loading-design.js';
import { LoadingSearch } from '../../src/synthesis/loading/loading-search.js';
import { loadingTradeoffs } from '../../src/synthesis/loading/loading-tradeoffs.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { loadJobOf } from '../documents.js';
import { countedTools, everyPlan, isInside, TICK_LIMIT, tinyBrief, variedBrief } from './every-loading-plan.js';

const FURTHER = process.env['TRANSLOOM_TRAINS'] === undefined ? 0 : 1;
/** Seeds whose lists by dwell hold several stations, and how dear. */
const SEVERAL = [[9, 4], [36, 6], [39, 4], [88, 4], [109, 4], ...(FURTHER === 0 ? [] : ([[63, 6], [115, 5]] as const))] as const;
const OBJECTIVES: readonly Objective[] = ['cost', 'dwell', 'trainsPerHour'];

const briefAt = (seed: number): Brief => changed((seed % 3 === 2 ? variedBrief : tinyBrief)(seed), [{ kind: 'target', share: ratio(1, 3) }]);
const gist = (values: readonly Rational[]): string => values.map(formatRational).join(' ');
const betters = (a: readonly Rational[], b: readonly Rational[]): boolean =>
  a.every((value, i) => value.compare(b[i]) <= 0) && a.some((value, i) => value.compare(b[i]) < 0);

interface Passing {
  readonly layout: Layout;
  readonly cost: number;
  readonly trains: TrainTimes;
}

/** All plans of the stated space up to a cost that pass and fill all wagons. */
function passingPlans(brief: Brief, mostCost: number): readonly Passing[] {
  const verify = loadingVerifier({ starts: brief.starts, seed: 1, tickLimit: TICK_LIMIT });
  const passing: Passing[] = [];
  everyPlan(brief, mostCost, (layout) => {
    if (layout.parts.filter(({ kind }) => kind === 'arm').length > (brief.limits.arms ?? Infinity)) return;
    if (!isInside(layout, brief.spotting) || checkLegality(layout).some(({ severity }) => severity === 'error')) return;
    const witness = verify(layout, brief);
    if (witness.verdict === 'passes' && witness.trains !== undefined) passing.push({ layout, cost: layoutCost(layout), trains: witness.trains });
  });
  return passing;
}

const burdensOf = ({ cost, trains }: Omit<Passing, 'layout'>): readonly Rational[] => [ratio(cost), trains.dwell, asBurden('trainsPerHour', trains.trainsPerHour)];

describe('trains that are filled', () => {
  it.each(SEVERAL)('limit and rank stations of the tiny site %i as brute force finds', { timeout: 600_000 }, async (seed, cost) => {
    const brief = briefAt(seed);
    const mostCost = cost + FURTHER;
    const plans = passingPlans(brief, mostCost);
    const burdens = plans.map(burdensOf);
    const listOf = async (objectives: readonly Objective[]) => {
      const own = burdens.map((values) => values.filter((_, at) => objectives.includes(OBJECTIVES[at])));
      const best = [...new Set(own.filter((values) => !own.some((other) => betters(other, values))).map(gist))].sort();
      const found = await loadingTradeoffs(brief, loadJobOf(brief), objectives, { upTo: mostCost }, { ...countedTools(brief), onFound: () => undefined, onProgress: () => undefined });
      expect(found.status).toBe('complete');
      expect(found.list.map(({ values }) => gist(values.map((value, at) => asBurden(objectives[at], value)))).sort()).toEqual(best);
      return found;
    };
    const list = await listOf(OBJECTIVES);
    expect(list.list.length).toBeGreaterThan(1);
    await listOf(['cost', 'dwell']);
    await listOf(['cost', 'trainsPerHour']);

    for (const { values: [, dwell, trainsPerHour] } of list.list) {
      for (const limits of [{ dwell }, { trainsPerHour }, { dwell, trainsPerHour }]) {
        const limited: Brief = { ...brief, limits: { ...brief.limits, ...limits } };
        const outcome = await designLoading(limited, loadJobOf(limited), countedTools(limited));
        const keeps = plans.filter(({ trains }) => !(limits.dwell !== undefined && isLess(limits.dwell, trains.dwell)) && !(limits.trainsPerHour !== undefined && isLess(trains.trainsPerHour, limits.trainsPerHour)));
        expect([outcome.status, outcome.proof.cost], gist([dwell, trainsPerHour])).toEqual(['optimal', Math.min(...keeps.map((each) => each.cost))]);
      }
    }

    // No plan costs less than where a search begins that is held to the plan's own trains.
    for (const { cost: own, trains: { dwell, trainsPerHour } } of plans) {
      for (const limits of [{ dwell }, { trainsPerHour }]) {
        const limited: Brief = { ...brief, limits: { ...brief.limits, ...limits } };
        const search = new LoadingSearch(limited, loadJobOf(limited), { verify: () => ({ verdict: 'undecided' }) }, { admits: () => false, offer: () => undefined });
        search.begin();
        expect(search.bound).toBeLessThanOrEqual(own);
      }
    }

    // Of few plans, as a trial of the worst start and the second simulator's flows have them.
    for (const { layout, trains } of plans.filter((_, index) => index % Math.ceil(plans.length / 25) === 0)) {
      const found = trainFormula(layout, runTrial(layout, { starts: brief.starts, seed: 1, tickLimit: TICK_LIMIT, presence: brief.presence }));
      expect(found && [found.dwellTicks, found.trainsPerHour].map(formatRational)).toEqual([trains.dwell, trains.trainsPerHour].map(formatRational));
      if (brief.starts > 0) continue;
      const pace = fillingPace(layout, flowsFrom(layout, { delays: [] }, { mostTicks: TICK_LIMIT, shouldStop: () => false }));
      expect(pace && [pace.dwell, pace.trainsPerHour].map(formatRational)).toEqual([trains.dwell, trains.trainsPerHour].map(formatRational));
    }
  });

  it.each([
    ['dwell', { dwell: ratio(1) }, { kind: 'dwell-too-short', allowed: ratio(1) }],
    ['trains an hour', { trainsPerHour: ratio(1_000_000) }, { kind: 'too-few-trains', asked: ratio(1_000_000) }],
  ] as const)('are refused without a search where no arms or belts could give the %s asked for', async (_, limits, reason) => {
    for (const [seed] of SEVERAL) {
      const plain = briefAt(seed);
      const brief: Brief = { ...plain, limits: { ...plain.limits, ...limits } };
      const outcome = await designLoading(brief, loadJobOf(brief), countedTools(brief));
      expect(outcome).toMatchObject({ status: 'infeasible', reason, proof: { simulations: 0 } });
    }
  });
});
