/**
 * What a steady plan means for trains, by formula: how often a full train can come, and how long it has to stand.
 * Arithmetic on the flows of a trial (world rules, section 9); visit runs measure the same with real counts.
 *
 * A wagon w of load L is carried off over its chests and direct arms at F = the sum of their flows f, so one train after
 * the other comes at least L / F apart. Of its load a chest gets the share f / F, and the arms that fill it bring s:
 * so the train has to stand as long as the slowest chest needs, (f / F) L / s, and a direct arm needs all of L / F.
 * A wagon of capacity C that is filled at F is full after C / F where one train comes right after the other. Where chests
 * have filled while no train stood there, all of its arms carry at once, and it is full after C over the sum of their rates.
 * (To the tick it may leave up to a cycle of an arm earlier: with the last hand, which need not be full, still to be placed.)
 */
import { isLess, maxRational, ratio, ZERO, type Rational } from '../base/rational.js';
import type { Tile } from '../base/geometry.js';
import type { Layout } from '../layout/layout.js';
import { deriveNetwork, loadsWagons } from '../layout/network.js';
import type { ArmTrial, ChestTrial } from '../simulation/trial-result.js';

/** What flows out of one wagon by way of one chest, or of one arm that loads a belt. */
export interface Drain {
  readonly kind: 'chest' | 'arm';
  readonly at: Tile;
  /** Index of the wagon that it drains. */
  readonly wagon: number;
  /** Items per tick; of a chest that several wagons fill, what comes from this one. */
  readonly flow: Rational;
  /** Items per tick that its arms could bring from this wagon; of an arm, its flow. */
  readonly supply: Rational;
  /** Of a chest: items that it holds at most. */
  readonly capacity: number | undefined;
}

/** What a chest has to hold to bridge the time between two trains; where trains are filled, of its stock. */
export interface ChestNeed {
  readonly drain: Drain;
  /** Items per tick at the demand. */
  readonly flow: Rational;
  readonly items: Rational;
  readonly capacity: number;
}

/** What the formula takes of a trial. */
interface SteadyFlows {
  readonly arms: readonly Pick<ArmTrial, 'at' | 'flow'>[];
  readonly chests: readonly Pick<ChestTrial, 'at' | 'outflow' | 'supply' | 'loads' | 'keepsUp'>[];
}

export interface TrainFormula {
  /** Whether trains come empty and leave full. */
  readonly fills: boolean;
  /** Items in a full train. */
  readonly load: number;
  readonly drains: readonly Drain[];
  /** Least ticks from one full train to the next. */
  readonly headwayTicks: Rational;
  readonly trainsPerHour: Rational;
  /** Ticks that a full train has to stand there, if chests have room. */
  readonly dwellTicks: Rational;
  /** The drain that decides it; of trains that are filled, undefined. */
  readonly slowest: Drain | undefined;
}

function drainsOf(layout: Layout, trial: SteadyFlows): readonly Drain[] {
  const { arms } = deriveNetwork(layout);
  return layout.wagons.flatMap((_, wagon): readonly Drain[] => {
    const own = arms.filter(({ pick }) => pick.kind === 'wagon' && pick.wagon === wagon);
    const placed = (part: number): Tile => (layout.parts[part] as { readonly at: Tile }).at;
    const flowOf = (part: number): Rational => trial.arms.find(({ at }) => at.x === placed(part).x && at.y === placed(part).y)?.flow ?? ZERO;
    const chests = new Map<number, Rational>();
    for (const { part, place } of own) {
      if (place.kind === 'chest') chests.set(place.part, (chests.get(place.part) ?? ZERO).add(flowOf(part)));
    }
    const byChest = [...chests].flatMap(([index, supply]): readonly Drain[] => {
      const part = layout.parts[index];
      const found = trial.chests.find(({ at }) => part.kind === 'chest' && at.x === part.at.x && at.y === part.at.y);
      if (part.kind !== 'chest' || found === undefined || found.supply.equals(0)) return [];
      return [{ kind: 'chest', at: part.at, wagon, flow: found.outflow.mul(supply).div(found.supply), supply, capacity: part.model.capacity }];
    });
    const direct = own.flatMap(({ part, place }): readonly Drain[] =>
      place.kind === 'carrier' ? [{ kind: 'arm', at: placed(part), wagon, flow: flowOf(part), supply: flowOf(part), capacity: undefined }] : [],
    );
    return [...byChest, ...direct].filter(({ flow }) => isLess(ZERO, flow));
  });
}

/** What flows into each wagon, by chest and by arm straight from a carrier: drains the other way round. */
function fillsOf(layout: Layout, trial: SteadyFlows): readonly Drain[] {
  const { arms } = deriveNetwork(layout);
  const trialOf = (at: Tile) => trial.arms.find((arm) => arm.at.x === at.x && arm.at.y === at.y);
  const placed = (part: number): Tile => (layout.parts[part] as { readonly at: Tile }).at;
  return layout.wagons.flatMap((_, wagon): readonly Drain[] => {
    const own = arms.filter(({ place }) => place.kind === 'wagon' && place.wagon === wagon);
    const rates = new Map<number, Rational>();
    for (const { part, pick } of own) {
      if (pick.kind === 'chest') rates.set(pick.part, (rates.get(pick.part) ?? ZERO).add(trialOf(placed(part))?.flow ?? ZERO));
    }
    const byChest = [...rates].flatMap(([index, supply]): readonly Drain[] => {
      const part = layout.parts[index];
      const loads = trial.chests.find(({ at }) => part.kind === 'chest' && at.x === part.at.x && at.y === part.at.y)?.loads;
      if (part.kind !== 'chest' || loads === undefined) return [];
      return [{ kind: 'chest', at: part.at, wagon, flow: loads.inflow.mul(supply).div(loads.carryOff), supply, capacity: part.model.capacity }];
    });
    const direct = own.flatMap(({ part, pick }): readonly Drain[] => {
      const flow = trialOf(placed(part))?.flow ?? ZERO;
      return pick.kind === 'carrier' ? [{ kind: 'arm', at: placed(part), wagon, flow, supply: flow, capacity: undefined }] : [];
    });
    return [...byChest, ...direct];
  });
}

/** Undefined where the flows can not last: a wagon is never emptied or filled, or a chest does not keep up. */
export function trainFormula(layout: Layout, trial: SteadyFlows): TrainFormula | undefined {
  const fills = loadsWagons(deriveNetwork(layout));
  const drains = fills ? fillsOf(layout, trial) : drainsOf(layout, trial);
  const loads = layout.wagons.map(({ model }) => model.capacity);
  const out = loads.map((_, wagon) => drains.filter((drain) => drain.wagon === wagon).reduce((sum, { flow }) => sum.add(flow), ZERO));
  if (loads.length === 0 || out.some((flow) => flow.equals(0)) || trial.chests.some(({ keepsUp }) => !keepsUp)) return undefined;
  const headwayTicks = loads.map((load, wagon) => ratio(load).div(out[wagon])).reduce(maxRational, ZERO);
  const load = loads.reduce((sum, each) => sum + each, 0);
  const trainsPerHour = ratio(3600 * layout.catalog.ticksPerSecond).div(headwayTicks);
  if (fills) {
    const carried = loads.map((_, wagon) => drains.filter((drain) => drain.wagon === wagon).reduce((sum, { supply }) => sum.add(supply), ZERO));
    const dwellTicks = loads.map((each, wagon) => ratio(each).div(carried[wagon])).reduce(maxRational, ZERO);
    return { fills, load, drains, headwayTicks, trainsPerHour, dwellTicks, slowest: undefined };
  }
  const needs = (drain: Drain): Rational => drain.flow.div(out[drain.wagon]).mul(ratio(loads[drain.wagon])).div(drain.supply);
  const slowest = drains.reduce((most, drain) => (isLess(needs(most), needs(drain)) ? drain : most));
  return { fills, load, drains, headwayTicks, trainsPerHour, dwellTicks: needs(slowest), slowest };
}
