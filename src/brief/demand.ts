/**
 * What a whole station is asked for, beside what its layout must give: how much in the long run, and how far the
 * trains come. `design` needs none of it; `station` sizes trains by it.
 */
import { isLess, parseRational, ratio, ZERO, type Rational } from '../base/rational.js';
import { parseRate } from '../base/rate.js';

export { parseTicks as parseRoundTrip } from '../base/duration.js';

export interface Demand {
  /** Items per tick over all exits; undefined: all that the layout gives. */
  readonly itemsPerTick: Rational | undefined;
  /** Ticks of a train's way there and back, with loading, without its stay at this station. */
  readonly roundTripTicks: Rational | undefined;
  /** Time kept in reserve on top of a train's cycle, as a share of it. */
  readonly layover: Rational;
}

/** "48000/h", "13/s" or "3/8" a tick; undefined where the text is no such rate above 0. */
export function parseDemandRate(text: string, ticksPerSecond: number): Rational | undefined {
  const perHour = text.trim().endsWith('/h');
  const rate = perHour ? parseRational(text.trim().slice(0, -2))?.div(ratio(3600 * ticksPerSecond)) : parseRate(text, ticksPerSecond);
  return rate !== undefined && isLess(ZERO, rate) ? rate : undefined;
}
