/**
 * How reports name tiles, edges and sides.
 */
import type { Heading, Tile } from '../base/geometry.js';

export const EDGE_WORD: Readonly<Record<Heading, string>> = { N: 'north', E: 'east', S: 'south', W: 'west' };

export const tileText = ({ x, y }: Tile): string => `[${x}, ${y}]`;

/** In place of a table of exits. */
export const NO_EXIT = 'The plan has no exit, so nothing leaves.';
