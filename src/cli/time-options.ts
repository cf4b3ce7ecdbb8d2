/**
 * Options that take a length of time, as checked data. A plain number is ticks where the tile world's time is meant, and
 * seconds where the reader's own is (`--time-limit`); with an s behind it, it is seconds everywhere.
 */
import { parseDuration, ticksOf, type Catalog } from '../index.js';
import { usage } from './usage.js';

export type Duration = NonNullable<ReturnType<typeof parseDuration>>;

/** Seconds of a reader's time. */
export function secondsOption(name: string, text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const value = /^\d{1,9}(\.\d{1,6})?s?$/.test(text) ? Number.parseFloat(text) : Number.NaN;
  if (!(value > 0)) throw usage(`--${name} needs seconds above 0 and below 1000000000, such as 90 or 90s, not “${text}”.`);
  return value;
}

/** A time of the tile world; how many ticks it is, only its catalog tells. `words`: what the option takes besides. */
export function durationOption(name: string, text: string | undefined, words = ''): Duration | undefined {
  if (text === undefined) return undefined;
  const duration = parseDuration(text);
  const isNothing = duration?.kind === 'ticks' ? duration.ticks === 0 : duration?.seconds.equals(0) === true;
  if (duration === undefined || isNothing) throw usage(`--${name} needs ticks such as 4500, up to 1000000000, or seconds such as 90s${words}, not “${text}”.`);
  return duration;
}

export function ticksIn(name: string, duration: Duration | undefined, { ticksPerSecond }: Catalog): number | undefined {
  if (duration === undefined) return undefined;
  const ticks = ticksOf(duration, ticksPerSecond);
  if (typeof ticks === 'number') return ticks;
  throw usage(`--${name} would be ${ticks} ticks at this catalog's ${ticksPerSecond} a second; give a whole number of them, up to 1000000000.`);
}
