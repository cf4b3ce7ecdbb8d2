/** Solutions at one objective, against enumeration. TRANSLOOM_SEED shifts the seeds. */
import { describe, expect, it } from 'vitest';
import { checkSolution } from '../../src/program/check-solution.js';
import { ProgramBuilder, type Program, type VariableId } from '../../src/program/program.js';
import { solutionsAt } from '../../src/program/solutions-at.js';
import { randomProgram } from './random-programs.js';

const FIRST_SEED = Number(process.env['TRANSLOOM_SEED'] ?? 1) * 10_000;

/** Every assignment that the checker lets pass, with its objective. */
function allSolutions(program: Program): readonly { readonly values: readonly number[]; readonly objective: number }[] {
  const all = program.variables.reduce<readonly (readonly number[])[]>(
    (some, { lower, upper }) => some.flatMap((values) => Array.from({ length: upper - lower + 1 }, (_, n) => [...values, lower + n])),
    [[]],
  );
  return all.flatMap((values) => {
    const recheck = checkSolution(program, values);
    return recheck.ok ? [{ values, objective: recheck.objective }] : [];
  });
}

const none = (): boolean => false;

describe('solutions at an objective', () => {
  it('are all that enumeration finds, each choice once', () => {
    let choices = 0;
    for (let seed = FIRST_SEED; seed < FIRST_SEED + 300; seed++) {
      const program = randomProgram(seed);
      const all = allSolutions(program);
      const chosen = program.variables.map((_, v) => v as VariableId).slice(0, 1 + (seed % program.variables.length));
      const keyOf = (values: readonly number[]): string => chosen.map((v) => values[v]).join();
      const objectives = [...new Set(all.map(({ objective }) => objective))];
      for (const objective of [...objectives.slice(0, 4), 1_000]) {
        const found = [...solutionsAt(program, objective, chosen, none)];
        for (const values of found) expect(checkSolution(program, values), `seed ${seed}`).toMatchObject({ ok: true, objective });
        const expected = new Set(all.filter((solution) => solution.objective === objective).map(({ values }) => keyOf(values)));
        expect(found.map(keyOf).sort(), `seed ${seed}`).toEqual([...expected].sort());
        const skipped = [...expected].filter((_, n) => n % 2 === 0);
        const rest = [...solutionsAt(program, objective, chosen, (values) => skipped.includes(keyOf(values)))];
        expect(rest.map(keyOf).sort(), `seed ${seed}`).toEqual([...expected].filter((key) => !skipped.includes(key)).sort());
        choices += expected.size;
      }
    }
    expect(choices).toBeGreaterThan(500);
  });

  it('come to an end where there are very many choices and no solution', () => {
    const build = new ProgramBuilder('parity', 'minimise');
    const xs = Array.from({ length: 40 }, (_, n) => build.binary(`x${n}`));
    const half = build.integer('half', 0, 20);
    build.row([...xs.map((x) => [2, x] as const), [-4, half]], '=', 2);
    build.row([...xs.map((x) => [3, x] as const)], '=', 60);
    build.objective(xs.map((x) => [1, x] as const));
    expect([...solutionsAt(build.build(), 20, xs, none)]).toEqual([]);
  });
});
