/**
 * What makes two states two: everything that decides what comes, and nothing else. And the one way to
 * items that stand in front of a stretch that moved as one.
 */
import { describe, expect, it } from 'vitest';
import { ONE, ratio } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import { compileLayout } from '../../src/simulation/compile.js';
import { Phase, resetMachine, type Machine } from '../../src/simulation/machine.js';
import { createRun } from '../../src/simulation/run.js';
import { StateTable } from '../../src/simulation/steady-state.js';
import { stepMachine } from '../../src/simulation/tick.js';
import { runTrial } from '../../src/simulation/trial.js';
import { placeDifference } from '../oracles/compare-places.js';
import { arm, belt, belts, chest, exit, layoutOf, splitter } from './sketch.js';

/** A patient arm picks behind a splitter, of which one output goes to a metered exit. */
const LAYOUT = layoutOf(
  [
    chest(1, 0),
    arm(1, 1, 'S'),
    belt(1, 2, 'S'),
    splitter(2, 3, 'S'),
    ...belts(1, 4, 'S', 2),
    ...belts(2, 4, 'S', 2),
    arm(3, 4, 'E', { payload: 9, patienceTicks: 30, grabTicks: 5 }),
    chest(4, 4),
  ],
  [exit(1, 5, 'S', ratio(1, 7)), exit(2, 5, 'S')],
);
/** Index of the arm that picks from a belt: the arms are in the order in which they act. */
const PICKER = 1;

/** The machine in the first tick from `from` on in which the picking arm holds a part of a hand at its pick side. */
function machineInTheMiddle(from: number): Machine {
  const [piece] = compileLayout(LAYOUT).pieces;
  const { machine } = piece;
  resetMachine(machine);
  const between = (): boolean => machine.armPhase[PICKER] === Phase.pick && machine.armHand[PICKER] > 0;
  while (machine.now < from || !between() || machine.armGrabDue[PICKER] <= machine.now) stepMachine(machine);
  return machine;
}

const CHANGES: readonly (readonly [string, (m: Machine) => void])[] = [
  ['an item a unit further', (m) => { m.position[m.laneHead[m.laneCount.findIndex((count) => count > 0)]]++; }],
  ['an output toggle', (m) => { m.toggleOut[1] = 1 - m.toggleOut[1]; }],
  ['an input toggle', (m) => { m.toggleIn[1] = 1 - m.toggleIn[1]; }],
  ['credit of a metered exit', (m) => { m.exitCredit[m.exitPrice.findIndex((price) => price > 0)]++; }],
  ['the lane that had the last item', (m) => { m.exitLast[m.exitPrice.findIndex((price) => price > 0)] ^= 1; }],
  ['a hand', (m) => { m.armHand[PICKER]++; }],
  ['a phase', (m) => { m.armPhase[PICKER] = Phase.place; }],
  ['when an arm may act again', (m) => { m.armDue[0] += 1000; }],
  ['when an arm may take again', (m) => { m.armGrabDue[PICKER]++; }],
  ['how long an arm has been patient', (m) => { m.armLastTake[PICKER]--; }],
];

describe('a state', () => {
  it.each(CHANGES)('is another with %s', (_, change) => {
    const machine = machineInTheMiddle(200);
    const table = new StateTable(machine, 1 << 16);
    const first = table.findOrAdd(0);
    expect(first).toBeLessThan(0);
    expect(table.findOrAdd(0)).toBe(0);
    change(machine);
    expect(table.findOrAdd(0)).toBeLessThan(0);
    expect(table.findOrAdd(0)).toBe(1);
  });

  it('is the same with other counts, another time, and clocks that have run out', () => {
    const machine = machineInTheMiddle(200);
    const table = new StateTable(machine, 1 << 16);
    table.findOrAdd(0);
    machine.exitCount[0]++;
    machine.armTaken[0]++;
    machine.armPlaced[PICKER]++;
    const open = machine.exitPrice.indexOf(0);
    machine.exitLast[open] ^= 1;
    for (const clock of [machine.armDue, machine.armGrabDue, machine.armLastTake]) for (const arm of clock.keys()) clock[arm] += 70;
    machine.now += 70;
    expect(table.findOrAdd(0)).toBe(0);
  });
});

describe('a toggle that turns once a cycle', () => {
  it('makes the period two cycles, and both outputs even', () => {
    // One item a hand: 1 + 200 + 1 ticks a cycle, after which belts are empty again.
    const layout: Layout = layoutOf(
      [chest(1, 0), arm(1, 1, 'S', { payload: 1, swingTicks: 100 }), belt(1, 2, 'S'), splitter(2, 3, 'S'), belt(1, 4, 'S'), belt(2, 4, 'S')],
      [exit(1, 4, 'S'), exit(2, 4, 'S')],
    );
    const trial = runTrial(layout, { starts: 2, seed: 1, tickLimit: 20_000, presence: ONE });
    expect([trial.exact, trial.periodTicks]).toEqual([true, 404]);
    expect(trial.exits.map(({ flow }) => flow.toFraction())).toEqual(['1/404', '1/404']);
  });
});

describe('an item set down in front of a stretch that stands packed', () => {
  it('leaves what is behind it to close up', () => {
    // Two arms take from the end of a full belt, now and then both in one tick, and a third one sets down there after them.
    const one = { payload: 1 };
    const layout = layoutOf(
      [
        ...[chest(0, 4), arm(0, 3, 'N', { payload: 12, swingTicks: 1 }), ...belts(0, 2, 'E', 4)],
        ...[arm(3, 1, 'N', { ...one, swingTicks: 20 }), chest(3, 0), arm(4, 2, 'E', { ...one, swingTicks: 21 }), chest(5, 2)],
        ...[chest(3, 4), arm(3, 3, 'N', { ...one, swingTicks: 1, slack: 120 })],
      ],
      [],
    );
    let bothAtOnce = 0;
    const taken = (run: ReturnType<typeof createRun>): readonly number[] =>
      run.arms().filter(({ tile }) => tile.x === 3 && tile.y === 1 || tile.x === 4).map((each) => each.taken);
    const run = createRun(layout);
    for (let tick = 0, before = taken(run); tick < 2500; tick++) {
      run.step();
      const after = taken(run);
      if (after.every((count, index) => count > before[index])) bothAtOnce++;
      before = after;
    }
    expect(bothAtOnce).toBeGreaterThan(0);
    expect(placeDifference(layout, 2500, (plan, delays) => createRun(plan, { delays }))).toBeUndefined();
  });
});
