/**
 * Port of javascript-lp-solver: a second opinion on small programs.
 * Rules of use, each found by measurement: only an integral result counts, its objective is
 * recomputed, names are made up by index (some words collide with its own), and after its time limit
 * nothing it says is a proof. It looks at the clock between nodes only, so it may overrun.
 */
import jslp, { type Model } from 'javascript-lp-solver';
import type { Program, Row, Term } from './program.js';
import { describeThrown, fault, verified, type IntegerSolver, type SolverClaim, type SolverLimits } from './solver.js';

/** The package's types describe its CommonJS build, where the default export lies one level deeper. */
const jslpPackage = jslp as unknown as { Solve(model: Model): unknown };

export const jslpSolver: IntegerSolver = {
  name: 'jslp',
  solve(program, limits) {
    try {
      return verified(program, claim(program, limits));
    } catch (thrown) {
      return fault(describeThrown(thrown));
    }
  },
};

const columnName = (index: number): string => `c${index}`;

/**
 * The package knows variables >= 0 only, so each column counts from its lower bound, and fixed
 * variables are left out. Rows without a column are decided here: undefined if one can't hold.
 */
function model(program: Program, timeLimitSeconds: number): Model | undefined {
  const { variables, rows, objective, sense } = program;
  const columns = new Map<number, Record<string, number>>();
  const constraints: Model['constraints'] = {};
  const ints: Record<string, 1> = {};
  variables.forEach(({ kind, lower, upper }, index) => {
    if (lower === upper) return;
    columns.set(index, { [`u${index}`]: 1 });
    constraints[`u${index}`] = { max: upper - lower };
    if (kind === 'integer') ints[columnName(index)] = 1;
  });
  const put = (row: string, terms: readonly Term[]): boolean => {
    let used = false;
    for (const [coefficient, variable] of terms) {
      const column = columns.get(variable);
      if (column === undefined) continue;
      column[row] = coefficient;
      used = true;
    }
    return used;
  };
  for (const [index, row] of rows.entries()) {
    const rest = row.rhs - row.terms.reduce((sum, [coefficient, v]) => sum + coefficient * variables[v].lower, 0);
    if (put(`r${index}`, row.terms)) constraints[`r${index}`] = bounds(row, rest);
    else if (!holdsWithout(row, rest)) return undefined;
  }
  put('objective', objective);
  return {
    optimize: 'objective',
    opType: sense === 'minimise' ? 'min' : 'max',
    constraints,
    variables: Object.fromEntries([...columns].map(([index, column]) => [columnName(index), column])),
    ints,
    options: { timeout: Math.max(1, Math.round(1000 * timeLimitSeconds)) },
  };
}

const bounds = ({ relation }: Row, rhs: number): { min?: number; max?: number; equal?: number } =>
  relation === '=' ? { equal: rhs } : relation === '<=' ? { max: rhs } : { min: rhs };

const holdsWithout = ({ relation }: Row, rest: number): boolean =>
  relation === '=' ? rest === 0 : relation === '<=' ? rest >= 0 : rest <= 0;

function claim(program: Program, limits: SolverLimits): SolverClaim {
  const started = performance.now();
  const asked = model(program, limits.timeLimitSeconds);
  if (asked === undefined) return { status: 'infeasible' };
  const lower = program.variables.map((variable) => variable.lower);
  if (Object.keys(asked.variables).length === 0) return { status: 'optimal', values: lower };

  const result: unknown = jslpPackage.Solve(asked);
  const atLimit = performance.now() - started >= 1000 * limits.timeLimitSeconds;
  if (!isResult(result)) return fault('jslp returned no result');
  if (!result['feasible']) {
    return atLimit ? { status: 'unknown', reason: { kind: 'time-limit' } } : { status: 'infeasible' };
  }
  const whole = Object.keys(asked.ints ?? {}).length > 0;
  if (whole && result['isIntegral'] !== true) {
    return atLimit ? { status: 'unknown', reason: { kind: 'time-limit' } } : fault('jslp: the result is not integral');
  }
  const values = lower.map((bound, index) => {
    // Zeros are left out of a result.
    const value = result[columnName(index)] ?? 0;
    return bound + (typeof value === 'number' ? value : Number.NaN);
  });
  return atLimit ? { status: 'feasible', values, bound: undefined } : { status: 'optimal', values };
}

const isResult = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null;
