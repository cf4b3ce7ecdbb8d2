/**
 * What a run through rising prices ends with, of either job: with what it has found, how far that is proven, and what it
 * could not decide.
 */
import type { Layout } from '../layout/layout.js';
import { gapOf, type DesignOutcome, type DesignProof, type InfeasibleReason, type StopCause } from './outcome.js';

/** All that a run knows at its end, but for the bound. */
export interface RunKnowledge extends Pick<DesignProof, 'space' | 'solver' | 'rounds' | 'simulations' | 'seconds'> {
  readonly best: Layout | undefined;
  /** Of the best; without one Infinity. */
  readonly price: number;
  /** Of the cheapest layout that could not be decided; without one Infinity. */
  readonly undecided: number;
  /** Whether the run went on from a saved search. */
  readonly resumed: boolean;
}

function proofOf({ best, price, undecided, space, solver, rounds, simulations, seconds, resumed }: RunKnowledge, bound: number | undefined): DesignProof {
  const cost = best === undefined ? undefined : price;
  return {
    bound,
    cost,
    ...(cost !== undefined && undecided <= cost ? { undecided } : {}),
    gap: gapOf(cost, bound),
    space,
    solver,
    rounds,
    simulations,
    seconds,
    ...(resumed ? { resumed } : {}),
  };
}

/** Of a run that was ended when it had settled all that costs less than `bound`. */
export function stoppedAt(known: RunKnowledge, bound: number, stoppedBy: StopCause): DesignOutcome {
  const proof = proofOf(known, Math.min(bound, known.undecided));
  return known.best === undefined ? { status: 'unknown', stoppedBy, proof } : { status: 'feasible', layout: known.best, stoppedBy, proof };
}

export const infeasible = (known: RunKnowledge, reason: InfeasibleReason): DesignOutcome => ({ status: 'infeasible', reason, proof: proofOf(known, undefined) });

/** Of a run that has settled all that costs no more than the best, or all there is. */
export function exhausted(known: RunKnowledge, whyNone: InfeasibleReason): DesignOutcome {
  // A cheaper layout that could not be decided may yet be the cheapest.
  if (known.undecided < known.price) return stoppedAt(known, Infinity, 'simulation');
  if (known.best === undefined) return infeasible(known, whyNone);
  return { status: 'optimal', layout: known.best, proof: proofOf(known, known.price) };
}
