/** What a search for the cheapest layout is handed: the simulator, a solver, a clock, and whoever listens. */
import type { IntegerSolver } from '../program/solver.js';
import type { ShareTakers } from './families/share-search.js';
import type { DesignProgress } from './outcome.js';
import type { ProofStep } from './proof-step.js';
import type { RunState } from './search-state.js';
import type { Verify } from './verifier.js';

export interface DesignTools {
  readonly verify: Verify;
  readonly solver: IntegerSolver;
  /** Milliseconds from any fixed moment on. */
  readonly now: () => number;
  readonly shouldStop: () => boolean;
  /** Seconds until the clock will say so; left out: there is no limit of time. */
  readonly secondsLeft?: () => number;
  /** Lets the program's surroundings (signals, drawing) have their turn. */
  readonly breathe: () => Promise<void>;
  readonly onProgress: (progress: DesignProgress) => void;
  /** Told of every step that the claim rests on. */
  readonly onStep?: (step: ProofStep) => void;
  /** Asked for once, when a search turns out to be long: who else may take shares of it. */
  readonly shareTakers?: () => ShareTakers | undefined;
  /** What an earlier run of the same brief knew, to go on from. */
  readonly resumed?: RunState | undefined;
  /** Told what a run knows that is stopped before its end. */
  readonly onUnfinished?: ((state: RunState) => void) | undefined;
}
