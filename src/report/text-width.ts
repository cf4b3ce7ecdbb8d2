/**
 * How many cells of a terminal a line takes. Most of what a report draws with takes one cell a sign, which is known
 * without asking the library; names may be of any script.
 */
import stringWidth from 'string-width';

/** Signs of one cell each: ASCII, Latin letters, dashes, quotes, arrows of lines, boxes, blocks and shapes. */
export const ONE_CELL_EACH = /^[ -~¡-¬®-ſ–—‘’“”…─-◼✓✗≥≤]*$/u;

/** Colours, as the command writes them. */
export const INKS = new RegExp(`${String.fromCharCode(27)}\\[[\\d;]*m`, 'g');

export function textWidth(line: string): number {
  const bare = line.replace(INKS, '');
  return ONE_CELL_EACH.test(bare) ? bare.length : stringWidth(line);
}
