/**
 * What a search for stations takes to run: a solver, the simulator, a clock and its limit.
 */
import type { Brief } from '../brief/brief.js';
import { loadGlpkSolver } from '../program/glpk-port.js';
import { jslpSolver } from '../program/jslp-port.js';
import type { IntegerSolver } from '../program/solver.js';
import { TICK_LIMIT, USUAL_SEED, type StartOptions } from '../simulation/starts.js';
import type { DesignTools } from '../synthesis/design-tools.js';
import type { DesignProgress } from '../synthesis/outcome.js';
import { keptFor } from './promised-plan.js';
import { verifierOf } from './verifier.js';

export const SOLVERS: Readonly<Record<string, () => Promise<IntegerSolver>>> = {
  glpk: loadGlpkSolver,
  jslp: () => Promise.resolve(jslpSolver),
};

/** The names that `--solver` takes; the first is the usual one. */
export const SOLVER_NAMES: readonly string[] = Object.keys(SOLVERS);

/** How a search is to run. */
export interface SearchTerms {
  readonly seed?: number | undefined;
  readonly timeLimitSeconds?: number | undefined;
  readonly solver?: string | undefined;
  /** Asked often; once true, the run ends with what it has. */
  readonly shouldStop?: (() => boolean) | undefined;
  /** Awaited now and then, for programs that must not be held up. */
  readonly breathe?: (() => Promise<void>) | undefined;
  /** Milliseconds from any fixed moment on. */
  readonly now: () => number;
}

/** `starts`: those from which a layout must pass, with what passed last. */
interface SearchTools {
  readonly tools: DesignTools;
  readonly starts: StartOptions;
}

export async function searchTools(brief: Brief, request: SearchTerms, onProgress?: (progress: DesignProgress) => void): Promise<SearchTools> {
  const solver = await SOLVERS[request.solver ?? SOLVER_NAMES[0]]();
  const startedAt = request.now();
  const limitMs = request.timeLimitSeconds === undefined ? Infinity : request.timeLimitSeconds * 1000;
  const secondsLeft = (): number => (startedAt + limitMs - request.now()) / 1000;
  const starts: StartOptions = { starts: brief.starts, seed: request.seed ?? USUAL_SEED, tickLimit: TICK_LIMIT, kept: keptFor(brief) };
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
