/**
 * Designs of loading stations against every legal plan of tiny sites: nothing cheaper, nothing smaller at equal cost, and
 * the design's own price is found too. The plans are enumerated here, tile by tile, by nothing of `src/synthesis`; the
 * judge is the simulator. Also: sites moved along the wagon, and bounds on arms.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_BRIEFS the number of briefs (18).
 */
import { describe, expect, it } from 'vitest';
import { backOf, HEADINGS, rightHalfOf, sameTile, stepFrom, type Tile } from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';
import { ratio, type Rational } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import { parseBrief } from '../../src/brief/parse-brief.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { footprint, layoutCost, partCount, wagonAt, type Layout, type Part, type PlacedEntry } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { designLoading, type LoadingTools } from '../../src/synthesis/loading/loading-design.js';
import { pickRateBound } from '../../src/synthesis/loading/loading-site.js';
import { runTrial } from '../../src/simulation/trial.js';
import { gist, SEED } from '../documents.js';
import { seededLoadingPlan } from './random-plans.js';

const BRIEFS = Number(process.env['TRANSLOOM_BRIEFS'] ?? '18');
const TICK_LIMIT = 20_000;
/** Dearer designs are not compared: there are too many plans. */
const MOST_COST = 7;
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
  const brief = catalog.ok ? parseBrief(document, catalog.value) : catalog;
  if (!brief.ok) throw new Error(`seed ${seed}: ${gist(brief.findings).join()}`);
  return brief.value;
}

const tinyBrief = (seed: number): Brief => readBrief(tinyDocument(seededRandom(seed * 7_368_787 + 3)), seed);

/** With what the plain ones lack: a tile kept out, a limit of arms, a common target or a time, a second entry where arms load directly. */
function variedBrief(seed: number): Brief {
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

/** By a clock that counts how often it is asked, so that a run takes the same way on every machine. */
const tools = (brief: Brief): LoadingTools => {
  let asked = 0;
  return {
    verify: loadingVerifier({ starts: brief.starts, seed: 1, tickLimit: TICK_LIMIT }),
    now: () => (asked += 1) / 20,
    shouldStop: () => asked > MOST_ASKED,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
  };
};

const design = (brief: Brief) => {
  if (brief.load === undefined) throw new Error('a loading brief');
  return designLoading(brief, brief.load, tools(brief));
};

// ------------------------------------------------------------------------------------------------------- every plan

interface Found {
  readonly values: readonly number[];
  readonly inside: boolean;
}

/** Whether the design's stated space holds it. */
function isInside(layout: Layout): boolean {
  const { carriers, arms } = deriveNetwork(layout);
  const picked = new Set(arms.flatMap(({ pick: end }) => (end.kind === 'carrier' ? [end.carrier] : [])));
  return carriers.every((carrier) => {
    const feeders = [carrier.behind, carrier.fromLeft, carrier.fromRight, carrier.entry].filter((feeder) => feeder !== undefined).length;
    const half = carrier.kind === 'splitter-half' ? carriers.find(({ part, index }) => part === carrier.part && index !== carrier.index) : undefined;
    const fed = half === undefined ? feeders === 1 : feeders + [half.behind, half.entry].filter((feeder) => feeder !== undefined).length === 1;
    return fed && (carrier.next.kind === 'carrier' || picked.has(carrier.index));
  });
}

/** Every legal plan up to a cost whose arms all do what the brief's feed allows, of which the entry is one of the brief's. */
function everyPlan(brief: Brief, mostCost: number, consider: (layout: Layout) => void): void {
  const { catalog, site, wagons } = brief;
  const { width, depth } = site;
  const tiles = Array.from({ length: width * depth }, (_, i): Tile => ({ x: i % width, y: Math.floor(i / width) }));
  const isIn = ({ x, y }: Tile): boolean => x >= 0 && y >= 0 && x < width && y < depth;
  const demands = brief.load?.entries ?? [];
  const placesOf = ({ edge, from, to }: (typeof demands)[number]): readonly Tile[] =>
    tiles.filter((at) => !isIn(stepFrom(at, edge)) && (edge === 'S' ? at.x : at.y) >= from && (edge === 'S' ? at.x : at.y) <= to);
  const places = demands.map(placesOf);
  const taken = new Map<string, Part>();
  const key = ({ x, y }: Tile): string => `${x},${y}`;
  const parts: Part[] = [];
  const kindAt = (tile: Tile): string => (wagonAt(wagons, tile) !== undefined ? 'wagon' : (taken.get(key(tile))?.kind ?? 'nothing'));
  const isCarrier = (kind: string): boolean => kind === 'belt' || kind === 'splitter' || kind === 'underpass';
  /** Whether every arm does what it may, as far as the tiles before `index` tell. */
  const armsMay = (index: number): boolean =>
    parts.every((part) => {
      if (part.kind !== 'arm') return true;
      const [from, into] = [backOf(part.heading), part.heading].map((toward) => {
        const tile = stepFrom(part.at, toward, part.model.reach);
        const isKnown = !isIn(tile) || tile.y * width + tile.x < index;
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

const isLess = (a: readonly number[], b: readonly number[]): boolean => {
  const at = a.findIndex((value, index) => value !== b[index]);
  return at >= 0 && a[at] < b[at];
};

function bruteForce(brief: Brief, mostCost: number): { readonly inside: Found | undefined; readonly outside: Found | undefined; readonly judged: number } {
  const verify = loadingVerifier({ starts: brief.starts, seed: 1, tickLimit: TICK_LIMIT });
  let inside: Found | undefined;
  let outside: Found | undefined;
  let judged = 0;
  everyPlan(brief, mostCost, (layout) => {
    const values = [layoutCost(layout), footprint(layout), partCount(layout)];
    const isIn = isInside(layout);
    const best = isIn ? inside : outside;
    if (best !== undefined && !isLess(values, best.values)) return;
    if (layout.parts.filter(({ kind }) => kind === 'arm').length > (brief.limits.arms ?? Infinity)) return;
    if (checkLegality(layout).some(({ severity }) => severity === 'error')) return;
    judged++;
    if (verify(layout, brief).verdict !== 'passes') return;
    if (isIn) inside = { values, inside: true };
    else outside = { values, inside: false };
  });
  return { inside, outside, judged };
}

describe('designs of loading stations', () => {
  it.each([
    ['plain', tinyBrief, BRIEFS],
    ['varied', variedBrief, Math.ceil(BRIEFS * 0.6)],
  ] as const)(`are the cheapest, then the smallest, of all plans of tiny sites (%s, from seed ${SEED})`, { timeout: 600_000 }, async (which, briefAt, briefs) => {
    const counts = { optimal: 0, infeasible: 0, chests: 0, direct: 0, splitters: 0, underpasses: 0, twofold: 0, keptOut: 0, limited: 0, skipped: 0, judged: 0 };
    const outside: string[] = [];
    for (let seed = SEED; seed < SEED + briefs; seed++) {
      const brief = briefAt(seed);
      const outcome = await design(brief);
      if (outcome.status === 'optimal') {
        const { layout } = outcome;
        const cost = layoutCost(layout);
        expect(isInside(layout), `seed ${seed}`).toBe(true);
        if (cost > MOST_COST) {
          counts.skipped++;
          continue;
        }
        const brute = bruteForce(brief, cost);
        expect(brute.inside?.values, `seed ${seed}`).toEqual([cost, footprint(layout), partCount(layout)]);
        if (brute.outside !== undefined && isLess(brute.outside.values, brute.inside?.values ?? [])) outside.push(`seed ${seed}: ${brute.outside.values.join()}`);
        counts.optimal++;
        counts.judged += brute.judged;
        counts.twofold += brief.load?.entries.length === 2 ? 1 : 0;
        counts.keptOut += brief.site.keepOut.length;
        counts.limited += brief.limits.arms === undefined ? 0 : 1;
        counts.chests += layout.parts.some(({ kind }) => kind === 'chest') ? 1 : 0;
        counts.direct += layout.parts.some(({ kind }) => kind === 'chest') ? 0 : 1;
        counts.splitters += layout.parts.some(({ kind }) => kind === 'splitter') ? 1 : 0;
        counts.underpasses += layout.parts.some(({ kind }) => kind === 'underpass') ? 1 : 0;
      } else if (outcome.status === 'infeasible') {
        counts.infeasible++;
        expect(bruteForce(brief, 5).inside, `seed ${seed}`).toBeUndefined();
      } else counts.skipped++;
    }
    console.log(`compared (${which}): ${JSON.stringify(counts)}; better outside of the stated space: ${outside.join('; ') || 'none'}`);
    expect(counts.optimal).toBeGreaterThan(which === 'plain' ? briefs / 4 : 0);
    expect(which === 'plain' ? Math.min(counts.infeasible, counts.chests, counts.direct) : counts.twofold + counts.keptOut + counts.limited).toBeGreaterThan(0);
  });

  it('cost the same on a site that is moved along its wagon', async () => {
    for (const seed of [2, 5, 9, 14, 20]) {
      const brief = tinyBrief(seed);
      const { load } = brief;
      if (load === undefined) continue;
      const wide = { ...brief, wagons: brief.wagons.map((wagon) => ({ ...wagon, at: wagon.at + 1 })) };
      const shifted: Brief = {
        ...wide,
        site: { ...brief.site, width: brief.site.width + 1, keepOut: [{ x: 0, y: 0, width: 1, height: brief.site.depth }] },
        load: { ...load, entries: load.entries.map((entry) => (entry.edge === 'S' ? { ...entry, from: entry.from + 1, to: entry.to + 1 } : entry)) },
      };
      if (load.entries[0].edge !== 'S') continue;
      const [plain, moved] = [await design(brief), await design(shifted)];
      expect([moved.status, moved.proof.bound]).toEqual([plain.status, plain.proof.bound]);
    }
  });
});

describe('the bound on an arm that picks from a carrier', () => {

  it('is never exceeded by the simulator, and is reached', { timeout: 60_000 }, () => {
    let arms = 0;
    let reached = 0;
    for (let seed = 1; seed <= 150; seed++) {
      const layout = seededLoadingPlan(seed);
      const trial = runTrial(layout, { starts: 1, seed: 1, tickLimit: 8_000, presence: ratio(1) });
      if (!trial.exact) continue;
      const network = deriveNetwork(layout);
      network.arms.forEach(({ part, pick: from, place }, index) => {
        const placed = layout.parts[part];
        if (placed.kind !== 'arm' || from.kind !== 'carrier' || (place.kind !== 'chest' && place.kind !== 'wagon')) return;
        const bound: Rational = pickRateBound(placed.model);
        const order = trial.arms[index].flow.compare(bound);
        expect(order, `seed ${seed}, arm at ${placed.at.x},${placed.at.y}`).toBeLessThanOrEqual(0);
        arms++;
        if (order === 0) reached++;
      });
    }
    expect(arms).toBeGreaterThan(100);
    expect(reached).toBeGreaterThan(5);
  });
});
