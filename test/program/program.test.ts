/** The builder, the exact checker, and the one way from a claim to an answer. */
import { describe, expect, it } from 'vitest';
import { checkSolution } from '../../src/program/check-solution.js';
import { ProgramBuilder } from '../../src/program/program.js';
import { verified } from '../../src/program/solver.js';

function knapsack() {
  const builder = new ProgramBuilder('knapsack', 'maximise');
  const x = builder.binary('x');
  const y = builder.integer('y', 0, 3);
  builder.objective([
    [5, x],
    [4, y],
  ]);
  builder.row(
    [
      [2, x],
      [3, y],
    ],
    '<=',
    7,
    'weight',
  );
  return builder.build();
}

describe('program builder', () => {
  it('adds up the terms of one variable and drops zeros', () => {
    const builder = new ProgramBuilder('p', 'minimise');
    const x = builder.binary('x');
    const y = builder.binary('y');
    builder.row(
      [
        [1, x],
        [2, y],
        [3, x],
        [-2, y],
      ],
      '<=',
      4,
    );
    expect(builder.build().rows[0].terms).toEqual([[4, x]]);
  });

  it('refuses what is not whole, crossed bounds and doubled names', () => {
    const builder = new ProgramBuilder('p', 'minimise');
    const x = builder.binary('x');
    expect(() => builder.binary('x')).toThrow(/names of variables differ/);
    expect(() => builder.integer('y', 0, 0.5)).toThrow(/safe integers/);
    expect(() => builder.integer('z', 1, 0)).toThrow(/lower <= upper/);
    expect(() => builder.row([[0.1, x]], '<=', 1)).toThrow(/coefficient is a safe integer/);
    expect(() => builder.row([[1, x]], '<=', 2 ** 60)).toThrow(/right-hand side/);
  });

  it('keeps a built program as it was when more is added', () => {
    const builder = new ProgramBuilder('p', 'minimise');
    builder.row([[1, builder.binary('x')]], '>=', 1);
    const before = builder.build();
    builder.row([[1, builder.binary('y')]], '>=', 1);
    expect([before.rows.length, before.variables.length]).toEqual([1, 1]);
  });
});

describe('checkSolution', () => {
  it('accepts a right answer and computes its objective', () => {
    expect(checkSolution(knapsack(), [1, 1])).toEqual({ ok: true, objective: 9, exact: true });
  });

  it.each([
    { values: [1, 2], violation: { kind: 'row', row: 'weight' } },
    { values: [2, 0], violation: { kind: 'bound', variable: 'x', value: 2 } },
    { values: [0, -1], violation: { kind: 'bound', variable: 'y', value: -1 } },
    { values: [0.5, 1], violation: { kind: 'not-whole', variable: 'x', value: 0.5 } },
    { values: [0, Number.NaN], violation: { kind: 'not-whole', variable: 'y', value: Number.NaN } },
    { values: [0], violation: { kind: 'length', expected: 2, found: 1 } },
    { values: [0, 1, 1], violation: { kind: 'length', expected: 2, found: 3 } },
  ])('refuses $values', ({ values, violation }) => {
    expect(checkSolution(knapsack(), values)).toEqual({ ok: false, violations: [violation] });
  });

  it('tells sums apart that floating point does not', () => {
    const builder = new ProgramBuilder('large', 'minimise');
    const huge = 2 ** 52;
    const x = builder.integer('x', 0, 4);
    const y = builder.binary('y');
    builder.row(
      [
        [huge, x],
        [1, y],
      ],
      '<=',
      Number.MAX_SAFE_INTEGER,
      'tight',
    );
    const program = builder.build();
    // 2^53 and 2^53 + 1 are one number in floating point; the row's limit is 2^53 - 1.
    expect(checkSolution(program, [2, 0])).toEqual({ ok: false, violations: [{ kind: 'row', row: 'tight' }] });
    expect(checkSolution(program, [1, 1]).ok).toBe(true);
  });

  it('says when continuous variables made it inexact', () => {
    const builder = new ProgramBuilder('mixed', 'minimise');
    const x = builder.binary('x');
    const flow = builder.continuous('flow', 0, 10);
    builder.objective([[1, x]]).row(
      [
        [3, flow],
        [-1, x],
      ],
      '=',
      0,
    );
    const program = builder.build();
    expect(checkSolution(program, [1, 1 / 3])).toEqual({ ok: true, objective: 1, exact: false });
    expect(checkSolution(program, [1, 0.333]).ok).toBe(false);
  });
});

describe('checkSolution, where a solver errs by little', () => {
  it('holds an equation from both sides', () => {
    const builder = new ProgramBuilder('equation', 'minimise');
    builder.row([[1, builder.integer('x', 0, 9)]], '=', 4, 'four');
    const program = builder.build();
    const refused = { ok: false, violations: [{ kind: 'row', row: 'four' }] };
    expect([3, 4, 5].map((x) => checkSolution(program, [x]))).toEqual([refused, { ok: true, objective: 0, exact: true }, refused]);
  });

  it('keeps whole variables to their bounds exactly, however large those are', () => {
    const builder = new ProgramBuilder('large bounds', 'minimise');
    builder.integer('x', -(2 ** 40), 2 ** 40);
    const program = builder.build();
    expect(checkSolution(program, [2 ** 40]).ok).toBe(true);
    for (const value of [2 ** 40 + 1, -(2 ** 40) - 1]) {
      expect(checkSolution(program, [value])).toEqual({ ok: false, violations: [{ kind: 'bound', variable: 'x', value }] });
    }
  });

  it('lets continuous variables overstep their bounds by the tolerance, and no more', () => {
    const builder = new ProgramBuilder('flows', 'minimise');
    builder.continuous('flow', -100, 100);
    const program = builder.build();
    // The tolerance is relative to the bound: 1e-6 of 100.
    expect([100.00009, -100.00009].map((value) => checkSolution(program, [value]).ok)).toEqual([true, true]);
    for (const value of [100.00011, -100.00011]) {
      expect(checkSolution(program, [value])).toEqual({ ok: false, violations: [{ kind: 'bound', variable: 'flow', value }] });
    }
    expect(checkSolution(program, [Infinity])).toEqual({
      ok: false,
      violations: [{ kind: 'not-whole', variable: 'flow', value: Infinity }],
    });
  });

  it('measures the error of a row by its greatest term', () => {
    const builder = new ProgramBuilder('flows', 'minimise');
    const [from, to] = [builder.continuous('from', 0, 1000), builder.continuous('to', 0, 1000)];
    builder.row(
      [
        [1, from],
        [-1, to],
      ],
      '=',
      0,
      'balance',
    );
    const program = builder.build();
    expect(checkSolution(program, [1000, 999.9991]).ok).toBe(true);
    expect(checkSolution(program, [1000, 999.9989]).ok).toBe(false);
    expect(checkSolution(program, [1, 0.9991]).ok).toBe(false);
  });

  it('adds up an objective of flows, and never calls it exact', () => {
    const builder = new ProgramBuilder('flows', 'maximise');
    builder.objective([
      [3, builder.continuous('flow', 0, 10)],
      [2, builder.binary('x')],
    ]);
    expect(checkSolution(builder.build(), [1.5, 1])).toEqual({ ok: true, objective: 6.5, exact: false });
  });

  it('refuses an objective that is no safe integer', () => {
    const builder = new ProgramBuilder('huge', 'minimise');
    builder.objective([[2 ** 52, builder.integer('x', 0, 4)]]);
    const program = builder.build();
    expect(checkSolution(program, [1])).toEqual({ ok: true, objective: 2 ** 52, exact: true });
    expect(checkSolution(program, [4])).toEqual({ ok: false, violations: [{ kind: 'objective-too-large' }] });
  });
});

describe('verified', () => {
  it('rounds what is nearly whole and recomputes the objective', () => {
    expect(verified(knapsack(), { status: 'optimal', values: [0.9999999, 1.0000001] })).toEqual({
      status: 'optimal',
      solution: { values: [1, 1], objective: 9, exact: true },
    });
  });

  it.each([
    { values: [0.5, 1], detail: /not whole/ },
    { values: [1, 3], detail: /row weight/ },
    { values: [1, 7], detail: /bound/ },
    { values: [1], detail: /not whole/ },
  ])('turns the false claim $values into a fault', ({ values, detail }) => {
    for (const claim of [
      { status: 'optimal', values } as const,
      { status: 'feasible', values, bound: undefined } as const,
    ]) {
      const answer = verified(knapsack(), claim);
      expect(answer).toMatchObject({ status: 'unknown', reason: { kind: 'fault' } });
      expect(answer.status === 'unknown' && answer.reason.kind === 'fault' ? answer.reason.detail : '').toMatch(detail);
    }
  });

  it('makes a bound on a whole objective whole, and refuses one that the solution beats', () => {
    const claim = (bound: number) => verified(knapsack(), { status: 'feasible', values: [1, 1], bound });
    expect(claim(10.7)).toMatchObject({ status: 'feasible', bound: 10 });
    expect(claim(8.9999999)).toMatchObject({ status: 'feasible', bound: 9 });
    expect(claim(8)).toMatchObject({ status: 'unknown' });
    expect(claim(Infinity)).toMatchObject({ status: 'feasible', bound: undefined });
  });
});
