/**
 * How much arms take out of wagons that may stop short or far: the most that they can, wherever the wagons stop.
 * The rows and rates of the program that it bounds are in `bill-program.ts`; why it is a bound, in `../carriers/rationale.md`.
 */
import { spottingOffsets } from '../../layout/spotting.js';
import { wagonReached, type Candidates } from '../site/candidates.js';
import type { SiteMap } from '../site/site-map.js';

/** By arm model, in units of a scale: into a chest, onto the best lane, and what the best dividing line adds. */
interface TakenRates {
  readonly supply: readonly number[];
  readonly lane: readonly number[];
  readonly gain: readonly number[];
}

/** In units of that scale, at the offset at which it is least: on each tile stands one arm, the best that reaches a wagon there. */
export function mostTakenWherever(map: SiteMap, spots: Candidates, { supply, lane, gain }: TakenRates): number {
  const takers = [
    ...spots.fills.map((fill) => ({ ...fill, most: supply[fill.model] })),
    ...spots.loads.filter(({ chestTile }) => chestTile < 0).map((load) => ({ ...load, most: lane[load.model] + gain[load.model] })),
  ];
  const takenAt = (offset: number): number => {
    const best = new Map<number, number>();
    for (const arm of takers) {
      if (wagonReached(map, arm, offset) >= 0) best.set(arm.tile, Math.max(best.get(arm.tile) ?? 0, arm.most));
    }
    return [...best.values()].reduce((sum, most) => sum + most, 0);
  };
  return Math.min(...spottingOffsets(map.brief.spotting).map(takenAt));
}
