/**
 * Verdicts that are known before all of a layout has repeated, against those of the whole; the bound on a lane that has not
 * been run, against what leaves; and verdicts where numbers are long.
 */
import { describe, expect, it } from 'vitest';
import { ONE, ratio, ZERO, type Rational } from '../../src/base/rational.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { compileLayout } from '../../src/simulation/compile.js';
import { mostOver, rememberedFailure } from '../../src/simulation/early-verdict.js';
import { leastFlows } from '../../src/simulation/least-flows.js';
import { Starts } from '../../src/simulation/starts.js';
import { StrandMemory } from '../../src/simulation/strand-memory.js';
import { verifyTargets } from '../../src/simulation/verify.js';
import { fractionOf } from '../../src/simulation/verify-terms.js';
import { seededPlan } from '../oracles/random-plans.js';
import { randomLayout, TOWARD_CORNER } from './random-layouts.js';
import { arm, belts, chest, exit, layoutOf } from './sketch.js';

const OPTIONS = { starts: 2, seed: 1, tickLimit: 20_000 };
const NINTH = 3_000_000_001;
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

  it('says nothing of a lane that others join within a pitch of the edge: they may leave closer than that', () => {
    const knownAt = (row: number): readonly boolean[] => {
      const layout = layoutOf([...belts(2, 0, 'S', 4), ...belts(0, row, 'E', 2)], [exit(2, 3, 'S')]);
      return compileLayout(layout).pieces.flatMap(({ machine }) => [0, 1].map((lane) => mostOver(machine, lane) !== undefined));
    };
    // Heading south, the west lane is at the right hand: the second one.
    expect([knownAt(3), knownAt(2)]).toEqual([[true, false], [true, true]]);
  });

  it('adds up the lanes of an exit exactly, however long their periods', () => {
    const layout = layoutOf([chest(2, 0), arm(2, 1, 'S'), chest(3, 4), arm(3, 3, 'N'), ...belts(2, 2, 'E', 3)], [exit(4, 2, 'E')]);
    const network = deriveNetwork(layout);
    const strands = new StrandMemory().strandsOf(layout, network);
    const noDelays = network.arms.map(() => 0);
    // Two ninths on each lane; products of numbers of this size lose their last digits where they are rounded.
    for (const index of noDelays.keys()) {
      strands.note({ periodTicks: 9 * NINTH, exitCount: new Map([[0, 2 * NINTH], [1, 2 * NINTH]]), armTaken: new Map([[index, 2 * NINTH]]) }, noDelays);
    }
    const failureAt = (total: Rational): unknown =>
      rememberedFailure(layout, network, strands, [{ exit: 0, total: fractionOf(total), left: [0, 1], right: [0, 1] }], { ...OPTIONS, presence: ONE });
    expect(strands.flowsOfAll(noDelays).every(({ flows }) => flows !== undefined)).toBe(true);
    expect(failureAt(ratio(4, 9))).toBeUndefined();
    expect(failureAt(ratio(4, 9).add(ratio(1, 10n ** 20n)))).toEqual({ kind: 'flow', exit: 0, start: 0 });
  });
});

describe('a verdict', () => {
  it('is exact however many digits a target has', () => {
    // One arm onto a free lane gives a sixth.
    const layout = layoutOf([chest(2, 0), arm(2, 1, 'S'), ...belts(2, 2, 'E', 3)], [exit(4, 2, 'E')]);
    const passesAt = (total: Rational, verdictOnly: boolean): boolean =>
      verifyTargets(layout, [{ exit: 0, total, left: ZERO, right: ZERO }], { ...OPTIONS, presence: ONE, chestsCount: false, verdictOnly }).passes;
    const digits = (last: bigint): Rational => ratio(166_666_666_666_666_660n + last, 10n ** 18n);
    for (const verdictOnly of [false, true]) {
      expect(passesAt(ratio(1, 6), verdictOnly)).toBe(true);
      expect(passesAt(digits(6n), verdictOnly)).toBe(true);
      expect(passesAt(digits(7n), verdictOnly)).toBe(false);
    }
  });
});
