/**
 * The formulas of what measurements show, against the simulator: over all moments at which a count may begin, both ends
 * of what is predicted occur and nothing beyond them does.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { SEED } from '../documents.js';
import { benchOf, countsOf, outcomeOf, truthOf, type Truth } from './worlds.js';

const RUN_IN = 1200;

/** Least and most of what is counted in `ticks`, over every moment of some cycles. */
function counted(truth: Truth, target: 'chest' | 'belt', ticks: number): { readonly least: number; readonly most: number } {
  const cycle = 1 + truth.arm.grab + 2 * truth.arm.swing + truth.arm.payload * Math.max(truth.arm.release, Math.ceil(truth.pitch / truth.speed));
  const counts = countsOf(benchOf(truth, target), RUN_IN + 2 * cycle + ticks);
  const windows = Array.from({ length: 2 * cycle }, (_, index) => counts[RUN_IN + index + ticks] - counts[RUN_IN + index]);
  return { least: Math.min(...windows), most: Math.max(...windows) };
}

const ends = ({ least, most }: { readonly least: number; readonly most: number }) => ({ least, most });

/** A slow release, a lane that clears slowly, a hand of one: each decides the pauses in another way. */
const ODD: readonly Truth[] = [
  { pitch: 80, speed: 2, arm: { payload: 3, grab: 1, release: 1, swing: 4 } },
  { pitch: 60, speed: 1, arm: { payload: 1, grab: 1, release: 1, swing: 2 } },
  { pitch: 40, speed: 20, arm: { payload: 4, grab: 1, release: 30, swing: 2 } },
  { pitch: 60, speed: 12, arm: { payload: 1, grab: 3, release: 8, swing: 1 } },
];

describe.each([...ODD, ...Array.from({ length: 16 }, (_, index) => truthOf(SEED + index))].map((truth) => [truth]))('%j', (truth) => {
  const below = seededRandom(truth.pitch * truth.speed);
  const windows = [1, 1 + below(40), 1 + below(300), 1 + below(300)];

  it.each(windows)('in %i ticks', (ticks) => {
    expect(counted(truth, 'chest', ticks)).toEqual(ends(outcomeOf(truth, { kind: 'arm-to-chest', arm: 'arm', ticks })));
    expect(counted(truth, 'belt', ticks)).toEqual(ends(outcomeOf(truth, { kind: 'arm-to-lane', arm: 'arm', belt: 'belt', ticks })));
  });
});
