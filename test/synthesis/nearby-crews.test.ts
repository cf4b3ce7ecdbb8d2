/**
 * Crews near one that is known to work: what is found passes, costs less than what it began with and no less than the
 * proven optimum; and layouts fall apart into what serves each exit.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import type { Brief } from '../../src/brief/brief.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { layoutCost, type Layout, type Part } from '../../src/layout/layout.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { design } from '../../src/synthesis/design.js';
import { NearbyCrews, staffingOf } from '../../src/synthesis/first-layouts/nearby-crews.js';
import { networksOfLayout } from '../../src/synthesis/first-layouts/networks-of-layout.js';
import { siteMap } from '../../src/synthesis/site/site-map.js';
import { witnessOf } from '../oracles/compare-designs.js';
import { tinyBrief } from './tiny-briefs.js';

const exit = (rate: string): object => ({ edge: 'S', from: 0, to: 6, belt: 'belt', target: { rate } });
const site = { width: 7, depth: 5 };
const wagons = [{ model: 'wagon', at: 1 }];

/** Chests under these columns, each with an arm to its east and a belt from there over the south edge. */
function stations({ name, catalog, wagons: standing, site: ground }: Brief, columns: readonly number[]): Layout {
  const [arm, chest, belt] = [catalog.arms[0], catalog.chests[0], catalog.belts[0]];
  const parts = columns.flatMap((x): readonly Part[] => [
    { kind: 'arm', at: { x, y: 0 }, heading: 'S', model: arm },
    { kind: 'chest', at: { x, y: 1 }, model: chest },
    { kind: 'arm', at: { x: x + 1, y: 1 }, heading: 'E', model: arm },
    ...Array.from({ length: ground.depth - 1 }, (_, row): Part => ({ kind: 'belt', at: { x: x + 2, y: row + 1 }, heading: 'S', model: belt })),
  ]);
  return { name, catalog, site: ground, wagons: standing, parts, exits: columns.map((x) => ({ at: { x: x + 2, y: ground.depth - 1 }, heading: 'S', take: undefined })) };
}

/** Prices of what is found, each by its own simulation. */
function pricesNear(brief: Brief, layout: Layout, seed: number): readonly number[] {
  const crews = new NearbyCrews(brief, [], layout, layoutCost(layout), witnessOf, () => false, seededRandom(seed));
  const prices: number[] = [];
  while (!crews.isDone) {
    const found = crews.next();
    if (found === undefined) continue;
    expect(checkLegality(found).filter(({ severity }) => severity === 'error')).toEqual([]);
    expect(witnessOf(found, brief).verdict).toBe('passes');
    prices.push(layoutCost(found));
  }
  return prices;
}

describe('crews near one that works', () => {
  const brief = tinyBrief({ site, wagons, exits: [exit('1/8'), exit('1/8')], feed: 'chests' });
  const start = stations(brief, [1, 4]);

  it('are known from a layout', () => {
    const { crew, splitters, fixed } = staffingOf(siteMap(brief), start);
    expect(crew.chests).toHaveLength(2);
    expect(crew.arms.map(({ role, chest }) => `${role} ${chest}`)).toEqual(['fill 0', 'fill 1', 'load 0', 'load 1']);
    const belts = start.parts.filter(({ kind }) => kind === 'belt').length;
    expect([splitters.every((count) => count === 0), fixed + belts]).toEqual([true, layoutCost(start)]);
  });

  it('lead to layouts that pass, each cheaper, and to the proven optimum', async () => {
    expect(witnessOf(start, brief).verdict).toBe('passes');
    const proven = await design(brief, {
      verify: witnessOf,
      solver: await loadGlpkSolver(),
      now: () => 0,
      shouldStop: () => false,
      breathe: () => Promise.resolve(),
      onProgress: () => undefined,
    });
    if (proven.status !== 'optimal') throw new Error(proven.status);
    for (const seed of [1, 2, 3]) {
      const prices = pricesNear(brief, start, seed);
      expect(prices).toEqual([...new Set(prices)].sort((a, b) => b - a));
      expect(prices[0]).toBeLessThan(layoutCost(start));
      expect(prices.at(-1)).toBe(layoutCost(proven.layout));
    }
  });

  it('keep to what may stand nowhere, and are none where nothing passes', () => {
    const kept = tinyBrief({ site: { ...site, keepOut: [[0, 2, 1, 3]] }, wagons, exits: [exit('1/8'), exit('1/8')], feed: 'chests' });
    expect(pricesNear(kept, stations(kept, [1, 4]), 1).length).toBeGreaterThan(0);
    const crews = new NearbyCrews(brief, [], start, layoutCost(start), () => ({ verdict: 'fails' }), () => false, seededRandom(1));
    for (let n = 0; n < 300; n++) expect(crews.next()).toBeUndefined();
  });
});

describe('networks of a layout', () => {
  it('are those of its exits, chests apart', () => {
    const brief = tinyBrief({ site, wagons, exits: [exit('1/8'), exit('1/8')], feed: 'chests' });
    const { networks, stores } = networksOfLayout(stations(brief, [1, 4]));
    expect(stores).toHaveLength(2);
    expect(networks.map(({ exits }) => exits)).toEqual([[0], [1]]);
    for (const { parts } of networks) expect(parts.map(({ kind }) => kind).sort()).toEqual(['arm', 'belt', 'belt', 'belt', 'belt']);
  });
});
