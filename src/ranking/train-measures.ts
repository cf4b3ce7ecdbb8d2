/**
 * What counts where trains are paid for: how long one stands, and how many an hour can be emptied. Exact, from a
 * cycle of visits (`src/simulation/run-visits.ts`).
 */
import { ratio, type Rational } from '../base/rational.js';
import type { VisitCycle } from '../simulation/visit-result.js';

export interface TrainMeasures {
  /** Mean ticks that a train stands there. */
  readonly dwellTicks: Rational;
  /** Mean ticks from one arrival to the next. */
  readonly headwayTicks: Rational;
  readonly trainsPerHour: Rational;
  /** Share of time in which a train stands there. */
  readonly presence: Rational;
  /** Items that leave over all exits, per tick. */
  readonly flow: Rational;
}

/** Means over a cycle that repeats, as it was counted. */
export function trainMeasures(cycle: VisitCycle, ticksPerSecond: number): TrainMeasures {
  const left = cycle.exits.reduce((sum, exit) => sum + exit.left + exit.right, 0);
  return {
    dwellTicks: ratio(cycle.dwellTicks, cycle.visits),
    headwayTicks: ratio(cycle.ticks, cycle.visits),
    trainsPerHour: ratio(cycle.visits * 3600 * ticksPerSecond, cycle.ticks),
    presence: ratio(cycle.dwellTicks, cycle.ticks),
    flow: ratio(left, cycle.ticks),
  };
}
