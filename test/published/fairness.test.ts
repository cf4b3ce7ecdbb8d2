/**
 * Drain imbalance is 1 - Jain's index. Source: R. Jain, D. Chiu, W. Hawe, "A Quantitative Measure of Fairness and
 * Discrimination for Resource Allocation in Shared Computer Systems", DEC TR-301, 1984: (sum x)^2 / (n sum x^2), so
 * 1 where all are equal, k/n where k of n are equal and the others 0, 1 / (1 + CV^2) in general; of 10, 20, ..., 60
 * it is 0.807692 (value from memory, arithmetic done again: 210^2 / (6 x 9100) = 21/26).
 */
import { describe, expect, it } from 'vitest';
import { jainImbalance } from '../../src/base/jain.js';
import { formatDecimal, ONE, ratio, sumRational, type Rational } from '../../src/base/rational.js';

const rationals = (values: readonly number[]): readonly Rational[] => values.map((value) => ratio(value));

const index = (values: readonly number[]): Rational => ONE.sub(jainImbalance(rationals(values)));

describe("Jain's index", () => {
  it('of 10, 20, ..., 60 is 0.807692', () => {
    const value = index([10, 20, 30, 40, 50, 60]);
    expect([value.toFraction(), formatDecimal(value, 6)]).toEqual(['21/26', '0.807692']);
  });

  it('is k/n where k of n are equal and the others 0', () => {
    for (let n = 1; n <= 8; n++) {
      for (let k = 1; k <= n; k++) {
        const values = Array.from({ length: n }, (_, i) => (i < k ? 7 : 0));
        expect(index(values).toFraction(), `${k} of ${n}`).toBe(ratio(k, n).toFraction());
      }
    }
  });

  it('is 1 / (1 + CV^2), CV^2 being the variance over the square of the mean', () => {
    for (const values of [[1, 2], [3, 1, 4, 1, 5, 9], [10, 20, 30, 40, 50, 60], [8, 8, 1]]) {
      const mean = ratio(values.reduce((sum, value) => sum + value, 0), values.length);
      const squares = rationals(values).map((value) => value.sub(mean).mul(value.sub(mean)));
      const variance = sumRational(squares).div(ratio(values.length));
      const expected = ONE.div(ONE.add(variance.div(mean.mul(mean))));
      expect(index(values).toFraction()).toBe(expected.toFraction());
    }
  });
});
