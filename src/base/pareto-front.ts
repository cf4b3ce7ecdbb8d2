/**
 * Of the items that were offered, those that none betters in one value without being worse in another. Of items with
 * equal values it keeps the first. Values are to be small; what they are of is told by those who ask.
 */
import { isLess, type Rational } from './rational.js';

export interface Burdened {
  readonly burdens: readonly Rational[];
}

const noGreater = (a: Burdened, b: Burdened): boolean => !a.burdens.some((value, at) => isLess(b.burdens[at], value));

export class ParetoFront<T extends Burdened> {
  private kept: readonly T[] = [];

  /** In the order in which they were offered. */
  get members(): readonly T[] {
    return this.kept;
  }

  /** Whether it is kept, for now. All that are offered have the same number of burdens. */
  offer(item: T): boolean {
    if (this.kept.some((member) => noGreater(member, item))) return false;
    this.kept = [...this.kept.filter((member) => !noGreater(item, member)), item];
    return true;
  }
}
