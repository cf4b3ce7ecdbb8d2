/**
 * What a staircase over the fill is to show, told from the greatest fill that any plan of each cost gives.
 */
import { isLess, ONE, type Rational } from '../../src/base/rational.js';

export interface Rise {
  readonly cost: number;
  readonly upTo: string;
}

/** Costs that give more than all lesser ones, up to the first that gives all. */
export function risesOf(most: ReadonlyMap<number, Rational>): readonly Rise[] {
  const rises: Rise[] = [];
  let best: Rational | undefined;
  for (const [cost, fill] of [...most].sort(([a], [b]) => a - b)) {
    if (best !== undefined && !isLess(best, fill)) continue;
    best = fill;
    rises.push({ cost, upTo: fill.toFraction() });
    if (!isLess(fill, ONE)) break;
  }
  return rises;
}
