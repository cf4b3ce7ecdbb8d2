/**
 * `transloom design`: hands a brief to the design loop and writes what comes back; with `--audit`, also the proof log,
 * which is then replayed. The loop runs on a thread of its own, `design-worker.ts`.
 */
import type { Worker } from 'node:worker_threads';
import { checkBriefForm, exportProgram, parseBrief, type DesignProgress } from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { programFormat } from '../design-options.js';
import { briefErrand, onThread, runErrand } from '../errand.js';
import { EXIT, InputError, type ExitCode } from '../exit-codes.js';
import { findingLines, loadWithCatalog, readDocument } from '../documents.js';
import { DEMO_BRIEF, shownPath } from '../files.js';
import { finishWith, opened, writeWhole } from '../growing-file.js';
import { deliver, notWritten, outputLines, warn } from '../output.js';
import { planFileText } from '../plan-file.js';
import { printLines } from '../terminal.js';
import type { DesignErrand, DesignMessage } from './design-worker.js';
import { replayOn } from './replay.js';

type Finished = Extract<DesignMessage, { readonly kind: 'finished' }>;
type Answered = Exclude<Finished, { readonly status: 'refused' }>;

export const progressText = ({ of, bound, best, round, simulations }: DesignProgress): string =>
  (of === undefined ? '' : `${of}: `) +
  [
    ...(bound === undefined ? [] : [`at least ${bound}`]),
    best === undefined ? 'none found yet' : `best so far ${best}`,
    `round ${round}`,
    `${simulations} simulated`,
  ].join(', ');

export const runDesign = (command: CommandOf<'design'>): Promise<ExitCode> =>
  onThread(new URL('./design-worker.js', import.meta.url), (worker) => designOn(worker, command));

async function designOn(worker: Worker, command: CommandOf<'design'>): Promise<ExitCode> {
  const { brief, programFile, logFile, workers, saveFile, resumeFile, mostFill, options } = command;
  const loaded = loadWithCatalog(brief ?? DEMO_BRIEF, parseBrief, checkBriefForm);
  warn(options, loaded.warnings);
  const format = programFile === undefined ? undefined : programFormat(programFile);
  if (programFile !== undefined && format !== undefined) writeWhole(programFile, exportProgram(loaded.value, format));
  const saved = resumeFile === undefined ? undefined : readDocument(resumeFile);
  const printed = { ...options, out: undefined };
  const errand: DesignErrand = {
    ...briefErrand(loaded, printed, workers),
    logged: logFile !== undefined,
    search: saved?.value,
    saves: saveFile !== undefined,
    mostFill,
  };
  const finished = await designed(worker, errand, command);
  if (finished.status === 'refused') throw new InputError(saved === undefined ? [] : findingLines(saved, finished.findings));
  const { status, lines, plan, search } = finished;
  const document = saveFile === undefined ? finished.document : { ...finished.document, saved: search !== undefined };
  if (saveFile !== undefined) warn(options, [savedText(saveFile, finished)]);
  if (options.out !== undefined) {
    if (plan === undefined) notWritten(options, 'No station was found', options.out);
    else writeWhole(options.out, planFileText(options.out, plan, options.ascii));
  }
  const code = { optimal: EXIT.done, feasible: EXIT.unproven, infeasible: EXIT.no, unknown: EXIT.unproven }[status];
  if (logFile === undefined) {
    deliver(printed, () => lines, () => document);
    return code;
  }
  // A replay may take long, so a reader has the answer before it.
  if (!options.json) printLines(outputLines(printed, [...lines, '']));
  const audit = await replayOn(logFile, printed);
  deliver(printed, () => audit.lines, () => ({ ...document, audit: audit.document }));
  return audit.code === EXIT.no || code === EXIT.done ? audit.code : code;
}

const savedText = (file: string, { search }: Answered): string =>
  search === undefined ? 'The search is finished, so there was nothing to save.' : `The search is saved; go on with --resume ${shownPath(file)}.`;

async function designed(worker: Worker, errand: DesignErrand, { logFile, saveFile }: CommandOf<'design'>): Promise<Finished> {
  const log = opened(logFile);
  // Opened before there is anything to save, so that nothing is lost where it can't be written.
  const search = opened(saveFile);
  try {
    const finished = await runErrand<DesignMessage>(worker, errand, (message, progress) => {
      if (message.kind === 'log') log?.append(message.text);
      else progress.show(progressText(message.progress));
    });
    log?.finish();
    if (finished.status !== 'refused') finishWith(search, finished.search);
    return finished;
  } finally {
    log?.abandon();
    search?.abandon();
  }
}
