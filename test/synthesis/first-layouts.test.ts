/**
 * Layouts that are put together by the way: legal, verified, within every limit of the brief; and the answer is the
 * same whether the clock lets a run look for them or not.
 */
import { describe, expect, it } from 'vitest';
import type { Brief } from '../../src/brief/brief.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { layoutCost, partCount, type Layout, type Part } from '../../src/layout/layout.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import type { AloneAnswer } from '../../src/synthesis/first-layouts/design-alone.js';
import { design } from '../../src/synthesis/design.js';
import { firstLayouts } from '../../src/synthesis/first-layouts/first-layouts.js';
import type { FirstLayoutTools } from '../../src/synthesis/first-layouts/piece-table.js';
import type { DesignOutcome } from '../../src/synthesis/outcome.js';
import { briefOf } from '../documents.js';
import { witnessOf } from '../oracles/compare-designs.js';
import { tinyBrief } from './tiny-briefs.js';

const over = (edge: string, from: number, to: number, rate: string): object => ({ edge, from, to, belt: 'belt', target: { rate } });
const DIVIDED = { site: { width: 3, depth: 3 }, exits: [over('W', 0, 2, '3/32'), over('E', 0, 2, '3/32')] };

interface Run {
  readonly outcome: DesignOutcome;
  readonly found: readonly Layout[];
}

/** A clock that moves on by so many milliseconds whenever it is read, and stops the run at `until`. */
async function designBy(brief: Brief, millisecondsARead: number, until = Infinity): Promise<Run> {
  const found: Layout[] = [];
  let time = 0;
  const outcome = await design(brief, {
    solver: await loadGlpkSolver(),
    now: () => (time += millisecondsARead),
    shouldStop: () => time > until,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
    onStep: (step) => {
      if (step.kind === 'found') found.push(step.layout);
    },
    verify: witnessOf,
  });
  return { outcome, found };
}

/** Up to the first layout, or so many reads of the clock, so that no machine is too slow. */
async function designUntilFound(brief: Brief, reads: number): Promise<Pick<Run, 'found'>> {
  const found: Layout[] = [];
  let time = 0;
  await design(brief, {
    solver: await loadGlpkSolver(),
    now: () => (time += 1),
    shouldStop: () => found.length > 0 || time > reads,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
    onStep: (step) => {
      if (step.kind === 'found') found.push(step.layout);
    },
    verify: witnessOf,
  });
  return { found };
}

const armsOf = ({ parts }: Layout): number => parts.filter(({ kind }) => kind === 'arm').length;

function expectWithin(brief: Brief, layout: Layout): void {
  const { limits } = brief;
  expect(checkLegality(layout).filter(({ severity }) => severity === 'error')).toEqual([]);
  expect(witnessOf(layout, brief).verdict).toBe('passes');
  expect(armsOf(layout)).toBeLessThanOrEqual(limits.arms ?? Infinity);
  expect(partCount(layout)).toBeLessThanOrEqual(limits.parts ?? Infinity);
  expect(layoutCost(layout)).toBeLessThanOrEqual(limits.cost ?? Infinity);
}

/** Alone, a chest with one arm into it and one out of it, on to a belt south; where chests are given, an arm east of the first instead. */
const cannedDesign =
  (asked: Brief, given: readonly Part[]): (() => Promise<AloneAnswer>) =>
  () => {
    const { catalog, site, exits, wagons, name } = asked;
    const [arm, chest, belt] = [catalog.arms[0], catalog.chests[0], catalog.belts[0]];
    const south = (x: number, from: number): readonly Part[] => Array.from({ length: site.depth - from }, (_, row): Part => ({ kind: 'belt', at: { x, y: from + row }, heading: 'S', model: belt }));
    const taken = (x: number): boolean => site.keepOut.some((box) => x >= box.x && x < box.x + box.width);
    const own = Array.from({ length: site.width }, (_, x) => x).find((x) => !taken(x) && wagons.some(({ at, model }) => x >= at && x < at + model.length));
    const shared = given.find((part) => part.kind === 'chest')?.at;
    const at = shared === undefined ? own : shared.x + 2;
    if (at === undefined || at >= site.width || exits.length !== 1) return Promise.resolve('none');
    const ownParts: readonly Part[] = [
      { kind: 'arm', at: { x: at, y: 0 }, heading: 'S', model: arm },
      { kind: 'chest', at: { x: at, y: 1 }, model: chest },
      { kind: 'arm', at: { x: at, y: 2 }, heading: 'S', model: arm },
      ...south(at, 3),
    ];
    const parts = shared === undefined ? ownParts : [{ kind: 'arm' as const, at: { x: at - 1, y: shared.y }, heading: 'E' as const, model: arm }, ...south(at, shared.y)];
    return Promise.resolve({ name, catalog, site, wagons, parts, exits: [{ at: { x: at, y: site.depth - 1 }, heading: 'S', take: undefined }] });
  };

describe('chests that exits share', () => {
  const brief = (presence: string): Brief =>
    tinyBrief({ site: { width: 7, depth: 5 }, wagons: [{ model: 'wagon', at: 1 }], exits: [over('S', 0, 6, '1/8'), over('S', 0, 6, '1/8')], feed: 'chests', presence });
  const chestsOf = ({ parts }: Layout): number => parts.filter(({ kind }) => kind === 'chest').length;

  async function layoutsOf(asked: Brief, passes = (layout: Layout): boolean => witnessOf(layout, asked).verdict === 'passes'): Promise<readonly Layout[]> {
    const found: Layout[] = [];
    for await (const layout of firstLayouts(asked, { designAlone: cannedDesign, nearbyCrews: () => () => Promise.resolve('none'), gatherAlone: () => () => Promise.resolve({ layouts: [], isWhole: true }), passes })) if (layout !== undefined) found.push(layout);
    return found;
  }

  it('save one with the arm that fills it, where it has enough for both', async () => {
    const found = await layoutsOf(brief('1'));
    expect(found.map(chestsOf)).toEqual([2, 1]);
    for (const layout of found) expectWithin(brief('1'), layout);
    expect(layoutCost(found[1])).toBeLessThan(layoutCost(found[0]));
  });

  it('are not shared where it has not, or the simulator says so', async () => {
    const found = await layoutsOf(brief('1/2'));
    expect(found.map(chestsOf)).toEqual([2]);
    expectWithin(brief('1/2'), found[0]);
    expect((await layoutsOf(brief('1'), () => false)).map(chestsOf)).toEqual([2]);
  });
});

describe('crews near those of exits', () => {
  /** How many designs of one exit come before crews nearby are first looked for, and how many in all. */
  async function designsBefore(exits: readonly object[]): Promise<readonly [number, number]> {
    const brief = tinyBrief({ site: { width: 16, depth: 5 }, wagons: [{ model: 'wagon', at: 0 }, { model: 'wagon', at: 6 }, { model: 'wagon', at: 12 }], exits, feed: 'chests' });
    let designs = 0;
    let before: number | undefined;
    const tools: FirstLayoutTools = {
      designAlone: (asked, given) => () => {
        designs++;
        return cannedDesign(asked, given)();
      },
      nearbyCrews: () => () => {
        before ??= designs;
        return Promise.resolve('none');
      },
      gatherAlone: () => () => Promise.resolve({ layouts: [], isWhole: true }),
      passes: (layout, asked) => witnessOf(layout, asked).verdict === 'passes',
    };
    let found = 0;
    for await (const layout of firstLayouts(brief, tools)) if (layout !== undefined) found++;
    expect(found).toBeGreaterThan(0);
    return [before ?? Infinity, designs];
  }

  it('are looked for while exits are designed again, however many have room to spare', async () => {
    for (const many of [2, 3, 4]) {
      const [before, all] = await designsBefore(Array.from({ length: many }, () => over('S', 0, 15, '1/8')));
      expect(before).toBeLessThan(all);
    }
  });

  it('are looked for last where many belts are nearly full', async () => {
    const [before, all] = await designsBefore(Array.from({ length: 4 }, () => over('S', 0, 15, '3/8')));
    expect(before).toBe(all);
  });
});

describe('layouts put together by the way', () => {
  it.each([
    ['arms', { arms: 1 }, 10],
    ['parts', { parts: 4 }, 6],
    ['nothing', {}, 6],
  ])('keep to limits of %s', async (_, limits, cost) => {
    const brief = tinyBrief({ ...DIVIDED, limits });
    const { outcome, found } = await designBy(brief, 20);
    for (const layout of found) expectWithin(brief, layout);
    if (outcome.status !== 'optimal') throw new Error(outcome.status);
    expect(layoutCost(outcome.layout)).toBe(cost);
  });

  it.each([
    ['two belts of three tenths', briefOf('test/cases/suite-35-two-belts-030-6x8.json')],
    ['one arm to two edges', tinyBrief({ ...DIVIDED, limits: { arms: 1 } })],
  ])('change no answer: %s', async (_, brief) => {
    const without = await designBy(brief, 0);
    const by = await designBy(brief, 20);
    if (without.outcome.status !== 'optimal' || by.outcome.status !== 'optimal') throw new Error('not proven');
    expect(by.outcome.layout).toEqual(without.outcome.layout);
  });

  it('soon find some layout where carriers come at several speeds and arms in several models', async () => {
    const brief = briefOf('test/cases/suite-34-one-belt-060-three-tiers-8x9.json');
    const { found } = await designUntilFound(brief, 20_000);
    expect(found).toHaveLength(1);
    expect(found[0].catalog).toBe(brief.catalog);
    expectWithin(brief, found[0]);
  });

  it('are found where three nearly full belts have one wagon of six tiles', async () => {
    const brief = briefOf('test/cases/suite-55-three-belts-085-12x10.json');
    const { found } = await designUntilFound(brief, 20_000);
    expect(found).toHaveLength(1);
    expectWithin(brief, found[0]);
  });

  it('with less to choose from change no answer', async () => {
    const tiers = { belts: { belt: { speed: 4, cost: 1 }, fast: { speed: 8, cost: 2 } } };
    const brief = tinyBrief({ site: { width: 3, depth: 3 }, exits: [over('S', 0, 2, '3/16')] }, tiers);
    const without = await designBy(brief, 0);
    const by = await designBy(brief, 20);
    if (without.outcome.status !== 'optimal' || by.outcome.status !== 'optimal') throw new Error('not proven');
    expect(by.outcome.layout).toEqual(without.outcome.layout);
    for (const layout of by.found) expectWithin(brief, layout);
  });
});
