/**
 * Lists of trade-offs on sites too large for brute force: they say of each limit what a design with that limit says,
 * and no more of them is found or lost than is written here. Tiny sites are in `test/oracles/tradeoffs.test.ts`.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { formatRational, ratio, type Rational } from '../../src/base/rational.js';
import type { Brief, Limits, Objective } from '../../src/brief/brief.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import type { IntegerSolver } from '../../src/program/solver.js';
import type { Tradeoff, TradeoffsOutcome } from '../../src/synthesis/choices/tradeoffs-outcome.js';
import { tradeoffs, type Extent } from '../../src/synthesis/choices/tradeoffs.js';
import { briefOf } from '../documents.js';
import { designFor, verification, witnessOf } from '../oracles/compare-designs.js';
import { tinyBrief } from './tiny-briefs.js';

let solver: IntegerSolver;
beforeAll(async () => {
  solver = await loadGlpkSolver();
});

function search(brief: Brief, objectives: readonly Objective[], extent: Extent, changes: { readonly shouldStop?: () => boolean; readonly onFound?: (found: Tradeoff) => void } = {}): Promise<TradeoffsOutcome> {
  return tradeoffs(brief, objectives, extent, {
    solver,
    now: () => performance.now(),
    shouldStop: () => false,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
    onFound: () => undefined,
    verify: witnessOf,
    ...changes,
  });
}

const rows = ({ list }: TradeoffsOutcome): readonly string[] => list.map(({ values }) => values.map(formatRational).join(' '));
const costOf = ({ values }: Tradeoff): number => Number(values[0].n);

describe('lists', () => {
  it.each([
    ['models/briefs/grain-085.json', ['cost', 'footprint', 'parts', 'imbalance'], ['78 16 12 0', '78 40 9 0', '79 24 11 0', '82 24 9 0', '84 14 11 0', '92 14 10 1/8650']],
  ] as const)('of %s, by %j', async (path, objectives, expected) => {
    const brief = { ...briefOf(path), starts: 4 };
    const outcome = await search(brief, objectives, { within: ratio(1, 4) });
    expect(outcome.status).toBe('complete');
    expect(rows(outcome)).toEqual(expected);
    for (const { layout } of outcome.list) expect(verification(layout, brief).passes).toBe(true);
  });
});

it('a dearer last stretch is listed where it lies better: beneath an obstacle instead of around it', async () => {
  const brief = tinyBrief(
    { site: { width: 2, depth: 6, keepOut: [[0, 3, 1, 1], [1, 0, 1, 2]] }, exits: [{ edge: 'S', from: 0, to: 0, belt: 'belt', target: { rate: '3/16' } }] },
    { underpasses: { culvert: { speed: 4, span: 2, cost: 4 } } },
  );
  const outcome = await search(brief, ['cost', 'width'], 'all');
  expect([outcome.status, ...rows(outcome)]).toEqual(['complete', '9 2', '12 1']);
});

it('a dearer last stretch is listed where the cheapest has too many parts, though none are told', async () => {
  const brief = tinyBrief(
    { site: { width: 1, depth: 14 }, exits: [{ edge: 'S', from: 0, to: 0, belt: 'belt', target: { rate: '3/16' } }], limits: { parts: 6 } },
    { underpasses: { culvert: { speed: 4, span: 5, cost: 4 } } },
  );
  const outcome = await search(brief, ['cost'], 'all');
  expect([outcome.status, ...rows(outcome)]).toEqual(['complete', '19']);
  expect((await designFor(brief, solver, 30)).proof.cost).toBe(19);
});

/** The cheapest of the list that keeps to a limit on its second objective. */
const cheapestWithin = (list: readonly Tradeoff[], limit: Rational): number | undefined => list.filter(({ values }) => values[1].compare(limit) <= 0).map(costOf).at(0);

describe('a list says what designs with limits say', () => {
  it.each([
    ['test/cases/headline-060.json', 'arms', 5],
    ['test/cases/tiny-4x5-060.json', 'imbalance', 6],
    ['test/cases/tiny-5x6-100.json', 'imbalance', 1],
    ['test/cases/suite-16-one-belt-097-east-6x8.json', 'imbalance', 2],
    ['models/briefs/grain-085.json', 'parts', 8],
    ['test/cases/suite-35-two-belts-030-6x8.json', 'arms', 2],
  ] as const)('%s: %s', async (path, objective, above) => {
    const brief: Brief = { ...briefOf(path), starts: 4, minimise: ['cost'] };
    const free = await designFor(brief, solver);
    expect(free.status).toBe('optimal');
    const upTo = (free.proof.cost ?? 0) + above;
    const { status, list } = await search(brief, ['cost', objective], { upTo });
    expect(status).toBe('complete');
    expect(costOf(list[0])).toBe(free.proof.cost);
    for (const [index, { values }] of list.entries()) {
      const [, limit] = values;
      const asked = async (limits: Limits): Promise<number | undefined> => {
        const outcome = await designFor({ ...brief, limits: { ...limits, cost: upTo } }, solver);
        expect(['optimal', 'infeasible']).toContain(outcome.status);
        return outcome.proof.cost;
      };
      const at = objective === 'imbalance' ? limit : Number(limit.n);
      expect(await asked({ ...brief.limits, [objective]: at })).toBe(cheapestWithin(list, limit));
      // Nothing lies between: a little less than that takes what the next of the list costs, or more than was asked about.
      const less = objective === 'imbalance' ? limit.mul(ratio(999_999, 1_000_000)) : Number(limit.n) - 1;
      if (limit.n > 0n) expect(await asked({ ...brief.limits, [objective]: less })).toBe(list.at(index + 1)?.values[0].valueOf());
    }
  });
});

describe('a search for trade-offs', () => {
  it('tells of each layout when it is found, and holds to what is complete when it is stopped', async () => {
    const brief = { ...briefOf('models/briefs/grain-085.json'), starts: 4 };
    const told: Tradeoff[] = [];
    const outcome = await search(brief, ['cost', 'footprint', 'parts'], { within: ratio(1, 4) }, { shouldStop: () => told.length >= 3, onFound: (found) => told.push(found) });
    expect(outcome.status).toBe('partial');
    expect(outcome.stoppedBy).toBe('interrupt');
    expect(outcome.list.length).toBeGreaterThanOrEqual(1);
    expect(outcome.completeTo).toBeLessThanOrEqual(costOf(told[told.length - 1]));
    expect(outcome.askedTo).toBe(97);
  });

  it('says infeasible of a brief without layouts, and all where every price is settled', async () => {
    const brief = { ...briefOf('test/cases/tiny-4x5-060.json'), starts: 1 };
    const none = await search({ ...brief, limits: { ...brief.limits, cost: 30 } }, ['cost', 'parts'], 'all');
    expect([none.status, none.completeTo, none.list.length]).toEqual(['infeasible', 'all', 0]);
    const some = await search({ ...brief, limits: { ...brief.limits, cost: 44 } }, ['cost', 'parts'], 'all');
    expect([some.status, some.completeTo]).toEqual(['complete', 'all']);
    const low = await search(brief, ['cost', 'parts'], { upTo: 44 });
    expect([low.status, low.completeTo, rows(low)]).toEqual(['complete', 44, rows(some)]);
  });
});
