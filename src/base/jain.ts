/**
 * Drain imbalance: how unevenly a total is shared out, as one exact number.
 */
import { ONE, ratio, sumRational, ZERO, type Rational } from './rational.js';

/**
 * 1 - Jain's index, (sum x)^2 / (n sum x^2): 0 when all values are equal, 1 - 1/n when one has all.
 * Nothing to share, or nothing shared out, is even. Source: R. Jain, D. Chiu, W. Hawe, "A Quantitative
 * Measure of Fairness and Discrimination for Resource Allocation in Shared Computer Systems", 1984.
 */
export function jainImbalance(values: readonly Rational[]): Rational {
  const sum = sumRational(values);
  const squares = sumRational(values.map((value) => value.mul(value)));
  if (squares.compare(ZERO) === 0) return ZERO;
  return ONE.sub(sum.mul(sum).div(squares.mul(ratio(values.length))));
}

/**
 * However `wanted` or more is shared out, with no share above its limit, it is no more even, but for rounding: as even as
 * the limits allow, the smallest first. To give more than what is wanted only makes it less even.
 */
export function leastImbalance(limits: readonly number[], wanted: number): number {
  if (wanted <= 0) return 0;
  let left = wanted;
  let squares = 0;
  [...limits].sort((a, b) => a - b).forEach((limit, n) => {
    const share = Math.min(limit, left / (limits.length - n));
    left -= share;
    squares += share * share;
  });
  return 1 - (wanted * wanted) / (limits.length * squares);
}
