/**
 * What pages compute before anything is drawn: the front of a plot, places for its dots, gaps on a tape, the run
 * behind the moving picture. Pages in a browser are in test/browser/.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { frontOf, inPlotOrder, plotSvg, spread, type PlotPoint } from '../../src/page/pareto-plot.js';
import { StationRun } from '../../src/page/station-run.js';
import { holesOf, tapeSvg } from '../../src/page/tape-svg.js';
import { countItems } from '../../src/simulation/counts.js';
import { jsonFiles, catalogOf, readJson, SEED } from '../documents.js';

const points = fc
  .array(fc.record({ x: fc.integer({ min: 0, max: 12 }), y: fc.integer({ min: 0, max: 12 }) }), { minLength: 1, maxLength: 30 })
  .map((list): readonly PlotPoint[] => list.map((point, entry) => ({ ...point, entry, words: `Layout ${entry + 1}` })));

describe('the front', () => {
  it('holds exactly those that nothing beats in both objectives', () => {
    fc.assert(
      fc.property(points, (all) => {
        const front = new Set(frontOf(all).map((point) => point.entry));
        for (const point of all) {
          const beaten = all.some((other) => other.x <= point.x && other.y <= point.y && (other.x !== point.x || other.y !== point.y));
          expect(front.has(point.entry)).toBe(!beaten);
        }
      }),
      { seed: SEED },
    );
  });

  it('falls from left to right', () => {
    fc.assert(
      fc.property(points, (all) => {
        const front = frontOf(all);
        expect(front.every((point, index) => index === 0 || (front[index - 1].x <= point.x && front[index - 1].y >= point.y))).toBe(true);
      }),
      { seed: SEED },
    );
  });
});

describe('the dots', () => {
  it('never hide each other where there is room', () => {
    const all = Array.from({ length: 12 }, () => ({ x: 100, y: 100 }));
    const places = spread(all);
    for (const [index, one] of places.entries()) {
      for (const other of places.slice(index + 1)) expect(Math.hypot(one.x - other.x, one.y - other.y)).toBeGreaterThan(16);
    }
    expect(places[0]).toEqual({ x: 100, y: 100 });
  });

  it('are one to each layout, and one of them can be reached by Tab', () => {
    fc.assert(
      fc.property(points, fc.nat({ max: 29 }), (all, selected) => {
        const svg = plotSvg(all, { xName: 'cost', yName: 'parts', knee: 0, selected, width: 500 });
        expect([...svg.matchAll(/data-entry="(\d+)"/g)].map(([, entry]) => Number(entry))).toEqual(inPlotOrder(all).map((point) => point.entry));
        expect(svg.match(/tabindex="0"/g)).toHaveLength(1);
        expect(svg).not.toMatch(/NaN|undefined|Infinity/);
      }),
      { seed: SEED },
    );
  });
});

describe('a tape', () => {
  it('has a hole where items are further apart than the pitch', () => {
    const tape = { speed: 12, beyond: [10, 70, 190, 250] };
    expect(holesOf(tape, 60)).toEqual([{ from: 70, to: 130 }]);
    expect(tapeSvg([{ name: 'left', tape }], 60, 'exit A', 600).match(/class="hole"/g)).toHaveLength(1);
    expect(holesOf({ speed: 12, beyond: [0, 60, 120] }, 60)).toEqual([]);
  });
});

describe('a watched run', () => {
  const plans = jsonFiles('models/plans').map((path) => {
    const plan = parsePlan(readJson(path), catalogOf(path));
    if (!plan.ok) throw new Error(path);
    return [path, plan.value] as const;
  });

  it.each(plans)('%s: counts what the simulator counts, also after a reset', (_, layout) => {
    const station = new StationRun(layout, undefined);
    for (const ticks of [700, 233]) {
      station.reset();
      while (station.tick < ticks) station.step();
      expect(station.run.counts()).toEqual(countItems(layout, ticks));
    }
  });

  it.each(plans)('%s: its tapes show every item that has left lately, never closer than the pitch', (_, layout) => {
    const station = new StationRun(layout, undefined);
    let seen = 0;
    while (station.tick < 900) station.step();
    station.run.counts().exits.forEach((exit, index) => {
      for (const [side, count] of [[0, exit.left], [1, exit.right]] as const) {
        const { beyond } = station.tape(index, side);
        expect(beyond).toHaveLength(Math.min(48, count));
        expect(beyond.every((front, at) => front >= 0 && (at === 0 || front - beyond[at - 1] >= layout.catalog.pitch))).toBe(true);
        seen += beyond.length;
      }
    });
    expect(seen).toBeGreaterThan(0);
  });
});
