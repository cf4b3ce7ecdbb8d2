/**
 * Measures against published and hand-worked values, and the Pareto filter against its definition.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatRational, ratio, type Rational } from '../../src/base/rational.js';
import { jainImbalance } from '../../src/base/jain.js';
import { dominates, hypervolume2, paretoFilter } from '../../src/ranking/measures.js';

const whole = (values: readonly number[]): Rational[] => values.map((value) => ratio(value));
const SEED = Number(process.env['TRANSLOOM_SEED'] ?? '20240229');

describe('drain imbalance', () => {
  // Jain, Chiu, Hawe 1984: all equal 1, one of n 1/n, k equal of n k/n, 10..60 by tens 0.807692.
  it.each([
    [[5, 5, 5], '0'],
    [[0, 0, 7, 0], '3/4'],
    [[2, 2, 2, 0, 0], '2/5'],
    [[10, 20, 30, 40, 50, 60], '5/26'],
    [[], '0'],
    [[0, 0], '0'],
  ])('of %j is %s', (values, expected) => {
    expect(formatRational(jainImbalance(whole(values)))).toBe(expected);
  });

  it('does not change when all flows are scaled', () => {
    fc.assert(
      fc.property(fc.array(fc.nat(50), { minLength: 1, maxLength: 8 }), fc.integer({ min: 1, max: 9 }), (values, by) => {
        const scaled = values.map((value) => ratio(value * by, 7));
        expect(formatRational(jainImbalance(scaled))).toBe(formatRational(jainImbalance(whole(values))));
      }),
      { seed: SEED },
    );
  });
});

describe('Pareto filter', () => {
  it('keeps what nothing dominates, in order, one of equals', () => {
    const items = [[3, 1], [1, 3], [2, 2], [2, 2], [3, 3], [1, 4]];
    expect(paretoFilter(items, whole)).toEqual([[3, 1], [1, 3], [2, 2]]);
    expect(paretoFilter([], whole)).toEqual([]);
  });

  it('leaves every dropped item equal to or dominated by a kept one', () => {
    const triple = fc.tuple(fc.nat(4), fc.nat(4), fc.nat(4));
    let dropped = 0;
    fc.assert(
      fc.property(fc.array(triple, { maxLength: 12 }), (items) => {
        const kept = paretoFilter(items, whole);
        for (const item of items.filter((each) => !kept.includes(each))) {
          dropped += 1;
          expect(
            kept.some((other) => dominates(whole(other), whole(item)) || other.every((value, at) => value === item[at])),
          ).toBe(true);
        }
        for (const a of kept) for (const b of kept) expect(dominates(whole(a), whole(b))).toBe(false);
      }),
      { seed: SEED },
    );
    expect(dropped).toBeGreaterThan(0);
  });
});

describe('Pareto filter against its definition', () => {
  /** Pair by pair, on plain numbers: kept is what no other is no worse than everywhere, but for itself and later equals. */
  const byDefinition = (items: readonly (readonly number[])[]): readonly (readonly number[])[] =>
    items.filter((item, index) => !items.some((other, at) => at !== index && other.every((value, k) => value <= item[k]) && (other.some((value, k) => value < item[k]) || at < index)));

  it.each([1, 2, 3, 4])('keeps the same of random cost sets in %i objectives', (objectives) => {
    const sets = fc.array(fc.array(fc.nat(6), { minLength: objectives, maxLength: objectives }), { maxLength: 24 });
    let dropped = 0;
    fc.assert(
      fc.property(sets, (items) => {
        const expected = byDefinition(items);
        dropped += items.length - expected.length;
        expect(paretoFilter(items, whole)).toEqual(expected);
      }),
      { seed: SEED, numRuns: 400 },
    );
    expect(dropped).toBeGreaterThan(0);
  });
});

describe('hypervolume of two objectives', () => {
  const pair = (a: number, b: number): [Rational, Rational] => [ratio(a), ratio(b)];

  it('is 3 for {(1,2), (2,1)} below (3,3)', () => {
    expect(formatRational(hypervolume2([pair(1, 2), pair(2, 1)], pair(3, 3)))).toBe('3');
  });

  it('ignores dominated points and those beyond the reference', () => {
    expect(formatRational(hypervolume2([pair(2, 1), pair(1, 2), pair(2, 2), pair(5, 0)], pair(3, 3)))).toBe('3');
  });

  // Zitzler, Deb, Thiele 2000: the front of ZDT2 is y = 1 - x^2; its exact area below (1.1, 1.1) is 0.543333.
  it('nears 0.543333 from below on a fine sample of ZDT2', () => {
    const points = Array.from({ length: 401 }, (_, index): [Rational, Rational] => [ratio(index, 400), ratio(160_000 - index * index, 160_000)]);
    const area = hypervolume2(points, [ratio(11, 10), ratio(11, 10)]).valueOf();
    expect(area).toBeGreaterThan(0.541);
    expect(area).toBeLessThan(0.543333);
  });

  it('is the number of cells that some point dominates, on random grids', () => {
    const points = fc.array(fc.tuple(fc.nat(8), fc.nat(8)), { maxLength: 10 });
    fc.assert(
      fc.property(points, (all) => {
        const cells = Array.from({ length: 49 }, (_, cell) => [cell % 7, Math.floor(cell / 7)]);
        const covered = cells.filter(([x, y]) => all.some(([a, b]) => a <= x && b <= y)).length;
        expect(hypervolume2(all.map(([a, b]) => pair(a, b)), pair(7, 7)).valueOf()).toBe(covered);
      }),
      { seed: SEED },
    );
  });

  // Zitzler, Deb, Thiele 2000: the front of ZDT1 is y = 1 - sqrt(x); its exact area below (1.1, 1.1) is 0.876667.
  it('nears 0.876667 from below on a fine sample of ZDT1', () => {
    const points = Array.from({ length: 401 }, (_, index): [Rational, Rational] => [
      ratio(index * index, 160_000),
      ratio(400 - index, 400),
    ]);
    const area = hypervolume2(points, [ratio(11, 10), ratio(11, 10)]).valueOf();
    expect(area).toBeGreaterThan(0.8745);
    expect(area).toBeLessThan(0.876667);
  });
});
