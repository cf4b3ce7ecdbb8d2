/**
 * Joins the rooms: runs designs and replays, and hands the results to the reports. Each function is one thing that a user
 * of the library asks for; other such things are in `tasks/`. Files and arguments are `cli/`'s.
 */
import type { Audit, LogRefusal } from './audit/audit-result.js';
import { checkPlan, priceOf } from './audit/check-plan.js';
import { replay, type ReplayProgress } from './audit/replay.js';
import { createRequire } from 'node:module';
import type { Checked } from './base/finding.js';
import { invariant } from './base/invariant.js';
import { isLess, minRational, ZERO, type Rational } from './base/rational.js';
import { askedFill } from './brief/asked-fill.js';
import type { Brief } from './brief/brief.js';
import { checkBriefForm } from './brief/parse-brief.js';
import { parseCatalog } from './catalog/parse-catalog.js';
import type { Layout } from './layout/layout.js';
import type { TrainTimes } from './layout/measure.js';
import { loadingVerifier } from './tasks/loading-verifier.js';
import { runLoading } from './tasks/run-loading.js';
import { FailureNotes, logOf } from './tasks/log-design.js';
import { writePlan } from './layout/write-plan.js';
import { loadGlpkSolver } from './program/glpk-port.js';
import { jslpSolver } from './program/jslp-port.js';
import type { IntegerSolver } from './program/solver.js';
import { writeLp } from './program/write-lp.js';
import { writeMps } from './program/write-mps.js';
import { jainImbalance } from './base/jain.js';
import { trainFormula, type TrainFormula } from './ranking/train-formula.js';
import type { Style } from './report/canvas.js';
import { designJson, promiseJson, type PromiseTerms } from './report/design-json.js';
import { designText, verdictLines, type DesignFinding } from './report/design-text.js';
import type { JsonObject } from './report/trial-json.js';
import { TICK_LIMIT, USUAL_SEED, type StartOptions } from './simulation/starts.js';
import { runTrial } from './simulation/trial.js';
import { verifyTargets } from './simulation/verify.js';
import type { TrialResult } from './simulation/trial-result.js';
import { design, type DesignTools, firstProgram } from './synthesis/design.js';
import { explain } from './synthesis/explain.js';
import type { DesignOutcome, DesignProgress } from './synthesis/outcome.js';
import { parseSearch, writeSearch, type RunState, type SearchSettings } from './synthesis/search-state.js';
import type { ShareTakers } from './synthesis/families/share-search.js';
import type { Verify } from './synthesis/verifier.js';
import { leastOfAll, spotted } from './tasks/least-flows.js';
import { trainTimes, worstTimes } from './tasks/train-times.js';
import { openSharePool, type SharePool } from './workers/share-pool.js';

export { findingsBeneath, pointerTo } from './base/json-pointer.js';
export { jsonText } from './base/json-text.js';
export { parseJson } from './base/located-json.js';
export { parseRate } from './base/rate.js';
export { checkBriefForm, parseBrief } from './brief/parse-brief.js';
export { CATALOG_POINTER, catalogReference } from './catalog/catalog-reference.js';
export { parseCatalog } from './catalog/parse-catalog.js';
export { auditJson as auditDocument, auditText as auditReport, refusalSentences } from './report/audit-text.js';
export { checkPlanForm, parsePlan } from './layout/parse-plan.js';
export { writePlan } from './layout/write-plan.js';
export { isPicture } from './picture/picture-lines.js';
export { readPicture } from './picture/read-picture.js';
export { writePicture } from './picture/write-picture.js';
export { parseCondition, parseShare } from './ranking/condition.js';
export { MEASURES } from './layout/measure.js';
export { parsePromise } from './ranking/parse-promise.js';
export { plainInks, terminalInks } from './report/ink.js';
export { ratesJson as ratesDocument, ratesText as ratesReport } from './report/rates.js';
export { trialChangeLines } from './report/trial-change.js';
export { TICK_LIMIT, USUAL_SEED } from './simulation/starts.js';
export { findingSentence } from './report/words.js';
export { armRates } from './tasks/arm-rates.js';
export { pictureDocument, pictureReport, pictureSvg, planPage, reportPage, type ReportRequest } from './tasks/draw-plan.js';
export { trialDocument, trialReport } from './tasks/trial-report.js';
export { tryPlan, type TrialAnswer, type TrialRequest } from './tasks/try-plan.js';

/** Most time for finding what an infeasible brief could change. */
const EXPLAIN_SECONDS = 5;

const SOLVERS: Readonly<Record<string, () => Promise<IntegerSolver>>> = {
  glpk: loadGlpkSolver,
  jslp: () => Promise.resolve(jslpSolver),
};

/** The names that `--solver` takes; the first is the usual one. */
export const SOLVER_NAMES: readonly string[] = Object.keys(SOLVERS);

export interface DesignRequest {
  readonly seed?: number | undefined;
  readonly timeLimitSeconds?: number | undefined;
  readonly solver?: string | undefined;
  /** Asked often; once true, the run ends with what it has. */
  readonly shouldStop?: (() => boolean) | undefined;
  readonly onProgress?: ((progress: DesignProgress) => void) | undefined;
  /** Awaited now and then, for programs that must not be held up. */
  readonly breathe?: (() => Promise<void>) | undefined;
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
  /** Milliseconds from any fixed moment on. */
  readonly now: () => number;
}

export interface DesignAnswer extends DesignFinding {
  /** The plan that was found, with what it promises. */
  readonly plan: JsonObject | undefined;
  /** The search as a document, if it is unfinished and was to be saved. */
  readonly search: JsonObject | undefined;
}

export interface ReplayRequest {
  /** Draws which lines are rechecked first where time is short. */
  readonly seed?: number | undefined;
  readonly timeLimitSeconds?: number | undefined;
  /** Asked often; once true, the replay ends with what it has. */
  readonly shouldStop?: (() => boolean) | undefined;
  readonly onProgress?: ((progress: ReplayProgress) => void) | undefined;
  /** Awaited now and then, for programs that must not be held up. */
  readonly breathe?: (() => Promise<void>) | undefined;
  /** Milliseconds from any fixed moment on. */
  readonly now: () => number;
}

export type ReplayAnswer = { readonly ok: true; readonly value: Audit } | { readonly ok: false; readonly why: LogRefusal };

/** Rechecks a proof log by other means than those that made it. `lines` begins to read it anew, several times. */
export function replayLog(lines: () => Iterable<string>, request: ReplayRequest): Promise<ReplayAnswer> {
  const startedAt = request.now();
  const secondsLeft = (): number => (request.timeLimitSeconds ?? Infinity) - (request.now() - startedAt) / 1000;
  const beside = (name: string | undefined): string => SOLVER_NAMES.find((other) => other !== name) ?? SOLVER_NAMES[0];
  return replay({
    lines,
    solverBeside: (name) => SOLVERS[beside(name)](),
    seed: request.seed ?? USUAL_SEED,
    now: request.now,
    secondsLeft,
    shouldStop: () => secondsLeft() <= 0 || request.shouldStop?.() === true,
    breathe: request.breathe ?? (() => Promise.resolve()),
    onProgress: request.onProgress ?? (() => undefined),
  });
}

/** What a search of this request rests on. */
const searchSettings = (brief: Brief, { solver, seed }: Pick<DesignRequest, 'solver' | 'seed'>): SearchSettings => ({
  version: (createRequire(import.meta.url)('../package.json') as { readonly version: string }).version,
  solver: brief.load === undefined ? (solver ?? SOLVER_NAMES[0]) : 'none',
  seed: seed ?? USUAL_SEED,
});

/** A saved search to go on from, or all that speaks against it. The best station in it is tried again. */
export function readSearch(json: unknown, brief: Brief, request: Pick<DesignRequest, 'solver' | 'seed'>): Checked<RunState> {
  const settings = searchSettings(brief, request);
  const starts = { starts: brief.starts, seed: settings.seed, tickLimit: TICK_LIMIT };
  const simulate: Verify = brief.load === undefined ? verifierOf(starts) : loadingVerifier(starts);
  const verify: Verify = (layout, asked) => {
    const demands = [...(asked.load?.entries ?? asked.exits).keys()];
    const flaws = checkPlan({ layout, demands }, asked, priceOf(layout, 'cost'), 'cost');
    return flaws.length > 0 ? { verdict: 'fails' } : simulate(layout, asked);
  };
  return parseSearch(json, brief, settings, verify);
}

/**
 * The first integer program that a design of this brief solves, as text for any solver: how many chests,
 * arms and splitters, at least price. Its optimum is a bound on the cost of every station.
 */
export function exportProgram(brief: Brief, format: 'mps' | 'lp'): string {
  invariant(brief.load === undefined, 'a design of the job "load" takes no integer program', { brief: brief.name });
  const program = firstProgram(brief);
  return format === 'mps' ? writeMps(program) : writeLp(program);
}

/** Compiles ahead what reading a brief needs, for a caller who has a moment to spare before there is one. */
export function makeReady(): void {
  parseCatalog({});
  checkBriefForm({});
}

/** What a search takes to run, and the starts from which a layout must pass. */
export interface SearchTools {
  readonly tools: DesignTools;
  readonly starts: StartOptions;
}

export async function searchTools(brief: Brief, request: Omit<DesignRequest, 'onProgress'>, onProgress?: DesignRequest['onProgress']): Promise<SearchTools> {
  const solver = await SOLVERS[request.solver ?? SOLVER_NAMES[0]]();
  const startedAt = request.now();
  const limitMs = request.timeLimitSeconds === undefined ? Infinity : request.timeLimitSeconds * 1000;
  const secondsLeft = (): number => (startedAt + limitMs - request.now()) / 1000;
  const starts: StartOptions = { starts: brief.starts, seed: request.seed ?? USUAL_SEED, tickLimit: TICK_LIMIT };
  const tools: DesignTools = {
    verify: verifierOf(starts),
    solver,
    now: request.now,
    shouldStop: () => secondsLeft() <= 0 || request.shouldStop?.() === true,
    secondsLeft,
    breathe: request.breathe ?? (() => Promise.resolve()),
    onProgress: onProgress ?? (() => undefined),
  };
  return { tools, starts };
}

export async function designStation(brief: Brief, request: DesignRequest): Promise<DesignAnswer> {
  const seed = request.seed ?? USUAL_SEED;
  const { tools, starts } = await searchTools(brief, request, request.onProgress);
  let pool: SharePool | undefined;
  const workers = request.workers ?? 1;
  // Threads do not tell a log or a saved search what they have judged.
  const sharing = workers > 1 && request.saves !== true && request.onLogLine === undefined;
  const shareTakers = (): ShareTakers | undefined => {
    if (sharing) pool = openSharePool(new URL('./workers/share-worker.js', import.meta.url).href, workers, brief, starts);
    return pool;
  };
  let unfinished: RunState | undefined;
  const onUnfinished = (state: RunState): void => {
    unfinished = state;
  };
  const longer: DesignTools = { ...tools, shareTakers, onUnfinished, resumed: request.resumed };
  const outcome =
    brief.load === undefined
      ? await designWithLog(brief, longer, starts, request.onLogLine).finally(() => pool?.close())
      : await runLoading(brief, brief.load, longer, starts, request.onLogLine);
  const search = request.saves === true && unfinished !== undefined ? (writeSearch(unfinished, brief, searchSettings(brief, request)) as JsonObject) : undefined;
  if (outcome.status !== 'infeasible') return { ...answerOf(brief, outcome, seed), search };
  const seconds = Math.min(EXPLAIN_SECONDS, tools.secondsLeft?.() ?? Infinity);
  const reason =
    brief.load === undefined
      ? await explain(brief, tools, seconds)
      : await explain(brief, { ...tools, verify: loadingVerifier(starts) }, seconds, outcome.reason, (asked, timed) => {
          invariant(asked.load !== undefined, 'a change of a brief leaves its job as it is', { brief: asked.name });
          return runLoading(asked, asked.load, timed, starts);
        });
  return { ...answerOf(brief, { ...outcome, reason }, seed), search };
}

async function designWithLog(
  brief: Brief,
  tools: DesignTools,
  starts: StartOptions,
  onLine: ((text: string) => void) | undefined,
): Promise<DesignOutcome> {
  if (onLine === undefined) return design(brief, tools);
  const notes = new FailureNotes(starts);
  const log = logOf(brief, tools.solver.name, starts, notes, onLine);
  const onStep: DesignTools['onStep'] = (step) => {
    log.step(step);
  };
  const outcome = await design(brief, { ...tools, verify: verifierOf(starts, notes), onStep });
  log.close();
  return outcome;
}

/** The simulator as the design loop sees it: a layout passes only if it does wherever the wagons may stop. */
export function verifierOf(options: StartOptions, notes?: FailureNotes): Verify {
  return (layout, brief, flowsAlone = false) => {
    const targets = brief.exits.map(({ target }, exit) => ({ exit, ...target }));
    let undecided = false;
    let unevenest: readonly Rational[] = [];
    let least: Rational | undefined;
    const trains: (TrainTimes | undefined)[] = [];
    for (const each of spotted(layout, brief.spotting)) {
      const verification = verifyTargets(each, targets, {
        ...options,
        presence: brief.presence,
        together: brief.together,
        exceed: brief.exceed,
        chestsCount: !flowsAlone,
        verdictOnly: true,
      });
      const { passes, failure, chests, share } = verification;
      if (failure !== undefined) notes?.take(layout, each, failure);
      if (!passes && failure?.kind !== 'unproven') return { verdict: 'fails' };
      undecided ||= !passes;
      const outflows = chests.map((chest) => chest.outflow);
      if (unevenest.length === 0 || isLess(jainImbalance(unevenest), jainImbalance(outflows))) unevenest = outflows;
      if (passes && !flowsAlone) trains.push(trainTimes(each, verification));
      least = least === undefined || share === undefined ? share : minRational(least, share);
    }
    return undecided ? { verdict: 'undecided' } : { verdict: 'passes', chestOutflows: unevenest, fill: askedFill(brief).mul(least ?? ZERO), trains: worstTimes(trains) };
  };
}

function answerOf(brief: Brief, outcome: DesignOutcome, seed: number): Omit<DesignAnswer, 'search'> {
  if (outcome.status !== 'optimal' && outcome.status !== 'feasible') {
    return { brief, outcome, trial: undefined, trains: undefined, plan: undefined };
  }
  const { layout, status, proof } = outcome;
  return { brief, outcome, ...promised(brief, layout, { status, proof, seed }) };
}

/** A layout's trial, what that means for trains, and its plan with what it promises. */
export function promised(brief: Brief, layout: Layout, terms: Omit<PromiseTerms, 'cost'>): { readonly trial: TrialResult; readonly trains: TrainFormula | undefined; readonly plan: JsonObject } {
  const options: StartOptions = { starts: brief.starts, seed: terms.seed, tickLimit: TICK_LIMIT };
  const trial = runTrial(layout, { ...options, presence: brief.presence });
  const promise = promiseJson(brief, leastOfAll(layout, options, brief.spotting, brief.presence), { ...terms, cost: trial.cost });
  return { trial, trains: trainFormula(layout, trial), plan: writePlan(layout, promise) as JsonObject };
}

export const designReport = (answer: DesignAnswer, style: Style, quiet = false): readonly string[] =>
  quiet ? verdictLines(answer, style) : designText(answer, style);

export const designDocument = (answer: DesignAnswer): JsonObject => designJson(answer, answer.plan);
