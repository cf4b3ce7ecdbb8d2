/**
 * Exact rationals: the only numbers in which flows, fills and shares are kept and compared.
 * A thin, named surface over fraction.js (arbitrary-precision integers inside), so that no other
 * file depends on that library's wording. Rates with units are read in `rate.ts`.
 */
import Fraction from 'fraction.js';

export type Rational = Fraction;

export const ZERO: Rational = new Fraction(0);
export const ONE: Rational = new Fraction(1);

/** num/den in lowest terms. Both are whole; den is not 0. */
export function ratio(num: number | bigint, den: number | bigint = 1): Rational {
  return new Fraction(BigInt(num), BigInt(den));
}

const GRAMMAR = /^(\d+)(?:\/(\d+)|\.(\d+))?$/;

/** Reads "3", "3/8" or "0.375" (never negative); undefined where the text is none of these. */
export function parseRational(text: string): Rational | undefined {
  const match = GRAMMAR.exec(text.trim());
  if (match === null) return undefined;
  const [, whole = '', den, decimals] = match;
  if (den !== undefined) return BigInt(den) === 0n ? undefined : ratio(BigInt(whole), BigInt(den));
  if (decimals !== undefined) return ratio(BigInt(whole + decimals), 10n ** BigInt(decimals.length));
  return ratio(BigInt(whole));
}

/** "3/8", or "2" where it is whole. */
export function formatRational(value: Rational): string {
  return value.toFraction();
}

/** Rounded to `digits` decimals for people's eyes only; never compare these. */
export function formatDecimal(value: Rational, digits: number): string {
  return value.valueOf().toFixed(digits);
}

export const compare = (a: Rational, b: Rational): number => a.compare(b);
export const isLess = (a: Rational, b: Rational): boolean => a.compare(b) < 0;
export const minRational = (a: Rational, b: Rational): Rational => (a.compare(b) <= 0 ? a : b);
export const maxRational = (a: Rational, b: Rational): Rational => (a.compare(b) >= 0 ? a : b);
export const sumRational = (values: Iterable<Rational>): Rational => {
  let total = ZERO;
  for (const value of values) total = total.add(value);
  return total;
};
