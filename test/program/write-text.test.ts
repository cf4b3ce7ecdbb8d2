/** LP and MPS text: what is written, and that another program's readers find the same optimum in it. */
import { beforeAll, describe, expect, it } from 'vitest';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { ProgramBuilder } from '../../src/program/program.js';
import type { IntegerSolver } from '../../src/program/solver.js';
import { writeLp } from '../../src/program/write-lp.js';
import { writeMps } from '../../src/program/write-mps.js';
import { optimumOfText } from '../oracles/highs-solver.js';
import { randomProgram } from './random-programs.js';

const FIRST_SEED = Number(process.env['TRANSLOOM_SEED'] ?? 1) * 20_000;

function sample() {
  const builder = new ProgramBuilder('two\nlines', 'maximise');
  const x = builder.integer('x at [0, 1]', -2, 5);
  const flow = builder.continuous('flow', 0, 9);
  builder.objective([
    [3, x],
    [-1, flow],
  ]);
  builder.row(
    [
      [1, x],
      [-2, flow],
    ],
    '<=',
    1,
    'limit',
  );
  return builder.build();
}

describe('text of a program', () => {
  it('in CPLEX LP form', () => {
    expect(writeLp(sample()).split('\n')).toEqual([
      '\\ two lines',
      '\\ c0: x at [0, 1]',
      '\\ c1: flow',
      '\\ r0: limit',
      'Maximize',
      ' obj: + 3 c0 - 1 c1',
      'Subject To',
      ' r0: + 1 c0 - 2 c1 <= 1',
      'Bounds',
      ' -2 <= c0 <= 5',
      ' 0 <= c1 <= 9',
      'Generals',
      ' c0',
      'End',
      '',
    ]);
  });

  it('in free MPS form', () => {
    expect(writeMps(sample()).split('\n')).toEqual([
      '* two lines',
      '* c0: x at [0, 1]',
      '* c1: flow',
      '* r0: limit',
      'NAME program',
      'OBJSENSE',
      ' MAX',
      'ROWS',
      ' N obj',
      ' L r0',
      'COLUMNS',
      " m0 'MARKER' 'INTORG'",
      ' c0 obj 3',
      ' c0 r0 1',
      " m1 'MARKER' 'INTEND'",
      ' c1 obj -1',
      ' c1 r0 -2',
      'RHS',
      ' rhs r0 1',
      'BOUNDS',
      ' LO bnd c0 -2',
      ' UP bnd c0 5',
      ' LO bnd c1 0',
      ' UP bnd c1 9',
      'ENDATA',
      '',
    ]);
  });

  let glpk: IntegerSolver;
  beforeAll(async () => {
    glpk = await loadGlpkSolver();
  });

  it.each([
    { format: 'lp', write: writeLp },
    { format: 'mps', write: writeMps },
  ] as const)('is read back from $format with the same optimum', async ({ format, write }) => {
    let solvable = 0;
    for (let seed = FIRST_SEED; seed < FIRST_SEED + 60; seed++) {
      const program = randomProgram(seed);
      const answer = glpk.solve(program, { timeLimitSeconds: 10 });
      const expected = answer.status === 'optimal' ? answer.solution.objective : answer.status;
      const found = await optimumOfText(format, write(program));
      if (typeof expected === 'number') {
        solvable++;
        expect(found, `seed ${seed}`).toBeCloseTo(expected, 6);
      } else {
        expect(found, `seed ${seed}`).toBe('infeasible');
      }
    }
    expect(solvable).toBeGreaterThan(10);
  });
});
