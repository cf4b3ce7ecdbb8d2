/**
 * Runs the search for loading stations with the simulator and, if it may, with threads that help; and hands its steps to a
 * proof log where one is wanted.
 */
import type { Brief } from '../brief/brief.js';
import type { LoadJob } from '../brief/load-job.js';
import type { StartOptions } from '../simulation/starts.js';
import { designLoading, type LoadingTools } from '../synthesis/loading/loading-design.js';
import type { DesignOutcome } from '../synthesis/outcome.js';
import { openLoadingPool, type LoadingPool } from '../workers/loading-pool.js';
import { loadingVerifier } from './loading-verifier.js';
import { FailureNotes, logOf } from './log-design.js';

type RunTools = Omit<LoadingTools, 'verify' | 'onStep' | 'helpers'>;

/** `workers`: threads that may search, this one among them. */
export async function runLoading(brief: Brief, job: LoadJob, tools: RunTools, starts: StartOptions, workers = 1): Promise<DesignOutcome> {
  let pool: LoadingPool | undefined;
  return designLoading(brief, job, {
    ...tools,
    verify: loadingVerifier(starts),
    helpers: () => {
      if (workers > 1) pool = openLoadingPool(new URL('../workers/loading-worker.js', import.meta.url).href, workers - 1, brief, starts);
      return pool;
    },
  }).finally(() => pool?.close());
}

/** On this thread alone. `onLine` is given each line of the run's proof log. */
export async function logLoading(brief: Brief, job: LoadJob, tools: RunTools, starts: StartOptions, onLine: (text: string) => void): Promise<DesignOutcome> {
  const notes = new FailureNotes(starts);
  const log = logOf(brief, undefined, starts, notes, onLine);
  const outcome = await designLoading(brief, job, {
    ...tools,
    verify: loadingVerifier(starts, notes),
    onStep: (step) => {
      log.step(step);
    },
  });
  log.close();
  return outcome;
}
