/**
 * Small random programs and their exhaustive solution: the naive oracle of the solver tests.
 * Shares nothing with the checker or the ports.
 */
import { seededRandom } from '../../src/base/random.js';
import { ProgramBuilder, type Program, type Relation } from '../../src/program/program.js';

/** At most 5 whole variables with at most 5 values each, up to 5 rows; some have no solution. */
export function randomProgram(seed: number): Program {
  const random = seededRandom(seed);
  const between = (least: number, greatest: number): number => least + random(greatest - least + 1);
  const builder = new ProgramBuilder(`random-${seed}`, random(2) === 0 ? 'minimise' : 'maximise');
  const variables = Array.from({ length: between(1, 5) }, (_, index) => {
    const lower = random(3) === 0 ? between(-3, 1) : 0;
    return builder.integer(`x${index}`, lower, lower + between(0, 4));
  });
  builder.objective(variables.map((variable) => [between(-6, 9), variable]));
  for (let row = between(0, 5); row > 0; row--) {
    const relation: Relation = random(5) === 0 ? '=' : random(2) === 0 ? '<=' : '>=';
    const terms = variables.flatMap((variable) => (random(4) === 0 ? [] : [[between(-4, 7), variable] as const]));
    builder.row(terms, relation, between(-2, 14));
  }
  return builder.build();
}

/** The same program with its rows in another order. */
export function permuteRows(program: Program, seed: number): Program {
  const random = seededRandom(seed);
  const rows = [...program.rows];
  for (let last = rows.length - 1; last > 0; last--) {
    const other = random(last + 1);
    [rows[last], rows[other]] = [rows[other], rows[last]];
  }
  return { ...program, rows };
}

/** Best objective over every assignment of whole values, undefined if none meets the rows. */
export function bestByEnumeration({ variables, rows, objective, sense }: Program): number | undefined {
  const values = variables.map(({ lower }) => lower);
  const sumOf = (terms: Program['objective']): number =>
    terms.reduce((sum, [coefficient, variable]) => sum + coefficient * values[variable], 0);
  let best: number | undefined;
  for (;;) {
    const meets = rows.every(({ terms, relation, rhs }) => {
      const sum = sumOf(terms);
      if (relation === '=') return sum === rhs;
      return relation === '<=' ? sum <= rhs : sum >= rhs;
    });
    if (meets) {
      const found = sumOf(objective);
      if (best === undefined || (sense === 'minimise' ? found < best : found > best)) best = found;
    }
    let index = 0;
    while (index < values.length && values[index] === variables[index].upper) {
      values[index] = variables[index].lower;
      index++;
    }
    if (index === values.length) return best;
    values[index]++;
  }
}
