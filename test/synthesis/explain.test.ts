/**
 * Infeasible briefs, each made so that one thing binds: the reason must name it, and every change that is
 * said to help must help. The expected least values were checked against runs of the design loop itself.
 */
import { describe, expect, it } from 'vitest';
import { designStation, parseBrief, parseCatalog } from '../../src/index.js';
import { ratio } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import type { IntegerSolver } from '../../src/program/solver.js';
import { candidates } from '../../src/synthesis/site/candidates.js';
import { leastPrice, mostCapacity } from '../../src/synthesis/bills/capacity.js';
import { changed } from '../../src/synthesis/change.js';
import { design } from '../../src/synthesis/design.js';
import type { DesignTools } from '../../src/synthesis/design-tools.js';
import { explain } from '../../src/synthesis/explain.js';
import { siteMap } from '../../src/synthesis/site/site-map.js';
import type { Change, InfeasibleReason, Remedy } from '../../src/synthesis/outcome.js';
import { remedyText } from '../../src/report/reason-text.js';
import { readCatalog, readJson } from '../documents.js';

const CATALOG = 'test/cases/headline-catalog.json';

interface Wish {
  readonly size: readonly [width: number, depth: number];
  readonly fill?: string;
  readonly range?: readonly [from: number, to: number];
  readonly keepOut?: readonly (readonly number[])[];
  readonly wagonLength?: number;
  readonly rest?: object;
}

function briefOf({ size: [width, depth], fill = '0.6', range = [0, width - 1], keepOut = [], wagonLength = 6, rest = {} }: Wish): Brief {
  const json = readJson(CATALOG) as { readonly wagons: { readonly wagon: object } };
  const catalog = parseCatalog({ ...json, wagons: { wagon: { ...json.wagons.wagon, length: wagonLength } } });
  if (!catalog.ok) throw new Error(JSON.stringify(catalog.findings));
  const parsed = parseBrief(
    {
      format: 'transloom-brief/1',
      name: 'wish',
      catalog: CATALOG,
      site: { width, depth, keepOut },
      wagons: [{ model: 'wagon', at: 0 }],
      exits: [{ edge: 'S', from: range[0], to: range[1], belt: 'belt', target: { fill } }],
      feed: 'chests',
      starts: 4,
      minimise: ['cost', 'parts'],
      ...rest,
    },
    catalog.value,
  );
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.findings));
  return parsed.value;
}

const now = (): number => performance.now();

/** Tools of a run in which nothing works. */
const idle: DesignTools = {
  solver: { name: 'none', solve: () => ({ status: 'unknown', reason: { kind: 'fault', detail: 'it is none' } }) },
  verify: () => ({ verdict: 'fails' }),
  now,
  shouldStop: () => false,
  breathe: () => Promise.resolve(),
  onProgress: () => undefined,
};

async function reasonOf(brief: Brief): Promise<InfeasibleReason> {
  const { outcome } = await designStation(brief, { now, timeLimitSeconds: 20 });
  if (outcome.status !== 'infeasible') throw new Error(`the brief is ${outcome.status}`);
  return outcome.reason;
}

/** By kind of change; a remedy that changes several things counts under "together". */
const remedyOf = (reason: InfeasibleReason, kind: Change['kind'] | 'together', side?: string): Remedy | undefined =>
  reason.nearest.find(({ changes }) =>
    changes.length > 1 ? kind === 'together' : changes[0].kind === kind && (side === undefined || ('side' in changes[0] && changes[0].side === side)),
  );

async function expectAllHelp(brief: Brief, { nearest }: InfeasibleReason): Promise<void> {
  expect(nearest.length).toBeGreaterThan(0);
  for (const { changes, cost } of nearest) {
    const { outcome } = await designStation(changed(brief, changes), { now, timeLimitSeconds: 20 });
    expect({ changes, status: outcome.status }).toEqual({ changes, status: 'optimal' });
    expect(outcome.proof.cost).toBeLessThanOrEqual(cost);
  }
}

describe('a limit binds', () => {
  it.each([
    ['arms', 2, 3],
    ['cost', 38, 39],
    ['parts', 6, 7],
  ] as const)('%s: the least that works is found and proven', async (limit, allowed, needed) => {
    const brief = briefOf({ size: [3, 4], rest: { limits: { [limit]: allowed } } });
    const reason = await reasonOf(brief);
    expect(reason).toMatchObject({ kind: 'limit-too-low', limit, allowed, needed });
    expect(remedyOf(reason, 'limit')).toMatchObject({ changes: [{ limit, to: needed }], least: true });
    await expectAllHelp(brief, reason);
  });

  it('drain imbalance: what the cheapest station has is named', async () => {
    const brief = briefOf({ size: [3, 4], fill: '0.8', rest: { limits: { imbalance: '0' } } });
    const reason = await reasonOf(brief);
    expect(reason).toMatchObject({ kind: 'too-uneven', allowed: ratio(0) });
    expect(remedyOf(reason, 'imbalance')).toMatchObject({ least: false });
    await expectAllHelp(brief, reason);
  });

  it('dwell: what the cheapest station has is named', async () => {
    const brief = briefOf({ size: [3, 4], rest: { limits: { dwell: '1000' } } });
    const reason = await reasonOf(brief);
    expect(reason).toMatchObject({ kind: 'dwell-too-short', allowed: ratio(1000) });
    expect(remedyOf(reason, 'dwell')).toMatchObject({ least: false });
    await expectAllHelp(brief, reason);
  });

  it('trains an hour: what the cheapest station has is named', async () => {
    const brief = briefOf({ size: [3, 4], rest: { limits: { trainsPerHour: '44' } } });
    const reason = await reasonOf(brief);
    expect(reason).toMatchObject({ kind: 'too-few-trains', asked: ratio(44) });
    expect(remedyOf(reason, 'trainsPerHour')).toMatchObject({ least: false });
    await expectAllHelp(brief, reason);
  });

  it('several together: all are to be raised', async () => {
    const brief = briefOf({ size: [3, 4], rest: { limits: { arms: 1, parts: 6 } } });
    const reason = await reasonOf(brief);
    expect(reason).toMatchObject({ kind: 'limits-together', limits: ['arms', 'parts'] });
    expect(remedyOf(reason, 'together')?.changes).toHaveLength(2);
    await expectAllHelp(brief, reason);
  });
});

describe('a site of which only one greater size works, since belts to the edge are parts too', () => {
  it('is told that size, as the least', async () => {
    const brief = briefOf({ size: [1, 2], wagonLength: 1, fill: '1/20', rest: { limits: { parts: 4 } } });
    const reason = await reasonOf(brief);
    expect(remedyOf(reason, 'site', 'depth')).toMatchObject({ changes: [{ to: 4 }], least: true });
    const { outcome } = await designStation(changed(brief, [{ kind: 'site', side: 'depth', to: 5 }]), { now });
    expect(outcome.status).toBe('infeasible');
    await expectAllHelp(brief, reason);
  });

  it('is not ruled out by greater ones, nor are the changes complete while it is open', async () => {
    const proof = { bound: undefined, cost: undefined, gap: undefined, space: '', solver: undefined, rounds: 0, simulations: 0, seconds: 0 };
    const asked = new Set<number>();
    const { looked, nearest } = await explain(briefOf({ size: [3, 3] }), idle, 0.2, { kind: 'space-exhausted' }, ({ site }) => {
      asked.add(site.depth);
      return Promise.resolve(site.depth === 4 ? { status: 'unknown', stoppedBy: 'time-limit', proof } : { status: 'infeasible', reason: { kind: 'space-exhausted', nearest: [], looked: 'not' }, proof });
    });
    expect([looked, nearest]).toEqual(['partly', []]);
    expect([...asked].sort()).toEqual([3, 4, 5, 6]);
  });
});

describe('the wagons bind', () => {
  it('when they stand there too seldom', async () => {
    const brief = briefOf({ size: [2, 4], fill: '0.3', rest: { presence: '0.15' } });
    const reason = await reasonOf(brief);
    expect(reason.kind).toBe('supply-too-low');
    expect(remedyOf(reason, 'presence')).toBeDefined();
    await expectAllHelp(brief, reason);
  });

  it('when they are too short', async () => {
    const brief = briefOf({ size: [4, 4], wagonLength: 1, rest: { presence: '0.4' } });
    const reason = await reasonOf(brief);
    // One arm fills at 0.4 x 12 / 28 items per tick; the belt drains 0.6 of half an item.
    expect(reason).toMatchObject({ kind: 'supply-too-low', most: ratio(6, 35), target: ratio(3, 10) });
    expect(remedyOf(reason, 'wagon-length')).toBeDefined();
    await expectAllHelp(brief, reason);
  });

  it('when they may stop too far away', async () => {
    const brief = briefOf({ size: [2, 4], wagonLength: 1, fill: '0.3', rest: { spotting: 1 } });
    const reason = await reasonOf(brief);
    expect(reason).toMatchObject({ kind: 'spotting-too-far', way: 'out-of', spotting: 1, most: ratio(0) });
    expect(remedyOf(reason, 'spotting')).toMatchObject({ changes: [{ to: 0 }], least: true });
    await expectAllHelp(brief, reason);
  });

  it('when so few of their tiles stay in reach that arms take too little', async () => {
    const brief = briefOf({ size: [4, 4], wagonLength: 3, rest: { spotting: 1, presence: '0.4' } });
    const reason = await reasonOf(brief);
    // Of three tiles the middle one: one arm fills at 0.4 x 12 / 28 items per tick.
    expect(reason).toMatchObject({ kind: 'spotting-too-far', spotting: 1, most: ratio(6, 35), target: ratio(3, 10) });
    expect(remedyOf(reason, 'spotting')).toMatchObject({ changes: [{ to: 0 }], least: true });
    await expectAllHelp(brief, reason);
  });

  it('when all must go by way of chests', async () => {
    const brief = briefOf({ size: [4, 3] });
    const reason = await reasonOf(brief);
    expect(remedyOf(reason, 'feed')).toMatchObject({ changes: [{ to: 'either' }], cost: 23 });
    await expectAllHelp(brief, reason);
  });
});

describe('the site binds', () => {
  it('so that arms are too few: a lower target, a row, a column', async () => {
    const brief = briefOf({ size: [3, 3] });
    const reason = await reasonOf(brief);
    expect(reason).toMatchObject({ kind: 'arms-too-slow', most: ratio(12, 49), target: ratio(3, 10), looked: 'wholly' });
    expect(remedyOf(reason, 'target')).toMatchObject({ changes: [{ share: ratio(11, 20) }], least: true });
    expect(remedyOf(reason, 'site', 'depth')).toMatchObject({ changes: [{ to: 4 }], least: true, cost: 39 });
    expect(remedyOf(reason, 'site', 'width')).toMatchObject({ changes: [{ to: 5 }], least: true });
    await expectAllHelp(brief, reason);
  });

  it('so that part of the target can be had: the highest twentieth', async () => {
    const brief = briefOf({ size: [3, 5], fill: '1' });
    const reason = await reasonOf(brief);
    expect(reason).toMatchObject({ kind: 'target-too-high', reached: ratio(19, 20), tooMuch: ratio(1) });
    expect(remedyOf(reason, 'target')).toMatchObject({ least: true, cost: 66 });
    await expectAllHelp(brief, reason);
  });

  it('wholly: nothing fits', async () => {
    const brief = briefOf({ size: [2, 2] });
    const reason = await reasonOf(brief);
    expect(reason.kind).toBe('site-too-small');
    expect(remedyOf(reason, 'target')).toBeUndefined();
    expect(remedyOf(reason, 'site', 'depth')).toMatchObject({ changes: [{ to: 4 }], least: true });
    await expectAllHelp(brief, reason);
  });

  it('by an obstacle, which may go', async () => {
    const brief = briefOf({ size: [3, 4], keepOut: [[0, 3, 2, 1], [1, 1, 1, 1]] });
    const reason = await reasonOf(brief);
    expect(remedyOf(reason, 'keep-out')).toMatchObject({ changes: [{ box: { x: 0, y: 3, width: 2, height: 1 } }] });
    await expectAllHelp(brief, reason);
  });

  it('by the range of an exit, which may be wider', async () => {
    const brief = briefOf({ size: [4, 4], range: [3, 3], keepOut: [[3, 2, 1, 1], [2, 3, 1, 1]], fill: '0.3' });
    const reason = await reasonOf(brief);
    expect(remedyOf(reason, 'exit-range')).toBeDefined();
    await expectAllHelp(brief, reason);
  });
});

describe('a common target binds', () => {
  it('and is lowered as a whole', async () => {
    const exits = [
      { edge: 'W', from: 1, to: 1, belt: 'belt' },
      { edge: 'E', from: 1, to: 1, belt: 'belt' },
    ];
    // Two arms at most stand beside the wagon, each with a belt below: 1/6 on a lane.
    const brief = briefOf({ size: [3, 2], wagonLength: 2, rest: { exits, target: { rate: '3/7' }, feed: 'direct' } });
    const reason = await reasonOf(brief);
    expect(reason).toMatchObject({ kind: 'target-too-high', looked: 'wholly' });
    const lower = remedyOf(reason, 'target');
    if (lower === undefined) throw new Error('a lower target helps');
    expect(lower).toMatchObject({ changes: [{ share: ratio(3, 4) }], least: true });
    // 3/7 * 3/4 items per tick, of two belts of half an item per tick, 50 ticks a second.
    expect(remedyText(lower, brief)).toContain('lower the target to 3/4 of it (fill 9/28, 16.07/s)');
    await expectAllHelp(brief, reason);
    expect(changed(brief, lower.changes).together?.equals(ratio(9, 28))).toBe(true);
  });

  it('that no arms could bring', async () => {
    const exits = [
      { edge: 'W', from: 0, to: 2, belt: 'belt', target: { rate: '1/10' } },
      { edge: 'E', from: 0, to: 2, belt: 'belt' },
    ];
    const brief = briefOf({ size: [3, 3], wagonLength: 2, rest: { exits, target: { rate: '1/2' }, feed: 'direct' } });
    expect(await reasonOf(brief)).toMatchObject({ kind: 'arms-too-slow', target: ratio(1, 2) });
  });
});

describe('the time for it', () => {
  it('is no more than what is left of the limit', async () => {
    const brief = briefOf({ size: [3, 4], fill: '1' });
    const startedAt = now();
    const { outcome } = await designStation(brief, { now, timeLimitSeconds: 1.5 });
    expect(now() - startedAt).toBeLessThan(3000);
    if (outcome.status === 'infeasible') expect(['partly', 'wholly']).toContain(outcome.reason.looked);
    else expect(outcome).toMatchObject({ status: 'unknown', stoppedBy: 'time-limit' });
  });

  it('ends at once when the run is to end, with nothing claimed', async () => {
    const reason = await explain(briefOf({ size: [3, 3] }), { ...idle, shouldStop: () => true }, 5);
    expect(reason).toEqual({ kind: 'space-exhausted', nearest: [], looked: 'partly' });
    const { outcome } = await designStation(briefOf({ size: [6, 8], fill: '1' }), { now, shouldStop: () => true });
    expect(outcome).toMatchObject({ status: 'unknown', stoppedBy: 'interrupt' });
  });

  it('goes to the solvers too', async () => {
    const limits: number[] = [];
    const solver: IntegerSolver = {
      name: 'none',
      solve: (_, { timeLimitSeconds }) => {
        limits.push(timeLimitSeconds);
        return { status: 'unknown', reason: { kind: 'time-limit' } };
      },
    };
    const outcome = await design(briefOf({ size: [3, 4] }), { ...idle, solver, secondsLeft: () => 3 });
    expect(outcome).toMatchObject({ status: 'unknown', stoppedBy: 'solver' });
    expect(limits).toEqual([3]);
  });
});

describe('programs alone', () => {
  it('give bounds that no layout goes below, and rule limits out', async () => {
    const solver = await loadGlpkSolver();
    const brief = briefOf({ size: [3, 4] });
    // The optimum is 39, with 3 arms and a chest that cost 34.
    const least = leastPrice(brief, 'cost', solver, 5) ?? 0;
    expect(least).toBeGreaterThan(34);
    expect(least).toBeLessThanOrEqual(39);
    expect(leastPrice(changed(brief, [{ kind: 'limit', limit: 'arms', to: 2 }]), 'parts', solver, 5)).toBe(Infinity);
    const map = siteMap(brief);
    // Three fills and as many chests, at 12 / 28 items per tick each.
    const most = mostCapacity(map, candidates(map), 'supply', solver, 5);
    expect(most?.compare(ratio(9, 7))).toBeLessThanOrEqual(0);
    expect(most?.compare(ratio(3, 7))).toBeGreaterThanOrEqual(0);
  });
});

describe('changes', () => {
  it('leave all else as it is', () => {
    const brief = briefOf({ size: [3, 4], rest: { limits: { arms: 2 } } });
    expect(changed(brief, [])).toBe(brief);
    const more = changed(brief, [{ kind: 'site', side: 'depth', to: 5 }, { kind: 'limit', limit: 'arms', to: 4 }]);
    expect(more).toEqual({ ...brief, site: { ...brief.site, depth: 5 }, limits: { ...brief.limits, arms: 4 } });
    expect(readCatalog(CATALOG).name).toBe(brief.catalog.name);
  });
});
