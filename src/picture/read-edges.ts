/**
 * What crosses the edges of a drawn site, and the wagons beside it.
 */
import { compareTiles, type Heading, type Tile } from '../base/geometry.js';
import { topOf } from '../base/ground.js';
import type { Place } from '../base/located-json.js';
import { TILE_WIDTH } from '../report/stamps.js';
import { placeOfGlyph, type DrawnLine } from './picture-lines.js';
import { groundOf, linesOf, showsTrack, signAt, type Complain, type Frame } from './read-frame.js';

/** An exit or an entry. */
export interface DrawnEdge {
  readonly kind: 'exit' | 'entry';
  readonly at: Tile;
  readonly heading: Heading;
  readonly letter: string;
  readonly place: Place;
}

interface DrawnWagon {
  readonly at: number;
  readonly title: string;
  readonly place: Place;
}

/** The capital letters and digits from `column` on. */
function labelFrom(line: DrawnLine, column: number): string {
  let end = column;
  while (/^[A-Z0-9]$/.test(line.glyphs[end] ?? '')) end += 1;
  return line.glyphs.slice(column, end).join('');
}

/** The capital letters and digits that end at `column`; the number of a row, which begins a line, is no label. */
function labelBefore(line: DrawnLine, column: number): string {
  let start = column + 1;
  while (start > 0 && /^[A-Z0-9]$/.test(line.glyphs[start - 1] ?? '')) start -= 1;
  return start === 0 ? '' : line.glyphs.slice(start, column + 1).join('');
}

/** Over the edges in the west and the east. */
function sideEdges(frame: Frame, complain: Complain): readonly DrawnEdge[] {
  const { left, width, depth } = frame;
  const top = topOf(groundOf(frame));
  const found: DrawnEdge[] = [];
  const right = left + width * TILE_WIDTH;
  for (let y = top; y < depth; y += 1) {
    const pair = linesOf(frame, y);
    for (const [kind, arrow, heading] of [['exit', '<', 'W'], ['entry', '>', 'E']] as const) {
      if (showsTrack(frame, { x: 0, y }) || !pair.some((line) => signAt(line, left - 1) === arrow)) continue;
      found.push({ kind, at: { x: 0, y }, heading, letter: labelBefore(pair[0], left - 3), place: placeOfGlyph(pair[0], left - 1) });
    }
    // Wagons and track go on beyond the edge.
    if (showsTrack(frame, { x: width - 1, y })) continue;
    for (const line of pair) {
      if (!'|<>'.includes(signAt(line, right))) {
        complain('Here the right edge is missing, which is “│” or “|” (or “▶” or “>” for an exit, “◀” or “<” for an entry); perhaps the line has a sign too many or too few.', placeOfGlyph(line, right));
      }
    }
    const isCrossed = pair.some((line) => '<>'.includes(signAt(line, right)));
    const letter = isCrossed ? labelFrom(pair[0], right + 2) : '';
    for (const [kind, arrow, heading] of [['exit', '>', 'E'], ['entry', '<', 'W']] as const) {
      if (pair.some((line) => signAt(line, right) === arrow)) found.push({ kind, at: { x: width - 1, y }, heading, letter, place: placeOfGlyph(pair[0], right) });
    }
    pair.forEach((line, row) => {
      const end = right + 1 + (row === 0 && letter !== '' ? letter.length + 1 : 0);
      if (line.glyphs.length > end) complain('Nothing is drawn beyond the right edge; remove what stands here.', placeOfGlyph(line, end));
    });
  }
  return found;
}

/** Over the edges in the north and the south. */
function endEdges(frame: Frame, complain: Complain): readonly DrawnEdge[] {
  const { left, width, depth, foot } = frame;
  const top = topOf(groundOf(frame));
  const found: DrawnEdge[] = [];
  const edges = [
    { line: frame.above.at(-1), edge: 'N', y: top, ways: [['exit', '^', 'N'], ['entry', 'v', 'S']] },
    { line: foot, edge: 'S', y: depth - 1, ways: [['exit', 'v', 'S'], ['entry', '^', 'N']] },
  ] as const;
  for (const { line, edge, y, ways } of edges) {
    if (line === undefined) continue;
    for (let x = 0; x < width; x += 1) {
      const column = left + x * TILE_WIDTH;
      const here = ways.filter(([, arrow]) => [column + 1, column + 3].some((place) => signAt(line, place) === arrow));
      for (const [kind, , heading] of here) {
        found.push({ kind, at: { x, y }, heading, letter: labelFrom(line, column + 2), place: placeOfGlyph(line, column + 1) });
      }
      const stray = [0, 1, 2, 3, 4].find((cell) => !'-+'.includes(signAt(line, column + cell)));
      if (here.length === 0 && edge === 'S' && stray !== undefined) {
        complain('The lower edge is broken here; draw it through, or an exit as “┘▼ ▼└” or “+v v+”.', placeOfGlyph(line, column + stray));
      }
    }
  }
  return found;
}

export const readEdges = (frame: Frame, complain: Complain): readonly DrawnEdge[] =>
  [...sideEdges(frame, complain), ...endEdges(frame, complain)].sort((a, b) => compareTiles(a.at, b.at) || (a.heading < b.heading ? -1 : 1));

export function readWagons(frame: Frame, complain: Complain): readonly DrawnWagon[] {
  const { above, left, width, north } = frame;
  if (above.length < 3 && north === 0) return [];
  const line = north === 0 ? above[1] : linesOf(frame, -2)[0];
  /** Beyond the track's ends stand parts and exits; the site's own edges are no part of any wagon. */
  const label = north === 0 ? 0 : (/^ *-?[0-9]+/.exec(line.glyphs.join(''))?.[0].length ?? 0);
  const isBeside = (column: number): boolean => {
    if (north === 0 || column < label) return north > 0;
    const x = Math.floor((column - left) / TILE_WIDTH);
    const isEdge = (x < 0 || x >= width) && signAt(line, column) === '|';
    return isEdge || !frame.track[Math.max(0, Math.min(width - 1, x))];
  };
  const corners = line.glyphs.flatMap((_, column) => (signAt(line, column) === '+' && !isBeside(column) ? [column] : []));
  const wagons: DrawnWagon[] = [];
  for (let index = 0; index < corners.length; index += 2) {
    const start = corners[index];
    const end = corners.at(index + 1);
    const isAligned = (column: number): boolean => (column - left) % TILE_WIDTH === 0;
    if (end === undefined || !isAligned(start) || !isAligned(end + 1)) {
      complain(`A wagon's box begins at the first and ends at the last of the ${TILE_WIDTH} signs above a tile; move this corner.`, placeOfGlyph(line, isAligned(start) && end !== undefined ? end : start));
      return [];
    }
    const title = line.glyphs.slice(start + 1, end).join('').replaceAll(/[═=]/g, '').trim();
    wagons.push({ at: (start - left) / TILE_WIDTH, title, place: placeOfGlyph(line, start) });
  }
  const isWay = (column: number): boolean => north > 0 && signAt(line, column) === '|';
  const stray = line.glyphs.findIndex((glyph, column) => glyph !== ' ' && !isBeside(column) && !isWay(column) && !wagons.some((_, index) => column >= corners[2 * index] && column <= corners[2 * index + 1]));
  if (stray >= 0) complain('What stands here is outside of every wagon; draw a wagon from corner to corner, as “╔═══╗” or “+===+”.', placeOfGlyph(line, stray));
  return wagons;
}
