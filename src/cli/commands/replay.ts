/**
 * `transloom replay`: rechecks a proof log by other means than those that made it, on a thread of its own.
 */
import type { JsonObject, ReplayProgress } from '../../index.js';
import type { CommonOptions } from '../common-options.js';
import { onThread, runErrand, stopFlag } from '../errand.js';
import { EXIT, InputError, type ExitCode } from '../exit-codes.js';
import { demandReadable } from '../files.js';
import { deliver, outputAscii, outputColorLevel } from '../output.js';
import { terminalColumns } from '../terminal.js';
import type { ReplayErrand, ReplayMessage } from './replay-worker.js';

const STAGES: Readonly<Record<ReplayProgress['stage'], string>> = {
  reading: 'lines read',
  plan: 'starts of the plan',
  programs: 'programs solved again',
  networks: 'networks simulated again',
};

const progressText = ({ stage, done, all }: ReplayProgress): string => `${STAGES[stage]}: ${done}${all === undefined ? '' : ` of ${all}`}`;

interface Replayed {
  readonly code: ExitCode;
  readonly lines: readonly string[];
  readonly document: JsonObject;
}

export async function replayOn(log: string, options: CommonOptions): Promise<Replayed> {
  demandReadable(log);
  return onThread(new URL('./replay-worker.js', import.meta.url), options.quiet, async (worker, signal, progress) => {
    const errand: ReplayErrand = {
      log,
      seed: options.seed,
      timeLimitSeconds: options.timeLimitSeconds,
      quiet: options.quiet,
      ascii: outputAscii(options),
      columns: terminalColumns(),
      colorLevel: outputColorLevel(options),
      stop: stopFlag(),
    };
    const finished = await runErrand<ReplayMessage>(worker, errand, signal, (message) => {
      progress.show(progressText(message.progress));
    });
    if (finished.verdict === 'refused') throw new InputError(finished.lines);
    const { verdict, lines, document } = finished;
    return { code: { holds: EXIT.done, broken: EXIT.no, partly: EXIT.unproven }[verdict], lines, document };
  });
}

export async function runReplay(log: string, options: CommonOptions): Promise<ExitCode> {
  const { code, lines, document } = await replayOn(log, options);
  deliver(options, () => lines, () => document);
  return code;
}
