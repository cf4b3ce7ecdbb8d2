/**
 * Visit runs of the simulator, tick for tick, beside those of the naive reference; and with leaps beside those without.
 * TRANSLOOM_PLANS sets how many plans (100), TRANSLOOM_SEED the first seed (1).
 */
import { describe, expect, it } from 'vitest';
import { referenceRun } from '../../src/audit/reference-simulator.js';
import { compareTiles } from '../../src/base/geometry.js';
import type { Layout } from '../../src/layout/layout.js';
import { itemPlaces } from '../../src/simulation/run.js';
import type { VisitTerms } from '../../src/simulation/visit-result.js';
import { runVisits } from '../../src/simulation/run-visits.js';
import { VisitRun } from '../../src/simulation/visit-run.js';
import { visitDelays } from '../../src/simulation/visit-starts.js';
import { seededLoadings, seededVisits } from './random-visits.js';

const plans = Number(process.env.TRANSLOOM_PLANS ?? 100);
const firstSeed = Number(process.env.TRANSLOOM_SEED ?? 1);
const seeds = Array.from({ length: plans }, (_, index) => firstSeed + index);

/** The first tick in which the two part, with what each holds. */
function difference(layout: Layout, terms: VisitTerms, ticks: number, events: Map<string, number>): string | undefined {
  const { loads, levels, headwayTicks, stayTicks, leaves } = terms;
  const reference = referenceRun(layout, terms.delays, { wagons: loads, chests: levels, timetable: { headwayTicks, stayTicks, leaves } });
  const run = new VisitRun(layout, terms);
  const { stock } = run;
  for (let tick = 1; tick <= ticks; tick += 1) {
    reference.step();
    if (run.isTrainDue) run.arrive();
    run.step(run.tick);
    const acting = reference.takenByArms().map(({ at, taken }) => ({ at, taken })).sort((a, b) => compareTiles(a.at, b.at));
    const expected = {
      ...reference.levels(),
      exits: reference.counts().exits.map(({ left, right }) => [left, right]),
      items: reference.places().map(({ tile, lane, position }) => `${tile.x},${tile.y} ${lane} @${position}`).sort(),
      cameIn: reference.totals().entered,
      arms: acting.map(({ at, taken }) => `${at.x},${at.y} ${taken}`),
      departures: reference.visits().length,
    };
    const since = new Float64Array(run.tally.read().length);
    const taken = new Map(run.armFindings(since).map((arm) => [`${arm.at.x},${arm.at.y}`, arm.taken]));
    const found = {
      wagons: [...stock.held.subarray(0, stock.wagons)],
      chests: [...stock.held.subarray(stock.wagons)],
      exits: run.exitFindings(since, 0).map(({ left, right }) => [left, right]),
      items: itemPlaces({ layout, network: stock.network, pieces: [stock.piece] })
        .map(({ tile, lane, position }) => `${tile.x},${tile.y} ${lane} @${position}`)
        .sort(),
      cameIn: run.cameIn(since),
      arms: acting.map(({ at }) => `${at.x},${at.y} ${taken.get(`${at.x},${at.y}`) ?? 0}`),
      departures: run.departures,
    };
    if (JSON.stringify(expected) !== JSON.stringify(found)) return `tick ${tick}: ${JSON.stringify(expected)} by the rules, ${JSON.stringify(found)}`;
  }
  for (const [event, count] of reference.events) events.set(event, (events.get(event) ?? 0) + count);
  const left = run.visits.map(({ arrivedTick, dwellTicks, leftWith }) => [arrivedTick, arrivedTick + (dwellTicks ?? 0), leftWith]);
  const expected = reference.visits().map((visit) => [visit.arrived, visit.left, visit.takenAway]);
  run.closeVisit();
  const all = run.visits.filter(({ dwellTicks }) => dwellTicks !== undefined);
  const found = all.map(({ arrivedTick, dwellTicks, leftWith }) => [arrivedTick, arrivedTick + (dwellTicks ?? 0), leftWith]);
  expect(left.length).toBeLessThanOrEqual(all.length);
  return JSON.stringify(expected) === JSON.stringify(found) ? undefined : `visits ${JSON.stringify(expected)} by the rules, ${JSON.stringify(found)}`;
}

describe('the two simulators, with trains that come and go', () => {
  it(`hold the same items in the same places on ${plans} plans from seed ${firstSeed} on`, { timeout: 300_000 + plans * 200 }, () => {
    const events = new Map<string, number>();
    const failures: string[] = [];
    for (const seed of seeds) {
      const visits = seededVisits(seed);
      if (visits === undefined) continue;
      const found = difference(visits.layout, visits.terms, 150, events);
      if (found !== undefined) failures.push(`seed ${seed}: ${found}`);
      if (failures.length >= 3) break;
    }
    expect(failures).toEqual([]);
    for (const event of ['train: arrived', 'train: left before it was empty', 'train: left empty']) {
      expect(events.get(event) ?? 0, event).toBeGreaterThan(plans / 10);
    }
  });

  it(`do so from staggered starts, on ${plans} plans`, { timeout: 300_000 + plans * 200 }, () => {
    const failures: string[] = [];
    let heldBack = 0;
    for (const seed of seeds) {
      const visits = seededVisits(seed);
      if (visits === undefined) continue;
      const delays = visitDelays(visits.layout, 1, seed);
      if (delays.some((delay) => delay > 0)) heldBack++;
      const found = difference(visits.layout, { ...visits.terms, delays }, 150, new Map());
      if (found !== undefined) failures.push(`seed ${seed}: ${found}`);
      if (failures.length >= 3) break;
    }
    expect(failures).toEqual([]);
    expect(heldBack).toBeGreaterThan(plans / 3);
  });

  it(`hold the same items where trains are filled, on ${plans} plans`, { timeout: 300_000 + plans * 200 }, () => {
    const events = new Map<string, number>();
    const failures: string[] = [];
    for (const seed of seeds) {
      const visits = seededLoadings(seed);
      if (visits === undefined) continue;
      const found = difference(visits.layout, visits.terms, 150, events);
      if (found !== undefined) failures.push(`seed ${seed}: ${found}`);
      if (failures.length >= 3) break;
    }
    expect(failures).toEqual([]);
    for (const event of ['train: arrived', 'train: left before it was full', 'train: left full']) {
      expect(events.get(event) ?? 0, event).toBeGreaterThan(plans / 10);
    }
  });
});

/** Longer than most periods; each run ends in the middle of something. */
const ticksOf = (seed: number): number => 1200 + ((seed * 7919) % 900);

describe('leaps over what repeats', () => {
  it('keep the pause from one cycle into the next, which the first cycle need not have had', () => {
    const visits = seededVisits(20_039);
    if (visits === undefined) throw new Error('this seed has wagons');
    const [slow, fast] = [false, true].map((leaps) => runVisits(visits.layout, visits.terms, { ticks: 2041 }, { leaps }));
    expect(fast.exits).toEqual(slow.exits);
  });

  it.each([
    ['emptied', seededVisits, plans * 4],
    ['filled', seededLoadings, plans],
  ])('change no count, level or visit where trains are %s', { timeout: 300_000 + plans * 400 }, (_, seeded, runs) => {
    let leapt = 0;
    let cyclic = 0;
    const failures: string[] = [];
    for (let seed = firstSeed; seed < firstSeed + runs && failures.length < 3; seed += 1) {
      const visits = seeded(seed);
      if (visits === undefined) continue;
      const { layout } = visits;
      // Some from a staggered start.
      const terms = { ...visits.terms, delays: visitDelays(layout, 1, seed % 3) };
      const ticks = ticksOf(seed);
      const sampleTicks = [Math.floor(ticks / 3), Math.floor(ticks / 2), ticks];
      const slow = runVisits(layout, terms, { ticks }, { leaps: false, sampleTicks });
      const fast = runVisits(layout, terms, { ticks }, { sampleTicks });
      const run = new Set(fast.visits.map(({ number }) => number));
      const same = {
        ...slow,
        // Only leaps can tell that a train will never leave, and then its arms are judged by what they wait for now.
        visits: slow.visits
          .filter(({ number }) => run.has(number))
          .map((visit) =>
            fast.stuckSince === undefined || visit.dwellTicks !== undefined || visit.waitedFor === undefined
              ? visit
              : { ...visit, waitedFor: { ...visit.waitedFor, why: fast.visits.at(-1)?.waitedFor?.why } },
          ),
        skippedVisits: fast.skippedVisits,
        stuckSince: fast.stuckSince,
      };
      if (JSON.stringify(same) !== JSON.stringify(fast)) failures.push(`seed ${seed}: ${JSON.stringify(same)}\n${JSON.stringify(fast)}`);
      if (slow.visits.length !== fast.visits.length + fast.skippedVisits) failures.push(`seed ${seed}: visits are missing`);
      // Until visits come over and over, leaps within visits are all there is.
      const toCycle = runVisits(layout, terms, {}, { mostTicksRun: 6000 });
      const toCycleSlow = runVisits(layout, terms, {}, { leaps: false, mostTicksRun: toCycle.ticks + 1 });
      if (toCycle.ending === 'repeats' && JSON.stringify(toCycle) !== JSON.stringify(toCycleSlow)) failures.push(`seed ${seed}: to the cycle\n${JSON.stringify(toCycleSlow)}\n${JSON.stringify(toCycle)}`);
      if (fast.skippedVisits > 0) cyclic += 1;
      else if (toCycle.ending === 'repeats' || fast.stuckSince !== undefined) leapt += 1;
    }
    expect(failures).toEqual([]);
    expect(leapt).toBeGreaterThan(runs / 40);
    expect(cyclic).toBeGreaterThan(runs / 40);
  });
});

describe('a visit run', () => {
  it.each([
    ['emptied', seededVisits],
    ['filled', seededLoadings],
  ])('loses no item where trains are %s: what trains left, chests held and entries gave is in chests, hands, on belts, or has left', (_, seeded) => {
    let moved = 0;
    for (let seed = 1; seed <= 1000; seed += 1) {
      const visits = seeded(seed);
      if (visits === undefined) continue;
      const { layout, terms } = visits;
      const run = new VisitRun(layout, terms);
      const atFirst = terms.levels.reduce((sum, level) => sum + level, 0);
      const since = new Float64Array(run.tally.read().length);
      let left = 0;
      for (let tick = 0; tick < 120; tick += 1) {
        if (run.isTrainDue) run.arrive();
        run.step(run.tick);
        left = run.exitFindings(since, 0).reduce((sum, exit) => sum + exit.left + exit.right, 0);
        const held = run.stock.held.reduce((sum, each) => sum + each, 0);
        if (run.brought + atFirst + run.cameIn(since) !== run.takenAway + held + run.itemsUnderWay() + left) expect.fail(`seed ${seed}, tick ${tick}`);
      }
      moved += left + run.cameIn(since);
    }
    expect(moved).toBeGreaterThan(3000);
  });
});
