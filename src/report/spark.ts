/**
 * Small charts of one line: a value of 0 to 1 per cell, as high as the value.
 */
import type { Style } from './canvas.js';
import type { InkName } from './ink.js';

const HEIGHTS = [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
const ASCII_HEIGHTS = [' ', '.', ':', '-', '=', '+', '*', '%', '#'];

/** What is more than nothing is never blank, and only the whole is a whole cell. */
export function spark(shares: readonly number[], ink: InkName, style: Style): string {
  const glyphs = style.ascii ? ASCII_HEIGHTS : HEIGHTS;
  const cells = shares.map((share) => (share <= 0 ? 0 : share >= 1 ? 8 : Math.max(1, Math.min(7, Math.round(share * 8)))));
  return style.ink(ink, cells.map((cell) => glyphs[cell]).join(''));
}
