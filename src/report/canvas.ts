/**
 * A sheet of terminal cells on which pictures are composed, one ink to a cell. It also holds the
 * plain-ASCII stand-in of every glyph that a report draws with, so pictures are composed only once.
 */
import { invariant } from '../base/invariant.js';
import type { InkName, Inks } from './ink.js';
import { INKS } from './text-width.js';

/** How finished text reaches the reader. */
export interface Style {
  readonly ink: Inks;
  /** Printable ASCII only. */
  readonly ascii: boolean;
  /** Of the reader's terminal; left out: as wide as may be. */
  readonly columns?: number;
}

const STAND_INS: Readonly<Record<string, string>> = Object.fromEntries(
  [
    ['─━', '-'],
    ['═', '='],
    ['│┃║┊', '|'],
    ['┄', '-'],
    ['╌╍', '~'],
    ['╎╏¦', '!'],
    ['┌┐└┘├┤┬┴┼┏┓┗┛┣┫┳┻╔╗╚╝╠╣╦╩', '+'],
    ['╭╮', '.'],
    ['╰╯', "'"],
    ['▲', '^'],
    ['▼', 'v'],
    ['◀', '<'],
    ['▶▸', '>'],
    ['◦', 'o'],
    ['▗▝▐', '['],
    ['▖▘▌', ']'],
    ['█▄▀', '#'],
    ['▓', '%'],
    ['▒░', ':'],
    ['▏▎▍', ' '],
    ['▋▊▉', '#'],
    ['·', '.'],
    ['╱', '/'],
    ['×', 'x'],
    ['≥', '>='],
    ['✓', '+'],
    ['✗', 'x'],
    ['…', '...'],
    ['–', '-'],
    ['“”', '"'],
  ].flatMap(([glyphs, standIn]) => [...glyphs].map((glyph) => [glyph, standIn])),
);

const SIGNS = new RegExp(`(${INKS.source})|[^ -~]`, 'gsu');

/** Text in printable ASCII, with its colours; a sign without a stand-in becomes "?". */
export const toAscii = (text: string): string => text.replace(SIGNS, (sign, ink: string | undefined) => ink ?? STAND_INS[sign] ?? '?');

/** Coloured or not, with or without signs beyond ASCII. */
export const styled = (style: Style, name: InkName, text: string): string =>
  style.ink(name, style.ascii ? toAscii(text) : text);

interface Cell {
  readonly glyph: string;
  readonly ink: InkName;
}

export class Canvas {
  readonly #rows: (Cell | undefined)[][];

  constructor(
    readonly width: number,
    readonly height: number,
  ) {
    this.#rows = Array.from({ length: height }, () => Array.from({ length: width }, () => undefined));
  }

  /** Puts one line of text; what falls off the sheet is lost, spaces in `text` leave what is there. */
  put(column: number, row: number, text: string, ink: InkName): void {
    if (row < 0 || row >= this.height) return;
    [...text].forEach((glyph, index) => {
      const at = column + index;
      if (at >= 0 && at < this.width && glyph !== ' ') this.#rows[row][at] = { glyph, ink };
    });
  }

  /** Finished lines, without spaces at their ends. */
  lines(style: Style): readonly string[] {
    return this.#rows.map((row) => {
      let end = row.length;
      while (end > 0 && row[end - 1] === undefined) end -= 1;
      let line = '';
      let column = 0;
      while (column < end) {
        const ink = row[column]?.ink ?? 'plain';
        let run = '';
        while (column < end && (row[column]?.ink ?? 'plain') === ink) {
          const glyph = row[column]?.glyph ?? ' ';
          const shown = style.ascii ? toAscii(glyph) : glyph;
          invariant(shown.length === 1 || !style.ascii, 'one cell for each glyph', { glyph });
          run += shown;
          column += 1;
        }
        line += style.ink(ink, run);
      }
      return line;
    });
  }
}
