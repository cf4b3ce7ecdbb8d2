/**
 * What an exit is to give, as an option says it: a share of what its belt carries, or a rate.
 */
import { parseRate, parseShare, type Rational } from '../index.js';
import { usage } from './usage.js';

/** Items per tick, of what the exit's belt carries in items per tick, and the catalog's ticks per second. */
export type AskedFlow = (saturated: Rational, ticksPerSecond: number) => Rational;

/** `words`: what the option takes besides. */
export function askedFlow(text: string, words = ''): AskedFlow {
  if (text.includes('/s') && parseRate(text, 1) !== undefined) return (saturated, ticksPerSecond) => parseRate(text, ticksPerSecond) ?? saturated;
  const share = parseShare(text);
  if (share === undefined || share.compare(0) <= 0 || share.compare(1) > 0) {
    throw usage(`--target needs a share above 0 and up to 1 such as 0.85, or a rate such as 20/s${words}, not “${text}”.`);
  }
  return (saturated) => saturated.mul(share);
}
