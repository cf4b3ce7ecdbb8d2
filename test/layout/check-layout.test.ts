/**
 * Warnings about what is legal but surely not meant. Errors are told in parse-plan.test.ts.
 */
import { describe, expect, it } from 'vitest';
import { checkWhole } from './check-whole.js';
import type { Layout } from '../../src/layout/layout.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { catalogOf, gist, jsonFiles, readCatalog, readJson } from '../documents.js';

const catalog = readCatalog('models/catalogs/grain-yard.json');

type Json = Readonly<Record<string, unknown>>;

const belt = (x: number, y: number, heading = 'S'): Json => ({
  kind: 'belt',
  at: [x, y],
  heading,
  model: 'field belt',
});
const arm = (x: number, y: number, heading = 'S'): Json => ({ kind: 'arm', at: [x, y], heading, model: 'bay arm' });
const bin = (x: number, y: number): Json => ({ kind: 'chest', at: [x, y], model: 'grain bin' });
const splitter = (x: number, y: number, heading = 'S'): Json => ({
  kind: 'splitter',
  at: [x, y],
  heading,
  model: 'field splitter',
});
const underpass = (from: readonly number[], to: readonly number[]): Json => ({
  kind: 'underpass',
  from,
  to,
  model: 'field underpass',
});
const south = (x: number, y: number): Json => ({ at: [x, y], heading: 'S' });

/** On 6 x 5 tiles below a wagon of six. */
function layoutOf(parts: readonly Json[], exits: readonly Json[]): Layout {
  const parsed = parsePlan(
    {
      format: 'transloom-plan/1',
      name: 'test',
      catalog: 'x',
      site: { width: 6, depth: 5 },
      wagons: [{ model: 'long grain wagon', at: 0 }],
      parts,
      exits,
    },
    catalog,
  );
  if (!parsed.ok) throw new Error(gist(parsed.findings).join());
  return parsed.value;
}

const column = [arm(1, 0), belt(1, 1), belt(1, 2), belt(1, 3), belt(1, 4)];

describe('warnings', () => {
  it.each<readonly [string, readonly Json[], readonly Json[], readonly string[]]>([
    ['none', column, [south(1, 4)], []],
    [
      'an arm at nothing on both sides',
      [...column, arm(4, 2)],
      [south(1, 4)],
      ['arm-picks-nothing /parts/5', 'arm-places-nothing /parts/5'],
    ],
    [
      'an arm that places on an arm',
      [arm(1, 0), arm(1, 1)],
      [],
      ['arm-picks-nothing /parts/1', 'arm-places-nothing /parts/0', 'arm-places-nothing /parts/1'],
    ],
    ['an exit beside the belt', column, [south(1, 4), south(2, 4)], ['exit-unreached /exits/1']],
    [
      'an exit at a belt that no arm loads',
      [belt(1, 3), belt(1, 4)],
      [south(1, 4)],
      ['belt-unfed /parts/0', 'exit-unreached /exits/0'],
    ],
    [
      'an exit that only an idle arm serves',
      [arm(1, 2), belt(1, 3), belt(1, 4)],
      [south(1, 4)],
      ['arm-picks-nothing /parts/0', 'belt-unfed /parts/1', 'exit-unreached /exits/0'],
    ],
    ['an exit that takes nothing', column, [{ ...south(1, 4), take: '0' }], ['exit-takes-nothing /exits/0']],
    ['a belt to nowhere', column, [], ['belt-dead-end /parts/4']],
    [
      'a belt to nowhere that an arm empties',
      [arm(0, 0), belt(0, 1, 'E'), belt(1, 1, 'E'), arm(1, 2), bin(1, 3), arm(1, 4)],
      [],
      ['arm-places-nothing /parts/5', 'chest-unemptied /parts/4'],
    ],
    [
      'a belt without which the next would be a turn',
      [arm(0, 0), belt(0, 1, 'E'), belt(1, 0), belt(1, 1), belt(1, 2), belt(1, 3), belt(1, 4)],
      [south(1, 4)],
      ['belt-unfed-unturns /parts/2'],
    ],
    [
      'a belt without which the next would be no turn',
      [arm(0, 0), belt(0, 1, 'E'), belt(1, 0), arm(2, 0), belt(2, 1, 'W'), belt(1, 1), belt(1, 2), belt(1, 3), belt(1, 4)],
      [south(1, 4)],
      ['belt-unfed /parts/2'],
    ],
    [
      'a belt that faces a bin',
      [arm(1, 0), belt(1, 1), bin(1, 2)],
      [],
      ['belt-faces-part /parts/1', 'chest-unemptied /parts/2', 'chest-unfilled /parts/2'],
    ],
    [
      'belts head on',
      [arm(1, 0), arm(2, 0), belt(1, 1, 'E'), belt(2, 1, 'W')],
      [],
      ['belt-faces-part /parts/2', 'belt-faces-part /parts/3'],
    ],
    [
      "a belt into a splitter's side",
      [arm(1, 0), belt(1, 1, 'E'), splitter(3, 1)],
      [],
      ['belt-dead-end /parts/2', 'belt-faces-part /parts/1', 'belt-unfed /parts/2'],
    ],
    [
      'a splitter with one closed half',
      [arm(1, 0), belt(1, 1), splitter(2, 2), belt(1, 3), belt(1, 4)],
      [south(1, 4)],
      [],
    ],
    [
      'a splitter that passes loaded items across',
      [arm(1, 0), belt(1, 1), splitter(2, 2), belt(2, 3), belt(2, 4)],
      [south(2, 4)],
      [],
    ],
    ['an underpass that leads nowhere', [arm(1, 0), underpass([1, 1], [1, 3])], [], ['belt-dead-end /parts/1']],
    [
      'an underpass that an arm empties',
      [arm(1, 0), underpass([1, 1], [1, 2]), arm(2, 2, 'E'), bin(3, 2)],
      [],
      ['chest-unemptied /parts/3'],
    ],
    ['a bin that is filled and emptied', [arm(1, 0), bin(1, 1), arm(1, 2), belt(1, 3), belt(1, 4)], [south(1, 4)], []],
    [
      'a bin that is not filled',
      [bin(1, 1), arm(1, 2), belt(1, 3), belt(1, 4)],
      [south(1, 4)],
      ['chest-unfilled /parts/0'],
    ],
    [
      'a ring',
      [arm(1, 0), belt(1, 1, 'E'), belt(2, 1, 'S'), belt(2, 2, 'W'), belt(1, 2, 'N')],
      [],
      ['belt-ring /parts/1'],
    ],
    [
      'a ring with a way out',
      [
        arm(2, 0),
        belt(1, 1, 'E'),
        belt(2, 1, 'E'),
        belt(3, 1),
        splitter(3, 2),
        belt(3, 3),
        belt(3, 4),
        belt(2, 3, 'W'),
        belt(1, 3, 'N'),
        belt(1, 2, 'N'),
      ],
      [south(3, 4)],
      ['belt-ring /parts/1'],
    ],
  ])('%s', (_, parts, exits, expected) => {
    expect(gist(checkWhole(layoutOf(parts, exits)))).toEqual(expected);
  });

  it('come one for each ring, at its first tile, with its length', () => {
    const ring = (x: number, y: number): readonly Json[] => [
      belt(x, y + 1, 'N'),
      belt(x, y, 'E'),
      belt(x + 1, y, 'S'),
      belt(x + 1, y + 1, 'W'),
    ];
    const found = checkWhole(layoutOf([...ring(0, 0), ...ring(3, 1)], [])).filter(({ code }) => code === 'belt-ring');
    expect(found).toEqual([
      { severity: 'warning', code: 'belt-ring', pointer: '/parts/1', tile: { x: 0, y: 0 }, values: { tiles: 4 } },
      { severity: 'warning', code: 'belt-ring', pointer: '/parts/5', tile: { x: 3, y: 1 }, values: { tiles: 4 } },
    ]);
  });

  it('wait until a layout is legal', () => {
    const layout = layoutOf(column, []);
    const doubled = { ...layout, parts: [...layout.parts, ...layout.parts.slice(1, 2)] };
    expect(gist(checkWhole(doubled))).toEqual(['parts-overlap /parts/5']);
  });

  it.each(jsonFiles('models/plans'))('do not come with %s', (path) => {
    const parsed = parsePlan(readJson(path), catalogOf(path));
    expect(parsed.ok && gist(parsed.warnings)).toEqual([]);
  });

  it('take no longer for a ring over the whole of a large site', () => {
    // A comb: down and up in columns, back along the first row.
    const size = 200;
    const belts: Json[] = [];
    for (let x = 0; x < size; x += 1) {
      const down = x % 2 === 0;
      for (let y = 1; y < size; y += 1) {
        const turns = down ? y === size - 1 : y === 1 && x < size - 1;
        belts.push(belt(x, y, turns ? 'E' : down ? 'S' : 'N'));
      }
      belts.push(belt(x, 0, x === 0 ? 'S' : 'W'));
    }
    const started = performance.now();
    const parsed = parsePlan(
      {
        format: 'transloom-plan/1',
        name: 'comb',
        catalog: 'x',
        site: { width: size, depth: size },
        wagons: [],
        parts: belts,
        exits: [],
      },
      catalog,
    );
    expect(parsed.ok && parsed.warnings.map(({ code, values }) => [code, values])).toEqual([
      ['belt-ring', { tiles: size * size }],
    ]);
    expect(performance.now() - started).toBeLessThan(5000);
  });
});
