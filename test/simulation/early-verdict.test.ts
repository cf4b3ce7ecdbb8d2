/**
 * Verdicts that are known before all of a layout has repeated, against those of the whole; and the bound on a lane
 * that has not been run, against what leaves.
 */
import { describe, expect, it } from 'vitest';
import { ONE, ratio, ZERO, type Rational } from '../../src/base/rational.js';
import { compileLayout } from '../../src/simulation/compile.js';
import { mostOver } from '../../src/simulation/early-verdict.js';
import { leastFlows } from '../../src/simulation/least-flows.js';
import { Starts } from '../../src/simulation/starts.js';
import { verifyTargets } from '../../src/simulation/verify.js';
import { seededPlan } from '../oracles/random-plans.js';
import { randomLayout, TOWARD_CORNER } from './random-layouts.js';

const OPTIONS = { starts: 2, seed: 1, tickLimit: 20_000 };
const layouts = [
  ...Array.from({ length: 80 }, (_, seed) => seededPlan(seed + 1)),
  ...Array.from({ length: 80 }, (_, seed) => randomLayout(seed + 1, { speeds: [15], slacks: [0], headings: TOWARD_CORNER })),
];

describe('an early verdict', () => {
  it('is that of the whole: at what a layout gives, and just above', () => {
    let failed = 0;
    for (const layout of layouts) {
      const { exits, exact } = leastFlows(layout, OPTIONS);
      if (!exact || exits.length === 0) continue;
      for (const factor of [ONE, ratio(1001, 1000), ratio(2)]) {
        for (const presence of [ONE, ratio(1, 2)]) {
          const targets = exits.map(({ flow, left, right }, exit) => ({ exit, total: flow.mul(factor), left: exit % 2 === 0 ? left : ZERO, right: exit % 3 === 0 ? right.mul(factor) : ZERO }));
          const whole = verifyTargets(layout, targets, { ...OPTIONS, presence });
          const early = verifyTargets(layout, targets, { ...OPTIONS, presence, verdictOnly: true });
          expect(early.passes).toBe(whole.passes);
          if (whole.passes) expect(early).toEqual(whole);
          else failed++;
        }
      }
    }
    expect(failed).toBeGreaterThan(150);
  });

  it('takes no lane for less than it carries', () => {
    let bounded = 0;
    for (const layout of layouts) {
      const program = compileLayout(layout);
      const ends = new Starts(program, OPTIONS).settle(0);
      program.pieces.forEach(({ machine }, piece) => {
        const { orbit } = ends[piece];
        if (!orbit.exact) return;
        orbit.exitCount.forEach((count, exitLane) => {
          const most = mostOver(machine, exitLane);
          if (most === undefined) return;
          bounded++;
          const flow: Rational = ratio(count, orbit.periodTicks);
          expect(flow.compare(ratio(most[0], most[1]))).toBeLessThanOrEqual(0);
        });
      });
    }
    expect(bounded).toBeGreaterThan(100);
  });
});
