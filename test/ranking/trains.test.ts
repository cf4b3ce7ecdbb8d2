/**
 * How long a train stands and how often one can come: by formula from steady flows, and measured with real counts.
 * Common practice, no source: a layout whose middle chest carries half of the flow keeps the train about twice as long
 * as an even one at equal flow.
 */
import { describe, expect, it } from 'vitest';
import { ONE, ratio, type Rational } from '../../src/base/rational.js';
import type { Layout, Part } from '../../src/layout/layout.js';
import { trainFormula } from '../../src/ranking/train-formula.js';
import { trainMeasures } from '../../src/ranking/train-measures.js';
import { runTrial } from '../../src/simulation/trial.js';
import { runVisits } from '../../src/simulation/run-visits.js';
import { visitStation } from '../../src/tasks/visit-station.js';
import { planOf } from '../documents.js';
import { arm, belts, chest, exit, layoutOf, wagonModel } from '../simulation/sketch.js';

/** Four chests at one wagon, each with a belt of its own to an exit that takes so much. */
function fourChests(takes: readonly Rational[]): Layout {
  const parts: readonly Part[] = takes.flatMap((_, i) => {
    const x = i < 2 ? i : i + 1;
    return [arm(x, 0, 'S'), chest(x, 1), arm(x, 2, 'S'), ...belts(x, 3, 'S', 2)];
  });
  const exits = takes.map((take, i) => exit(i < 2 ? i : i + 1, 4, 'S', take));
  return layoutOf(parts, exits, { wagons: [{ model: { ...wagonModel, capacity: 1200 }, at: 0 }] });
}

const steady = (layout: Layout) => runTrial(layout, { starts: 0, seed: 1, tickLimit: 200_000, presence: ONE });

const EVEN = fourChests([1, 1, 1, 1].map((n) => ratio(n, 24)));
const UNEVEN = fourChests([2, 6, 2, 2].map((n) => ratio(n, 72)));

describe('a middle chest with half of the flow', () => {
  it('keeps the train exactly twice as long by formula, at equal flow', () => {
    const [even, uneven] = [EVEN, UNEVEN].map((layout) => trainFormula(layout, steady(layout)));
    expect(even?.headwayTicks.toFraction()).toBe('7200');
    expect(uneven?.headwayTicks.toFraction()).toBe('7200');
    // An arm brings 12 in 28 ticks: 300 items at 3/7 a tick, and 600.
    expect(even?.dwellTicks.toFraction()).toBe('700');
    expect(uneven?.dwellTicks.toFraction()).toBe('1400');
    expect(uneven?.slowest?.at).toEqual({ x: 1, y: 1 });
  });

  it('keeps it about twice as long when trains come with real counts', () => {
    const [even, uneven] = [EVEN, UNEVEN].map((layout) => {
      const { cycle, ending, visits } = runVisits(layout, { loads: [1200], levels: [0, 0, 0, 0], headwayTicks: 7250, stayTicks: undefined });
      expect(ending).toBe('repeats');
      const measures = cycle && trainMeasures(cycle, 50);
      return { dwell: measures?.dwellTicks.valueOf() ?? 0, flow: measures?.flow.toFraction(), waited: visits.at(-1)?.waitedFor };
    });
    expect(even.flow).toBe(uneven.flow);
    expect(uneven.dwell / even.dwell).toBeGreaterThan(1.8);
    expect(uneven.dwell / even.dwell).toBeLessThan(2.2);
    // And the run says which chest the train waited for.
    expect(uneven.waited).toMatchObject({ why: 'one-arm', arm: { at: { x: 1, y: 0 }, into: { kind: 'chest', at: { x: 1, y: 1 } } }, others: { count: 3 } });
    expect(even.waited?.why).toBe('arms');
  });
});

describe('trains one after the other', () => {
  it.each(['grain-two-bins', 'grain-two-exits', 'grain-direct-tee'])('leave as often as the flow of %s carries off their load', (name) => {
    const layout = planOf(`models/plans/${name}.json`);
    const { measures } = visitStation(layout);
    const formula = trainFormula(layout, steady(layout));
    expect(measures?.headwayTicks.toFraction()).toBe(formula?.headwayTicks.toFraction());
    expect(measures?.trainsPerHour.toFraction()).toBe(formula?.trainsPerHour.toFraction());
  });

  it('come no sooner than their slowest wagon is empty', () => {
    const model = { ...wagonModel, length: 3, capacity: 1200 };
    const layout = { ...fourChests([2, 2, 1, 1].map((n) => ratio(n, 48))), wagons: [{ model, at: 0 }, { model, at: 3 }] };
    const formula = trainFormula(layout, steady(layout));
    // The second wagon gives 1/24 a tick; half of its load goes over each arm, at 3/7.
    expect([formula?.headwayTicks.toFraction(), formula?.load, formula?.dwellTicks.toFraction()]).toEqual(['28800', 2400, '1400']);
  });

  it('have no formula where a chest runs dry, or a wagon is reached by no arm', () => {
    const starved = layoutOf([chest(0, 1), arm(0, 2, 'S'), ...belts(0, 3, 'S', 2)], [exit(0, 4, 'S')], { wagons: [{ model: wagonModel, at: 0 }] });
    expect(trainFormula(starved, steady(starved))).toBeUndefined();
    // Three arms take 1/6 each, of a chest into which one brings 3/7.
    const drained = layoutOf(
      [arm(2, 0, 'S'), chest(2, 1), arm(2, 2, 'S'), arm(1, 1, 'W'), arm(3, 1, 'E'), ...belts(0, 1, 'S', 4), ...belts(2, 3, 'S', 2), ...belts(4, 1, 'S', 4)],
      [exit(0, 4, 'S'), exit(2, 4, 'S'), exit(4, 4, 'S')],
      { wagons: [{ model: wagonModel, at: 0 }] },
    );
    expect(steady(drained).chests.map(({ outflow, supply, keepsUp }) => [outflow.toFraction(), supply.toFraction(), keepsUp])).toEqual([['1/2', '3/7', false]]);
    expect(trainFormula(drained, steady(drained))).toBeUndefined();
    const far = { ...EVEN, wagons: [...EVEN.wagons, { model: wagonModel, at: 7 }] };
    expect(trainFormula(far, steady(far))).toBeUndefined();
  });
});

it('a train is there for its dwell out of each time from one to the next', () => {
  const cycle = { firstVisit: 2, visits: 3, ticks: 1200, dwellTicks: 300, unloaded: 0, exits: [], cameIn: 0, arms: [] };
  const { presence, dwellTicks, headwayTicks, trainsPerHour } = trainMeasures(cycle, 50);
  expect([presence, dwellTicks, headwayTicks, trainsPerHour].map((each) => each.toFraction())).toEqual(['1/4', '100', '400', '450']);
});
