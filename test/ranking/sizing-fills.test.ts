/**
 * Stations that fill trains: the formula is that of a plain sum, and agrees with visits where belts bring more than is asked.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { maxRational, minRational, ratio, sumRational, ZERO, type Rational } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import { fillTrains } from '../../src/ranking/sizing-fills.js';
import type { Drain } from '../../src/ranking/train-formula.js';
import { plainInks } from '../../src/report/ink.js';
import { sizeStation, stationReport } from '../../src/tasks/size-station.js';
import { planOf, SEED } from '../documents.js';

const PLAN: Layout = planOf('models/plans/grain-loading.json');

const withBins = (capacity: number): Layout => ({
  ...PLAN,
  parts: PLAN.parts.map((part) => (part.kind === 'chest' ? { ...part, model: { ...part.model, capacity } } : part)),
});

const size = (layout: Layout, itemsPerTick: Rational | undefined) => sizeStation(layout, { itemsPerTick, roundTripTicks: ratio(30_000), layover: ZERO });

/** What one chest, full at first, has given after so many ticks: all its arms could carry, but no more than it held and got. */
const gives = ({ supply, flow, capacity }: Drain, ticks: Rational): Rational =>
  capacity === undefined ? flow.mul(ticks) : minRational(supply.mul(ticks), ratio(capacity).add(flow.mul(ticks)));

describe('the formula', () => {
  const fill = fc.record({ supply: fc.integer({ min: 1, max: 40 }), flow: fc.integer({ min: 1, max: 40 }), capacity: fc.option(fc.integer({ min: 0, max: 900 }), { nil: undefined }) });

  it('gives the wagon its load to the item, and not before', () => {
    fc.assert(
      fc.property(fc.array(fill, { minLength: 1, maxLength: 5 }), (given) => {
        const fills = given.map(({ supply, flow, capacity }, x): Drain => {
          const isArm = capacity === undefined;
          return { kind: isArm ? 'arm' : 'chest', at: { x, y: 1 }, wagon: 0, flow: ratio(flow, 100), supply: ratio(isArm ? flow : Math.max(supply, flow), 100), capacity };
        });
        const { dwellTicks, chests, isBridged } = fillTrains(PLAN, fills);
        const load = ratio(PLAN.wagons[0].model.capacity);
        expect(sumRational(fills.map((each) => gives(each, dwellTicks))).equals(load)).toBe(true);
        const endless = load.div(sumRational(fills.map(({ supply }) => supply)));
        expect(maxRational(endless, dwellTicks).equals(dwellTicks)).toBe(true);
        if (fills.every(({ kind }) => kind === 'chest')) expect(isBridged).toBe(endless.equals(dwellTicks));
        for (const { drain, items } of chests) expect(items.equals(drain.supply.sub(drain.flow).mul(endless))).toBe(true);
      }),
      { seed: SEED, numRuns: 2000 },
    );
  });
});

it('a chest between two wagons gives of its stock to both', () => {
  const layout: Layout = { ...PLAN, wagons: [PLAN.wagons[0], { ...PLAN.wagons[0], at: 6 }] };
  const into = (wagon: number, supply: Rational): Drain => ({ kind: 'chest', at: { x: 5, y: 1 }, wagon, flow: ratio(1, 10), supply, capacity: 1200 });
  const load = ratio(PLAN.wagons[0].model.capacity);
  const [slow, fast] = [ratio(1, 5), ratio(3, 10)];
  const { chests } = fillTrains(layout, [into(0, slow), into(1, fast)]);
  const needs = [slow, fast].map((supply) => supply.sub(ratio(1, 10)).mul(load).div(supply));
  expect(chests.map(({ items }) => items.toFraction())).toEqual([sumRational(needs).toFraction()]);
});

describe('formula and visits', () => {
  it('may differ where all is asked that can be loaded: which chest is not full again as a train comes is said', () => {
    const finding = size(PLAN, undefined);
    const { measured, agrees } = finding;
    const chests = measured?.chests.map(({ at, capacity }, chest) => [at.x, capacity, measured.found[chest]]);
    expect([agrees, chests]).toEqual([false, [[1, 1200, 1200], [2, 1200, 1200], [3, 1200, 1192], [4, 1200, 280]]]);
    const told = (found: typeof finding): string => stationReport(found, { ink: plainInks, ascii: true }).join(' ');
    expect(told(finding)).toContain('The formula takes chests to be full as a train comes; the one at [4, 1] comes to hold 280 of 1200 then');
    expect(told(size(PLAN, ratio(1, 4)))).not.toContain('takes chests to be full');
  });

  it('agree below the most that can be loaded, with large and with small chests', () => {
    for (const capacity of [1200, 300, 100]) {
      for (const demand of [ratio(1, 4), ratio(1, 8), ratio(1, 30)]) {
        const { sizing, measured, agrees } = size(withBins(capacity), demand);
        const said = [capacity, demand.toFraction()];
        expect([...said, agrees, sizing?.fills, sizing?.isBridged]).toEqual([...said, true, true, capacity >= 400]);
        expect(sizing?.headwayTicks.toFraction()).toBe(ratio(1500).div(demand).toFraction());
        for (const used of measured?.used ?? []) expect(used).toBeLessThanOrEqual(capacity);
      }
    }
  });

  it('more than belts bring is not met, and at the most itself what visits count is told', () => {
    const { sizing, measured } = size(PLAN, ratio(1, 2));
    expect([sizing?.isMet, sizing?.most.toFraction(), measured?.flow.toFraction()]).toEqual([false, '2/5', '2/5']);
  });
});
