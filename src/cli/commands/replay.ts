/**
 * `transloom replay`: rechecks a proof log by other means than those that made it, on a thread of its own.
 */
import type { JsonObject, ReplayProgress } from '../../index.js';
import type { CommonOptions } from '../common-options.js';
import { onThread, plainErrand, runErrand } from '../errand.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { demandReadable } from '../files.js';
import { deliver } from '../output.js';
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
  return onThread(new URL('./replay-worker.js', import.meta.url), async (worker) => {
    const errand: ReplayErrand = { ...plainErrand(options), log };
    const { verdict, lines, document } = await runErrand<ReplayMessage>(worker, errand, (message, progress) => {
      progress.show(progressText(message.progress));
    });
    return { code: { holds: EXIT.done, broken: EXIT.no, partly: EXIT.unproven }[verdict], lines, document };
  });
}

export async function runReplay(log: string, options: CommonOptions): Promise<ExitCode> {
  const { code, lines, document } = await replayOn(log, options);
  deliver(options, () => lines, () => document);
  return code;
}
