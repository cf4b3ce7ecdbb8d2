/**
 * What load arms bring at the most: against every way of dealing them out one by one, against crews drawn at random, and
 * never below what networks that the search finds really bring.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_NETWORKS the number of layouts.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { buildLayout } from '../../src/synthesis/carriers/build-layout.js';
import { ChestDeals, chestRoom, type ChestRoom } from '../../src/synthesis/networks/chest-deals.js';
import { drawCrew } from '../../src/synthesis/crews/crew-search.js';
import { candidates } from '../../src/synthesis/site/candidates.js';
import type { CrewArm } from '../../src/synthesis/site/crew.js';
import { siteMap } from '../../src/synthesis/site/site-map.js';
import { SEED } from '../documents.js';
import { askingFor, drawing, flowsByStart, idleBrief, splittersOf } from '../oracles/random-networks.js';
import { tinyBrief } from './tiny-briefs.js';

const LAYOUTS = Number(process.env['TRANSLOOM_NETWORKS'] ?? '60');
const STARTS = 3;

interface Dealt {
  readonly room: ChestRoom;
  readonly bestLane: readonly number[];
  readonly lineGain: readonly number[];
  readonly fillRates: readonly number[];
  readonly chests: number;
  readonly loads: readonly number[];
  readonly fills: readonly number[] | undefined;
  readonly splitters: number;
}

/** Deals out each arm by itself: to a chest or a wagon, at a dividing line or not. */
function mostByHand({ room, bestLane, lineGain, fillRates, chests, loads, fills, splitters }: Dealt): number {
  const loading = loads.flatMap((n, m) => new Array<number>(n).fill(m));
  const filling = fills?.flatMap((n, m) => new Array<number>(n).fill(m));
  const lines = splitters * room.dropsOfSplitter;
  const supplies: number[][] = [];
  const fill = (arm: number, supply: readonly number[], arms: readonly number[]): void => {
    if (filling !== undefined && arm < filling.length) {
      for (let c = 0; c < chests; c++) {
        fill(arm + 1, supply.map((s, i) => (i === c ? s + fillRates[filling[arm]] : s)), arms.map((n, i) => (i === c ? n + 1 : n)));
      }
    } else if (arms.every((n) => n > 0)) supplies.push(supply.map((s) => Math.min(s, room.supplyOfChest)));
  };
  if (filling === undefined) supplies.push(new Array<number>(chests).fill(room.supplyOfChest));
  else fill(0, new Array<number>(chests).fill(0), new Array<number>(chests).fill(0));
  let most = -Infinity;
  const load = (arm: number, taken: readonly number[], arms: readonly number[], atLine: number): void => {
    if (arm < loading.length) {
      const rate = bestLane[loading[arm]];
      for (let c = 0; c <= chests; c++) {
        if (c === chests && !room.mayBeDirect) continue;
        for (let line = 0; line < (atLine < lines ? 2 : 1); line++) {
          const more = rate + line * lineGain[loading[arm]];
          load(arm + 1, taken.map((t, i) => (i === c ? t + more : t)), arms.map((n, i) => (i === c ? n + 1 : n)), atLine + line);
        }
      }
      return;
    }
    if (arms.slice(0, chests).some((n) => n === 0 || n > room.loadsOfChest)) return;
    for (const supply of supplies) most = Math.max(most, taken.reduce((sum, t, i) => sum + (i < chests ? Math.min(t, supply[i]) : t), 0));
  };
  load(0, new Array<number>(chests + 1).fill(0), new Array<number>(chests + 1).fill(0), 0);
  return most;
}

describe('load arms dealt out to chests', () => {
  it('leave some of a chest behind that one of them has to itself: by hand', () => {
    const room = { loadsOfChest: 3, dropsOfSplitter: 2, supplyOfChest: 126, mayBeDirect: false };
    const deals = new ChestDeals({ bestLane: [49], lineGain: [23], fillRates: [126] }, room);
    const most = (chests: number, loads: number, splitters: number): number => deals.mostBrought({ chests, loads: [loads], splitters: [splitters] }, [chests]);
    // Two and two and one: two full chests and an arm's 72, whatever the sum of five arms may be.
    expect(most(3, 5, 3)).toBe(2 * 126 + 72);
    expect(most(3, 6, 3)).toBe(3 * 126);
    // Four arms at most drop on two splitters.
    expect(most(6, 6, 2)).toBe(4 * 72 + 2 * 49);
    expect(most(2, 7, 3)).toBe(-Infinity);
  });

  it('bring what the best way of dealing them out one by one does', () => {
    const rate = fc.integer({ min: 0, max: 9 });
    const arms = (most: number) => fc.tuple(fc.integer({ min: 0, max: most }), fc.integer({ min: 0, max: 2 }));
    fc.assert(
      fc.property(
        fc.record({
          room: fc.record({ loadsOfChest: fc.integer({ min: 1, max: 3 }), dropsOfSplitter: fc.integer({ min: 0, max: 3 }), supplyOfChest: fc.integer({ min: 1, max: 20 }), mayBeDirect: fc.boolean() }),
          bestLane: fc.tuple(rate, rate),
          lineGain: fc.tuple(rate, rate),
          fillRates: fc.tuple(rate, rate),
          chests: fc.integer({ min: 0, max: 2 }),
          loads: arms(2),
          fills: fc.option(arms(2), { nil: undefined }),
          splitters: fc.integer({ min: 0, max: 2 }),
        }),
        (dealt) => {
          const { bestLane, lineGain, fillRates, room, chests, loads, splitters } = dealt;
          const fills = chests === 0 ? undefined : dealt.fills;
          const deals = new ChestDeals({ bestLane, lineGain, fillRates }, room);
          expect(deals.mostBrought({ chests, loads, splitters: [splitters] }, fills)).toBe(mostByHand({ ...dealt, fills }));
        },
      ),
      { seed: SEED, numRuns: 400 },
    );
  });

  it('say nothing where there are too many ways', () => {
    const deals = new ChestDeals({ bestLane: [1, 1], lineGain: [0, 0], fillRates: [1, 1] }, { loadsOfChest: 3, dropsOfSplitter: 2, supplyOfChest: 1, mayBeDirect: false });
    expect(deals.mostBrought({ chests: 9, loads: [9, 9], splitters: [9] }, [9, 9])).toBe(Infinity);
  });

  it('drop on one splitter and stand around one chest by no more than there is room for', () => {
    const site = { site: { width: 8, depth: 5 }, exits: [{ edge: 'S', from: 0, to: 7, belt: 'belt', target: { fill: '0.5' } }] };
    const brief = tinyBrief({ ...site, feed: 'chests' });
    const map = siteMap(brief);
    const spots = candidates(map);
    const room = chestRoom(map, spots);
    expect(room).toEqual({ loadsOfChest: 3, dropsOfSplitter: 2, supplyOfChest: map.fillRates[0], mayBeDirect: false });
    // Chests that are given stand where they are, and arms at them draw from nothing that a bill counts.
    expect(chestRoom(map, candidates(map, [9])).mayBeDirect).toBe(true);
    const draw = seededRandom(SEED);
    let full = 0;
    for (let n = 0; n < 3_000; n++) {
      const crew = drawCrew(spots, { chests: 2, fills: [2], loads: [3], splitters: [] }, draw);
      if (crew === undefined) continue;
      const loads = crew.arms.filter(({ role }) => role === 'load');
      const isFree = (tile: number): boolean => !crew.arms.some((arm) => arm.tile === tile) && !crew.chests.some((chest) => chest.tile === tile);
      for (const { target } of loads) {
        for (let heading = 0; heading < 4; heading++) {
          const beside = map.neighbour[target * 4 + heading];
          if (beside < 0 || !isFree(beside)) continue;
          const together = loads.filter((arm) => arm.target === target || arm.target === beside).length;
          expect(together).toBeLessThanOrEqual(room.dropsOfSplitter);
          if (together === room.dropsOfSplitter) full++;
        }
      }
      crew.chests.forEach((_, chest) => {
        expect(loads.filter((arm) => arm.chest === chest).length).toBeLessThanOrEqual(room.loadsOfChest);
      });
    }
    expect(full).toBeGreaterThan(100);
  });

  it(`bring what networks that were found give (${LAYOUTS} layouts, from seed ${SEED})`, { timeout: 3_600_000 }, () => {
    const counted = { layouts: 0, fromChests: 0, divided: 0, short: 0 };
    for (let seed = SEED; counted.layouts < LAYOUTS; seed++) {
      const draw = seededRandom(seed);
      const kind = { evenSplit: draw(2) === 0, exits: [1, 2, 3], mostSplitters: 2, ...(draw(2) === 0 ? { mostChests: 3 } : {}) };
      const brief = idleBrief(draw, kind);
      if (brief === undefined) continue;
      const { map, networks } = drawing(brief);
      for (const { crew, view } of networks(draw, kind, 1, 1500)) {
        const flows = flowsByStart(buildLayout(map, view, crew), STARTS, 1);
        if (flows === undefined) continue;
        const asking = siteMap(askingFor(brief, flows));
        const spots = candidates(asking);
        const counts = (of: CrewArm['role']): readonly number[] => map.arms.map((_, m) => crew.arms.filter(({ role, model }) => role === of && model === m).length);
        const bill = { chests: crew.chests.length, loads: counts('load'), splitters: splittersOf(map, view) };
        const deals = new ChestDeals(asking, chestRoom(asking, spots));
        const most = deals.mostBrought(bill, counts('fill'));
        expect(most, `seed ${seed}`).toBeGreaterThanOrEqual(asking.wanted);
        expect(deals.mostBrought(bill), `seed ${seed}`).toBeGreaterThanOrEqual(most);
        counted.layouts++;
        if (bill.chests > 0) counted.fromChests++;
        if (bill.splitters.some((n) => n > 0)) counted.divided++;
        if (most < asking.wanted * 2) counted.short++;
      }
    }
    console.log(`dealt to chests: ${JSON.stringify(counted)}`);
    expect(Math.min(...Object.values(counted))).toBeGreaterThan(LAYOUTS / 20);
  });
});
