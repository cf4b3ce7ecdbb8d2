/**
 * Stations whose belts meet, drawn by nothing of the search, each asked for just what it carries over each belt: wherever ways
 * meet, the search says that they may, and at its price it meets each. TRANSLOOM_SEED sets the first
 * seed, TRANSLOOM_STATIONS how many are met.
 */
import { expect, it } from 'vitest';
import { backOf, HEADINGS, leftOf, rightHalfOf, rightOf, sameTile, stepFrom, type Heading, type Tile } from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';
import { isLess, ratio, ZERO, type Rational } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import type { BeltModel, Catalog } from '../../src/catalog/catalog.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { layoutCost, pickTile, placeTile, tilesOf, wagonAt, type Layout, type Part, type PlacedEntry } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { runTrial } from '../../src/simulation/trial.js';
import { loadingSite, type LoadingSite } from '../../src/synthesis/loading/loading-site.js';
import { Crews } from '../../src/synthesis/loading/loading-crews.js';
import { allJoined } from '../../src/synthesis/loading/loading-groups.js';
import { Trees } from '../../src/synthesis/loading/loading-trees.js';
import { MeetingPlaces } from '../../src/synthesis/loading/meeting-places.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { loadJobOf, SEED, sound } from '../documents.js';
import { isInside, isJoined } from '../oracles/every-loading-plan.js';
import { loadingBrief } from './loading-briefs.js';

const STATIONS = Number(process.env['TRANSLOOM_STATIONS'] ?? '100');
const MEETINGS = 150;
/** More forests are not gone through. */
const MOST_FORESTS = 20_000;
const BRIEFS = 30;

type Draw = (below: number) => number;
const pick = <T>(draw: Draw, list: readonly T[]): T => list[draw(list.length)];

function drawnCatalog(draw: Draw): Catalog {
  const [units, pitch, speed] = pick(draw, [[240, 60, 12], [240, 60, 60], [64, 16, 5], [16, 5, 4], [60, 13, 4], [240, 60, 30], [64, 16, 3], [240, 24, 6], [240, 80, 30], [240, 240, 100], [12, 12, 5]] as const);
  return sound(
    parseCatalog({
      format: 'transloom-catalog/1',
      name: 'drawn',
      ticksPerSecond: 50,
      unitsPerTile: units,
      pitch,
      belts: { belt: { speed, cost: 1 }, ...(draw(4) === 0 ? { other: { speed: 1 + draw(speed), cost: 1 } } : {}) },
      splitters: draw(2) === 0 ? { splitter: { speed: 1 + draw(speed), cost: 1 + draw(3) } } : {},
      underpasses: draw(2) === 0 ? { underpass: { speed: 1 + draw(speed), span: 1 + draw(2), cost: 1 } } : {},
      arms: { arm: { reach: 1, payload: 1 + draw(20), swing: 1 + draw(4), grab: 1 + draw(2), release: 1, cost: 3 + draw(4) }, ...(draw(3) === 0 ? { long: { reach: 2, payload: 1 + draw(12), swing: 1 + draw(6), grab: 1, release: 1, cost: 2 } } : {}) },
      chests: { chest: { capacity: 400, cost: 1 } },
      wagons: { wagon: { length: 3, capacity: 2000 } },
    }),
  );
}

type Edge = 'S' | 'E' | 'W';

interface Drawn {
  readonly layout: Layout;
  readonly brief: Brief;
}

/** Two or three belts that come in and go on at random, into each other too, with arms and chests beside them; what is asked is left out. */
function drawn(seed: number): Drawn {
  const draw = seededRandom(seed * 49_979_687 + 7);
  const catalog = drawnCatalog(draw);
  const site = { width: 3 + draw(4), depth: 3 + draw(4) };
  const byChests = draw(3) === 0;
  const tiles = Array.from({ length: site.width * site.depth }, (_, index): Tile => ({ x: index % site.width, y: Math.floor(index / site.width) }));
  const parts: Part[] = [];
  const isFree = (tile: Tile): boolean => tiles.some((other) => sameTile(other, tile)) && !parts.some((part) => tilesOf(part).some((other) => sameTile(other, tile)));
  const put = (part: Part): boolean => {
    const fits = tilesOf(part).every(isFree);
    if (fits) parts.push(part);
    return fits;
  };

  const demands: object[] = [];
  const entries: PlacedEntry[] = [];
  const borderTile = (edge: Edge, number: number): Tile => (edge === 'S' ? { x: number, y: site.depth - 1 } : { x: edge === 'W' ? 0 : site.width - 1, y: number });
  const ask = (edge: Edge, number: number, model: BeltModel): void => {
    entries.push({ at: borderTile(edge, number), heading: backOf(edge), give: undefined });
    const last = (edge === 'S' ? site.width : site.depth) - 1;
    demands.push({ edge, from: Math.max(0, number - draw(3)), to: Math.min(last, number + draw(3)), belt: model.name });
  };
  /** Where a belt of another entry's way stands already. */
  const comeInOnto = (edge: Edge): boolean => {
    const last = (edge === 'S' ? site.width : site.depth) - 1;
    const places = Array.from({ length: last + 1 }, (_, number) => number).flatMap((number) => {
      const at = borderTile(edge, number);
      const belt = parts.find((part) => part.kind === 'belt' && sameTile(part.at, at) && part.heading === backOf(edge));
      return belt?.kind !== 'belt' || entries.some((entry) => sameTile(entry.at, at)) ? [] : [{ number, model: belt.model }];
    });
    if (places.length === 0) return false;
    const { number, model } = pick(draw, places);
    ask(edge, number, model);
    return true;
  };
  const comeIn = (edge: Edge): void => {
    if (draw(2) === 0 && comeInOnto(edge)) return;
    const number = draw(edge === 'S' ? site.width : site.depth);
    const heading = backOf(edge);
    const at = borderTile(edge, number);
    const model = pick(draw, catalog.belts);
    if (entries.some((entry) => sameTile(entry.at, at)) || !put({ kind: 'belt', at, heading, model })) return;
    ask(edge, number, model);
    const ends: { at: Tile; heading: Heading }[] = [{ at, heading }];
    const others = parts.slice(0, -1).flatMap(tilesOf);
    const farFrom = ({ x, y }: Tile): number => others.reduce((least, other) => Math.min(least, Math.abs(other.x - x) + Math.abs(other.y - y)), Infinity);
    // Ends that are pushed on the way go on too.
    for (const end of ends) {
      const ahead = stepFrom(end.at, end.heading);
      if (!isFree(ahead) || draw(12) === 0) continue;
      const [splitter, underpass] = [pick(draw, [...catalog.splitters, undefined]), pick(draw, [...catalog.underpasses, undefined])];
      const turns = [end.heading, leftOf(end.heading), rightOf(end.heading)];
      const nearest = turns.toSorted((one, other) => farFrom(stepFrom(ahead, one)) - farFrom(stepFrom(ahead, other)))[0];
      const turned = draw(3) === 0 ? pick(draw, turns) : nearest;
      const to = stepFrom(ahead, end.heading, 1 + draw(2));
      if (splitter !== undefined && draw(3) === 0 && put({ kind: 'splitter', at: ahead, heading: end.heading, model: splitter })) {
        ends.push({ at: ahead, heading: end.heading }, { at: rightHalfOf(ahead, end.heading), heading: end.heading });
      } else if (underpass !== undefined && draw(3) === 0 && put({ kind: 'underpass', from: ahead, to, model: underpass })) {
        ends.push({ at: to, heading: end.heading });
      } else if (put({ kind: 'belt', at: ahead, heading: turned, model })) ends.push({ at: ahead, heading: turned });
    }
  };
  for (let left = 2 + Math.floor(draw(4) / 3); left > 0; left--) comeIn(pick(draw, ['S', 'E', 'W']));

  const isCarried = (tile: Tile): boolean => parts.some((part) => part.kind !== 'arm' && part.kind !== 'chest' && tilesOf(part).some((other) => sameTile(other, tile)));
  const wagons = Array.from({ length: Math.ceil(site.width / 3) }, (_, wagon) => ({ model: catalog.wagons[0], at: 3 * wagon }));
  const putArm = (at: Tile, heading: Heading, mayPlaceInto: (tile: Tile) => boolean): boolean => {
    const arms = catalog.arms.map((model) => ({ kind: 'arm' as const, at, heading, model })).filter((arm) => isCarried(pickTile(arm)) && mayPlaceInto(placeTile(arm)));
    return arms.length > 0 && draw(5) > 0 && put(pick(draw, arms));
  };
  for (const at of tiles) {
    if (!byChests) putArm(at, 'N', (tile) => wagonAt(wagons, tile) !== undefined);
    else if (at.y === 1 && isFree(at) && isFree(stepFrom(at, 'N'))) {
      const filled = HEADINGS.filter((side) => side !== 'N' && putArm(stepFrom(at, side), backOf(side), (tile) => sameTile(tile, at)));
      if (filled.length === 0) continue;
      put({ kind: 'chest', at, model: catalog.chests[0] });
      put({ kind: 'arm', at: stepFrom(at, 'N'), heading: 'N', model: catalog.arms[0] });
    }
  }
  const keepOut = tiles.filter((tile) => isFree(tile) && draw(4) > 0).map(({ x, y }) => [x, y, 1, 1]);
  const { brief } = loadingBrief({ site: { ...site, keepOut }, wagons: wagons.map(({ at }) => ({ model: 'wagon', at })), entries: demands, feed: byChests ? 'chests' : 'direct', target: { full: '1000000' } }, catalog);
  return { layout: trimmed({ name: 'drawn', catalog, site: brief.site, wagons: brief.wagons, parts, exits: [], entries }), brief };
}

/** Without carriers that lead to no arm, as far as that goes. */
function trimmed(layout: Layout): Layout {
  const { carriers, arms } = deriveNetwork(layout);
  const picked = new Set(arms.flatMap(({ pick: end }) => (end.kind === 'carrier' ? [carriers[end.carrier].part] : [])));
  const idle = new Set(carriers.filter(({ part, next, entry }) => next.kind !== 'carrier' && entry === undefined && !picked.has(part)).map(({ part }) => part));
  const parts = layout.parts.filter((part, index) => !idle.has(index) || part.kind === 'splitter');
  return parts.length < layout.parts.length ? trimmed({ ...layout, parts }) : layout;
}

const askedFor = (brief: Brief, flows: readonly Rational[]): Brief => ({
  ...brief,
  starts: 2,
  load: { ...loadJobOf(brief), fullTicks: undefined, entries: loadJobOf(brief).entries.map((entry, index) => ({ ...entry, target: flows[index] })) },
});

/** The same for the same carriers with the same entries. */
const carriersKey = ({ parts, entries }: Pick<Layout, 'parts' | 'entries'>): string =>
  JSON.stringify([
    parts.flatMap((part) => (part.kind === 'arm' || part.kind === 'chest' ? [] : [JSON.stringify([part.kind, tilesOf(part), 'heading' in part ? part.heading : '', part.model.name])])).sort(),
    entries?.map(({ at }) => at),
  ]);

const crewKey = (parts: readonly Part[]): string =>
  JSON.stringify(parts.flatMap((part) => (part.kind === 'arm' || part.kind === 'chest' ? [JSON.stringify([part.at, part.model.name, part.kind === 'arm' ? part.heading : ''])] : [])).sort());

/** What the search meets of a station at its price: its carriers, and its crew at them; undefined if it meets too many before. */
function metOf(layout: Layout, brief: Brief): 'nothing' | 'carriers' | 'all' | undefined {
  const site = loadingSite(brief, loadJobOf(brief));
  const crews = new Crews(site);
  const [wanted, crew, cost] = [carriersKey(layout), crewKey(layout.parts), layoutCost(layout)];
  let forests = 0;
  for (const forest of new Trees(site, crews.prices).upTo(cost)) {
    if (forest === undefined) continue;
    if (carriersKey(forest) === wanted) {
      for (const parts of crews.at(cost, forest)) if (parts !== undefined && crewKey(parts) === crew) return 'all';
      return 'carriers';
    }
    if (++forests > MOST_FORESTS) return undefined;
  }
  return 'nothing';
}

/** Whether two ways, on belts alone, meet before arms may pick from them. */
function meetsFirst({ parts, entries = [] }: Layout, mayBePicked: (part: Part) => boolean): boolean {
  const ways = entries.map((entry) => {
    const way: Tile[] = [];
    let [at, heading] = [entry.at, entry.heading];
    for (;;) {
      const part = parts.find((each) => each.kind === 'belt' && sameTile(each.at, at));
      if (part?.kind !== 'belt' || mayBePicked(part)) return way;
      way.push(at);
      heading = part.heading;
      at = stepFrom(at, heading);
    }
  });
  return ways.some((way, index) => ways.slice(0, index).some((other) => other.some((tile) => way.some((each) => sameTile(each, tile)))));
}

const TRIED = { starts: 2, seed: 1, tickLimit: 20_000 };

/** Whether some entry comes in onto a belt that another one's way runs over. */
function isServed(layout: Layout): boolean {
  const { carriers } = deriveNetwork(layout);
  return carriers.some(({ index, entry }) => entry !== undefined && carriers.some(({ next }) => next.kind === 'carrier' && next.carrier === index));
}

/** Whether two entries may change names. */
const someAreAlike = ({ load }: Brief): boolean => {
  const kinds = load?.entries.map(({ edge, from, to, belt }) => `${edge} ${from} ${to} ${belt.name}`) ?? [];
  return new Set(kinds).size < kinds.length;
};
const isSound = (layout: Layout): boolean => checkLegality(layout).every(({ severity }) => severity !== 'error');

it(`the search meets ${STATIONS} stations from seed ${SEED} on`, { timeout: 1_000_000 }, () => {
  const verify = loadingVerifier(TRIED);
  const seen = { stations: 0, apart: 0, together: 0, three: 0, ofOne: 0, served: 0 };
  for (let seed = SEED; seen.stations < STATIONS; seed++) {
    const { layout, brief } = drawn(seed);
    if (someAreAlike(brief) || !isJoined(layout) || !isSound(layout) || !isInside(layout, 0)) continue;
    const meeting = new MeetingPlaces(loadingSite(brief, loadJobOf(brief)));
    const isTogether = meetsFirst(layout, (part) => meeting.mayBePicked(part));
    const served = isServed(layout);
    if (!isTogether && !served && seed % 4 > 0) continue;
    const trial = runTrial(layout, { ...TRIED, presence: ratio(1) });
    const flows = trial.entries?.map(({ flow }) => flow) ?? [];
    if (!trial.exact || !flows.some((flow) => isLess(ZERO, flow))) continue;
    const asked = askedFor(brief, flows);
    if (verify(layout, asked).verdict !== 'passes') continue;
    const met = metOf(layout, asked);
    if (met === undefined) continue;
    expect(met, `seed ${seed}`).toBe('all');
    seen.stations++;
    if (flows.length === 3) seen.three++;
    if (flows.some((flow) => flow.compare(ZERO) === 0)) seen.ofOne++;
    if (new MeetingPlaces(loadingSite(asked, loadJobOf(asked))).mustBePickedFirst(0, 1)) seen.apart++;
    if (isTogether) seen.together++;
    if (served) seen.served++;
  }
  expect(Math.min(...Object.values(seen)), JSON.stringify(seen)).toBeGreaterThan(STATIONS / 50);
});

/**
 * Two ways that meet from both sides, or of which one turns into the other, go on together and turn to where the only arm
 * picks; perhaps a third comes in there from the other side. Turns may be shorter than the pitch, and belts are of two speeds.
 */
function drawnMeeting(seed: number): Drawn {
  const draw = seededRandom(seed * 15_485_863 + 11);
  const [units, pitch] = pick(draw, [[240, 60], [64, 16], [40, 10], [60, 13]] as const);
  const isThreefold = draw(2) === 0;
  // Where two ways run into the side of a third, more gets through than else if both lanes of one together bring a little more than one of the next belt's.
  const isClose = isThreefold && draw(3) > 0;
  const parted = pitch % 4 === 0 ? pick(draw, [2, 4]) : 2;
  const speeds = isClose ? [Math.ceil(pitch / parted), Math.floor((2 * pitch) / parted) - 1 - draw(2), pitch] : [1 + draw(pitch), 1 + draw(pitch), 1 + draw(pitch)];
  const turn = pick(draw, [units, units, 1, Math.ceil(pitch / 2)]);
  const catalog = sound(
    parseCatalog({
      format: 'transloom-catalog/1',
      name: 'drawn',
      ticksPerSecond: 50,
      unitsPerTile: units,
      pitch,
      turn: { inner: turn, outer: turn },
      belts: Object.fromEntries(speeds.map((speed, index) => [`belt ${index}`, { speed: Math.max(1, speed), cost: 1 + draw(5) }])),
      splitters: {},
      underpasses: {},
      arms: { arm: { reach: 1, payload: 1 + draw(100), swing: 1, grab: 1, release: 1, cost: 3 } },
      chests: {},
      wagons: { wagon: { length: 1, capacity: 2000 } },
    }),
  );
  const [one, two, three] = catalog.belts;
  const belt = (x: number, y: number, heading: Heading, ...models: readonly (typeof one)[]): Part => ({ kind: 'belt', at: { x, y }, heading, model: pick(draw, models) });
  const onward = isClose ? [three] : isThreefold ? [one, two, three] : [one, two];
  const parts: readonly Part[] = [
    belt(0, 3, 'E', one),
    belt(2, 3, 'W', two),
    belt(1, 3, 'N', two, ...(isClose ? [] : [one])),
    belt(1, 2, 'E', ...onward),
    belt(2, 2, 'N', ...onward),
    belt(2, 1, 'N', ...onward),
    ...(isThreefold ? [belt(0, 1, 'E', three), belt(1, 1, 'S', three)] : []),
    { kind: 'arm', at: { x: 2, y: 0 }, heading: 'N', model: catalog.arms[0] },
  ];
  const places = [['W', 3, one], ['E', 3, two], ...(isThreefold ? [['W', 1, three] as const] : [])] as const;
  const entries = places.map(([edge, y]): PlacedEntry => ({ at: { x: edge === 'W' ? 0 : 2, y }, heading: backOf(edge), give: undefined }));
  const { brief } = loadingBrief(
    { site: { width: 3, depth: 4 }, wagons: [{ model: 'wagon', at: 2 }], entries: places.map(([edge, y, { name }]) => ({ edge, from: y, to: y, belt: name })), feed: 'direct', target: { full: '1000000' } },
    catalog,
  );
  return { layout: { name: 'drawn', catalog, site: brief.site, wagons: brief.wagons, parts, exits: [], entries }, brief };
}

it(`the search meets ${MEETINGS} stations from seed ${SEED} on whose ways meet where belts are slow or turns are short`, () => {
  const verify = loadingVerifier(TRIED);
  const seen = { stations: 0, pastTee: 0, pastTurn: 0 };
  for (let seed = SEED; seen.stations < MEETINGS; seed++) {
    const { layout, brief } = drawnMeeting(seed);
    const trial = runTrial(layout, { ...TRIED, presence: ratio(1) });
    const flows = trial.entries?.map(({ flow }) => flow) ?? [];
    if (!trial.exact || flows.filter((flow) => isLess(ZERO, flow)).length < 2) continue;
    const asked = askedFor(brief, flows);
    if (!isInside(layout, 0) || verify(layout, asked).verdict !== 'passes') continue;
    expect(metOf(layout, asked), `seed ${seed}`).toBe('all');
    seen.stations++;
    // More comes over a lane, or over both, than the speed by the pitch.
    const { parts: [, , where, next], catalog: { pitch } } = layout;
    const isMoreThan = (lanes: number, part: Part, flow: Rational): boolean => 'speed' in part.model && isLess(ratio(lanes * part.model.speed, pitch), flow);
    if (flows.length === 3 && flows.slice(0, 2).some((flow) => isMoreThan(1, where, flow))) seen.pastTee++;
    if (flows.length === 2 && isMoreThan(2, next, flows[0].add(flows[1]))) seen.pastTurn++;
  }
  expect(Math.min(...Object.values(seen)), JSON.stringify(seen)).toBeGreaterThan(MEETINGS / 50);
});

/** Two belts straight into wagons, on few tiles, each of which is to bring much. */
function smallBrief(seed: number): Brief {
  const draw = seededRandom(seed * 67_867_967 + 1);
  const catalog = drawnCatalog(draw);
  const [width, depth] = pick(draw, [[4, 4], [3, 5], [4, 5], [5, 4]] as const);
  const entryOn = (edge: 'S' | 'E' | 'W'): object => {
    const number = edge === 'S' ? draw(width) : 1 + draw(depth - 1);
    return { edge, from: number, to: number, belt: pick(draw, catalog.belts).name, target: { fill: `${2 + draw(7)}/10` } };
  };
  const [one, other] = pick(draw, [['S', 'W'], ['E', 'W'], ['S', 'E'], ['W', 'S']] as const);
  const keepOut = Array.from({ length: 1 + draw(2) }, () => [1 + draw(width - 2), draw(depth - 1), 1, 1]);
  return loadingBrief({ site: { width, depth, keepOut }, wagons: width > 3 ? [{ model: 'wagon', at: 0 }, { model: 'wagon', at: 3 }] : [{ model: 'wagon', at: 0 }], entries: [entryOn(one), entryOn(other)], feed: 'direct', presence: '1', starts: 2 }, catalog).brief;
}

/** All stations that the search meets at one price, by carriers and crew; undefined if it meets too many. */
function stationsAt(price: number, site: LoadingSite): ReadonlyMap<string, Layout> | undefined {
  const crews = new Crews(site);
  const met = new Map<string, Layout>();
  let forests = 0;
  for (const forest of new Trees(site, crews.prices).upTo(price)) {
    if (forest === undefined) continue;
    if (++forests > MOST_FORESTS / 20) return undefined;
    for (const parts of crews.at(price, forest)) {
      if (parts === undefined) continue;
      const layout: Layout = { ...site.brief, parts, exits: [], entries: [...forest.entries] };
      met.set(JSON.stringify(parts.map((part) => [part.kind, part.model.name, tilesOf(part), 'heading' in part ? part.heading : ''])), layout);
    }
  }
  return met;
}

it(`what is passed over for where ways meet fails, of ${BRIEFS} briefs from seed ${SEED} on`, () => {
  const verify = loadingVerifier(TRIED);
  const seen = { briefs: 0, met: 0, passedOver: 0, passed: 0 };
  for (let seed = SEED; seen.briefs < BRIEFS; seed++) {
    const brief = smallBrief(seed);
    const site = loadingSite(brief, loadJobOf(brief));
    if (site.leastArms === Infinity) continue;
    seen.briefs++;
    const least = new Trees(site, new Crews(site).prices).leastOf(allJoined(site).groups);
    for (let price = least; price < least + 10; price++) {
      const [met, all] = [stationsAt(price, site), stationsAt(price, { ...site, laneRate: () => Infinity, endRate: () => Infinity })];
      if (met === undefined || all === undefined) break;
      seen.met += met.size;
      expect([...met.keys()].filter((key) => !all.has(key))).toEqual([]);
      for (const [key, layout] of all) {
        if (met.has(key) || !isSound(layout)) continue;
        seen.passedOver++;
        expect({ seed, key, verdict: verify(layout, brief).verdict }).toEqual({ seed, key, verdict: 'fails' });
      }
      if ([...met.values()].some((layout) => isSound(layout) && verify(layout, brief).verdict === 'passes')) {
        seen.passed++;
        break;
      }
    }
  }
  expect(Math.min(...Object.values(seen)), JSON.stringify(seen)).toBeGreaterThan(4);
});
