/**
 * Reading measurements: what is sound, and where each thing that is not stands.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseMeasurements } from '../../src/fitting/parse-measurements.js';
import { findingSentence } from '../../src/report/words.js';
import { gist, readJson, SEED } from '../documents.js';
import { withJunk } from '../junk.js';

const sample = readJson('models/measurements/grain-yard.json') as Readonly<Record<string, unknown>>;
const findingsOf = (changes: object) => {
  const parsed = parseMeasurements({ ...sample, ...changes });
  return parsed.ok ? [] : parsed.findings;
};
const measured = (...measurements: readonly object[]) => gist(findingsOf({ measurements }));
const chest = { kind: 'arm-to-chest', arm: 'bay arm', time: '60s', items: 960, uncertainty: 2 };

it('reads the sample', () => {
  const parsed = parseMeasurements(sample);
  expect(parsed.ok && parsed.value.measurements.map(({ probe }) => probe.kind)).toEqual([
    'lane-holds',
    'belt-carries',
    'belt-carries',
    'arm-to-chest',
    'arm-to-lane',
  ]);
});

it('takes what is known as a range of one', () => {
  const parsed = parseMeasurements({ ...sample, pitch: 60, arms: { 'bay arm': { reach: 1, cost: 1, grab: 2 } }, ranges: { grab: [1, 3], swing: [5, 9] } });
  expect(parsed.ok && [parsed.value.pitch, parsed.value.arms[0].ranges]).toEqual([
    { least: 60, most: 60 },
    { payload: { least: 1, most: 16 }, grab: { least: 2, most: 2 }, release: { least: 1, most: 8 }, swing: { least: 5, most: 9 } },
  ]);
});

describe('what is wrong, and where', () => {
  it('in a measurement', () => {
    expect(measured({ ...chest, arm: 'bey arm' })).toEqual(['unknown-part /measurements/0/arm']);
    expect(measured({ ...chest, time: 'long' })).toEqual(['not-a-time /measurements/0/time']);
    expect(measured({ ...chest, time: '0.03s' })).toEqual(['not-whole-ticks /measurements/0/time']);
    expect(measured({ ...chest, time: '0s' })).toEqual(['no-time /measurements/0/time']);
    expect(measured({ ...chest, items: 1.5 })).toEqual(['wrong-type /measurements/0/items']);
    expect(measured({ ...chest, uncertainty: undefined })).toEqual(['missing-field /measurements/0']);
    expect(measured({ ...chest, kind: 'arm-to-chests' })).toEqual(['not-one-of /measurements/0/kind']);
    expect(measured({ kind: 'first-item', arm: 'bay arm', time: '0.26s', uncertainty: 'some' })).toEqual(['not-a-time /measurements/0/uncertainty']);
    expect(measured()).toEqual(['list-too-short /measurements']);
  });

  it('in parts and ranges', () => {
    expect(gist(findingsOf({ ranges: { swing: [9, 3] } }))).toEqual(['range-reversed /ranges/swing']);
    expect(gist(findingsOf({ ranges: { pitch: [1, 300] } }))).toEqual(['pitch-over-tile /ranges/pitch']);
    expect(gist(findingsOf({ ranges: { swing: [1, 9000] } }))).toEqual(['ranges-too-wide /arms/bay arm']);
    expect(gist(findingsOf({ pitch: 20, belts: { 'field belt': { speed: 21, cost: 1 }, 'quay belt': { cost: 1 } } }))).toEqual([
      'speed-over-pitch /belts/field belt/speed',
    ]);
    expect(gist(findingsOf({ splitters: { s: { asFastAs: 'quay', cost: 1 } } }))).toEqual(['unknown-part /splitters/s/asFastAs']);
    expect(gist(findingsOf({ arms: { 'bay arm': { reach: 1, cost: 1, slack: 3 } } }))).toEqual(['unknown-field /arms/bay arm/slack']);
  });

  it('says nothing of what follows from a number that is none itself', () => {
    expect(gist(findingsOf({ unitsPerTile: 2000, ranges: { pitch: [1, 300] } }))).toEqual(['too-large /unitsPerTile']);
    const timed = { ...chest, time: '0.03s' };
    expect(gist(findingsOf({ ticksPerSecond: 0, measurements: [timed] }))).toEqual(['too-small /ticksPerSecond']);
    expect(gist(findingsOf({ ticksPerSecond: 0, measurements: [{ ...timed, time: 'long' }] }))).toEqual(['not-a-time /measurements/0/time', 'too-small /ticksPerSecond']);
  });

  it('says what is meant', () => {
    expect(findingsOf({ measurements: [{ ...chest, arm: 'bey arm' }] }).map(findingSentence)).toEqual([
      'At /measurements/0/arm: No arm named “bey arm” is listed under “arms”. Did you mean “bay arm”?',
    ]);
  });
});

it('never throws, whatever stands anywhere', () => {
  fc.assert(
    fc.property(fc.nat(), fc.jsonValue(), (place, value) => {
      const parsed = parseMeasurements(withJunk(sample, place, value));
      if (!parsed.ok) expect(parsed.findings.length).toBeGreaterThan(0);
    }),
    { seed: SEED, numRuns: 300 },
  );
});
