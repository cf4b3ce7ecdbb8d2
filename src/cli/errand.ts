/**
 * Long computations on a thread of their own, so that Ctrl-C and progress come through while they run. The threads
 * themselves are in `commands/`, named `…-worker.ts`; they send finished text and JSON, for exact rationals do not
 * survive the way between threads.
 */
import { Worker } from 'node:worker_threads';
import { EXIT } from './exit-codes.js';
import { ProgressLine } from './terminal.js';

export interface Errand {
  /** One shared number: not 0 once the run is to end. */
  readonly stop: Int32Array<SharedArrayBuffer>;
}

export const stopFlag = (): Errand['stop'] => new Int32Array(new SharedArrayBuffer(4));

interface Interrupts {
  readonly signal: AbortSignal;
  readonly stopListening: () => void;
}

/** First Ctrl-C: ends the run, which then tells what it has. Second: ends the program at once. */
export function listenForInterrupts(quiet: boolean): Interrupts {
  const controller = new AbortController();
  const onInterrupt = (): void => {
    if (controller.signal.aborted) process.exit(EXIT.unproven);
    if (!quiet) process.stderr.write('\nStopping; press Ctrl-C again to end at once.\n');
    controller.abort();
  };
  process.on('SIGINT', onInterrupt);
  return { signal: controller.signal, stopListening: () => process.off('SIGINT', onInterrupt) };
}

/** A thread of that module for as long as the work on it lasts, with Ctrl-C and a line of progress. */
export async function onThread<T>(module: URL, quiet: boolean, work: (worker: Worker, signal: AbortSignal, progress: ProgressLine) => Promise<T>): Promise<T> {
  const worker = new Worker(module, { stdout: true });
  const { signal, stopListening } = listenForInterrupts(quiet);
  const progress = new ProgressLine(!quiet);
  try {
    return await work(worker, signal, progress);
  } finally {
    progress.clear();
    stopListening();
    await worker.terminate();
  }
}

/** Hands the errand to the thread; resolves with its message of kind `finished`, others go to `onMessage`. */
export function runErrand<M extends { readonly kind: string }>(
  worker: Worker,
  errand: Errand,
  signal: AbortSignal,
  onMessage: (message: Exclude<M, { readonly kind: 'finished' }>) => void,
): Promise<Extract<M, { readonly kind: 'finished' }>> {
  const isFinished = (message: M): message is Extract<M, { readonly kind: 'finished' }> => message.kind === 'finished';
  return new Promise((resolve, reject) => {
    signal.addEventListener('abort', () => Atomics.store(errand.stop, 0, 1));
    worker.on('message', (message: M) => {
      if (isFinished(message)) resolve(message);
      else onMessage(message as Exclude<M, { readonly kind: 'finished' }>);
    });
    worker.on('error', reject);
    worker.on('exit', (code) => reject(new Error(`a thread ended early, with code ${code}`)));
    worker.postMessage(errand);
  });
}
