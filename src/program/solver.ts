/**
 * What every solver looks like from inside the project: one port interface, one union of answers.
 * The ports of single packages are in `glpk-port.ts` and `jslp-port.ts`; they only make claims, and
 * `verified` turns a claim into an answer by way of the checker.
 */
import { checkSolution, type Violation } from './check-solution.js';
import type { Program } from './program.js';

export interface SolverLimits {
  /** Wall-clock seconds; a solver stops at about this time. */
  readonly timeLimitSeconds: number;
}

/** Values are indexed by variable, whole where the variable is; the objective is recomputed from them. */
interface Solution {
  readonly values: readonly number[];
  readonly objective: number;
  /** Whether the recheck used integers alone (no continuous variable took part). */
  readonly exact: boolean;
}

type UnknownReason =
  | { readonly kind: 'time-limit' }
  /** The solver broke, or what it returned fails the recheck. */
  | { readonly kind: 'fault'; readonly detail: string };

export type SolverAnswer =
  | { readonly status: 'optimal'; readonly solution: Solution }
  /** A limit came first. `bound`: no objective is better than this; undefined if the solver gives none. */
  | { readonly status: 'feasible'; readonly solution: Solution; readonly bound: number | undefined }
  | { readonly status: 'infeasible' }
  | { readonly status: 'unknown'; readonly reason: UnknownReason };

/** Blocks its thread until it has an answer; it never throws and never prints. */
export interface IntegerSolver {
  readonly name: string;
  solve(program: Program, limits: SolverLimits): SolverAnswer;
}

/** What a solver says, in its own floating-point values. */
export type SolverClaim =
  | { readonly status: 'optimal'; readonly values: readonly number[] }
  | { readonly status: 'feasible'; readonly values: readonly number[]; readonly bound: number | undefined }
  | { readonly status: 'infeasible' }
  | { readonly status: 'unknown'; readonly reason: UnknownReason };

/** How far a solver's value of a whole variable may lie from a whole number. */
const INTEGRALITY_TOLERANCE = 1e-5;

/** A bound is rounded to a whole objective only if it lies within this of one. */
const BOUND_TOLERANCE = 1e-6;

export const fault = (detail: string): { readonly status: 'unknown'; readonly reason: UnknownReason } => ({
  status: 'unknown',
  reason: { kind: 'fault', detail },
});

/** The text of whatever was thrown, on one line and short: a WebAssembly fault may carry its whole source. */
export function describeThrown(thrown: unknown): string {
  const text = thrown instanceof Error ? `${thrown.name}: ${thrown.message}` : String(thrown);
  return text.split('\n')[0].slice(0, 200);
}

/**
 * Invariant: the only way from a claim to an answer. Whole variables are rounded, everything is
 * rechecked, and a solution that fails is a fault of the solver, never a solution.
 */
export function verified(program: Program, claim: SolverClaim): SolverAnswer {
  if (claim.status === 'infeasible' || claim.status === 'unknown') return claim;
  const values: number[] = [];
  for (const [index, { name, kind, lower, upper }] of program.variables.entries()) {
    const value = claim.values[index] ?? Number.NaN;
    if (kind === 'continuous') {
      // Solvers overstep a bound by their own tolerance.
      values.push(Math.min(upper, Math.max(lower, value)));
      continue;
    }
    const rounded = Math.round(value);
    if (!(Math.abs(value - rounded) <= INTEGRALITY_TOLERANCE)) return fault(`${name} = ${value} is not whole`);
    // Adding 0 turns -0 into 0.
    values.push(rounded + 0);
  }
  const recheck = checkSolution(program, values);
  if (!recheck.ok) return fault(`the answer fails the recheck: ${describeViolation(recheck.violations[0])}`);
  const solution: Solution = { values, objective: recheck.objective, exact: recheck.exact };
  if (claim.status === 'optimal') return { status: 'optimal', solution };
  return feasible(program, solution, claim.bound);
}

function feasible(program: Program, solution: Solution, claimed: number | undefined): SolverAnswer {
  const minimise = program.sense === 'minimise';
  if (claimed === undefined || !Number.isFinite(claimed)) return { status: 'feasible', solution, bound: undefined };
  const whole = program.objective.every(([, variable]) => program.variables[variable].kind === 'integer');
  const tightened = minimise ? Math.ceil(claimed - BOUND_TOLERANCE) : Math.floor(claimed + BOUND_TOLERANCE);
  const bound = whole ? tightened + 0 : claimed;
  const contradicts = minimise ? bound > solution.objective : bound < solution.objective;
  if (whole && contradicts) return fault(`bound ${bound} contradicts the objective ${solution.objective}`);
  return { status: 'feasible', solution, bound };
}

function describeViolation(violation: Violation): string {
  switch (violation.kind) {
    case 'length':
      return `${violation.found} values for ${violation.expected} variables`;
    case 'row':
      return `row ${violation.row}`;
    case 'objective-too-large':
      return 'the objective is too large';
    default:
      return `${violation.variable} = ${violation.value} (${violation.kind})`;
  }
}
