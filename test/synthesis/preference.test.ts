/**
 * What briefs prefer by: of fill more is better, of all else less; and the fill of a brief with several targets.
 */
import { describe, expect, it } from 'vitest';
import { ratio, ZERO, type Rational } from '../../src/base/rational.js';
import { askedFill } from '../../src/brief/asked-fill.js';
import type { Brief } from '../../src/brief/brief.js';
import type { BeltModel } from '../../src/catalog/catalog.js';
import type { Layout } from '../../src/layout/layout.js';
import { isPreferred, rank, type Standing } from '../../src/synthesis/families/preference.js';
import { mostFill } from '../../src/synthesis/choices/most-fill.js';
import { briefOf } from '../documents.js';

const standing = (text: string, ...values: readonly number[]): Standing => ({ values: values.map((value) => ratio(value)), text });

describe('preference', () => {
  it('is for more fill at equal cost, and for less cost first', () => {
    expect(isPreferred(standing('b', 43, 2), standing('a', 43, 1), ['cost', 'fill'])).toBe(true);
    expect(isPreferred(standing('a', 43, 1), standing('b', 43, 2), ['cost', 'fill'])).toBe(false);
    expect(isPreferred(standing('b', 42, 1), standing('a', 43, 2), ['cost', 'fill'])).toBe(true);
    expect(isPreferred(standing('b', 43, 1), standing('a', 43, 2), ['cost', 'footprint'])).toBe(true);
    expect(isPreferred(standing('a', 43, 1), standing('b', 43, 1), ['cost', 'fill'])).toBe(true);
  });

  it('is for the cheaper model where parts count, then for the first by name', () => {
    const { catalog, site, wagons } = briefOf('test/cases/headline-060.json');
    const ranked = (name: string, cost: number): Standing => {
      const model: BeltModel = { ...catalog.belts[0], name: name as BeltModel['name'], cost };
      const layout: Layout = { name, catalog, site, wagons, parts: [{ kind: 'belt', at: { x: 0, y: 2 }, heading: 'S', model }], exits: [] };
      return rank(layout, ['parts'], { chestOutflows: [], fill: ZERO, trains: undefined });
    };
    const first = (a: Standing, b: Standing): readonly boolean[] => [isPreferred(a, b, ['parts']), isPreferred(b, a, ['parts'])];
    expect(first(ranked('z', 9), ranked('a', 10))).toEqual([true, false]);
    expect(first(ranked('a', 10), ranked('b', 10))).toEqual([true, false]);
  });
});

describe('the fill that a brief asks for', () => {
  const brief = briefOf('test/cases/headline-060.json');
  const [exit] = brief.exits;
  const lane = ratio(exit.belt.speed, brief.catalog.pitch);
  const asking = (total: Rational, left = ZERO, right = ZERO, together?: Rational): Brief => ({ ...brief, exits: [{ ...exit, target: { total, left, right } }], together });

  it('is that of the exit or lane of which most is asked', () => {
    expect(askedFill(brief)).toEqual(ratio(3, 5));
    expect(askedFill(asking(lane, lane.mul(ratio(3, 4))))).toEqual(ratio(3, 4));
    expect(askedFill(asking(ZERO, ZERO, ZERO, lane))).toEqual(ratio(1, 2));
    const two = asking(lane);
    expect(askedFill({ ...two, exits: [...two.exits, { ...exit, target: { total: lane.div(2), left: ZERO, right: ZERO } }] })).toEqual(ratio(1, 2));
  });

  it('is 1 at most where no lane can carry more than a saturated one', () => {
    for (const each of [brief, asking(lane, lane.mul(ratio(3, 4))), asking(ZERO, ZERO, ZERO, lane)]) expect(mostFill(each)).toEqual(ratio(1));
  });
});
