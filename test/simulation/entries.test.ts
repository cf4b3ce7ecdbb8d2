/**
 * What comes in over entries, where it can be told by hand: a free belt is saturated whatever pitch and speed, a give is
 * met exactly, and chests that load are filled and emptied as their arms say.
 */
import { describe, expect, it } from 'vitest';
import { ONE, ratio } from '../../src/base/rational.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import type { Layout } from '../../src/layout/layout.js';
import { runTrial } from '../../src/simulation/trial.js';
import { planOf, readCatalog, sound } from '../documents.js';

const catalog = readCatalog('models/catalogs/grain-yard.json');
const options = { starts: 4, seed: 1, tickLimit: 200_000, presence: ONE };

function through(pitch: number, speed: number, give?: string): Layout {
  const odd = { ...catalog, pitch, belts: catalog.belts.map((belt) => ({ ...belt, speed })) };
  const parts = [0, 1, 2].map((x) => ({ kind: 'belt', at: [x, 0], heading: 'E', model: 'field belt' }));
  const edge = { at: [0, 0], heading: 'E', ...(give === undefined ? {} : { give }) };
  const plan = { format: 'transloom-plan/1', name: 'through', catalog: 'x', site: { width: 3, depth: 1 }, wagons: [], parts, exits: [{ at: [2, 0], heading: 'E' }], entries: [edge] };
  return sound(parsePlan(plan, odd));
}

describe('an entry', () => {
  it.each([[60, 12], [60, 13], [60, 60], [7, 3], [240, 77], [1, 1]])('saturates a free belt of pitch %i and speed %i', (pitch, speed) => {
    const { exact, exits, entries } = runTrial(through(pitch, speed), options);
    expect(exact).toBe(true);
    expect(exits[0].flow.equals(ratio(2 * speed, pitch))).toBe(true);
    expect(exits[0].left.largestGap).toBe(pitch);
    expect(entries?.[0].share.equals(ONE)).toBe(true);
  });

  it.each([['1/7', 1, 7], ['3/10', 3, 10], ['2/5', 2, 5], ['5', 2, 5]])('gives %s, or what the belt carries', (give, over, under) => {
    const { exits, entries } = runTrial(through(60, 12, give), options);
    expect(exits[0].flow.equals(ratio(over, under))).toBe(true);
    expect(entries?.[0].flow.equals(ratio(over, under))).toBe(true);
  });
});

describe('a plan that loads', () => {
  const layout = planOf('models/plans/grain-loading.json');

  it('brings into the wagon what comes in, by its chests', () => {
    const trial = runTrial(layout, options);
    const inflows = trial.chests.map(({ loads }) => loads?.inflow ?? ratio(0));
    expect(trial.wagons?.[0].inflow.equals(ratio(2, 5))).toBe(true);
    expect(inflows.reduce((sum, flow) => sum.add(flow)).equals(ratio(2, 5))).toBe(true);
    expect(trial.chests.map(({ keepsUp }) => keepsUp)).toEqual([true, true, true, true]);
  });

  it('has chests that fill up where a train stands there too rarely for what flows into them', () => {
    const { chests, wagons } = runTrial(layout, { ...options, presence: ratio(1, 2) });
    // 4/19 and 17/95 come in, 8/25 of an item a tick can be carried off while a train stands there.
    expect(chests.map(({ keepsUp }) => keepsUp)).toEqual([false, false, true, true]);
    expect(wagons?.[0].inflow.equals(ratio(8, 25).add(ratio(1, 95)))).toBe(true);
  });
});
