/**
 * Strands: run one by one they do what they do together, tick for tick, and their flows are those of a machine that
 * repeats as a whole.
 */
import { describe, expect, it } from 'vitest';
import { ratio } from '../../src/base/rational.js';
import { compileLayout } from '../../src/simulation/compile.js';
import { itemAt } from '../../src/simulation/lanes.js';
import { resetMachine, WATCH_NONE, type Machine, type Strand } from '../../src/simulation/machine.js';
import { Starts } from '../../src/simulation/starts.js';
import { SteadyStates, type Orbit } from '../../src/simulation/steady-state.js';
import { strandsOf } from '../../src/simulation/strands.js';
import { stepMachine } from '../../src/simulation/tick.js';
import { seededPlan } from '../oracles/random-plans.js';
import { ANYWHERE, randomLayout, TOWARD_CORNER } from './random-layouts.js';
import { arm, belt, belts, chest, exit, layoutOf, splitter } from './sketch.js';

const LIMIT = 20_000;

const machines = [
  ...Array.from({ length: 150 }, (_, seed) => seededPlan(seed + 1)),
  ...Array.from({ length: 150 }, (_, seed) => randomLayout(seed + 1, { speeds: [15, 23], slacks: [0, 18], headings: seed % 2 === 0 ? TOWARD_CORNER : ANYWHERE, loop: seed % 3 === 0 })),
].flatMap((layout) => compileLayout(layout).pieces.map(({ machine }) => machine));

/** Where the strand's items are, what its arms hold, and what it has counted. */
const stateOf = (m: Machine, { lanes, arms, turns, exitLanes }: Strand): string =>
  JSON.stringify([
    [...lanes].map((lane) => Array.from({ length: m.laneCount[lane] }, (_, item) => itemAt(m, lane, item))),
    [...arms].map((each) => [m.armPhase[each], m.armHand[each], m.armDue[each], m.armTaken[each], m.armBlocked[each]]),
    [...turns].map((turn) => [m.toggleIn[turn], m.toggleOut[turn]]),
    [...exitLanes].map((lane) => m.exitCount[lane]),
  ]);

function statesAfter(m: Machine, strand: Strand, ticks: readonly number[], seen: readonly Strand[]): readonly (readonly string[])[] {
  resetMachine(m);
  m.watch = WATCH_NONE;
  return ticks.map((tick) => {
    while (m.now < tick) stepMachine(m, strand);
    return seen.map((each) => stateOf(m, each));
  });
}

const rates = ({ periodTicks, ...counts }: Orbit): readonly string[] =>
  [counts.exitCount, counts.entryCount, counts.armTaken, counts.armPlaced, counts.armCycles, counts.armStarved, counts.armBlocked]
    .flatMap((each) => [...each])
    .map((count) => ratio(count, periodTicks).toFraction());

describe('strands', () => {
  it('do alone what they do together', () => {
    let several = 0;
    for (const machine of machines) {
      const strands = strandsOf(machine);
      if (strands.length === 1) continue;
      several++;
      const ticks = [1, 2, 50, 123, 400, 401];
      const together = statesAfter(machine, machine.whole, ticks, strands);
      strands.forEach((strand, index) => {
        const alone = statesAfter(machine, strand, ticks, [strand]);
        expect(alone.map(([state]) => state)).toEqual(together.map((states) => states[index]));
      });
    }
    expect(several).toBeGreaterThan(200);
  });

  it('take each arm and entry once, each lane that an item comes onto, and steps in their order', () => {
    for (const machine of machines) {
      const strands = strandsOf(machine);
      const all = (of: (strand: Strand) => Int32Array): readonly number[] => strands.flatMap((strand) => [...of(strand)]).sort((a, b) => a - b);
      for (const of of [({ arms }: Strand) => arms, ({ entries }: Strand) => entries]) expect(all(of)).toEqual([...of(machine.whole)]);
      for (const of of [({ lanes }: Strand) => lanes, ({ turns }: Strand) => turns, ({ exitLanes }: Strand) => exitLanes]) {
        expect(new Set(all(of)).size).toBe(all(of).length);
      }
      const lanes = new Set(all((strand) => strand.lanes));
      resetMachine(machine);
      machine.watch = WATCH_NONE;
      const held = new Set<number>();
      for (let tick = 0; tick < 300; tick++) {
        stepMachine(machine);
        machine.laneCount.forEach((count, lane) => count > 0 && held.add(lane));
      }
      expect([...held].filter((lane) => !lanes.has(lane))).toEqual([]);
      for (const { opKind, opFirst } of strands) {
        const places = [...opKind].map((kind, op) => machine.whole.opKind.findIndex((each, at) => each === kind && machine.whole.opFirst[at] === opFirst[op]));
        expect(places).toEqual([...places].sort((a, b) => a - b));
      }
    }
  });

  it('join to the flows of a machine that repeats as a whole', () => {
    let several = 0;
    for (let seed = 1; seed <= 200; seed++) {
      const program = compileLayout(seededPlan(seed));
      const ends = new Starts(program, { starts: 0, seed: 1, tickLimit: LIMIT }).settle(0);
      program.pieces.forEach(({ machine }, piece) => {
        const whole = new SteadyStates(machine, LIMIT).settle();
        if (!whole.orbit.exact) return;
        const { orbit, strands } = ends[piece];
        expect(orbit.exact).toBe(true);
        expect(rates(orbit)).toEqual(rates(whole.orbit));
        if (strands.filter(({ settled }) => settled.orbit.periodTicks > 1).length > 1) several++;
      });
    }
    expect(several).toBeGreaterThan(30);
  });

  it('are both lanes of a splitter with an arm at either side of its line', () => {
    const [{ machine }] = compileLayout(
      layoutOf([chest(0, 1), arm(1, 1, 'E'), splitter(3, 1, 'S'), arm(4, 1, 'W'), chest(5, 1), ...belts(2, 2, 'S', 1), ...belts(3, 2, 'S', 1)], [exit(2, 2, 'S'), exit(3, 2, 'S')]),
    ).pieces;
    const strands = strandsOf(machine);
    expect(strands.map(({ arms }) => [...arms])).toEqual([[0], [1]]);
    expect(strands.map(({ exitLanes }) => [...exitLanes])).toEqual([[0, 2], [1, 3]]);
  });

  it('are tied by no splitter of which nothing ever comes onto that side', () => {
    const ways = [splitter(1, 1, 'S'), belt(0, 2, 'E'), ...belts(1, 2, 'S', 4), splitter(3, 4, 'W'), splitter(2, 4, 'W')];
    const [{ machine }] = compileLayout(layoutOf([chest(3, 1), arm(2, 1, 'W'), arm(3, 2, 'S'), ...ways], [exit(1, 5, 'S')])).pieces;
    expect(strandsOf(machine).map(({ arms }) => [...arms])).toEqual([[0], [1]]);
  });

  it('are one where both lanes of an exit draw on one credit', () => {
    const parts = [chest(0, 0), arm(1, 0, 'E'), ...belts(2, 0, 'S', 2), arm(3, 0, 'W'), chest(4, 0)];
    const count = (take: ReturnType<typeof ratio> | undefined): number => {
      const [{ machine }] = compileLayout(layoutOf(parts, [exit(2, 1, 'S', take)])).pieces;
      return strandsOf(machine).length;
    };
    expect(count(undefined)).toBe(2);
    expect(count(ratio(1, 7))).toBe(1);
  });
});
