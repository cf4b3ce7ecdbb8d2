/**
 * Conditions and orders as they are typed, and what of a list they leave.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatRational, ratio } from '../../src/base/rational.js';
import { MEASURES, type Measures } from '../../src/layout/measure.js';
import { choose } from '../../src/ranking/choice.js';
import { meets, parseCondition, parseShare } from '../../src/ranking/condition.js';
import { SEED } from '../documents.js';

const measures = (values: Partial<Record<keyof Measures, number | readonly [number, number]>>): Measures =>
  Object.fromEntries(
    MEASURES.map((measure) => {
      const value = values[measure] ?? 0;
      return [measure, typeof value === 'number' ? ratio(value) : ratio(value[0], value[1])];
    }),
  ) as unknown as Measures;

const conditionOf = (text: string) => {
  const parsed = parseCondition(text);
  if (!parsed.ok) throw new Error(text);
  return parsed.value;
};

describe('a share', () => {
  it.each([
    ['1/20', '1/20'],
    ['0.05', '1/20'],
    ['5%', '1/20'],
    [' 12.5 % ', '1/8'],
    ['100/3 %', '1/3'],
    ['0', '0'],
    ['125%', '5/4'],
  ])('%j is %s', (text, expected) => {
    const share = parseShare(text);
    expect(share && formatRational(share)).toBe(expected);
  });

  it.each(['', '%', '5%%', '-1', '1/0', '1e3', '.5', '5 5', 'half'])('%j is none', (text) => {
    expect(parseShare(text)).toBeUndefined();
  });
});

describe('a condition', () => {
  it.each([
    ['imbalance<=1/20', 'imbalance', '<=', '1/20'],
    ['cost < 80', 'cost', '<', '80'],
    ['  fill>=97.5%  ', 'fill', '>=', '39/40'],
    ['parts > 3', 'parts', '>', '3'],
    ['splitters=0', 'splitters', '=', '0'],
  ])('%j is read', (text, measure, comparison, than) => {
    const { value } = parseCondition(text) as { readonly value: ReturnType<typeof conditionOf> };
    expect([value.measure, value.comparison, formatRational(value.than), value.text]).toEqual([measure, comparison, than, text.trim()]);
  });

  it.each([
    ['', 'measure', '', 1],
    ['imbl<2', 'measure', 'imbl', 1],
    ['  <2', 'measure', '', 3],
    ['cost', 'comparison', '', 5],
    ['cost 80', 'comparison', '80', 6],
    ['cost!=80', 'measure', 'cost!', 1],
    ['cost ==80', 'number', '=80', 7],
    ['imbalance<=1/2O', 'number', '1/2O', 12],
    ['fill=', 'number', '', 6],
    ['fill=-1', 'number', '-1', 6],
    ['cost<80 90', 'end', '90', 9],
    ['cost<80 % x', 'end', 'x', 11],
  ])('%j wants a %s at sign %s', (text, expected, found, column) => {
    expect(parseCondition(text)).toEqual({ ok: false, flaw: { expected, found, column } });
  });

  it('never throws, and names a place inside the text or at its end', () => {
    fc.assert(
      fc.property(fc.oneof(fc.string(), fc.stringMatching(/^(cost|fill|x)? ?[<>=]{0,2} ?[0-9/.% ]{0,6}$/)), (text) => {
        const parsed = parseCondition(text);
        if (parsed.ok) return;
        expect(parsed.flaw.column).toBeGreaterThanOrEqual(1);
        expect(parsed.flaw.column).toBeLessThanOrEqual(text.length + 1);
        expect(text.slice(parsed.flaw.column - 1)).toContain(parsed.flaw.found);
      }),
      { seed: SEED },
    );
  });

  it('compares exactly, to both sides of a third', () => {
    const [below, at, above] = [[33_333_333, 100_000_000], [1, 3], [33_333_334, 100_000_000]].map(([num, den]) => measures({ fill: [num, den] }));
    const holds = (text: string): readonly boolean[] => [below, at, above].map((each) => meets(each, conditionOf(text), 50));
    expect(holds('fill<1/3')).toEqual([true, false, false]);
    expect(holds('fill<=1/3')).toEqual([true, true, false]);
    expect(holds('fill=1/3')).toEqual([false, true, false]);
    expect(holds('fill>=1/3')).toEqual([false, true, true]);
    expect(holds('fill>1/3')).toEqual([false, false, true]);
  });
});

describe('a choice', () => {
  const list = [
    measures({ cost: 40, footprint: 48, fill: [3, 5] }),
    measures({ cost: 45, footprint: 40, fill: [4, 5] }),
    measures({ cost: 50, footprint: 40, fill: 1 }),
    measures({ cost: 60, footprint: 24, fill: 1 }),
  ];

  it('is all in their order where nothing is wished', () => {
    expect(choose(list, { where: [], sort: [], most: undefined }, 50)).toEqual({ kept: [0, 1, 2, 3], shown: [0, 1, 2, 3] });
  });

  it('has the best first, by one measure and then the next; a greater fill is better', () => {
    const by = (...sort: Parameters<typeof choose>[1]['sort']) => choose(list, { where: [], sort, most: undefined }, 50).shown;
    expect(by({ measure: 'fill', reversed: false })).toEqual([2, 3, 1, 0]);
    expect(by({ measure: 'fill', reversed: true })).toEqual([0, 1, 2, 3]);
    expect(by({ measure: 'footprint', reversed: false }, { measure: 'cost', reversed: true })).toEqual([3, 2, 1, 0]);
  });

  it('keeps what meets all conditions, then shows the first so many', () => {
    const where = [conditionOf('fill>=4/5'), conditionOf('cost<60')];
    expect(choose(list, { where, sort: [{ measure: 'cost', reversed: true }], most: 1 }, 50)).toEqual({ kept: [1, 2], shown: [2] });
    expect(choose(list, { where: [conditionOf('cost<1')], sort: [], most: 3 }, 50)).toEqual({ kept: [], shown: [] });
  });

  it('takes a dwell in ticks or seconds; a layout that leaves a wagon unemptied meets no condition on it and comes last', () => {
    const trains = [measures({ cost: 40 }), measures({ cost: 45, dwell: 4501, trainsPerHour: 12 }), measures({ cost: 50, dwell: 4500, trainsPerHour: 9 })];
    const unemptied = { ...trains[0], dwell: undefined, trainsPerHour: undefined };
    const kept = (text: string): readonly number[] => choose([unemptied, ...trains.slice(1)], { where: [conditionOf(text)], sort: [], most: undefined }, 50).kept;
    expect(kept('dwell<=90s')).toEqual([2]);
    expect(kept('dwell<=4500')).toEqual([2]);
    expect(kept('dwell>0')).toEqual([1, 2]);
    expect(kept('trainsPerHour>=21/2')).toEqual([1]);
    const by = (measure: 'dwell' | 'trainsPerHour'): readonly number[] => choose([unemptied, ...trains.slice(1)], { where: [], sort: [{ measure, reversed: false }], most: undefined }, 50).shown;
    expect(by('dwell')).toEqual([2, 1, 0]);
    expect(by('trainsPerHour')).toEqual([1, 2, 0]);
  });
});
