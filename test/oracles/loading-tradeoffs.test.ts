/**
 * Lists of tradeoffs among loading stations against every legal plan of tiny sites (`every-loading-plan.ts`): up to the
 * price that a list is complete to, the same values that nothing betters; and each list begins with what a design finds.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_BRIEFS the number of briefs.
 */
import { describe, expect, it } from 'vitest';
import { jainImbalance } from '../../src/base/jain.js';
import { formatRational, ratio, type Rational } from '../../src/base/rational.js';
import type { Brief, Objective } from '../../src/brief/brief.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import type { Layout } from '../../src/layout/layout.js';
import { asBurden, countedMeasures, isCounted } from '../../src/layout/measure.js';
import { changed } from '../../src/synthesis/change.js';
import { designLoading } from '../../src/synthesis/loading/loading-design.js';
import { loadingTradeoffs } from '../../src/synthesis/loading/loading-tradeoffs.js';
import type { Extent } from '../../src/synthesis/choices/tradeoffs.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { loadJobOf, SEED } from '../documents.js';
import { countedTools, everyPlan, isInside, TICK_LIMIT, tinyBrief, variedBrief } from './every-loading-plan.js';

const BRIEFS = Number(process.env['TRANSLOOM_BRIEFS'] ?? '4');
/** Seeds whose lists hold several stations. */
const SEVERAL = [9, 39, 88, 109];
/** Dearer plans are too many. */
const MOST_COST = 6;

const OTHERS: readonly (readonly Objective[])[] = [['footprint', 'parts', 'imbalance'], ['fill'], ['width', 'depth'], ['arms', 'splitters', 'fill'], ['fill', 'imbalance', 'footprint']];

const gist = (values: readonly Rational[]): string => values.map(formatRational).join(' ');
const betters = (a: readonly Rational[], b: readonly Rational[]): boolean =>
  a.every((value, i) => value.compare(b[i]) <= 0) && a.some((value, i) => value.compare(b[i]) < 0);

/** Values of all plans of the stated space up to `mostCost` that pass and that no other betters. */
function bruteForce(brief: Brief, objectives: readonly Objective[], mostCost: number): readonly string[] {
  const verify = loadingVerifier({ starts: brief.starts, seed: 1, tickLimit: TICK_LIMIT });
  const burdens = (layout: Layout, imbalance: Rational, fill: Rational): readonly Rational[] => {
    const counts = countedMeasures(layout);
    return objectives.map((objective) => asBurden(objective, isCounted(objective) ? ratio(counts[objective]) : objective === 'fill' ? fill : imbalance));
  };
  const passing: (readonly Rational[])[] = [];
  everyPlan(brief, mostCost, (layout) => {
    if (layout.parts.filter(({ kind }) => kind === 'arm').length > (brief.limits.arms ?? Infinity)) return;
    const atBest = burdens(layout, ratio(0), ratio(1));
    if (passing.some((values) => gist(values) === gist(atBest) || betters(values, atBest))) return;
    if (!isInside(layout, brief.spotting) || checkLegality(layout).some(({ severity }) => severity === 'error')) return;
    const witness = verify(layout, brief);
    if (witness.verdict === 'passes') passing.push(burdens(layout, jainImbalance(witness.chestOutflows), witness.fill));
  });
  return [...new Set(passing.filter((values) => !passing.some((other) => betters(other, values))).map(gist))].sort();
}

const list = (brief: Brief, objectives: readonly Objective[], extent: Extent) =>
  loadingTradeoffs(brief, loadJobOf(brief), objectives, extent, { ...countedTools(brief), onFound: () => undefined, onProgress: () => undefined });

describe('lists of tradeoffs among loading stations', () => {
  it(`hold the same values that nothing betters as brute force finds (from seed ${SEED})`, { timeout: 600_000 }, async () => {
    const counts = { compared: 0, several: 0, uneven: 0, infeasible: 0, skipped: 0 };
    const drawn = Array.from({ length: BRIEFS }, (_, index) => SEED + index);
    for (const n of [...SEVERAL, ...drawn]) {
      const brief = changed((n % 3 === 2 ? variedBrief : tinyBrief)(n), [{ kind: 'target', share: ratio(1, 3) }]);
      const objectives = ['cost', ...OTHERS[n % OTHERS.length]] as const;
      const cheapest = await list(brief, objectives, { within: ratio(0) });
      if (cheapest.status === 'infeasible') counts.infeasible++;
      const least = Number(cheapest.list.at(0)?.values[0].n ?? MOST_COST + 1);
      if (least >= MOST_COST) {
        counts.skipped++;
        continue;
      }
      const upTo = SEVERAL.includes(n) ? Math.min(MOST_COST, least + 3) : Math.min(MOST_COST - 1, least + 1);
      const { status, list: found, completeTo } = await list(brief, objectives, { upTo });
      if (status !== 'complete') {
        counts.skipped++;
        continue;
      }
      expect(completeTo === 'all' || Number(completeTo) >= upTo, `seed ${n}`).toBe(true);
      const values = found.map((one) => one.values.map((value, at) => asBurden(objectives[at], value)));
      expect(values.map(gist).sort(), `seed ${n}, ${objectives.join()}, up to ${upTo}`).toEqual(bruteForce(brief, objectives, upTo));
      const design = brief.load && (await designLoading({ ...brief, minimise: objectives }, brief.load, countedTools(brief)));
      expect(design?.proof.cost).toBe(least);
      counts.compared++;
      counts.several += found.length > 1 ? 1 : 0;
      const imbalanceAt = (objectives as readonly Objective[]).indexOf('imbalance');
      counts.uneven += found.some((one) => imbalanceAt >= 0 && one.values[imbalanceAt].n > 0n) ? 1 : 0;
    }
    console.log(`compared: ${JSON.stringify(counts)}`);
    expect(counts.compared).toBeGreaterThanOrEqual(SEVERAL.length);
    expect(counts.several).toBeGreaterThanOrEqual(SEVERAL.length);
  });
});
