/**
 * Ticks per second of the product's simulator against the naive reference (`src/audit/`) on one plan,
 * both from the standard start, both made to count the same items first.
 */
import type { Layout } from '../src/layout/layout.js';
import { countItems } from '../src/simulation/counts.js';
import { referenceRun } from '../src/audit/reference-simulator.js';
import { countDifference } from '../test/oracles/compare-counts.js';
import { demand } from './check-answer.js';
import { median, type Circumstances, type SimulatorRecord } from './record.js';

/** Over how many ticks both must agree. */
const COMPARED_TICKS = 2000;
/** How long each is run for, at least. */
const LEAST_MS = 400;

/** Ticks per second, over more and more ticks until they take long enough; then the middle of three runs. */
function speedOf(run: (ticks: number) => void): number {
  const time = (ticks: number): number => {
    const from = performance.now();
    run(ticks);
    return performance.now() - from;
  };
  for (let ticks = COMPARED_TICKS; ; ticks *= 4) {
    const first = time(ticks);
    if (first < LEAST_MS) continue;
    const middle = median([first, time(ticks), time(ticks)], (ms) => ms);
    return Math.round((1000 * ticks) / middle);
  }
}

function runNaively(layout: Layout, ticks: number): void {
  const run = referenceRun(layout);
  for (let tick = 0; tick < ticks; tick++) run.step();
}

/** Items that leave over exits while both are compared. */
export const itemsLeft = (layout: Layout): number =>
  countItems(layout, COMPARED_TICKS).exits.reduce((sum, { left, right }) => sum + left + right, 0);

export function measureSimulators(name: string, layout: Layout, circumstances: Circumstances): SimulatorRecord {
  const difference = countDifference(layout, [100, COMPARED_TICKS / 2, COMPARED_TICKS], countItems);
  demand(difference === undefined, name, `the simulators differ ${difference}`);
  const left = itemsLeft(layout);
  demand(left > 0, name, 'nothing leaves this plan');
  return {
    kind: 'simulator',
    name,
    ...circumstances,
    itemsLeft: left,
    fastTicksPerSecond: speedOf((ticks) => void countItems(layout, ticks)),
    naiveTicksPerSecond: speedOf((ticks) => {
      runNaively(layout, ticks);
    }),
  };
}
