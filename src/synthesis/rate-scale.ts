/**
 * Rates as whole numbers for flow networks and integer programs: every rate is multiplied by one
 * common factor. Supplies round up and demands round down, so that what follows stays optimistic
 * even where the factor can't make all of them whole.
 */
import type { Rational } from '../base/rational.js';

export interface RateScale {
  /** Whole units per item per tick. */
  readonly factor: number;
  supply(rate: Rational): number;
  demand(rate: Rational): number;
}

const gcd = (a: bigint, b: bigint): bigint => (b === 0n ? a : gcd(b, a % b));

/** The least factor that makes all `rates` whole, or `most` where that would be greater. */
export function rateScale(rates: readonly Rational[], most: number): RateScale {
  let common = 1n;
  for (const rate of rates) {
    common = (common / gcd(common, rate.d)) * rate.d;
    if (common > BigInt(most)) break;
  }
  const factor = common > BigInt(most) ? BigInt(most) : common;
  return {
    factor: Number(factor),
    supply: (rate) => Number((rate.n * factor + rate.d - 1n) / rate.d),
    demand: (rate) => Number((rate.n * factor) / rate.d),
  };
}
