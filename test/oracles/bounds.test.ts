/**
 * Bounds against the simulator: the flow bound of a whole layout and the rate model of a single arm are never below
 * what is simulated, on odd catalogs above all. How close they come is counted, and may not get much worse unnoticed.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_PLANS the number of plans.
 */
import { describe, expect, it } from 'vitest';
import { HEADINGS, backOf, stepFrom, type Tile } from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';
import { ONE, ratio, ZERO, type Rational } from '../../src/base/rational.js';
import type { ArmModel, Catalog } from '../../src/catalog/catalog.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { dropOn } from '../../src/layout/drop.js';
import type { Layout, Part, PlacedExit } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { compileLayout } from '../../src/simulation/compile.js';
import { Starts } from '../../src/simulation/starts.js';
import { armFlows, chestFlows } from '../../src/simulation/supply.js';
import { flowBound } from './flow-bound.js';
import { bestLaneRate, bestLineRate, outputTicks } from '../../src/synthesis/rates/rate-model.js';
import { SEED } from '../documents.js';
import { planDocument, randomCatalog, seededPlan } from './random-plans.js';

const PLANS = Number(process.env['TRANSLOOM_PLANS'] ?? '450');
const TICK_LIMIT = 20_000;

interface Flows {
  readonly exits: readonly { readonly left: Rational; readonly right: Rational }[];
  readonly arms: readonly Rational[];
  readonly chestsKeepUp: boolean;
}

/** Exact flows from a start; undefined where its state doesn't repeat in time. */
function* flowsOf(layout: Layout, starts: number): Generator<Flows, void> {
  const program = compileLayout(layout);
  const search = new Starts(program, { starts, seed: SEED, tickLimit: TICK_LIMIT });
  for (let start = 0; start <= starts; start++) {
    const settled = search.settle(start);
    if (settled.some(({ orbit }) => !orbit.exact)) continue;
    const exits = layout.exits.map(() => ({ left: ZERO, right: ZERO }));
    program.pieces.forEach((piece, index) => {
      const { exitCount, periodTicks } = settled[index].orbit;
      piece.exits.forEach((exit, local) => {
        exits[exit] = { left: ratio(exitCount[local * 2], periodTicks), right: ratio(exitCount[local * 2 + 1], periodTicks) };
      });
    });
    const chestsKeepUp = chestFlows(program, settled, ONE).every(({ keepsUp }) => keepsUp);
    yield { exits, arms: armFlows(program, settled), chestsKeepUp };
  }
}

const exceeds = (flow: Rational, bound: Rational): boolean => flow.compare(bound) > 0;
const show = (...rates: readonly Rational[]): string => rates.map((rate) => rate.toFraction()).join(', ');

/** How far bounds lie above what was simulated: bound / flow. */
class Closeness {
  private readonly ratios: number[] = [];

  add(bound: Rational, flow: Rational): void {
    if (flow.compare(ZERO) > 0) this.ratios.push(bound.div(flow).valueOf());
  }

  get summary(): { readonly count: number; readonly equal: number; readonly ninetieth: number; readonly worst: number } {
    const sorted = [...this.ratios].sort((a, b) => a - b);
    const count = sorted.length;
    return {
      count,
      equal: sorted.filter((value) => value === 1).length / Math.max(1, count),
      ninetieth: sorted[Math.floor(count * 0.9)] ?? 1,
      worst: sorted[count - 1] ?? 1,
    };
  }

  get text(): string {
    const { count, equal, ninetieth, worst } = this.summary;
    const above = (value: number): string => `${((value - 1) * 100).toFixed(1)} %`;
    return `${count} flows: equal in ${(equal * 100).toFixed(1)} %, 90th percentile ${above(ninetieth)} above, worst ${above(worst)}`;
  }
}

function boundFailure(layout: Layout, closeness: Closeness | undefined): string | undefined {
  const bound = flowBound(layout);
  const supplied = flowBound(layout, ONE);
  for (const { exits, chestsKeepUp } of flowsOf(layout, 2)) {
    let all = ZERO;
    for (const [exit, { left, right }] of exits.entries()) {
      const total = left.add(right);
      all = all.add(total);
      const most = bound.exits[exit];
      closeness?.add(most.total, total);
      if (exceeds(left, most.left)) return `exit ${exit}, left lane: ${show(left, most.left)}`;
      if (exceeds(right, most.right)) return `exit ${exit}, right lane: ${show(right, most.right)}`;
      if (exceeds(total, most.total)) return `exit ${exit}: ${show(total, most.total)}`;
      if (chestsKeepUp && exceeds(total, supplied.exits[exit].total)) return `exit ${exit}, with supply`;
    }
    if (exceeds(all, bound.all)) return `all exits: ${show(all, bound.all)}`;
    if (chestsKeepUp && exceeds(all, supplied.all)) return `all exits, with supply: ${show(all, supplied.all)}`;
  }
  return undefined;
}

describe('the flow bound', () => {
  it(`is never below what is simulated (${PLANS} plans, from seed ${SEED})`, { timeout: 600_000 }, () => {
    const closeness = new Closeness();
    let tried = 0;
    for (let seed = SEED; seed < SEED + PLANS; seed++) {
      const layout = seededPlan(seed);
      if (checkLegality(layout).some(({ severity }) => severity === 'error')) continue;
      tried++;
      const failure = boundFailure(layout, closeness);
      if (failure !== undefined) expect.fail(`seed ${seed}: ${failure}\n${JSON.stringify(planDocument(layout))}`);
    }
    console.log(`flow bound, ${closeness.text}`);
    expect(tried).toBeGreaterThan(PLANS * 0.9);
    expect(closeness.summary.count).toBeGreaterThan(PLANS / 3);
    // Far below what was measured; a bound that has become useless would fail.
    expect(closeness.summary.equal).toBeGreaterThan(0.2);
  });
});

// --------------------------------------------------------------------------------------------------- single arms

interface Bench {
  readonly name: string;
  readonly layout: Layout;
  readonly arm: ArmModel;
  readonly onLine: boolean;
  readonly speed: number;
}

const CENTRE: Tile = { x: 12, y: 12 };

/** One arm that draws from a chest that never runs dry and places on `target`, which heads south. */
function* benches(catalog: Catalog): Generator<Bench, void> {
  const [belt] = catalog.belts;
  const fastest = [...catalog.belts].sort((a, b) => b.speed - a.speed)[0] ?? belt;
  const site = { width: 30, depth: 30, keepOut: [] };
  for (const arm of catalog.arms) {
    for (const armHeading of HEADINGS) {
      const armAt = stepFrom(CENTRE, backOf(armHeading), arm.reach);
      const chestAt = stepFrom(armAt, backOf(armHeading), arm.reach);
      const [chest] = catalog.chests;
      const crew: readonly Part[] = [
        { kind: 'chest', at: chestAt, model: chest },
        { kind: 'arm', at: armAt, heading: armHeading, model: arm },
      ];
      const taken = new Set([chestAt, armAt].map(({ x, y }) => `${x},${y}`));
      const make = (name: string, parts: readonly Part[], exits: readonly PlacedExit[], speed: number, onSplitter = false): Bench | undefined => {
        const onLine = dropOn(armHeading, 'S', onSplitter).kind === 'line';
        const tiles = parts.flatMap((part) => (part.kind === 'underpass' ? [part.from, part.to] : [part.at]));
        if (tiles.some(({ x, y }) => taken.has(`${x},${y}`))) return undefined;
        const edges = exits.map(({ at }) => at);
        const depth = Math.max(...edges.map(({ y }) => y)) + 1;
        if (armAt.y >= depth || chestAt.y >= depth) return undefined;
        const layout: Layout = { name, catalog, site: { ...site, depth }, wagons: [], parts: [...crew, ...parts], exits };
        if (checkLegality(layout).some(({ severity }) => severity === 'error')) return undefined;
        return { name: `${name}, arm ${arm.name} heading ${armHeading}`, layout, arm, onLine, speed };
      };
      const south = (from: Tile, count: number, model = belt): readonly Part[] =>
        Array.from({ length: count }, (_, i) => ({ kind: 'belt', at: stepFrom(from, 'S', i), heading: 'S', model }) as const);
      const exitBelow = (from: Tile, count: number): PlacedExit => ({ at: stepFrom(from, 'S', count - 1), heading: 'S', take: undefined });
      const below = stepFrom(CENTRE, 'S');
      const all: (Bench | undefined)[] = [];
      for (const model of catalog.belts) {
        const here: Part = { kind: 'belt', at: CENTRE, heading: 'S', model };
        all.push(make('belt at an exit', [here], [exitBelow(CENTRE, 1)], model.speed));
        all.push(make('belt and belts', [here, ...south(below, 3, fastest)], [exitBelow(CENTRE, 4)], model.speed));
        for (const side of ['E', 'W'] as const) {
          const feeder: Part = { kind: 'belt', at: stepFrom(CENTRE, backOf(side)), heading: side, model };
          all.push(make(`turn from ${side} at an exit`, [here, feeder], [exitBelow(CENTRE, 1)], model.speed));
          // The belt faces the side of one that has a feeder from behind: a tee merge.
          const target: Part = { kind: 'belt', at: below, heading: side, model: fastest };
          const behind: Part = { kind: 'belt', at: stepFrom(below, backOf(side)), heading: side, model: fastest };
          const on: Part = { kind: 'belt', at: stepFrom(below, side), heading: 'S', model: fastest };
          all.push(make(`belt at a tee to ${side}`, [here, target, behind, on], [exitBelow(on.at, 1)], model.speed));
          all.push(make(`belt at a turn to ${side}`, [here, target, on], [exitBelow(on.at, 1)], model.speed));
        }
        for (const splitter of catalog.splitters) {
          const split: Part = { kind: 'splitter', at: below, heading: 'S', model: splitter };
          const west = stepFrom(below, 'W');
          all.push(
            make('belt at a splitter', [here, split], [exitBelow(below, 1), exitBelow(west, 1)], model.speed),
          );
        }
      }
      for (const splitter of catalog.splitters) {
        const speed = splitter.speed;
        const split: Part = { kind: 'splitter', at: CENTRE, heading: 'S', model: splitter };
        const west = stepFrom(CENTRE, 'W');
        all.push(make('splitter at exits', [split], [exitBelow(CENTRE, 1), exitBelow(west, 1)], speed, true));
        const tails = [...south(below, 2, fastest), ...south(stepFrom(west, 'S'), 2, fastest)];
        all.push(make('splitter and belts', [split, ...tails], [exitBelow(CENTRE, 3), exitBelow(west, 3)], speed, true));
        const slow = { ...exitBelow(west, 3), take: ratio(1, 60) };
        all.push(make('splitter with a slow half', [split, ...tails], [exitBelow(CENTRE, 3), slow], speed, true));
        all.push(make('splitter with a blind half', [split, ...south(below, 2, fastest)], [exitBelow(CENTRE, 3)], speed, true));
      }
      for (const underpass of catalog.underpasses) {
        const speed = underpass.speed;
        const end = stepFrom(CENTRE, 'S', underpass.span);
        const entry: Part = { kind: 'underpass', from: CENTRE, to: end, model: underpass };
        all.push(make('underpass entry', [entry], [exitBelow(end, 1)], speed));
        const start = stepFrom(CENTRE, 'N', underpass.span);
        const exitEnd: Part = { kind: 'underpass', from: start, to: CENTRE, model: underpass };
        all.push(make('underpass end at an exit', [exitEnd], [exitBelow(CENTRE, 1)], speed));
        all.push(make('underpass end and belts', [exitEnd, ...south(below, 2, fastest)], [exitBelow(CENTRE, 3)], speed));
      }
      for (const bench of all) if (bench !== undefined) yield bench;
    }
  }
}

describe('the rate model of an arm', () => {
  const CATALOGS = Math.max(20, Math.round(PLANS / 10));
  it(`is never below what is simulated, onto every target (${CATALOGS} catalogs, from seed ${SEED})`, { timeout: 600_000 }, () => {
    const exact = new Closeness();
    const best = new Closeness();
    const ofTicks = new Closeness();
    const seen = new Map<string, number>();
    for (let seed = SEED; seed < SEED + CATALOGS; seed++) {
      const catalog = randomCatalog(seededRandom(seed));
      for (const { name, layout, arm, onLine, speed } of benches(catalog)) {
        const network = deriveNetwork(layout);
        const feeding = network.arms.findIndex(({ place }) => place.kind === 'carrier');
        const bound = flowBound(layout).all;
        const lane = bestLaneRate(catalog, arm, speed);
        const line = bestLineRate(catalog, arm, speed);
        const loosest = onLine && line.compare(lane) > 0 ? line : lane;
        const ticks = onLine ? outputTicks(catalog, arm, speed) : undefined;
        for (const { arms, exits } of flowsOf(layout, 1)) {
          const flow = arms[feeding] ?? ZERO;
          const where = `seed ${seed}, ${name}: ${show(flow)} above`;
          if (exceeds(flow, bound)) expect.fail(`${where} ${show(bound)}\n${JSON.stringify(planDocument(layout))}`);
          if (exceeds(flow, loosest)) {
            expect.fail(`${where} the best of all targets, ${show(loosest)}\n${JSON.stringify(planDocument(layout))}`);
          }
          // Each output of a line leads to an exit of its own.
          for (const { left, right } of ticks === undefined ? [] : exits) {
            const taken = left.add(right).mul(ticks?.apart ?? 0).add(flow.mul(ticks?.between ?? 0).div(arm.payload));
            if (exceeds(taken, ONE)) expect.fail(`${where}: hands with that for one output take ${show(taken)} ticks of one\n${JSON.stringify(planDocument(layout))}`);
            ofTicks.add(ONE, taken);
          }
          exact.add(bound, flow);
          best.add(loosest, flow);
          const kind = name.slice(0, name.indexOf(','));
          seen.set(kind, (seen.get(kind) ?? 0) + (flow.compare(ZERO) > 0 ? 1 : 0));
        }
      }
    }
    console.log(`rate of an arm where it stands, ${exact.text}`);
    console.log(`best rate of an arm anywhere, ${best.text}`);
    expect([...seen.entries()].filter(([, count]) => count === 0)).toEqual([]);
    expect(seen.size).toBeGreaterThanOrEqual(15);
    console.log(`ticks that one output takes, ${ofTicks.text}`);
    expect(exact.summary.equal).toBeGreaterThan(0.5);
    expect(ofTicks.summary.equal).toBeGreaterThan(0.05);
  });
});
