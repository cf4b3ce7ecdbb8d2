/**
 * Whether an answer may be timed: what a fast wrong answer must not get past. The plan is tried anew, by
 * the full trial instead of the quick test that the design loop uses, and its price is added up anew.
 */
import { sumRational } from '../src/base/rational.js';
import { checkLegality } from '../src/layout/check-layout.js';
import { layoutCost, partCount, type Layout } from '../src/layout/layout.js';
import type { Brief } from '../src/brief/brief.js';
import { runTrial } from '../src/simulation/trial.js';
import type { TrialResult } from '../src/simulation/trial-result.js';

export const SEED = 1;
export const TICK_LIMIT = 2_000_000;

export const tryLayout = (layout: Layout, brief: Brief): TrialResult =>
  runTrial(layout, { starts: brief.starts, seed: SEED, tickLimit: TICK_LIMIT, presence: brief.presence });

/** What keeps a layout from meeting its brief, from its worst start; empty where it does. */
export function shortcomings(layout: Layout, brief: Brief, trial: TrialResult): readonly string[] {
  const illegal = checkLegality(layout).filter(({ severity }) => severity === 'error');
  return [
    ...illegal.map(({ code }) => `is not legal: ${code}`),
    ...(trial.exact ? [] : ['did not repeat']),
    ...(layout.exits.length === brief.exits.length ? [] : [`has ${layout.exits.length} exits`]),
    ...brief.exits.flatMap(({ target }, index) => {
      const { flow, left, right } = trial.exits[index];
      const meets = flow.compare(target.total) >= 0 && left.flow.compare(target.left) >= 0 && right.flow.compare(target.right) >= 0;
      return meets ? [] : [`gives ${flow.toFraction()} of ${target.total.toFraction()} at exit ${index}`];
    }),
    ...together(brief, trial),
    ...trial.chests.filter(({ keepsUp }) => !keepsUp).map(({ at }) => `chest ${at.x},${at.y} does not keep up`),
  ];
}

function together({ together: least }: Brief, { exits }: TrialResult): readonly string[] {
  const flow = sumRational(exits.map((exit) => exit.flow));
  return least === undefined || flow.compare(least) >= 0 ? [] : [`gives ${flow.toFraction()} of ${least.toFraction()} over all exits`];
}

/** In the brief's first objective. */
export const priceOf = (layout: Layout, brief: Brief): number =>
  brief.minimise[0] === 'parts' ? partCount(layout) : layoutCost(layout);

export function demand(holds: boolean, name: string, what: string): asserts holds {
  if (!holds) throw new Error(`${name}: ${what}`);
}
