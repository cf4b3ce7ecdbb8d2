/**
 * The JSON that `tradeoffs --over --json` prints. The words are in `staircase-text.ts`.
 */
import { formatRational } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import type { FillEnd, SizeStep, Staircase, StepFinding } from '../synthesis/choices/staircase-outcome.js';
import { present, type JsonObject } from './trial-json.js';

type PlanOf = (step: StepFinding) => JsonObject;

const findingJson = (step: StepFinding, planOf: PlanOf): JsonObject => ({ cost: step.cost, bound: step.bound, proven: step.proven, plan: planOf(step) });

export const endJson = (end: FillEnd): JsonObject => ({ ...end });

function sizeJson(step: SizeStep, planOf: PlanOf): JsonObject {
  switch (step.kind) {
    case 'found':
      return { kind: step.kind, size: step.size, ...findingJson(step, planOf) };
    case 'none':
      return { ...step };
    case 'open':
      return present({ ...step });
  }
}

export function staircaseJson(brief: Brief, staircase: Staircase, planOf: PlanOf): JsonObject {
  if (staircase.over !== 'fill') {
    const { over, asked, steps, end } = staircase;
    return present({ name: brief.name, over, asked, steps: steps.map((step) => sizeJson(step, planOf)), end });
  }
  const { over, from, to, asked, steps, end } = staircase;
  return {
    name: brief.name,
    over,
    from: formatRational(from),
    to: formatRational(to),
    asked: formatRational(asked),
    steps: steps.map((step) => ({ above: formatRational(step.above), upTo: formatRational(step.upTo), ...findingJson(step, planOf) })),
    end: endJson(end),
  };
}
