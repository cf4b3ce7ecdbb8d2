/**
 * How many moves across grid lines items need at least from a tile to the nearest exit, obstacles and
 * parts left aside: the geometry that both the program and the search's bound rest on.
 */
import type { SiteMap } from './site-map.js';

/** Moves from `tile` until an item has left, over the exit demand that is nearest. */
export function leastMoves(map: SiteMap, tile: number): number {
  const x = tile % map.width;
  const y = (tile - x) / map.width;
  const outside = (value: number, low: number, high: number): number => Math.max(low - value, value - high, 0);
  return Math.min(
    ...map.brief.exits.map((exit) => {
      switch (exit.edge) {
        case 'S':
          return outside(x, exit.from, exit.to) + map.depth - y;
        case 'N':
          return outside(x, exit.from, exit.to) + y + 1;
        case 'E':
          return outside(y, exit.from, exit.to) + map.width - x;
        case 'W':
          return outside(y, exit.from, exit.to) + x + 1;
      }
    }),
  );
}
