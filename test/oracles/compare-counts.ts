/**
 * Whether two simulators count the same items, in words for a failing test. Knows the reference simulator only;
 * the other one is handed in.
 */
import type { Layout } from '../../src/layout/layout.js';
import type { Counts } from '../../src/simulation/trial-result.js';
import { planDocument, shrinkPlan } from './random-plans.js';
import { referenceRun } from '../../src/audit/reference-simulator.js';

export type CountItems = (layout: Layout, ticks: number) => Counts;

/** One line per lane and container, in an order that no simulator's own order matters to. */
function countLines(counts: Counts): readonly string[] {
  return [
    ...counts.exits.map(({ at, heading, left, right }) => `exit ${at.x},${at.y}${heading}: ${left} left, ${right} right`),
    ...(counts.entries ?? []).map(({ at, heading, left, right }) => `entry ${at.x},${at.y}${heading}: ${left} left, ${right} right`),
    ...counts.chests.map(({ at, taken }) => `chest ${at.x},${at.y}: ${taken} taken`),
    ...counts.wagons.map(({ at, taken }) => `wagon ${at}: ${taken} taken`),
  ].sort();
}

/**
 * What differs after any of the ticks, or undefined. `events` gathers what the plan exercised: how many plans had each.
 */
export function countDifference(
  layout: Layout,
  ticks: readonly number[],
  other: CountItems,
  events?: Map<string, number>,
): string | undefined {
  const run = referenceRun(layout);
  let difference: string | undefined;
  for (const tick of [...ticks].sort((a, b) => a - b)) {
    while (run.tick() < tick) run.step();
    const expected = countLines(run.counts());
    const found = countLines(other(layout, tick));
    if (expected.join() === found.join()) continue;
    const only = (some: readonly string[], others: readonly string[]): string =>
      some.filter((line) => !others.includes(line)).join('; ');
    difference = `after ${tick} ticks by the rules: ${only(expected, found)}; counted: ${only(found, expected)}`;
    break;
  }
  if (events !== undefined) {
    for (const what of run.events.keys()) events.set(what, (events.get(what) ?? 0) + 1);
  }
  return difference;
}

/** The smallest plan found that still differs, the first tick in which it does, and how. */
export function shrinkDifference(
  layout: Layout,
  ticks: readonly number[],
  other: CountItems,
): { readonly layout: Layout; readonly tick: number; readonly difference: string } {
  const last = Math.max(...ticks);
  const some = [...ticks, ...[1, 2, 3, 4].map((n) => Math.floor((n * last) / 4))];
  const smaller = shrinkPlan(layout, (plan) => countDifference(plan, some, other) !== undefined);
  for (let tick = 1; tick <= last; tick += 1) {
    const difference = countDifference(smaller, [tick], other);
    if (difference !== undefined) return { layout: smaller, tick, difference };
  }
  return { layout: smaller, tick: last, difference: 'gone after shrinking' };
}

/** For a failing test: where it came from, how it differs, and the plan file. */
export function describeDifference(origin: string, layout: Layout, ticks: readonly number[], other: CountItems): string {
  const small = shrinkDifference(layout, ticks, other);
  return `${origin}: ${small.difference}\n${JSON.stringify(planDocument(small.layout))}`;
}
