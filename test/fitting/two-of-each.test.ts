/**
 * Candidates with two belts and two arms, which share the pitch and the speeds: their number, their values and what is
 * suggested, held to every choice of integers written out.
 */
import { expect, it } from 'vitest';
import { compare, isLess, maxRational, ONE, ratio, ZERO, type Rational } from '../../src/base/rational.js';
import { seededRandom } from '../../src/base/random.js';
import { fit } from '../../src/fitting/fit.js';
import type { ArmToFit, Measurement, Measurements, Probe, Range } from '../../src/fitting/measurements.js';
import type { Outcome } from '../../src/fitting/predict.js';
import { possibleProbes } from '../../src/fitting/suggest.js';
import { SEED } from '../documents.js';
import { measurementsOf, outcomeOf, type Truth } from './worlds.js';

interface Choice {
  readonly pitch: number;
  readonly speeds: readonly [number, number];
  readonly arms: readonly [Truth['arm'], Truth['arm']];
}

const PITCH: Range = { least: 59, most: 61 };
const SPEED: Range = { least: 11, most: 13 };
const RANGES: ArmToFit['ranges'] = { payload: { least: 2, most: 3 }, grab: { least: 1, most: 2 }, release: { least: 5, most: 6 }, swing: { least: 4, most: 5 } };
const from = ({ least, most }: Range): readonly number[] => Array.from({ length: most - least + 1 }, (_, index) => least + index);

const ARMS = from(RANGES.payload).flatMap((payload) =>
  from(RANGES.grab).flatMap((grab) => from(RANGES.release).flatMap((release) => from(RANGES.swing).map((swing) => ({ payload, grab, release, swing })))),
);
const ALL: readonly Choice[] = from(PITCH).flatMap((pitch) =>
  from(SPEED).flatMap((slow) => from(SPEED).flatMap((fast) => ARMS.flatMap((one) => ARMS.map((other): Choice => ({ pitch, speeds: [slow, fast], arms: [one, other] }))))),
);

const BELTS = ['slow', 'fast'];
const NAMES = ['one', 'other'];
const asked = (measurements: readonly Measurement[]): Measurements => ({
  ...measurementsOf(measurements),
  pitch: PITCH,
  belts: BELTS.map((name) => ({ name, speed: SPEED })),
  arms: NAMES.map((name) => ({ name, ranges: RANGES })),
});

function shows({ pitch, speeds, arms }: Choice, probe: Probe): Outcome {
  const belt = 'belt' in probe ? BELTS.indexOf(probe.belt) : 0;
  const arm = 'arm' in probe ? NAMES.indexOf(probe.arm) : 0;
  return outcomeOf({ pitch, speed: speeds[belt], arm: arms[arm] }, probe);
}

const explains = (choice: Choice, { probe, observed, uncertainty }: Measurement): boolean => {
  const { least, most } = shows(choice, probe);
  return compare(ratio(least), observed.add(uncertainty)) <= 0 && compare(ratio(most), observed.sub(uncertainty)) >= 0;
};

const misfit = (choice: Choice, measurements: readonly Measurement[]): Rational =>
  measurements.reduce((sum, { probe, observed, uncertainty }) => {
    const off = shows(choice, probe).mean.sub(observed).div(maxRational(uncertainty, ONE));
    return sum.add(off.mul(off));
  }, ZERO);

const wholes = ({ pitch, speeds, arms }: Choice): readonly number[] => [pitch, ...speeds, ...arms.flatMap(({ payload, grab, release, swing }) => [payload, grab, release, swing])];

const PROBES: readonly Probe[] = [
  { kind: 'lane-holds', tiles: 20 },
  { kind: 'belt-carries', belt: 'fast', lanes: 1, ticks: 700 },
  { kind: 'arm-to-chest', arm: 'one', ticks: 700 },
  { kind: 'arm-to-lane', arm: 'one', belt: 'fast', ticks: 700 },
  { kind: 'arm-to-lane', arm: 'other', belt: 'fast', ticks: 900 },
  { kind: 'arm-to-lane', arm: 'other', belt: 'slow', ticks: 900 },
  { kind: 'first-item', arm: 'other' },
];

it.each([0, 1, 2, 3].map((index) => [SEED + index]))('seed %i', (seed) => {
  const below = seededRandom(seed);
  const truth = ALL[below(ALL.length)];
  const measurements = PROBES.map((probe): Measurement => {
    const { least, most } = shows(truth, probe);
    return { probe, observed: ratio(least + below(most - least + 1)), uncertainty: ratio(below(3)) };
  });
  const left = ALL.filter((choice) => measurements.every((each) => explains(choice, each)));
  const result = fit(asked(measurements));
  if (result.kind !== 'found') throw new Error(`nothing is found: ${result.kind}`);
  expect(result.candidates).toBe(BigInt(left.length));
  expect(result.known.map(({ values }) => values)).toEqual(result.known.map((_, index) => [...new Set(left.map((choice) => wholes(choice)[index]))].sort((a, b) => a - b)));
  const least = left.map((choice) => misfit(choice, measurements)).reduce((a, b) => (isLess(b, a) ? b : a));
  expect(compare(result.misfit, least)).toBe(0);

  const averages = possibleProbes(asked(measurements)).map((probe) => {
    const stated = measurements.filter((each) => each.probe.kind === probe.kind).map(({ uncertainty }) => uncertainty);
    const uncertainty = stated.length > 0 ? stated.reduce(maxRational, ZERO) : ratio(probe.kind === 'hand-holds' ? 0 : 1);
    const margin = uncertainty.valueOf();
    const outcomes = left.map((choice) => shows(choice, probe));
    const sum = outcomes.reduce((total, { least: low, most: high }) => {
      const shown = Math.floor((low + high) / 2);
      return total + outcomes.filter((other) => other.least - margin <= shown && other.most + margin >= shown).length;
    }, 0);
    return ratio(sum, left.length);
  });
  const fewest = averages.reduce((a, b) => (isLess(b, a) ? b : a));
  if (result.suggestion === undefined) expect(compare(fewest, ratio(left.length))).toBe(0);
  else expect(compare(result.suggestion.leaves, fewest)).toBe(0);
});
