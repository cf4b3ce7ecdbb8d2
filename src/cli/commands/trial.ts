/**
 * `transloom trial`: simulates a plan and, if it promises anything, checks that.
 */
import { checkPlanForm, parsePlan, parsePromise, trialDocument, trialReport, tryPlan } from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { acceptMore, loadWithCatalog } from '../files.js';
import { deliver, outputStyle, warn } from '../output.js';

export function runTrialCommand({ plan, starts, ticks, options }: CommandOf<'trial'>): ExitCode {
  const loaded = loadWithCatalog(plan, parsePlan, checkPlanForm);
  const promise = acceptMore(loaded, parsePromise(loaded.document.value));
  warn(options, loaded.warnings);
  const answer = tryPlan(loaded.value, promise, { starts, seed: options.seed, countTicks: ticks });
  deliver(
    options,
    () => trialReport(answer, outputStyle(options), options.quiet),
    () => trialDocument(answer),
  );
  const { breaches, trial } = answer;
  const isBroken = breaches !== undefined && breaches.some((breach) => breach.kind !== 'unproven');
  if (isBroken) return EXIT.no;
  return trial.exact ? EXIT.done : EXIT.unproven;
}
