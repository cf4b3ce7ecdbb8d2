/**
 * Whether a trial's exact flows, gaps and outflows are those of the reference simulator, in words for a failing test.
 */
import { sameTile, type Tile } from '../../src/base/geometry.js';
import { formatRational, type Rational } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import type { StartTrial } from '../../src/simulation/trial-result.js';
import { referenceFlow } from './reference-flow.js';

type Lines = readonly string[];

const show = (flow: Rational): string => formatRational(flow);
const gap = (units: number | undefined): string => (units === undefined ? 'no gap' : `gap ${units}`);

/**
 * Undefined where the two agree; 'unproven' where the reference did not repeat within its limit; else what differs.
 * `trial` is of one start only, that in which the arms are held back as said.
 */
export function flowDifference(
  layout: Layout,
  trial: StartTrial,
  tickLimit: number,
  holdBackTicks: readonly number[] = [],
): string | undefined {
  const reference = referenceFlow(layout, tickLimit, holdBackTicks);
  if (!reference.exact) return 'unproven';
  if (!trial.exact) return `by the rules the state repeats after ${reference.periodTicks} ticks, in the trial it does not`;
  // What arms carry from a chest that loads into a wagon is no outflow; the arms themselves are compared.
  const loads = (at: Tile): boolean => trial.chests.some((chest) => chest.loads !== undefined && sameTile(chest.at, at));
  const expected: Lines = [
    ...reference.exits.map(({ at, heading, left, right }) => {
      const lanes = `${show(left.flow)} ${gap(left.greatestGap)}, ${show(right.flow)} ${gap(right.greatestGap)}`;
      return `exit ${at.x},${at.y}${heading}: ${lanes}`;
    }),
    ...reference.entries.map(({ at, heading, left, right }) => `entry ${at.x},${at.y}${heading}: ${show(left)}, ${show(right)}`),
    ...reference.arms.map(({ at, flow }) => `arm ${at.x},${at.y}: ${show(flow)}`),
    ...reference.chests.filter(({ at }) => !loads(at)).map(({ at, outflow }) => `chest ${at.x},${at.y}: ${show(outflow)}`),
  ].sort();
  const found: Lines = [
    ...trial.exits.map(({ at, heading, left, right }) => {
      const lanes = `${show(left.flow)} ${gap(left.largestGap)}, ${show(right.flow)} ${gap(right.largestGap)}`;
      return `exit ${at.x},${at.y}${heading}: ${lanes}`;
    }),
    ...(trial.entries ?? []).map(({ at, heading, left, right }) => `entry ${at.x},${at.y}${heading}: ${show(left)}, ${show(right)}`),
    ...trial.arms.map(({ at, flow }) => `arm ${at.x},${at.y}: ${show(flow)}`),
    ...trial.chests.filter(({ at }) => !loads(at)).map(({ at, outflow }) => `chest ${at.x},${at.y}: ${show(outflow)}`),
  ].sort();
  if (expected.join() === found.join()) return undefined;
  const only = (some: Lines, others: Lines): string => some.filter((line) => !others.includes(line)).join('; ');
  return `by the rules: ${only(expected, found)}; in the trial: ${only(found, expected)}`;
}
