/**
 * Answers that depend on more than flows: where wagons may stop, limits on what is not
 * minimised. Each brief's optimum is counted by hand.
 */
import { expect, it } from 'vitest';
import { layoutCost, partCount } from '../../src/layout/layout.js';
import { verifierOf } from '../../src/pipeline.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { design } from '../../src/synthesis/design.js';
import { readBrief } from '../oracles/random-briefs.js';

async function optimum(changes: Record<string, unknown>): Promise<readonly [number, number] | string> {
  const brief = readBrief({
    format: 'transloom-brief/1',
    name: 'whole answers',
    catalog: {
      format: 'transloom-catalog/1',
      name: 'whole answers',
      ticksPerSecond: 50,
      unitsPerTile: 64,
      pitch: 16,
      turn: { inner: 64, outer: 64 },
      belts: { belt: { speed: 4, cost: 1 } },
      splitters: {},
      underpasses: { underpass: { speed: 4, span: 5, cost: 6 } },
      arms: { arm: { reach: 1, payload: 3, swing: 3, grab: 1, release: 1, cost: 1 } },
      chests: {},
      wagons: { wagon: { length: 3, capacity: 2000 } },
    },
    site: { width: 3, depth: 8 },
    wagons: [{ model: 'wagon', at: 0 }],
    exits: [{ edge: 'S', from: 0, to: 2, belt: 'belt', target: { left: { fill: '1/4' } } }],
    feed: 'direct',
    starts: 2,
    ...changes,
  } as never);
  if (brief === undefined) throw new Error('no brief');
  const outcome = await design(brief, {
    solver: await loadGlpkSolver(),
    now: () => performance.now(),
    shouldStop: () => false,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
    verify: verifierOf({ starts: brief.starts, seed: 1, tickLimit: 60_000 }),
  });
  return outcome.status === 'optimal' ? [layoutCost(outcome.layout), partCount(outcome.layout)] : outcome.status;
}

it('tells arms that meet a wagon wherever it stops from those that do not', async () => {
  expect(await optimum({ site: { width: 3, depth: 3 }, spotting: 1 })).toEqual([4, 4]);
});

it('takes a last stretch of more parts where cost is limited', async () => {
  expect(await optimum({ limits: { cost: 9 }, minimise: ['parts', 'cost'] })).toEqual([9, 9]);
});
