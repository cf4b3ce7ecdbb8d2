/**
 * Trains and items in a station against published laws.
 * - Little's law, L = lambda W: J. D. C. Little, "A proof for the queuing formula", Operations Research 9(3), 1961.
 * - Fleet = ceil(cycle / headway): transit handbooks, values from memory: 65 min and 10 % layover are 71.5, rounded to
 *   72, which at a headway of 15 min takes 5; 100 min at 30 takes 4.
 */
import { describe, expect, it } from 'vitest';
import { referenceRun } from '../../src/audit/reference-simulator.js';
import { ratio } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import { cycleWithLayover, fleetSize } from '../../src/ranking/sizing.js';
import { VisitRun } from '../../src/simulation/visit-run.js';
import { planOf } from '../documents.js';
import { referenceFlow } from '../oracles/reference-flow.js';

const sample = (name: string): Layout => planOf(`models/plans/${name}.json`);

describe("Little's law", () => {
  it.each(['grain-two-bins', 'grain-two-exits', 'grain-direct-tee'])('holds to the item on the belts and in the hands of %s', (name) => {
    const layout = sample(name);
    const { exact, transientTicks, periodTicks } = referenceFlow(layout, 5000);
    expect(exact).toBe(true);
    const run = referenceRun(layout);
    // Long enough that every item which is inside has come within the period's own rhythm.
    const from = transientTicks + Math.ceil(2000 / periodTicks) * periodTicks;
    const cameIn = new Map<number, number>();
    let inside = new Set<number>();
    let area = 0;
    let left = 0;
    let stays = 0;
    for (let tick = 1; tick <= from + periodTicks; tick += 1) {
      run.step();
      const now = new Set(run.items().map(({ id }) => id));
      for (const id of now) if (!inside.has(id)) cameIn.set(id, tick);
      if (tick > from) {
        area += now.size;
        for (const id of inside) {
          if (now.has(id)) continue;
          left += 1;
          stays += tick - (cameIn.get(id) ?? tick);
        }
      }
      inside = now;
    }
    expect(left).toBeGreaterThan(10);
    const [lambda, w, l] = [ratio(left, periodTicks), ratio(stays, left), ratio(area, periodTicks)];
    expect(lambda.mul(w).toFraction()).toBe(l.toFraction());
  });

  it('holds for the trains at a station', () => {
    const layout = sample('grain-two-bins');
    const run = new VisitRun(layout, { loads: [600], levels: [0, 0], headwayTicks: 3000, stayTicks: undefined });
    let there = 0;
    const ticks = 30_000;
    for (let tick = 0; tick < ticks; tick += 1) {
      if (run.isTrainDue) run.arrive();
      if (run.isTrainThere) there += 1;
      run.step(run.tick);
    }
    run.closeVisit();
    const dwells = run.visits.map(({ dwellTicks }) => dwellTicks ?? 0);
    expect(dwells).toHaveLength(ticks / 3000);
    const mean = ratio(dwells.reduce((sum, dwell) => sum + dwell, 0), dwells.length);
    expect(ratio(1, 3000).mul(mean).toFraction()).toBe(ratio(there, ticks).toFraction());
  });
});

describe('the fleet', () => {
  it('is the cycle over the headway, rounded up', () => {
    const cycle = cycleWithLayover(ratio(65), ratio(1, 10));
    expect(cycle.toFraction()).toBe('143/2');
    expect(cycle.ceil().toFraction()).toBe('72');
    expect(fleetSize(cycle, ratio(15))).toBe(5);
    expect(fleetSize(ratio(72), ratio(15))).toBe(5);
    expect(fleetSize(ratio(100), ratio(30))).toBe(4);
    expect(fleetSize(ratio(90), ratio(30))).toBe(3);
  });
});
