/**
 * Replays of proof logs in words: a sentence for every flaw, and nothing that was not rechecked is said to hold.
 */
import stringWidth from 'string-width';
import { describe, expect, it } from 'vitest';
import type { Audit, FlawKind } from '../../src/audit/audit-result.js';
import { ratio } from '../../src/base/rational.js';
import { auditJson, auditText, flawSentence, refusalSentences, TRUSTED } from '../../src/report/audit-text.js';
import { plainInks } from '../../src/report/ink.js';

const short = { found: ratio(1, 4), asked: ratio(1, 2) };

/** One of every kind: the compiler asks for each. */
const FLAWS: { readonly [K in FlawKind['kind']]: Extract<FlawKind, { readonly kind: K }> } = {
  'not-json': { kind: 'not-json', reason: 'Unexpected end' },
  'not-as-described': { kind: 'not-as-described', findings: [{ severity: 'error', code: 'missing-field', values: { field: 'seal' } }] },
  'seal-broken': { kind: 'seal-broken' },
  'out-of-order': { kind: 'out-of-order', step: 'start', after: 'began' },
  'no-claim': { kind: 'no-claim' },
  'steps-missing': { kind: 'steps-missing', step: 'judged', stated: 3, found: 1 },
  'bill-unknown': { kind: 'bill-unknown' },
  'bill-price': { kind: 'bill-price', stated: 60, found: 61 },
  'rest-falls': { kind: 'rest-falls', from: 70, to: 69 },
  'family-unknown': { kind: 'family-unknown', family: 4 },
  'family-price': { kind: 'family-price', family: 0, stated: 70, found: undefined },
  'family-falls': { kind: 'family-falls', family: 0, from: 70, to: 69 },
  'found-dearer': { kind: 'found-dearer', price: 75, before: 74 },
  'bound-too-high': { kind: 'bound-too-high', bound: 75, least: 74 },
  'not-exhausted': { kind: 'not-exhausted', least: 20, most: 30 },
  'claim-without-plan': { kind: 'claim-without-plan', status: 'optimal' },
  'claim-with-plan': { kind: 'claim-with-plan', status: 'infeasible' },
  'bound-not-price': { kind: 'bound-not-price', bound: 74, price: 75 },
  'program-differs': { kind: 'program-differs', stated: 70, found: undefined },
  'layout-unsound': { kind: 'layout-unsound', findings: [{ severity: 'error', code: 'underpass-no-length', pointer: '/parts/1' }] },
  'demand-unknown': { kind: 'demand-unknown', demand: 3 },
  'not-short': { kind: 'not-short' },
  short: { kind: 'short', shortfall: { kind: 'exit', exit: 0, lane: 'left', ...short } },
  'plan-price': { kind: 'plan-price', stated: 74, found: 75 },
  'plan-exit': { kind: 'plan-exit', demand: 0 },
  'plan-entry': { kind: 'plan-entry', demand: 0 },
  'plan-limit': { kind: 'plan-limit', limit: 'arms', most: '4', found: '5' },
  'plan-feed': { kind: 'plan-feed', at: { x: 1, y: 2 } },
  'start-unexpected': { kind: 'start-unexpected' },
  'arm-bound': { kind: 'arm-bound', arm: 'bay arm', stated: '1/4', most: '8/25' },
  'delays-count': { kind: 'delays-count', expected: 5, found: 4 },
  'starts-missing': { kind: 'starts-missing', expected: 17, found: 16 },
};

const all = { all: 3, rechecked: 3, unfinished: 0 };
const HOLDS: Audit = {
  verdict: 'holds',
  name: 'test',
  objective: 'cost',
  status: 'optimal',
  bound: 75,
  price: 75,
  lines: 40,
  steps: { judged: 20 },
  loads: false,
  armBounds: false,
  programs: all,
  solver: 'jslp',
  families: 2,
  leastOfFamilies: 76,
  leastOfRest: undefined,
  ruledOut: all,
  passed: all,
  undecided: 0,
  starts: all,
  flaws: [],
  flawCount: 0,
  seconds: 1,
};

describe('a flaw', () => {
  it.each(Object.values(FLAWS))('$kind has a sentence that names its line', (flaw) => {
    const sentence = flawSentence({ line: 12, ...flaw });
    expect(sentence).toMatch(/^Line 12: [A-Z0-9“].*\.\)?$/);
    expect(sentence).not.toMatch(/undefined|NaN|Infinity|\[object/);
  });

  it('tells what falls short', () => {
    expect(flawSentence({ line: 1, ...FLAWS.short })).toContain('exit 0 gives 1/4 per tick on the left lane, but 1/2 is asked');
    expect(flawSentence({ line: 1, kind: 'short', shortfall: { kind: 'sum', ...short } })).toContain('all exits together give 1/4');
    const chest = { kind: 'chest', at: { x: 0, y: 1 }, outflow: ratio(1, 2), supply: ratio(1, 4) } as const;
    expect(flawSentence({ line: 1, kind: 'short', shortfall: chest })).toContain('the chest at [0, 1] is drained at 1/2 per tick');
  });

  it('says that there are more', () => {
    const findings = [...FLAWS['not-as-described'].findings, ...FLAWS['layout-unsound'].findings];
    expect(flawSentence({ line: 1, kind: 'not-as-described', findings })).toContain('(And 1 more flaw.)');
  });
});

const shown = (audit: Audit, quiet = false): string => auditText(audit, { ink: plainInks, ascii: false }, quiet).join('\n');

describe('a replay', () => {
  it('holds, and says what it takes on trust', () => {
    expect(shown(HOLDS)).toMatch(/^test: optimal, cost 75\nHolds: /);
    expect(shown(HOLDS).replaceAll(/\s+/g, ' ')).toContain(TRUSTED[0]);
    expect(shown(HOLDS, true)).toMatch(/^Holds: .*$/);
  });

  it('never says that it holds where it does not, or where something was not rechecked', () => {
    const partly: Audit = { ...HOLDS, verdict: 'partly', ruledOut: { all: 9, rechecked: 4, unfinished: 1 }, undecided: 2, price: undefined, bound: undefined };
    expect(shown(partly)).not.toContain('Holds');
    expect(shown(partly)).toContain('ruled out: 4 of 9 (1 came to no end) simulated again');
    expect(shown(partly)).toContain('never decided, perhaps cheaper: 2');
    const flaws = [{ line: 12, ...FLAWS['not-short'] }];
    const broken: Audit = { ...HOLDS, verdict: 'broken', flaws, flawCount: 3, starts: { all: 0, rechecked: 0, unfinished: 0 } };
    expect(shown(broken)).toContain('Does not hold: 3 statements of the log are wrong.');
    expect(shown(broken)).toContain('Line 12: This was ruled out');
    expect(shown(broken)).toContain('And 2 more.');
    expect(shown(broken)).not.toContain('Holds');
  });

  it('fits a narrow terminal', () => {
    const flaws = Object.values(FLAWS).map((flaw, line) => ({ line, ...flaw }));
    const lines = auditText({ ...HOLDS, verdict: 'broken', flaws, flawCount: flaws.length }, { ink: plainInks, ascii: false, columns: 80 });
    expect(lines.filter((line) => stringWidth(line) > 80)).toEqual([]);
  });

  it('is JSON without nulls, with a sentence for each flaw', () => {
    const json = JSON.stringify(auditJson({ ...HOLDS, flaws: [{ line: 12, ...FLAWS['not-short'] }], flawCount: 1 }));
    expect(json).not.toContain('null');
    expect(JSON.parse(json)).toMatchObject({
      verdict: 'holds',
      claim: { status: 'optimal', bound: 75, price: 75, objective: 'cost' },
      networks: { ruledOut: all, passed: all, undecided: 0 },
      flaws: [{ line: 12, kind: 'not-short', sentence: expect.stringContaining('Line 12') as unknown }],
    });
  });
});

describe('a refusal', () => {
  it('is said in sentences', () => {
    expect(refusalSentences({ kind: 'empty' })).toEqual(['This is no proof log: it is empty; name a file that “transloom design --audit” wrote.']);
    expect(refusalSentences({ kind: 'no-log', reason: 'so' })).toEqual(['This is no proof log: so; name a file that “transloom design --audit” wrote.']);
    expect(refusalSentences({ kind: 'brief-unsound', findings: [{ severity: 'error', code: 'target-zero', pointer: '/exits/0' }] })).toEqual([
      expect.stringMatching(/^Line 1: At \/exits\/0: /),
    ]);
  });
});
