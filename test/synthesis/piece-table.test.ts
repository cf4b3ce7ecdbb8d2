/** Pieces of first layouts, with designs that are given: what becomes of exits that come to share a network. */
import { expect, it } from 'vitest';
import { ratio } from '../../src/base/rational.js';
import { NO_LIMITS, type Brief } from '../../src/brief/brief.js';
import type { Layout, Part } from '../../src/layout/layout.js';
import { PieceTable } from '../../src/synthesis/first-layouts/piece-table.js';
import { arm, belt, beltModel, exit, plainCatalog, splitter, wagonModel } from '../simulation/sketch.js';

const COLUMNS = [1, 2, 4];
const target = { total: ratio(1, 10), left: ratio(0), right: ratio(0) };
const brief: Brief = {
  name: 'three exits in a row',
  catalog: plainCatalog,
  site: { width: 6, depth: 2, keepOut: [] },
  wagons: [{ model: wagonModel, at: 0 }],
  exits: COLUMNS.map((at) => ({ edge: 'S', from: at, to: at, belt: beltModel(), target })),
  together: undefined,
  presence: ratio(1),
  spotting: 0,
  feed: 'either',
  starts: 0,
  limits: NO_LIMITS,
  minimise: ['cost'],
};
const ATTEMPT = { spread: 0, aim: ratio(0), milliseconds: 100 };

const layoutOf = (asked: Brief, parts: readonly Part[]): Layout => ({ ...asked, parts, exits: asked.exits.map(({ from }) => exit(from, 1, 'S')) });

it('exits that share a network with another one are no longer improved without it', async () => {
  const improved: number[] = [];
  const table = new PieceTable(brief, {
    designAlone: (asked) => () => Promise.resolve(layoutOf(asked, asked.exits.flatMap(({ from }) => [arm(from, 0, 'S'), belt(from, 1, 'S')]))),
    gatherAlone: () => () => Promise.resolve({ layouts: [], isWhole: true }),
    // All exits by one arm, and two side by side by one splitter.
    nearbyCrews: (asked) => {
      improved.push(asked.exits.length);
      const [{ from }, { from: other }] = asked.exits;
      const carriers = other === from + 1 ? [splitter(other, 1, 'S')] : [belt(from, 1, 'S'), belt(other, 1, 'S')];
      return () => Promise.resolve(layoutOf(asked, [arm(from, 0, 'S'), ...carriers]));
    },
    passes: ({ exits }, { exits: asked }) => {
      expect(exits).toHaveLength(asked.length);
      return true;
    },
  });
  for (const e of COLUMNS.keys()) await table.place(e, { from: COLUMNS[e], to: COLUMNS[e] }, ATTEMPT, true);
  expect(table.missing).toEqual([]);
  expect(table.price).toBe(33);
  expect(await table.improve([0, 1], 100)).toBe(true);
  expect(table.groups(false)).toContainEqual([0, 1]);
  expect(table.price).toBe(29);
  expect(await table.improve([1, 2], 100)).toBe(false);
  expect(improved).toEqual([2]);
  expect(table.layout.exits).toHaveLength(3);
});
