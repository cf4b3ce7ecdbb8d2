/**
 * A layout that was found, as the plan that is handed out.
 */
import type { Brief } from '../brief/brief.js';
import type { Layout } from '../layout/layout.js';
import { spottingOffsets } from '../layout/spotting.js';
import { writePlan } from '../layout/write-plan.js';
import { trainFormula, type TrainFormula } from '../ranking/train-formula.js';
import { promiseJson, type PromiseTerms } from '../report/design-json.js';
import type { JsonObject } from '../report/trial-json.js';
import { KeptStarts, TICK_LIMIT, type StartOptions } from '../simulation/starts.js';
import { runTrial } from '../simulation/trial.js';
import type { TrialResult } from '../simulation/trial-result.js';
import { leastOfAll } from './least-flows.js';

/** How many layouts that passed are kept: the last ones, each wherever its wagons may stop. */
const KEPT_LAYOUTS = 4;

export const keptFor = ({ spotting }: Brief): KeptStarts => new KeptStarts(KEPT_LAYOUTS * spottingOffsets(spotting).length);

interface PromisedPlan {
  readonly trial: TrialResult;
  readonly trains: TrainFormula | undefined;
  readonly plan: JsonObject;
}

/** A layout's trial, what that means for trains, and its plan with what it promises. `kept`: what the search has simulated. */
export function promised(brief: Brief, layout: Layout, terms: Omit<PromiseTerms, 'cost'>, kept = keptFor(brief)): PromisedPlan {
  const options: StartOptions = { starts: brief.starts, seed: terms.seed, tickLimit: TICK_LIMIT, kept };
  const trial = runTrial(layout, { ...options, presence: brief.presence });
  const promise = promiseJson(brief, leastOfAll(layout, options, brief.spotting, brief.presence), { ...terms, cost: trial.cost });
  return { trial, trains: trainFormula(layout, trial), plan: writePlan(layout, promise) as JsonObject };
}
