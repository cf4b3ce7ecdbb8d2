/**
 * Units as fine as a catalog may have: a layout whose lengths and speeds are all some thousand times as great does just the
 * same, though its positions, ways and gaps hardly fit into 32 bits or no longer do.
 */
import { describe, expect, it } from 'vitest';
import { ONE } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import { countItems } from '../../src/simulation/counts.js';
import { createRun } from '../../src/simulation/run.js';
import { runTrial } from '../../src/simulation/trial.js';
import { arm, beltModel, belts, chest, exit, layoutOf } from './sketch.js';

const FINER = 4_000;

/** One arm onto so many belts in a row, on which an item takes `perTile` ticks for a tile of 240 units. */
function row(tiles: number, perTile: number, armChanges: Parameters<typeof arm>[3], finer: number): Layout {
  const [unitsPerTile, pitch, speed] = [240 * finer, 60 * finer, (240 / perTile) * finer];
  const parts = [chest(0, 0), arm(0, 1, 'S', armChanges), ...belts(0, 2, 'E', tiles, speed)];
  return layoutOf(parts, [exit(tiles - 1, 2, 'E')], { catalog: { unitsPerTile, pitch, turn: { inner: unitsPerTile, outer: unitsPerTile }, belts: [beltModel(speed)] } });
}

describe('fine units', () => {
  it.each([
    ['items far apart on a lane that is never empty', 20, 16, { payload: 1, swingTicks: 145 }, [36_000, 40_000, 100_000]],
    ['a way of more units than a lane may have', 2_300, 4, {}, [9_300, 9_900]],
  ] as const)('change no count: %s', (_, tiles, perTile, armChanges, ticks) => {
    const [coarse, fine] = [1, FINER].map((finer) => row(tiles, perTile, armChanges, finer));
    for (const tick of ticks) {
      const { exits } = countItems(coarse, tick);
      expect(exits[0].right).toBeGreaterThan(0);
      expect(countItems(fine, tick).exits).toEqual(exits);
    }
  });

  it('hold an arm back for longer than any run, if its cycle is as long', () => {
    const run = createRun(row(4, 4, {}, 1), { delays: [2 ** 31 + 5] });
    for (let tick = 0; tick < 100; tick++) run.step();
    expect(run.arms().map(({ taken }) => taken)).toEqual([0]);
  });

  it('make gaps as much greater', () => {
    const OPTIONS = { starts: 0, seed: 1, tickLimit: 100_000, presence: ONE };
    const slow = (finer: number): Layout => {
      const plan = row(4, 4, { payload: 1, swingTicks: 10_000 }, finer);
      return { ...plan, parts: [...plan.parts, chest(1, 0), arm(1, 1, 'S', { payload: 1, swingTicks: 10_050 })] };
    };
    const [coarse, fine] = [1, FINER].map((finer) => runTrial(slow(finer), OPTIONS).exits[0].right);
    expect(coarse.largestGap).toBeGreaterThan(19_000 * 60);
    expect(fine).toEqual({ ...coarse, largestGap: (coarse.largestGap ?? 0) * FINER });
  });
});
