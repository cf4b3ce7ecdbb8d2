/**
 * Reads a picture file to the plan JSON that it stands for, with the place of every value, so that what the plan's own
 * parser finds is told by line and column of the picture. Which lines there are is in `picture-lines.ts`, what one tile
 * shows in `read-tile.ts`; the way back is in `write-picture.ts`.
 */
import { compareTiles, rightHalfOf, stepFrom, type Box, type Heading, type Tile } from '../base/geometry.js';
import { nearestKnown, type Place } from '../base/located-json.js';
import { pointerTo } from '../base/json-pointer.js';
import { topOf, tilesWithin, TRACK_ROWS, type Ground } from '../base/ground.js';
import { TILE_HEIGHT, TILE_WIDTH } from '../report/stamps.js';
import { breakIn, isTrackDrawn, trackOf } from './drawn-track.js';
import { boxesOf } from './kept-out.js';
import { pictureLines, placeOfGlyph, type DrawnLine, type Entry, type PictureFlaw, type PictureLines, type Word } from './picture-lines.js';
import { plainSign, readTile, type TilePiece } from './read-tile.js';

export type PictureReading =
  | { readonly ok: true; readonly value: unknown; placeOf(pointer: string): Place | undefined }
  /** In the order of the file. */
  | { readonly ok: false; readonly flaws: readonly PictureFlaw[] };

/** Where the drawing has its site. */
interface Frame {
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

/** An exit or an entry. */
interface DrawnEdge {
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

interface DrawnPart {
  readonly json: Readonly<Record<string, unknown>>;
  readonly least: Tile;
  readonly place: Place;
  readonly model: Entry;
}

type Complain = (sentence: string, place: Place) => void;

const signAt = (line: DrawnLine, column: number): string => (column < 0 ? ' ' : plainSign(line.glyphs[column] ?? ' '));

const atTile = ({ x, y }: Tile): string => `[${x}, ${y}]`;

const EDGE_SIGNS = '|<>';

function readFrame({ drawn, end }: PictureLines, complain: Complain): Frame | undefined {
  const foot = drawn.at(-1);
  if (foot === undefined) {
    complain('There is no picture in this file; draw one, or let “transloom draw PLAN --text FILE” write the file.', end);
    return undefined;
  }
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
  const width = length / TILE_WIDTH;
  const trackLines = rows.filter((_, row) => onTrackRows(row));
  const track = isTwoSided
    ? Array.from({ length: width }, (_, x) => isTrackDrawn(trackLines.flatMap((line) => Array.from({ length: TILE_WIDTH }, (_cell, cell) => signAt(line, left + x * TILE_WIDTH + cell)))))
    : [];
  const broken = breakIn(track);
  if (broken !== undefined) {
    complain(`The track has a gap at x = ${broken}; draw it through, as two lines “┄┄┄┄┄” or “-----”.`, placeOfGlyph(trackLines[1], left + broken * TILE_WIDTH));
    return undefined;
  }
  const depth = rows.length / TILE_HEIGHT - (isTwoSided ? north + TRACK_ROWS : 0);
  return { left, width, depth, north, track, rows, foot, above };
}

/** The site without what it keeps out. */
const groundOf = ({ width, depth, north }: Frame): Ground => ({ width, depth, ...(north === 0 ? {} : { north }), keepOut: [] });

const showsTrack = ({ track }: Frame, { x, y }: Tile): boolean => (y === -1 || y === -2) && track[x];

/** Both lines of a row of tiles. */
const linesOf = (frame: Frame, y: number): readonly DrawnLine[] => {
  const row = (y - topOf(groundOf(frame))) * TILE_HEIGHT;
  return frame.rows.slice(row, row + TILE_HEIGHT);
};

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

function readEdges(frame: Frame, complain: Complain): readonly DrawnEdge[] {
  const { left, width, depth, foot } = frame;
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
  return found.sort((a, b) => compareTiles(a.at, b.at) || (a.heading < b.heading ? -1 : 1));
}

function readWagons(frame: Frame, complain: Complain): readonly DrawnWagon[] {
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

interface Placed {
  readonly tile: Tile;
  readonly piece: TilePiece;
  readonly sign: string | undefined;
  readonly place: Place;
}

function readTiles(frame: Frame, complain: Complain): readonly Placed[] {
  const placed: Placed[] = [];
  for (const tile of tilesWithin(groundOf(frame))) {
    const column = frame.left + tile.x * TILE_WIDTH;
    const pair = linesOf(frame, tile.y);
    const place = placeOfGlyph(pair[0], column);
    if (showsTrack(frame, tile)) {
      placed.push({ tile, piece: { kind: 'ground' }, sign: undefined, place });
      continue;
    }
    const reading = readTile(pair.flatMap((line) => Array.from({ length: TILE_WIDTH }, (_, cell) => line.glyphs[column + cell] ?? ' ')));
    if (reading.kind === 'read') placed.push({ tile, piece: reading.piece, sign: reading.sign, place });
    else {
      const line = pair[Math.floor(reading.cell / TILE_WIDTH)];
      complain(`Tile ${atTile(tile)} ${reading.sentence}.`, placeOfGlyph(line, column + (reading.cell % TILE_WIDTH)));
    }
  }
  return placed;
}

const entryOf = (entries: readonly Entry[], word: Word, sign?: string): Entry | undefined =>
  entries.find((entry) => entry.word === word && entry.sign === sign);

const isRecord = (value: unknown): value is Readonly<Record<string, unknown>> => typeof value === 'object' && value !== null && !Array.isArray(value);

/** A splitter's line may be an object with its model and the halves that it favours; all others name a model. */
const modelFields = (entry: Entry): Readonly<Record<string, unknown>> =>
  entry.word === 'splitter' && isRecord(entry.value) ? entry.value : { model: entry.value };

/** Looks up the line that says what a letter means, and complains once about each that is missing. */
function modelFinder(entries: readonly Entry[], complain: Complain): (word: Word, sign: string | undefined, place: Place) => Entry | undefined {
  const missed = new Set<string>();
  return (word, sign, place) => {
    const entry = entryOf(entries, word, sign);
    const head = sign === undefined ? word : `${word} ${sign}`;
    if (entry === undefined && !missed.has(head)) {
      missed.add(head);
      complain(
        sign === undefined
          ? `Which ${word} is this? It has no letter, and there is no line “${word}: "…"” that names the model of those without one.`
          : `There is no line “${head}: "…"” that says what model the letter ${sign} stands for here; add it.`,
        place,
      );
    }
    return entry;
  };
}

function joinParts(placed: readonly Placed[], entries: readonly Entry[], complain: Complain): readonly DrawnPart[] {
  const byTile = new Map(placed.map((each) => [atTile(each.tile), each]));
  const findModel = modelFinder(entries, complain);
  const parts: DrawnPart[] = [];
  const add = (word: Word, { sign, place }: Placed, least: Tile, json: (model: Readonly<Record<string, unknown>>) => DrawnPart['json']): void => {
    const model = findModel(word, sign, place);
    if (model !== undefined) parts.push({ json: json(modelFields(model)), least, place, model });
  };
  const position = ({ x, y }: Tile): readonly number[] => [x, y];
  const lesser = (a: Tile, b: Tile): Tile => (compareTiles(a, b) <= 0 ? a : b);
  const joined = new Set<Placed>();

  const joinSplitter = (left: Placed, heading: Heading): void => {
    const right = byTile.get(atTile(rightHalfOf(left.tile, heading)));
    if (right?.piece.kind !== 'half' || right.piece.side !== 'right' || right.piece.heading !== heading) return;
    joined.add(left).add(right);
    if (left.sign !== right.sign) {
      complain(`The halves of the splitter at ${atTile(left.tile)} and ${atTile(right.tile)} have different letters; give both the same.`, right.place);
      return;
    }
    const drawn = { kind: 'splitter', at: position(left.tile), heading };
    // Twice, so that they come first, and no line of words changes what is drawn.
    add('splitter', left, lesser(left.tile, right.tile), (model) => ({ ...drawn, ...model, ...drawn }));
  };
  /** From an entry on to the next end of an underpass with its heading on its line. */
  const joinUnderpass = (entry: Placed, heading: Heading): void => {
    for (let at = stepFrom(entry.tile, heading), other = byTile.get(atTile(at)); other !== undefined; at = stepFrom(at, heading), other = byTile.get(atTile(at))) {
      const { piece } = other;
      if ((piece.kind !== 'entry' && piece.kind !== 'exit end') || piece.heading !== heading) continue;
      if (piece.kind === 'entry') return;
      const exit = other;
      joined.add(entry).add(exit);
      if (entry.sign !== exit.sign) {
        complain(`The ends of the underpass at ${atTile(entry.tile)} and ${atTile(exit.tile)} have different letters; give both the same.`, exit.place);
        return;
      }
      add('underpass', entry, lesser(entry.tile, exit.tile), ({ model }) => ({ kind: 'underpass', from: position(entry.tile), to: position(exit.tile), model }));
      return;
    }
  };
  for (const each of placed) {
    const { piece, tile } = each;
    switch (piece.kind) {
      case 'belt':
      case 'arm':
        add(piece.kind, each, tile, ({ model }) => ({ kind: piece.kind, at: position(tile), heading: piece.heading, model }));
        break;
      case 'chest':
        add('chest', each, tile, ({ model }) => ({ kind: 'chest', at: position(tile), model }));
        break;
      case 'half':
        if (piece.side === 'left') joinSplitter(each, piece.heading);
        break;
      case 'entry':
        joinUnderpass(each, piece.heading);
        break;
      case 'exit end':
      case 'kept out':
      case 'ground':
        break;
    }
  }
  for (const each of placed) {
    const { piece, tile, place } = each;
    if (joined.has(each)) continue;
    if (piece.kind === 'half') complain(`This half of a splitter at ${atTile(tile)} has no other half beside it; draw both halves with one heading.`, place);
    if (piece.kind === 'entry') complain(`The underpass that enters the ground at ${atTile(tile)} does not come up again ahead of it; draw its exit end.`, place);
    if (piece.kind === 'exit end') complain(`The underpass that comes up at ${atTile(tile)} has no entry behind it; draw one.`, place);
  }
  return parts.sort((a, b) => compareTiles(a.least, b.least));
}

/** The rectangles that a line names, if they cover what is drawn; without such a line, those that cover it. */
function keepOut(frame: Frame, placed: readonly Placed[], entries: readonly Entry[], complain: Complain): unknown {
  const drawn = new Map(placed.filter(({ piece }) => piece.kind === 'kept out').map((each) => [atTile(each.tile), each.place]));
  const entry = entryOf(entries, 'kept out');
  const boxes = boxesOf(groundOf(frame), (x, y) => drawn.has(atTile({ x, y })));
  if (entry === undefined) return boxes.length === 0 ? undefined : boxes.map((box) => [box.x, box.y, box.width, box.height]);
  const isBox = (value: unknown): value is readonly [number, number, number, number] =>
    Array.isArray(value) && value.length === 4 && value.every((number) => Number.isInteger(number));
  // What is no list of rectangles is told by the reader of plans.
  if (!Array.isArray(entry.value) || !entry.value.every(isBox)) return entry.value;
  const named: readonly Box[] = entry.value.map(([x, y, width, height]) => ({ x, y, width, height }));
  const isNamed = ({ x, y }: Tile): boolean => named.some((box) => x >= box.x && y >= box.y && x < box.x + box.width && y < box.y + box.height);
  for (const each of placed) {
    if (showsTrack(frame, each.tile)) continue;
    if (isNamed(each.tile) === (each.piece.kind === 'kept out')) continue;
    complain(
      `Tile ${atTile(each.tile)} is ${each.piece.kind === 'kept out' ? 'drawn as kept out, but not in' : 'not drawn as kept out, but in'} the rectangles of line ${entry.place.line}; remove that line, and what is drawn counts.`,
      each.place,
    );
    break;
  }
  return entry.value;
}

/** The rows in the north, and the track that a line names, if it covers what is drawn; without such a line, what is drawn. */
function northSide(frame: Frame, entries: readonly Entry[], complain: Complain): Readonly<Record<string, unknown>> {
  const entry = entryOf(entries, 'track');
  if (frame.north === 0) {
    if (entry !== undefined) complain('There is no track in this picture, since its site has one side; remove this line.', entry.place);
    return {};
  }
  const drawn = trackOf(frame.track);
  if (entry !== undefined) {
    const named: unknown = entry.value;
    const end = (name: 'from' | 'to', usual: number): number => (isRecord(named) && typeof named[name] === 'number' ? named[name] : usual);
    const at = frame.track.findIndex((isTrack, x) => isTrack !== (x >= end('from', -Infinity) && x <= end('to', Infinity)));
    // What is no track at all is told by the reader of plans.
    if (at >= 0) complain(`The picture shows ${frame.track[at] ? '' : 'no '}track at x = ${at}, unlike this line; remove the line, and what is drawn counts.`, entry.place);
    return { north: frame.north, ...(isRecord(named) && Object.keys(named).length === 0 ? {} : { track: named }) };
  }
  if (drawn === undefined) complain('No track is drawn on its rows, y = -1 and -2; draw one, as “┄┄┄┄┄” or “-----” twice, or a wagon.', placeOfGlyph(linesOf(frame, -2)[0], frame.left));
  return { north: frame.north, ...(drawn === undefined || Object.keys(drawn).length === 0 ? {} : { track: drawn }) };
}

function readDrawing(lines: PictureLines, complain: Complain, places: Map<string, Place>): Readonly<Record<string, unknown>> | undefined {
  const { entries } = lines;
  let isSound = true;
  const frame = readFrame(lines, complain);
  if (frame === undefined) return undefined;
  // Lines that are shifted would be read as nonsense: the edges come first.
  const edges = readEdges(frame, (sentence, place) => {
    isSound = false;
    complain(sentence, place);
  });
  if (!isSound) return undefined;
  const wagons = readWagons(frame, complain);
  const placed = readTiles(frame, complain);
  const parts = joinParts(placed, entries, complain);
  const kept = keepOut(frame, placed, entries, complain);
  const note = (pointer: string, place: Place, entry?: Entry, field = ''): void => {
    places.set(pointer, place);
    if (entry === undefined) return;
    for (const [inner, at] of entry.places) places.set(`${pointer}${field}${inner}`, at);
  };
  note('/site', placeOfGlyph(frame.rows[0], frame.left));
  const keptEntry = entryOf(entries, 'kept out');
  const trackEntry = entryOf(entries, 'track');
  if (trackEntry !== undefined) note('/site/track', trackEntry.place, trackEntry);
  if (keptEntry !== undefined) note('/site/keepOut', keptEntry.place, keptEntry);
  parts.forEach(({ place, model }, index) => note(pointerTo('/parts', index), place, model, isRecord(model.value) && model.word === 'splitter' ? '' : '/model'));
  parts.forEach(({ place }, index) => places.set(pointerTo('/parts', index), place));

  const edgeList = (kind: 'exit' | 'entry', list: string, rate: string, label: string): readonly object[] => {
    const drawn = edges.filter((edge) => edge.kind === kind);
    for (const { word, sign, place } of entries) {
      if (word !== kind || drawn.some(({ letter }) => letter === sign)) continue;
      complain(`The picture has no ${kind} with the ${label} ${sign}; remove this line, or put the ${label} at an ${kind}.`, place);
    }
    return drawn.map(({ at, heading, letter, place }, index) => {
      const said = entryOf(entries, kind, letter);
      note(pointerTo(list, index), place, said, `/${rate}`);
      return { at: [at.x, at.y], heading, ...(said === undefined ? {} : { [rate]: said.value }) };
    });
  };
  const exitList = edgeList('exit', '/exits', 'take', 'letter');
  const cameInList = edgeList('entry', '/entries', 'give', 'number');
  const findModel = modelFinder(entries, complain);
  const wagonList = wagons.map(({ at, title, place }, index) => {
    const sign = /^[A-Za-z](?= |$)/.exec(title)?.[0];
    const model = (sign === undefined ? undefined : entryOf(entries, 'wagon', sign)) ?? findModel('wagon', undefined, place);
    note(pointerTo('/wagons', index), place, model, '/model');
    return { model: model?.value, at };
  });
  return {
    site: { width: frame.width, depth: frame.depth, ...northSide(frame, entries, complain), ...(kept === undefined ? {} : { keepOut: kept }) },
    wagons: wagonList,
    parts: parts.map(({ json }) => json),
    exits: exitList,
    ...(cameInList.length === 0 ? {} : { entries: cameInList }),
  };
}

export function readPicture(text: string): PictureReading {
  const lines = pictureLines(text);
  const flaws = [...lines.flaws];
  const complain: Complain = (sentence, place) => {
    flaws.push({ sentence, place });
  };
  const places = new Map<string, Place>([['', { line: 1, column: 1 }]]);
  const said = (word: 'name' | 'catalog' | 'result'): Readonly<Record<string, unknown>> => {
    const entry = entryOf(lines.entries, word);
    if (entry === undefined) return {};
    places.set(`/${word}`, entry.place);
    for (const [inner, at] of entry.places) places.set(`/${word}${inner}`, at);
    return { [word]: entry.value };
  };
  for (const word of ['name', 'catalog'] as const) {
    if (entryOf(lines.entries, word) === undefined) {
      complain(`There is no line “${word}: …”; add one${word === 'catalog' ? ' with the path of the catalog, or the catalog itself' : ''}.`, { line: 1, column: 1 });
    }
  }
  // Behind a tab nothing stands where it seems to.
  const drawing = lines.drawn.some(({ glyphs }) => glyphs.includes('\t')) ? undefined : readDrawing(lines, complain, places);
  if (flaws.length > 0 || drawing === undefined) {
    return { ok: false, flaws: flaws.sort((a, b) => a.place.line - b.place.line || a.place.column - b.place.column) };
  }
  const value = { format: 'transloom-plan/1', ...said('name'), ...said('catalog'), ...drawing, ...said('result') };
  return { ok: true, value, placeOf: (pointer) => nearestKnown(places, pointer) };
}
