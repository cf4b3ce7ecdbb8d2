/**
 * Lengths of time as text: "500" is ticks, "12.5s" seconds. Inside the program time is always whole ticks.
 */
import { formatRational, parseRational, ratio, type Rational } from './rational.js';

type Duration = { readonly kind: 'ticks'; readonly ticks: number } | { readonly kind: 'seconds'; readonly seconds: Rational };

/** Ticks, of seconds not always whole; undefined where the text is no length of time. */
export function parseTicks(text: string, ticksPerSecond: number): Rational | undefined {
  const duration = parseDuration(text);
  if (duration === undefined) return undefined;
  return duration.kind === 'ticks' ? ratio(duration.ticks) : duration.seconds.mul(ratio(ticksPerSecond));
}

const MOST_TICKS = 1_000_000_000;

/** Undefined where the text is no length of time. */
export function parseDuration(text: string): Duration | undefined {
  const seconds = text.trim().endsWith('s');
  const number = parseRational(seconds ? text.trim().slice(0, -1) : text);
  if (number === undefined) return undefined;
  if (seconds) return { kind: 'seconds', seconds: number };
  return number.d === 1n && number.compare(MOST_TICKS) <= 0 ? { kind: 'ticks', ticks: Number(number.n) } : undefined;
}

/** Whole ticks; or, as a text, how many it would be: too many, or not whole. */
export function ticksOf(duration: Duration, ticksPerSecond: number): number | string {
  if (duration.kind === 'ticks') return duration.ticks;
  const ticks = duration.seconds.mul(ratio(ticksPerSecond));
  return ticks.d === 1n && ticks.compare(MOST_TICKS) <= 0 ? Number(ticks.n) : formatRational(ticks);
}
