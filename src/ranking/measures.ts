/**
 * Measures by which finished layouts are compared. Cost, part count and footprint are sums over a
 * layout and live in `layout/layout.ts`, drain imbalance in `base/jain.ts`; flows come from a trial.
 */
import { isLess, sumRational, type Rational } from '../base/rational.js';

/** Whether `a` is nowhere greater than `b` and somewhere less; every value is to be small. */
export function dominates(a: readonly Rational[], b: readonly Rational[]): boolean {
  return !a.some((value, index) => isLess(b[index], value)) && a.some((value, index) => isLess(value, b[index]));
}

/** The items that no other dominates, in their order; of items with equal values, the first stands for all. */
export function paretoFilter<T>(items: readonly T[], valuesOf: (item: T) => readonly Rational[]): readonly T[] {
  const values = items.map(valuesOf);
  const equal = (a: number, b: number): boolean =>
    values[a].every((value, index) => value.compare(values[b][index]) === 0);
  return items.filter(
    (_, index) =>
      !values.some((other, at) => dominates(other, values[index]) || (at < index && equal(at, index))),
  );
}

/**
 * Area that points dominate below a reference point, for two objectives that are both to be small.
 * Source of the measure: E. Zitzler, K. Deb, L. Thiele, "Comparison of Multiobjective Evolutionary
 * Algorithms: Empirical Results", 2000.
 */
export function hypervolume2(
  points: readonly (readonly [Rational, Rational])[],
  reference: readonly [Rational, Rational],
): Rational {
  const inside = points.filter(([a, b]) => isLess(a, reference[0]) && isLess(b, reference[1]));
  const front = [...paretoFilter(inside, (point) => point)].sort((p, q) => p[0].compare(q[0]));
  return sumRational(
    front.map(([a, b], index) => reference[0].sub(a).mul((index === 0 ? reference[1] : front[index - 1][1]).sub(b))),
  );
}
