/**
 * How many trains a station needs, by formula: headway, dwell, trains, wagons, what chests have to hold. Flows are
 * in the proportions of a steady trial; visit runs check it (`src/tasks/size-station.ts`). How long trains stand that are
 * filled is in `sizing-fills.ts`.
 *
 * Fleet = ceil(cycle / headway), as in transit handbooks (value from memory). Trains in a cycle: Little's law
 * (J. D. C. Little, Operations Research 9(3), 1961), L = lambda W.
 */
import { isLess, maxRational, ONE, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import type { Layout } from '../layout/layout.js';
import type { TrialResult } from '../simulation/trial-result.js';
import { fillTrains } from './sizing-fills.js';
import { trainFormula, type ChestNeed, type Drain, type TrainFormula } from './train-formula.js';

/** The least whole number of trains that keeps so many ticks between them, if each is back after `cycle`. */
export const fleetSize = (cycle: Rational, headway: Rational): number => Number(cycle.div(headway).ceil().valueOf());

/** The cycle of a train with its reserve. */
export const cycleWithLayover = (ticks: Rational, layover: Rational): Rational => ticks.mul(ONE.add(layover));

export interface SizingTerms {
  /** Items per tick; undefined: all that the layout carries off. */
  readonly itemsPerTick: Rational | undefined;
  readonly roundTripTicks: Rational | undefined;
  readonly layover: Rational;
}

/** What limits the station most, with how much of it is used: 1 is all. */
export interface Bottleneck {
  readonly kind: 'belts' | 'arms' | 'chests';
  readonly drain: Drain | undefined;
  readonly use: Rational;
}

export interface TrainNeed {
  readonly headwayTicks: Rational;
  readonly dwellTicks: Rational;
  /** Share of time in which a train stands there. */
  readonly presence: Rational;
  /** Undefined without a round trip. */
  readonly cycleTicks: Rational | undefined;
  readonly trains: number | undefined;
}

export interface Sizing extends TrainNeed {
  /** Whether trains come empty and leave full. */
  readonly fills: boolean;
  /** Items per tick that are asked for, and that the layout can carry off, or load, with full trains; the needs are for the lesser. */
  readonly demand: Rational;
  readonly most: Rational;
  readonly isMet: boolean;
  readonly load: number;
  readonly wagonsPerTrain: number;
  /** Trains in a cycle on average, by Little's law: trains per tick x ticks of a cycle. */
  readonly trainsInCycle: Rational | undefined;
  readonly chests: readonly ChestNeed[];
  /** Whether chests bridge the whole time between two trains; else trains have to stand longer than it takes to fill them. */
  readonly isBridged: boolean;
  readonly bottleneck: Bottleneck;
}

/** What follows for trains from how they come and how long they stand. */
export function trainNeed(headwayTicks: Rational, dwellTicks: Rational, { roundTripTicks, layover }: SizingTerms): TrainNeed {
  const cycleTicks = roundTripTicks && cycleWithLayover(roundTripTicks.add(dwellTicks), layover);
  return { headwayTicks, dwellTicks, presence: dwellTicks.div(headwayTicks), cycleTicks, trains: cycleTicks && fleetSize(cycleTicks, headwayTicks) };
}

/** How much of what they hold chests need. */
const chestLimits = (chests: readonly ChestNeed[]): readonly Bottleneck[] =>
  chests.map(({ drain, items, capacity }) => ({ kind: 'chests', drain, use: items.div(ratio(capacity)) }));

/** The one of which most is used; of equals the first. */
const tightest = (limits: readonly Bottleneck[]): Bottleneck => limits.reduce((most, each) => (isLess(most.use, each.use) ? each : most));

/** Of a station that fills trains, at the headway asked for. */
function sizeFilling(layout: Layout, { load, drains }: TrainFormula, asked: Pick<Sizing, 'demand' | 'most' | 'isMet' | 'headwayTicks'>, terms: SizingTerms): Sizing {
  const { dwellTicks, chests, isBridged } = fillTrains(layout, drains);
  const need = trainNeed(asked.headwayTicks, dwellTicks, terms);
  const limits: readonly Bottleneck[] = [
    { kind: 'belts', drain: undefined, use: asked.demand.div(asked.most) },
    { kind: 'arms', drain: undefined, use: need.presence },
    ...chestLimits(chests),
  ];
  return {
    ...asked,
    ...need,
    fills: true,
    load,
    wagonsPerTrain: layout.wagons.length,
    trainsInCycle: need.cycleTicks?.div(asked.headwayTicks),
    chests,
    isBridged,
    bottleneck: tightest(limits),
  };
}

/** `trial`: of the layout with a train there all the time. Undefined where the layout's flows can not last at all. */
export function sizeByFormula(layout: Layout, trial: TrialResult, terms: SizingTerms): { readonly formula: TrainFormula; readonly sizing: Sizing } | undefined {
  const formula = trainFormula(layout, trial);
  if (formula === undefined) return undefined;
  const { load, drains } = formula;
  const most = ratio(load).div(formula.headwayTicks);
  const demand = terms.itemsPerTick ?? most;
  const isMet = !isLess(most, demand);
  const headwayTicks = ratio(load).div(isMet ? demand : most);
  if (formula.fills) return { formula, sizing: sizeFilling(layout, formula, { demand, most, isMet, headwayTicks }, terms) };
  const outOf = layout.wagons.map((_, wagon) => sumRational(drains.filter((drain) => drain.wagon === wagon).map(({ flow }) => flow)));
  /** Its share of its wagon's load, once per train. */
  const flowOf = ({ flow, wagon }: Drain): Rational => flow.div(outOf[wagon]).mul(ratio(layout.wagons[wagon].model.capacity)).div(headwayTicks);
  /** A chest has to be filled, and it can bridge no more than it holds; a belt that is loaded straight from the wagon none. */
  const needsOf = (drain: Drain): Rational => (drain.kind === 'arm' ? headwayTicks : flowOf(drain).mul(headwayTicks).div(drain.supply));
  const filled = drains.map(needsOf).reduce(maxRational, ZERO);
  const chests = drains.flatMap((drain): ChestNeed[] => {
    if (drain.capacity === undefined) return [];
    return [{ drain, flow: flowOf(drain), items: flowOf(drain).mul(maxRational(headwayTicks.sub(filled), ZERO)), capacity: drain.capacity }];
  });
  const bridged = chests.map(({ flow, capacity }) => headwayTicks.sub(ratio(capacity).div(flow))).reduce(maxRational, filled);
  const need = trainNeed(headwayTicks, bridged, terms);
  const limits: readonly Bottleneck[] = [
    { kind: 'belts', drain: undefined, use: demand.div(most) },
    ...drains.filter(({ kind }) => kind === 'chest').map((drain): Bottleneck => ({ kind: 'arms', drain, use: flowOf(drain).div(drain.supply) })),
    ...chestLimits(chests),
  ];
  const sizing: Sizing = {
    ...need,
    fills: false,
    demand,
    most,
    isMet,
    load,
    wagonsPerTrain: layout.wagons.length,
    trainsInCycle: need.cycleTicks?.div(headwayTicks),
    chests,
    isBridged: bridged.equals(filled) && drains.every(({ kind }) => kind === 'chest'),
    bottleneck: tightest(limits),
  };
  return { formula, sizing };
}
