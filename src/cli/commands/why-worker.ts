/**
 * The thread on which `why` computes. What each exit is held against is worked out here, of the options as they were given:
 * exact targets do not survive the way between threads. It sends back finished text and JSON.
 */
import { fillsTrains, parsePromise, TICK_LIMIT, unlessStopped, USUAL_SEED, USUAL_STARTS, whyDocument, whyLoading, whyLoadingDocument, whyLoadingReport, whyReport, whyStation, wrap, writePlan, type JsonObject, type Layout, type PlanPromise, type Rational, type TriedChange } from '../../index.js';
import type { PlanErrand } from '../errand.js';
import { EXIT, InputError, type ExitCode } from '../exit-codes.js';
import { endOfRun, layoutOf, onErrand, styleOf } from '../own-thread.js';
import { usage } from '../usage.js';
import { readWhyOptions, type GivenWhy, type WhyChoice } from '../why-options.js';

export interface WhyErrand extends PlanErrand {
  readonly given: GivenWhy;
}

/** What is known of the best change. */
export type BestChange = { readonly kind: 'found'; readonly plan: JsonObject } | { readonly kind: 'none' } | { readonly kind: 'untried' };

export interface WhyMessage {
  readonly kind: 'finished';
  readonly code: ExitCode;
  readonly lines: readonly string[];
  readonly document: JsonObject;
  readonly best: BestChange;
}

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

const STOPPED = {
  'time-limit': 'Not known: the time limit was reached before the plan itself had been simulated; give --time-limit more.',
  interrupt: 'Not known: the run was ended from outside before the plan itself had been simulated.',
};

interface Answered {
  readonly exact: boolean;
  readonly best: TriedChange | undefined;
  /** Changes that were not settled. */
  readonly untried: number;
  readonly lines: readonly string[];
  readonly document: JsonObject;
}

function run(errand: WhyErrand, send: (message: WhyMessage) => void): void {
  const layout = layoutOf(errand);
  const promised = parsePromise(errand.plan);
  const promise = promised.ok ? promised.value : undefined;
  const choice = readWhyOptions(errand.given);
  const isLoading = fillsTrains(layout) && layout.exits.length === 0;
  if (isLoading && choice.target !== undefined) throw usage('--target is for exits, and this plan, which fills trains, has none; leave it out.');
  const { shouldStop, stopCause } = endOfRun(errand);
  const request = {
    starts: choice.starts ?? promise?.starts ?? USUAL_STARTS,
    seed: errand.seed ?? promise?.seed ?? USUAL_SEED,
    tickLimit: TICK_LIMIT,
    presence: promise?.presence,
    changes: true,
    shouldStop,
  };
  const style = styleOf(errand);
  const target = targetOf(choice.target, layout, promise);
  const answer = unlessStopped((): Answered => {
    if (isLoading) {
      const why = whyLoading(layout, request);
      return { ...why, best: why.changes.at(0), lines: whyLoadingReport(why, style, errand.quiet), document: whyLoadingDocument(why) };
    }
    const why = whyStation(layout, { ...request, target });
    return { ...why, best: why.changes.at(0), lines: whyReport(why, style, errand.quiet), document: whyDocument(why) };
  });
  if (answer === undefined) {
    const stoppedBy = stopCause();
    send({
      kind: 'finished',
      code: EXIT.unproven,
      lines: wrap(STOPPED[stoppedBy], style.columns ?? Infinity, 0),
      document: { name: layout.name, stoppedBy },
      best: { kind: 'untried' },
    });
    return;
  }
  const { exact, best, untried, lines, document } = answer;
  const isWhole = exact && (untried === 0 || !shouldStop());
  // What was promised of the plan is not promised of the changed one.
  const changed: BestChange = best === undefined ? { kind: isWhole ? 'none' : 'untried' } : { kind: 'found', plan: writePlan(best.layout) as JsonObject };
  const lacksBest = choice.bestFile !== undefined && changed.kind === 'none';
  send({ kind: 'finished', code: lacksBest ? EXIT.no : isWhole ? EXIT.done : EXIT.unproven, lines, document, best: changed });
}

onErrand(run);
