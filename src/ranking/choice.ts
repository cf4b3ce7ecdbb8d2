/**
 * Which layouts of a list are shown, and in which order, as somebody wishes.
 */
import { compareMeasured, type Measure, type Measures } from '../layout/measure.js';
import { meets, type Condition } from './condition.js';

export interface SortKey {
  readonly measure: Measure;
  /** Worst first. */
  readonly reversed: boolean;
}

export interface Wishes {
  readonly where: readonly Condition[];
  readonly sort: readonly SortKey[];
  /** Of those that meet all conditions, the first so many in their order. */
  readonly most: number | undefined;
}

export interface Choice {
  /** Indices of those that meet all conditions, in the order of the list. */
  readonly kept: readonly number[];
  /** Those to be shown. */
  readonly shown: readonly number[];
}

/** Ties keep the order of the list. */
export function choose(list: readonly Measures[], { where, sort, most }: Wishes, ticksPerSecond: number): Choice {
  const kept = list.flatMap((measures, index) => (where.every((condition) => meets(measures, condition, ticksPerSecond)) ? [index] : []));
  const order = (a: number, b: number): number => {
    for (const { measure, reversed } of sort) {
      const sign = compareMeasured(measure, list[a][measure], list[b][measure]);
      if (sign !== 0) return reversed ? -sign : sign;
    }
    return a - b;
  };
  return { kept, shown: [...kept].sort(order).slice(0, most) };
}
