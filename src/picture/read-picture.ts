/**
 * Reads a picture file to the plan JSON that it stands for, with the place of every value, so that what the plan's own
 * parser finds is told by line and column of the picture. Which lines there are is in `picture-lines.ts`, where the site lies in
 * `read-frame.ts`, what one tile shows in `read-tile.ts`; the way back is in `write-picture.ts`.
 */
import { boxHolds, type Box } from '../base/geometry.js';
import { nearestKnown, type Place } from '../base/located-json.js';
import { pointerTo } from '../base/json-pointer.js';
import { trackOf } from './drawn-track.js';
import { atTile, entryOf, isRecord, joinParts, modelFinder, readTiles, type Placed } from './join-parts.js';
import { boxesOf } from './kept-out.js';
import { pictureLines, placeOfGlyph, type Entry, type PictureFlaw, type PictureLines } from './picture-lines.js';
import { readEdges, readWagons, type DrawnEdge } from './read-edges.js';
import { groundOf, linesOf, readFrame, showsTrack, type Complain, type Frame } from './read-frame.js';

export type PictureReading =
  | { readonly ok: true; readonly value: unknown; placeOf(pointer: string): Place | undefined }
  /** In the order of the file. */
  | { readonly ok: false; readonly flaws: readonly PictureFlaw[] };

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
  for (const each of placed) {
    if (showsTrack(frame, each.tile)) continue;
    if (named.some((box) => boxHolds(box, each.tile)) === (each.piece.kind === 'kept out')) continue;
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
    // What is no track at all is told by the reader of plans, what can't be read already is.
    if (at >= 0 && named !== undefined) complain(`The picture shows ${frame.track[at] ? '' : 'no '}track at x = ${at}, unlike this line; remove the line, and what is drawn counts.`, entry.place);
    return { north: frame.north, ...(isRecord(named) && Object.keys(named).length === 0 ? {} : { track: named }) };
  }
  if (drawn === undefined) complain('No track is drawn on its rows, y = -1 and -2; draw one, as “┄┄┄┄┄” or “-----” twice, or a wagon.', placeOfGlyph(linesOf(frame, -2)[0], frame.left));
  return { north: frame.north, ...(drawn === undefined || Object.keys(drawn).length === 0 ? {} : { track: drawn }) };
}

/** Notes where the value of a pointer stands, and all that its line says of what is beneath `field`. */
type Note = (pointer: string, place: Place, entry?: Entry, field?: string) => void;

const noteIn = (places: Map<string, Place>): Note => (pointer, place, entry, field = '') => {
  places.set(pointer, place);
  for (const [inner, at] of entry?.places ?? []) places.set(`${pointer}${field}${inner}`, at);
};

interface EdgeWords {
  readonly kind: 'exit' | 'entry';
  readonly list: string;
  readonly rate: 'take' | 'give';
  /** What a person calls its sign. */
  readonly label: string;
}

const EXITS: EdgeWords = { kind: 'exit', list: '/exits', rate: 'take', label: 'letter' };
const ENTRIES: EdgeWords = { kind: 'entry', list: '/entries', rate: 'give', label: 'number' };

/** Exits or entries as plan JSON, each with what its line says of its rate. */
function edgeList(edges: readonly DrawnEdge[], entries: readonly Entry[], { kind, list, rate, label }: EdgeWords, note: Note, complain: Complain): readonly object[] {
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
}

/** Wagons as plan JSON; a letter before the title says which line names the model. */
function wagonList(frame: Frame, entries: readonly Entry[], note: Note, complain: Complain): readonly object[] {
  const wagons = readWagons(frame, complain);
  const findModel = modelFinder(entries, complain);
  return wagons.map(({ at, title, place }, index) => {
    const sign = /^[A-Za-z](?= |$)/.exec(title)?.[0];
    const model = (sign === undefined ? undefined : entryOf(entries, 'wagon', sign)) ?? findModel('wagon', undefined, place);
    note(pointerTo('/wagons', index), place, model, '/model');
    return { model: model?.value, at };
  });
}

/** Site, wagons, parts, exits and entries as plan JSON; undefined where it can't even be told which lines are which. */
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
  const note = noteIn(places);
  const wagons = wagonList(frame, entries, note, complain);
  const placed = readTiles(frame, complain);
  const parts = joinParts(placed, entries, complain);
  const kept = keepOut(frame, placed, entries, complain);
  note('/site', placeOfGlyph(frame.rows[0], frame.left));
  for (const [word, field] of [['track', 'track'], ['kept out', 'keepOut']] as const) {
    const entry = entryOf(entries, word);
    if (entry !== undefined) note(`/site/${field}`, entry.place, entry);
  }
  parts.forEach(({ place, model }, index) => {
    const pointer = pointerTo('/parts', index);
    // A splitter's line may say more than its model; the part itself is where it is drawn all the same.
    note(pointer, place, model, isRecord(model.value) && model.word === 'splitter' ? '' : '/model');
    note(pointer, place);
  });
  const exits = edgeList(edges, entries, EXITS, note, complain);
  const cameIn = edgeList(edges, entries, ENTRIES, note, complain);
  return {
    site: { width: frame.width, depth: frame.depth, ...northSide(frame, entries, complain), ...(kept === undefined ? {} : { keepOut: kept }) },
    wagons,
    parts: parts.map(({ json }) => json),
    exits,
    ...(cameIn.length === 0 ? {} : { entries: cameIn }),
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
