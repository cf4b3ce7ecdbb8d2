/**
 * `transloom tradeoffs --over`: the least cost as a function of the fill, or of the depth, width or arms. The search runs on
 * a thread of its own, `over-worker.ts`.
 */
import { checkBriefForm, parseBrief } from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { briefErrand, onThread, runErrand } from '../errand.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { loadWithCatalog } from '../documents.js';
import { deliver, warn } from '../output.js';
import { progressText } from './design.js';
import type { OverErrand, OverMessage } from './over-worker.js';

export function runOver({ brief, given, options }: CommandOf<'tradeoffs'>): Promise<ExitCode> {
  return onThread(new URL('./over-worker.js', import.meta.url), async (worker) => {
    const loaded = loadWithCatalog(brief, parseBrief, checkBriefForm);
    warn(options, loaded.warnings);
    const { over, from, to } = given;
    const errand: OverErrand = { ...briefErrand(loaded, options, undefined), given: { over, from, to } };
    const { found, known, lines, document } = await runErrand<OverMessage>(worker, errand, (message, progress) => {
      if (message.kind === 'step') progress.keep(message.line);
      else progress.show(progressText(message.progress));
    });
    deliver(options, () => lines, () => document);
    if (!known) return EXIT.unproven;
    return found ? EXIT.done : EXIT.no;
  });
}
