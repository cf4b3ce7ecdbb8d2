/**
 * `transloom trial`: simulates a plan and, if it promises anything, checks that.
 */
import { checkPlanForm, parsePlan, parsePromise, spottingDocument, spottingReport, trialDocument, trialReport, tryPlan, trySpotting } from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { acceptMore, loadWithCatalog } from '../files.js';
import { deliver, outputStyle, warn } from '../output.js';

export function runTrialCommand({ plan, starts, ticks, spotting, options }: CommandOf<'trial'>): ExitCode {
  const loaded = loadWithCatalog(plan, parsePlan, checkPlanForm);
  const promise = acceptMore(loaded, parsePromise(loaded.document.value));
  warn(options, loaded.warnings);
  const answer = tryPlan(loaded.value, promise, { starts, seed: options.seed, countTicks: ticks });
  const stops = spotting === undefined ? undefined : trySpotting(answer, promise, spotting);
  deliver(
    options,
    () => {
      const style = outputStyle(options);
      const report = trialReport(answer, style, options.quiet);
      return stops === undefined ? report : [...report, ...(report.length === 0 ? [] : ['']), ...spottingReport(stops, style)];
    },
    () => ({ ...trialDocument(answer), ...(stops === undefined ? {} : { spotting: spottingDocument(stops) }) }),
  );
  const { breaches, trial } = answer;
  const atStops = stops?.places.flatMap((place) => place.breaches ?? []) ?? [];
  const isBroken = [...(breaches ?? []), ...atStops].some((breach) => breach.kind !== 'unproven');
  if (isBroken) return EXIT.no;
  return trial.exact ? EXIT.done : EXIT.unproven;
}
