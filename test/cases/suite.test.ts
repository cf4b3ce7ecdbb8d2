/**
 * The quick ones of the suite's briefs: each is designed, proven at its known price, and its plan tried again by the
 * reference simulator, which shares no code with the one that the design asked. The others are for the bench.
 */
import { describe, expect, it } from 'vitest';
import { readBrief } from '../../bench/cases.js';
import { shortcomings, tryLayout } from '../../bench/check-answer.js';
import { suiteCases } from '../../bench/suite-cases.js';
import { designStation } from '../../src/index.js';
import { layoutCost } from '../../src/layout/layout.js';
import { readJson } from '../documents.js';
import { referenceFlow } from '../oracles/reference-flow.js';

interface Expected {
  readonly status: 'optimal';
  readonly cost: number;
  readonly quick: boolean;
}

const EXPECTED = readJson('test/cases/expected/suite.json') as Readonly<Record<string, Expected>>;
const CASES = suiteCases();
const QUICK = CASES.filter(({ name }) => EXPECTED[name]?.quick === true);
const REFERENCE_TICKS = 1_500;

let compared = 0;

describe('expected answers', () => {
  it('are of briefs that are there, and enough of them quick', () => {
    const names = CASES.map(({ name }) => name);
    expect(Object.keys(EXPECTED).filter((name) => !names.includes(name))).toEqual([]);
    expect(QUICK.length).toBeGreaterThan(20);
    expect(QUICK.filter(({ path }) => readBrief(path).exits.length > 1).length).toBeGreaterThan(1);
  });
});

describe.each(QUICK)('$name', ({ name, path }) => {
  const { cost } = EXPECTED[name];

  it(`is proven at ${cost}`, async () => {
    const brief = readBrief(path);
    const { outcome } = await designStation(brief, { now: () => performance.now() });
    expect([outcome.status, outcome.proof.bound, outcome.proof.cost]).toEqual(['optimal', cost, cost]);
    if (outcome.status !== 'optimal') return;
    const { layout } = outcome;
    expect(layoutCost(layout)).toBe(cost);
    expect(shortcomings(layout, brief, tryLayout(layout, brief))).toEqual([]);
    // It is slow: where it has not come to its period in time, nothing is compared.
    const reference = referenceFlow(layout, REFERENCE_TICKS);
    if (!reference.exact) return;
    compared++;
    brief.exits.forEach(({ target }, exit) => {
      const { left, right } = reference.exits[exit];
      expect(left.flow.add(right.flow).compare(target.total)).toBeGreaterThanOrEqual(0);
      expect(left.flow.compare(target.left)).toBeGreaterThanOrEqual(0);
      expect(right.flow.compare(target.right)).toBeGreaterThanOrEqual(0);
    });
  });
});

describe('the reference simulator', () => {
  it('settled most of them', () => {
    expect(2 * compared).toBeGreaterThan(QUICK.length);
  });
});
