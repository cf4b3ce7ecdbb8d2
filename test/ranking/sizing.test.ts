/**
 * A whole station by formula and by a run of visits: they agree within the tolerance that is told.
 */
import { describe, expect, it } from 'vitest';
import { ratio, ZERO, type Rational } from '../../src/base/rational.js';
import { parseDemandRate, parseRoundTrip } from '../../src/brief/demand.js';
import type { Layout } from '../../src/layout/layout.js';
import { sizeStation } from '../../src/tasks/size-station.js';
import { planOf } from '../documents.js';

const sample = (name: string): Layout => planOf(`models/plans/${name}.json`);

/** The plan with chests that hold so much. */
const withBins = (layout: Layout, capacity: number): Layout => ({
  ...layout,
  parts: layout.parts.map((part) => (part.kind === 'chest' ? { ...part, model: { ...part.model, capacity } } : part)),
});

const size = (layout: Layout, itemsPerTick: Rational | undefined) => sizeStation(layout, { itemsPerTick, roundTripTicks: ratio(30_000), layover: ratio(1, 10) });

describe('formula and visits', () => {
  const demands = [undefined, ratio(1, 5), ratio(1, 9), ratio(1, 40)];
  it.each(['grain-two-bins', 'grain-two-exits', 'grain-direct-tee'])('agree on %s at any demand', (name) => {
    for (const demand of demands) {
      const { sizing, measured, agrees } = size(sample(name), demand);
      expect([demand?.toFraction(), agrees]).toEqual([demand?.toFraction(), true]);
      // Where a train has to stand all the time, one that leaves a little earlier may do with one train less.
      expect((sizing?.trains ?? 0) - (measured?.trains ?? 0)).toBeLessThanOrEqual(sizing?.isBridged === true ? 0 : 1);
      expect(sizing?.trains).toBeGreaterThanOrEqual(measured?.trains ?? 0);
    }
  });

  it('agree where chests are too small to bridge the gap, so that trains have to stand longer', () => {
    for (const capacity of [100, 200, 400]) {
      const { sizing, measured, agrees } = size(withBins(sample('grain-two-bins'), capacity), ratio(1, 10));
      // A chest of the capacity K bridges K / f ticks, f being half of a tenth.
      expect(sizing?.dwellTicks.toFraction()).toBe(ratio(15_000 - capacity * 20).toFraction());
      expect(agrees).toBe(true);
      expect(measured?.used).toEqual([capacity, capacity]);
    }
  });
});

describe('a station', () => {
  it('needs trains as its headway, dwell and round trip say', () => {
    const { sizing } = size(sample('grain-two-bins'), ratio(1, 5));
    // 1500 items at 1/5 a tick; half of them over each arm at 8/25; 30000 + 9375/4 ticks, and a tenth more.
    expect(sizing?.headwayTicks.toFraction()).toBe('7500');
    expect(sizing?.dwellTicks.toFraction()).toBe('9375/4');
    expect(sizing?.cycleTicks?.toFraction()).toBe(ratio(30_000).add(ratio(9375, 4)).mul(ratio(11, 10)).toFraction());
    expect(sizing?.trains).toBe(5);
    expect(sizing?.presence.toFraction()).toBe('5/16');
    expect(sizing?.chests.map(({ items }) => items.toFraction())).toEqual([ratio(1, 10).mul(ratio(7500).sub(ratio(9375, 4))), ratio(1, 10).mul(ratio(7500).sub(ratio(9375, 4)))].map((each) => each.toFraction()));
  });

  it('says what limits it', () => {
    const bins = sample('grain-two-bins');
    expect(size(bins, ratio(1, 4)).sizing?.bottleneck).toMatchObject({ kind: 'belts' });
    expect(size(withBins(bins, 400), ratio(1, 10)).sizing?.bottleneck).toMatchObject({ kind: 'chests' });
    const unmet = size(bins, ratio(1, 2)).sizing;
    expect([unmet?.isMet, unmet?.headwayTicks.toFraction(), unmet?.most.toFraction()]).toEqual([false, '5625', '4/15']);
    const dry = { ...bins, parts: bins.parts.filter((part) => part.kind !== 'arm' || part.at.y > 0) };
    expect(size(dry, undefined).sizing).toBeUndefined();
  });

  it('reads demands and times', () => {
    expect(parseDemandRate('36000/h', 50)?.toFraction()).toBe('1/5');
    expect(parseDemandRate('10/s', 50)?.toFraction()).toBe('1/5');
    expect(parseDemandRate('1/5', 50)?.toFraction()).toBe('1/5');
    for (const text of ['0/h', '', 'h', '-1/h', '5/m', '1e3/h']) expect(parseDemandRate(text, 50)).toBeUndefined();
    expect(parseRoundTrip('600s', 50)?.toFraction()).toBe('30000');
    expect(parseRoundTrip('0', 50)?.equals(ZERO)).toBe(true);
    for (const text of ['', '5m', '-1s', '1/2']) expect(parseRoundTrip(text, 50)).toBeUndefined();
  });
});
