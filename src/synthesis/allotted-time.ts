/**
 * The time that a search has: what a solver may take of it, when to let others work, and why it ended.
 * Clock, limit and wish to stop are handed in.
 */
import type { StopCause } from './outcome.js';

interface Clock {
  /** Milliseconds. */
  readonly now: () => number;
  readonly shouldStop: () => boolean;
  /** Left out: no limit. */
  readonly secondsLeft?: (() => number) | undefined;
}

/** A search that went on for longer lets others work: shows how far it is, hears a wish to stop. */
const BREATHE_MILLISECONDS = 40;
/** A limit of nothing means no limit to some solvers. */
const LEAST_SOLVER_SECONDS = 0.01;

export class AllottedTime {
  private readonly startedAt: number;
  private breathedAt: number;

  constructor(private readonly clock: Clock) {
    this.startedAt = clock.now();
    this.breathedAt = this.startedAt;
  }

  /** Since the search began. */
  get milliseconds(): number {
    return this.clock.now() - this.startedAt;
  }

  get secondsLeft(): number {
    return this.clock.secondsLeft?.() ?? Infinity;
  }

  /** Whether it is time to let others work. */
  get isLong(): boolean {
    return this.clock.now() - this.breathedAt > BREATHE_MILLISECONDS;
  }

  breathes(): void {
    this.breathedAt = this.clock.now();
  }

  /** What a solver may take: its own limit, but no more than is left of the search's. */
  readonly secondsFor = (most: number): number => Math.max(LEAST_SOLVER_SECONDS, Math.min(most, this.secondsLeft));

  /** Why a search ends here; `where` tells what could not go on, if anything. */
  stopCause(where?: 'solver'): StopCause {
    if (this.secondsLeft <= LEAST_SOLVER_SECONDS) return 'time-limit';
    return where !== undefined && !this.clock.shouldStop() ? where : 'interrupt';
  }
}
