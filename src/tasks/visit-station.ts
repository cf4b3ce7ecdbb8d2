/**
 * Joins visit runs with their reports: what `transloom visit` asks for.
 */
import type { Layout } from '../layout/layout.js';
import { deriveNetwork, loadsWagons } from '../layout/network.js';
import { isLess } from '../base/rational.js';
import { trainMeasures, type TrainMeasures } from '../ranking/train-measures.js';
import type { Style } from '../report/canvas.js';
import { present, type JsonObject } from '../report/trial-json.js';
import { startsJson, visitDocumentOf } from '../report/visit-json.js';
import { visitText, visitVerdict, type VisitFinding, type VisitStarts } from '../report/visit-text.js';
import type { VisitLimits, VisitResult, VisitTerms } from '../simulation/visit-result.js';
import { USUAL_SEED } from '../simulation/starts.js';
import { runVisits } from '../simulation/run-visits.js';
import { visitDelays } from '../simulation/visit-starts.js';

export { parseDuration, ticksOf } from '../base/duration.js';

export interface VisitRequest extends VisitLimits {
  /** Items in each wagon of a train; left out: all that it holds, or nothing where the layout fills wagons. */
  readonly loads?: readonly number[] | undefined;
  /** In every chest at the start; left out: nothing. */
  readonly levels?: number | 'empty' | 'full' | undefined;
  readonly headwayTicks?: number | undefined;
  readonly stayTicks?: number | undefined;
  /** Staggered starts to try besides the standard one, which is the one reported. */
  readonly starts?: number | undefined;
  readonly seed?: number | undefined;
}

export type VisitAnswer = VisitFinding;

/** Whether a layout fills wagons and takes nothing from any. */
export const fillsTrains = (layout: Layout): boolean => loadsWagons(deriveNetwork(layout));

/** Moments that a chart shows, at most. */
const CHART_STEPS = 56;

export const visitTerms = (layout: Layout, request: VisitRequest): VisitTerms => termsFor(layout, request, fillsTrains(layout));

const termsFor = (layout: Layout, request: VisitRequest, fills: boolean): VisitTerms => ({
  loads: request.loads ?? layout.wagons.map(({ model }) => (fills ? 0 : model.capacity)),
  levels: layout.parts.flatMap((part) => {
    if (part.kind !== 'chest') return [];
    const { levels } = request;
    return [levels === 'full' ? part.model.capacity : levels === 'empty' || levels === undefined ? 0 : levels];
  }),
  headwayTicks: request.headwayTicks,
  stayTicks: request.stayTicks,
  ...(fills ? { leaves: 'full' } : {}),
});

/** Visits of a cycle that a chart shows, at most: with more of them nothing could be seen. */
const CHART_VISITS = 4;

/** Moments of the stretch that a chart shows: the beginning of a cycle, or else the whole run. */
export function chartTicks(result: VisitResult, most = CHART_STEPS): readonly number[] {
  const { cycle } = result;
  const first = cycle === undefined ? undefined : result.visits.find(({ number }) => number === cycle.firstVisit);
  const isCycle = result.ending === 'repeats' && cycle !== undefined && first !== undefined;
  const from = isCycle ? first.arrivedTick : 0;
  const next = first && result.visits.find(({ number }) => number === first.number + CHART_VISITS);
  const end = isCycle && cycle.visits > CHART_VISITS ? next?.arrivedTick : undefined;
  const ticks = end !== undefined ? end - from : isCycle ? cycle.ticks : result.ticks;
  const steps = Math.min(most, ticks);
  return Array.from({ length: steps + 1 }, (_, step) => from + Math.floor((step * ticks) / steps));
}

/** Runs twice: once to see how it ends, and once to look at moments of what is shown. The layout has a wagon. */
export function visitStation(layout: Layout, request: VisitRequest = {}): VisitAnswer {
  const terms = visitTerms(layout, request);
  const result = runVisits(layout, terms, { visits: request.visits, ticks: request.ticks });
  const sampleTicks = chartTicks(result);
  const { samples } = runVisits(layout, terms, { ticks: sampleTicks[sampleTicks.length - 1] }, { sampleTicks });
  const measures = result.cycle && trainMeasures(result.cycle, layout.catalog.ticksPerSecond);
  const starts = tryStarts(layout, terms, request, measures);
  return { layout, terms, result: { ...result, samples }, measures, ...(starts === undefined ? {} : { starts }) };
}

/** The start from which trains stand longest, of the standard one and the staggered ones; undefined where none is asked for. */
function tryStarts(layout: Layout, terms: VisitTerms, { starts = 0, seed = USUAL_SEED, visits, ticks }: VisitRequest, standard: TrainMeasures | undefined): VisitStarts | undefined {
  if (starts === 0) return undefined;
  const staggered = Array.from({ length: starts }, (_, index) => {
    const { cycle } = runVisits(layout, { ...terms, delays: visitDelays(layout, seed, index + 1) }, { visits, ticks });
    return cycle && trainMeasures(cycle, layout.catalog.ticksPerSecond);
  });
  const known = [standard, ...staggered].flatMap((measures, start) => (measures === undefined ? [] : [{ start, measures }]));
  const worst = known.reduce<(typeof known)[number] | undefined>((most, each) => (most === undefined || isLess(most.measures.dwellTicks, each.measures.dwellTicks) ? each : most), undefined);
  return { tried: starts, seed, unsettled: starts + 1 - known.length, worst };
}

export const visitReport = (answer: VisitAnswer, style: Style, quiet = false): readonly string[] =>
  quiet ? visitVerdict(answer, style) : visitText(answer, style);

export const visitDocument = ({ layout, terms, result, measures, starts }: VisitAnswer): JsonObject => present({ ...visitDocumentOf(layout, terms, result, measures), starts: starts && startsJson(starts) });
