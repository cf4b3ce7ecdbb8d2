/**
 * Proof logs of designs of loading stations: those that nobody touched hold, on tiny briefs drawn by seed and with all
 * that a brief may ask; what was changed and sealed anew does not, and the replay names the line. TRANSLOOM_SEED sets the
 * first seed.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import type { FlawKind } from '../../src/audit/audit-result.js';
import type { FailingLine, LineOf } from '../../src/audit/proof-line.js';
import type { Brief } from '../../src/brief/brief.js';
import { SEED } from '../documents.js';
import { tinyBrief, variedBrief } from '../oracles/every-loading-plan.js';
import { loggedBrief, lineOf, logOfDesign, sealedAnew, unsealed, verdictOf, type Unsealed } from './logs.js';

const FULL = 'models/briefs/grain-load-full.json';
const GAP = 'test/cases/loading-20-two-wagons-spotting-beside-a-gap-5x2.json';
const EVEN = 'models/briefs/grain-load-060.json';

const failingIn = (log: readonly Unsealed[]): readonly string[] => log.flatMap((line) => (line.step === 'judged' && line.failing !== undefined ? [line.failing.kind] : []));
const claimOf = (log: readonly Unsealed[]): LineOf<'claimed'> => log.at(-1) as LineOf<'claimed'>;

describe('an untouched log of a loading station', () => {
  it(`holds on tiny briefs from seed ${SEED} on, whatever it claims`, async () => {
    const claims = new Set<string>();
    for (let seed = SEED; seed < SEED + 40; seed++) {
      const log = await logOfDesign((seed % 2 === 0 ? tinyBrief : variedBrief)(seed), 2);
      const { verdict, flaws } = await verdictOf(log);
      expect(flaws, `seed ${seed}`).toEqual([]);
      // Where the simulator came to no end, neither does the audit.
      if (unsealed(log).every((line) => line.step !== 'judged' || line.verdict !== 'undecided')) expect(verdict, `seed ${seed}`).toBe('holds');
      claims.add(claimOf(unsealed(log)).status);
    }
    expect([...claims]).toEqual(expect.arrayContaining(['optimal', 'infeasible']));
  });

  it.each<readonly [string, () => Brief, string, readonly string[]]>([
    ['for a time in which a wagon is full', () => loggedBrief(FULL), 'optimal', []],
    ['with belts from which too little is taken', () => tinyBrief(43), 'optimal', ['entry']],
    ['with chests that fill up', () => tinyBrief(11), 'optimal', ['chest']],
    ['for more than all wagons can be given', () => variedBrief(48), 'infeasible', ['sum']],
    ['with wagons that may stop short', () => loggedBrief(GAP, { target: { full: '195s' }, limits: { cost: 36 } }), 'infeasible', ['wagon']],
    ['with an arm that misses the wagons as planned', () => loggedBrief(GAP), 'optimal', []],
    ['of fewest parts', () => ({ ...tinyBrief(43), minimise: ['parts', 'cost'] }), 'optimal', []],
    ['infeasible, for its limit of cost', () => loggedBrief(FULL, { limits: { cost: 35 } }), 'infeasible', []],
    ['infeasible, for arms that carry too little', () => loggedBrief(FULL, { feed: 'chests', site: { width: 1, depth: 5 }, entries: [{ edge: 'S', from: 0, to: 0, belt: 'quay belt', target: { fill: '1' } }] }), 'infeasible', []],
  ])('holds %s', async (_what, briefAt, status, fails) => {
    const log = await logOfDesign(briefAt(), 20);
    expect(claimOf(unsealed(log)).status).toBe(status);
    expect(await verdictOf(log)).toMatchObject({ verdict: 'holds', flaws: [] });
    expect(failingIn(unsealed(log))).toEqual(expect.arrayContaining([...fails]));
  });

  it('holds where the run was stopped', async () => {
    const log = await logOfDesign(loggedBrief(EVEN), 1);
    expect(['feasible', 'unknown']).toContain(claimOf(unsealed(log)).status);
    expect(await verdictOf(log)).toMatchObject({ verdict: 'holds', flaws: [] });
  });
});

describe('a log that somebody sealed anew', () => {
  let bare: readonly Unsealed[] = [];
  beforeAll(async () => {
    const log = await logOfDesign(tinyBrief(43), 20);
    bare = unsealed(log);
    expect(sealedAnew(bare)).toEqual(log);
    expect(claimOf(bare).status).toBe('optimal');
  });

  const changed = (line: number, change: (line: Unsealed) => object | undefined): readonly object[] =>
    bare.flatMap((each, index) => (index + 1 === line ? [change(each)].filter((some) => some !== undefined) : [each]));
  const at = (verdict: 'passes' | 'fails'): number => {
    const index = bare.findIndex((line) => line.step === 'judged' && line.verdict === verdict);
    if (index < 0) throw new Error(`nothing ${verdict}`);
    return index + 1;
  };
  const withFailing = (change: (failing: FailingLine) => object) => (line: Unsealed) =>
    line.step === 'judged' && line.failing !== undefined ? { ...line, failing: change(line.failing) } : line;
  const last = (step: Unsealed['step']): number => lineOf(bare, step, -1);

  it.each<readonly [string, FlawKind['kind'], () => readonly [number, readonly object[]]]>([
    ['a station that fails is said to pass', 'short', () => [at('fails'), changed(at('fails'), (line) => ({ ...line, verdict: 'passes', failing: undefined }))]],
    ['a station that passes is said to fail', 'not-short', () => {
      const arms = (bare[at('passes') - 1] as LineOf<'judged'>).parts.filter((part) => (part as { kind: string }).kind === 'arm').length;
      const failing = { kind: 'entry', entry: 0, wagonsMoved: 0, delays: Array.from({ length: arms }, () => 0) };
      return [at('passes'), changed(at('passes'), (line) => ({ ...line, verdict: 'fails', failing }))];
    }],
    ['it falls short of something else than is said', 'not-short', () => [at('fails'), changed(at('fails'), withFailing((failing) => ({ ...failing, kind: 'wagon', wagon: 0 })))]],
    ['the first price is left out', 'family-price', () => [lineOf(bare, 'raised') , changed(lineOf(bare, 'raised'), () => undefined)]],
    ['the last price is left out', 'bound-too-high', () => [bare.length - 2, bare.filter((line, index) => line.step !== 'raised' || index < lineOf(bare, 'raised', -2) - 1)]],
    ['a bill is proposed', 'bill-unknown', () => [3, [...bare.slice(0, 2), { step: 'proposed', mostPrice: 99, answer: { bill: { chests: 0, fills: [], loads: [], splitters: [] }, fixed: 0, objective: 0 } }, ...bare.slice(2)]]],
    ['the plan is said to be cheaper', 'plan-price', () => [last('found'), changed(last('found'), (line) => ({ ...line, price: (line as LineOf<'found'>).price - 1 }))]],
    ['the plan has its belt come in elsewhere', 'plan-entry', () => [last('found'), changed(last('found'), (line) => ({ ...line, entries: (line as LineOf<'found'>).entries?.map((entry) => ({ ...entry, at: [0, 0], heading: 'E' })) }))]],
    ['the plan has no belt that comes in', 'plan-entry', () => [last('found'), changed(last('found'), (line) => ({ ...line, entries: [] }))]],
    ['the plan lacks an arm', 'delays-count', () => [lineOf(bare, 'start'), changed(last('found'), (line) => {
      const { parts } = line as LineOf<'found'>;
      return { ...line, parts: parts.filter((_, index) => index !== parts.findIndex((each) => (each as { kind: string }).kind === 'arm')) };
    })]],
    ['an arm is said to take less than it can', 'arm-bound', () => [1, changed(1, (line) => (line.step === 'opened' ? { ...line, armBounds: line.armBounds?.map((each) => ({ ...each, takes: '1/1000' })) } : line))]],
    ['an arm is said to carry less than it can', 'arm-bound', () => [1, changed(1, (line) => (line.step === 'opened' ? { ...line, armBounds: line.armBounds?.map((each) => ({ ...each, carries: '1/1000' })) } : line))]],
    ['no arm has a bound', 'arm-bound', () => [1, changed(1, (line) => ({ ...line, armBounds: [] }))]],
    ['an entry is none of the brief', 'demand-unknown', () => [last('found'), changed(last('found'), (line) => ({ ...line, entries: (line as LineOf<'found'>).entries?.map((entry) => ({ ...entry, demand: 1 })) }))]],
  ])('does not hold where %s', async (_what, kind, forged) => {
    const [line, lines] = forged();
    const { verdict, flaws } = await verdictOf(sealedAnew(lines));
    expect(verdict).toBe('broken');
    expect(flaws.map((flaw) => [flaw.line, flaw.kind])).toContainEqual([line, kind]);
  });

  it('does not hold where the brief limits what the plan exceeds', async () => {
    const entries = [{ edge: 'S', from: 0, to: 5, belt: 'field belt', target: { fill: '3/5' } }];
    const uneven = unsealed(await logOfDesign(loggedBrief(EVEN, { limits: {}, entries }), 1));
    const strict = uneven.map((line) => (line.step === 'opened' ? { ...line, brief: { ...line.brief, limits: { imbalance: '0' } } } : line));
    const before = await verdictOf(sealedAnew(uneven));
    const { flaws } = await verdictOf(sealedAnew(strict));
    expect(before.flaws).toEqual([]);
    expect(flaws.every((flaw) => flaw.kind === 'plan-limit' && flaw.limit === 'imbalance')).toBe(true);
    expect(flaws.length).toBeGreaterThan(0);
  });

  it('does not hold where the brief limits what trains of the plan exceed', async () => {
    const log = unsealed(await logOfDesign(tinyBrief(43), 20));
    const limited = (limits: object) => sealedAnew(log.map((line) => (line.step === 'opened' ? { ...line, brief: { ...line.brief, limits } } : line)));
    expect(await verdictOf(limited({ dwell: '10000000', trainsPerHour: '1/1000' }))).toMatchObject({ verdict: 'holds', flaws: [] });
    for (const [limit, value] of [['dwell', '1'], ['trainsPerHour', '20']] as const) {
      const { verdict, flaws } = await verdictOf(limited({ [limit]: value }));
      expect(verdict).toBe('broken');
      expect(flaws).toMatchObject([{ kind: 'plan-limit', limit }]);
    }
  });
});
