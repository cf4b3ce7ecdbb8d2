/**
 * Values worked by hand from the world rules with U 240, P 60, v 15, payload 12, swing 13, grab 1,
 * release 1, slack 0. A hand needs 1 + 2 x 13 + 1 = 28 ticks besides its placing; onto a free lane the
 * items follow each other every P / v = 4 ticks: 28 + 11 x 4 = 72. Arms at splitters' sides and stations of
 * several arms are plans of their own, in `test/cases/practice.test.ts`.
 */
import { describe, expect, it } from 'vitest';
import { ONE, ratio } from '../../src/base/rational.js';
import type { Layout, Part } from '../../src/layout/layout.js';
import { countItems } from '../../src/simulation/counts.js';
import { createRun } from '../../src/simulation/run.js';
import { runTrial } from '../../src/simulation/trial.js';
import type { TrialResult } from '../../src/simulation/trial-result.js';
import { arm, belt, belts, chest, exit, layoutOf, splitter, underpass, wagonModel } from './sketch.js';

const trial = (layout: Layout): TrialResult =>
  runTrial(layout, { starts: 16, seed: 1, tickLimit: 20_000, presence: ONE });
const text = (value: { toFraction(): string } | undefined): string => value?.toFraction() ?? 'none';
const fills = (result: TrialResult): readonly string[] => result.exits.map(({ fill }) => text(fill));

describe('one arm', () => {
  const onto = (...parts: readonly Part[]): Layout =>
    layoutOf([chest(2, 0), arm(2, 1, 'S'), ...parts], [exit(2, 3, 'S'), exit(4, 2, 'E'), exit(1, 3, 'S')]);

  it('fills two thirds of a lane across its heading, in cycles of 72 ticks', () => {
    const result = trial(onto(...belts(2, 2, 'E', 3)));
    expect(result.exact).toBe(true);
    expect(result.periodTicks).toBe(72);
    expect(text(result.arms[0].cycleTicks)).toBe('72');
    // The arm looks south onto a belt that heads east: its far lane is the right one.
    expect([text(result.exits[1].right.fill), text(result.exits[1].left.fill)]).toEqual(['2/3', '0']);
    expect(text(result.exits[1].flow)).toBe('1/6');
    // From a hand's last item to the next hand's first pass 28 ticks.
    expect(result.exits[1].right.largestGap).toBe(28 * 15);
    // 1 grab, 26 swinging, 12 placings; the rest waits for the lane.
    const { moving, blocked, starved } = result.arms[0].share;
    expect([text(moving), text(blocked), text(starved)]).toEqual(['13/24', '11/24', '0']);
  });

  it('keeps to its right-hand lane along and against a belt', () => {
    expect(text(trial(onto(...belts(2, 2, 'S', 2))).exits[0].right.fill)).toBe('2/3');
    const against = trial(layoutOf([chest(2, 3), arm(2, 2, 'N'), belt(2, 1, 'S'), belt(2, 0, 'S')], []));
    expect(against.exits).toEqual([]);
    const back = trial(layoutOf([chest(2, 4), arm(2, 3, 'N'), belt(2, 2, 'S'), belt(1, 2, 'E')], [exit(2, 2, 'S')]));
    expect([text(back.exits[0].left.fill), text(back.exits[0].right.fill)]).toEqual(['2/3', '0']);
  });

  it('gains nothing behind a splitter that it places along, and keeps to one half', () => {
    for (const x of [2, 3]) {
      const result = trial(
        layoutOf([chest(x, 0), arm(x, 1, 'S'), splitter(3, 2, 'S'), belt(2, 3, 'S'), belt(3, 3, 'S')], [
          exit(2, 3, 'S'),
          exit(3, 3, 'S'),
        ]),
      );
      expect(text(result.arms[0].cycleTicks)).toBe('72');
      expect(result.exits.map(({ right }) => text(right.fill))).toEqual(x === 2 ? ['2/3', '0'] : ['0', '2/3']);
    }
  });

  it('moves a hand from container to container in grab + 2 swing + 1 ticks', () => {
    const wagons = [{ model: wagonModel, at: 0 }];
    const layout = layoutOf([arm(0, 0, 'S'), chest(0, 1), arm(3, 0, 'S', { grabTicks: 4, swingTicks: 5 }), chest(3, 1)], [], {
      wagons,
    });
    const result = trial(layout);
    expect(result.arms.map(({ cycleTicks }) => text(cycleTicks))).toEqual(['28', '15']);
    expect(result.periodTicks).toBe(28 * 15);
    expect(result.arms.map(({ share }) => text(share.moving))).toEqual(['1', '1']);
    expect(result.chests.map(({ supply }) => text(supply))).toEqual(['3/7', '4/5']);
    expect(countItems(layout, 57).wagons).toEqual([{ at: 0, taken: 12 * 3 + 12 * 4 }]);
  });
});

describe('an arm that picks from a belt', () => {
  // A full lane passes the picking arm, which stands at its near side.
  const picked = (changes: Parameters<typeof arm>[3]): Layout =>
    layoutOf(
      [chest(0, 0), arm(0, 1, 'S', { payload: 1, swingTicks: 1 }), ...belts(0, 2, 'E', 3), arm(2, 3, 'S', changes), chest(2, 4)],
      [exit(2, 2, 'E')],
    );

  it('takes what passes, and leaves with a full hand', () => {
    // The feeder puts down one item every 4 ticks: 1 + 2 + 1.
    const result = trial(picked({ payload: 1, swingTicks: 1 }));
    expect(result.arms.map(({ flow }) => text(flow))).toEqual(['1/4', '1/4']);
    expect(result.exits[0].flow.compare(0)).toBe(0);
  });

  it('takes at least grab ticks apart', () => {
    const result = trial(picked({ payload: 4, swingTicks: 2, grabTicks: 10 }));
    // 4 takes 10 ticks apart, then 2 + 2 ticks of swinging and one of placing; items wait nowhere, so takes wait for items.
    expect(result.exact).toBe(true);
    const flow = result.arms[1].flow;
    expect(flow.compare(ratio(4, 36)) <= 0).toBe(true);
    expect(result.exits[0].flow.add(flow).compare(ratio(1, 4))).toBe(0);
  });

  it('leaves with a part-full hand when its patience ends', () => {
    // Taken in tick t, swinging in t + 1 and t + 2, placed in t + 3, back in t + 4 and t + 5.
    const impatient = trial(picked({ payload: 12, swingTicks: 2, patienceTicks: 0 }));
    expect([text(impatient.arms[1].flow), text(impatient.arms[1].cycleTicks)]).toEqual(['1/6', '6']);
    // An item comes every 4 ticks, so this hand never gives up before it is full.
    const patient = trial(picked({ payload: 12, swingTicks: 1, patienceTicks: 4 }));
    expect([text(patient.arms[1].flow), text(patient.arms[1].cycleTicks)]).toEqual(['1/4', '48']);
  });
});

describe('metered exits and favours', () => {
  const source = (x: number): readonly Part[] => [chest(x, 0), arm(x, 1, 'S', { slack: 15 }), chest(x, 4), arm(x, 3, 'N', { slack: 15 })];

  it('let out no more than their take, in turn', () => {
    for (const [n, d] of [[1, 7], [3, 10], [2, 5]] as const) {
      const layout = layoutOf([...source(0), ...source(1), ...source(2), ...belts(0, 2, 'E', 4)], [exit(3, 2, 'E', ratio(n, d))]);
      const result = trial(layout);
      expect([result.exact, text(result.exits[0].flow)]).toEqual([true, `${n}/${d}`]);
      expect(result.exits[0].left.flow.equals(result.exits[0].right.flow)).toBe(true);
    }
  });

  it('take from a favoured half first', () => {
    // One item every 4 ticks, which one output half alone could carry.
    const fed = [arm(1, 0, 'S', { payload: 1, swingTicks: 1 })];
    const wagons = [{ model: wagonModel, at: 0 }];
    const make = (favour: { favourOut?: 'left' | 'right' }): Layout =>
      layoutOf(
        [...fed, belt(1, 1, 'S'), splitter(2, 2, 'S', favour), belt(2, 1, 'S'), belt(1, 3, 'S'), belt(2, 3, 'S')],
        [exit(2, 3, 'S'), exit(1, 3, 'S')],
        { wagons },
      );
    const even = countItems(make({}), 400).exits.map(({ right }) => right);
    expect(Math.abs(even[0] - even[1])).toBeLessThanOrEqual(1);
    const favoured = countItems(make({ favourOut: 'right' }), 400).exits.map(({ right }) => right);
    expect(favoured[0]).toBe(0);
    expect(favoured[1]).toBeGreaterThan(80);
  });
});

describe('an underpass', () => {
  it('carries items under what stands between, and arms reach its end tiles only', () => {
    const wagons = [{ model: wagonModel, at: 0 }];
    const layout = layoutOf(
      [arm(0, 0, 'S'), underpass(0, 1, 4, 1), arm(4, 0, 'S'), ...belts(2, 0, 'S', 3), arm(2, 3, 'N')],
      [exit(4, 1, 'E')],
      { wagons },
    );
    const result = trial(layout);
    expect(result.exact).toBe(true);
    expect(text(result.exits[0].right.fill)).toBe('1');
    const run = createRun(layout);
    for (let tick = 0; tick < 200; tick++) run.step();
    const tiles = new Set(run.items().map(({ tile }) => tile.x));
    expect([...tiles].sort()).toEqual([0, 1, 2, 3, 4]);
  });
});

describe('what never flows', () => {
  it('is exact and zero', () => {
    const idle = trial(layoutOf([arm(3, 3, 'E'), ...belts(0, 0, 'E', 3)], [exit(2, 0, 'E'), exit(9, 9, 'S')]));
    expect([idle.exact, ...fills(idle), text(idle.arms[0].share.starved)]).toEqual([true, '0', '0', '1']);
    const blocked = trial(layoutOf([chest(0, 0), arm(0, 1, 'S'), ...belts(0, 2, 'E', 3)], []));
    expect([blocked.exact, text(blocked.arms[0].share.blocked), blocked.arms[0].cycleTicks]).toEqual([true, '1', undefined]);
  });
});
