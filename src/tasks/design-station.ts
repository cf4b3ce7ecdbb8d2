/**
 * The cheapest station for a brief, with its plan; what an infeasible one could change; and what a stopped search knows.
 */
import { invariant } from '../base/invariant.js';
import type { Brief } from '../brief/brief.js';
import { inPlanOrder } from '../layout/write-plan.js';
import type { Style } from '../report/canvas.js';
import { designJson } from '../report/design-json.js';
import { designText, designVerdict, type DesignFinding } from '../report/design-text.js';
import type { JsonObject } from '../report/trial-json.js';
import { USUAL_SEED, type KeptStarts } from '../simulation/starts.js';
import type { DesignTools } from '../synthesis/design-tools.js';
import { explain } from '../synthesis/explain.js';
import type { ShareTakers } from '../synthesis/families/share-search.js';
import type { DesignOutcome, DesignProgress } from '../synthesis/outcome.js';
import type { RunState } from '../synthesis/search-state.js';
import { openSharePool, type SharePool } from '../workers/share-pool.js';
import { loadingVerifier } from './loading-verifier.js';
import { promised } from './promised-plan.js';
import { runDesign } from './run-design.js';
import { logLoading, runLoading } from './run-loading.js';
import { savedSearch } from './saved-search.js';
import { searchTools, type SearchTerms } from './search-tools.js';

/** Most time for finding what an infeasible brief could change. */
const EXPLAIN_SECONDS = 5;

export interface DesignRequest extends SearchTerms {
  readonly onProgress?: ((progress: DesignProgress) => void) | undefined;
  /**
   * Threads that share a long search; left out, or with a proof log: only this one. The answer is the same. They
   * run what the package was built to.
   */
  readonly workers?: number | undefined;
  /** Where a saved search stopped: see `readSearch`. */
  readonly resumed?: RunState | undefined;
  /** Whether the answer is to hold the search, if that is stopped before its proof; such a run does without threads. */
  readonly saves?: boolean | undefined;
  /** Given each line of the run's proof log, in order. */
  readonly onLogLine?: ((text: string) => void) | undefined;
}

export interface DesignAnswer extends DesignFinding {
  /** The plan that was found, with what it promises. */
  readonly plan: JsonObject | undefined;
  /** The search as a document, if it is unfinished and was to be saved. */
  readonly search: JsonObject | undefined;
}

export async function designStation(brief: Brief, request: DesignRequest): Promise<DesignAnswer> {
  const seed = request.seed ?? USUAL_SEED;
  const { tools, starts } = await searchTools(brief, request, request.onProgress);
  let pool: SharePool | undefined;
  const workers = request.workers ?? 1;
  // Threads do not tell a log or a saved search what they have judged.
  const sharing = workers > 1 && request.saves !== true && request.onLogLine === undefined;
  const shareTakers = (): ShareTakers | undefined => {
    if (sharing) pool = openSharePool(new URL('../workers/share-worker.js', import.meta.url).href, workers, brief, starts);
    return pool;
  };
  let unfinished: RunState | undefined;
  const onUnfinished = (state: RunState): void => {
    unfinished = state;
  };
  const longer: DesignTools = { ...tools, shareTakers, onUnfinished, resumed: request.resumed };
  const search = (): Promise<DesignOutcome> => {
    if (brief.load === undefined) return runDesign(brief, longer, starts, request.onLogLine).finally(() => pool?.close());
    if (request.onLogLine !== undefined) return logLoading(brief, brief.load, longer, starts, request.onLogLine);
    return runLoading(brief, brief.load, longer, starts, sharing ? workers : 1);
  };
  const outcome = await search();
  const saved = request.saves === true && unfinished !== undefined ? savedSearch(unfinished, brief, request) : undefined;
  if (outcome.status !== 'infeasible') return { ...answerOf(brief, outcome, seed, starts.kept), search: saved };
  const seconds = Math.min(EXPLAIN_SECONDS, tools.secondsLeft?.() ?? Infinity);
  const reason =
    brief.load === undefined
      ? await explain(brief, tools, seconds)
      : await explain(brief, { ...tools, verify: loadingVerifier(starts) }, seconds, outcome.reason, (asked, timed) => {
          invariant(asked.load !== undefined, 'a change of a brief leaves its job as it is', { brief: asked.name });
          return runLoading(asked, asked.load, timed, starts);
        });
  return { ...answerOf(brief, { ...outcome, reason }, seed), search: saved };
}

function answerOf(brief: Brief, outcome: DesignOutcome, seed: number, kept?: KeptStarts): Omit<DesignAnswer, 'search'> {
  if (outcome.status !== 'optimal' && outcome.status !== 'feasible') {
    return { brief, outcome, trial: undefined, trains: undefined, plan: undefined };
  }
  const { status, proof } = outcome;
  // Exits are lettered in their order, so the report has that of the plan, which every later command reads.
  const layout = inPlanOrder(outcome.layout);
  return { brief, outcome: { ...outcome, layout }, ...promised(brief, layout, { status, proof, seed }, kept) };
}

export const designReport = (answer: DesignAnswer, style: Style, quiet = false): readonly string[] =>
  quiet ? designVerdict(answer, style) : designText(answer, style);

export const designDocument = (answer: DesignAnswer): JsonObject => designJson(answer, answer.plan);
