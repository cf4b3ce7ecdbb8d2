/**
 * What pages compute before anything is drawn: the front of a plot, places for its dots, gaps on a tape, the run
 * behind the moving picture. Pages in a browser are in test/browser/.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { betterWords, frontOf, inPlotOrder, plotSvg, spread, type PlotAxis, type PlotPoint } from '../../src/page/pareto-plot.js';
import { StationRun } from '../../src/page/station-run.js';
import { holesOf, tapeSvg } from '../../src/page/tape-svg.js';
import { countItems } from '../../src/simulation/counts.js';
import { jsonFiles, planOf, SEED } from '../documents.js';

const points = fc
  .array(fc.record({ x: fc.integer({ min: 0, max: 12 }), y: fc.integer({ min: 0, max: 12 }) }), { minLength: 1, maxLength: 30 })
  .map((list): readonly PlotPoint[] => list.map((point, entry) => ({ ...point, entry, label: String(entry + 1), words: `Layout ${entry + 1}` })));

const axis = (name: string, betterGreater = false): PlotAxis => ({ name, betterGreater, isShare: false });
const [COST, PARTS] = [axis('cost'), axis('parts')];

describe('the front', () => {
  it('holds exactly those that nothing beats in both objectives', () => {
    fc.assert(
      fc.property(points, (all) => {
        const front = new Set(frontOf(all, COST, PARTS).map((point) => point.entry));
        for (const point of all) {
          const beaten = all.some((other) => other.x <= point.x && other.y <= point.y && (other.x !== point.x || other.y !== point.y));
          expect(front.has(point.entry)).toBe(!beaten);
        }
      }),
      { seed: SEED },
    );
  });

  it('is the same with a side turned over, where more is better', () => {
    fc.assert(
      fc.property(points, (all) => {
        const turned = all.map((point) => ({ ...point, x: 12 - point.x, y: 12 - point.y }));
        const entries = (front: readonly PlotPoint[]): readonly number[] => front.map((point) => point.entry);
        const [xTurned, yTurned] = [turned.map((point, index) => ({ ...point, y: all[index].y })), turned.map((point, index) => ({ ...point, x: all[index].x }))];
        const expected = entries(frontOf(all, COST, PARTS));
        expect(entries(frontOf(xTurned, axis('fill', true), PARTS))).toEqual(expected);
        expect(entries(frontOf(yTurned, COST, axis('fill', true)))).toEqual(expected);
        expect(entries(frontOf(turned, axis('fill', true), axis('fill', true)))).toEqual(expected);
      }),
      { seed: SEED },
    );
  });

  it('is a line that steps up where more is better above, and ends where either side is worst', () => {
    const [a, b] = [{ entry: 0, label: '1', words: '', x: 40, y: 0.5 }, { entry: 1, label: '2', words: '', x: 60, y: 1 }];
    const fill = { name: 'fill', betterGreater: true, isShare: true };
    const lineOf = (across: PlotAxis, up: PlotAxis, points: readonly PlotPoint[]): readonly (readonly number[])[] => {
      const svg = plotSvg(points, { across, up, knee: undefined, selected: 0, width: 500 });
      const path = /class="front" d="M([^"]*)"/.exec(svg)?.[1] ?? '';
      return path.split('L').map((corner) => corner.split(',').map(Number));
    };
    const rising = lineOf(COST, fill, [a, b]);
    expect(rising.every(([x, y], index) => index === 0 || (x >= rising[index - 1][0] && y <= rising[index - 1][1]))).toBe(true);
    expect(rising[0][1]).toBeGreaterThan(rising[rising.length - 1][1]);
    const turned = [a, b].map((point) => ({ ...point, x: point.y, y: point.x }));
    const falling = lineOf(fill, COST, turned);
    expect(falling.every(([x, y], index) => index === 0 || (x <= falling[index - 1][0] && y >= falling[index - 1][1]))).toBe(true);
    expect(plotSvg([a, b], { across: COST, up: fill, knee: undefined, selected: 0, width: 500 })).toMatch(/>100%<.*>50%<|>50%<.*>100%</);
  });

  it('says which corner is better', () => {
    expect([betterWords(COST, PARTS), betterWords(COST, axis('fill', true)), betterWords(axis('fill', true), COST)]).toEqual([
      'Left and low is better.',
      'Left and high is better.',
      'Right and low is better.',
    ]);
  });

  it('falls from left to right', () => {
    fc.assert(
      fc.property(points, (all) => {
        const front = frontOf(all, COST, PARTS);
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
        const svg = plotSvg(all, { across: COST, up: PARTS, knee: 0, selected, width: 500 });
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
  const plans = jsonFiles('models/plans').map((path) => [path, planOf(path)] as const);

  it.each(plans)('%s: counts what the simulator counts, also after a reset', (_, layout) => {
    const station = new StationRun(layout, undefined);
    for (const ticks of [700, 233]) {
      station.reset();
      while (station.tick < ticks) station.step();
      expect(station.run.counts()).toEqual(countItems(layout, ticks));
    }
  });

  it.each(plans.filter(([, { exits }]) => exits.length > 0))('%s: its tapes show every item that has left lately, never closer than the pitch', (_, layout) => {
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
