/**
 * Odd but legal plans, and what the commands `trial` and `draw` do with them: each comes to an end, and everything that
 * they print can be made. TRANSLOOM_PLANS sets how many plans (25), TRANSLOOM_SEED the first seed (40).
 */
import { describe, expect, it } from 'vitest';
import {
  checkPlanForm,
  jsonText,
  pictureDocument,
  pictureReport,
  plainInks,
  trialDocument,
  trialReport,
  tryPlan,
  writePlan,
  type Layout,
} from '../../src/index.js';
import { planDocument, seededPlan } from '../oracles/random-plans.js';
import { withinTime } from '../within-time.js';
import { planIn } from '../documents.js';

const plans = Number(process.env['TRANSLOOM_PLANS'] ?? 25);
const firstSeed = Number(process.env['TRANSLOOM_SEED'] ?? 40);

/** A few seconds on an idle machine; what this is to find are ends that never come. */
const LIMIT_MS = 60_000;

function readLayout(json: unknown): Layout {
  expect(checkPlanForm(json)).toEqual([]);
  return planIn(json as { readonly catalog: unknown });
}

describe('odd but legal plans', () => {
  const seeds = Array.from({ length: plans }, (_, index) => firstSeed + index);

  it.each(seeds)('seed %i: is tried and drawn to the end', { timeout: LIMIT_MS + 10_000 }, (seed) => {
    withinTime(LIMIT_MS, () => {
      const layout = readLayout(planDocument(seededPlan(seed)));
      const answer = tryPlan(layout, undefined, { countTicks: 300 });
      expect(answer.trial.exits).toHaveLength(layout.exits.length);
      for (const ascii of [true, false]) {
        const style = { ink: plainInks, ascii };
        for (const report of [trialReport(answer, style), pictureReport(answer, style)]) {
          const text = report.join('\n');
          expect(text).not.toMatch(/undefined|NaN|Infinity|\[object/);
        }
        expect(JSON.parse(jsonText(pictureDocument(answer, style)))).toHaveProperty('picture');
      }
      expect(JSON.parse(jsonText(trialDocument(answer)))).toHaveProperty('exits');
      const written = jsonText(writePlan(layout));
      expect(jsonText(writePlan(readLayout(JSON.parse(written))))).toBe(written);
    });
  });
});
