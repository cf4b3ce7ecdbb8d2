/**
 * Designs of loading stations on the samples: what is found, proven, promised and kept, and how runs that are stopped end.
 */
import { describe, expect, it } from 'vitest';
import { ratio } from '../../src/base/rational.js';
import { designDocument, designReport, designStation, findTradeoffs, tradeoffsCsv, viewTradeoffs, parsePlan, parsePromise, plainInks, tryPlan, type Brief, type DesignAnswer } from '../../src/index.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { briefOf, catalogOf, sound } from '../documents.js';
import { loadingBrief } from '../synthesis/loading-briefs.js';

const FULL = 'models/briefs/grain-load-full.json';

/** With a limit, for a run that never ends would hold up all tests. */
const design = (brief: Brief, timeLimitSeconds = 20): Promise<DesignAnswer> => designStation(brief, { now: () => performance.now(), timeLimitSeconds });

describe('a design of a loading station', () => {
  it('fills a wagon in time, at the least price, and its plan keeps what it promises', async () => {
    const { outcome, plan, trial } = await design(briefOf(FULL));
    expect(outcome.status).toBe('optimal');
    expect(outcome.proof).toMatchObject({ bound: 36, cost: 36 });
    // 1500 items in 4500 ticks.
    expect(trial?.wagons?.[0].inflow.compare(1 / 3)).toBeGreaterThan(0);
    const promise = parsePromise(plan);
    const layout = parsePlan(plan, catalogOf(FULL));
    if (!promise.ok || !layout.ok) throw new Error('a sound plan');
    expect(promise.value?.wagons).toHaveLength(1);
    expect(tryPlan(layout.value, promise.value).breaches).toEqual([]);
    const worse = { ...layout.value, parts: layout.value.parts.filter((part, index) => part.kind !== 'arm' || index !== layout.value.parts.findIndex(({ kind }) => kind === 'arm')) };
    expect(tryPlan(worse, promise.value).breaches?.map(({ kind }) => kind)).toContain('wagon-below');
  });

  it('gives the same plan to the byte', async () => {
    const [one, other] = await Promise.all([design(briefOf(FULL)), design(briefOf(FULL))]);
    expect(JSON.stringify(other.plan)).toBe(JSON.stringify(one.plan));
  });

  it('is infeasible where arms beside the wagon are too slow, and says by how much', async () => {
    const changes = { feed: 'chests', site: { width: 1, depth: 5 }, entries: [{ edge: 'S', from: 0, to: 0, belt: 'quay belt', target: { fill: '1' } }] };
    const answer = await design(briefOf(FULL, { ...changes, target: undefined }));
    expect(answer.outcome.status).toBe('infeasible');
    const text = designReport(answer, { ink: plainInks, ascii: false }).join('\n');
    expect(text).toContain('The arms that fit beside the wagons carry');
    expect(designDocument(answer)['conflict']).toBe('loading-too-slow');
  });

  it('is infeasible at once where belts bring too little while wagons stand there', async () => {
    const answer = await design(briefOf(FULL, { feed: 'direct', presence: '4/5', entries: [{ edge: 'S', from: 0, to: 5, belt: 'field belt', target: { fill: '0.82' } }], target: undefined }));
    expect(answer.outcome).toMatchObject({ status: 'infeasible', proof: { simulations: 0 } });
    expect(designReport(answer, { ink: plainInks, ascii: false }).join('\n')).toContain('Straight from belts no more than');
  });

  it('comes to an end where no station fits, though the bounds on arms allow one', async () => {
    const changes = { feed: 'chests', site: { width: 1, depth: 5 }, entries: [{ edge: 'S', from: 0, to: 0, belt: 'field belt', target: { fill: '1' } }] };
    const { outcome } = await design(briefOf(FULL, { ...changes, target: undefined }));
    expect(outcome.status === 'infeasible' && outcome.reason).toMatchObject({ kind: 'target-too-high', tooMuch: ratio(11, 20), reached: ratio(1, 2) });
  });

  it('is infeasible below the least price that it proves', async () => {
    const { outcome } = await design(briefOf(FULL, { limits: { cost: 35 } }));
    expect(outcome.status === 'infeasible' && outcome.reason).toMatchObject({ kind: 'limit-too-low', limit: 'cost', allowed: 35 });
  });

  it('keeps to limits of arms and parts, and adds up parts if asked', async () => {
    const { outcome } = await design(briefOf(FULL, { site: { width: 4, depth: 3 }, entries: [{ edge: 'S', from: 0, to: 3, belt: 'field belt' }], target: { full: '90s' }, minimise: ['parts', 'cost'] }));
    expect(outcome.status).toBe('optimal');
    expect(outcome.proof.cost).toBe(4);
    const none = await design(briefOf(FULL, { site: { width: 4, depth: 3 }, entries: [{ edge: 'S', from: 0, to: 3, belt: 'field belt' }], target: { full: '90s' }, minimise: ['parts', 'cost'], limits: { parts: 3 } }));
    expect(none.outcome.status).toBe('infeasible');
  });

  it('of as many parts buys slow arms out of chests where they do', async () => {
    const catalog = sound(
      parseCatalog({
        format: 'transloom-catalog/1', name: 'slow and fast arms', ticksPerSecond: 50, unitsPerTile: 16, pitch: 4,
        belts: { belt: { speed: 2, cost: 1 } }, splitters: {}, underpasses: {}, chests: { chest: { capacity: 100, cost: 1 } }, wagons: { wagon: { length: 3, capacity: 900 } },
        arms: { slow: { reach: 1, payload: 1, swing: 4, cost: 1 }, fast: { reach: 1, payload: 1, swing: 1, cost: 5 } },
      }),
    );
    const asked = { site: { width: 3, depth: 2 }, wagons: [{ model: 'wagon' }], entries: [{ edge: 'E', from: 1, to: 1, belt: 'belt', target: { rate: '1/20' } }], feed: 'chests', starts: 0 };
    const cheap = await design(loadingBrief({ ...asked, minimise: ['parts', 'cost'] }, catalog).brief);
    expect([cheap.outcome.status, cheap.outcome.proof.cost, cheap.trial?.cost]).toEqual(['optimal', 4, 4]);
    const limited = await design(loadingBrief({ ...asked, minimise: ['parts'], limits: { cost: 4 } }, catalog).brief);
    expect([limited.outcome.status, limited.outcome.proof.cost]).toEqual(['optimal', 4]);
  });

  it('ends with what it has when its time is over, never as infeasible', async () => {
    const { outcome } = await design(briefOf('models/briefs/grain-load-060.json', { limits: {} }), 0.5);
    expect(['feasible', 'unknown']).toContain(outcome.status);
    expect(outcome.proof.bound).toBeGreaterThanOrEqual(44);
    expect('stoppedBy' in outcome && outcome.stoppedBy).toBe('time-limit');
  });

  it('takes two belts at once', async () => {
    const entries = [0, 3].map((from) => ({ edge: 'S', from, to: from + 2, belt: 'field belt', target: { fill: '1/2' } }));
    const { outcome, trial } = await design(briefOf(FULL, { feed: 'direct', site: { width: 6, depth: 3 }, entries, target: undefined }));
    expect(outcome.status).toBe('optimal');
    expect(trial?.entries).toHaveLength(2);
    expect(trial?.entries?.every(({ share }) => share.compare(1 / 2) >= 0)).toBe(true);
  });
});

describe('a list of tradeoffs among loading stations', () => {
  it('begins with the design, and its plans keep their promises', async () => {
    const brief = briefOf(FULL);
    const answer = await findTradeoffs(brief, { objectives: ['cost', 'depth', 'fill'], upTo: 40, now: () => performance.now(), timeLimitSeconds: 20 });
    expect(answer).toMatchObject({ status: 'complete', completeTo: 40, stoppedBy: undefined });
    expect(answer.proof.solver).toBeUndefined();
    const view = viewTradeoffs(brief, answer, { where: [], sort: [], most: undefined });
    expect(view.list[0].measures).toMatchObject({ cost: ratio(36), fill: ratio(1) });
    for (const { plan } of answer.entries) {
      const promise = parsePromise(plan);
      const layout = parsePlan(plan, catalogOf(FULL));
      if (!promise.ok || !layout.ok) throw new Error('a sound plan');
      expect(tryPlan(layout.value, promise.value).breaches).toEqual([]);
    }
    const [head, row] = tradeoffsCsv(view).split('\r\n').map((line) => line.split(','));
    expect(row[head.indexOf('wagon 1 items per second')]).toBe('20');
    expect(row[head.indexOf('entry 1 heading')]).toBe('N');
  });

  it('ends where no station fits, and where its time is over, without a claim too many', async () => {
    const request = { now: () => performance.now(), timeLimitSeconds: 20 };
    const none = await findTradeoffs(briefOf(FULL, { limits: { cost: 35 } }), request);
    expect(none).toMatchObject({ status: 'infeasible', completeTo: 'all', entries: [] });
    const cut = await findTradeoffs(briefOf('models/briefs/grain-load-060.json'), { ...request, timeLimitSeconds: 0.5 });
    expect(['unknown', 'partial']).toContain(cut.status);
    expect(cut.stoppedBy).toBe('time-limit');
    expect(cut.completeTo).toBeLessThan(68);
  });

  it('tells a fill of several targets by the one that is met least', async () => {
    const entries = [0, 3].map((from, index) => ({ edge: 'S', from, to: from + 2, belt: 'field belt', target: { fill: index === 0 ? '1/2' : '1/10' } }));
    const brief = briefOf(FULL, { feed: 'direct', site: { width: 6, depth: 3 }, entries, target: undefined });
    const { entries: [cheapest] } = await findTradeoffs(brief, { objectives: ['cost', 'fill'], within: ratio(0), now: () => performance.now(), timeLimitSeconds: 20 });
    const shares = cheapest.trial.entries?.map(({ share }) => share) ?? [];
    const least = [shares[0].mul(2), shares[1].mul(10)].reduce((a, b) => (a.compare(b) <= 0 ? a : b));
    expect(cheapest.values[1].compare(least.div(2))).toBeLessThanOrEqual(0);
    expect(cheapest.values[1].compare(1 / 2)).toBeGreaterThanOrEqual(0);
  });
});
