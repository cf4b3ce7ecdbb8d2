/**
 * How short a dwell, and how many trains, layouts can come to that are not finished yet; and whether a finished one keeps
 * to the limits on what it does.
 *
 * A wagon of load L whose arms can take S items per tick stands for L / S at the least: the greatest of the shares
 * flow / supply of its drains is no less than all its flow by all its supply. Its trains come L / F apart, if F is all that
 * can flow out of it. Both hold of all wagons together too. Closer bounds, from flows, are in `arm-rates.ts`.
 */
import { jainImbalance } from '../../base/jain.js';
import { isLess } from '../../base/rational.js';
import { asksForTrains } from '../../brief/asked-trains.js';
import type { Brief } from '../../brief/brief.js';
import type { TrainTimes } from '../../layout/measure.js';
import type { Bill } from './bill.js';
import type { Crew } from './crew.js';
import { wagonReached } from './candidates.js';
import { fillRate } from '../rates/rate-model.js';
import type { SiteMap } from './site-map.js';
import type { Passing } from '../verifier.js';

export interface TrainBounds {
  /** Ticks; Infinity where some wagon is never emptied. */
  readonly leastDwell: number;
  readonly mostTrainsPerHour: number;
}

/** Far more than is lost by rounding where bounds are computed in floating point. */
export const LESS_THAN_ROUNDING = 1 - 1e-9;

/** Most items per tick that an arm can lay down; `flow` is what a wagon can lose by it, `supply` what the formula takes. */
interface Pull {
  readonly supply: number;
  readonly flow: number;
}

function pullOf({ brief, arms, bestLane, lineGain, scale }: SiteMap, model: number, role: 'fill' | 'load'): Pull {
  if (role === 'load') {
    const most = (bestLane[model] + lineGain[model]) / scale.factor;
    return { supply: most, flow: most };
  }
  const supply = fillRate(arms[model]).valueOf();
  return { supply, flow: supply * brief.presence.valueOf() };
}

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

/** Of `load` items that such pulls take off. */
const boundsOf = ({ brief }: SiteMap, load: number, pulls: readonly Pull[]): TrainBounds => ({
  leastDwell: load / sum(pulls.map(({ supply }) => supply)),
  mostTrainsPerHour: (3600 * brief.catalog.ticksPerSecond * sum(pulls.map(({ flow }) => flow))) / load,
});

/** Of all layouts with this bill, wherever its arms stand. */
export function boundsOfBill(map: SiteMap, bill: Bill): TrainBounds {
  const pulls = (counts: readonly number[], role: 'fill' | 'load'): readonly Pull[] =>
    counts.map((count, model): Pull => {
      const { supply, flow } = pullOf(map, model, role);
      return { supply: count * supply, flow: count * flow };
    });
  // Which arms onto carriers draw straight from wagons is not known yet.
  const direct = map.brief.feed === 'chests' ? [] : pulls(bill.loads, 'load');
  return boundsOf(map, sum(map.brief.wagons.map(({ model }) => model.capacity)), [...pulls(bill.fills, 'fill'), ...direct]);
}

/** Of all layouts with these arms and no others. */
export function boundsOfCrew(map: SiteMap, crew: Crew): TrainBounds {
  const each = map.brief.wagons.map(({ model }, wagon): TrainBounds => {
    const own = crew.arms.filter((arm) => (arm.role === 'fill' || arm.chest < 0) && wagonReached(map, arm, 0) === wagon);
    return boundsOf(map, model.capacity, own.map((arm) => pullOf(map, arm.model, arm.role)));
  });
  return {
    leastDwell: Math.max(...each.map(({ leastDwell }) => leastDwell)),
    mostTrainsPerHour: Math.min(...each.map(({ mostTrainsPerHour }) => mostTrainsPerHour)),
  };
}

/** Whether layouts of such bounds may keep to the brief's limits. */
export function mayKeepTrainLimits({ limits }: Brief, { leastDwell, mostTrainsPerHour }: TrainBounds): boolean {
  const { dwell, trainsPerHour } = limits;
  if (dwell !== undefined && leastDwell * LESS_THAN_ROUNDING > dwell.valueOf()) return false;
  return trainsPerHour === undefined || mostTrainsPerHour >= trainsPerHour.valueOf() * LESS_THAN_ROUNDING;
}

/** Whether trains by formula keep to the limits on them; without any, a wagon is never emptied, or filled, and no limit is kept. */
export function keepsToTrainLimits({ limits: { dwell, trainsPerHour } }: Brief, trains: TrainTimes | undefined): boolean {
  if (dwell !== undefined && (trains === undefined || isLess(dwell, trains.dwell))) return false;
  return trainsPerHour === undefined || (trains !== undefined && !isLess(trains.trainsPerHour, trainsPerHour));
}

/** Whether a layout that passes keeps to the limits on imbalance and trains, and has what it is compared by. */
export function keepsToFlowLimits(brief: Brief, { chestOutflows, trains }: Passing): boolean {
  const { imbalance } = brief.limits;
  if (imbalance !== undefined && isLess(imbalance, jainImbalance(chestOutflows))) return false;
  return !asksForTrains(brief) || (trains !== undefined && keepsToTrainLimits(brief, trains));
}
