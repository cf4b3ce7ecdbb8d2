/**
 * Bounds that searches for loading stations go by, against the simulator: what an arm takes at least that is the only one at a
 * way of belts, on ways of any shape; and of stations that pass, each held to just what it gives, that no bound of its price, of
 * the room beside its wagons or of its crew leaves it out. TRANSLOOM_SEED sets the first seed.
 */
import { expect, it } from 'vitest';
import { backOf, HEADINGS, leftOf, rightOf, sameTile, stepFrom, type Heading, type Tile } from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';
import { isLess, ratio, ZERO } from '../../src/base/rational.js';
import { layoutCost, tilesOf, type Layout, type Part, type PlacedEntry } from '../../src/layout/layout.js';
import type { Brief } from '../../src/brief/brief.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { runTrial } from '../../src/simulation/trial.js';
import { leastAlone } from '../../src/synthesis/loading/lone-arm.js';
import { Crews } from '../../src/synthesis/loading/loading-crews.js';
import type { Station } from '../../src/synthesis/loading/loading-begun.js';
import { FirstLoadings } from '../../src/synthesis/loading/loading-first.js';
import { Room } from '../../src/synthesis/loading/loading-room.js';
import { outletsOf } from '../../src/synthesis/loading/held-up.js';
import { groupingOf } from '../../src/synthesis/loading/loading-groups.js';
import { loadingSite, type LoadingSite } from '../../src/synthesis/loading/loading-site.js';
import type { Forest } from '../../src/synthesis/loading/forest.js';
import { leastLoadedOfAll } from '../../src/tasks/least-flows.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { briefOf, gist, loadJobOf, readJson, SEED } from '../documents.js';
import { loadingBrief } from '../synthesis/loading-briefs.js';
import { tinyBrief } from './every-loading-plan.js';

const SIDE = 9;
const WAYS = 2500;

/** From the middle of the south edge on, with an arm that picks from its last tile; undefined where that has no room. */
function drawnWay(seed: number): { readonly layout: Layout; readonly least: ReturnType<typeof leastAlone> } | undefined {
  const draw = seededRandom(seed * 15_485_863 + 1);
  const plain = tinyBrief(seed).catalog;
  const { unitsPerTile } = plain;
  // Items far apart, at odd speeds, and over short turns.
  const pitch = draw(2) === 0 ? plain.pitch : 1 + draw(unitsPerTile);
  const turn = draw(2) === 0 ? plain.turn : { inner: 1 + draw(unitsPerTile), outer: 1 + draw(2 * unitsPerTile) };
  const belt = { ...plain.belts[0], speed: draw(2) === 0 ? Math.min(pitch, plain.belts[0].speed) : 1 + draw(pitch) };
  // Large hands, that what lies there does not fill; slow underpasses, behind which little comes.
  const model = { ...plain.arms[draw(plain.arms.length)], payload: 1 + draw(24) };
  const isSlow = draw(3) === 0;
  const catalog = { ...plain, pitch, turn, belts: [belt], arms: [model], underpasses: plain.underpasses.map((each) => ({ ...each, speed: isSlow ? Math.ceil(belt.speed / 4) : belt.speed })) };
  const [underpass] = catalog.underpasses;
  const parts: Part[] = [];
  const taken: Tile[] = [];
  const isFree = (tile: Tile): boolean => tile.x >= 0 && tile.y >= 0 && tile.x < SIDE && tile.y < SIDE && !taken.some((other) => sameTile(other, tile));
  let [at, heading]: [Tile, Heading] = [{ x: 4, y: SIDE - 1 }, 'N'];
  parts.push({ kind: 'belt', at, heading, model: belt });
  taken.push(at);
  for (let more = draw(6); more > 0; more--) {
    const next = stepFrom(at, heading);
    if (!isFree(next)) break;
    const under = stepFrom(next, heading, 1 + draw(2));
    if (underpass !== undefined && draw(3) === 0 && isFree(under)) {
      parts.push({ kind: 'underpass', from: next, to: under, model: underpass });
      taken.push(next, under);
      at = under;
      continue;
    }
    heading = [heading, heading, leftOf(heading), rightOf(heading)][draw(4)];
    parts.push({ kind: 'belt', at: next, heading, model: belt });
    taken.push(next);
    at = next;
  }
  const last = parts[parts.length - 1];
  // An arm may pick from either end of an underpass that leads nowhere.
  const from = last.kind === 'underpass' && draw(2) === 0 ? last.from : at;
  const toward = HEADINGS[draw(4)];
  const [armAt, chestAt] = [stepFrom(from, toward, model.reach), stepFrom(from, toward, 2 * model.reach)];
  if (!isFree(armAt) || !isFree(chestAt) || (sameTile(from, at) && toward === backOf(heading))) return undefined;
  parts.push({ kind: 'arm', at: armAt, heading: toward, model }, { kind: 'chest', at: chestAt, model: catalog.chests[0] });
  const layout: Layout = { name: 'a way', catalog, site: { width: SIDE, depth: SIDE, keepOut: [] }, wagons: [], parts, exits: [], entries: [{ at: { x: 4, y: SIDE - 1 }, heading: 'N', give: undefined }] };
  return { layout, least: leastAlone(model, belt, catalog) };
}

it(`an arm alone at a way takes no less than is said, on ${WAYS} ways from seed ${SEED} on`, () => {
  let [ways, known, near] = [0, 0, 0];
  for (let seed = SEED; ways < WAYS; seed++) {
    const drawn = drawnWay(seed);
    if (drawn === undefined || checkLegality(drawn.layout).some(({ severity }) => severity === 'error')) continue;
    const trial = runTrial(drawn.layout, { starts: 2, seed: 1, tickLimit: 20_000, presence: ratio(1) });
    if (!trial.exact) continue;
    ways++;
    const [{ flow }] = trial.arms;
    if (isLess(ZERO, drawn.least)) known++;
    if (!isLess(drawn.least.mul(ratio(10, 9)), flow)) near++;
    if (isLess(flow, drawn.least)) expect({ seed, flow, least: drawn.least }).toBe('no less');
  }
  expect(Math.min(known, near), JSON.stringify({ ways, known, near })).toBeGreaterThan(WAYS / 100);
});

const CATALOG = 'test/cases/headline-wagon-4-catalog.json';
const STATIONS = 120;
const TRIES = 20;
const TURNS = 1000;
const STARTS = { starts: 2, seed: 1, tickLimit: 20_000 };

/** Two wagons and two belts, or one of each, for which any station does; `isSpotted`: the wagons may stop a tile short or far, and there may be a gap between them. */
function looseBrief(seed: number, isSpotted: boolean): Brief {
  const draw = seededRandom(seed * 49_979_687 + 7);
  const [twoWagons, twoBelts] = [draw(2) === 0, draw(2) === 0];
  const [length, coupling] = isSpotted ? [1 + draw(4), draw(3)] : [4, 0];
  const width = isSpotted ? 4 + draw(3) : twoWagons ? 8 : 4 + draw(2);
  const entry = (from: number, to: number): object => ({ edge: 'S', from, to, belt: 'belt' });
  const arm = (most: number): object => ({ reach: 1, payload: 1 + draw(most), swing: 4 + draw(16), grab: 1 + draw(2), release: 1, cost: 3 + draw(9) });
  const arms = { arm: arm(14), ...(draw(3) === 0 ? { other: arm(6) } : {}) };
  const catalog = parseCatalog({ ...(readJson(CATALOG) as object), arms, wagons: { wagon: { length, coupling, capacity: 2000 } } });
  if (!catalog.ok) throw new Error(gist(catalog.findings).join());
  const { brief } = loadingBrief(
    {
      site: { width, depth: 4 + draw(2) },
      wagons: [{ model: 'wagon', at: 0 }, ...(twoWagons && length + coupling < width ? [{ model: 'wagon', at: length + coupling }] : [])],
      entries: twoBelts ? [entry(0, 1), entry(2, width - 1)] : [entry(0, width - 1)],
      target: { fill: '1/100' },
      feed: (isSpotted ? ['either', 'direct'] : ['chests', 'chests', 'either', 'direct'])[draw(isSpotted ? 2 : 4)],
      spotting: isSpotted ? 1 : 0,
      presence: ['1', '1', '9/10'][draw(3)],
      starts: STARTS.starts,
    },
    catalog.value,
  );
  return brief;
}

/** The brief of a station that passes, asking for all that it gives: from entries, into wagons, and of trains. */
function tightened(brief: Brief, layout: Layout): Brief | undefined {
  const given = leastLoadedOfAll(layout, STARTS, brief.spotting, brief.presence);
  if (given === undefined || brief.load === undefined) return undefined;
  const { entries, wagons, together } = given;
  const load = { ...brief.load, entries: brief.load.entries.map((entry, index) => ({ ...entry, target: entries[index] })), together, promised: wagons };
  const tight = { ...brief, load };
  const witness = loadingVerifier(STARTS)(layout, tight);
  if (witness.verdict !== 'passes') return undefined;
  return witness.trains === undefined ? tight : { ...tight, limits: { ...tight.limits, ...witness.trains } };
}

/** Of ways of belts, one for each entry, in the order of entries, that may run into each other. */
function forestOf(site: LoadingSite, layout: Layout): Forest {
  const { parts, entries = [] } = layout;
  const { carriers } = deriveNetwork(layout);
  const tileOf = (index: number): number => site.indexOf(carriers[index].head);
  const ways = entries.map((_, entry) => {
    const way = carriers.filter((carrier) => carrier.entry === entry).map(({ index }) => index);
    for (const index of way) {
      const { next } = carriers[index];
      if (next.kind === 'carrier') way.push(next.carrier);
    }
    return way;
  });
  const meet = (a: number, b: number): boolean => ways[a].some((index) => ways[b].includes(index));
  const groups = [...ways.keys()].filter((entry) => !ways.slice(0, entry).some((_, earlier) => meet(earlier, entry))).map((first) => [...ways.keys()].filter((entry) => meet(first, entry)));
  const grouping = groupingOf(groups, site);
  const entriesAt = (tile: number): readonly number[] => [...ways.keys()].filter((entry) => ways[entry].some((index) => tileOf(index) === tile));
  const feeders = carriers.map(({ behind, fromLeft, fromRight, entry }) => [
    ...(entry === undefined ? [] : [-1]),
    ...[behind, fromLeft, fromRight].flatMap((feeder) => (feeder === undefined ? [] : [tileOf(feeder)])),
  ]);
  const at = (tile: number): number => carriers.findIndex(({ index }) => tileOf(index) === tile);
  const joins = carriers.flatMap(({ index }) => feeders[index].slice(1).map((from) => [from, tileOf(index)] as const));
  const leaves = carriers.flatMap(({ index, next, heading }) =>
    next.kind === 'nothing' ? [{ tiles: [tileOf(index)], heading, group: grouping.groupOf[entriesAt(tileOf(index))[0]] }] : [],
  );
  const belts = parts.filter((part) => part.kind === 'belt');
  const beyondOf = (tile: number): readonly number[] => {
    const { next } = carriers[at(tile)];
    return [tile, ...(next.kind === 'carrier' ? beyondOf(tileOf(next.carrier)) : [])];
  };
  const outlets = outletsOf(
    { partAt: (tile) => belts.find((belt) => site.indexOf(belt.at) === tile), from: (tile) => feeders[at(tile)][0], joins },
    (onto, sides) => {
      const beyond = beyondOf(onto);
      const held = [...ways.keys()].filter((entry) => site.entryWanted[entry] > 0 && sides.some((from) => entriesAt(from).includes(entry)));
      return held.map((entry) => ({ wanted: site.entryWanted[entry], has: (tile) => entriesAt(tile).includes(entry) && !beyond.includes(tile) }));
    },
    site,
    site.brief.catalog.unitsPerTile,
  );
  const price = belts.reduce((sum, { model }) => sum + site.priceOf(model), 0);
  return { parts: belts, entries, grouping, taken: new Set(belts.map((belt) => site.indexOf(belt.at))), entriesAt, leaves, outlets, joins, price };
}

const textOf = (parts: readonly Part[]): string =>
  parts
    .map((part) => JSON.stringify([part.kind, tilesOf(part), part.model.name, part.kind === 'arm' ? part.heading : '']))
    .sort()
    .join();

it.each([
  ['wagons that stop as planned', false, STATIONS],
  ['wagons that stop short or far', true, STATIONS],
] as const)(`beside %s no station that passes is left out by what is known of its arms, on sites from seed ${SEED} on`, (_, isSpotted, stations) => {
  const seen = { stations: 0, byChests: 0, twoBelts: 0, twoWagons: 0, atThePrice: 0, trains: 0, joined: 0, outlets: 0, missing: 0 };
  for (let seed = SEED; seed < SEED + stations; seed++) {
    const brief = looseBrief(seed, isSpotted);
    const load = loadJobOf(brief);
    const verify = loadingVerifier(STARTS);
    const layoutOf = (parts: readonly Part[], entries: readonly PlacedEntry[]): Layout => ({ ...brief, parts: [...parts], exits: [], entries });
    const passing: { readonly layout: Layout; readonly parts: readonly Part[]; readonly entries: readonly PlacedEntry[] }[] = [];
    let [tries, turns] = [0, 0];
    const meets = ({ parts, entries }: Station, which: readonly number[]): boolean => {
      tries++;
      const layout = layoutOf(parts, entries);
      const all = which.length === load.entries.length;
      const asked = all ? brief : { ...brief, load: { ...load, entries: [...which].sort((a, b) => a - b).map((entry) => load.entries[entry]) } };
      if (checkLegality(layout).some(({ severity }) => severity === 'error') || verify(layout, asked).verdict !== 'passes') return false;
      if (all) passing.push({ layout, parts, entries });
      return true;
    };
    for (const _ of new FirstLoadings(loadingSite(brief, load), { meets, allows: () => true, most: () => Infinity }, 1).all()) if (++turns > TURNS || tries > TRIES) break;
    for (const { layout, parts, entries } of passing) {
      const tight = tightened(brief, layout);
      if (tight?.load === undefined) continue;
      const site = loadingSite(tight, tight.load);
      const forest = forestOf(site, layout);
      const cost = layoutCost(layout);
      const crews = new Crews(site);
      const { groups } = forest.grouping;
      const least = crews.prices.least(groups, groups.map(() => 1));
      const told = { seed, parts };
      expect(site.tooSlowFor, JSON.stringify(told)).toBeUndefined();
      expect(least, JSON.stringify(told)).toBeLessThanOrEqual(cost - forest.price);
      expect(site.places.every((place) => new Room(site, place).isLeft(forest.taken)), JSON.stringify(told)).toBe(true);
      seen.stations++;
      seen.joined += entries.length - groups.length;
      seen.outlets += forest.outlets.length;
      seen.byChests += parts.some(({ kind }) => kind === 'chest') ? 1 : 0;
      seen.missing += isSpotted && !deriveNetwork(layout).arms.some(({ place }) => place.kind === 'nothing') ? 0 : 1;
      seen.twoBelts += entries.length - 1;
      seen.twoWagons += brief.wagons.length - 1;
      seen.trains += tight.limits.dwell === undefined ? 0 : 1;
      seen.atThePrice += least === cost - forest.price ? 1 : 0;
      // Its very crew is met, if not too many others are before it.
      if (parts.filter(({ kind }) => kind === 'arm').length > 6) continue;
      let isMet = false;
      for (const met of crews.at(cost, forest)) isMet ||= met !== undefined && textOf(met) === textOf(parts);
      expect({ ...told, isMet }).toMatchObject({ isMet: true });
    }
  }
  expect(Math.min(...Object.values(seen)), JSON.stringify(seen)).toBeGreaterThan(0);
});

it('room for a chest is left as long as one arm can fill it, and one can empty it', () => {
  const brief = briefOf('test/cases/loading-04-060-6x5.json', { site: { width: 1, depth: 4 }, entries: [{ edge: 'S', from: 0, to: 0, belt: 'belt', target: { fill: '0.1' } }] });
  const room = new Room(loadingSite(brief, loadJobOf(brief)), 0);
  expect([[3], [3, 2], [3, 1], [3, 0]].map((taken) => room.isLeft(new Set(taken)))).toEqual([true, false, false, false]);
});
