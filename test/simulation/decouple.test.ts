/**
 * Strands whose states are found part by part give what they give as a whole; and a guess that does not hold is noticed.
 */
import { describe, expect, it } from 'vitest';
import { ratio } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import { compileLayout } from '../../src/simulation/compile.js';
import { resetMachine } from '../../src/simulation/machine.js';
import { startDelays } from '../../src/simulation/starts.js';
import { SteadyStates, type Orbit } from '../../src/simulation/steady-state.js';
import { strandsOf } from '../../src/simulation/strands.js';
import { seededPlan } from '../oracles/random-plans.js';

const LIMIT = 6_000;
const PLANS = Number(process.env['TRANSLOOM_PLANS'] ?? 200);
const FIRST_SEED = Number(process.env['TRANSLOOM_SEED'] ?? 1);

const rates = ({ periodTicks, ...counts }: Orbit): readonly string[] =>
  [counts.exitCount, counts.armTaken, counts.armPlaced, counts.armCycles, counts.armStarved, counts.armBlocked]
    .flatMap((each) => [...each])
    .map((count) => ratio(count, periodTicks).toFraction());

/** How many ends of strands of a layout were found part by part, looking for parts after so many ticks. */
function compare(layout: Layout, looks: readonly number[], where: string): number {
  let byParts = 0;
  const program = compileLayout(layout);
  for (const { machine, arms } of program.pieces) {
    for (const strand of strandsOf(machine).filter((each) => each.arms.length > 1)) {
      for (const start of [0, 1]) {
        const delays = startDelays(program, 1, start);
        const held = arms.map((arm) => delays[arm]);
        resetMachine(machine, held);
        const whole = new SteadyStates(machine, LIMIT, undefined, strand).goOn();
        for (const look of looks) {
          const found = new SteadyStates(machine, LIMIT, undefined, strand).settle(held, look);
          if (found.exitPeriods === undefined || !whole.orbit.exact) continue;
          byParts++;
          expect(rates(found.orbit), `${where}, start ${start}, look ${look}`).toEqual(rates(whole.orbit));
        }
      }
    }
  }
  return byParts;
}

describe('strands found part by part', () => {
  const seeds = Array.from({ length: PLANS }, (_, index) => FIRST_SEED + index);

  // Early looks guess at what has hardly begun, so that many a guess is wrong.
  it(`give what they give as a whole (${PLANS} plans, from seed ${FIRST_SEED})`, () => {
    const found = seeds.reduce((sum, seed) => sum + compare(seededPlan(seed), [16, 64, 256, 512], `plan ${seed}`), 0);
    expect(found).toBeGreaterThan(PLANS / 4);
  });
});
