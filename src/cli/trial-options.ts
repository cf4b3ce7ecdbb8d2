/**
 * The options of `trial`, as text and as checked data.
 */
import type { Argv } from 'yargs';
import { MOST_SPOTTING } from '../index.js';
import { STDIN } from './files.js';
import { durationOption, type Duration } from './time-options.js';
import { startsOption, usage, wholeOption } from './usage.js';

export interface TrialChoice {
  readonly starts: number | undefined;
  readonly ticks: Duration | undefined;
  readonly counts: boolean;
  /** Tiles by which wagons may stop short or far, each tried and shown. */
  readonly spotting: number | undefined;
  /** Whether to try it anew at every save, until Ctrl-C. */
  readonly watch: boolean;
}

export const trialOptions = <T>(argv: Argv<T>) =>
  argv
    .option('starts', { type: 'string', requiresArg: true, describe: 'Staggered starts besides the standard one' })
    .option('ticks', { type: 'string', requiresArg: true, describe: 'With --counts: how many ticks to run, or seconds such as 60s' })
    .option('spotting', { type: 'string', requiresArg: true, describe: 'Also try it with its wagons up to so many tiles short and far' })
    .option('watch', { type: 'boolean', default: false, describe: 'Try the plan again at every save of its file, until Ctrl-C' })
    .option('counts', { type: 'boolean', default: false, describe: 'Count items over --ticks from an empty start' });

interface RawTrial {
  readonly plan: string;
  readonly starts: string | undefined;
  readonly ticks: string | undefined;
  readonly spotting: string | undefined;
  readonly watch: boolean;
  readonly counts: boolean;
  readonly json: boolean;
  readonly out: string | undefined;
}

export function readTrialOptions(raw: RawTrial): TrialChoice {
  const { counts, watch } = raw;
  const ticks = durationOption('ticks', raw.ticks);
  if (counts && ticks === undefined) throw usage('--counts needs --ticks N, the ticks to count over.');
  if (!counts && ticks !== undefined) throw usage('--ticks says over how long --counts counts, so it needs that too.');
  if (watch && (raw.json || raw.out !== undefined || raw.plan === STDIN)) {
    throw usage('--watch prints to the terminal whenever a file is saved; it goes with no --json, --out or standard input.');
  }
  return { starts: startsOption(raw.starts), ticks, counts, spotting: wholeOption('spotting', raw.spotting, 1, MOST_SPOTTING), watch };
}
