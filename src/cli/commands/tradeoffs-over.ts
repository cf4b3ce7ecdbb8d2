/**
 * `transloom tradeoffs --over`: the least cost as a function of what is asked.
 */
import type { CommandOf } from '../arguments.js';
import type { ExitCode } from '../exit-codes.js';
import { usage } from '../usage.js';

export function runOver({ choice }: CommandOf<'tradeoffs'>): Promise<ExitCode> {
  throw usage(`--over ${choice.over ?? ''} is not there yet; leave it out for the list.`);
}
