/**
 * The Pareto front against its definition, pair by pair, and the area below it against published values.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ParetoFront } from '../../src/base/pareto-front.js';
import { formatRational, ratio, type Rational } from '../../src/base/rational.js';
import { SEED } from '../documents.js';
import { hypervolume2 } from '../oracles/hypervolume.js';

function frontOf(items: readonly (readonly number[])[]): readonly (readonly number[])[] {
  const front = new ParetoFront<{ readonly item: readonly number[]; readonly burdens: readonly Rational[] }>();
  for (const item of items) front.offer({ item, burdens: item.map((value) => ratio(value)) });
  return front.members.map(({ item }) => item);
}

describe('what a Pareto front keeps', () => {
  /** Pair by pair, on plain numbers: kept is what no other is no worse than everywhere, but for itself and later equals. */
  const byDefinition = (items: readonly (readonly number[])[]): readonly (readonly number[])[] =>
    items.filter((item, index) => !items.some((other, at) => at !== index && other.every((value, k) => value <= item[k]) && (other.some((value, k) => value < item[k]) || at < index)));

  it('is what nothing betters, in order, one of equals', () => {
    expect(frontOf([[3, 1], [1, 3], [2, 2], [2, 2], [3, 3], [1, 4]])).toEqual([[3, 1], [1, 3], [2, 2]]);
    expect(frontOf([])).toEqual([]);
  });

  it.each([1, 2, 3, 4])('keeps the same of random cost sets in %i objectives', (objectives) => {
    const sets = fc.array(fc.array(fc.nat(6), { minLength: objectives, maxLength: objectives }), { maxLength: 24 });
    let dropped = 0;
    fc.assert(
      fc.property(sets, (items) => {
        const expected = byDefinition(items);
        dropped += items.length - expected.length;
        expect(frontOf(items)).toEqual(expected);
      }),
      { seed: SEED, numRuns: 400 },
    );
    expect(dropped).toBeGreaterThan(0);
  });
});

describe('hypervolume of two objectives', () => {
  const pair = (a: number, b: number): [Rational, Rational] => [ratio(a), ratio(b)];

  it('is 3 for {(1,2), (2,1)} below (3,3)', () => {
    expect(formatRational(hypervolume2([pair(1, 2), pair(2, 1)], pair(3, 3)))).toBe('3');
  });

  it('ignores dominated points and those beyond the reference', () => {
    expect(formatRational(hypervolume2([pair(2, 1), pair(1, 2), pair(2, 2), pair(5, 0)], pair(3, 3)))).toBe('3');
  });

  // Zitzler, Deb, Thiele 2000: the front of ZDT2 is y = 1 - x^2; its exact area below (1.1, 1.1) is 0.543333.
  it('nears 0.543333 from below on a fine sample of ZDT2', () => {
    const points = Array.from({ length: 401 }, (_, index): [Rational, Rational] => [ratio(index, 400), ratio(160_000 - index * index, 160_000)]);
    const area = hypervolume2(points, [ratio(11, 10), ratio(11, 10)]).valueOf();
    expect(area).toBeGreaterThan(0.541);
    expect(area).toBeLessThan(0.543333);
  });

  it('is the number of cells that some point dominates, on random grids', () => {
    const points = fc.array(fc.tuple(fc.nat(8), fc.nat(8)), { maxLength: 10 });
    fc.assert(
      fc.property(points, (all) => {
        const cells = Array.from({ length: 49 }, (_, cell) => [cell % 7, Math.floor(cell / 7)]);
        const covered = cells.filter(([x, y]) => all.some(([a, b]) => a <= x && b <= y)).length;
        expect(hypervolume2(all.map(([a, b]) => pair(a, b)), pair(7, 7)).valueOf()).toBe(covered);
      }),
      { seed: SEED },
    );
  });

  // Zitzler, Deb, Thiele 2000: the front of ZDT1 is y = 1 - sqrt(x); its exact area below (1.1, 1.1) is 0.876667.
  it('nears 0.876667 from below on a fine sample of ZDT1', () => {
    const points = Array.from({ length: 401 }, (_, index): [Rational, Rational] => [
      ratio(index * index, 160_000),
      ratio(400 - index, 400),
    ]);
    const area = hypervolume2(points, [ratio(11, 10), ratio(11, 10)]).valueOf();
    expect(area).toBeGreaterThan(0.8745);
    expect(area).toBeLessThan(0.876667);
  });
});
