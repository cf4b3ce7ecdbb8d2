/**
 * Formulas of material handling, each with a worked number and with what the simulator gives where a lane is such a conveyor.
 * Sources: Kwo's rules for conveyors (T. T. Kwo, 1958) as in M. P. Groover, "Automation, Production Systems, and
 * Computer-Integrated Manufacturing"; items an hour at a pitch, and pick and place 3600 / T, as in trade handbooks.
 * The formulas and the loop's numbers are values from memory, their arithmetic done again.
 */
import { describe, expect, it } from 'vitest';
import { compare, ONE, ratio, type Rational } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import { runTrial } from '../../src/simulation/trial.js';
import type { TrialResult } from '../../src/simulation/trial-result.js';
import { arm, belts, chest, exit, layoutOf, plainCatalog, wagonModel } from '../simulation/sketch.js';

const trial = (layout: Layout): TrialResult => runTrial(layout, { starts: 0, seed: 1, tickLimit: 20_000, presence: ONE });

/** Parts in a unit of time on a conveyor of speed v that carries n parts on each carrier, carriers s apart. */
const conveyorFlow = (n: number, v: number, s: number): Rational => ratio(n * v, s);

/** Items an hour at v units a second, items L long with gaps of g. */
const hourlyAtPitch = (v: number, length: number, gap: number): number => (3600 * v) / (length + gap);

const { pitch, ticksPerSecond } = plainCatalog;

/** A lane at which items queue: arms bring more of them, on faster belts, than it can carry. */
const fullLane = (speed: number): Layout =>
  layoutOf(
    [0, 1, 2, 3, 4, 5].flatMap((x) => [chest(x, 0), arm(x, 1, 'S')]).concat(belts(0, 2, 'E', 6, pitch), belts(6, 2, 'E', 3, speed)),
    [exit(8, 2, 'E')],
  );

describe('flow of a conveyor, n v / s', () => {
  // Kwo's rules for a loop: carriers bring enough, n v / s >= both rates, and leave the time to load, v / s <= 1 / T.
  it('of the worked loop: 200 m, 50 m a minute, a carrier of 2 parts every 5 m, 0.15 minutes to load, 6 parts a minute', () => {
    const carriersInLoop = ratio(200, 5);
    expect(carriersInLoop.toFraction()).toBe('40');
    const flow = conveyorFlow(2, 50, 5);
    expect(flow.toFraction()).toBe('20');
    expect(compare(flow, ratio(6))).toBeGreaterThanOrEqual(0);
    // 10 carriers a minute pass the loading place, and only 6.67 can be loaded.
    const passing = conveyorFlow(1, 50, 5);
    const loadable = ONE.div(ratio(15, 100));
    expect([passing.toFraction(), loadable.toFraction()]).toEqual(['10', '20/3']);
    expect(compare(passing, loadable)).toBe(1);
  });

  it.each([7, 10, 15, 20, 23, 30])('of a saturated lane at speed %i: one item every pitch, v / P', (speed) => {
    const { exits } = trial(fullLane(speed));
    const [{ left, right }] = exits;
    // These arms place across the belt's heading, on its far lane: the right one of a belt that heads east.
    expect(right.flow.toFraction()).toBe(conveyorFlow(1, speed, pitch).toFraction());
    expect([left.flow.toFraction(), right.fill.toFraction()]).toEqual(['0', '1']);
  });
});

describe('items an hour at a pitch, 3600 v / (L + g)', () => {
  it('of 0.30 m boxes with gaps of 0.25 m at 2.1 m/s: 13,745', () => {
    expect(Math.floor(hourlyAtPitch(2.1, 0.3, 0.25))).toBe(13_745);
  });

  it('of a saturated lane: the same count, with the pitch as length and gap', () => {
    const speed = 15;
    const [{ right }] = trial(fullLane(speed)).exits;
    const hourly = right.flow.mul(ratio(3600 * ticksPerSecond));
    // 15 units a tick are 750 a second; items may be of any length below the pitch.
    for (const length of [1, 25, 60]) {
      expect(hourly.valueOf()).toBeCloseTo(hourlyAtPitch(speed * ticksPerSecond, length, pitch - length), 9);
    }
    expect(right.largestGap).toBe(pitch);
  });
});

describe('pick and place, 3600 / T an hour', () => {
  const hourlyCycles = (seconds: Rational): Rational => ratio(3600).div(seconds);

  it('of 1.2 s each way, 0.3 s to pick and 0.3 s to place: 1200', () => {
    // T is the sum of the moves, the pick and the place.
    const cycle = ratio(12, 10).mul(ratio(2)).add(ratio(3, 10)).add(ratio(3, 10));
    expect(hourlyCycles(cycle).toFraction()).toBe('1200');
  });

  it.each([
    { payload: 1, swingTicks: 13, grabTicks: 1 },
    { payload: 12, swingTicks: 13, grabTicks: 1 },
    { payload: 5, swingTicks: 8, grabTicks: 4 },
  ])('of an arm from wagon to chest: payload / (grab + 2 swing + 1) items a tick, %j', (changes) => {
    const wagons = [{ model: wagonModel, at: 0 }];
    const { arms } = trial(layoutOf([arm(0, 0, 'S', changes), chest(0, 1)], [], { wagons }));
    const { payload, swingTicks, grabTicks } = changes;
    const cycleTicks = grabTicks + 2 * swingTicks + 1;
    expect(arms.map(({ flow }) => flow.toFraction())).toEqual([ratio(payload, cycleTicks).toFraction()]);
    const hourly = arms[0].flow.mul(ratio(3600 * ticksPerSecond));
    expect(hourly.toFraction()).toBe(hourlyCycles(ratio(cycleTicks, ticksPerSecond)).mul(ratio(payload)).toFraction());
  });
});
