/**
 * Runs the search for stations that empty wagons, and hands its steps to a proof log where one is wanted.
 */
import type { Brief } from '../brief/brief.js';
import type { StartOptions } from '../simulation/starts.js';
import { design } from '../synthesis/design.js';
import type { DesignTools } from '../synthesis/design-tools.js';
import type { DesignOutcome } from '../synthesis/outcome.js';
import { FailureNotes, logOf } from './log-design.js';
import { verifierOf } from './verifier.js';

/** `onLine` is given each line of the run's proof log. */
export async function runDesign(brief: Brief, tools: DesignTools, starts: StartOptions, onLine?: (text: string) => void): Promise<DesignOutcome> {
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
