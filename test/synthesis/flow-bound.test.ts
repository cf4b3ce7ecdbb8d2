/**
 * The flow bound where single layouts come up to it: what random layouts seldom do.
 */
import { describe, expect, it } from 'vitest';
import { ratio } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import { runTrial } from '../../src/simulation/trial.js';
import { flowBound } from '../oracles/flow-bound.js';
import { arm, armModel, belt, beltModel, chest, exit, layoutOf, splitter, splitterModel, wagonModel } from '../simulation/sketch.js';

const flowOf = (layout: Layout): string =>
  runTrial(layout, { starts: 0, seed: 1, tickLimit: 20_000, presence: ratio(1000) })
    .exits.reduce((sum, { flow }) => sum.add(flow), ratio(0))
    .toFraction();

describe('the flow bound', () => {
  it('knows that tests of distance end at a dividing line', () => {
    // P 240, v 50: from the spot at 180 an item is past the line, at 360, after 4 moves, and a pitch further after 5.
    const layout = layoutOf(
      [chest(1, 0), arm(1, 1, 'S', { swingTicks: 1 }), belt(1, 2, 'S', 50), splitter(2, 3, 'S', { speed: 50 }), belt(1, 4, 'S', 50), belt(2, 4, 'S', 50)],
      [exit(1, 4, 'S'), exit(2, 4, 'S')],
      { catalog: { pitch: 240, belts: [beltModel(50)], splitters: [splitterModel(50)], underpasses: [] } },
    );
    // A hand of 12: 1 + 2 x 1 + 1 + 11 x 4 ticks.
    expect(flowOf(layout)).toBe('1/4');
    expect(flowBound(layout).all.toFraction()).toBe('1/4');
  });

  it('knows that more than v / P passes along turns shorter than a pitch', () => {
    const early = { swingTicks: 2, grabTicks: 7, slack: 16, patienceTicks: 0 };
    const layout = layoutOf([arm(0, 0, 'S', early), belt(0, 1, 'S', 2), belt(0, 2, 'W', 2)], [exit(0, 2, 'W')], {
      wagons: [{ model: wagonModel, at: 0 }],
      catalog: { unitsPerTile: 16, pitch: 16, turn: { inner: 7, outer: 23 }, belts: [beltModel(2)], splitters: [], underpasses: [], arms: [armModel(early)] },
    });
    // v / P is 1/8.
    expect(flowOf(layout)).toBe('3/23');
    expect(flowBound(layout).all.compare(ratio(3, 23))).toBeGreaterThanOrEqual(0);
  });
});
