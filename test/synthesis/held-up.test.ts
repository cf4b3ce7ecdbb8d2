/**
 * Where a way tees into a plain one and no arm picks from that up to where they meet, nothing gets in, wherever else arms
 * stand: of stations with two belts, each told by the search where arms have to pick, and tried without such arms.
 * TRANSLOOM_SEED sets the first seed.
 */
import { expect, it } from 'vitest';
import { leftOf, rightOf, sameTile, stepFrom, type Heading, type Tile } from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';
import { ratio, sumRational, ZERO } from '../../src/base/rational.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { pickTile, type Layout, type Part, type PlacedArm } from '../../src/layout/layout.js';
import { runTrial } from '../../src/simulation/trial.js';
import { outletsOf } from '../../src/synthesis/loading/held-up.js';
import { gist, SEED } from '../documents.js';

const STATIONS = 200;
const [WIDTH, DEPTH] = [7, 7];
const indexOf = ({ x, y }: Tile): number => (x < 0 || y < 0 || x >= WIDTH || y >= DEPTH ? -1 : y * WIDTH + x);
const tileAt = (tile: number): Tile => ({ x: tile % WIDTH, y: Math.floor(tile / WIDTH) });
const keyOf = ({ x, y }: Tile): string => `${x},${y}`;

type Belt = Extract<Part, { readonly kind: 'belt' }>;

/** A way north from the south edge, of two speeds now and then, and one that runs into its side, with arms beside them at random. */
function drawn(seed: number): { readonly layout: Layout; readonly through: readonly Belt[]; readonly side: readonly Belt[]; readonly meet: number } | undefined {
  const draw = seededRandom(seed * 32_452_843 + 5);
  const [units, pitch, speed] = ([[240, 60, 12], [240, 60, 60], [64, 16, 5], [16, 5, 4], [60, 13, 4], [240, 240, 60]] as const)[draw(6)];
  const parsed = parseCatalog({
    format: 'transloom-catalog/1',
    name: 'drawn',
    ticksPerSecond: 50,
    unitsPerTile: units,
    pitch,
    belts: { belt: { speed, cost: 1 }, other: { speed: 1 + draw(speed), cost: 1 } },
    splitters: {},
    underpasses: {},
    arms: { arm: { reach: 1, payload: 1 + draw(9), swing: 1 + draw(9), grab: 1 + draw(3), release: 1, cost: 1 } },
    chests: { chest: { capacity: 400, cost: 1 } },
    wagons: { wagon: { length: 2, capacity: 2000 } },
  });
  if (!parsed.ok) throw new Error(gist(parsed.findings).join());
  const catalog = parsed.value;
  const [belt, other] = catalog.belts;
  const length = 3 + draw(3);
  const meet = 1 + draw(length - 1);
  const isMixed = draw(4) === 0;
  const through = Array.from({ length }, (_, index): Belt => ({ kind: 'belt', at: { x: 3, y: DEPTH - 1 - index }, heading: 'N', model: isMixed && index < meet && draw(2) === 0 ? other : belt }));
  // Backwards from where they meet, to the edge.
  const toward: Heading = draw(2) === 0 ? 'E' : 'W';
  const model = draw(3) === 0 ? other : belt;
  const side: Belt[] = [];
  for (let at = stepFrom(through[meet].at, toward, -1); indexOf(at) >= 0; at = stepFrom(at, toward, -1)) side.unshift({ kind: 'belt', at, heading: toward, model });
  const taken = new Set([...through, ...side].map(({ at }) => keyOf(at)));
  const arms: Part[] = [];
  // Not from the through way up to where they meet; but from beyond, at least one, and from the side.
  for (const { at } of [...through.slice(meet + 1), ...side]) {
    for (const heading of [leftOf('N'), rightOf('N'), 'N', 'S'] as const) {
      const [stands, into] = [stepFrom(at, heading), stepFrom(at, heading, 2)];
      if (draw(3) === 0 || indexOf(stands) < 0 || indexOf(into) < 0 || taken.has(keyOf(stands)) || taken.has(keyOf(into))) continue;
      arms.push({ kind: 'arm', at: stands, heading, model: catalog.arms[0] }, { kind: 'chest', at: into, model: catalog.chests[0] });
      taken.add(keyOf(stands)).add(keyOf(into));
    }
  }
  if (!arms.some((arm) => arm.kind === 'arm' && through.some(({ at }) => sameTile(at, pickTile(arm))))) return undefined;
  const entries = [{ at: through[0].at, heading: 'N' as const, give: undefined }, { at: side[0].at, heading: toward, give: undefined }];
  const layout: Layout = { name: 'drawn', catalog, site: { width: WIDTH, depth: DEPTH, keepOut: [] }, wagons: [], parts: [...through, ...side, ...arms], exits: [], entries };
  return { layout, through, side, meet };
}

it(`nothing gets in from the side where no arm picks before, on ${STATIONS} stations from seed ${SEED} on`, () => {
  const seen = { stations: 0, told: 0, moving: 0, sidePicked: 0 };
  for (let seed = SEED; seen.stations < STATIONS; seed++) {
    const found = drawn(seed);
    if (found === undefined || checkLegality(found.layout).some(({ severity }) => severity === 'error')) continue;
    const { layout, through, side, meet } = found;
    const beltAt = (tile: number): Belt | undefined => [...through, ...side].find(({ at }) => indexOf(at) === tile);
    const before = (way: readonly Belt[], tile: number): number => {
      const index = way.findIndex(({ at }) => indexOf(at) === tile);
      return index > 0 ? indexOf(way[index - 1].at) : -1;
    };
    const joins = [[indexOf(side[side.length - 1].at), indexOf(through[meet].at)]] as const;
    const from = (tile: number): number => Math.max(before(through, tile), before(side, tile));
    const outlets = outletsOf({ partAt: beltAt, from, joins }, () => [{ wanted: 1, has: () => false }], { tileAt, indexOf }, layout.catalog.unitsPerTile);
    const trial = runTrial(layout, { starts: 2, seed: 1, tickLimit: 20_000, presence: ratio(1) });
    if (!trial.exact) continue;
    seen.stations++;
    const arms = layout.parts.filter((part): part is PlacedArm => part.kind === 'arm');
    const flowOf = (way: readonly Belt[]) => sumRational(arms.filter((arm) => way.some(({ at }) => sameTile(at, pickTile(arm)))).map(({ at }) => trial.arms.find((tried) => sameTile(tried.at, at))?.flow ?? ZERO));
    if (outlets.length === 0) continue;
    seen.told++;
    expect(outlets.map(({ way }) => way), `seed ${seed}`).toEqual([through.slice(0, meet + 1).map(({ at }) => indexOf(at)).reverse()]);
    // All that comes in over the side is taken on it.
    expect(trial.entries?.[1].flow, `seed ${seed}`).toEqual(flowOf(side));
    if (flowOf(through).compare(ZERO) > 0) seen.moving++;
    if (flowOf(side).compare(ZERO) > 0) seen.sidePicked++;
  }
  expect(Math.min(...Object.values(seen)), JSON.stringify(seen)).toBeGreaterThan(STATIONS / 20);
});
