/**
 * What the options of several commands have in common: how wrong use is said, and how numbers and names of files are read.
 * Times are in `time-options.ts`, targets in `target-option.ts`.
 */
import { MOST_STARTS } from '../index.js';
import { InputError } from './exit-codes.js';

const HINT = 'See “transloom --help”, or “transloom COMMAND --help” for one command.';

export const usage = (sentence: string): InputError => new InputError([`transloom: ${sentence}`, HINT]);

/** Beyond this, doubles skip whole numbers long before, and nobody counts so far. */
const MOST_WHOLE = 999_999_999_999;

/** Whole, from `least` to `most`, written in digits alone; `words` are what the option takes besides. */
export function wholeOption(name: string, text: string | undefined, least: number, most = MOST_WHOLE, words = ''): number | undefined {
  if (text === undefined) return undefined;
  const value = /^\d{1,12}$/.test(text) ? Number(text) : Number.NaN;
  if (!(value >= least && value <= most)) {
    const isTooGreat = /^\d{13,}$/.test(text);
    throw usage(`--${name} needs a whole number from ${least} ${most === MOST_WHOLE && !isTooGreat ? 'on' : `to ${most}`}${words}, not “${text}”.`);
  }
  return value;
}

export const startsOption = (text: string | undefined): number | undefined => wholeOption('starts', text, 0, MOST_STARTS);

export function fileOption(name: string, text: string | undefined): string | undefined {
  if (text === '') throw usage(`--${name} needs the name of a file.`);
  return text;
}
