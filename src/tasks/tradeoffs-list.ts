/**
 * Joins the list of a search for tradeoffs with what somebody wishes to see of it, for the reports and the page.
 * The search itself is joined in `find-tradeoffs.ts`.
 */
import { invariant } from '../base/invariant.js';
import { ratio } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import { sameExit, type Layout } from '../layout/layout.js';
import { asBurden, countedMeasures, type Measure, type Measures } from '../layout/measure.js';
import { inPlanOrder } from '../layout/write-plan.js';
import { reportPage } from './draw-plan.js';
import { choose, type Wishes } from '../ranking/choice.js';
import { kneeOf, type Knee } from '../ranking/knee.js';
import { trainFormula, type TrainFormula } from '../ranking/train-formula.js';
import type { Style } from '../report/canvas.js';
import { measurePhrase, measureText } from '../report/measure-words.js';
import { entryJson, shownKnee, tradeoffsCsv, tradeoffsJson } from '../report/tradeoffs-json.js';
import type { ListedLayout, TradeoffsFinding } from '../report/tradeoffs-finding.js';
import { choiceSentence, completenessSentences, kneeSentence, pickedText, tradeoffsText, tradeoffsVerdict } from '../report/tradeoffs-text.js';
import { worstFill, type JsonObject } from '../report/trial-json.js';
import type { TrialResult } from '../simulation/trial-result.js';
import type { Tradeoff, TradeoffsOutcome } from '../synthesis/choices/tradeoffs-outcome.js';

export { tradeoffsCsv };

/** A layout of the list with its plan, which promises and holds its catalog, and its trial. */
export interface TradeoffEntry extends Tradeoff {
  readonly plan: JsonObject;
  readonly trial: TrialResult;
}

/** What is told of a list: all that was found, and what is to be shown of it. */
export type TradeoffsView = TradeoffsFinding;

/** As its plan lists them, so that letters of exits are the same wherever the plan goes. */
function listed(objectives: readonly Measure[], { layout, values, plan, trial }: TradeoffEntry): ListedLayout {
  const ordered = inPlanOrder(layout);
  const exits = ordered.exits.map((exit) => {
    const found = trial.exits.find((each) => sameExit({ ...each, take: undefined }, exit));
    invariant(found !== undefined, 'a trial has every exit of its layout', { at: JSON.stringify(exit.at) });
    return found;
  });
  const trains = trainFormula(layout, trial);
  return { layout: ordered, plan, trial: { ...trial, exits }, trains, measures: measuresOf(objectives, layout, values, trial, trains) };
}

function measuresOf(objectives: readonly Measure[], layout: Layout, values: Tradeoff['values'], trial: TrialResult, trains: TrainFormula | undefined): Measures {
  const { cost, footprint, parts, arms, splitters, depth, width } = countedMeasures(layout);
  return {
    cost: ratio(cost),
    footprint: ratio(footprint),
    parts: ratio(parts),
    arms: ratio(arms),
    splitters: ratio(splitters),
    depth: ratio(depth),
    width: ratio(width),
    imbalance: trial.imbalance,
    fill: worstFill(trial),
    dwell: trains?.dwellTicks,
    trainsPerHour: trains?.trainsPerHour,
    ...Object.fromEntries(objectives.map((objective, index) => [objective, values[index]])),
  };
}

export function viewTradeoffs(
  brief: Brief,
  answer: Omit<TradeoffsOutcome, 'list'> & { readonly entries: readonly TradeoffEntry[] },
  wishes: Wishes,
): TradeoffsView {
  const { entries, ...outcome } = answer;
  const list = entries.map((entry) => listed(outcome.objectives, entry));
  const choice = choose(list.map(({ measures }) => measures), wishes, brief.catalog.ticksPerSecond);
  const burdens = choice.kept.map((index) => outcome.objectives.map((measure, at) => asBurden(measure, entries[index].values[at])));
  const knee = kneeOf(burdens);
  return { brief, outcome, list, wishes, choice, knee: knee && ({ ...knee, index: choice.kept[knee.index] } satisfies Knee) };
}

export const tradeoffsReport = (view: TradeoffsView, style: Style, quiet = false): readonly string[] =>
  quiet ? tradeoffsVerdict(view, style) : tradeoffsText(view, style);

/** "found: cost 89, 13 parts": of a layout when it is found; a later one may better it. */
export const foundLine = (objectives: readonly Measure[], { layout, values }: Tradeoff): string =>
  `found: ${objectives.map((measure, index) => measurePhrase(measure, measureText(measure, values[index], layout.catalog.ticksPerSecond))).join(', ')}`;

/** `picked`: index of a layout in the whole list. */
export const tradeoffsDocument = (view: TradeoffsView, picked?: number): JsonObject => tradeoffsJson(view, picked);

/** What a layout of the list is built of, and in which order; `index` is that in the whole list. */
export const pickedReport = (view: TradeoffsView, index: number, style: Style): readonly string[] => pickedText(view, index, style);

/** One page with the layouts that are shown; undefined where none is. */
export function tradeoffsPage(view: TradeoffsView): string | undefined {
  const { brief, outcome, list, choice } = view;
  if (choice.shown.length === 0) return undefined;
  const shown = choiceSentence(view);
  const knee = shownKnee(view);
  return reportPage({
    title: brief.name,
    objectives: outcome.objectives,
    entries: choice.shown.map((index) => entryJson(list[index], index)),
    found: list.length,
    complete: outcome.status === 'complete',
    notes: [...completenessSentences(view), ...(shown === undefined ? [] : [shown])],
    knee,
    kneeReason: knee === undefined ? undefined : kneeSentence(view),
  });
}
