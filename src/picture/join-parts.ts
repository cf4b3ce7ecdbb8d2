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

interface DrawnPart {
  /** As in a plan. */
  readonly json: Readonly<Record<string, unknown>>;
  /** Of its tiles the first by (y, x). */
  readonly least: Tile;
  readonly place: Place;
  /** The line that names its model. */
  readonly model: Entry;
}

export const atTile = ({ x, y }: Tile): string => `[${x}, ${y}]`;

/** What each tile of the site shows; what can't be read is complained of and left out. */
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

/** The line of that word, and of that letter or number if it has one. */
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

const position = ({ x, y }: Tile): readonly number[] => [x, y];

const lesser = (a: Tile, b: Tile): Tile => (compareTiles(a, b) <= 0 ? a : b);

/** Goes over all pieces once, and remembers which have found their other half or end. */
class Joiner {
  private readonly byTile: ReadonlyMap<string, Placed>;
  private readonly findModel: ReturnType<typeof modelFinder>;
  private readonly joined = new Set<Placed>();
  private readonly parts: DrawnPart[] = [];

  constructor(
    private readonly placed: readonly Placed[],
    entries: readonly Entry[],
    private readonly complain: Complain,
  ) {
    this.byTile = new Map(placed.map((each) => [atTile(each.tile), each]));
    this.findModel = modelFinder(entries, complain);
  }

  /** In the order of (y, x) of their lesser tiles. */
  join(): readonly DrawnPart[] {
    for (const each of this.placed) this.take(each);
    for (const each of this.placed) if (!this.joined.has(each)) this.tellLoose(each);
    return this.parts.sort((a, b) => compareTiles(a.least, b.least));
  }

  private take(each: Placed): void {
    const { piece, tile } = each;
    switch (piece.kind) {
      case 'belt':
      case 'arm':
        this.add(piece.kind, each, tile, ({ model }) => ({ kind: piece.kind, at: position(tile), heading: piece.heading, model }));
        break;
      case 'chest':
        this.add('chest', each, tile, ({ model }) => ({ kind: 'chest', at: position(tile), model }));
        break;
      case 'half':
        if (piece.side === 'left') this.joinSplitter(each, piece.heading);
        break;
      case 'entry':
        this.joinUnderpass(each, piece.heading);
        break;
      case 'exit end':
      case 'kept out':
      case 'ground':
        break;
    }
  }

  private add(word: Word, { sign, place }: Placed, least: Tile, json: (model: Readonly<Record<string, unknown>>) => DrawnPart['json']): void {
    const model = this.findModel(word, sign, place);
    if (model !== undefined) this.parts.push({ json: json(modelFields(model)), least, place, model });
  }

  /** Whether both carry one letter; complains if not. Either way they belong together. */
  private pair(one: Placed, other: Placed, what: string): boolean {
    this.joined.add(one).add(other);
    if (one.sign === other.sign) return true;
    this.complain(`The ${what} at ${atTile(one.tile)} and ${atTile(other.tile)} have different letters; give both the same.`, other.place);
    return false;
  }

  private joinSplitter(left: Placed, heading: Heading): void {
    const right = this.byTile.get(atTile(rightHalfOf(left.tile, heading)));
    if (right?.piece.kind !== 'half' || right.piece.side !== 'right' || right.piece.heading !== heading) return;
    if (!this.pair(left, right, 'halves of the splitter')) return;
    const drawn = { kind: 'splitter', at: position(left.tile), heading };
    // Twice, so that they come first, and no line of words changes what is drawn.
    this.add('splitter', left, lesser(left.tile, right.tile), (model) => ({ ...drawn, ...model, ...drawn }));
  }

  private joinUnderpass(entry: Placed, heading: Heading): void {
    const exit = this.endAfter(entry, heading);
    if (exit?.piece.kind !== 'exit end' || !this.pair(entry, exit, 'ends of the underpass')) return;
    this.add('underpass', entry, lesser(entry.tile, exit.tile), ({ model }) => ({ kind: 'underpass', from: position(entry.tile), to: position(exit.tile), model }));
  }

  /** The next end of an underpass with that heading, ahead of an entry on its line. */
  private endAfter(entry: Placed, heading: Heading): Placed | undefined {
    for (let at = stepFrom(entry.tile, heading); ; at = stepFrom(at, heading)) {
      const other = this.byTile.get(atTile(at));
      if (other === undefined) return undefined;
      const { piece } = other;
      if ((piece.kind === 'entry' || piece.kind === 'exit end') && piece.heading === heading) return other;
    }
  }

  private tellLoose({ piece, tile, place }: Placed): void {
    if (piece.kind === 'half') this.complain(`This half of a splitter at ${atTile(tile)} has no other half beside it; draw both halves with one heading.`, place);
    if (piece.kind === 'entry') this.complain(`The underpass that enters the ground at ${atTile(tile)} does not come up again ahead of it; draw its exit end.`, place);
    if (piece.kind === 'exit end') this.complain(`The underpass that comes up at ${atTile(tile)} has no entry behind it; draw one.`, place);
  }
}

/** Parts as plan JSON says them; what stands alone, or has no model, is complained of and left out. */
export const joinParts = (placed: readonly Placed[], entries: readonly Entry[], complain: Complain): readonly DrawnPart[] =>
  new Joiner(placed, entries, complain).join();
