/**
 * Bars made of text: one share on a scale of 1, or several that sum to 1.
 */
import { ratio, ZERO, type Rational } from '../base/rational.js';
import { styled, type Style } from './canvas.js';
import type { InkName } from './ink.js';

const EIGHTHS = ['', '▏', '▎', '▍', '▌', '▋', '▊', '▉'];

/** `width` cells for a share of 0 to 1, to an eighth of a cell; only a whole share fills it. */
export function shareBar(share: Rational, width: number, ink: InkName, style: Style): string {
  const eighths = Number(share.mul(ratio(width * 8)).floor().valueOf());
  const clipped = Math.max(0, Math.min(width * 8, eighths));
  if (style.ascii) {
    const full = Math.floor(clipped / 8);
    return `[${'#'.repeat(full)}${'.'.repeat(width - full)}]`;
  }
  const filled = '█'.repeat(Math.floor(clipped / 8)) + EIGHTHS[clipped % 8];
  return style.ink('dim', '▕') + style.ink(ink, filled) + ' '.repeat(width - filled.length) + style.ink('dim', '▏');
}

interface Segment {
  readonly share: Rational;
  readonly glyph: string;
  readonly ink: InkName;
}

/** `width` cells split among shares that sum to 1; a share above 0 gets at least one cell where there is room. */
export function stackedBar(segments: readonly Segment[], width: number, style: Style): string {
  const cells = segments.map(({ share }) => Number(share.mul(ratio(width)).floor().valueOf()));
  segments.forEach(({ share }, index) => {
    if (share.compare(ZERO) > 0 && cells[index] === 0) cells[index] = 1;
  });
  const largest = (): number => cells.indexOf(Math.max(...cells));
  const sum = (): number => cells.reduce((total, count) => total + count, 0);
  while (sum() > width) cells[largest()] -= 1;
  const rest = segments.map(({ share }, index) => share.mul(ratio(width)).sub(ratio(cells[index])).valueOf());
  while (sum() < width) {
    const next = rest.indexOf(Math.max(...rest));
    cells[next] += 1;
    rest[next] -= 1;
  }
  return segments.map(({ glyph, ink }, index) => styled(style, ink, glyph.repeat(cells[index]))).join('');
}
