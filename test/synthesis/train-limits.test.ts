/**
 * Limits and objectives on trains: which wagon an arm draws from counts, and what a list says of each dwell a design with
 * that limit says too. Lists against brute force are in `test/oracles/tradeoffs.test.ts`.
 */
import { beforeAll, expect, it } from 'vitest';
import { formatRational, ratio } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import { parseTicks } from '../../src/base/duration.js';
import { designStation } from '../../src/index.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import type { IntegerSolver } from '../../src/program/solver.js';
import { tradeoffs } from '../../src/synthesis/choices/tradeoffs.js';
import { briefOf } from '../documents.js';
import { designFor, verification, witnessOf } from '../oracles/compare-designs.js';
import { trainTimes } from '../../src/tasks/train-times.js';
import { tinyBrief } from './tiny-briefs.js';

let solver: IntegerSolver;
beforeAll(async () => {
  solver = await loadGlpkSolver();
});

const withLimits = (brief: Brief, limits: Partial<Brief['limits']>): Brief => ({ ...brief, limits: { ...brief.limits, ...limits } });

it('two arms at one wagon are not two arms at two, though their belts are the same', async () => {
  const brief = tinyBrief(
    { site: { width: 4, depth: 2 }, wagons: [{ model: 'short' }, { model: 'short' }], exits: [{ edge: 'W', from: 1, to: 1, belt: 'belt', target: { rate: '1/5' } }] },
    { wagons: { short: { length: 2, capacity: 300 } } },
  );
  const free = await designFor(brief, solver);
  if (free.status !== 'optimal') throw new Error(free.status);
  const asked = await designFor(withLimits(brief, { dwell: ratio(100_000) }), solver);
  if (asked.status !== 'optimal') throw new Error(asked.status);
  // The cheapest stands at one wagon; an arm further costs a belt more.
  expect(trainTimes(free.layout, verification(free.layout, brief))).toBeUndefined();
  expect(trainTimes(asked.layout, verification(asked.layout, brief))).toBeDefined();
  expect([free.proof.cost, asked.proof.cost]).toEqual([6, 7]);
});

it('a list by dwell says what designs with limits on it say', { timeout: 120_000 }, async () => {
  const brief: Brief = { ...briefOf('test/cases/tiny-4x5-060.json'), starts: 2 };
  const { status, list } = await tradeoffs(brief, ['cost', 'dwell'], { upTo: 54 }, {
    solver,
    now: () => performance.now(),
    shouldStop: () => false,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
    onFound: () => undefined,
    verify: witnessOf,
  });
  expect(status).toBe('complete');
  const rows = list.map(({ values }) => values.map(formatRational));
  expect(rows.length).toBeGreaterThan(1);
  for (const [index, { values }] of list.entries()) {
    const [cost, dwell] = values;
    const at = await designFor(withLimits(brief, { dwell, cost: 54 }), solver);
    expect([at.status, at.proof.cost]).toEqual(['optimal', Number(cost.n)]);
    const below = await designFor(withLimits(brief, { dwell: dwell.mul(ratio(999_999, 1_000_000)), cost: 54 }), solver);
    expect(below.proof.cost).toBe(list.at(index + 1)?.values[0].valueOf());
  }
});

it('where wagons may stop short or far, the longest dwell of all places counts', async () => {
  const brief: Brief = { ...briefOf('models/briefs/grain-060.json'), spotting: 1, starts: 1 };
  const dwell = parseTicks('70s', brief.catalog.ticksPerSecond);
  const { outcome } = await designStation(withLimits(brief, { dwell }), { now: () => performance.now(), timeLimitSeconds: 20 });
  if (outcome.status !== 'optimal') throw new Error(outcome.status);
  const { layout } = outcome;
  for (const offset of [-1, 0, 1]) {
    const moved = { ...layout, wagons: layout.wagons.map((wagon) => ({ ...wagon, at: wagon.at + offset })) };
    const times = trainTimes(moved, verification(moved, { ...brief, spotting: 0 }));
    expect(times?.dwell.compare(dwell ?? 0)).toBeLessThanOrEqual(0);
    // Every arm at the wagons keeps to where they always are.
    for (const part of layout.parts) if (part.kind === 'arm' && part.at.y === 0) expect(part.at.x >= 1 && part.at.x <= 4).toBe(true);
  }
});
