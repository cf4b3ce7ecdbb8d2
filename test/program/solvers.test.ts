/**
 * The two solvers of the product against each other, against a third, and against enumeration; what
 * a limit and a fault turn into; and that nothing is printed. TRANSLOOM_SEED shifts the seeds.
 */
import { beforeAll, describe, expect, it, vi } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { jslpSolver } from '../../src/program/jslp-port.js';
import { ProgramBuilder, type Program } from '../../src/program/program.js';
import type { IntegerSolver, SolverAnswer } from '../../src/program/solver.js';
import { loadHighsSolver } from '../oracles/highs-solver.js';
import { bestByEnumeration, permuteRows, randomProgram } from './random-programs.js';

const LIMITS = { timeLimitSeconds: 20 };
const FIRST_SEED = Number(process.env['TRANSLOOM_SEED'] ?? 1) * 10_000;

let glpk: IntegerSolver;
let highs: IntegerSolver;
beforeAll(async () => {
  [glpk, highs] = await Promise.all([loadGlpkSolver(), loadHighsSolver()]);
});

const outcome = (answer: SolverAnswer): number | string =>
  answer.status === 'optimal'
    ? answer.solution.objective
    : answer.status === 'unknown'
      ? JSON.stringify(answer.reason)
      : answer.status;

/** A covering program that no solver here closes within a moment. */
function hard(size: number): Program {
  const builder = new ProgramBuilder('hard', 'minimise');
  const variables = Array.from({ length: size }, (_, index) => builder.binary(`x${index}`));
  builder.objective(variables.map((variable) => [1, variable]));
  const random = seededRandom(size);
  for (let row = 0; row < 3 * size; row++) {
    const four = new Set([0, 1, 2, 3].map(() => random(size)));
    builder.row(
      [...four].map((index) => [1, variables[index]]),
      '>=',
      1,
    );
  }
  return builder.build();
}

describe('solvers', () => {
  it('agree with enumeration and with each other on random programs, whatever the order of rows', () => {
    let solvable = 0;
    for (let seed = FIRST_SEED; seed < FIRST_SEED + 400; seed++) {
      const program = randomProgram(seed);
      const expected = bestByEnumeration(program) ?? 'infeasible';
      const found = [
        outcome(glpk.solve(program, LIMITS)),
        outcome(jslpSolver.solve(program, LIMITS)),
        outcome(glpk.solve(permuteRows(program, seed), LIMITS)),
        outcome(jslpSolver.solve(permuteRows(program, seed), LIMITS)),
      ];
      expect(found, `seed ${seed}`).toEqual([expected, expected, expected, expected]);
      if (expected !== 'infeasible') solvable++;
    }
    expect(solvable).toBeGreaterThan(100);
    expect(solvable).toBeLessThan(400);
  });

  it('agree with HiGHS', () => {
    for (let seed = FIRST_SEED; seed < FIRST_SEED + 60; seed++) {
      const program = randomProgram(seed);
      expect(outcome(highs.solve(program, LIMITS)), `seed ${seed}`).toBe(outcome(glpk.solve(program, LIMITS)));
    }
  });

  it('handle programs without variables or rows', () => {
    const empty = new ProgramBuilder('empty', 'minimise').build();
    const impossible = new ProgramBuilder('impossible', 'minimise').row([], '>=', 1).build();
    const free = new ProgramBuilder('free', 'maximise');
    free.objective([[2, free.integer('x', -4, 3)]]);
    for (const solver of [glpk, jslpSolver]) {
      expect(outcome(solver.solve(empty, LIMITS)), solver.name).toBe(0);
      expect(outcome(solver.solve(impossible, LIMITS)), solver.name).toBe('infeasible');
      expect(outcome(solver.solve(free.build(), LIMITS)), solver.name).toBe(6);
    }
  });

  it('never call a time limit infeasible or a proof', () => {
    for (const solver of [glpk, jslpSolver, highs]) {
      const answer = solver.solve(hard(100), { timeLimitSeconds: 0.05 });
      expect(['feasible', 'unknown'], solver.name).toContain(answer.status);
      if (answer.status === 'unknown') expect(answer.reason, solver.name).toEqual({ kind: 'time-limit' });
    }
  });

  it('print nothing', async () => {
    const lines: unknown[] = [];
    const spies = (['log', 'error', 'warn', 'info'] as const).map((name) =>
      vi.spyOn(console, name).mockImplementation((...parts) => void lines.push(parts)),
    );
    const write = vi.spyOn(process.stdout, 'write').mockImplementation((text) => lines.push(text) > 0);
    const fresh = await loadGlpkSolver();
    for (const solver of [fresh, jslpSolver]) {
      solver.solve(randomProgram(1), LIMITS);
      solver.solve(hard(40), { timeLimitSeconds: 0.05 });
    }
    // A variable twice in one row, which the builder would not let through, makes GLPK print and abort.
    const program = randomProgram(2);
    const doubled = { ...program.rows[0], terms: [...program.rows[0].terms, ...program.rows[0].terms] };
    const answers = [
      fresh.solve({ ...program, rows: [doubled] }, LIMITS),
      fresh.solve(program, LIMITS),
      (await loadGlpkSolver()).solve(program, LIMITS),
    ];
    console.log('still heard');
    for (const spy of [...spies, write]) spy.mockRestore();
    expect(lines).toEqual([['still heard']]);
    expect(answers.map(outcome)).toEqual([
      expect.stringMatching(/^\{"kind":"fault","detail":"RuntimeError: Aborted/),
      expect.stringMatching(/GLPK failed before/),
      bestByEnumeration(program),
    ]);
  });
});
