/**
 * What stands on the tiles of a picture, put together to parts: halves of splitters, ends of underpasses, and the models
 * that their letters stand for.
 */
import { compareTiles, rightHalfOf, stepFrom, type Heading, type Tile } from '../base/geometry.js';
import { tilesWithin } from '../base/ground.js';
import type { Place } from '../base/located-json.js';
import { TILE_WIDTH } from '../report/stamps.js';
import { placeOfGlyph, type Entry, type Word } from './picture-lines.js';
import { groundOf, linesOf, showsTrack, type Complain, type Frame } from './read-frame.js';
import { readTile, type TilePiece } from './read-tile.js';

export interface Placed {
  readonly tile: Tile;
  readonly piece: TilePiece;
  readonly sign: string | undefined;
  readonly place: Place;
}

export interface DrawnPart {
  readonly json: Readonly<Record<string, unknown>>;
  readonly least: Tile;
  readonly place: Place;
  readonly model: Entry;
}

export const atTile = ({ x, y }: Tile): string => `[${x}, ${y}]`;

export function readTiles(frame: Frame, complain: Complain): readonly Placed[] {
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

export const entryOf = (entries: readonly Entry[], word: Word, sign?: string): Entry | undefined =>
  entries.find((entry) => entry.word === word && entry.sign === sign);

export const isRecord = (value: unknown): value is Readonly<Record<string, unknown>> => typeof value === 'object' && value !== null && !Array.isArray(value);

/** A splitter's line may be an object with its model and the halves that it favours; all others name a model. */
const modelFields = (entry: Entry): Readonly<Record<string, unknown>> =>
  entry.word === 'splitter' && isRecord(entry.value) ? entry.value : { model: entry.value };

/** Looks up the line that says what a letter means, and complains once about each that is missing. */
export function modelFinder(entries: readonly Entry[], complain: Complain): (word: Word, sign: string | undefined, place: Place) => Entry | undefined {
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

export function joinParts(placed: readonly Placed[], entries: readonly Entry[], complain: Complain): readonly DrawnPart[] {
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
