/**
 * A trial: a plan's exact flows from many starts, and whether it keeps its promise.
 */
import { ONE, type Rational } from '../base/rational.js';
import { USUAL_STARTS } from '../brief/brief.js';
import type { Layout } from '../layout/layout.js';
import { spotted } from '../layout/spotting.js';
import { breachesOf, type Breach, type PlanPromise } from '../ranking/promise.js';
import { breachText } from '../report/breach-words.js';
import { countItems } from '../simulation/counts.js';
import { TICK_LIMIT, USUAL_SEED, type StartOptions } from '../simulation/starts.js';
import { runTrial } from '../simulation/trial.js';
import type { Counts, TrialResult } from '../simulation/trial-result.js';
import { leastAt } from './least-flows.js';

export interface TrialRequest {
  /** Staggered starts besides the standard one; left out, those of the promise. */
  readonly starts?: number | undefined;
  readonly seed?: number | undefined;
  /** Count items over so many ticks from an empty start. */
  readonly countTicks?: number | undefined;
}

export interface TrialAnswer {
  readonly layout: Layout;
  readonly trial: TrialResult;
  /** Share of time in which a wagon stands there, as promised; 1 where nothing is. */
  readonly presence: Rational;
  /** The starts that were run. */
  readonly ran: StartOptions;
  /** Undefined where the plan promises nothing. */
  readonly breaches: readonly Breach[] | undefined;
  readonly counts: { readonly counts: Counts; readonly ticks: number } | undefined;
}

/** How a plan falls short wherever its wagons may stop; what is the same in several places is named once. */
function allBreaches(layout: Layout, promise: PlanPromise, options: StartOptions): readonly Breach[] {
  const breaches = spotted(layout, promise.spotting).flatMap((each) =>
    breachesOf(promise, leastAt(each, layout, options, promise.presence), runTrial(each, { ...options, presence: promise.presence })),
  );
  const ticksPerSecond = layout.catalog.ticksPerSecond;
  return [...new Map(breaches.map((breach) => [breachText(breach, ticksPerSecond), breach])).values()];
}

export function tryPlan(layout: Layout, promise: PlanPromise | undefined, request: TrialRequest = {}): TrialAnswer {
  const options: StartOptions = {
    starts: request.starts ?? promise?.starts ?? USUAL_STARTS,
    seed: request.seed ?? promise?.seed ?? USUAL_SEED,
    tickLimit: TICK_LIMIT,
  };
  const presence = promise?.presence ?? ONE;
  const trial = runTrial(layout, { ...options, presence });
  const ticks = request.countTicks;
  return {
    layout,
    trial,
    presence,
    ran: options,
    breaches: promise && allBreaches(layout, promise, options),
    counts: ticks === undefined ? undefined : { counts: countItems(layout, ticks), ticks },
  };
}
