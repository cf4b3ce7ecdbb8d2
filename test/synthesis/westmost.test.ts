/**
 * Searches that pass over copies a column further west find the same best layout as those that look at all, in
 * fewer steps. TRANSLOOM_SEED shifts the briefs, TRANSLOOM_NETWORKS asks for more of them.
 */
import { beforeAll, describe, expect, it, vi } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import type { Brief } from '../../src/brief/brief.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import type { IntegerSolver } from '../../src/program/solver.js';
import { BestSoFar } from '../../src/synthesis/families/best-so-far.js';
import { candidates } from '../../src/synthesis/site/candidates.js';
import { CarrierBound } from '../../src/synthesis/carriers/carrier-bound.js';
import { BELT, CarrierNetwork } from '../../src/synthesis/carriers/carrier-network.js';
import { SearchStopped } from '../../src/synthesis/carriers/carrier-search.js';
import { highestPrice } from '../../src/synthesis/design.js';
import { Families } from '../../src/synthesis/families/families.js';
import { FamilySearch } from '../../src/synthesis/families/family-search.js';
import { WideSite } from '../../src/synthesis/networks/wide-site.js';
import { Judge } from '../../src/synthesis/networks/judge.js';
import { NetworkCosts } from '../../src/synthesis/networks/network-costs.js';
import { siteMap } from '../../src/synthesis/site/site-map.js';
import type { Bill } from '../../src/synthesis/site/bill.js';
import { Westmost } from '../../src/synthesis/crews/westmost.js';
import { loadCrewsOf, type CrewTests } from '../../src/synthesis/crews/crew-search.js';
import { crewKey, type Crew } from '../../src/synthesis/site/crew.js';
import { witnessOf } from '../oracles/compare-designs.js';
import { readBrief, tinyBriefDocument } from '../oracles/random-briefs.js';
import { tinyBrief } from './tiny-briefs.js';

const SEED = Number(process.env['TRANSLOOM_SEED'] ?? 20240229);
const BRIEFS = Number(process.env['TRANSLOOM_NETWORKS'] ?? 400) / 10;
const MOST_STEPS = 6_000;
const PRICES = [1, 3, 4, 5, 6, 7, 8, 9, 10, 12];

let glpk: IntegerSolver;
beforeAll(async () => {
  glpk = await loadGlpkSolver();
});

class LooksAtAll extends BestSoFar {
  override readonly copiesCount = true;
}

/** A brief of one or two exits, mostly over the south edge of a bare site that is long and low. */
function drawnBrief(seed: number): Brief | undefined {
  const draw = seededRandom(seed);
  const document = tinyBriefDocument(seed);
  const { exits } = document;
  const [width, depth] = [[7, 3], [8, 3], [9, 2], [8, 2]][draw(4)];
  const rare = draw(5);
  const from = rare === 0 ? 1 + draw(2) : 0;
  const { wagons } = document.catalog;
  // One wagon, or two short ones: where a coupling is between them, copies stand more than a column further west.
  const paired = draw(2) === 0;
  const length = paired ? Math.floor((width - 1) / 2) : width - draw(3);
  const first = paired ? 0 : draw(width - length + 1);
  const drawn = {
    ...document,
    catalog: { ...document.catalog, wagons: { wagon: { ...wagons.wagon, length, coupling: paired ? 1 : 0 } } },
    site: { width, depth, ...(rare === 1 ? { keepOut: [[draw(3), draw(depth), 1, 1]] } : {}) },
    wagons: [first, ...(paired ? [length + 1] : [])].map((at) => ({ model: 'wagon', at })),
    exits: exits.map((exit) => ({ ...exit, edge: rare === 2 ? (['E', 'W'] as const)[draw(2)] : 'S', from: rare === 2 ? 0 : from, to: rare === 2 ? depth - 1 : width - 1 })),
    spotting: rare === 3 ? 1 : 0,
    starts: 1,
  };
  return readBrief(drawn);
}

interface Found {
  readonly price: number;
  readonly text: string | undefined;
  readonly steps: number;
}

/** Undefined where it takes long. */
function bestOf(brief: Brief, copiesCount: boolean): Found | undefined {
  const map = siteMap(brief);
  const spots = candidates(map);
  const kept = new (copiesCount ? LooksAtAll : BestSoFar)(brief, () => undefined);
  const judge = new Judge(witnessOf, () => undefined, brief);
  const search: FamilySearch = new FamilySearch(map, spots, judge, kept, () => search.carriers.steps > MOST_STEPS);
  const costs = new NetworkCosts(brief, 'cost', judge, () => false);
  const families = new Families(map, spots, glpk, (most) => most, () => undefined);
  const most = highestPrice(map, spots);
  try {
    while (families.bound <= Math.min(kept.price, most)) {
      const family = families.next;
      if (family === undefined) {
        families.propose(Math.min(kept.price, most));
        continue;
      }
      const { bill, fixed, price, first, crews } = family;
      const carriers = price - fixed;
      const pass = search.settle({ bill, carriers, price, floor: costs.floor(bill, carriers), first }, crews);
      let step = pass.next();
      while (step.done !== true) step = pass.next();
      families.raise(family, fixed + step.value);
    }
  } catch (thrown) {
    if (!(thrown instanceof SearchStopped)) throw thrown;
    return undefined;
  }
  return { price: kept.price, text: kept.best?.text, steps: search.carriers.steps };
}

describe('copies of layouts a column further west', () => {
  it(`are passed over without loss (${BRIEFS} briefs, from seed ${SEED})`, { timeout: 1_200_000 }, () => {
    const counts = { found: 0, severalExits: 0, none: 0, long: 0, fewer: 0, leaps: 0, steps: 0, stepsOfAll: 0 };
    const told = vi.spyOn(Westmost.prototype, 'told');
    for (let seed = SEED; seed < SEED + BRIEFS; seed++) {
      const brief = drawnBrief(seed);
      const none = vi.spyOn(Westmost.prototype, 'holdsAnywhere', 'get').mockReturnValue(false);
      const all = brief && bestOf(brief, true);
      none.mockRestore();
      told.mockClear();
      const westmost = brief && bestOf(brief, false);
      if (all === undefined || westmost === undefined) {
        counts.long++;
        continue;
      }
      expect({ price: westmost.price, text: westmost.text }, `seed ${seed}`).toEqual({ price: all.price, text: all.text });
      counts[all.text === undefined ? 'none' : 'found']++;
      if (westmost.steps < all.steps) {
        counts.fewer++;
        if (told.mock.results.some(({ value }) => ((value as Crew).copyInTheWest ?? 0) > 1)) counts.leaps++;
      }
      if (all.text !== undefined && brief !== undefined && brief.exits.length > 1) counts.severalExits++;
      counts.steps += westmost.steps;
      counts.stepsOfAll += all.steps;
    }
    told.mockRestore();
    console.log(`copies: ${JSON.stringify(counts)}`);
    expect(counts.found).toBeGreaterThan(BRIEFS / 4);
    expect(counts.fewer).toBeGreaterThan(BRIEFS / 20);
    expect(counts.leaps).toBeGreaterThan(0);
    expect(counts.steps).toBeLessThan(counts.stepsOfAll);
  });

  it(`are searched as one where networks are searched by themselves (${BRIEFS} briefs, from seed ${SEED})`, { timeout: 1_200_000 }, () => {
    const floors = (brief: Brief, bills: readonly Bill[]): readonly boolean[] | undefined => {
      let looks = 0;
      const costs = new NetworkCosts(brief, 'cost', new Judge(witnessOf, () => undefined, brief), () => ++looks > 1_000);
      try {
        // What lies above a price is known only as far as it was asked about.
        return bills.flatMap((bill) => PRICES.map((upTo) => costs.floor(bill, upTo).mostNetworks < 2));
      } catch (thrown) {
        if (!(thrown instanceof SearchStopped)) throw thrown;
        return undefined;
      }
    };
    const counts = { compared: 0, raised: 0, open: 0, long: 0 };
    for (let seed = SEED; counts.compared < BRIEFS; seed++) {
      const draw = seededRandom(seed);
      // A wagon in the east: crews stand far from the first column.
      const [width, depth] = [6 + draw(3), 3 + draw(2)];
      const fill = (): string => ['0.1', '0.3', '0.36'][draw(3)];
      const exits = [fill(), fill()].map((target) => ({ edge: 'S', from: 0, to: width - 1, belt: 'belt', target: { fill: target } }));
      const chests = draw(2) * (1 + draw(2));
      const feed = chests > 0 ? 'chests' : 'direct';
      const brief = tinyBrief({ site: { width, depth }, wagons: [{ model: 'wagon', at: width - 4 }], exits, feed, starts: 1 });
      const map = siteMap(brief);
      expect(new Westmost(map, candidates(map)).holdsAnywhere).toBe(true);
      const bills = [2, 3].flatMap((loads) => [0, 1].map((splitters) => ({ chests, fills: [chests], loads: [loads], splitters: [splitters] })));
      const westmost = floors(brief, bills);
      const none = vi.spyOn(Westmost.prototype, 'holdsAnywhere', 'get').mockReturnValue(false);
      const all = floors(brief, bills);
      none.mockRestore();
      if (westmost === undefined || all === undefined) {
        counts.long++;
        continue;
      }
      expect(westmost, `seed ${seed}`).toEqual(all);
      counts.compared++;
      // Of some bill: dearer than nothing, and yet to be had.
      const bounded = bills.some((_, b) => all[b * PRICES.length] && !all[(b + 1) * PRICES.length - 1]);
      counts[bounded ? 'raised' : 'open']++;
    }
    console.log(`copies of networks: ${JSON.stringify(counts)}`);
    expect(counts.raised).toBeGreaterThan(BRIEFS / 2);
    expect(counts.long).toBeLessThan(BRIEFS / 4);
  });

  it('leave what networks cost as it is, far from the first column too: by hand', () => {
    // Each arm sets down in the second row, and three belts lead straight out.
    const exits = [1, 2].map(() => ({ edge: 'S', from: 0, to: 7, belt: 'belt', target: { fill: '0.1' } }));
    const brief = tinyBrief({ site: { width: 8, depth: 4 }, wagons: [{ model: 'wagon', at: 4 }], exits, starts: 1 });
    const costs = new NetworkCosts(brief, 'cost', new Judge(witnessOf, () => undefined, brief), () => false);
    const networks = [4, 5, 6, 7].map((upTo) => costs.floor({ chests: 0, fills: [0], loads: [2], splitters: [0] }, upTo).mostNetworks);
    expect(networks).toEqual([0, 0, 2, 2]);
    // One arm for both: a belt, a splitter in the third row, and a belt behind each half.
    const bill = { chests: 0, fills: [0], loads: [1], splitters: [1] };
    expect(costs.floor(bill, 2)).toEqual({ least: 3, mostNetworks: 0, moreAt: 3 });
    expect(costs.floor(bill, 3)).toEqual({ least: 3, mostNetworks: 1, moreAt: Infinity });
  });

  it('are not put together at all but from loads that may be the westmost, and none that speaks for others is missed', () => {
    const counts = { crews: 0, copies: 0, passedOver: 0 };
    for (const [at, depth, feed, loads, chests] of [[0, 4, 'chests', 2, 1], [4, 4, 'chests', 2, 2], [2, 3, 'direct', 2, 0], [5, 3, 'either', 2, 1], [3, 4, 'either', 3, 2]] as const) {
      const exits = [{ edge: 'S', from: 0, to: 8, belt: 'belt', target: { fill: '0.1' } }];
      const brief = tinyBrief({ site: { width: 9, depth }, wagons: [{ model: 'wagon', at }], exits, feed });
      const map = siteMap(brief);
      const spots = candidates(map);
      const wide = new WideSite(brief, 'cost', map, spots, new Westmost(map, spots));
      const all: CrewTests = { affordable: () => true, mayHold: () => true, close: () => undefined };
      const crewsBy = (firstLoads?: number): readonly Crew[] => [...loadCrewsOf(wide.map, wide.spots, { loads: [loads], chests }, all, firstLoads)];
      const speaking = (crews: readonly Crew[]): readonly string[] => crews.filter((crew) => !wide.hasCopyInTheWest(crew)).map(crewKey);
      const every = crewsBy();
      const fewer = crewsBy(wide.firstLoads);
      expect(speaking(fewer)).toEqual(speaking(every));
      counts.crews += speaking(every).length;
      counts.copies += every.length - speaking(every).length;
      counts.passedOver += every.length - fewer.length;
    }
    expect(Math.min(...Object.values(counts))).toBeGreaterThan(20);
    expect(counts.passedOver).toBeGreaterThan(counts.copies / 2);
  });

  it('stand on the site itself as far west as they fit', () => {
    const exits = [{ edge: 'S', from: 0, to: 7, belt: 'belt', target: { fill: '0.1' } }];
    const brief = tinyBrief({ site: { width: 8, depth: 3 }, wagons: [{ model: 'wagon', at: 3 }], exits });
    const map = siteMap(brief);
    const spots = candidates(map);
    const wide = new WideSite(brief, 'cost', map, spots, new Westmost(map, spots));
    // An arm beneath the wagon's first tile, and belts from there to the west and to the east, by columns of the site itself.
    const wideTile = (x: number, y: number): number => y * 16 + 8 + x;
    const arm = { tile: wideTile(3, 0), heading: 2, model: 0, role: 'load', chest: -1, target: wideTile(3, 1) } as const;
    const columnsOf = (west: number, east: number): readonly number[] | undefined => {
      const net = new CarrierNetwork(wide.map);
      for (let x = west; x <= east; x++) net.add(BELT, 1, 0, wideTile(x, 1), wideTile(x, 1), -1, 4);
      const copy = wide.copyOf(net, { chests: [], arms: [arm] });
      return copy && [...copy.view.tail.subarray(0, copy.view.count), copy.crew.arms[0].tile, copy.crew.arms[0].target - 8].map((tile) => tile - (tile >= 8 ? 8 : 0));
    };
    expect(columnsOf(3, 4)).toEqual([3, 4, 3, 3]);
    expect(columnsOf(-1, 3)).toEqual([0, 1, 2, 3, 4, 4, 4]);
    expect(columnsOf(-1, 6)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 4, 4]);
    expect(columnsOf(-1, 7)).toBeUndefined();
    // The wagon is four tiles long: no arm reaches it from further east.
    expect(columnsOf(-4, -3)).toBeUndefined();
    expect(columnsOf(-3, -3)).toEqual([0, 6, 6]);
  });

  it('are passed over but for networks that reach the second column', () => {
    const map = siteMap(tinyBrief({ site: { width: 6, depth: 3 }, exits: [{ edge: 'S', from: 0, to: 5, belt: 'belt', target: { fill: '0.5' } }] }));
    const net = new CarrierNetwork(map);
    const bound = new CarrierBound(map, net);
    const leastFrom = (column: number, copyInTheWest?: number): number => {
      const target = 2 * map.width + column;
      net.enter({ chests: [], arms: [{ tile: target - map.width, heading: 2, model: 0, role: 'load', chest: -1, target }], ...(copyInTheWest !== undefined && { copyInTheWest }) });
      bound.enter(true);
      return bound.stillToPay(new Uint8Array(1), 0);
    };
    const columns = [0, 1, 2, 3, 4];
    expect(columns.map((column) => leastFrom(column))).toEqual([1, 1, 1, 1, 1]);
    expect(columns.map((column) => leastFrom(column, 1))).toEqual([1, 1, 2, 3, 4]);
    expect(columns.map((column) => leastFrom(column, 3))).toEqual([1, 1, 1, 1, 2]);
  });

  it('are told of on bare sites alone', () => {
    const hasCopy = (rest: object): boolean => {
      const exits = [{ edge: 'S', from: 0, to: 5, belt: 'belt', target: { fill: '0.5' } }];
      const map = siteMap(tinyBrief({ site: { width: 6, depth: 3 }, wagons: [{ model: 'wagon', at: 1 }], exits, ...rest }));
      const { loads } = candidates(map);
      // The last arm that lifts from the wagon: one column further west it does too.
      const { tile, heading, model, target } = loads[loads.length - 1];
      const crew: Crew = { chests: [], arms: [{ tile, heading, model, role: 'load', chest: -1, target }] };
      return new Westmost(map, candidates(map)).told(crew).copyInTheWest !== undefined;
    };
    const exit = { edge: 'S', from: 0, to: 5, belt: 'belt', target: { fill: '0.5' } };
    expect(hasCopy({})).toBe(true);
    expect(hasCopy({ wagons: [{ model: 'cart', at: 4 }] })).toBe(false);
    expect(hasCopy({ site: { width: 6, depth: 3, keepOut: [[0, 2, 1, 1]] } })).toBe(false);
    expect(hasCopy({ site: { width: 6, depth: 3, north: 2 } })).toBe(false);
    expect(hasCopy({ spotting: 1 })).toBe(false);
    expect(hasCopy({ exits: [{ ...exit, from: 1 }] })).toBe(false);
    expect(hasCopy({ exits: [exit, { ...exit, edge: 'E', to: 2 }] })).toBe(false);
    expect(hasCopy({ limits: { dwell: '90s' } })).toBe(false);
    expect(hasCopy({ limits: { trainsPerHour: '1' } })).toBe(false);
    expect(hasCopy({ minimise: ['cost', 'dwell'] })).toBe(false);
  });
});
