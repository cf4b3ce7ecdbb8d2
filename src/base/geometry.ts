/**
 * Tiles and headings. x runs along the wagon, y away from it: N is toward the wagon (-y).
 * Nothing here knows parts.
 */

export type Heading = 'N' | 'E' | 'S' | 'W';

export interface Tile {
  readonly x: number;
  readonly y: number;
}

/** A rectangle of tiles; `x`, `y` is its least corner. */
export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** In clockwise order; the index of a heading is its quarter turns from N. */
export const HEADINGS: readonly Heading[] = ['N', 'E', 'S', 'W'];

const DX: Readonly<Record<Heading, number>> = { N: 0, E: 1, S: 0, W: -1 };
const DY: Readonly<Record<Heading, number>> = { N: -1, E: 0, S: 1, W: 0 };
const RIGHT: Readonly<Record<Heading, Heading>> = { N: 'E', E: 'S', S: 'W', W: 'N' };
const LEFT: Readonly<Record<Heading, Heading>> = { N: 'W', E: 'N', S: 'E', W: 'S' };
const BACK: Readonly<Record<Heading, Heading>> = { N: 'S', E: 'W', S: 'N', W: 'E' };

export const dx = (heading: Heading): number => DX[heading];
export const dy = (heading: Heading): number => DY[heading];
export const rightOf = (heading: Heading): Heading => RIGHT[heading];
export const leftOf = (heading: Heading): Heading => LEFT[heading];
export const backOf = (heading: Heading): Heading => BACK[heading];

/** Ahead; behind where `tiles` is negative. */
export const stepFrom = (tile: Tile, heading: Heading, tiles = 1): Tile => ({
  x: tile.x + DX[heading] * tiles,
  y: tile.y + DY[heading] * tiles,
});

export const sameTile = (a: Tile, b: Tile): boolean => a.x === b.x && a.y === b.y;

/** The order of (y, x) in which the world rules let parts act. */
export const compareTiles = (a: Tile, b: Tile): number => a.y - b.y || a.x - b.x;

/** The second tile of a splitter whose left half stands at `at`. */
export const rightHalfOf = (at: Tile, heading: Heading): Tile => stepFrom(at, RIGHT[heading]);

export const boxHolds = (box: Box, tile: Tile): boolean =>
  tile.x >= box.x && tile.y >= box.y && tile.x < box.x + box.width && tile.y < box.y + box.height;
