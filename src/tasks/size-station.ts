/**
 * Joins the sizing of a whole station: by formula from a steady trial, and by a run of visits beside it, in which exits
 * take what is asked and full trains come at the headway. What `transloom station` asks for.
 */
import { isCountable } from '../base/rate.js';
import { unlessStopped, type ShouldStop } from '../base/run-stopped.js';
import { isLess, minRational, ONE, ratio, ZERO, type Rational } from '../base/rational.js';
import type { Layout } from '../layout/layout.js';
import { deriveNetwork } from '../layout/network.js';
import { sizeByFormula, trainNeed, type Sizing, type SizingTerms } from '../ranking/sizing.js';
import { trainMeasures } from '../ranking/train-measures.js';
import type { Style } from '../report/canvas.js';
import { stationJson, stationText, type MeasuredStation, type StationFinding } from '../report/station-text.js';
import type { JsonObject } from '../report/trial-json.js';
import { containerCycle } from '../simulation/compile.js';
import { runTrial } from '../simulation/trial.js';
import type { TrialResult } from '../simulation/trial-result.js';
import { runVisits } from '../simulation/run-visits.js';
import { TICK_LIMIT, USUAL_SEED } from '../simulation/starts.js';

export { parseDemandRate, parseRoundTrip } from '../brief/demand.js';

/** A run that has not come to a cycle by then leaves the formula alone. */
const MOST_TICKS_RUN = 10_000_000;

/** Where nobody asks for a reserve. */
export const NO_RESERVE: Rational = ZERO;

const ceiling = (value: Rational): number => Number(value.ceil().valueOf());

const FINEST = 1_000_000_000_000;

/** A share of a demand may be finer than what exits can count by: rounded up then, by less than 1 in `FINEST` ticks. */
const countable = (take: Rational): Rational => (isCountable(take) ? take : take.mul(FINEST).ceil().div(FINEST));

/** The exits take, together, what is asked; no more than the layout gives. Where trains are filled, these say how much belts bring. */
function metered(layout: Layout, trial: TrialResult, { demand, most }: Sizing): Layout {
  const share = minRational(demand.div(most), ONE);
  const exits = layout.exits.map((exit, index) => {
    const { flow } = trial.exits[index];
    return { ...exit, take: share.equals(1) ? exit.take : countable(flow.mul(share)) };
  });
  return { ...layout, exits };
}

/** Undefined where the run does not come to a cycle. */
function measure(layout: Layout, trial: TrialResult, sizing: Sizing, terms: SizingTerms, shouldStop: ShouldStop): MeasuredStation | undefined {
  const station = sizing.fills ? layout : metered(layout, trial, sizing);
  const visitTerms = {
    loads: layout.wagons.map(({ model }) => (sizing.fills ? 0 : model.capacity)),
    // As between two trains: nothing left, or all full.
    levels: layout.parts.flatMap((part) => (part.kind === 'chest' ? [sizing.fills ? part.model.capacity : 0] : [])),
    headwayTicks: ceiling(sizing.headwayTicks),
    stayTicks: undefined,
    ...(sizing.fills ? { leaves: 'full' as const } : {}),
  };
  const result = runVisits(station, visitTerms, {}, { mostTicksRun: MOST_TICKS_RUN, shouldStop });
  const { cycle } = result;
  if (cycle === undefined) return undefined;
  const measures = trainMeasures(cycle, layout.catalog.ticksPerSecond);
  const visits = result.visits.filter(({ number }) => number >= cycle.firstVisit && number < cycle.firstVisit + cycle.visits);
  const used = result.chests.map((_, chest) => Math.max(...visits.map(({ chests }) => (sizing.fills ? chests[chest].atArrival - chests[chest].lowest : chests[chest].highest))));
  const found = result.chests.map((_, chest) => Math.min(...visits.map(({ chests }) => chests[chest].atArrival)));
  return { ...trainNeed(measures.headwayTicks, measures.dwellTicks, terms), flow: sizing.fills ? ratio(-cycle.unloaded, cycle.ticks) : measures.flow, used, found, chests: result.chests };
}

/**
 * Ticks by which the two dwells may differ. Always: two cycles of the slowest arm, for the last hands. Where trains have
 * to stand because nothing bridges their gap, also the time for which belts and hands bridge it, which no formula knows:
 * how full they are depends on what waits where.
 */
function dwellTolerance(layout: Layout, { isBridged, demand, most }: Sizing): number {
  const cycles = 2 * Math.max(0, ...layout.parts.map((part) => (part.kind === 'arm' ? containerCycle(part) : 0)));
  if (isBridged) return cycles;
  const { carriers } = deriveNetwork(layout);
  const onBelts = carriers.reduce((sum, { leftLength, rightLength }) => sum + Math.ceil((leftLength + rightLength) / layout.catalog.pitch), 0);
  const inHands = layout.parts.reduce((sum, part) => sum + (part.kind === 'arm' ? part.model.payload : 0), 0);
  return cycles + ceiling(ratio(onBelts + inHands).div(minRational(demand, most)));
}

/** When to end before all is known, and why then. */
export interface SizingEnd {
  /** Asked now and then; once true, what is known by then is told. */
  readonly shouldStop: () => boolean;
  readonly stopCause: () => 'time-limit' | 'interrupt';
}

export function sizeStation(layout: Layout, terms: SizingTerms, end?: SizingEnd): StationFinding {
  const { shouldStop } = end ?? {};
  const stoppedIn = (before: 'formula' | 'visits'): StationFinding['stopped'] => end && { before, by: end.stopCause() };
  const unknown: StationFinding = { layout, terms, sizing: undefined, measured: undefined, toleranceTicks: 0, agrees: undefined, stopped: undefined };
  const trial = unlessStopped(() => runTrial(layout, { starts: 0, seed: USUAL_SEED, tickLimit: TICK_LIMIT, presence: ONE, shouldStop }));
  if (trial === undefined) return { ...unknown, stopped: stoppedIn('formula') };
  const sized = sizeByFormula(layout, trial, terms);
  // Where flows can not last there is nothing to size.
  if (sized === undefined) return unknown;
  const { sizing } = sized;
  const run = unlessStopped(() => ({ measured: measure(layout, trial, sizing, terms, shouldStop) }));
  const measured = run?.measured;
  const toleranceTicks = dwellTolerance(layout, sizing);
  const given = minRational(sizing.demand, sizing.most);
  // A train in a whole number of ticks, and what is under way: a hundredth of the flow is allowed for.
  const agrees =
    measured &&
    !isLess(ratio(toleranceTicks), measured.dwellTicks.sub(sizing.dwellTicks).abs()) &&
    !isLess(given.div(100), measured.flow.sub(given).abs());
  return { layout, terms, sizing, measured, toleranceTicks, agrees, stopped: run === undefined ? stoppedIn('visits') : undefined };
}

export { withGrace } from '../base/run-stopped.js';

export const stationReport = (finding: StationFinding, style: Style, quiet = false): readonly string[] => stationText(finding, style, quiet);

export const stationDocument = (finding: StationFinding): JsonObject => stationJson(finding);
