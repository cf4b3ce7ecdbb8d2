/**
 * `transloom why`: what each missing item was lost to, and the single change that would help most.
 */
import { checkPlanForm, fillsTrains, parsePlan, parsePromise, TICK_LIMIT, unlessStopped, USUAL_SEED, USUAL_STARTS, whyDocument, whyLoading, whyLoadingDocument, whyLoadingReport, whyReport, whyStation, wrap, type JsonObject, type Layout, type PlanPromise, type Rational, type TriedChange } from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { EXIT, InputError, type ExitCode } from '../exit-codes.js';
import { acceptMore, loadWithCatalog } from '../documents.js';
import { deliver, notWritten, outputStyle, warn } from '../output.js';
import { writePlanFile } from '../plan-file.js';
import { usage } from '../usage.js';
import type { WhyChoice } from '../why-options.js';

type Target = ((exit: number, saturated: Rational) => Rational) | undefined;

function targetOf(choice: WhyChoice['target'], layout: Layout, promise: PlanPromise | undefined): Target {
  if (choice === undefined) return undefined;
  if (choice !== 'promise') return (_, saturated) => choice(saturated, layout.catalog.ticksPerSecond);
  if (promise === undefined) throw new InputError(['transloom: The plan promises nothing, so there is no promise to hold it against; give --target another value, or leave it out.']);
  return (exit, saturated) => {
    const { at, heading } = layout.exits[exit];
    return promise.exits.find((each) => each.at.x === at.x && each.at.y === at.y && each.heading === heading)?.flow ?? saturated;
  };
}

const STOPPED = 'Not known: the time limit was reached before the plan itself had been simulated; give --time-limit more.';

interface Answered {
  readonly best: TriedChange | undefined;
  readonly exact: boolean;
  readonly lines: () => readonly string[];
  readonly document: () => JsonObject;
}

const answered = <T extends { readonly changes: readonly TriedChange[]; readonly exact: boolean }>(why: T, report: (why: T) => readonly string[], document: (why: T) => JsonObject): Answered => ({
  best: why.changes.at(0),
  exact: why.exact,
  lines: () => report(why),
  document: () => document(why),
});

export function runWhy({ plan, choice, options }: CommandOf<'why'>): ExitCode {
  const loaded = loadWithCatalog(plan, parsePlan, checkPlanForm);
  const isLoading = fillsTrains(loaded.value) && loaded.value.exits.length === 0;
  if (isLoading && choice.target !== undefined) throw usage('--target is for exits, and this plan, which fills trains, has none; leave it out.');
  const promise = acceptMore(loaded, parsePromise(loaded.document.value));
  warn(options, loaded.warnings);
  const begun = performance.now();
  const limit = options.timeLimitSeconds;
  const request = {
    starts: choice.starts ?? promise?.starts ?? USUAL_STARTS,
    seed: options.seed ?? promise?.seed ?? USUAL_SEED,
    tickLimit: TICK_LIMIT,
    presence: promise?.presence,
    changes: true,
    shouldStop: limit === undefined ? undefined : () => performance.now() - begun > limit * 1000,
  };
  const style = outputStyle(options);
  const target = targetOf(choice.target, loaded.value, promise);
  const found = unlessStopped(() =>
    isLoading
      ? answered(whyLoading(loaded.value, request), (why) => whyLoadingReport(why, style, options.quiet), whyLoadingDocument)
      : answered(whyStation(loaded.value, { ...request, target }), (why) => whyReport(why, style, options.quiet), whyDocument),
  );
  if (found === undefined) {
    if (choice.bestFile !== undefined) notWritten(options, 'No change was tried', choice.bestFile);
    deliver(options, () => wrap(STOPPED, style.columns ?? Infinity, 0), () => ({ name: loaded.value.name, stoppedBy: 'time-limit' }));
    return EXIT.unproven;
  }
  const { best, exact, lines, document } = found;
  if (choice.bestFile !== undefined) {
    if (best === undefined) notWritten(options, 'No single change gives more', choice.bestFile);
    // What was promised of the plan is not promised of the changed one.
    else writePlanFile(choice.bestFile, best.layout, loaded.document, undefined, options.ascii);
  }
  deliver(options, lines, document);
  if (choice.bestFile !== undefined && best === undefined) return EXIT.no;
  return exact ? EXIT.done : EXIT.unproven;
}
