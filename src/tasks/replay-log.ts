/**
 * Rechecks proof logs, with a solver beside the one that made them.
 */
import type { Audit, LogRefusal } from '../audit/audit-result.js';
import { replay, type ReplayProgress } from '../audit/replay.js';
import { USUAL_SEED } from '../simulation/starts.js';
import { SOLVER_NAMES, SOLVERS } from './search-tools.js';

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
