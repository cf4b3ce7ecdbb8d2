/**
 * What is fitted: held to brute force over every choice of integers, to known catalogs behind noisy measurements,
 * and to what a suggested measurement is for.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { compare, isLess, maxRational, ONE, ratio, ZERO, type Rational } from '../../src/base/rational.js';
import { seededRandom } from '../../src/base/random.js';
import { fit, type Fit } from '../../src/fitting/fit.js';
import type { Measurement, Measurements, Probe } from '../../src/fitting/measurements.js';
import { possibleProbes } from '../../src/fitting/suggest.js';
import { projectFile, SEED } from '../documents.js';
import { integersOf, recoveries, recoveryTable } from './recovery.js';
import { measurementsOf, outcomeOf, type Truth } from './worlds.js';

const PROBES: readonly Probe[] = [
  { kind: 'lane-holds', tiles: 3 },
  { kind: 'belt-carries', belt: 'belt', lanes: 2, ticks: 90 },
  { kind: 'item-travels', belt: 'belt', tiles: 2 },
  { kind: 'hand-holds', arm: 'arm' },
  { kind: 'first-item', arm: 'arm' },
  { kind: 'arm-to-chest', arm: 'arm', ticks: 110 },
  { kind: 'arm-to-lane', arm: 'arm', belt: 'belt', ticks: 130 },
];

const tiny = (measurements: readonly Measurement[]): Measurements => ({
  ...measurementsOf(measurements),
  pitch: { least: 50, most: 56 },
  belts: [{ name: 'belt', speed: { least: 8, most: 14 } }],
  arms: [{ name: 'arm', ranges: { payload: { least: 1, most: 3 }, grab: { least: 1, most: 3 }, release: { least: 4, most: 7 }, swing: { least: 3, most: 6 } } }],
});

const from = (least: number, most: number): readonly number[] => Array.from({ length: most - least + 1 }, (_, index) => least + index);

function* everyTruth(): Generator<Truth> {
  for (const pitch of from(50, 56))
    for (const speed of from(8, 14))
      for (const payload of from(1, 3))
        for (const grab of from(1, 3)) for (const release of from(4, 7)) for (const swing of from(3, 6)) yield { pitch, speed, arm: { payload, grab, release, swing } };
}

/** Whether some count that the truth can show is no further from the observed one than is allowed. */
function explainsAll(truth: Truth, measurements: readonly Measurement[]): boolean {
  return measurements.every(({ probe, observed, uncertainty }) => {
    const { least, most } = outcomeOf(truth, probe);
    return from(least, most).some((value) => compare(ratio(value).sub(observed).abs(), uncertainty) <= 0);
  });
}

const misfit = (truth: Truth, measurements: readonly Measurement[]): Rational =>
  measurements.reduce((sum, { probe, observed, uncertainty }) => {
    const off = outcomeOf(truth, probe).mean.sub(observed).div(maxRational(uncertainty, ONE));
    return sum.add(off.mul(off));
  }, ZERO);

function someMeasurements(seed: number): readonly Measurement[] {
  const below = seededRandom(seed);
  const all = [...everyTruth()];
  const truth = all[below(all.length)];
  return PROBES.filter(() => below(3) > 0).map((probe) => {
    const { least, most } = outcomeOf(truth, probe);
    // Sometimes off by more than is said, so that nothing may be left.
    const off = below(6) === 0 ? 4 : 0;
    return { probe, observed: ratio(2 * (least + below(most - least + 1)) + below(2) + 2 * off, 2), uncertainty: ratio(1 + below(4), 2) };
  });
}

describe('brute force over every choice of integers', () => {
  const cases = Array.from({ length: 24 }, (_, index) => someMeasurements(SEED + index));
  const all = [...everyTruth()];

  it.each(cases.map((measurements, index) => [index, measurements] as const))('case %i: the same candidates, values and least misfit', (_, measurements) => {
    const left = all.filter((truth) => explainsAll(truth, measurements));
    const result = fit(tiny(measurements));
    if (result.kind !== 'found') {
      expect([result.kind, left.length]).toEqual(['none', 0]);
      return;
    }
    expect(result.candidates).toBe(BigInt(left.length));
    const values = result.known.map((_each, index) => [...new Set(left.map((truth) => integersOf(truth)[index]))].sort((a, b) => a - b));
    expect(result.known.map((each) => each.values)).toEqual(values);
    const least = left.map((truth) => misfit(truth, measurements)).reduce((a, b) => (isLess(b, a) ? b : a));
    expect(compare(result.misfit, least)).toBe(0);
    const [pitch, speed, payload, grab, release, swing] = result.known.map(({ best }) => best);
    const best = { pitch, speed, arm: { payload, grab, release, swing } };
    expect(explainsAll(best, measurements)).toBe(true);
    expect(compare(misfit(best, measurements), least)).toBe(0);
  });

  it('has cases with none, one and many candidates', () => {
    const kinds = cases.map((measurements) => fit(tiny(measurements)));
    expect(kinds.some(({ kind }) => kind === 'none')).toBe(true);
    expect(kinds.some((each) => each.kind === 'found' && each.candidates > 50n)).toBe(true);
  });

  it('suggests the measurement that leaves the fewest on average, counted one by one', () => {
    const measurements = cases.find((each) => {
      const result = fit(tiny(each));
      return result.kind === 'found' && result.candidates > 5n && result.candidates < 300n;
    });
    if (measurements === undefined) throw new Error('no case has some candidates');
    const asked = tiny(measurements);
    const { suggestion, candidates } = fit(asked) as Extract<Fit, { readonly kind: 'found' }>;
    const left = all.filter((truth) => explainsAll(truth, measurements));
    const averages = possibleProbes(asked).map((probe) => {
      const stated = measurements.filter((each) => each.probe.kind === probe.kind).map(({ uncertainty }) => uncertainty);
      const usual = probe.kind === 'item-travels' || probe.kind === 'first-item' ? 1 : probe.kind === 'hand-holds' || probe.kind === 'lane-holds' ? 0 : 1;
      const uncertainty = stated.length > 0 ? stated.reduce(maxRational, ZERO) : ratio(usual);
      const sum = left.reduce((total, truth) => {
        const { least, most } = outcomeOf(truth, probe);
        const shown = { probe, observed: ratio(Math.floor((least + most) / 2)), uncertainty };
        return total + left.filter((other) => explainsAll(other, [shown])).length;
      }, 0);
      return ratio(sum, candidates);
    });
    const fewest = averages.reduce((a, b) => (isLess(b, a) ? b : a));
    expect(suggestion && compare(suggestion.leaves, fewest)).toBe(0);
    expect(suggestion?.probe).toEqual(possibleProbes(asked)[averages.findIndex((each) => compare(each, fewest) === 0)]);
  });
});

describe('known catalogs behind noisy measurements', () => {
  const all = recoveries();

  it('are always among the candidates', () => {
    for (const { truth, first, further } of all) {
      for (const { known } of [first, ...further]) known.forEach(({ values }, index) => expect(values).toContain(integersOf(truth)[index]));
    }
  });

  it('are pinned down further by each suggested measurement', () => {
    const steps = all.flatMap(({ first, further }) => [first, ...further].slice(1).map((each, index) => [[first, ...further][index], each] as const));
    expect(steps.length).toBeGreaterThan(50);
    for (const [before, after] of steps) expect(after.candidates).toBeLessThan(before.candidates);
  });

  it('are recovered as well as src/fitting/rationale.md says (TRANSLOOM_UPDATE_GOLDEN=1 writes the table)', () => {
    const path = projectFile('src/fitting/rationale.md');
    const text = readFileSync(path, 'utf8');
    const block = /(<!-- recovery: .* -->\n)[^]*?(\n<!-- end of recovery -->)/;
    const written = text.replace(block, (_match, head: string, tail: string) => `${head}${recoveryTable(all)}${tail}`);
    if (process.env['TRANSLOOM_UPDATE_GOLDEN'] !== undefined) writeFileSync(path, written);
    expect(readFileSync(path, 'utf8')).toBe(written);
    expect(text).toMatch(block);
  });
});

describe('measurements that contradict each other', () => {
  it('are told apart: the one without which the others can be explained', () => {
    const good: readonly Measurement[] = [
      { probe: { kind: 'lane-holds', tiles: 20 }, observed: ratio(80), uncertainty: ratio(1) },
      { probe: { kind: 'belt-carries', belt: 'belt', lanes: 2, ticks: 3000 }, observed: ratio(1200), uncertainty: ratio(2) },
      { probe: { kind: 'item-travels', belt: 'belt', tiles: 20 }, observed: ratio(400), uncertainty: ratio(2) },
      { probe: { kind: 'belt-carries', belt: 'belt', lanes: 1, ticks: 3000 }, observed: ratio(600), uncertainty: ratio(2) },
    ];
    const bad: Measurement = { probe: { kind: 'belt-carries', belt: 'belt', lanes: 1, ticks: 6000 }, observed: ratio(900), uncertainty: ratio(2) };
    expect(fit(measurementsOf([...good, bad]))).toEqual({ kind: 'none', against: [bad] });
  });
});
