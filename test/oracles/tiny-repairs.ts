/**
 * Tiny sites on which every part covers one tile, and all that may come to stand there: what repairs are held against. Written
 * down apart from the search.
 */
import { HEADINGS, sameTile, type Tile } from '../../src/base/geometry.js';
import type { ArmModel, Catalog, ModelName } from '../../src/catalog/catalog.js';
import { costOf, type Layout, type Part } from '../../src/layout/layout.js';

const name = (text: string): ModelName => text as ModelName;
const arm: ArmModel = { name: name('arm'), reach: 1, payload: 2, swingTicks: 3, grabTicks: 1, releaseTicks: 1, slack: 0, patienceTicks: undefined, cost: 3 };

/** All parts cover one tile, so that a layout is a choice for each tile. */
export const catalogOf = (work: Catalog['work']): Catalog => ({
  name: 'tiny world',
  ticksPerSecond: 10,
  unitsPerTile: 16,
  pitch: 4,
  turn: { inner: 16, outer: 16 },
  belts: [{ name: name('belt'), speed: 2, cost: 2 }],
  splitters: [],
  underpasses: [],
  arms: [arm],
  chests: [{ name: name('chest'), capacity: 100, cost: 2 }],
  wagons: [{ name: name('wagon'), length: 4, coupling: 0, capacity: 100 }],
  ...(work === undefined ? {} : { work }),
});

const headingOf = (letter: string): 'N' | 'E' | 'S' | 'W' => HEADINGS['^>v<'.indexOf(letter)];

/** What a tile's sign says: belts `^>v<`, arms `NESW`, chests `o`; a site of rows of them, without exits or entries. */
export function tinyLayout(rows: readonly string[], catalog: Catalog): Layout {
  const parts = rows.flatMap((row, y) =>
    [...row].flatMap((sign, x): readonly Part[] => {
      const at = { x, y };
      if (sign === 'o') return [{ kind: 'chest', at, model: catalog.chests[0] }];
      if ('^>v<'.includes(sign)) return [{ kind: 'belt', at, heading: headingOf(sign), model: catalog.belts[0] }];
      const heading = HEADINGS.find((each) => each === sign);
      return heading === undefined ? [] : [{ kind: 'arm', at, heading, model: catalog.arms[0] }];
    }),
  );
  const site = { width: rows[0].length, depth: rows.length, keepOut: [] };
  return { name: 'tiny', catalog, site, wagons: [{ model: catalog.wagons[0], at: 0 }], parts, exits: [] };
}

/** One or two parts on average taken away or turned, and what it costs to undo that. */
export function damaged(whole: Layout, draw: (below: number) => number): { readonly layout: Layout; readonly damage: number } {
  const { remove, turn } = whole.catalog.work ?? { remove: 1, turn: 1 };
  let damage = 0;
  const parts = whole.parts.flatMap((part): readonly Part[] => {
    if (draw(whole.parts.length) > 1) return [part];
    if (part.kind === 'chest' || draw(2) === 0) {
      damage += costOf(part);
      return [];
    }
    damage += Math.min(turn, remove + costOf(part));
    return [{ ...part, heading: HEADINGS[draw(4)] } as Part];
  });
  return { layout: { ...whole, parts }, damage };
}

interface Choice {
  readonly part: Part | undefined;
  readonly price: number;
}

/** What may stand on a tile, and what it costs to come by: written down apart from the search. */
function choicesAt(layout: Layout, at: Tile, work: { readonly remove: number; readonly turn: number }): readonly Choice[] {
  const { catalog } = layout;
  const old = layout.parts.find((part) => part.kind !== 'underpass' && sameTile(part.at, at));
  const all: readonly Part[] = [
    ...catalog.chests.map((model): Part => ({ kind: 'chest', at, model })),
    ...HEADINGS.flatMap((heading): readonly Part[] => [
      ...catalog.belts.map((model): Part => ({ kind: 'belt', at, heading, model })),
      ...catalog.arms.map((model): Part => ({ kind: 'arm', at, heading, model })),
    ]),
  ];
  const gone = old === undefined ? 0 : work.remove;
  return [
    { part: undefined, price: gone },
    ...all.map((part): Choice => {
      if (old?.kind !== part.kind) return { part, price: gone + costOf(part) };
      if (!('heading' in old) || !('heading' in part) || old.heading === part.heading) return { part, price: 0 };
      return { part, price: Math.min(work.turn, work.remove + costOf(part)) };
    }),
  ];
}

/** Every layout that costs less than `below` to come by. */
export function* layoutsBelow(layout: Layout, below: number): Generator<Layout> {
  const work = layout.catalog.work ?? { remove: 1, turn: 1 };
  const { width, depth } = layout.site;
  const tiles = Array.from({ length: width * depth }, (_, tile) => choicesAt(layout, { x: tile % width, y: Math.floor(tile / width) }, work));
  function* from(tile: number, parts: readonly Part[], left: number): Generator<Layout> {
    if (tile === tiles.length) {
      yield { ...layout, parts };
      return;
    }
    for (const { part, price } of tiles[tile]) {
      if (price < left) yield* from(tile + 1, part === undefined ? parts : [...parts, part], left - price);
    }
  }
  yield* from(0, [], below);
}
