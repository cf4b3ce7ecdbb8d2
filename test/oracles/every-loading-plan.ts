/**
 * Tiny loading briefs, drawn by seed, and every legal plan of their sites, enumerated tile by tile by nothing of
 * `src/synthesis`: what tests hold searches for loading stations against.
 */
import { backOf, HEADINGS, rightHalfOf, sameTile, stepFrom, type Tile } from '../../src/base/geometry.js';
import { isOnTrack, isWithin, tilesWithin } from '../../src/base/ground.js';
import { seededRandom } from '../../src/base/random.js';
import type { Brief } from '../../src/brief/brief.js';
import { parseBrief } from '../../src/brief/parse-brief.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { placeTile, wagonAt, type Layout, type Part, type PlacedArm, type PlacedEntry } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { spottingOffsets } from '../../src/layout/spotting.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import type { LoadingTools } from '../../src/synthesis/loading/loading-design.js';
import { sound } from '../documents.js';

export const TICK_LIMIT = 20_000;
/** Of the clock of a design. */
const MOST_ASKED = 100_000;

type Draw = (below: number) => number;
const pick = <T>(draw: Draw, list: readonly T[]): T => list[draw(list.length)];

function tinyDocument(draw: Draw) {
  const [units, pitch, speed] = pick(draw, [[240, 60, 12], [240, 60, 15], [64, 16, 5], [16, 5, 2], [12, 6, 6], [60, 13, 4]] as const);
  const arm = (): object => ({ reach: 1, payload: pick(draw, [1, 2, 3, 6]), swing: 1 + draw(9), grab: 1 + draw(3), release: 1, ...(draw(3) === 0 ? { patience: draw(12) } : {}), cost: 1 + draw(3) });
  const feed = pick(draw, ['chests', 'chests', 'direct', 'either'] as const);
  const [width, depth] = feed === 'chests' ? [2, 4] : pick(draw, [[3, 2], [2, 3], [3, 3]] as const);
  const edge = pick(draw, ['S', 'S', 'E', 'W'] as const);
  const last = edge === 'S' ? width - 1 : depth - 1;
  const from = draw(last + 1);
  return {
    format: 'transloom-brief/1',
    name: 'tiny',
    catalog: {
      format: 'transloom-catalog/1',
      name: 'tiny',
      ticksPerSecond: 50,
      unitsPerTile: units,
      pitch,
      ...(draw(4) === 0 ? { turn: { inner: units / 2, outer: units + 4 } } : {}),
      belts: { belt: { speed, cost: 1 + draw(2) } },
      splitters: draw(3) > 0 ? { splitter: { speed, cost: 1 + draw(2) } } : {},
      underpasses: draw(3) === 0 ? { underpass: { speed, span: 2, cost: 1 } } : {},
      arms: { arm: arm(), ...(draw(4) === 0 ? { other: arm() } : {}) },
      chests: { chest: { capacity: 400, cost: 1 } },
      wagons: { wagon: { length: width, capacity: 2000 } },
    },
    job: 'load',
    site: { width, depth },
    wagons: [{ model: 'wagon', at: 0 }],
    entries: [{ edge, from, to: from + draw(last - from + 1), belt: 'belt', target: { fill: `${1 + draw(feed === 'chests' ? 3 : 9)}/10` } }],
    feed,
    presence: pick(draw, ['1', '1', '9/10']),
    starts: draw(3),
    ...(draw(4) === 0 ? { exceed: true } : {}),
  };
}

function readBrief(document: { readonly catalog: unknown; readonly [member: string]: unknown }, seed: number): Brief {
  const catalog = parseCatalog(document.catalog);
  return sound(catalog.ok ? parseBrief(document, catalog.value) : catalog, `seed ${seed}`);
}

export const tinyBrief = (seed: number): Brief => readBrief(tinyDocument(seededRandom(seed * 7_368_787 + 3)), seed);

/** With what the plain ones lack: a tile kept out, a limit of arms, a common target or a time, a second entry where arms load directly. */
export function variedBrief(seed: number): Brief {
  const draw = seededRandom(seed * 5_754_853 + 11);
  const plain = tinyDocument(draw);
  const { width, depth } = plain.site;
  const [entry] = plain.entries;
  const isTwofold = plain.feed !== 'chests' && draw(3) > 0;
  const open = { edge: entry.edge, from: entry.from, to: entry.to, belt: entry.belt };
  const other = { edge: pick(draw, ['S', 'E', 'W'] as const), from: 0, to: 1, belt: 'belt' };
  const most = isTwofold ? 1 : 1 + draw(6);
  const document = {
    ...plain,
    site: { ...plain.site, ...(draw(2) === 0 ? { keepOut: [[draw(width), draw(depth - 1), 1, 1]] } : {}) },
    entries: isTwofold ? [open, other] : [open],
    target: draw(3) === 0 ? { full: String(50_000 + draw(50_000)) } : { fill: `${most}/20` },
    ...(draw(2) === 0 ? { limits: { arms: 2 + draw(2) } } : {}),
  };
  const catalog = parseCatalog(document.catalog);
  const parsed = catalog.ok ? parseBrief(document, catalog.value) : catalog;
  // A range that is kept out whole, or crowded, is no brief.
  return parsed.ok ? parsed.value : readBrief({ ...document, site: plain.site, entries: [open] }, seed);
}

/** Two wagons that share what one belt brings, or two, of which a single arm could take all. All parts cost 1. */
export function quickArmsBrief(seed: number): Brief {
  const draw = seededRandom(seed * 5_915_587_277 + 3);
  const { catalog, ...plain } = tinyDocument(draw);
  const { belt } = catalog.belts;
  const [width, depth] = [2 + draw(2), 2];
  const entries = pick(draw, [['W'], ['E'], ['W', 'E']] as const).map((edge) => ({ edge, from: 0, to: depth - 1, belt: 'belt' }));
  const [share, of] = pick(draw, [[1, 2], [2, 5], [1, 3]] as const);
  const capacity = 2000;
  return readBrief(
    {
      ...plain,
      catalog: {
        ...catalog,
        belts: { belt: { ...belt, cost: 1 } },
        splitters: {},
        underpasses: {},
        arms: { arm: { reach: 1, payload: 6 + draw(12), swing: 1, grab: 1, release: 1, cost: 1 } },
        wagons: { wagon: { length: 1, capacity } },
      },
      site: { width, depth },
      wagons: [{ model: 'wagon', at: 0 }, { model: 'wagon', at: width - 1 }],
      feed: 'direct',
      entries,
      presence: '1',
      target: { full: String(Math.ceil((capacity * catalog.pitch * of) / (entries.length * 2 * belt.speed * share))) },
    },
    seed,
  );
}

/** What is to be shared: two wagons, filled straight or by chests, or one that two belts fill by chests. All parts cost 1. */
export function sharedBrief(seed: number): Brief {
  const draw = seededRandom(seed * 6_700_417 + 5);
  const { catalog, ...plain } = tinyDocument(draw);
  const kind = pick(draw, ['straight', 'by chests', 'two belts'] as const);
  const [width, depth] = kind === 'straight' ? [2 + draw(2), 2] : kind === 'by chests' ? [2, 4] : [3, 4];
  const [arm] = Object.values(catalog.arms);
  const wagons = kind === 'two belts' ? [{ model: 'wagon', at: 0 }] : [{ model: 'wagon', at: 0 }, { model: 'wagon', at: width - 1 }];
  const entries = kind === 'two belts' ? [{ edge: 'S', from: 0, to: 1, belt: 'belt' }, { edge: 'E', from: 0, to: 2, belt: 'belt' }] : [{ edge: pick(draw, ['W', 'E'] as const), from: 0, to: depth - 1, belt: 'belt' }];
  const target = { fill: `${1 + draw(4)}/20` };
  return readBrief(
    {
      ...plain,
      catalog: {
        ...catalog,
        belts: { belt: { ...catalog.belts.belt, cost: 1 } },
        splitters: {},
        underpasses: {},
        arms: { arm: { ...arm, cost: 1 } },
        wagons: { wagon: { length: kind === 'two belts' ? 3 : 1, capacity: 2000 } },
      },
      site: { width, depth },
      wagons,
      feed: kind === 'straight' ? 'direct' : 'chests',
      entries: kind === 'two belts' ? entries.map((entry) => ({ ...entry, target })) : entries,
      ...(kind === 'two belts' ? {} : { target: { full: String(8_000 + draw(80_000)) } }),
    },
    seed,
  );
}

/** Two or three belts that come in, of one model or two, where arms are dear, so that it pays to join them. */
export function joinedBrief(seed: number): Brief {
  const draw = seededRandom(seed * 4_256_233 + 13);
  const { catalog, ...plain } = tinyDocument(draw);
  const byChests = draw(4) === 0;
  const [width, depth] = byChests ? [2, 4] : pick(draw, [[2, 2], [3, 2], [2, 3], [3, 3]] as const);
  const { belt } = catalog.belts;
  const [arm] = Object.values(catalog.arms);
  const isMixed = draw(4) === 0;
  const belts = isMixed ? { belt, other: { speed: Math.max(1, belt.speed - draw(3)), cost: 1 + draw(2) } } : { belt };
  const edges = draw(4) === 0 && !byChests ? (['S', 'E', 'W'] as const) : draw(2) === 0 ? (['S', 'E'] as const) : (['W', 'S'] as const);
  const entries = edges.map((edge, index) => {
    const last = (edge === 'S' ? width : depth) - 1;
    // Beside the wagon stands an arm.
    const from = edge === 'S' ? draw(last + 1) : Math.min(last, 1 + draw(last));
    return { edge, from, to: Math.min(last, from + draw(2)), belt: isMixed && index === 1 ? 'other' : 'belt', target: { fill: `${1 + draw(4)}/40` } };
  });
  return readBrief(
    {
      ...plain,
      catalog: {
        ...catalog,
        belts,
        splitters: draw(2) === 0 ? { splitter: { speed: belt.speed, cost: 1 } } : {},
        underpasses: draw(4) === 0 ? { underpass: { speed: belt.speed, span: 2, cost: 1 } } : {},
        arms: { arm: { ...arm, cost: byChests ? 1 : 2 } },
      },
      site: { width, depth },
      entries,
      feed: byChests ? 'chests' : pick(draw, ['direct', 'direct', 'either'] as const),
    },
    seed,
  );
}

/** Wagons, one or two beside a gap, that may stop a tile short or far, filled straight from belts. All parts cost 1 but for some arms. */
export function spottedBrief(seed: number): Brief {
  const draw = seededRandom(seed * 3_267_000_013 + 7);
  const { catalog, ...plain } = tinyDocument(draw);
  const [width, depth] = pick(draw, [[2, 2], [3, 2], [3, 2], [2, 3]] as const);
  const [arm] = Object.values(catalog.arms);
  const [length, coupling, isRow] = pick(draw, [[2, 0, false], [3, 0, false], [1, 1, true], [1, 1, true], [1, 1, true], [2, 1, true]] as const);
  const at = width > 2 ? draw(2) : 0;
  const isTwofold = draw(3) === 0;
  const isTogether = draw(3) > 0;
  const target = { fill: `${1 + draw(4)}/${isTwofold ? 80 : 40}` };
  const entry = (edge: string): object => ({ edge, from: 0, to: (edge === 'S' ? width : depth) - 1, belt: 'belt', ...(isTogether ? {} : { target }) });
  const wagons = [at, ...(isRow ? [at + length + coupling] : [])].filter((each) => each < width && each + length > 0).map((each) => ({ model: 'wagon', at: each }));
  return readBrief(
    {
      ...plain,
      catalog: {
        ...catalog,
        belts: { belt: { ...catalog.belts.belt, cost: 1 } },
        splitters: draw(3) === 0 ? { splitter: { speed: catalog.belts.belt.speed, cost: 1 } } : {},
        underpasses: {},
        arms: { arm: { ...arm, cost: 1 }, ...(depth > 2 ? { far: { ...arm, reach: 2, cost: 1 + draw(2) } } : {}) },
        wagons: { wagon: { length, capacity: 2000, coupling } },
      },
      site: { width, depth },
      wagons,
      feed: pick(draw, ['direct', 'direct', 'either'] as const),
      spotting: 1,
      entries: isTwofold ? [entry('W'), entry('S')] : [entry(pick(draw, ['W', 'E', 'S'] as const))],
      ...(isTogether ? { target } : {}),
    },
    seed,
  );
}

/** Belts two or more of which come in over the same edge and ask the same, so that a station stays what it is when they change names. */
export function alikeBrief(seed: number): Brief {
  const draw = seededRandom(seed * 2_860_486_313 + 3);
  const { catalog, ...plain } = tinyDocument(draw);
  const [width, depth] = pick(draw, [[2, 2], [3, 2], [3, 2], [2, 3]] as const);
  const [arm] = Object.values(catalog.arms);
  const target = { fill: `${1 + draw(4)}/80` };
  const entry = (edge: string, last: number): object => ({ edge, from: 0, to: last, belt: 'belt', target });
  const south = entry('S', width - 1);
  const west = entry('W', depth - 1);
  const entries = pick(draw, [[south, south], [west, south, south], [south, west, south], ...(width > 2 ? [[south, south, south]] : [])]);
  return readBrief({ ...plain, catalog: { ...catalog, belts: { belt: { ...catalog.belts.belt, cost: 1 } }, underpasses: {}, arms: { arm: { ...arm, cost: pick(draw, [1, 2]) } } }, site: { width, depth }, entries, feed: 'direct' }, seed);
}

/**
 * Both sides of the wagons, of which chests need the north one, or an end of the track; or only the track's own rows beyond its
 * end, over which belts may come in. All parts cost 1.
 */
export function bothSidesBrief(seed: number): Brief {
  const draw = seededRandom(seed * 4_093_082_899 + 11);
  const { catalog, ...plain } = tinyDocument(draw);
  const kind = pick(draw, ['straight', 'straight', 'north', 'end'] as const);
  const [width, depth, north] = kind === 'north' ? [2, 1, 3 + draw(2)] : kind === 'end' ? [3, 1, 1] : pick(draw, [[1, 2, 2], [2, 1, 1], [2, 2, 1], [2, 1, 2], [3, 1, 1]] as const);
  // The end of the track is west or east of all wagons.
  const isWest = draw(2) === 0;
  const isEnded = kind === 'end' || (kind === 'straight' && width > 1 && draw(2) === 0);
  const first = isEnded && isWest ? (kind === 'end' ? 2 : 1 + draw(width - 1)) : 0;
  const last = isEnded && !isWest ? (kind === 'end' ? 0 : draw(width - 1)) : width - 1;
  const length = kind === 'straight' && last > first && draw(2) === 0 ? 1 : last - first + 1;
  const wagons = length === 1 && last > first && draw(2) === 0 ? [first, last] : [isWest ? first : last - length + 1];
  const track = isEnded ? { track: isWest ? { from: first } : { to: last } } : {};
  const [arm] = Object.values(catalog.arms);
  const spotting = kind === 'straight' && !isEnded && draw(4) === 0 ? 1 : 0;
  const entry = (edge: string): object => {
    const [from, to] = edge === 'N' || edge === 'S' ? [0, width - 1] : [-2 - north, depth - 1];
    return { edge, from, to, belt: 'belt' };
  };
  const edges = kind === 'straight' && draw(3) === 0 ? pick(draw, [['N', 'S'], ['N', 'W'], ['E', 'W']] as const) : [pick(draw, kind === 'north' ? (['N', 'N', 'E', 'W'] as const) : (['N', 'E', 'W', 'S'] as const))];
  return readBrief(
    {
      ...plain,
      catalog: {
        ...catalog,
        belts: { belt: { ...catalog.belts.belt, cost: 1 } },
        splitters: draw(4) === 0 ? { splitter: { speed: catalog.belts.belt.speed, cost: 1 } } : {},
        underpasses: draw(3) === 0 ? { underpass: { speed: catalog.belts.belt.speed, span: 3, cost: 1 } } : {},
        arms: { arm: { ...arm, cost: 1 }, ...(draw(3) === 0 ? { far: { ...arm, reach: 2 + draw(2), cost: 1 } } : {}) },
        wagons: { wagon: { length, capacity: 2000 } },
      },
      site: { width, depth, north, ...track },
      wagons: wagons.map((at) => ({ model: 'wagon', at })),
      feed: kind === 'straight' ? pick(draw, ['direct', 'either'] as const) : 'chests',
      spotting,
      entries: edges.map(entry),
      target: { fill: `${1 + draw(6)}/${20 * edges.length}` },
    },
    seed,
  );
}

/** By a clock that counts how often it is asked, so that a run takes the same way on every machine. */
export const countedTools = (brief: Brief): LoadingTools => {
  let asked = 0;
  return {
    verify: loadingVerifier({ starts: brief.starts, seed: 1, tickLimit: TICK_LIMIT }),
    now: () => (asked += 1) / 20,
    shouldStop: () => asked > MOST_ASKED,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
  };
};

/** Whether items of two entries come over the same carrier. */
export function isJoined(layout: Layout): boolean {
  const { carriers } = deriveNetwork(layout);
  return carriers.some(({ behind, fromLeft, fromRight, entry, part }) => {
    const others = carriers.filter((carrier) => carrier.part === part).flatMap((carrier) => [carrier.behind, carrier.entry]);
    return new Set([behind, fromLeft, fromRight].filter((feeder) => feeder !== undefined)).size + (entry === undefined ? 0 : 1) > 1 || others.filter((feeder) => feeder !== undefined).length > 1;
  });
}

/** Whether two ways lead from one part to another, whichever way its items go: as many parts that meet as parts, or more. */
function hasRing(pairs: readonly (readonly [number, number])[], parts: readonly number[]): boolean {
  const netOf = new Map(parts.map((part) => [part, part]));
  return pairs.some(([from, to]) => {
    const [a, b] = [netOf.get(from), netOf.get(to)];
    for (const [part, net] of netOf) if (net === a) netOf.set(part, b ?? part);
    return a === b;
  });
}

/** Whether the design's stated space holds it, where wagons may stop so many tiles short or far. */
export function isInside(layout: Layout, spotting: number): boolean {
  const { entries = [] } = layout;
  const { carriers, arms } = deriveNetwork(layout);
  const picked = new Set(arms.flatMap(({ pick: end }) => (end.kind === 'carrier' ? [end.carrier] : [])));
  const leads = carriers.flatMap(({ part, next }) => (next.kind === 'carrier' ? [[part, carriers[next.carrier].part] as const] : []));
  /** Parts over which items of an entry come. */
  const ways = entries.map((_, entry) => {
    const way = new Set(carriers.filter((carrier) => carrier.entry === entry).map(({ part }) => part));
    for (const part of way) for (const [from, to] of leads) if (from === part) way.add(to);
    return way;
  });
  if (hasRing(leads, [...new Set(carriers.map(({ part }) => part))])) return false;
  const fromChests = arms.flatMap(({ part, pick: end }) => (end.kind === 'chest' ? [placeTile(layout.parts[part] as PlacedArm)] : []));
  if (!fromChests.every((tile) => spottingOffsets(spotting).every((offset) => wagonAt(layout.wagons, { ...tile, x: tile.x - offset }) !== undefined))) return false;
  return carriers.every(({ part, index, next }) => {
    const { kind, model } = layout.parts[part];
    const comes = ways.flatMap((way, entry) => (way.has(part) ? [entry] : []));
    const isTheirs = kind !== 'belt' || comes.some((entry) => carriers.some((first) => first.entry === entry && layout.parts[first.part].model === model));
    return comes.length > 0 && isTheirs && (next.kind === 'carrier' || picked.has(index));
  });
}

/** Every legal plan up to a cost whose arms all do what the brief's feed allows, of which the entry is one of the brief's. */
export function everyPlan(brief: Brief, mostCost: number, consider: (layout: Layout) => void): void {
  const { catalog, site, wagons } = brief;
  const isIn = (tile: Tile): boolean => isWithin(site, tile) && !isOnTrack(site, tile);
  const tiles = tilesWithin(site).filter(isIn);
  const key = ({ x, y }: Tile): string => `${x},${y}`;
  const order = new Map(tiles.map((tile, index) => [key(tile), index]));
  const demands = brief.load?.entries ?? [];
  const placesOf = ({ edge, from, to }: (typeof demands)[number]): readonly Tile[] =>
    tiles.filter((at) => {
      const along = edge === 'S' || edge === 'N' ? at.x : at.y;
      return !isWithin(site, stepFrom(at, edge)) && along >= from && along <= to;
    });
  const places = demands.map(placesOf);
  const taken = new Map<string, Part>();
  const parts: Part[] = [];
  const isWagon = (tile: Tile): boolean => spottingOffsets(brief.spotting).some((offset) => wagonAt(wagons, { ...tile, x: tile.x - offset }) !== undefined);
  const kindAt = (tile: Tile): string => (isWagon(tile) ? 'wagon' : (taken.get(key(tile))?.kind ?? 'nothing'));
  const isCarrier = (kind: string): boolean => kind === 'belt' || kind === 'splitter' || kind === 'underpass';
  /** Whether every arm does what it may, as far as the tiles before `index` tell. */
  const armsMay = (index: number): boolean =>
    parts.every((part) => {
      if (part.kind !== 'arm') return true;
      const [from, into] = [backOf(part.heading), part.heading].map((toward) => {
        const tile = stepFrom(part.at, toward, part.model.reach);
        const isKnown = (order.get(key(tile)) ?? -1) < index;
        return isKnown || taken.has(key(tile)) ? kindAt(tile) : 'open';
      });
      const mayFrom = from === 'open' || from === 'chest' || isCarrier(from);
      const mayInto = into === 'open' || into === 'wagon' || (into === 'chest' && brief.feed !== 'direct');
      if (!mayFrom || !mayInto) return false;
      if (from === 'open' || into === 'open') return true;
      return from === 'chest' ? into === 'wagon' : into === 'chest' || brief.feed !== 'chests';
    });
  const leaf = (): void => {
    if (!parts.some(({ kind }) => kind === 'arm')) return;
    const enter = (index: number, entries: readonly PlacedEntry[]): void => {
      if (index === demands.length) {
        consider({ name: 'all', catalog, site, wagons, parts: [...parts], exits: [], entries });
        return;
      }
      const heading = backOf(demands[index].edge);
      for (const at of places[index]) {
        const first = taken.get(key(at));
        if (first?.kind !== 'belt' || first.heading !== heading || first.model.name !== demands[index].belt.name) continue;
        if (!entries.some((entry) => sameTile(entry.at, at))) enter(index + 1, [...entries, { at, heading, give: undefined }]);
      }
    };
    enter(0, []);
  };
  const put = (part: Part, on: readonly Tile[], next: number, left: number): void => {
    const cost = part.model.cost * (part.kind === 'underpass' ? 2 : 1);
    if (cost > left || on.some((tile) => !isIn(tile) || taken.has(key(tile)))) return;
    for (const tile of on) taken.set(key(tile), part);
    parts.push(part);
    go(next, left - cost);
    parts.pop();
    for (const tile of on) taken.delete(key(tile));
  };
  function go(index: number, left: number): void {
    if (!armsMay(index)) return;
    if (index === tiles.length) {
      leaf();
      return;
    }
    const at = tiles[index];
    go(index + 1, left);
    if (taken.has(key(at))) return;
    for (const toward of HEADINGS) {
      for (const model of catalog.belts) put({ kind: 'belt', at, heading: toward, model }, [at], index + 1, left);
      for (const model of catalog.arms) put({ kind: 'arm', at, heading: toward, model }, [at], index + 1, left);
      for (const model of catalog.splitters) put({ kind: 'splitter', at, heading: toward, model }, [at, rightHalfOf(at, toward)], index + 1, left);
    }
    for (const model of catalog.underpasses) {
      for (const to of tiles) if (!sameTile(at, to)) put({ kind: 'underpass', from: at, to, model }, [at, to], index + 1, left);
    }
    for (const model of catalog.chests) put({ kind: 'chest', at, model }, [at], index + 1, left);
  }
  go(0, mostCost);
}
