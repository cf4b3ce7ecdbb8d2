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
