/**
 * Columns of text that line up whatever colour or wide signs they hold, and paragraphs no wider than their reader's terminal.
 */
import { styled, type Style } from './canvas.js';
import type { InkName } from './ink.js';
import { textWidth } from './text-width.js';

type Align = 'left' | 'right';

/** Rows of cells as lines: columns two spaces apart, indented, without spaces at the ends. */
export function tabulate(rows: readonly (readonly string[])[], align: readonly Align[], indent = 2): readonly string[] {
  const widths = align.map((_, column) => Math.max(0, ...rows.map((row) => textWidth(row[column] ?? ''))));
  return rows.map((row) => {
    const cells = row.map((cell, column) => {
      const room = ' '.repeat(Math.max(0, widths[column] - textWidth(cell)));
      return align[column] === 'right' ? room + cell : cell + room;
    });
    return `${' '.repeat(indent)}${cells.join('  ')}`.trimEnd();
  });
}

/** Columns under heads; where there is no room for them, rows one below the other, each told in a sentence. */
export interface Table {
  /** Left out: none. */
  readonly heads?: readonly string[];
  readonly rows: readonly (readonly string[])[];
  readonly align: readonly Align[];
  /** How many cells at its beginning name a row; the first alone where left out. */
  readonly names?: number;
  /** What stands before each cell in a sentence; the heads where left out. */
  readonly told?: readonly string[];
  /** 2 where left out. */
  readonly indent?: number;
}

const UNBROKEN = '\u00a0';

/** Like `wrap`, but breaks a list at its commas wherever a whole item fits on a line. */
export function wrapList(items: readonly string[], width: number, indent = 2): readonly string[] {
  const whole = items.map((item, index) => {
    const text = index === items.length - 1 ? item : `${item},`;
    return textWidth(text) <= width - indent ? text.replaceAll(' ', UNBROKEN) : text;
  });
  return wrap(whole.join(' '), width, indent).map((line) => line.replaceAll(UNBROKEN, ' '));
}

/** What names the row on a line of its own, the rest below it. */
function rowLines({ heads = [], told = heads, names = 1 }: Table, row: readonly string[], width: number): readonly string[] {
  const said = row.map((cell, column) => (cell === '' || (told[column] ?? '') === '' ? cell : `${told[column]} ${cell}`));
  const rest = said.slice(names).filter((text) => text !== '');
  return [...wrap(said.slice(0, names).filter((text) => text !== '').join('  '), width), ...(rest.length === 0 ? [] : wrapList(rest, width, 4))];
}

/** The first of these tables, from the fullest to the tersest, that is no wider than its reader's terminal; else the last one row by row. */
export function fittingTable({ columns }: Style, ...tables: readonly Table[]): readonly string[] {
  const inColumns = ({ heads, rows, align, indent }: Table) => (): readonly string[] => tabulate(heads === undefined ? rows : [heads, ...rows], align, indent);
  const rowByRow = (): readonly string[] => tables.slice(-1).flatMap((table) => table.rows.flatMap((row) => rowLines(table, row, columns ?? USUAL_WIDTH)));
  return firstThatFits(columns, [...tables.map(inColumns), rowByRow]);
}

/** The first of these texts, from the fullest to the tersest, that is no wider than `columns`; else the last. */
export function firstThatFits(columns: number | undefined, texts: readonly (() => readonly string[])[]): readonly string[] {
  for (const text of texts.slice(0, -1)) {
    const lines = text();
    if (columns === undefined || lines.every((line) => textWidth(line) <= columns)) return lines;
  }
  return texts.at(-1)?.() ?? [];
}

/** Longer lines are hard to read, however wide the terminal. */
export const USUAL_WIDTH = 96;

/** For paragraphs. */
export const proseWidth = ({ columns = USUAL_WIDTH }: Style): number => Math.min(USUAL_WIDTH, columns);

/** A name or a heading, as long as it may be. */
export const titleLines = (text: string, style: Style): readonly string[] => wrap(text, style.columns ?? Infinity, 0).map((line) => styled(style, 'title', line));

/** A sentence or two that begin with a word in its own ink, as "Optimal: …"; further lines are indented. */
export function verdictLines(headline: string, ink: InkName, words: string, width: number, style: Style): readonly string[] {
  const [first, ...rest] = wrap(`${headline}: ${words}`, width).map((line) => line.trimStart());
  return [
    `${styled(style, ink, headline)}${styled(style, 'plain', first.slice(headline.length))}`,
    ...rest.map((line) => styled(style, 'plain', `  ${line}`)),
  ];
}

/** For sentences that stand in one line wherever nothing is in the way: no wider than is easy to read, nor than the terminal. */
export const lineWidth = ({ columns }: Style): number => (columns === undefined ? Infinity : Math.min(USUAL_WIDTH, columns));

/** Breaks a paragraph at spaces so that no line is wider than `width`, where its words allow. Tiles such as "[1, 5]" stay whole. */
export function wrap(text: string, width: number, indent = 2): readonly string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(/ (?!-?\d+\])/)) {
    if (line !== '' && textWidth(line) + 1 + textWidth(word) > width - indent) {
      lines.push(line);
      line = word;
    } else {
      line = line === '' ? word : `${line} ${word}`;
    }
  }
  lines.push(line);
  return lines.map((each) => ' '.repeat(indent) + each);
}
