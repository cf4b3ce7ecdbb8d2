/**
 * Runs the search for loading stations with the simulator, and hands its steps to a proof log where one is wanted.
 */
import type { Brief } from '../brief/brief.js';
import type { LoadJob } from '../brief/load-job.js';
import type { StartOptions } from '../simulation/starts.js';
import { designLoading, type LoadingTools } from '../synthesis/loading/loading-design.js';
import type { DesignOutcome } from '../synthesis/outcome.js';
import { loadingVerifier } from './loading-verifier.js';
import { FailureNotes, logOf } from './log-design.js';

/** `onLine` is given each line of the run's proof log. */
export async function runLoading(
  brief: Brief,
  job: LoadJob,
  tools: Omit<LoadingTools, 'verify' | 'onStep'>,
  starts: StartOptions,
  onLine?: (text: string) => void,
): Promise<DesignOutcome> {
  if (onLine === undefined) return designLoading(brief, job, { ...tools, verify: loadingVerifier(starts) });
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
