#!/usr/bin/env node
/**
 * The command `transloom`: reads the command line, runs one command, and turns every ending into one
 * documented exit code. What nobody else has caught is caught here.
 */
import { createRequire } from 'node:module';
import { parseArguments, type Command } from './arguments.js';
import { EXIT, InputError, type ExitCode } from './exit-codes.js';
import { runDesign } from './commands/design.js';
import { runDraw } from './commands/draw.js';
import { runFit } from './commands/fit.js';
import { runMend } from './commands/mend.js';
import { runRates } from './commands/rates.js';
import { runReplay } from './commands/replay.js';
import { runTradeoffs } from './commands/tradeoffs.js';
import { runStation } from './commands/station.js';
import { runTrialCommand } from './commands/trial.js';
import { runVisit } from './commands/visit.js';
import { runWhy } from './commands/why.js';
import { warn } from './output.js';
import { complain, endQuietlyWithoutReader } from './terminal.js';
import { checkFiles } from './written-files.js';

async function run(command: Command): Promise<ExitCode> {
  switch (command.name) {
    case 'design':
      return runDesign(command);
    case 'tradeoffs':
      return runTradeoffs(command);
    case 'trial':
      return runTrialCommand(command);
    case 'station':
      return runStation(command);
    case 'why':
      return runWhy(command);
    case 'mend':
      return runMend(command);
    case 'visit':
      return runVisit(command);
    case 'draw':
      return runDraw(command);
    case 'replay':
      return runReplay(command.log, command.options);
    case 'fit':
      return runFit(command.measurements, command.options);
    case 'rates':
      return runRates(command.catalog, command.options);
  }
}

/** One line: a fault may carry the whole source of a WebAssembly module. */
function faultLines(thrown: unknown): readonly string[] {
  const text = thrown instanceof Error ? `${thrown.name}: ${thrown.message}` : String(thrown);
  const stack = thrown instanceof Error && process.env['TRANSLOOM_DEBUG'] !== undefined ? (thrown.stack ?? '').split('\n') : [];
  return [
    `transloom: a fault of this program, not of your input: ${text.split('\n')[0].slice(0, 300)}`,
    'Please report it with the command and the files that led here.',
    ...stack,
  ];
}

async function main(): Promise<ExitCode> {
  const { version } = createRequire(import.meta.url)('../../package.json') as { readonly version: string };
  try {
    const command = await parseArguments(process.argv.slice(2), version);
    if (command === undefined) return EXIT.done;
    warn(command.options, command.options.warnings);
    checkFiles(command);
    return await run(command);
  } catch (thrown) {
    if (thrown instanceof InputError) {
      complain(thrown.lines);
      return EXIT.badInput;
    }
    complain(faultLines(thrown));
    return EXIT.fault;
  }
}

endQuietlyWithoutReader();
process.exitCode = await main();
