/**
 * Long computations on a thread of their own, so that Ctrl-C and progress come through while they run. The threads
 * themselves are in `commands/`, named `…-worker.ts`, and what they have in common in `own-thread.ts`; they send finished text
 * and JSON, for exact rationals do not survive the way between threads. Documents go there as they were read.
 */
import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import type { Brief, Layout } from '../index.js';
import type { CommonOptions } from './common-options.js';
import type { Loaded } from './documents.js';
import { EXIT, InputError } from './exit-codes.js';
import { outputAscii, outputColorLevel } from './output.js';
import { ProgressLine, terminalColumns, type ColorLevel } from './terminal.js';

export interface Errand {
  readonly seed: number | undefined;
  readonly timeLimitSeconds: number | undefined;
  readonly quiet: boolean;
  readonly ascii: boolean;
  /** Of the terminal that is printed to. */
  readonly columns: number | undefined;
  readonly colorLevel: ColorLevel;
  /** One shared number: not 0 once the run is to end. */
  readonly stop: Int32Array<SharedArrayBuffer>;
}

export interface PlanErrand extends Errand {
  readonly plan: unknown;
  readonly catalog: unknown;
}

export interface BriefErrand extends Errand {
  readonly brief: unknown;
  readonly catalog: unknown;
  readonly solver: string | undefined;
  /** Threads that share a long search. */
  readonly workers: number;
}

/** Each thread has a search of its own in memory. */
const USUAL_WORKERS = 8;

/** `printed`: the options of what goes to the standard output. */
export const plainErrand = (printed: CommonOptions): Errand => ({
  seed: printed.seed,
  timeLimitSeconds: printed.timeLimitSeconds,
  quiet: printed.quiet,
  ascii: outputAscii(printed),
  columns: terminalColumns(),
  colorLevel: outputColorLevel(printed),
  stop: new Int32Array(new SharedArrayBuffer(4)),
});

export const planErrand = ({ document, catalog }: Loaded<Layout>, printed: CommonOptions): PlanErrand => ({
  ...plainErrand(printed),
  plan: document.value,
  catalog,
});

export const briefErrand = ({ document, catalog }: Loaded<Brief>, printed: CommonOptions, workers: number | undefined): BriefErrand => ({
  ...plainErrand(printed),
  brief: document.value,
  catalog,
  solver: printed.solver,
  workers: workers ?? Math.min(availableParallelism(), USUAL_WORKERS),
});

/** A thread that does one errand says so at its end; or that what it was handed is not sound, in whole lines. */
export type Refused = { readonly kind: 'refused'; readonly lines: readonly string[] };
type Finished<M> = Extract<M, { readonly kind: 'finished' }>;

/** First Ctrl-C: ends the run, which then tells what it has. Second: ends the program at once. */
function listenForInterrupts({ stop, quiet }: Errand): () => void {
  const onInterrupt = (): void => {
    if (Atomics.exchange(stop, 0, 1) !== 0) process.exit(EXIT.unproven);
    if (!quiet) process.stderr.write('\nStopping; press Ctrl-C again to end at once.\n');
  };
  process.on('SIGINT', onInterrupt);
  return () => process.off('SIGINT', onInterrupt);
}

/** A thread of that module for as long as the work lasts. It loads its modules while files are read; nothing is lost where these turn out unsound. */
export async function onThread<T>(module: URL, work: (worker: Worker) => Promise<T>): Promise<T> {
  const worker = new Worker(module, { stdout: true });
  try {
    return await work(worker);
  } finally {
    await worker.terminate();
  }
}

/**
 * Hands the errand to the thread, with Ctrl-C and a line of progress for as long as it takes; resolves with its message of kind
 * `finished`, others go to `onMessage`. Throws an `InputError` where the errand is refused.
 */
export async function runErrand<M extends { readonly kind: string }>(
  worker: Worker,
  errand: Errand,
  onMessage: (message: Exclude<M, Finished<M>>, progress: ProgressLine) => void,
): Promise<Finished<M>> {
  const isFinished = (message: M): message is Finished<M> => message.kind === 'finished';
  const isRefused = (message: M | Refused): message is Refused => message.kind === 'refused';
  const stopListening = listenForInterrupts(errand);
  const progress = new ProgressLine(!errand.quiet);
  try {
    return await new Promise((resolve, reject) => {
      worker.on('message', (message: M | Refused) => {
        if (isRefused(message)) reject(new InputError(message.lines));
        else if (isFinished(message)) resolve(message);
        else onMessage(message as Exclude<M, Finished<M>>, progress);
      });
      worker.on('error', reject);
      worker.on('exit', (code) => reject(new Error(`a thread ended early, with code ${code}`)));
      worker.postMessage(errand);
    });
  } finally {
    progress.clear();
    stopListening();
  }
}
