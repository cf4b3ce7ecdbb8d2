/**
 * `transloom tradeoffs`: the list of stations that no other beats in every objective, as text, JSON, CSV and page. The
 * search runs on a thread of its own, `tradeoffs-worker.ts`; `--over` is in `tradeoffs-over.ts`.
 */
import type { Worker } from 'node:worker_threads';
import { checkBriefForm, parseBrief, type TradeoffsProgress } from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { briefErrand, onThread, runErrand } from '../errand.js';
import { EXIT, InputError, type ExitCode } from '../exit-codes.js';
import { loadWithCatalog } from '../documents.js';
import { finishWith, opened } from '../growing-file.js';
import { deliverable, notWritten, warn } from '../output.js';
import { planFileText } from '../plan-file.js';
import { runOver } from './tradeoffs-over.js';
import type { TradeoffsErrand, TradeoffsMessage } from './tradeoffs-worker.js';

const progressText = ({ price, found, round, simulations }: TradeoffsProgress): string =>
  `${found === 0 ? 'none found yet' : `${found} found`}, ${Number.isFinite(price) ? `all below ${price}` : 'all'} settled, round ${round}, ${simulations} simulated`;

export function runTradeoffs(command: CommandOf<'tradeoffs'>): Promise<ExitCode> {
  if (command.choice.over !== undefined) return runOver(command);
  return onThread(new URL('./tradeoffs-worker.js', import.meta.url), (worker) => listOn(worker, command));
}

async function listOn(worker: Worker, { brief, choice, given, options }: CommandOf<'tradeoffs'>): Promise<ExitCode> {
  const loaded = loadWithCatalog(brief, parseBrief, checkBriefForm);
  warn(options, loaded.warnings);
  const { csvFile, htmlFile, pick } = choice;
  // With --pick, --out takes the plan, whatever is printed.
  const printed = pick === undefined ? options : { ...options, out: undefined };
  const errand: TradeoffsErrand = { ...briefErrand(loaded, printed, 1), given };
  // Opened before the search, which may be long: a file that can't be written is told at once.
  const files = [csvFile, htmlFile, options.out].map(opened);
  try {
    const { status, lines, document, csv, page, plan, pickFlaw } = await runErrand<TradeoffsMessage>(worker, errand, (message, progress) => {
      if (message.kind === 'found') progress.keep(message.line);
      else progress.show(progressText(message.progress));
    });
    const text = deliverable(printed, () => lines, () => document);
    const [csvGrowing, htmlGrowing, outGrowing] = files;
    finishWith(csvGrowing, csv);
    if (htmlGrowing !== undefined && page === undefined) warn(options, ['No layout is shown, so no page was written.']);
    finishWith(htmlGrowing, page);
    finishWith(outGrowing, pick === undefined ? text : plan && planFileText(options.out ?? '', plan, options.ascii));
    if (printed.out === undefined) process.stdout.write(text);
    if (status === 'infeasible' || status === 'unknown') {
      if (options.out !== undefined && pick !== undefined) notWritten(options, 'No station was found', options.out);
    } else if (pickFlaw !== undefined) {
      // What was found stands above, so that a wrong number costs no second search.
      throw new InputError([`transloom: ${pickFlaw}`]);
    }
    return { complete: EXIT.done, partial: EXIT.unproven, infeasible: EXIT.no, unknown: EXIT.unproven }[status];
  } finally {
    for (const file of files) file?.abandon();
  }
}
