/**
 * Both sides of one wagon, as shipped: a plan and briefs whose layouts on the two sides lie a tile apart, each with a
 * nearly full belt, and belts that leave together. Common practice, no source: two layouts, offset by a tile, take nearly
 * two full belts from one wagon.
 */
import { describe, expect, it } from 'vitest';
import type { Tile } from '../../src/base/geometry.js';
import { isLess, ratio } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { pickTile, tilesOf, wagonAt, type Layout, type Part } from '../../src/layout/layout.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { designStation, tryPlan } from '../../src/pipeline.js';
import { parsePromise } from '../../src/ranking/parse-promise.js';
import { checkSpotting, trySpotting } from '../../src/tasks/trial-spotting.js';
import { briefOf, gist, planOf, sound } from '../documents.js';

const PATH = 'models/plans/grain-both-sides.json';
const shipped = (): Layout => planOf(PATH);
const isNorth = (part: Part): boolean => tilesOf(part)[0].y < -2;
const armColumns = ({ parts }: Layout, north: boolean): readonly number[] =>
  parts.flatMap((part) => (part.kind === 'arm' && isNorth(part) === north ? [part.at.x] : []));

const fills = (layout: Layout): readonly string[] => tryPlan(layout, undefined, { starts: 16 }).trial.exits.map(({ fill }) => fill.toFraction());

describe('two belts from both sides of one wagon', () => {
  it('are nearly full from every start, and the layouts lie a tile apart', () => {
    const layout = shipped();
    const { trial } = tryPlan(layout, undefined, { starts: 16 });
    expect(trial.exact).toBe(true);
    expect(trial.exits).toHaveLength(2);
    for (const { left, right } of trial.exits) for (const { fill } of [left, right]) expect(isLess(fill, ratio(96, 100))).toBe(false);
    const [north, south] = layout.exits;
    expect([north.heading, south.heading, north.at.x - south.at.x]).toEqual(['N', 'S', 1]);
    for (const side of [true, false]) expect(armColumns(layout, side)).toHaveLength(3);
  });

  it('give what either gives alone, offset or not: neither takes room at the wagon from the other', () => {
    const layout = shipped();
    const [north, south] = fills(layout);
    const alone = (side: boolean): Layout => ({
      ...layout,
      parts: layout.parts.filter((part) => isNorth(part) === side),
      exits: layout.exits.filter(({ at }) => at.y < -2 === side),
    });
    expect(fills(alone(true))).toEqual([north]);
    expect(fills(alone(false))).toEqual([south]);
    const east = ({ x, y }: Tile): Tile => ({ x: x + 1, y });
    const moved = (part: Part): Part => (part.kind === 'underpass' ? { ...part, from: east(part.from), to: east(part.to) } : { ...part, at: east(part.at) });
    const level: Layout = {
      ...layout,
      parts: [...alone(true).parts, ...alone(false).parts.map(moved)],
      exits: [...alone(true).exits, ...alone(false).exits.map((exit) => ({ ...exit, at: east(exit.at) }))],
    };
    expect(level.exits[0].at.x).toBe(level.exits[1].at.x);
    expect(checkLegality(level)).toEqual([]);
    expect(fills(level)).toEqual([north, south]);
  });
});

describe('design with both sides of one wagon', () => {
  const designed = async (brief: Brief): Promise<{ readonly status: string; readonly plan: unknown; readonly layout: Layout }> => {
    const { outcome, plan } = await designStation(brief, { now: () => 0 });
    return { status: outcome.status, plan, layout: sound(parsePlan(plan, brief.catalog)) };
  };
  const small = (changes: object): Brief => briefOf('models/briefs/grain-both-sides.json', { starts: 2, ...changes });
  const exit = (edge: string, from: number, to: number, fill: string): object => ({ edge, from, to, belt: 'field belt', target: { fill } });

  it('leads both belts out over one side, one beneath the track', async () => {
    const { status, layout } = await designed(briefOf('models/briefs/grain-both-sides-south.json'));
    expect(status).toBe('optimal');
    expect(layout.exits.map(({ heading }) => heading)).toEqual(['S', 'S']);
    expect(layout.parts.some((part) => part.kind === 'underpass' && part.from.y < -2 && part.to.y >= 0)).toBe(true);
    expect(armColumns(layout, true).length).toBeGreaterThan(0);
  });

  it('leads both belts out beyond the end of the track', async () => {
    const { status, layout } = await designed(small({ site: { width: 5, depth: 2, north: 2, track: { to: 3 } }, exits: [exit('E', -2, -2, '0.3'), exit('E', -1, -1, '0.3')] }));
    expect(status).toBe('optimal');
    expect(layout.exits.map(({ at, heading }) => [at.x, at.y, heading])).toEqual([[4, -2, 'E'], [4, -1, 'E']]);
  });

  it('keeps its promise wherever the wagon may stop', async () => {
    const { layout, plan } = await designed(small({ site: { width: 5, depth: 2, north: 2 }, wagons: [{ model: 'short grain wagon', at: 0 }], exits: [exit('N', 0, 4, '0.4'), exit('S', 0, 4, '0.4')], spotting: 1 }));
    const promise = sound(parsePromise(plan));
    for (const part of layout.parts) if (part.kind === 'arm') expect([1, 2]).toContain(pickTile(part).x);
    for (const { breaches, missing } of trySpotting(tryPlan(layout, promise), promise, 1).places) expect([breaches, missing]).toEqual([[], []]);
    // A tile further some arm misses it, on one side or the other.
    expect(trySpotting(tryPlan(layout, promise), promise, 2).places.some(({ missing }) => missing.length > 0)).toBe(true);
  });

  it('finds its way on the largest sites, whose tiles are more than a short number counts', async () => {
    const site = { width: 170, depth: 3, north: 200 };
    const { status, layout } = await designed(small({ site, wagons: [{ model: 'short grain wagon', at: 160 }], exits: [exit('S', 160, 164, '0.3')] }));
    expect(status).toBe('optimal');
    expect(layout.parts.every((part) => tilesOf(part).every(({ x, y }) => x >= 160 && x <= 164 && y >= 0))).toBe(true);
    expect(layout.parts.some((part) => part.kind === 'arm' && wagonAt(layout.wagons, pickTile(part)) === 0)).toBe(true);
  });
});

describe('design that fills a wagon', () => {
  const onSides = ({ parts }: Layout): readonly boolean[] => [true, false].map((north) => parts.some((part) => part.kind === 'arm' && isNorth(part) === north));
  const designed = async (changes: object): Promise<Layout> => {
    const { outcome, plan } = await designStation(briefOf('models/briefs/grain-load-both-sides.json', { starts: 2, ...changes }), { now: () => 0 });
    if (outcome.status !== 'optimal') throw new Error(outcome.status);
    const promise = sound(parsePromise(plan));
    expect(tryPlan(outcome.layout, promise).breaches).toEqual([]);
    return outcome.layout;
  };

  it('does so from both sides, where either has room for half of it', async () => {
    expect(onSides(await designed({}))).toEqual([true, true]);
  });

  it('does so by a chest beyond the end of the track', async () => {
    const entries = [{ edge: 'N', from: 0, to: 1, belt: 'field belt', target: { fill: '1/2' } }];
    const layout = await designed({ site: { width: 6, depth: 1, north: 1, track: { from: 2 } }, wagons: [{ model: 'short grain wagon', at: 2 }], entries, feed: 'chests' });
    expect(layout.parts.flatMap((part) => (part.kind === 'chest' ? [part.at.x, part.at.y] : []))).toEqual([0, -1]);
  });
});

describe('a track that ends', () => {
  it('gives wagons room to stop short or far only as far as it reaches', () => {
    const layout = { ...shipped(), site: { ...shipped().site, track: { to: 6 } } };
    expect(checkSpotting(layout, 1).ok).toBe(true);
    const further = checkSpotting(layout, 2);
    expect(gist(further.ok ? [] : further.findings)).toEqual(['wagon-spotted-off-track /wagons/0']);
  });
});
