/**
 * Joins the simulator with the search for loading stations: a layout passes only if it does wherever its wagons may stop.
 * The one for stations that empty wagons is in `verifier.ts`.
 */
import { jainImbalance } from '../base/jain.js';
import { isLess, minRational, ZERO, type Rational } from '../base/rational.js';
import { askedFill } from '../brief/asked-fill.js';
import type { TrainTimes } from '../layout/measure.js';
import { spotted } from '../layout/spotting.js';
import type { StartOptions } from '../simulation/starts.js';
import { verifyLoading } from '../simulation/verify-loading.js';
import type { VerifyLoading } from '../synthesis/loading/loading-search.js';
import { wantedFlows } from '../synthesis/loading/loading-demand.js';
import type { FailureNotes } from './log-design.js';
import { trainTimes, worstTimes } from './train-times.js';

/** `notes` are told of every failure. */
export function loadingVerifier(options: StartOptions, notes?: FailureNotes): VerifyLoading {
  return (layout, brief, _flowsAlone, shouldStop) => {
    const { load, presence, spotting, exceed = false } = brief;
    if (load === undefined) return { verdict: 'fails', start: 0, anywhere: false };
    const targets = wantedFlows(load, brief);
    let undecided = false;
    let unevenest: readonly Rational[] = [];
    let least: Rational | undefined;
    const trains: (TrainTimes | undefined)[] = [];
    // As planned first, where most that fails does.
    for (const stands of spotted(layout, spotting)) {
      const { failure, start, share, throughChests, worst } = verifyLoading(stands, targets, { ...options, presence, exceed, shouldStop });
      if (failure?.kind === 'unproven') undecided = true;
      else if (failure !== undefined) {
        notes?.take(layout, stands, { ...failure, start });
        return { verdict: 'fails', start, anywhere: failure.kind !== 'wagon' };
      }
      if (unevenest.length === 0 || isLess(jainImbalance(unevenest), jainImbalance(throughChests))) unevenest = throughChests;
      if (worst !== undefined) trains.push(trainTimes(stands, worst));
      if (share !== undefined) least = minRational(least ?? share, share);
    }
    return undecided ? { verdict: 'undecided' } : { verdict: 'passes', chestOutflows: unevenest, fill: askedFill(brief).mul(least ?? ZERO), trains: worstTimes(trains) };
  };
}
