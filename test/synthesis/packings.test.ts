/**
 * Stations out of a library, put together: heads end before the last stretch, packings are legal, pass, and cost what is
 * plain to see; chests are shared where they have enough.
 */
import { describe, expect, it } from 'vitest';
import type { Brief } from '../../src/brief/brief.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { layoutCost, type Layout, type Part } from '../../src/layout/layout.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { design } from '../../src/synthesis/design.js';
import { firstLayouts } from '../../src/synthesis/first-layouts/first-layouts.js';
import { headKey, headOf, mirrored, shiftedHead } from '../../src/synthesis/first-layouts/station-heads.js';
import { witnessOf } from '../oracles/compare-designs.js';
import { tinyBrief } from './tiny-briefs.js';

const south = (from: number, to: number, rate = '1/8'): object => ({ edge: 'S', from, to, belt: 'belt', target: { rate } });

/** Two wagons with nine tiles between their ends, on thirteen columns. */
const twoWagons = (exits: readonly object[], rest: object = {}): Brief =>
  tinyBrief({ site: { width: 13, depth: 5 }, wagons: [{ model: 'wagon', at: 0 }, { model: 'wagon', at: 9 }], feed: 'chests', exits, ...rest });

/** A chest under the second column, an arm to its east, and a belt from there over the south edge. */
function station({ name, catalog, site, wagons }: Brief): Layout {
  const [arm, chest, belt] = [catalog.arms[0], catalog.chests[0], catalog.belts[0]];
  const parts: readonly Part[] = [
    { kind: 'arm', at: { x: 1, y: 0 }, heading: 'S', model: arm },
    { kind: 'chest', at: { x: 1, y: 1 }, model: chest },
    { kind: 'arm', at: { x: 2, y: 1 }, heading: 'E', model: arm },
    ...Array.from({ length: site.depth - 1 }, (_, row): Part => ({ kind: 'belt', at: { x: 3, y: row + 1 }, heading: 'S', model: belt })),
  ];
  return { name, catalog, site, wagons, parts, exits: [{ at: { x: 3, y: site.depth - 1 }, heading: 'S', take: undefined }] };
}

/** What is put together of that one station, and of nothing else. */
async function packedOf(brief: Brief, passes = (layout: Layout, asked: Brief): boolean => witnessOf(layout, asked).verdict === 'passes'): Promise<readonly Layout[]> {
  const found: Layout[] = [];
  const tools = {
    nearbyCrews: () => () => Promise.resolve('none' as const),
    designAlone: () => () => Promise.resolve('none' as const),
    gatherAlone: (asked: Brief) => () => Promise.resolve({ layouts: [station(asked)], isWhole: true }),
    passes,
  };
  for await (const layout of firstLayouts(brief, tools)) if (layout !== undefined) found.push(layout);
  for (const layout of found) {
    expect(checkLegality(layout).filter(({ severity }) => severity === 'error')).toEqual([]);
    expect(witnessOf(layout, brief).verdict).toBe('passes');
  }
  return found;
}

describe('a head', () => {
  const brief = twoWagons([south(0, 12)]);

  it('ends where its last arm places, whatever way leads on', () => {
    const head = headOf(station(brief));
    expect(head?.front).toEqual({ x: 2, y: 2 });
    expect(head?.others.map(({ kind }) => kind)).toEqual(['arm', 'belt']);
    expect(head?.stores).toHaveLength(1);
    const shallow = { ...brief, site: { ...brief.site, depth: 3 } };
    expect(headOf(station(shallow))).toEqual(head);
  });

  it('is the mirror image of its mirror image', () => {
    const head = headOf(station(brief));
    if (head === undefined) throw new Error('no head');
    expect(headKey(mirrored(mirrored(head)))).toBe(headKey(head));
    expect(headKey(mirrored(head))).not.toBe(headKey(head));
    expect(shiftedHead(shiftedHead(head, 3), -3)).toEqual(head);
  });
});

describe('packings', () => {
  const ALONE = 9;

  it('cost twice the single station where wagons are far apart, and last stretches go straight', async () => {
    const prices = (await packedOf(twoWagons([south(0, 4), south(8, 12)]))).map(layoutCost);
    expect(prices.at(-1)).toBe(2 * ALONE);
  });

  it('count a chest once that two share, if it has enough for both', async () => {
    const exits = [south(0, 12), south(0, 12)];
    const shared = (await packedOf(twoWagons(exits))).at(-1);
    expect(shared?.parts.filter(({ kind }) => kind === 'chest')).toHaveLength(1);
    expect(shared === undefined ? undefined : layoutCost(shared)).toBe(2 * ALONE - 3);
    const apart = (await packedOf(twoWagons(exits, { presence: '1/2' }))).at(-1);
    expect(apart === undefined ? undefined : layoutCost(apart)).toBe(2 * ALONE);
  });

  it('keep off what is kept out, and out of each other\'s way', async () => {
    const exits = [south(0, 12), south(0, 12), south(0, 12), south(0, 12)];
    const free = await packedOf(twoWagons(exits));
    expect(free.length).toBeGreaterThan(0);
    const kept = [0, 1, 9, 4];
    expect(await packedOf(twoWagons(exits, { site: { width: 13, depth: 5, keepOut: [kept] } }))).toEqual([]);
  });

  it('are none where no station passes as a mirror image or with others', async () => {
    for (const layout of await packedOf(twoWagons([south(0, 4), south(8, 12)]), () => false)) expect(layoutCost(layout)).toBe(2 * ALONE);
  });

  it('are not dearer than twice the single station once a whole design has ended', async () => {
    const solver = await loadGlpkSolver();
    const found: number[] = [];
    let time = 0;
    const outcome = await design(twoWagons([south(0, 4), south(8, 12)]), {
      solver,
      now: () => (time += 5),
      shouldStop: () => time > 60_000,
      breathe: () => Promise.resolve(),
      onProgress: () => undefined,
      onStep: (step) => {
        if (step.kind === 'found') found.push(layoutCost(step.layout));
      },
      verify: witnessOf,
    });
    expect(outcome.status).toBe('optimal');
    expect(found.at(-1)).toBeLessThanOrEqual(2 * ALONE);
  });
});
