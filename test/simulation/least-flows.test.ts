/**
 * What a layout can promise over several starts, and targets of single lanes.
 */
import { describe, expect, it } from 'vitest';
import { ONE, ratio, ZERO, type Rational } from '../../src/base/rational.js';
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

describe('targets', () => {
  it.each(['left', 'right', 'total'] as const)('of %s count on their own', (lane) => {
    // One arm from each side of the belt: a sixth on each lane.
    const layout = layoutOf(
      [chest(0, 0), arm(0, 1, 'S'), chest(0, 4), arm(0, 3, 'N'), ...belts(0, 2, 'E', 2)],
      [exit(1, 2, 'E')],
    );
    const verdict = (flow: Rational) =>
      verifyTargets(layout, [{ exit: 0, left: ZERO, right: ZERO, total: ZERO, [lane]: flow }], {
        ...OPTIONS,
        starts: 0,
        presence: ONE,
      }).failure?.kind;
    const met = lane === 'total' ? ratio(1, 3) : ratio(1, 6);
    // The chests have no arm that fills them, which is looked at after the flows.
    expect([verdict(met), verdict(met.add(ratio(1, 1000)))]).toEqual(['supply', 'flow']);
  });
});
