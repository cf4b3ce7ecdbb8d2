/**
 * Exact rationals as people read them. Rounding happens here alone and never to a lie: what is less
 * than all never reads "100 %", and what is more than nothing never reads "0 %".
 */
import { formatPerSecond } from '../base/rate.js';
import { compare, formatRational, ONE, ratio, ZERO, type Rational } from '../base/rational.js';

/** "97.3 %" of 1, cut toward the middle at both ends. */
export function percent(share: Rational): string {
  const tenths = Math.round(share.valueOf() * 1000);
  if (compare(share, ONE) < 0 && tenths >= 1000) return '99.9 %';
  if (compare(share, ONE) > 0 && tenths <= 1000) return '100.1 %';
  if (compare(share, ZERO) > 0 && tenths === 0) return '0.1 %';
  return `${(tenths / 10).toFixed(1)} %`;
}

/** 67 of 0.67; only nothing is 0, and only all of it is 100. */
export function wholePercent(share: Rational): number {
  const rounded = Math.round(share.valueOf() * 100);
  if (compare(share, ZERO) > 0 && rounded === 0) return 1;
  return compare(share, ONE) < 0 ? Math.min(99, rounded) : rounded;
}

/** "30.00/s", the rate that people think in. */
export const perSecondText = (itemsPerTick: Rational, ticksPerSecond: number): string =>
  formatPerSecond(itemsPerTick, ticksPerSecond);

/** "3/5", with the decimals beside it once the fraction is too long to read. */
export function perTickText(itemsPerTick: Rational): string {
  const exact = formatRational(itemsPerTick);
  return exact.length <= 11 ? exact : itemsPerTick.valueOf().toFixed(6);
}

/** Up to one decimal, and none where it is zero. */
export const tenths = (value: Rational): string => value.valueOf().toFixed(1).replace(/\.0$/, '');

/** A plain number for JSON: items per second, to 9 significant digits. */
export const perSecondNumber = (itemsPerTick: Rational, ticksPerSecond: number): number =>
  Number(itemsPerTick.mul(ratio(ticksPerSecond)).valueOf().toPrecision(9));

/** "1 round", "2 rounds". */
export const counted = (count: number, one: string, many = `${one}s`): string => `${count} ${count === 1 ? one : many}`;

/** "0.42 s", "12.3 s", "4 min 05 s", "27 h 46 min". */
export function secondsText(seconds: number): string {
  if (seconds < 9.95) return `${seconds.toFixed(2)} s`;
  if (seconds < 119.95) return `${seconds.toFixed(1)} s`;
  const whole = Math.round(seconds);
  const minutes = Math.round(seconds / 60);
  if (minutes >= 120) return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, '0')} min`;
  return `${Math.floor(whole / 60)} min ${String(whole % 60).padStart(2, '0')} s`;
}
