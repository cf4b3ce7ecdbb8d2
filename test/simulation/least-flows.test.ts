/**
 * What a layout can promise over several starts, and targets of single lanes and of all exits together.
 */
import { describe, expect, it } from 'vitest';
import { isLess, ONE, ratio, sumRational, ZERO, type Rational } from '../../src/base/rational.js';
import { runTrial } from '../../src/simulation/trial.js';
import { leastFlows } from '../../src/simulation/least-flows.js';
import { verifyTargets } from '../../src/simulation/verify.js';
import { seededPlan } from '../oracles/random-plans.js';
import { arm, belts, chest, exit, layoutOf } from './sketch.js';

const OPTIONS = { seed: 3, tickLimit: 4000 };
const STARTS = 6;

describe('least flows', () => {
  it('never rise with more starts', () => {
    let differing = 0;
    for (let seed = 1; seed <= 80; seed++) {
      const layout = seededPlan(seed);
      const upTo = Array.from({ length: STARTS + 1 }, (_, starts) => leastFlows(layout, { ...OPTIONS, starts }));
      layout.exits.forEach((_, index) => {
        const flows = upTo.map((least) => least.exits[index]);
        for (const lane of ['flow', 'left', 'right'] as const) {
          for (let starts = 1; starts <= STARTS; starts++) {
            const where = `seed ${seed}, exit ${index}, ${lane}, ${starts} starts`;
            expect(flows[starts][lane].compare(flows[starts - 1][lane]), where).toBeLessThanOrEqual(0);
          }
          if (!flows[0][lane].equals(flows[STARTS][lane])) differing++;
        }
      });
    }
    expect(differing).toBeGreaterThan(5);
  });
});

describe('the least flow of all exits together', () => {
  const RUNS = { ...OPTIONS, starts: STARTS, tickLimit: 10_000 };

  it('is of one start: no less than the sum of the exits\' leasts, no more than the sum of any start', () => {
    let more = 0;
    for (let seed = 1; seed <= 200; seed++) {
      const layout = seededPlan(seed);
      if (layout.exits.length < 2) continue;
      const { exits, together } = leastFlows(layout, RUNS);
      const leasts = sumRational(exits.map(({ flow }) => flow));
      expect(isLess(together, leasts), `seed ${seed}`).toBe(false);
      if (isLess(leasts, together)) more++;
      const worst = runTrial(layout, { ...RUNS, presence: ONE });
      expect(isLess(sumRational(worst.exits.map(({ flow }) => flow)), together), `seed ${seed}`).toBe(false);
    }
    expect(more).toBeGreaterThan(0);
  });

  it('is the most that a common target may ask for', () => {
    let checked = 0;
    for (let seed = 1; seed <= 60; seed++) {
      const layout = seededPlan(seed);
      const { together } = leastFlows(layout, RUNS);
      const verdict = (flow: Rational) => verifyTargets(layout, [], { ...RUNS, presence: ONE, together: flow });
      const more = verdict(together.add(ratio(1, 1_000_000)));
      if (!verdict(together).exact || !more.exact) continue;
      checked++;
      // Chests are looked at after the flows.
      expect(['supply', undefined], `seed ${seed}`).toContain(verdict(together).failure?.kind);
      expect(['supply', 'sum'], `seed ${seed}`).toContain(more.failure?.kind);
      if (layout.parts.every(({ kind }) => kind !== 'chest')) expect(more.failure?.kind, `seed ${seed}`).toBe('sum');
    }
    expect(checked).toBeGreaterThan(20);
  });

  it('is not proven to fall short by a start that has not repeated', () => {
    // One arm from each side of the belt: a sixth on each lane.
    const layout = layoutOf(
      [chest(0, 0), arm(0, 1, 'S'), chest(0, 4), arm(0, 3, 'N'), ...belts(0, 2, 'E', 2)],
      [exit(1, 2, 'E')],
    );
    const verdict = (tickLimit: number) => verifyTargets(layout, [], { ...OPTIONS, tickLimit, starts: 0, presence: ONE, together: ONE });
    expect(verdict(40).failure?.kind).toBe('unproven');
    expect(verdict(10_000).failure?.kind).toBe('sum');
    const exceeding = (together: Rational) => verifyTargets(layout, [], { ...OPTIONS, starts: 0, presence: ONE, together, exceed: true }).failure?.kind;
    expect([exceeding(ratio(1, 3)), exceeding(ratio(333, 1000)), exceeding(ZERO)]).toEqual(['sum', 'supply', 'supply']);
  });

  it('need not exceed a sum that is not asked for', () => {
    const idle = layoutOf(belts(0, 2, 'E', 2), [exit(1, 2, 'E')]);
    const verdict = (together: Rational) => verifyTargets(idle, [], { ...OPTIONS, starts: 0, presence: ONE, together, exceed: true }).failure?.kind;
    expect([verdict(ZERO), verdict(ratio(1, 1000))]).toEqual([undefined, 'sum']);
  });
});

describe('targets', () => {
  it.each(['left', 'right', 'total'] as const)('of %s count on their own', (lane) => {
    // One arm from each side of the belt: a sixth on each lane.
    const layout = layoutOf(
      [chest(0, 0), arm(0, 1, 'S'), chest(0, 4), arm(0, 3, 'N'), ...belts(0, 2, 'E', 2)],
      [exit(1, 2, 'E')],
    );
    const verdict = (flow: Rational, exceed = false) =>
      verifyTargets(layout, [{ exit: 0, left: ZERO, right: ZERO, total: ZERO, [lane]: flow }], {
        ...OPTIONS,
        starts: 0,
        presence: ONE,
        exceed,
      }).failure?.kind;
    const met = lane === 'total' ? ratio(1, 3) : ratio(1, 6);
    // The chests have no arm that fills them, which is looked at after the flows.
    expect([verdict(met), verdict(met.add(ratio(1, 1000)))]).toEqual(['supply', 'flow']);
    // Where they are to be exceeded, what just meets them does not; of what is not asked for, nothing is to be exceeded.
    expect([verdict(met, true), verdict(met.sub(ratio(1, 1_000_000)), true)]).toEqual(['flow', 'supply']);
  });
});
