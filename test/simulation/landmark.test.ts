/**
 * Periods found with a landmark alone, as when the table of states is full, against those found with the table.
 */
import { describe, expect, it } from 'vitest';
import { ratio } from '../../src/base/rational.js';
import { compileLayout, type Piece } from '../../src/simulation/compile.js';
import { resetMachine, WATCH_NONE } from '../../src/simulation/machine.js';
import { SteadyStates, type Settled } from '../../src/simulation/steady-state.js';
import { stepMachine } from '../../src/simulation/tick.js';
import { seededPlan } from '../oracles/random-plans.js';

const LIMIT = 20_000;
const NO_TABLE = 0;

const settle = ({ machine }: Piece, mostNumbers?: number): Settled =>
  new SteadyStates(machine, LIMIT, mostNumbers).settle();

/** Counts per tick. */
const ratesOf = ({ orbit }: Settled): readonly string[] =>
  [orbit.exitCount, orbit.armTaken, orbit.armPlaced, orbit.armCycles, orbit.armStarved, orbit.armBlocked]
    .flatMap((counts) => [...counts])
    .map((count) => ratio(count, orbit.periodTicks).toFraction());

const placesAt = ({ machine }: Piece, tick: number): readonly number[] => {
  resetMachine(machine);
  machine.watch = WATCH_NONE;
  while (machine.now < tick) stepMachine(machine);
  return [...machine.laneCount].flatMap((count, lane) => {
    const head = machine.laneHead[lane];
    return [...machine.position.subarray(head, head + count)].map((position) => position + machine.laneShift[lane]);
  });
};

describe('a landmark', () => {
  it('finds the same flows as the table, in at most four times its ticks', () => {
    let periods = 0;
    for (let seed = 1; seed <= 60; seed++) {
      for (const piece of compileLayout(seededPlan(seed)).pieces.filter(({ arms }) => arms.length > 0)) {
        const known = settle(piece);
        const needed = known.transientTicks + known.orbit.periodTicks;
        if (!known.orbit.exact || needed > LIMIT / 4) continue;
        const found = settle(piece, NO_TABLE);
        // Of what comes to rest each may tell another multiple of the least period.
        expect(ratesOf(found), `seed ${seed}`).toEqual(ratesOf(known));
        expect(found.orbit.exact).toBe(true);
        expect(placesAt(piece, found.transientTicks)).toEqual(placesAt(piece, found.transientTicks + found.orbit.periodTicks));
        periods++;
      }
    }
    expect(periods).toBeGreaterThan(30);
  });
});
