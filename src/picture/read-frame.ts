/**
 * Where a picture has its site: its edges, its rows and its track, and what is drawn above it. What crosses the edges is
 * read in `read-edges.ts`.
 */
import type { Tile } from '../base/geometry.js';
import { topOf, TRACK_ROWS, type Ground } from '../base/ground.js';
import type { Place } from '../base/located-json.js';
import { TILE_HEIGHT, TILE_WIDTH } from '../report/stamps.js';
import { breakIn, isTrackDrawn } from './drawn-track.js';
import { placeOfGlyph, type DrawnLine, type PictureLines } from './picture-lines.js';
import { plainSign } from './read-tile.js';

export type Complain = (sentence: string, place: Place) => void;

/** Where the drawing has its site. */
export interface Frame {
  /** Column of the first cell of tiles at x = 0. */
  readonly left: number;
  readonly width: number;
  readonly depth: number;
  /** Rows north of the track; with any, the track's own rows are drawn as two of tiles. */
  readonly north: number;
  /** [x]: whether the track's rows show track there; empty without a north side. */
  readonly track: readonly boolean[];
  /** Both rows of all tiles, from the top. */
  readonly rows: readonly DrawnLine[];
  readonly foot: DrawnLine;
  /** The line of column numbers, and either the two of wagons, if there are any, or the upper edge of a site with two sides. */
  readonly above: readonly DrawnLine[];
}

export const signAt = (line: DrawnLine, column: number): string => (column < 0 ? ' ' : plainSign(line.glyphs[column] ?? ' '));

const EDGE_SIGNS = '|<>';

/** Where the lower edge begins, and how many tiles it is long. */
function readFoot(foot: DrawnLine, complain: Complain): { readonly corner: number; readonly width: number } | undefined {
  const corner = foot.glyphs.findIndex((glyph) => glyph !== ' ');
  const length = foot.glyphs.length - corner - 2;
  if (signAt(foot, corner) !== '+' || signAt(foot, foot.glyphs.length - 1) !== '+' || length < 1) {
    complain('The picture ends without a lower edge; draw it from corner to corner, as “└─────┘” or “+-----+”.', placeOfGlyph(foot, Math.max(0, corner)));
    return undefined;
  }
  if (length % TILE_WIDTH !== 0) {
    complain(`The lower edge is ${length} signs long between its corners, but each tile takes ${TILE_WIDTH}.`, placeOfGlyph(foot, corner));
    return undefined;
  }
  return { corner, width: length / TILE_WIDTH };
}

/** [x]: whether these lines of the track's rows show track there; undefined where it has a gap. */
function readTrack(lines: readonly DrawnLine[], left: number, width: number, complain: Complain): readonly boolean[] | undefined {
  const cellsOf = (line: DrawnLine, x: number): readonly string[] => Array.from({ length: TILE_WIDTH }, (_, cell) => signAt(line, left + x * TILE_WIDTH + cell));
  const track = Array.from({ length: width }, (_, x) => isTrackDrawn(lines.flatMap((line) => cellsOf(line, x))));
  const broken = breakIn(track);
  if (broken === undefined) return track;
  complain(`The track has a gap at x = ${broken}; draw it through, as two lines “┄┄┄┄┄” or “-----”.`, placeOfGlyph(lines[1], left + broken * TILE_WIDTH));
  return undefined;
}

export function readFrame({ drawn, end }: PictureLines, complain: Complain): Frame | undefined {
  const foot = drawn.at(-1);
  if (foot === undefined) {
    complain('There is no picture in this file; draw one, or let “transloom draw PLAN --text FILE” write the file.', end);
    return undefined;
  }
  const measured = readFoot(foot, complain);
  if (measured === undefined) return undefined;
  const { corner, width } = measured;
  const left = corner + 1;
  const hasEdge = (line: DrawnLine): boolean => corner >= 0 && EDGE_SIGNS.includes(signAt(line, corner));
  const body = drawn.slice(0, -1);
  const first = body.findIndex(hasEdge);
  if (first < 0) {
    complain('Above the lower edge there are no tiles; each has two lines, with “│” or “|” at its left and right edge.', placeOfGlyph(foot, corner));
    return undefined;
  }
  const rows = body.slice(first);
  const above = body.slice(0, first);
  const isTwoSided = above.length === 2;
  if (isTwoSided && !/^[0-9 ]+$/.test(above[0].glyphs.join(''))) {
    complain('Above this line the one with the numbers of the columns is missing, such as “0    1    2”; add it.', placeOfGlyph(above[0], 0));
    return undefined;
  }
  const label = /^ *-([0-9]+) /.exec(rows[0].glyphs.slice(0, left).join(''))?.[1];
  const north = isTwoSided ? Number(label ?? 0) - TRACK_ROWS : 0;
  if (isTwoSided && (label === undefined || north < 1 || rows.length <= (north + TRACK_ROWS) * TILE_HEIGHT)) {
    complain('Below an upper edge the rows begin north of the track, so the first has a number of -3 or less, which tells where the track lies: two rows, y = -2 and -1. Number it, or leave the upper edge out.', placeOfGlyph(rows[0], 0));
    return undefined;
  }
  const onTrackRows = (row: number): boolean => isTwoSided && row >= north * TILE_HEIGHT && row < (north + TRACK_ROWS) * TILE_HEIGHT;
  const gap = rows.find((line, row) => !hasEdge(line) && !onTrackRows(row));
  if (gap !== undefined) {
    complain('Here the left edge is missing, which is “│” or “|” (or “◀” or “<” for an exit, “▶” or “>” for an entry).', placeOfGlyph(gap, corner));
    return undefined;
  }
  if (rows.length % TILE_HEIGHT !== 0) {
    complain(`There are ${rows.length} lines with tiles, but each tile takes ${TILE_HEIGHT}; a line is missing or left over.`, placeOfGlyph(rows[0], corner));
    return undefined;
  }
  if (above.length < 1 || above.length > 3) {
    complain('Above the tiles stands one line with their numbers, and below that two with wagons, if there are any, or the upper edge of a site with two sides; draw these lines.', placeOfGlyph(drawn[0], 0));
    return undefined;
  }
  const track = isTwoSided ? readTrack(rows.filter((_, row) => onTrackRows(row)), left, width, complain) : [];
  if (track === undefined) return undefined;
  const depth = rows.length / TILE_HEIGHT - (isTwoSided ? north + TRACK_ROWS : 0);
  return { left, width, depth, north, track, rows, foot, above };
}

/** The site without what it keeps out. */
export const groundOf = ({ width, depth, north }: Frame): Ground => ({ width, depth, ...(north === 0 ? {} : { north }), keepOut: [] });

export const showsTrack = ({ track }: Frame, { x, y }: Tile): boolean => (y === -1 || y === -2) && track[x];

/** Both lines of a row of tiles. */
export const linesOf = (frame: Frame, y: number): readonly DrawnLine[] => {
  const row = (y - topOf(groundOf(frame))) * TILE_HEIGHT;
  return frame.rows.slice(row, row + TILE_HEIGHT);
};
