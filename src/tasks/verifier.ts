/**
 * The simulator as the search sees it: whether a layout meets a brief, from every start and wherever its wagons may stop.
 */
import { jainImbalance } from '../base/jain.js';
import { isLess, minRational, ZERO, type Rational } from '../base/rational.js';
import { askedFill } from '../brief/asked-fill.js';
import type { TrainTimes } from '../layout/measure.js';
import { spotted } from '../layout/spotting.js';
import type { StartOptions } from '../simulation/starts.js';
import { StrandMemory } from '../simulation/strand-memory.js';
import { verifyTargets } from '../simulation/verify.js';
import type { Verify } from '../synthesis/verifier.js';
import type { FailureNotes } from './log-design.js';
import { trainTimes, worstTimes } from './train-times.js';

/** `notes` are told how layouts fail. */
export function verifierOf(options: StartOptions, notes?: FailureNotes): Verify {
  const memory = new StrandMemory();
  return (layout, brief, flowsAlone = false, shouldStop = undefined) => {
    const targets = brief.exits.map(({ target }, exit) => ({ exit, ...target }));
    let undecided = false;
    let unevenest: readonly Rational[] = [];
    let least: Rational | undefined;
    const trains: (TrainTimes | undefined)[] = [];
    for (const each of spotted(layout, brief.spotting)) {
      const verification = verifyTargets(each, targets, {
        ...options,
        memory,
        shouldStop,
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
