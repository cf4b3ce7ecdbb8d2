/**
 * What the options of several commands have in common: how wrong use is said, and how numbers are read.
 */
import { InputError } from './exit-codes.js';

const HINT = 'See “transloom --help”, or “transloom COMMAND --help” for one command.';

export const usage = (sentence: string): InputError => new InputError([`transloom: ${sentence}`, HINT]);

/** Whole, from `least` on, written in digits alone. */
export function wholeOption(name: string, text: string | undefined, least: number): number | undefined {
  if (text === undefined) return undefined;
  const value = /^\d{1,12}$/.test(text) ? Number(text) : Number.NaN;
  if (!(value >= least)) throw usage(`--${name} needs a whole number from ${least} on, not “${text}”.`);
  return value;
}
