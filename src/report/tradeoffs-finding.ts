/**
 * A list of tradeoffs as the reports take it. The search for it is in `synthesis/choices/tradeoffs.ts`; `src/tasks/tradeoffs-list.ts`
 * joins it with what somebody wishes to see.
 */
import type { Brief } from '../brief/brief.js';
import type { Layout } from '../layout/layout.js';
import type { Measures } from '../layout/measure.js';
import type { Choice, Wishes } from '../ranking/choice.js';
import type { Knee } from '../ranking/knee.js';
import type { TrainFormula } from '../ranking/train-formula.js';
import type { TrialResult } from '../simulation/trial-result.js';
import type { TradeoffsOutcome } from '../synthesis/choices/tradeoffs-outcome.js';
import type { JsonObject } from './trial-json.js';

export interface ListedLayout {
  readonly layout: Layout;
  /** With what it promises, and its catalog inside. */
  readonly plan: JsonObject;
  readonly trial: TrialResult;
  /** By formula, at that trial's flows. */
  readonly trains: TrainFormula | undefined;
  /** Those that are objectives are the search's. */
  readonly measures: Measures;
}

export interface TradeoffsFinding {
  readonly brief: Brief;
  readonly outcome: Omit<TradeoffsOutcome, 'list'>;
  /** In the order of the search: layout number N, which reports speak of, is at N - 1. */
  readonly list: readonly ListedLayout[];
  readonly wishes: Wishes;
  readonly choice: Choice;
  /** Of those that meet all conditions; its index is into the whole list. */
  readonly knee: Knee | undefined;
}
