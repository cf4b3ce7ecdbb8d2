/**
 * How many moves across grid lines items need at least from a tile to the nearest exit, obstacles and
 * parts left aside: the geometry that both the program and the search's bound rest on.
 */
import type { ExitDemand } from '../../brief/brief.js';
import type { SiteMap } from './site-map.js';

/** Moves from `tile` until an item has left over the edge of `exit`. */
export function movesTo(map: Pick<SiteMap, 'width' | 'depth' | 'top'>, tile: number, exit: ExitDemand): number {
  const x = tile % map.width;
  const y = (tile - x) / map.width;
  const outside = (value: number): number => Math.max(exit.from - value, value - exit.to, 0);
  switch (exit.edge) {
    case 'S':
      return outside(x) + map.depth - y;
    case 'N':
      return outside(x) + y + 1;
    case 'E':
      return outside(y + map.top) + map.width - x;
    case 'W':
      return outside(y + map.top) + x + 1;
  }
}

/** The same over the exit that is nearest. */
export const leastMoves = (map: SiteMap, tile: number): number =>
  Math.min(...map.brief.exits.map((exit) => movesTo(map, tile, exit)));
