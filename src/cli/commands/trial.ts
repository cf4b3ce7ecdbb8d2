/**
 * `transloom trial`: simulates a plan and, if it promises anything, checks that; with `--watch`, at every save anew.
 */
import { checkPlanForm, checkSpotting, parsePlan, parsePromise, spottingDocument, spottingReport, trialChangeLines, trialDocument, trialReport, tryPlan, trySpotting, type TrialAnswer } from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { EXIT, InputError, type ExitCode } from '../exit-codes.js';
import { acceptMore, loadWithCatalog } from '../documents.js';
import { shownPath } from '../files.js';
import { deliver, outputLines, outputStyle, warn } from '../output.js';
import { complain, printLines } from '../terminal.js';
import { ticksIn } from '../time-options.js';
import { watchFile } from '../watch-file.js';

function tryOnce({ plan, starts, ticks, spotting, options }: CommandOf<'trial'>): { readonly code: ExitCode; readonly answer: TrialAnswer } {
  const loaded = loadWithCatalog(plan, parsePlan, checkPlanForm);
  const promise = acceptMore(loaded, parsePromise(loaded.document.value));
  acceptMore(loaded, checkSpotting(loaded.value, Math.max(spotting ?? 0, promise?.spotting ?? 0)));
  warn(options, loaded.warnings);
  const answer = tryPlan(loaded.value, promise, { starts, seed: options.seed, countTicks: ticksIn('ticks', ticks, loaded.value.catalog) });
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
  return { answer, code: isBroken ? EXIT.no : trial.exact ? EXIT.done : EXIT.unproven };
}

/** A plan that can't be read is told, and the next save awaited. Ctrl-C is no failure then. */
async function tryAtEverySave(command: CommandOf<'trial'>): Promise<ExitCode> {
  const { plan, options } = command;
  let last: TrialAnswer | undefined;
  const tryAgain = (): void => {
    try {
      const { answer } = tryOnce(command);
      const style = outputStyle(options);
      const { ticksPerSecond } = answer.layout.catalog;
      if (last !== undefined) printLines(outputLines(options, ['', ...trialChangeLines(last.trial, answer.trial, ticksPerSecond, style)]));
      last = answer;
    } catch (thrown) {
      if (!(thrown instanceof InputError)) throw thrown;
      complain(thrown.lines);
    }
    printLines(['', `Watching ${shownPath(plan)}; Ctrl-C ends.`]);
  };
  await watchFile(plan, tryAgain);
  return EXIT.done;
}

export const runTrialCommand = (command: CommandOf<'trial'>): ExitCode | Promise<ExitCode> =>
  command.watch ? tryAtEverySave(command) : tryOnce(command).code;
