/**
 * `transloom tradeoffs`: the list of stations that no other beats in every objective.
 */
import type { CommandOf } from '../arguments.js';
import type { ExitCode } from '../exit-codes.js';
import { usage } from '../usage.js';
import { runOver } from './tradeoffs-over.js';

export async function runTradeoffs(command: CommandOf<'tradeoffs'>): Promise<ExitCode> {
  if (command.choice.over !== undefined) return runOver(command);
  throw usage('the list of tradeoffs is not there yet.');
}
