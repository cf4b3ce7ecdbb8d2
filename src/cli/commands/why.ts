/**
 * `transloom why`: what each missing item was lost to, and the single change that would help most. Both are found on a thread of
 * their own, `why-worker.ts`.
 */
import { checkPlanForm, parsePlan, parsePromise } from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { onThread, planErrand, runErrand } from '../errand.js';
import type { ExitCode } from '../exit-codes.js';
import { acceptMore, loadWithCatalog } from '../documents.js';
import { deliver, notWritten, warn } from '../output.js';
import { writeMadePlan } from '../plan-file.js';
import type { WhyErrand, WhyMessage } from './why-worker.js';

export const runWhy = ({ plan, choice: { bestFile }, given, options }: CommandOf<'why'>): Promise<ExitCode> =>
  onThread(new URL('./why-worker.js', import.meta.url), async (worker) => {
    const loaded = loadWithCatalog(plan, parsePlan, checkPlanForm);
    acceptMore(loaded, parsePromise(loaded.document.value));
    warn(options, loaded.warnings);
    const errand: WhyErrand = { ...planErrand(loaded, options), given };
    const { code, lines, document, best } = await runErrand<WhyMessage>(worker, errand, () => undefined);
    if (bestFile !== undefined) {
      if (best.kind === 'found') writeMadePlan(bestFile, best.plan, loaded.document, options.ascii);
      else notWritten(options, best.kind === 'none' ? 'No single change gives more' : 'No change that was tried gives more', bestFile);
    }
    deliver(options, () => lines, () => document);
    return code;
  });
