/**
 * Area that points dominate below a reference point, for two values that are both to be small.
 * Source of the measure: E. Zitzler, K. Deb, L. Thiele, "Comparison of Multiobjective Evolutionary
 * Algorithms: Empirical Results", 2000.
 */
import { ParetoFront } from '../../src/base/pareto-front.js';
import { isLess, sumRational, type Rational } from '../../src/base/rational.js';

export function hypervolume2(points: readonly (readonly [Rational, Rational])[], reference: readonly [Rational, Rational]): Rational {
  const front = new ParetoFront<{ readonly burdens: readonly [Rational, Rational] }>();
  for (const burdens of points) if (isLess(burdens[0], reference[0]) && isLess(burdens[1], reference[1])) front.offer({ burdens });
  const corners = front.members.map(({ burdens }) => burdens).sort((p, q) => p[0].compare(q[0]));
  return sumRational(
    corners.map(([a, b], index) => reference[0].sub(a).mul((index === 0 ? reference[1] : corners[index - 1][1]).sub(b))),
  );
}
