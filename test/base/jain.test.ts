/**
 * Jain's index against published and hand-worked values.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { jainImbalance } from '../../src/base/jain.js';
import { formatRational, ratio, type Rational } from '../../src/base/rational.js';
import { SEED } from '../documents.js';

const whole = (values: readonly number[]): Rational[] => values.map((value) => ratio(value));

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
