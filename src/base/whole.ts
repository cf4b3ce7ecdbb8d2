/**
 * Whole numbers that are never rounded: numbers as long as these are safe, since they are quick, and bigints beyond. Whoever
 * compares them need not know which is which; rationals are in `rational.ts`.
 */
export type Whole = number | bigint;

/** The greatest common divisor. */
export const commonDivisor = (a: number, b: number): number => (b === 0 ? a : commonDivisor(b, a % b));

/** The same of bigints. */
export const commonBigDivisor = (a: bigint, b: bigint): bigint => (b === 0n ? a : commonBigDivisor(b, a % b));

const areNumbers = (a: Whole, b: Whole): boolean => typeof a === 'number' && typeof b === 'number';

/** A number again, where it is a safe one. */
export const wholeOf = (value: bigint): Whole => (value <= Number.MAX_SAFE_INTEGER && value >= Number.MIN_SAFE_INTEGER ? Number(value) : value);

export function wholeProduct(a: Whole, b: Whole): Whole {
  const product = areNumbers(a, b) ? Number(a) * Number(b) : Infinity;
  return Number.isSafeInteger(product) ? product : BigInt(a) * BigInt(b);
}

export function wholeSum(a: Whole, b: Whole): Whole {
  const sum = areNumbers(a, b) ? Number(a) + Number(b) : Infinity;
  return Number.isSafeInteger(sum) ? sum : BigInt(a) + BigInt(b);
}
