/**
 * Wagons that stop elsewhere than planned: all of a layout short or far together, by the same number of tiles (world rules,
 * section 11, *Spotting*).
 */
import type { Layout } from './layout.js';

/** By how many tiles they may stand further along x: as planned first, then a tile short, a tile far, and so on. */
export const spottingOffsets = (spotting: number): readonly number[] => [
  0,
  ...Array.from({ length: spotting }, (_, index) => index + 1).flatMap((tiles) => [-tiles, tiles]),
];

export const withWagonsMoved = (layout: Layout, tiles: number): Layout => ({
  ...layout,
  wagons: layout.wagons.map((wagon) => ({ ...wagon, at: wagon.at + tiles })),
});

/** The layout with its wagons wherever they may stop, in the order of the offsets. */
export const spotted = (layout: Layout, spotting: number): readonly Layout[] => spottingOffsets(spotting).map((tiles) => withWagonsMoved(layout, tiles));
