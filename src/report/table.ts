/**
 * Columns of text that line up whatever colour or wide signs they hold, and paragraphs no wider than their reader's terminal.
 */
import type { Style } from './canvas.js';
import { textWidth } from './text-width.js';

export type Align = 'left' | 'right';

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
export const proseWidth = ({ columns = USUAL_WIDTH }: Style, usual = USUAL_WIDTH): number => Math.min(usual, columns);

/** Breaks a paragraph at spaces so that no line is wider than `width`, where its words allow. */
export function wrap(text: string, width: number, indent = 2): readonly string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
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
