/**
 * Rates as text: "3/8" is items per tick, "12.5/s" items per second.
 * Inside the program a rate is always a rational number of items per tick.
 */
import { formatDecimal, parseRational, ratio, type Rational } from './rational.js';

/** Items per tick; undefined where the text is no rate. */
export function parseRate(text: string, ticksPerSecond: number): Rational | undefined {
  const perSecond = text.trim().endsWith('/s');
  const number = parseRational(perSecond ? text.trim().slice(0, -2) : text);
  if (number === undefined) return undefined;
  return perSecond ? number.div(ratio(ticksPerSecond)) : number;
}

/** "12.50/s", for people. */
export function formatPerSecond(itemsPerTick: Rational, ticksPerSecond: number): string {
  return `${formatDecimal(itemsPerTick.mul(ratio(ticksPerSecond)), 2)}/s`;
}

/** Whether items at that rate can be counted tick by tick in whole numbers: its fraction, in items per tick, is not too fine or too great. */
export const isCountable = ({ n, d }: Rational): boolean => n + d <= BigInt(Number.MAX_SAFE_INTEGER);
