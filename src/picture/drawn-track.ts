/**
 * The track of a picture with two sides: which columns its rows, y = -1 and -2, show as track, be it rails or a wagon on
 * them. Elsewhere on these rows stand tiles like any others.
 */
import type { Track } from '../base/ground.js';
import { TILE_WIDTH } from '../report/stamps.js';

/** The signs of both tiles of a column, from y = -2 to y = -1, as they are read: twice two rows of five. */
type TrackCells = readonly string[];

const RAILS = [/^ {2}[ |] {2}$/, /^--[-|]--$/, /^--[-|]--$/, /^ {2}[ |] {2}$/];
/** A wagon's name stands on the first line; the sides of its box may stand at either end of each. */
const WAGON = [/^.{5}$/, /^[| ] [-| ] [| ]$/, /^[| ] [-| ] [| ]$/, /^[-+]---[-+]$/];

/** No part looks like either: each of them shows an arrow, a box or a shade. */
export function isTrackDrawn(cells: TrackCells): boolean {
  const lines = [0, 1, 2, 3].map((line) => cells.slice(line * TILE_WIDTH, (line + 1) * TILE_WIDTH).join(''));
  return [RAILS, WAGON].some((shape) => shape.every((pattern, line) => pattern.test(lines[line])));
}

/** The track that these columns show, as a site tells it where nothing more is said: it goes on beyond every edge that it reaches. Undefined where there is none. */
export function trackOf(columns: readonly boolean[]): Track | undefined {
  const from = columns.indexOf(true);
  const to = columns.lastIndexOf(true);
  if (from < 0) return undefined;
  return { ...(from === 0 ? {} : { from }), ...(to === columns.length - 1 ? {} : { to }) };
}

/** The first column between two of the track that shows none. */
export function breakIn(columns: readonly boolean[]): number | undefined {
  const gap = columns.findIndex((isTrack, x) => !isTrack && columns.slice(0, x).includes(true) && columns.slice(x).includes(true));
  return gap < 0 ? undefined : gap;
}

export const sameTrack = (a: Track | undefined, b: Track | undefined): boolean => a?.from === b?.from && a?.to === b?.to && (a === undefined) === (b === undefined);
