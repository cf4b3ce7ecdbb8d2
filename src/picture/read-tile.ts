/**
 * What the ten cells of a tile say. Unicode and ASCII pictures are read alike: each sign counts as its stand-in in ASCII,
 * and lines of all weights as plain ones, so weight and gaps are for the eye alone.
 */
import { HEADINGS, leftOf, type Heading } from '../base/geometry.js';
import { toAscii } from '../report/canvas.js';
import {
  ARMS,
  CHEST,
  KEEP_OUT,
  SPLITTER_HALVES,
  STRAIGHT,
  TILE_WIDTH,
  UNDERPASS_ENTRIES,
  UNDERPASS_EXITS,
  type Stamp,
} from '../report/stamps.js';

export type TilePiece =
  | { readonly kind: 'belt' | 'arm' | 'entry' | 'exit end'; readonly heading: Heading }
  | { readonly kind: 'half'; readonly heading: Heading; readonly side: 'left' | 'right' }
  | { readonly kind: 'chest' | 'kept out' | 'ground' };

type TileReading =
  | { readonly kind: 'read'; readonly piece: TilePiece; readonly sign: string | undefined }
  /** `cell` counts from 0 through both rows. */
  | { readonly kind: 'unread'; readonly cell: number; readonly sentence: string };

const LINES: Readonly<Record<string, string>> = { '=': '-', '~': '-', '!': '|' };

/** One sign of a picture as it is read; what pictures never show becomes "?". */
export function plainSign(glyph: string): string {
  const ascii = toAscii(glyph);
  return ascii.length === 1 ? (LINES[ascii] ?? ascii) : '?';
}

const glyphsOf = ([upper, lower]: Stamp): readonly string[] => [...upper, ...lower];

interface KnownStamp {
  readonly piece: TilePiece;
  readonly cells: readonly string[];
  /** The same cells as they are drawn, in Unicode. */
  readonly glyphs: readonly string[];
  readonly words: string;
}

const TOWARD: Readonly<Record<Heading, string>> = { N: 'north', E: 'east', S: 'south', W: 'west' };

const known = (piece: TilePiece, stamp: Stamp, words: string): KnownStamp => ({ piece, cells: glyphsOf(stamp).map(plainSign), glyphs: glyphsOf(stamp), words });

const STAMPS: readonly KnownStamp[] = [
  known({ kind: 'ground' }, ['·    ', '     '], 'free ground'),
  known({ kind: 'kept out' }, KEEP_OUT, 'a tile that is kept out'),
  known({ kind: 'chest' }, CHEST, 'a chest'),
  ...HEADINGS.flatMap((heading): readonly KnownStamp[] => [
    known({ kind: 'arm', heading }, ARMS[heading], `an arm that heads ${TOWARD[heading]}`),
    known({ kind: 'belt', heading }, STRAIGHT[heading], `a belt that heads ${TOWARD[heading]}`),
    known({ kind: 'entry', heading }, UNDERPASS_ENTRIES[heading], `the entry of an underpass that heads ${TOWARD[heading]}`),
    known({ kind: 'exit end', heading }, UNDERPASS_EXITS[heading], `the exit end of an underpass that heads ${TOWARD[heading]}`),
    ...HEADINGS.flatMap((other) => {
      const stamp = SPLITTER_HALVES[heading][other];
      const side = other === leftOf(heading) ? 'right' : 'left';
      return stamp === undefined ? [] : [known({ kind: 'half', heading, side }, stamp, `the ${side} half of a splitter that heads ${TOWARD[heading]}`)];
    }),
  ]),
];

/** With underpasses below it, along x, along y, or both. */
const isGround = (cells: readonly string[]): boolean =>
  /^(?:[. ] [| ] {2}|--[-|]--)$/.test(cells.slice(0, TILE_WIDTH).join('')) && /^ {2}[| ] {2}$/.test(cells.slice(TILE_WIDTH).join(''));

const BY_CELLS: ReadonlyMap<string, TilePiece> = new Map(STAMPS.map(({ cells, piece }) => [cells.join(''), piece]));

const isSign = (cell: string): boolean => /^[a-zA-Z]$/.test(cell) && cell !== 'v' && cell !== 'o';

const ARROWS: Readonly<Record<string, Heading>> = { '^': 'N', '>': 'E', v: 'S', '<': 'W' };

/** Cells in which the arrows of a belt stand: one for each lane, but that a turn shows only its outer lane's. */
const ARROW_CELLS: Readonly<Record<Heading, readonly number[]>> = {
  N: [1, 3],
  E: [TILE_WIDTH - 1, 2 * TILE_WIDTH - 1],
  S: [TILE_WIDTH + 1, TILE_WIDTH + 3],
  W: [0, TILE_WIDTH],
};

/** Cells in which a splitter's box has lines, and a belt with both arrows has none. */
const BOX_CELLS: Readonly<Record<Heading, readonly number[]>> = {
  N: [2, TILE_WIDTH + 2],
  E: [0, TILE_WIDTH],
  S: [2, TILE_WIDTH + 2],
  W: [TILE_WIDTH - 1, 2 * TILE_WIDTH - 1],
};

/** A belt is known by its arrows; its lines may be those of any shape, broken, or missing, with numbers among them. */
function beltHeading(cells: readonly string[], sign: number): Heading | undefined {
  const arrows = cells.flatMap((cell, index) => (Object.hasOwn(ARROWS, cell) ? [{ heading: ARROWS[cell], index }] : []));
  const heading = arrows.at(0)?.heading;
  if (heading === undefined) return undefined;
  if (!arrows.every((arrow) => arrow.heading === heading && ARROW_CELLS[heading].includes(arrow.index))) return undefined;
  const isLine = (cell: string, index: number): boolean => index === sign || Object.hasOwn(ARROWS, cell) || /^[-|+. 0-9]$/.test(cell);
  if (!cells.every(isLine)) return undefined;
  const boxed = heading === 'N' || heading === 'S' ? /^[-+]$/ : /^\+$/;
  const hasBox = arrows.length === 2 && BOX_CELLS[heading].some((index) => index !== sign && boxed.test(cells[index]));
  return hasBox ? undefined : heading;
}

/** Flow may break or empty the lines of an underpass, and nothing else that is drawn of one piece. */
const agrees = ({ piece }: KnownStamp, wanted: string, cell: string): boolean =>
  wanted === cell || ((piece.kind === 'entry' || piece.kind === 'exit end') && wanted === '-' && (cell === '.' || cell === ' '));

/** No letter of a model covers these. */
const isTelling = (cell: string): boolean => Object.hasOwn(ARROWS, cell) || cell === 'o';

function strayCells(stamp: KnownStamp, cells: readonly string[], sign: number): readonly number[] {
  return stamp.cells.flatMap((wanted, index) =>
    agrees(stamp, wanted, cells[index]) || (index === sign && !isTelling(wanted) && stamp.piece.kind !== 'ground') ? [] : [index],
  );
}

/** The sign of a stamp as it stands in either set. */
function signWords({ cells, glyphs }: KnownStamp, cell: number): string {
  if (cells[cell] === ' ') return 'a space';
  return glyphs[cell] === cells[cell] ? `“${cells[cell]}”` : `“${glyphs[cell]}” or “${cells[cell]}”`;
}

/** `glyphs`: the upper row's five, then the lower row's. */
export function readTile(glyphs: readonly string[]): TileReading {
  const cells = glyphs.map(plainSign);
  const whole = BY_CELLS.get(cells.join(''));
  if (whole !== undefined) return { kind: 'read', piece: whole, sign: undefined };
  const signs = cells.flatMap((cell, index) => (isSign(cell) ? [index] : []));
  const sign = signs.length === 1 ? signs[0] : -1;
  const read = (piece: TilePiece): TileReading => ({ kind: 'read', piece, sign: sign < 0 ? undefined : cells[sign] });
  if (cells.every((cell) => cell === '/' || cell === ' ') && cells.includes('/')) return read({ kind: 'kept out' });
  if (isGround(cells)) return read({ kind: 'ground' });
  const heading = beltHeading(cells, sign);
  if (heading !== undefined) return read({ kind: 'belt', heading });
  const compared = STAMPS.map((stamp) => ({ stamp, stray: strayCells(stamp, cells, sign) }));
  const exact = compared.find(({ stray }) => stray.length === 0);
  if (exact !== undefined) return read(exact.stamp.piece);
  if (signs.length > 1) return { kind: 'unread', cell: signs[1], sentence: 'has two letters; a tile has one at most' };
  const { stamp, stray } = compared.reduce((best, other) => (other.stray.length < best.stray.length ? other : best));
  const [cell] = stray;
  const found = cells[cell] === ' ' ? 'nothing stands' : `“${glyphs[cell]}” stands`;
  return {
    kind: 'unread',
    cell,
    sentence: `shows no part that there is; it is most like ${stamp.words}, but here ${found}, not ${signWords(stamp, cell)}. Copy a whole tile of what you mean`,
  };
}
