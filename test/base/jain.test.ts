/**
 * Jain's index against published and hand-worked values.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { jainImbalance, leastImbalance } from '../../src/base/jain.js';
import { formatRational, ratio, type Rational } from '../../src/base/rational.js';
import { SEED } from '../documents.js';

const whole = (values: readonly number[]): Rational[] => values.map((value) => ratio(value));

const ROUNDING = 1e-9;

/** Every way of sharing out whole items with no share above its limit. */
const everySharing = (limits: readonly number[]): readonly (readonly number[])[] =>
  limits.reduce<readonly (readonly number[])[]>((ways, limit) => ways.flatMap((way) => Array.from({ length: limit + 1 }, (_, share) => [...way, share])), [[]]);

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

  it('is never less than the least under limits, and comes to it where the most even way is one of whole items', () => {
    const counts = { cases: 0, uneven: 0, unevenToWhole: 0 };
    fc.assert(
      fc.property(fc.array(fc.nat(7), { minLength: 1, maxLength: 4 }), fc.integer({ min: 1, max: 20 }), (limits, wanted) => {
        const enough = everySharing(limits).filter((shares) => shares.reduce((all, share) => all + share, 0) >= wanted);
        fc.pre(enough.length > 0);
        const found = Math.min(...enough.map((shares) => jainImbalance(whole(shares)).valueOf()));
        const least = leastImbalance(limits, wanted);
        expect(found).toBeGreaterThan(least - ROUNDING);
        counts.cases++;
        if (least > ROUNDING) counts.uneven++;
        if (least > ROUNDING && found < least + ROUNDING) counts.unevenToWhole++;
      }),
      { seed: SEED, numRuns: 300 },
    );
    expect(counts.cases).toBe(300);
    expect(Math.min(counts.uneven, counts.unevenToWhole)).toBeGreaterThan(50);
  });

  it('has no least where nothing is wanted', () => {
    expect([leastImbalance([3, 5], 0), leastImbalance([0, 0], -1)]).toEqual([0, 0]);
  });
});
