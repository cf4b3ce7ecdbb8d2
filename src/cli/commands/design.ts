/**
 * `transloom design`: hands a brief to the design loop and writes what comes back. The loop runs on a
 * thread of its own (`design-worker.ts`), so that Ctrl-C and progress come through while it computes.
 */
import { Worker } from 'node:worker_threads';
import { checkBriefForm, exportProgram, parseBrief, type DesignProgress } from '../../index.js';
import { programFormat, type CommonOptions } from '../arguments.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { DEMO_BRIEF, loadWithCatalog, writeWhole } from '../files.js';
import { deliver, jsonDocument, outputColorLevel, warn } from '../output.js';
import { ProgressLine, terminalColumns } from '../terminal.js';
import type { DesignErrand, DesignMessage } from './design-worker.js';

type Finished = Extract<DesignMessage, { readonly kind: 'finished' }>;

const progressText = ({ bound, best, round, simulations }: DesignProgress): string =>
  [
    ...(bound === undefined ? [] : [`at least ${bound}`]),
    best === undefined ? 'none found yet' : `best so far ${best}`,
    `round ${round}`,
    `${simulations} simulated`,
  ].join(', ');

/** First Ctrl-C: ends the loop, which then tells what it has. Second: ends the program at once. */
function stopOnInterrupt(controller: AbortController, quiet: boolean): () => void {
  const onInterrupt = (): void => {
    if (controller.signal.aborted) process.exit(EXIT.unproven);
    if (!quiet) process.stderr.write('\nStopping; press Ctrl-C again to end at once.\n');
    controller.abort();
  };
  process.on('SIGINT', onInterrupt);
  return () => process.off('SIGINT', onInterrupt);
}

function runErrand(worker: Worker, errand: DesignErrand, signal: AbortSignal, progress: ProgressLine): Promise<Finished> {
  return new Promise((resolve, reject) => {
    signal.addEventListener('abort', () => Atomics.store(errand.stop, 0, 1));
    worker.on('message', (message: DesignMessage) => {
      if (message.kind === 'finished') resolve(message);
      else progress.show(progressText(message.progress));
    });
    worker.on('error', reject);
    worker.on('exit', (code) => reject(new Error(`the design thread ended early, with code ${code}`)));
    worker.postMessage(errand);
  });
}

export async function runDesign(brief: string | undefined, programFile: string | undefined, options: CommonOptions): Promise<ExitCode> {
  // The thread loads its modules while files are read here; nothing is lost where these turn out unsound.
  const worker = new Worker(new URL('./design-worker.js', import.meta.url), { stdout: true });
  try {
    return await designOn(worker, brief, programFile, options);
  } finally {
    await worker.terminate();
  }
}

async function designOn(
  worker: Worker,
  brief: string | undefined,
  programFile: string | undefined,
  options: CommonOptions,
): Promise<ExitCode> {
  const loaded = loadWithCatalog(brief ?? DEMO_BRIEF, parseBrief, checkBriefForm);
  warn(options, loaded.warnings);
  const format = programFile === undefined ? undefined : programFormat(programFile);
  if (programFile !== undefined && format !== undefined) writeWhole(programFile, exportProgram(loaded.value, format));
  const controller = new AbortController();
  const stopListening = stopOnInterrupt(controller, options.quiet);
  const progress = new ProgressLine(!options.quiet);
  try {
    const { status, lines, document, plan } = await runErrand(
      worker,
      {
        brief: loaded.document.value,
        catalog: loaded.catalog,
        seed: options.seed,
        timeLimitSeconds: options.timeLimitSeconds,
        solver: options.solver,
        quiet: options.quiet,
        ascii: options.ascii,
        columns: terminalColumns(),
        colorLevel: outputColorLevel({ ...options, out: undefined }),
        stop: new Int32Array(new SharedArrayBuffer(4)),
      },
      controller.signal,
      progress,
    );
    progress.clear();
    if (options.out !== undefined && plan !== undefined) writeWhole(options.out, jsonDocument(plan));
    deliver({ ...options, out: undefined }, () => lines, () => document);
    return { optimal: EXIT.done, feasible: EXIT.unproven, infeasible: EXIT.no, unknown: EXIT.unproven }[status];
  } finally {
    progress.clear();
    stopListening();
  }
}
