/**
 * Repairs against brute force: on tiny sites every layout that is cheaper to come by than the repair found, whatever
 * stands in it, is simulated, and none passes. TRANSLOOM_MENDS sets how many plans (20), TRANSLOOM_SEED the first seed.
 */
import { describe, expect, it } from 'vitest';
import { HEADINGS, sameTile, type Tile } from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';
import { ONE, ratio, type Rational } from '../../src/base/rational.js';
import type { ArmModel, Catalog, ModelName } from '../../src/catalog/catalog.js';
import { costOf, pickTile, placeTile, wagonAt, type Layout, type Part } from '../../src/layout/layout.js';
import { mendStation } from '../../src/tasks/mend-station.js';
import { termsByTarget, type MendTerms } from '../../src/tasks/mend-terms.js';
import { leastFlows } from '../../src/simulation/least-flows.js';
import { verifyTargets } from '../../src/simulation/verify.js';

const plans = Number(process.env['TRANSLOOM_MENDS'] ?? 20);
const firstSeed = Number(process.env['TRANSLOOM_SEED'] ?? 1);
const seeds = Array.from({ length: plans }, (_, index) => firstSeed + index);
const STARTS = { starts: 2, seed: 1, tickLimit: 200_000 };

const name = (text: string): ModelName => text as ModelName;
const arm: ArmModel = { name: name('arm'), reach: 1, payload: 2, swingTicks: 3, grabTicks: 1, releaseTicks: 1, slack: 0, patienceTicks: undefined, cost: 3 };

/** All parts cover one tile, so that a layout is a choice for each tile. */
const catalogOf = (work: Catalog['work']): Catalog => ({
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

/** Rows of signs: belts `^>v<`, arms `NESW`, chests `o`. */
function layoutOf(rows: readonly string[], exit: Tile, catalog: Catalog): Layout {
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
  return { name: 'tiny', catalog, site, wagons: [{ model: catalog.wagons[0], at: 0 }], parts, exits: [{ at: exit, heading: 'S', take: undefined }] };
}

const WHOLE: readonly (readonly [rows: readonly string[], exit: Tile])[] = [
  [['S..', 'v..', 'v..'], { x: 0, y: 2 }],
  [['S.S', '>v<', '.v.'], { x: 1, y: 2 }],
  [['SS.', 'oo.', 'Ev.', '.v.'], { x: 1, y: 3 }],
  [['S..', 'oEv', '..v'], { x: 2, y: 2 }],
  [['S.S', 'o.o', 'S.S', '>v<'], { x: 1, y: 3 }],
];

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
function* layoutsBelow(layout: Layout, below: number): Generator<Layout> {
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

const isFedByChests = ({ parts, wagons }: Layout): boolean =>
  parts.every((part) => part.kind !== 'arm' || wagonAt(wagons, pickTile(part)) === undefined || !parts.some((other) => other.kind === 'belt' && sameTile(other.at, placeTile(part))));

const passes = (layout: Layout, asked: Rational, { brief }: MendTerms): boolean =>
  verifyTargets(layout, [{ exit: 0, total: asked, left: ratio(0), right: ratio(0) }], { ...STARTS, presence: ONE }).passes && (brief.feed !== 'chests' || isFedByChests(layout));

describe('of all layouts of a tiny site', () => {
  it.each([undefined, { remove: 2, turn: 2 }, { remove: 1, turn: 3 }, { remove: 0, turn: 1 }])('none is cheaper to come by than the repair: work %j', { timeout: 600_000 }, async (work) => {
    let looked = 0;
    let cheaper = 0;
    for (const seed of seeds) {
      const draw = seededRandom(seed);
      const whole = layoutOf(...WHOLE[draw(WHOLE.length)], catalogOf(work));
      const { exits } = leastFlows(whole, STARTS);
      const asked = exits[0].flow;
      let damage = 0;
      const parts = whole.parts.flatMap((part): readonly Part[] => {
        if (draw(whole.parts.length) > 1) return [part];
        if (part.kind === 'chest' || draw(2) === 0) {
          damage += costOf(part);
          return [];
        }
        damage += Math.min(work?.turn ?? 1, (work?.remove ?? 1) + costOf(part));
        return [{ ...part, heading: HEADINGS[draw(4)] } as Part];
      });
      const layout = { ...whole, parts };
      const terms = termsByTarget(layout, () => asked);
      const { outcome } = await mendStation(layout, { terms, starts: STARTS.starts, seed: STARTS.seed, timeLimitSeconds: 60, now: () => performance.now() });
      if (terms.brief.feed === 'either' || isFedByChests(whole)) expect({ seed, status: outcome.status }).toEqual({ seed, status: 'optimal' });
      if (outcome.status !== 'optimal') continue;
      const { price, layout: mended } = outcome.mend;
      if (terms.brief.feed === 'either' || isFedByChests(whole)) expect(price).toBeLessThanOrEqual(damage);
      cheaper += price < damage ? 1 : 0;
      expect(passes(mended, asked, terms)).toBe(true);
      // Of dearer repairs there are too many.
      for (const other of layoutsBelow(layout, Math.min(price, work?.remove === 0 ? 2 : 4))) {
        looked += 1;
        if (passes(other, asked, terms)) expect({ seed, price, parts: other.parts }).toBe('nothing cheaper');
      }
    }
    expect(looked).toBeGreaterThan(plans * 10);
    expect(cheaper).toBeGreaterThan(0);
  });
});
