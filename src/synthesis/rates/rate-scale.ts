/**
 * Rates as whole numbers for flow networks and integer programs: every rate is multiplied by one
 * common factor. Supplies round up and demands round down, so that what follows stays optimistic
 * even where the factor can't make all of them whole.
 */
import type { Rational } from '../../base/rational.js';
import { commonBigDivisor } from '../../base/whole.js';

export interface RateScale {
  /** Whole units per item per tick. */
  readonly factor: number;
  /** Every supply is a multiple of this. */
  readonly unit: number;
  supply(rate: Rational): number;
  demand(rate: Rational): number;
  /** The least that exceeds a rate which is not 0; of 0, 0. Only where `unit` leaves room between two supplies. */
  demandAbove(rate: Rational): number;
}

/**
 * A unit for demands that are to be exceeded. Where flows exceed some demands together, what lets them through exceeds
 * the sum of these, rounded down to units, by one unit at least: room for one more than each of 2 x 32 lanes and a sum.
 */
export const ROOM_ABOVE = 128;

/** The least factor that makes all `rates` whole; undefined where that is greater than `most`. */
export function commonFactor(rates: readonly Rational[], most: bigint): bigint | undefined {
  let common = 1n;
  for (const { d } of rates) {
    common = (common / commonBigDivisor(common, d)) * d;
    if (common > most) return undefined;
  }
  return common;
}

/** By the least factor that makes all `rates` whole, or `most` where that would be greater; times `unit`. */
export function rateScale(rates: readonly Rational[], most: number, unit = 1): RateScale {
  const factor = commonFactor(rates, BigInt(most)) ?? BigInt(most);
  const demand = (rate: Rational): number => unit * Number((rate.n * factor) / rate.d);
  return {
    factor: unit * Number(factor),
    unit,
    supply: (rate) => unit * Number((rate.n * factor + rate.d - 1n) / rate.d),
    demand,
    demandAbove: (rate) => (rate.n === 0n ? 0 : demand(rate) + 1),
  };
}
