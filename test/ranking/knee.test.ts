/**
 * The knee of lists that can be worked out by hand, and what must follow for all lists.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ParetoFront } from '../../src/base/pareto-front.js';
import { formatRational, ratio, type Rational } from '../../src/base/rational.js';
import { distancesToIdeal, kneeOf } from '../../src/ranking/knee.js';
import { SEED } from '../documents.js';

const listOf = (rows: readonly (readonly number[])[]): readonly (readonly Rational[])[] => rows.map((row) => row.map((value) => ratio(value)));
const textOf = (value: Rational | undefined): string | undefined => value && formatRational(value);

/** What no other row betters, by rising first value. */
function frontOf(rows: readonly (readonly Rational[])[]): readonly (readonly Rational[])[] {
  const front = new ParetoFront();
  for (const burdens of rows) front.offer({ burdens });
  return front.members.map(({ burdens }) => burdens).sort((a, b) => a[0].compare(b[0]));
}

describe('the knee', () => {
  it('is where a steep fall ends: worked by hand', () => {
    // Spans 10 and 40: squares of distances 1, (1/10)^2 + (1/4)^2, (1/2)^2 + (1/8)^2, 1.
    const list = listOf([[0, 40], [1, 10], [5, 5], [10, 0]]);
    expect(distancesToIdeal(list).map(formatRational)).toEqual(['1', '29/400', '17/64', '1']);
    const knee = kneeOf(list);
    expect(knee?.index).toBe(1);
    expect({ objective: knee?.exchange?.objective, before: textOf(knee?.exchange?.before), beyond: textOf(knee?.exchange?.beyond) }).toEqual({ objective: 1, before: '30', beyond: '5/4' });
  });

  it('is none where every layout is an end of the list', () => {
    expect(kneeOf([])).toBeUndefined();
    expect(kneeOf(listOf([[1, 2]]))).toBeUndefined();
    expect(kneeOf(listOf([[1, 2], [2, 1]]))).toBeUndefined();
  });

  it('is the first of equally near ones, and weighs no objective that is the same for all', () => {
    expect(kneeOf(listOf([[0, 3, 7], [1, 2, 7], [2, 1, 7], [3, 0, 7]]))?.index).toBe(1);
  });

  it('may be the first of the list, which is set against nothing', () => {
    const knee = kneeOf(listOf([[0, 1], [9, 1], [10, 0]]));
    expect(knee).toEqual({ index: 0, exchange: undefined });
  });

  it('says that nothing beyond it saves, and that it asks for nothing more', () => {
    const [late, free] = [kneeOf(listOf([[0, 9, 10], [1, 0, 5], [10, 0, 0]])), kneeOf(listOf([[0, 9, 0], [0, 0, 1], [10, 1, 9]]))];
    expect({ index: late?.index, before: textOf(late?.exchange?.before), beyond: late?.exchange?.beyond }).toEqual({ index: 1, before: '9', beyond: undefined });
    expect({ index: free?.index, before: free?.exchange?.before }).toEqual({ index: 1, before: undefined });
  });

  it('stays where it is when an objective is told in other units, or the list in another order', () => {
    const rows = fc.array(fc.tuple(fc.nat(30), fc.nat(30), fc.nat(30)), { minLength: 3, maxLength: 12 });
    let seen = 0;
    fc.assert(
      fc.property(rows, fc.integer({ min: 1, max: 9 }), fc.nat(9), (all, scale, shift) => {
        const list = frontOf(listOf(all));
        const knee = kneeOf(list);
        if (knee === undefined) return;
        seen += 1;
        const told = list.map(([a, b, c]) => [a, b.mul(ratio(scale, 3)).add(ratio(shift)), c]);
        expect(kneeOf(told)?.index).toBe(knee.index);
        const least = distancesToIdeal(list)[knee.index];
        expect(distancesToIdeal([...list].reverse()).every((distance) => distance.compare(least) >= 0)).toBe(true);
      }),
      { seed: SEED },
    );
    expect(seen).toBeGreaterThan(10);
  });
});
