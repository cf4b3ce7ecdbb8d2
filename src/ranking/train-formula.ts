/**
 * What a steady plan means for trains, by formula: how often a full train can come, and how long it has to stand.
 * Arithmetic on the flows of a trial (world rules, section 9); visit runs measure the same with real counts.
 *
 * A wagon w of load L is carried off over its chests and direct arms at F = the sum of their flows f, so one train after
 * the other comes at least L / F apart. Of its load a chest gets the share f / F, and the arms that fill it bring s:
 * so the train has to stand as long as the slowest chest needs, (f / F) L / s, and a direct arm needs all of L / F.
 * (To the tick it may leave up to a cycle of an arm earlier: with the last hand, which need not be full, still to be placed.)
 */
import { isLess, maxRational, ratio, ZERO, type Rational } from '../base/rational.js';
import type { Tile } from '../base/geometry.js';
import type { Layout } from '../layout/layout.js';
import { deriveNetwork } from '../layout/network.js';
import type { TrialResult } from '../simulation/trial-result.js';

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

export interface TrainFormula {
  /** Items in a full train. */
  readonly load: number;
  readonly drains: readonly Drain[];
  /** Least ticks from one full train to the next. */
  readonly headwayTicks: Rational;
  readonly trainsPerHour: Rational;
  /** Ticks that a full train has to stand there, if chests have room. */
  readonly dwellTicks: Rational;
  /** The drain that decides it. */
  readonly slowest: Drain;
}

export function drainsOf(layout: Layout, trial: TrialResult): readonly Drain[] {
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

/** Undefined where the flows can not last: a wagon is never emptied, or a chest does not keep up. */
export function trainFormula(layout: Layout, trial: TrialResult): TrainFormula | undefined {
  const drains = drainsOf(layout, trial);
  const loads = layout.wagons.map(({ model }) => model.capacity);
  const out = loads.map((_, wagon) => drains.filter((drain) => drain.wagon === wagon).reduce((sum, { flow }) => sum.add(flow), ZERO));
  if (loads.length === 0 || out.some((flow) => flow.equals(0)) || trial.chests.some(({ keepsUp }) => !keepsUp)) return undefined;
  const headwayTicks = loads.map((load, wagon) => ratio(load).div(out[wagon])).reduce(maxRational, ZERO);
  const needs = (drain: Drain): Rational => drain.flow.div(out[drain.wagon]).mul(ratio(loads[drain.wagon])).div(drain.supply);
  const slowest = drains.reduce((most, drain) => (isLess(needs(most), needs(drain)) ? drain : most));
  return {
    load: loads.reduce((sum, load) => sum + load, 0),
    drains,
    headwayTicks,
    trainsPerHour: ratio(3600 * layout.catalog.ticksPerSecond).div(headwayTicks),
    dwellTicks: needs(slowest),
    slowest,
  };
}
