/**
 * Exact rationals and rates as text: one grammar, no floating point, no surprises.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatPerSecond, parseRate } from '../../src/base/rate.js';
import {
  compare,
  formatDecimal,
  formatRational,
  isLess,
  maxRational,
  minRational,
  parseRational,
  ratio,
  sumRational,
} from '../../src/base/rational.js';
import { SEED } from '../documents.js';

const text = (value: ReturnType<typeof parseRational>): string | undefined => value && formatRational(value);

describe('parseRational', () => {
  it.each([
    ['0', '0'],
    ['3', '3'],
    ['6/16', '3/8'],
    ['0.375', '3/8'],
    [' 12.50 ', '25/2'],
    ['0.1', '1/10'],
    ['100000000000000000001/100000000000000000000', '100000000000000000001/100000000000000000000'],
    ['', undefined],
    ['-1', undefined],
    ['+1', undefined],
    ['1/0', undefined],
    ['1e3', undefined],
    ['.5', undefined],
    ['1.', undefined],
    ['1 / 2', undefined],
    ['0.(3)', undefined],
    ['½', undefined],
  ])('reads %j as %s', (source, expected) => {
    expect(text(parseRational(source))).toBe(expected);
  });

  it('reads what formatRational writes', () => {
    fc.assert(
      fc.property(fc.nat(), fc.integer({ min: 1, max: 1_000_000 }), (num, den) => {
        const value = ratio(num, den);
        const again = parseRational(formatRational(value));
        expect(again && compare(again, value)).toBe(0);
      }),
      { seed: SEED },
    );
  });
});

describe('comparisons', () => {
  it('are those of cross products, not of rounded numbers', () => {
    const near = fc.bigInt({ min: 1n, max: 10n ** 30n });
    fc.assert(
      fc.property(near, near, near, near, (a, b, c, d) => {
        const cross = a * d - c * b;
        expect(Math.sign(compare(ratio(a, b), ratio(c, d)))).toBe(cross < 0n ? -1 : cross > 0n ? 1 : 0);
        expect(isLess(ratio(a, b), ratio(c, d))).toBe(cross < 0n);
      }),
      { seed: SEED },
    );
  });

  it('pick the lesser, the greater, the sum', () => {
    expect(formatRational(minRational(ratio(1, 3), ratio(1, 2)))).toBe('1/3');
    expect(formatRational(maxRational(ratio(1, 3), ratio(1, 2)))).toBe('1/2');
    expect(formatRational(sumRational([ratio(1, 3), ratio(1, 6), ratio(1, 2)]))).toBe('1');
    expect(formatDecimal(ratio(2, 3), 2)).toBe('0.67');
  });
});

describe('parseRate', () => {
  it.each([
    ['3/8', 50, '3/8'],
    ['12.5/s', 50, '1/4'],
    ['3/8/s', 50, '3/400'],
    ['20 /s', 40, '1/2'],
    ['/s', 50, undefined],
    ['20/m', 50, undefined],
    ['20/s/s', 50, undefined],
  ])('reads %j at %d ticks a second as %s items per tick', (source, ticksPerSecond, expected) => {
    expect(text(parseRate(source, ticksPerSecond))).toBe(expected);
  });

  it('is shown in items per second', () => {
    expect(formatPerSecond(ratio(1, 4), 50)).toBe('12.50/s');
  });
});
