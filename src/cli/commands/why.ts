/**
 * `transloom why`: what each missing item was lost to, and the single change that would help most.
 */
import { checkPlanForm, fillsTrains, parsePlan, parsePromise, TICK_LIMIT, USUAL_SEED, whyDocument, whyReport, whyStation, type Layout, type PlanPromise, type Rational } from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { EXIT, InputError, type ExitCode } from '../exit-codes.js';
import { acceptMore, loadWithCatalog } from '../files.js';
import { deliver, outputStyle, warn } from '../output.js';
import { writePlanFile } from '../plan-file.js';
import { complain } from '../terminal.js';
import { usage } from '../usage.js';
import type { WhyChoice } from '../why-options.js';

const USUAL_STARTS = 16;

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

export function runWhy({ plan, choice, options }: CommandOf<'why'>): ExitCode {
  const loaded = loadWithCatalog(plan, parsePlan, checkPlanForm);
  if (fillsTrains(loaded.value) && loaded.value.exits.length === 0) {
    throw usage('This plan fills trains and has no exit, and “why” follows what exits lack; “trial” tells what each arm and chest of it waits for.');
  }
  const promise = acceptMore(loaded, parsePromise(loaded.document.value));
  warn(options, loaded.warnings);
  const begun = performance.now();
  const limit = options.timeLimitSeconds;
  const why = whyStation(loaded.value, {
    starts: choice.starts ?? promise?.starts ?? USUAL_STARTS,
    seed: options.seed ?? promise?.seed ?? USUAL_SEED,
    tickLimit: TICK_LIMIT,
    presence: promise?.presence,
    target: targetOf(choice.target, loaded.value, promise),
    changes: true,
    shouldStop: limit === undefined ? undefined : () => performance.now() - begun > limit * 1000,
  });
  const best = why.changes.at(0);
  if (choice.bestFile !== undefined) {
    if (best === undefined) complain([`transloom: No single change gives more, so ${choice.bestFile} is not written.`]);
    // What was promised of the plan is not promised of the changed one.
    else writePlanFile(choice.bestFile, best.layout, loaded.document, undefined, options.ascii);
  }
  deliver(
    options,
    () => whyReport(why, outputStyle(options), options.quiet),
    () => whyDocument(why),
  );
  if (choice.bestFile !== undefined && best === undefined) return EXIT.no;
  return why.exact ? EXIT.done : EXIT.unproven;
}
