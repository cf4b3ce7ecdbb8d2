/**
 * `tradeoffs` against brute force on tiny sites: among all legal plans up to a price, the same values that nothing
 * betters. TRANSLOOM_SEED sets the first seed, TRANSLOOM_BRIEFS the number of briefs, TRANSLOOM_STEPS the work for each.
 */
import { describe, expect, it } from 'vitest';
import { jainImbalance } from '../../src/base/jain.js';
import { formatRational, isLess, ratio, type Rational } from '../../src/base/rational.js';
import type { Brief, Objective } from '../../src/brief/brief.js';
import { asBurden, countedMeasures, isCounted } from '../../src/layout/measure.js';
import { layoutCost, partCount, type Layout } from '../../src/layout/layout.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import type { IntegerSolver } from '../../src/program/solver.js';
import type { TradeoffsOutcome } from '../../src/synthesis/choices/tradeoffs-outcome.js';
import { tradeoffs, type Extent } from '../../src/synthesis/choices/tradeoffs.js';
import { trainTimes } from '../../src/tasks/train-times.js';
import { SEED } from '../documents.js';
import { everyPlan } from './brute-force.js';
import { isInStatedSpace, verification, witnessOf } from './compare-designs.js';
import { tinyBrief, tinyBriefDocument } from './random-briefs.js';

const BRIEFS = Number(process.env['TRANSLOOM_BRIEFS'] ?? '90');
const STEPS = Number(process.env['TRANSLOOM_STEPS'] ?? '15000');
/** How often a search looks up before it is given up: the same on every machine. */
const MOST_LOOKS = 120;

/** Objectives beside cost, each list for some of the briefs. */
const OTHERS: readonly (readonly Exclude<Objective, 'fill'>[])[] = [
  ['footprint', 'parts', 'imbalance'],
  ['parts', 'imbalance'],
  ['width', 'depth'],
  ['imbalance'],
  ['arms', 'splitters', 'footprint'],
  ['depth', 'imbalance', 'arms'],
  ['dwell'],
  ['trainsPerHour', 'dwell'],
  ['parts', 'trainsPerHour', 'imbalance'],
];

const gist = (values: readonly Rational[]): string => values.map(formatRational).join(' ');

type FlowValues = Readonly<Record<'imbalance' | 'dwell' | 'trainsPerHour', Rational>>;

/** No layout is better in any of these. */
const AT_BEST: FlowValues = { imbalance: ratio(0), dwell: ratio(0), trainsPerHour: ratio(1_000_000_000) };

/** All the better the less. */
function burdensOf(objectives: readonly Exclude<Objective, 'fill'>[], layout: Layout, flows: FlowValues): readonly Rational[] {
  const values = { ...countedMeasures(layout), ...flows };
  return objectives.map((objective) => asBurden(objective, isCounted(objective) ? ratio(values[objective]) : flows[objective]));
}

const betters = (a: readonly Rational[], b: readonly Rational[]): boolean =>
  a.every((value, i) => value.compare(b[i]) <= 0) && a.some((value, i) => value.compare(b[i]) < 0);

/** Values of all plans up to `mostCost` that pass and that no other betters; undefined where that is too much work. */
function bruteForce(brief: Brief, objectives: readonly Exclude<Objective, 'fill'>[], mostCost: number, mostSteps: number): readonly string[] | undefined {
  const plans: Layout[] = [];
  const { arms, parts, cost, imbalance: mostImbalance, dwell: mostDwell, trainsPerHour: leastTrains } = brief.limits;
  const trainsCount = mostDwell !== undefined || leastTrains !== undefined || objectives.includes('dwell') || objectives.includes('trainsPerHour');
  const { complete } = everyPlan(brief, { mostCost, mostSteps }, (layout) => {
    if (arms !== undefined && layout.parts.filter(({ kind }) => kind === 'arm').length > arms) return;
    if (parts !== undefined && partCount(layout) > parts) return;
    if (cost !== undefined && layoutCost(layout) > cost) return;
    if (isInStatedSpace(layout)) plans.push(layout);
  });
  if (!complete || plans.length > mostSteps) return undefined;
  const passing: (readonly Rational[])[] = [];
  // Dear plans last, so that few of them must be simulated.
  for (const layout of plans.sort((a, b) => layoutCost(a) - layoutCost(b))) {
    const atBest = burdensOf(objectives, layout, AT_BEST);
    if (passing.some((values) => gist(values) === gist(atBest) || betters(values, atBest))) continue;
    const found = verification(layout, brief);
    const { passes, failure, chests } = found;
    if (failure?.kind === 'unproven') return undefined;
    if (!passes) continue;
    const imbalance = jainImbalance(chests.map(({ outflow }) => outflow));
    if (mostImbalance !== undefined && imbalance.compare(mostImbalance) > 0) continue;
    const trains = trainTimes(layout, found);
    if (trainsCount && trains === undefined) continue;
    if (mostDwell !== undefined && trains !== undefined && isLess(mostDwell, trains.dwell)) continue;
    if (leastTrains !== undefined && trains !== undefined && isLess(trains.trainsPerHour, leastTrains)) continue;
    passing.push(burdensOf(objectives, layout, { ...AT_BEST, ...trains, imbalance }));
  }
  return [...new Set(passing.filter((values) => !passing.some((other) => betters(other, values))).map(gist))].sort();
}

function search(brief: Brief, objectives: readonly Objective[], extent: Extent, solver: IntegerSolver): Promise<TradeoffsOutcome> {
  let looks = 0;
  return tradeoffs(brief, objectives, extent, {
    solver,
    now: () => performance.now(),
    shouldStop: () => ++looks > MOST_LOOKS,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
    onFound: () => undefined,
    verify: witnessOf,
  });
}

/** The brief with limits on what trains take: just what the dearest of a list by these has. Undefined where none has any. */
async function withTrainLimits(brief: Brief, upTo: number, which: number, solver: IntegerSolver): Promise<Brief | undefined> {
  const { status, list } = await search(brief, ['cost', 'dwell', 'trainsPerHour'], { upTo }, solver);
  const [, dwell, trainsPerHour] = list.at(-1)?.values ?? [];
  if (status !== 'complete' || dwell === undefined) return undefined;
  const limits = [{ dwell }, { trainsPerHour }, { dwell, trainsPerHour }][which % 3];
  return { ...brief, limits: { ...brief.limits, ...limits } };
}

describe('tradeoffs against brute force', () => {
  it(`find the same values that nothing betters (from seed ${SEED})`, { timeout: 3_600_000 }, async () => {
    const solver = await loadGlpkSolver();
    const counts = { compared: 0, several: 0, uneven: 0, byTrains: 0, trainsLimited: 0, skipped: 0 };
    for (let n = 0; n < BRIEFS; n++) {
      const seed = SEED + n;
      const drawn = tinyBrief(seed, n % 3 === 2);
      if (drawn === undefined) continue;
      const cheapest = await search(drawn, ['cost'], { within: ratio(0) }, solver);
      if (cheapest.status !== 'complete') continue;
      const objectives = ['cost', ...OTHERS[n % OTHERS.length]] as const;
      const upTo = Math.ceil(Number(cheapest.list[0].values[0].n) * (1 + (1 + (n % 7)) / 10));
      const limited = n % 4 === 3 ? await withTrainLimits(drawn, upTo, n, solver) : undefined;
      const brief = limited ?? drawn;
      const brute = bruteForce(brief, objectives, upTo, STEPS);
      const found = brute && (await search(brief, objectives, { upTo }, solver));
      if (brute === undefined || found?.status !== 'complete') {
        counts.skipped++;
        continue;
      }
      const rows = found.list.map(({ values }) => gist(values.map((value, at) => asBurden(objectives[at], value)))).sort();
      if (rows.join('; ') !== brute.join('; ')) {
        expect.fail(
          `seed ${seed}, ${objectives.join()}, up to ${upTo}, limits ${JSON.stringify(brief.limits)}: found ${rows.join('; ')}, ` +
            `brute force ${brute.join('; ')}\n${JSON.stringify(tinyBriefDocument(seed, n % 3 === 2))}`,
        );
      }
      counts.compared++;
      if (brute.length > 1) counts.several++;
      if (brute.length > 1 && (objectives.includes('dwell') || objectives.includes('trainsPerHour'))) counts.byTrains++;
      if (brute.length > 0 && limited !== undefined) counts.trainsLimited++;
      if (objectives.includes('imbalance') && found.list.some(({ values }) => values[objectives.indexOf('imbalance')].compare(0) > 0)) counts.uneven++;
      for (const { layout } of found.list) {
        expect(verification(layout, brief).passes).toBe(true);
        expect(isInStatedSpace(layout)).toBe(true);
      }
    }
    console.log(`compared: ${JSON.stringify(counts)}`);
    expect(counts.compared).toBeGreaterThanOrEqual(BRIEFS / 10);
    expect(counts.several).toBeGreaterThan(0);
    expect(counts.byTrains).toBeGreaterThan(0);
    expect(counts.trainsLimited).toBeGreaterThan(0);
  });
});
