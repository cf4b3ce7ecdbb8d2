/**
 * The briefs that load: each is designed, proven at its known price, and its plan tried again by the second simulator, which
 * shares no code with the one that the design asked.
 */
import { describe, expect, it } from 'vitest';
import { filesIn, nameOf, readBrief } from '../../bench/cases.js';
import { measureLoading } from '../../src/audit/loading-shortfall.js';
import { flowsFrom } from '../../src/audit/steady-flow.js';
import { designStation, TICK_LIMIT } from '../../src/index.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { layoutCost } from '../../src/layout/layout.js';
import { trainBoundsOf } from '../../src/synthesis/loading/loading-tradeoffs.js';
import { spotted } from '../../src/layout/spotting.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { loadJobOf, readJson } from '../documents.js';

interface Expected {
  readonly status: 'optimal';
  readonly cost: number;
  /** Of the exported program: `test/pipeline/export-loading-program.test.ts`. */
  readonly bill: number;
}

const EXPECTED = readJson('test/cases/expected/loading.json') as Readonly<Record<string, Expected>>;
const CASES = filesIn('test/cases')
  .map((path) => ({ name: nameOf(path), path }))
  .filter(({ name }) => name.startsWith('loading-'));
const REFERENCE_TICKS = 20_000;
const ABOVE_ROUNDING = 1 + 1e-9;

it('each has its answer', () => {
  expect(CASES.map(({ name }) => name)).toEqual(Object.keys(EXPECTED));
});

describe.each(CASES)('$name', ({ name, path }) => {
  const { cost } = EXPECTED[name];

  it(`is proven at ${cost}`, { timeout: 400_000 }, async () => {
    const brief = readBrief(path);
    const load = loadJobOf(brief);
    const { outcome } = await designStation(brief, { now: () => performance.now() });
    expect([outcome.status, outcome.proof.bound, outcome.proof.cost]).toEqual(['optimal', cost, cost]);
    if (outcome.status !== 'optimal') return;
    const { layout } = outcome;
    expect(layoutCost(layout)).toBe(cost);
    expect(checkLegality(layout).filter(({ severity }) => severity === 'error')).toEqual([]);
    // What is known of its trains without its flows leaves room for them.
    const witness = loadingVerifier({ starts: brief.starts, seed: 1, tickLimit: TICK_LIMIT })(layout, brief);
    if (witness.verdict !== 'passes' || witness.trains === undefined) throw new Error('a station that fills all wagons');
    const { leastDwell, mostTrainsPerHour } = trainBoundsOf(layout);
    expect(leastDwell).toBeLessThanOrEqual(witness.trains.dwell.valueOf() * ABOVE_ROUNDING);
    expect(mostTrainsPerHour * ABOVE_ROUNDING).toBeGreaterThanOrEqual(witness.trains.trainsPerHour.valueOf());
    for (const stands of spotted(layout, brief.spotting)) {
      const flows = flowsFrom(stands, { delays: [] }, { mostTicks: REFERENCE_TICKS, shouldStop: () => false });
      expect(measureLoading(stands, flows, brief, load)).toEqual({ shortfalls: [], incomplete: false });
    }
  });
});
