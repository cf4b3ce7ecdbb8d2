/**
 * The options of `why`, as text and as checked data.
 */
import type { Argv } from 'yargs';
import { parseRate, parseShare, type Rational } from '../index.js';
import { usage, wholeOption } from './usage.js';

export interface WhyChoice {
  readonly starts: number | undefined;
  /** What each exit is held against, given its saturated flow in items per tick and the catalog's ticks per second. */
  readonly target: 'promise' | ((saturated: Rational, ticksPerSecond: number) => Rational) | undefined;
  /** Where the plan with the best change goes. */
  readonly bestFile: string | undefined;
}

export const whyOptions = <T>(argv: Argv<T>) =>
  argv
    .option('starts', { type: 'string', requiresArg: true, describe: 'Staggered starts besides the standard one' })
    .option('target', { type: 'string', requiresArg: true, describe: 'Hold each exit against a share of its belt (0.85), a rate (20/s) or the promise; left out: all that its belt carries' })
    .option('best', { type: 'string', requiresArg: true, describe: 'Write the plan with the best change to this file, as JSON or (.plan.txt) as a picture' });

function readTarget(text: string | undefined): WhyChoice['target'] {
  if (text === undefined || text === 'promise') return text;
  if (text.includes('/s') && parseRate(text, 1) !== undefined) return (saturated, ticksPerSecond) => parseRate(text, ticksPerSecond) ?? saturated;
  const share = parseShare(text);
  if (share === undefined || share.compare(0) <= 0 || share.compare(1) > 0) {
    throw usage(`--target needs a share above 0 and up to 1 such as 0.85, a rate such as 20/s, or “promise”, not “${text}”.`);
  }
  return (saturated) => saturated.mul(share);
}

export function readWhyOptions(raw: { readonly starts: string | undefined; readonly target: string | undefined; readonly best: string | undefined }): WhyChoice {
  if (raw.best === '') throw usage('--best needs the name of a file.');
  return { starts: wholeOption('starts', raw.starts, 0), target: readTarget(raw.target), bestFile: raw.best };
}
