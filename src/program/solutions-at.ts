/**
 * Solutions of a program at one given objective, by depth-first search in whole numbers: ranges of variables are narrowed
 * row by row, then halved. It proves nothing: variables that may be fractions take whole values here, and it gives up
 * after so many steps, so some solutions are missed. But whoever knows from a solver that nothing is better than this
 * objective, and rechecks what comes out (`check-solution.ts`), holds optimal solutions without asking the solver again.
 */
import type { Program, Term, VariableId } from './program.js';

/** A row as "sum of terms <= most". */
interface Limit {
  readonly coefficients: readonly number[];
  readonly variables: readonly number[];
  readonly most: number;
}

/** Steps in which the other variables must fall into place, once those that are asked about are settled. */
const STEPS_TO_COMPLETE = 400;
/** Steps from one solution to the next. */
const STEPS_TO_NEXT = 20_000;

const limitsOf = (terms: readonly Term[], relation: '<=' | '>=' | '=', rhs: number): readonly Limit[] => {
  const limit = (sign: 1 | -1): Limit => ({ coefficients: terms.map(([coefficient]) => sign * coefficient), variables: terms.map(([, variable]) => variable), most: sign * rhs });
  return relation === '<=' ? [limit(1)] : relation === '>=' ? [limit(-1)] : [limit(1), limit(-1)];
};

class Ranges {
  readonly lower: number[];
  readonly upper: number[];
  private readonly limits: readonly Limit[];
  /** [variable]: the limits it stands in. */
  private readonly heldBy: readonly (readonly number[])[];
  private readonly trail: { readonly variable: number; readonly lower: number; readonly upper: number }[] = [];
  private readonly waiting: number[] = [];
  private readonly isWaiting: boolean[];

  constructor({ variables, rows, objective }: Program, value: number) {
    this.lower = variables.map(({ lower }) => lower);
    this.upper = variables.map(({ upper }) => upper);
    this.limits = [...rows.flatMap(({ terms, relation, rhs }) => limitsOf(terms, relation, rhs)), ...limitsOf(objective, '=', value)];
    const heldBy = variables.map((): number[] => []);
    this.limits.forEach((limit, l) => {
      for (const variable of limit.variables) heldBy[variable].push(l);
    });
    this.heldBy = heldBy;
    this.isWaiting = this.limits.map(() => false);
  }

  get mark(): number {
    return this.trail.length;
  }

  undo(mark: number): void {
    while (this.trail.length > mark) {
      const last = this.trail.pop();
      if (last === undefined) return;
      this.lower[last.variable] = last.lower;
      this.upper[last.variable] = last.upper;
    }
  }

  /** Narrows all ranges; false where nothing is left of one. */
  settle(): boolean {
    this.limits.forEach((_, l) => {
      this.await(l);
    });
    return this.narrow();
  }

  restrict(variable: number, lower: number, upper: number): boolean {
    this.set(variable, lower, upper);
    return this.narrow();
  }

  private set(variable: number, lower: number, upper: number): void {
    this.trail.push({ variable, lower: this.lower[variable], upper: this.upper[variable] });
    this.lower[variable] = lower;
    this.upper[variable] = upper;
    for (const l of this.heldBy[variable]) this.await(l);
  }

  private await(limit: number): void {
    if (this.isWaiting[limit]) return;
    this.isWaiting[limit] = true;
    this.waiting.push(limit);
  }

  private narrow(): boolean {
    let holds = true;
    for (let l = this.waiting.pop(); l !== undefined; l = this.waiting.pop()) {
      this.isWaiting[l] = false;
      holds = holds && this.narrowBy(this.limits[l]);
    }
    return holds;
  }

  private narrowBy({ coefficients, variables, most }: Limit): boolean {
    const { lower, upper } = this;
    let room = most;
    for (let t = 0; t < variables.length; t++) room -= coefficients[t] * (coefficients[t] > 0 ? lower : upper)[variables[t]];
    if (room < 0) return false;
    for (let t = 0; t < variables.length; t++) {
      const variable = variables[t];
      const span = Math.floor(room / Math.abs(coefficients[t]));
      if (upper[variable] - lower[variable] <= span) continue;
      if (coefficients[t] > 0) this.set(variable, lower[variable], lower[variable] + span);
      else this.set(variable, upper[variable] - span, upper[variable]);
    }
    return true;
  }
}

/**
 * One solution of each way to choose `chosen` that has one with this objective, as far as they are found and not `skipped`;
 * values are indexed by variable.
 */
export function* solutionsAt(
  program: Program,
  objective: number,
  chosen: readonly VariableId[],
  skipped: (values: readonly number[]) => boolean,
): Generator<readonly number[], void> {
  const ranges = new Ranges(program, objective);
  const { lower, upper } = ranges;
  const isChosen = new Set<number>(chosen);
  const others = program.variables.map((_, v) => v).filter((v) => !isChosen.has(v));
  // Fractions last: whatever is whole by nature has its say first.
  const completing = [...others.filter((v) => program.variables[v].kind === 'integer'), ...others.filter((v) => program.variables[v].kind !== 'integer')];
  let steps = 0;
  let choices = 0;

  const completed = (from: number): boolean => {
    let at = from;
    while (at < completing.length && lower[completing[at]] === upper[completing[at]]) at++;
    if (at === completing.length) return true;
    if (steps++ > STEPS_TO_COMPLETE) return false;
    const variable = completing[at];
    const middle = Math.floor((lower[variable] + upper[variable]) / 2);
    const mark = ranges.mark;
    for (const [least, most] of [[lower[variable], middle], [middle + 1, upper[variable]]]) {
      if (ranges.restrict(variable, least, most) && completed(at)) return true;
      ranges.undo(mark);
    }
    return false;
  };

  function* choose(from: number): Generator<readonly number[], void> {
    const mark = ranges.mark;
    if (from === chosen.length) {
      if (skipped(lower)) return;
      steps = 0;
      if (completed(0)) {
        choices = 0;
        yield [...lower];
      }
      ranges.undo(mark);
      return;
    }
    const variable = chosen[from];
    for (let value = lower[variable]; value <= upper[variable] && choices++ < STEPS_TO_NEXT; value++) {
      if (ranges.restrict(variable, value, value)) yield* choose(from + 1);
      ranges.undo(mark);
    }
  }

  if (ranges.settle()) yield* choose(0);
}
