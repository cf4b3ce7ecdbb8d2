/**
 * `tradeoffs` against brute force on tiny sites: among all legal plans up to a price, the same values that nothing
 * betters. TRANSLOOM_SEED sets the first seed, TRANSLOOM_BRIEFS the number of briefs, TRANSLOOM_STEPS the work for each.
 */
import { describe, expect, it } from 'vitest';
import { jainImbalance } from '../../src/base/jain.js';
import { formatRational, ratio, type Rational } from '../../src/base/rational.js';
import type { Brief, Objective } from '../../src/brief/brief.js';
import { countedMeasures } from '../../src/layout/measure.js';
import { layoutCost, partCount, type Layout } from '../../src/layout/layout.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import type { IntegerSolver } from '../../src/program/solver.js';
import type { TradeoffsOutcome } from '../../src/synthesis/tradeoffs-outcome.js';
import { tradeoffs, type Extent } from '../../src/synthesis/tradeoffs.js';
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
];

const gist = (values: readonly Rational[]): string => values.map(formatRational).join(' ');

function valuesOf(objectives: readonly Exclude<Objective, 'fill'>[], layout: Layout, imbalance: Rational): readonly Rational[] {
  const counted = countedMeasures(layout);
  return objectives.map((objective) => (objective === 'imbalance' ? imbalance : ratio(counted[objective])));
}

const betters = (a: readonly Rational[], b: readonly Rational[]): boolean =>
  a.every((value, i) => value.compare(b[i]) <= 0) && a.some((value, i) => value.compare(b[i]) < 0);

/** Values of all plans up to `mostCost` that pass and that no other betters; undefined where that is too much work. */
function bruteForce(brief: Brief, objectives: readonly Exclude<Objective, 'fill'>[], mostCost: number, mostSteps: number): readonly string[] | undefined {
  const plans: Layout[] = [];
  const { arms, parts, cost, imbalance: mostImbalance } = brief.limits;
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
    const atBest = valuesOf(objectives, layout, ratio(0));
    if (passing.some((values) => gist(values) === gist(atBest) || betters(values, atBest))) continue;
    const { passes, failure, chests } = verification(layout, brief);
    if (failure?.kind === 'unproven') return undefined;
    if (!passes) continue;
    const imbalance = jainImbalance(chests.map(({ outflow }) => outflow));
    if (mostImbalance !== undefined && imbalance.compare(mostImbalance) > 0) continue;
    passing.push(valuesOf(objectives, layout, imbalance));
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

describe('tradeoffs against brute force', () => {
  it(`find the same values that nothing betters (from seed ${SEED})`, { timeout: 3_600_000 }, async () => {
    const solver = await loadGlpkSolver();
    const counts = { compared: 0, several: 0, uneven: 0, skipped: 0 };
    for (let n = 0; n < BRIEFS; n++) {
      const seed = SEED + n;
      const brief = tinyBrief(seed, n % 3 === 2);
      if (brief === undefined) continue;
      const cheapest = await search(brief, ['cost'], { within: ratio(0) }, solver);
      if (cheapest.status !== 'complete') continue;
      const objectives = ['cost', ...OTHERS[n % OTHERS.length]] as const;
      const upTo = Math.ceil(Number(cheapest.list[0].values[0].n) * (1 + (1 + (n % 7)) / 10));
      const brute = bruteForce(brief, objectives, upTo, STEPS);
      const found = brute && (await search(brief, objectives, { upTo }, solver));
      if (brute === undefined || found?.status !== 'complete') {
        counts.skipped++;
        continue;
      }
      if (found.list.map(({ values }) => gist(values)).sort().join('; ') !== brute.join('; ')) {
        expect.fail(
          `seed ${seed}, ${objectives.join()}, up to ${upTo}: found ${found.list.map(({ values }) => gist(values)).join('; ')}, ` +
            `brute force ${brute.join('; ')}\n${JSON.stringify(tinyBriefDocument(seed, n % 3 === 2))}`,
        );
      }
      counts.compared++;
      if (brute.length > 1) counts.several++;
      if (objectives.includes('imbalance') && found.list.some(({ values }) => values[objectives.indexOf('imbalance')].compare(0) > 0)) counts.uneven++;
      for (const { layout } of found.list) {
        expect(verification(layout, brief).passes).toBe(true);
        expect(isInStatedSpace(layout)).toBe(true);
      }
    }
    console.log(`compared: ${JSON.stringify(counts)}`);
    expect(counts.compared).toBeGreaterThanOrEqual(BRIEFS / 10);
    expect(counts.several).toBeGreaterThan(0);
  });
});
