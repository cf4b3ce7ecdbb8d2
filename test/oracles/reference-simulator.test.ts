/**
 * The reference simulator against what can be counted by hand from the world rules, and against the conservation of
 * items. Its agreement with the fast simulator is in `agreement.test.ts`.
 */
import { describe, expect, it } from 'vitest';
import type { Heading } from '../../src/base/geometry.js';
import { ratio, type Rational } from '../../src/base/rational.js';
import type { ArmModel, Catalog, ModelName } from '../../src/catalog/catalog.js';
import type { Layout, Part, PlacedExit } from '../../src/layout/layout.js';
import { seededPlan } from './random-plans.js';
import { referenceRun } from '../../src/audit/reference-simulator.js';
import { referenceCounts, referenceFlow } from './reference-flow.js';

const named = (name: string): ModelName => name as ModelName;
const U = 240;
const P = 60;
const belt = { name: named('belt'), speed: 15, cost: 1 };
const splitter = { name: named('splitter'), speed: 15, cost: 8, favour: false };
const chest = { name: named('chest'), capacity: 100, cost: 4 };
const wagon = { name: named('wagon'), length: 6, coupling: 0, capacity: 2000 };
const arm: ArmModel = {
  name: named('arm'),
  reach: 1,
  payload: 12,
  swingTicks: 13,
  grabTicks: 3,
  releaseTicks: 1,
  slack: 0,
  patienceTicks: undefined,
  cost: 10,
};
const catalog: Catalog = {
  name: 'by hand',
  ticksPerSecond: 50,
  unitsPerTile: U,
  pitch: P,
  turn: { inner: U, outer: U },
  belts: [belt],
  splitters: [splitter],
  underpasses: [],
  arms: [arm],
  chests: [chest],
  wagons: [wagon],
};

const layoutOf = (parts: readonly Part[], exits: readonly PlacedExit[] = []): Layout => ({
  name: 'by hand',
  catalog,
  site: { width: 6, depth: 8, keepOut: [] },
  wagons: [{ model: wagon, at: 0 }],
  parts,
  exits,
});
const armAt = (x: number, y: number, heading: Heading, model: ArmModel = arm): Part => ({ kind: 'arm', at: { x, y }, heading, model });
const beltAt = (x: number, y: number, heading: Heading): Part => ({ kind: 'belt', at: { x, y }, heading, model: belt });
const exitAt = (x: number, y: number, heading: Heading, take?: Rational): PlacedExit => ({ at: { x, y }, heading, take });

describe('the reference simulator, by hand', () => {
  it('container to container takes grab + 2 swing + 1 ticks', () => {
    const plan = layoutOf([armAt(0, 0, 'S'), { kind: 'chest', at: { x: 0, y: 1 }, model: chest }]);
    const cycle = arm.grabTicks + 2 * arm.swingTicks + 1;
    for (const cycles of [0, 1, 7]) {
      expect(referenceCounts(plan, cycles * cycle).wagons).toEqual([{ at: 0, taken: cycles * arm.payload }]);
      expect(referenceCounts(plan, cycles * cycle + 1).wagons).toEqual([{ at: 0, taken: (cycles + 1) * arm.payload }]);
    }
  });

  it.each([1, 3, 6])('n items onto a free lane take grab + 2 swing + 1 + (n-1) max(release, ceil(P/v)), release %i', (releaseTicks) => {
    const model = { ...arm, releaseTicks };
    const plan = layoutOf(
      [armAt(0, 0, 'S', model), beltAt(0, 1, 'E'), beltAt(1, 1, 'E'), ...[2, 3, 4, 5].map((x) => beltAt(x, 1, 'E'))],
      [exitAt(5, 1, 'E')],
    );
    const cycle = 3 + 26 + 1 + 11 * Math.max(releaseTicks, 4);
    const flow = referenceFlow(plan, 2000);
    expect(flow.exact).toBe(true);
    expect(flow.periodTicks).toBe(cycle);
    // The arm heads across the belt, so its far lane is the right one of a belt to the east.
    expect(flow.exits[0]?.right.flow.equals(ratio(12, cycle))).toBe(true);
    expect(flow.exits[0]?.left.flow.equals(0)).toBe(true);
  });

  it('gaps follow from ticks and units left', () => {
    const plan = layoutOf([armAt(0, 0, 'S'), ...[0, 1, 2, 3, 4, 5].map((x) => beltAt(x, 1, 'E'))], [exitAt(5, 1, 'E')]);
    const run = referenceRun(plan);
    for (let tick = 0; tick < 400; tick += 1) run.step();
    const right = run.gaps()[0]?.right ?? [];
    expect(right.length).toBeGreaterThan(12);
    expect(right.slice(0, 12)).toEqual([...Array.from({ length: 11 }, () => P), 15 * (3 + 26 + 1)]);
  });

  it('a splitter gives every other item of a lane to each half, the left one first', () => {
    const plan = layoutOf(
      [
        armAt(0, 0, 'S'),
        beltAt(0, 1, 'E'),
        { kind: 'splitter', at: { x: 1, y: 0 }, heading: 'E', model: splitter },
        ...[2, 3, 4, 5].flatMap((x) => [beltAt(x, 0, 'E'), beltAt(x, 1, 'E')]),
      ],
      [exitAt(5, 0, 'E'), exitAt(5, 1, 'E')],
    );
    const flow = referenceFlow(plan, 5000);
    expect(flow.exact).toBe(true);
    expect(flow.exits.map((exit) => exit.right.flow.toFraction())).toEqual(['3/37', '3/37']);
    // Dropped in tick 1 + grab + swing at 120, then 5 tiles and 120 units: the first leaves in the 89th move after.
    expect(referenceCounts(plan, 105).exits.map((exit) => exit.right)).toEqual([0, 0]);
    expect(referenceCounts(plan, 106).exits.map((exit) => exit.right)).toEqual([1, 0]);
    expect(referenceCounts(plan, 106 + 4 * 4).exits.map((exit) => exit.right)).toEqual([3, 2]);
  });

  it('a metered exit takes what it may, by turns', () => {
    const parts = [0, 1, 2, 3, 4, 5].map((x) => beltAt(x, 2, 'E'));
    const plan = layoutOf(
      [
        armAt(0, 1, 'S'),
        armAt(0, 3, 'N'),
        { kind: 'chest', at: { x: 0, y: 0 }, model: chest },
        { kind: 'chest', at: { x: 0, y: 4 }, model: chest },
        ...parts,
      ],
      [exitAt(5, 2, 'E', ratio(1, 10))],
    );
    const flow = referenceFlow(plan, 20_000);
    expect(flow.exact).toBe(true);
    expect(flow.exits[0]?.left.flow.toFraction()).toBe('1/20');
    expect(flow.exits[0]?.right.flow.toFraction()).toBe('1/20');
  });

  it('a held-back arm does everything later by as much', () => {
    const plan = layoutOf([armAt(0, 0, 'S'), { kind: 'chest', at: { x: 0, y: 1 }, model: chest }]);
    expect(referenceCounts(plan, 9, [9]).wagons[0]?.taken).toBe(0);
    expect(referenceCounts(plan, 10, [9]).wagons[0]?.taken).toBe(arm.payload);
  });
});

describe('the reference simulator, in a visit run', () => {
  it('takes what a wagon holds and waits where a chest is full', () => {
    const plan = layoutOf([armAt(0, 0, 'S'), { kind: 'chest', at: { x: 0, y: 1 }, model: chest }]);
    const run = referenceRun(plan, [], { wagons: [30], chests: [chest.capacity - 20] });
    for (let tick = 0; tick < 400; tick += 1) run.step();
    // 12 and 8 of the next 12 fit; the hand keeps 4, so the last 6 stay in the wagon.
    expect(run.totals()).toEqual({ entered: 0, taken: 24, delivered: 20, left: 0, inside: 4 });
    const roomy = referenceRun(plan, [], { wagons: [30], chests: [0] });
    for (let tick = 0; tick < 400; tick += 1) roomy.step();
    expect(roomy.totals()).toEqual({ entered: 0, taken: 30, delivered: 30, left: 0, inside: 0 });
  });
});

describe('the reference simulator, on random plans', () => {
  it('loses no item and keeps the pitch', () => {
    let moved = 0;
    for (let seed = 1; seed <= 120; seed += 1) {
      const run = referenceRun(seededPlan(seed));
      for (let tick = 0; tick < 150; tick += 1) {
        run.step();
        if (tick % 5 !== 0) continue;
        const { taken, delivered, left, inside } = run.totals();
        expect(taken, `seed ${seed}`).toBe(delivered + left + inside);
        expect(run.tooClose(), `seed ${seed}, tick ${run.tick()}`).toBeUndefined();
      }
      moved += run.totals().left;
    }
    expect(moved).toBeGreaterThan(1000);
  });
});
