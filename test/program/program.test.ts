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
