/**
 * The short way to a line's width against the library's.
 */
import stringWidth from 'string-width';
import { describe, expect, it } from 'vitest';
import { ONE_CELL_EACH, textWidth } from '../../src/report/text-width.js';

const SIGNS = Array.from({ length: 0x3000 }, (_, code) => String.fromCodePoint(code));

describe('the width of a line', () => {
  it('is one for every sign that is taken to be one cell wide', () => {
    const short = SIGNS.filter((sign) => ONE_CELL_EACH.test(sign));
    expect(short.length).toBeGreaterThan(500);
    expect(short.filter((sign) => stringWidth(sign) !== 1)).toEqual([]);
  });

  it.each(['', 'ship', '▐██▌ 16.67/s ✓', '\u001b[31m◦─▶\u001b[39m', '麦の列', 'e\u0301té', '👷 arm'])('of %j is what the library says', (line) => {
    expect(textWidth(line)).toBe(stringWidth(line));
  });
});
