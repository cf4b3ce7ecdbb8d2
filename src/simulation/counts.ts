/**
 * Plain counting from the standard start, for comparing with any other simulator of these world rules.
 */
import { entriesOf, type Layout } from '../layout/layout.js';
import { compileLayout, type Program } from './compile.js';
import { resetMachine, WATCH_NONE } from './machine.js';
import { stepMachine } from './tick.js';
import type { Counts } from './trial-result.js';

/** Items that each of the network's arms has taken in the first `ticks` ticks of the machines' run. */
export function itemsTaken(program: Program, ticks: number, delays?: readonly number[]): readonly number[] {
  const taken = program.network.arms.map(() => 0);
  for (const { arm, cycleTicks, payload } of program.freeArms) {
    taken[arm] = Math.ceil(Math.max(0, ticks - (delays?.[arm] ?? 0)) / cycleTicks) * payload;
  }
  for (const { arms, machine } of program.pieces) {
    arms.forEach((arm, local) => {
      taken[arm] = machine.armTaken[local];
    });
  }
  return taken;
}

/** What a program's machines have counted, as they stand after `ticks` ticks. */
export function readCounts(program: Program, ticks: number, delays?: readonly number[]): Counts {
  const { layout, network, pieces } = program;
  const left = layout.exits.map(() => 0);
  const right = layout.exits.map(() => 0);
  for (const { exits, machine } of pieces) {
    exits.forEach((exit, local) => {
      left[exit] = machine.exitCount[local * 2];
      right[exit] = machine.exitCount[local * 2 + 1];
    });
  }
  const taken = itemsTaken(program, ticks, delays);
  const takenFrom = (kind: 'chest' | 'wagon', index: number): number =>
    network.arms.reduce((sum, { pick }, arm) => {
      const from = pick.kind === 'chest' ? pick.part : pick.kind === 'wagon' ? pick.wagon : undefined;
      return pick.kind === kind && from === index ? sum + taken[arm] : sum;
    }, 0);
  const cameIn = entriesOf(layout).map(({ at, heading }) => ({ at, heading, left: 0, right: 0 }));
  for (const { entries, machine } of pieces) {
    entries.forEach((entry, local) => {
      cameIn[entry].left = machine.entryCount[local * 2];
      cameIn[entry].right = machine.entryCount[local * 2 + 1];
    });
  }
  return {
    ...(cameIn.length === 0 ? {} : { entries: cameIn }),
    exits: layout.exits.map(({ at, heading }, exit) => ({ at, heading, left: left[exit], right: right[exit] })),
    chests: layout.parts.flatMap((part, index) =>
      part.kind === 'chest' ? [{ at: part.at, taken: takenFrom('chest', index) }] : [],
    ),
    wagons: layout.wagons.map(({ at }, wagon) => ({ at, taken: takenFrom('wagon', wagon) })),
  };
}

export function countItems(layout: Layout, ticks: number): Counts {
  const program = compileLayout(layout);
  for (const { machine } of program.pieces) {
    resetMachine(machine);
    machine.watch = WATCH_NONE;
    for (let tick = 0; tick < ticks; tick++) stepMachine(machine);
  }
  return readCounts(program, ticks);
}
