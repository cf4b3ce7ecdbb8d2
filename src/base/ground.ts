/**
 * Which tiles of a site parts may stand on. The track is y = -1 and -2; south of it lie the rows from y = 0 on, and
 * where a site has a north side, its rows from y = -3 up, and the track's own rows beyond its ends.
 * Reading and checking a site is in `src/catalog/read-site.ts`.
 */
import type { Box, Heading, Tile } from './geometry.js';

/** How far the track reaches along x, both ends counted; an end that is left out lies beyond the site. */
export interface Track {
  readonly from?: number;
  readonly to?: number;
}

export interface Ground {
  readonly width: number;
  /** Rows south of the track: y = 0 to depth - 1. */
  readonly depth: number;
  /** Rows north of the track: y = -3 to -2 - north; left out where there are none. */
  readonly north?: number;
  /** Left out: along the whole site and beyond. Only of a site with a north side. */
  readonly track?: Track;
  readonly keepOut: readonly Box[];
}

/** As in the schema of briefs: tiles by which wagons may stop short or far. */
export const MOST_SPOTTING = 50;

/** Rows of tiles that the track takes. */
export const TRACK_ROWS = 2;

/** The least y of the site. */
export const topOf = ({ north = 0 }: Ground): number => (north === 0 ? 0 : -TRACK_ROWS - north);

/** The tile at so many columns or rows along an edge, inside. */
export function borderTile(ground: Ground, edge: Heading, place: number): Tile {
  switch (edge) {
    case 'N':
      return { x: place, y: topOf(ground) };
    case 'S':
      return { x: place, y: ground.depth - 1 };
    case 'W':
      return { x: 0, y: place };
    case 'E':
      return { x: ground.width - 1, y: place };
  }
}

/** From the least y to the greatest; with a north side, those of the track among them. */
export const rowsOf = (ground: Ground): number => ground.depth - topOf(ground);

/** Tiles of all rows. */
const areaOf = (ground: Ground): number => ground.width * rowsOf(ground);

/** What a site has of a north side: nothing at all where it has none. */
export const northOf = ({ north = 0, track }: Ground): Pick<Ground, 'north' | 'track'> =>
  north === 0 ? {} : { north, ...(track === undefined ? {} : { track }) };

const isTrackRow = (y: number): boolean => y < 0 && y >= -TRACK_ROWS;

/** Whether the track reaches there. */
export const isOnTrack = ({ track = {} }: Ground, { x, y }: Tile): boolean =>
  isTrackRow(y) && x >= (track.from ?? -Infinity) && x <= (track.to ?? Infinity);

/** Whether a tile lies within the site's outer edges, be it on the track or not. */
export const isWithin = (ground: Ground, { x, y }: Tile): boolean => x >= 0 && y >= topOf(ground) && x < ground.width && y < ground.depth;

/** Every tile within the outer edges, in the order of (y, x). */
export const tilesWithin = (ground: Ground): readonly Tile[] =>
  Array.from({ length: areaOf(ground) }, (_, index) => ({ x: index % ground.width, y: topOf(ground) + Math.floor(index / ground.width) }));
