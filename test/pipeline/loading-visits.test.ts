/**
 * Trains that are filled: visit runs of the plan that ships beside the formulas for them.
 */
import { describe, expect, it } from 'vitest';
import { ONE, ratio } from '../../src/base/rational.js';
import { trainFormula } from '../../src/ranking/train-formula.js';
import { runTrial } from '../../src/simulation/trial.js';
import { fillsTrains, visitStation } from '../../src/tasks/visit-station.js';
import { planOf } from '../documents.js';

const layout = planOf('models/plans/grain-loading.json');
const formula = trainFormula(layout, runTrial(layout, { starts: 0, seed: 1, tickLimit: 100_000, presence: ONE }));

describe('a train that is filled', () => {
  it('comes empty, leaves full, and what trains took and chests hold is what came in', () => {
    expect(fillsTrains(layout)).toBe(true);
    const { terms, result } = visitStation(layout, { visits: 12 });
    expect(terms.loads).toEqual([0]);
    expect(result.visits.map(({ leftWith }) => leftWith)).toEqual(result.visits.map(() => 1500));
  });

  it('is full after capacity / flow where the next one comes at once', () => {
    expect(formula?.headwayTicks.equals(3750)).toBe(true);
    const { measures } = visitStation(layout);
    expect(measures?.headwayTicks.equals(ratio(3750))).toBe(true);
  });

  it('stands as long as all arms together need where chests have filled while none was there', () => {
    expect(formula?.dwellTicks.equals(ratio(1500).div(ratio(4 * 8, 25)))).toBe(true);
    const { measures } = visitStation(layout, { headwayTicks: 4500 });
    const off = measures?.dwellTicks.sub(formula?.dwellTicks ?? 0).abs().valueOf();
    expect(off).toBeLessThan(2 * 25);
  });

  it('leaves before it is full where its stay is over, and takes away what it has', () => {
    const { result } = visitStation(layout, { stayTicks: 1000, visits: 5 });
    expect(result.visits.every(({ dwellTicks, leftWith }) => dwellTicks === 1000 && leftWith > 0 && leftWith < 1500)).toBe(true);
  });

  it('backs up belts and chests where trains come too rarely, and loses nothing', () => {
    const { result } = visitStation(layout, { headwayTicks: 60_000 });
    expect(result.ending).toBe('repeats');
    expect(result.cycle?.unloaded).toBe(-(result.cycle?.cameIn ?? 0));
    expect(result.chests.map(({ capacity }) => capacity)).toEqual([1200, 1200, 1200, 1200]);
    expect(Math.max(...result.visits.map((visit) => visit.chests[0].highest))).toBe(1200);
  });
});
