/**
 * The JSON that `visit --json` prints. Fields named in models/files-and-commands.md keep their names and meanings.
 */
import { formatRational, ratio, type Rational } from '../base/rational.js';
import type { Layout } from '../layout/layout.js';
import type { TrainMeasures } from '../ranking/train-measures.js';
import type { ExitFinding, TrainVisit, VisitResult, VisitTerms, WaitedFor } from '../simulation/visit-result.js';
import { perSecondNumber } from './numbers.js';
import type { VisitStarts } from './visit-text.js';
import { position, present, type Json, type JsonObject } from './trial-json.js';

const plainNumber = (value: Rational): number => Number(value.valueOf().toPrecision(9));

function waitedForJson({ why, wagon, arm, others }: WaitedFor, fills: boolean): JsonObject {
  const end = arm && { [arm.into.kind]: arm.into.kind === 'wagon' ? arm.into.at : position(arm.into.at) };
  const waited = (ticks: number): Readonly<Record<string, Json>> => (fills ? { starvedTicks: ticks } : { blockedTicks: ticks });
  return present({
    why,
    wagon,
    arm: arm && present({ at: position(arm.at), [fills ? 'from' : 'into']: end, ...waited(arm.blockedTicks) }),
    others: others.count === 0 ? undefined : { count: others.count, ...waited(others.blockedTicks) },
  });
}

const movedJson = (unloaded: number, fills: boolean): Readonly<Record<string, Json>> => (fills ? { loaded: unloaded === 0 ? 0 : -unloaded } : { unloaded });

const visitJson = (visit: TrainVisit, fills: boolean): JsonObject =>
  present({
    number: visit.number,
    arrivedTick: visit.arrivedTick,
    lateTicks: visit.lateTicks,
    dwellTicks: visit.dwellTicks,
    ...movedJson(visit.unloaded, fills),
    leftWith: visit.leftWith,
    chests: visit.chests.map((chest) => present({ ...chest })),
    exits: visit.exits,
    waitedFor: visit.waitedFor && waitedForJson(visit.waitedFor, fills),
  });

function exitJson(exit: ExitFinding, ticks: number, ticksPerSecond: number): Readonly<Record<string, Json>> {
  const flow = ratio(exit.left + exit.right, Math.max(1, ticks));
  const { left, right, starvedTicks } = exit;
  return { at: position(exit.at), heading: exit.heading, left, right, flow: formatRational(flow), perSecond: perSecondNumber(flow, ticksPerSecond), starvedTicks };
}

function measuresJson(measures: TrainMeasures): JsonObject {
  return {
    dwell: formatRational(measures.dwellTicks),
    headway: formatRational(measures.headwayTicks),
    trainsPerHour: plainNumber(measures.trainsPerHour),
    presence: formatRational(measures.presence),
  };
}

export const startsJson = ({ tried, seed, unsettled, worst }: VisitStarts): JsonObject =>
  present({ tried, seed, unsettled, worst: worst && { start: worst.start, ...measuresJson(worst.measures) } });

export function visitDocumentOf(layout: Layout, terms: VisitTerms, result: VisitResult, measures: TrainMeasures | undefined): JsonObject {
  const { ticksPerSecond } = layout.catalog;
  const { cycle } = result;
  const fills = terms.leaves === 'full';
  return present({
    ending: result.ending,
    ticks: result.ticks,
    departures: result.departures,
    stuckSince: result.stuckSince,
    terms: present({ loads: terms.loads, levels: terms.levels, headwayTicks: terms.headwayTicks, stayTicks: terms.stayTicks, leaves: terms.leaves }),
    cycle:
      cycle &&
      measures &&
      present({
        firstVisit: cycle.firstVisit,
        visits: cycle.visits,
        ticks: cycle.ticks,
        ...movedJson(cycle.unloaded, fills),
        cameIn: fills ? cycle.cameIn : undefined,
        ...measuresJson(measures),
        exits: cycle.exits.map((exit) => exitJson(exit, cycle.ticks, ticksPerSecond)),
        arms: cycle.arms.map(({ at, ...arm }) => ({ at: position(at), ...arm })),
      }),
    visits: result.visits.map((visit) => visitJson(visit, fills)),
    skippedVisits: result.skippedVisits,
    exits: result.exits.map((exit) => ({ ...exitJson(exit, result.ticks, ticksPerSecond), longestPauseTicks: exit.longestPauseTicks })),
    chests: result.chests.map(({ at, capacity, level }) => ({ at: position(at), capacity, level })),
    samples: result.samples.map((sample) => ({ ...sample })),
  });
}
