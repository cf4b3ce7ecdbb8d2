/**
 * Rechecks an assignment against a program, and computes its objective: whole variables with exact
 * integers, whatever a solver said. Shares no code with the solver ports, which it is there to doubt.
 * Rows and objectives that hold a continuous variable can't be exact; they are held to a tolerance,
 * and the finding says so.
 */
import type { Program, Relation, Term } from './program.js';

/** Allowed error of a row with continuous variables, relative to its greatest term (at least 1). */
const CONTINUOUS_TOLERANCE = 1e-6;

export type Violation =
  | { readonly kind: 'length'; readonly expected: number; readonly found: number }
  | { readonly kind: 'not-whole'; readonly variable: string; readonly value: number }
  | { readonly kind: 'bound'; readonly variable: string; readonly value: number }
  | { readonly kind: 'row'; readonly row: string }
  | { readonly kind: 'objective-too-large' };

type Recheck =
  | {
      readonly ok: true;
      readonly objective: number;
      /** Whether everything was checked with integers, nothing within a tolerance. */
      readonly exact: boolean;
    }
  | { readonly ok: false; readonly violations: readonly Violation[] };

type Compared = -1 | 0 | 1;

const holds = (compared: Compared, relation: Relation): boolean =>
  relation === '=' ? compared === 0 : relation === '<=' ? compared <= 0 : compared >= 0;

const exactSum = (terms: readonly Term[], values: readonly number[]): bigint => {
  let sum = 0n;
  for (const [coefficient, variable] of terms) {
    if (values[variable] !== 0) sum += BigInt(coefficient) * BigInt(values[variable]);
  }
  return sum;
};

const compareExactly = (terms: readonly Term[], values: readonly number[], rhs: number): Compared => {
  const sum = exactSum(terms, values);
  const bound = BigInt(rhs);
  return sum < bound ? -1 : sum > bound ? 1 : 0;
};

const compareNearly = (terms: readonly Term[], values: readonly number[], rhs: number): Compared => {
  let sum = 0;
  let greatest = Math.max(1, Math.abs(rhs));
  for (const [coefficient, variable] of terms) {
    const product = coefficient * values[variable];
    sum += product;
    greatest = Math.max(greatest, Math.abs(product));
  }
  const difference = sum - rhs;
  if (Math.abs(difference) <= CONTINUOUS_TOLERANCE * greatest) return 0;
  return difference < 0 ? -1 : 1;
};

/** `values` is indexed by variable; a whole variable's value must be a whole number. */
export function checkSolution(program: Program, values: readonly number[]): Recheck {
  const { variables, rows, objective } = program;
  if (values.length !== variables.length) {
    return { ok: false, violations: [{ kind: 'length', expected: variables.length, found: values.length }] };
  }
  const violations: Violation[] = [];
  variables.forEach(({ name, kind, lower, upper }, index) => {
    const value = values[index];
    if (kind === 'integer' ? !Number.isSafeInteger(value) : !Number.isFinite(value)) {
      violations.push({ kind: 'not-whole', variable: name, value });
    } else {
      const slack = kind === 'integer' ? 0 : CONTINUOUS_TOLERANCE * Math.max(1, Math.abs(lower), Math.abs(upper));
      if (value < lower - slack || value > upper + slack) violations.push({ kind: 'bound', variable: name, value });
    }
  });
  // Sums of what is no number mean nothing.
  if (violations.length > 0) return { ok: false, violations };

  const isWhole = ([, variable]: Term): boolean => variables[variable].kind === 'integer';
  let exact = true;
  for (const { name, terms, relation, rhs } of rows) {
    const whole = terms.every(isWhole);
    exact &&= whole;
    const compared = whole ? compareExactly(terms, values, rhs) : compareNearly(terms, values, rhs);
    if (!holds(compared, relation)) violations.push({ kind: 'row', row: name });
  }
  if (violations.length > 0) return { ok: false, violations };

  if (!objective.every(isWhole)) {
    const sum = objective.reduce((total, [coefficient, variable]) => total + coefficient * values[variable], 0);
    return { ok: true, objective: sum, exact: false };
  }
  const sum = Number(exactSum(objective, values));
  if (!Number.isSafeInteger(sum)) return { ok: false, violations: [{ kind: 'objective-too-large' }] };
  return { ok: true, objective: sum, exact };
}
