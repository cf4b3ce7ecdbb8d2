/**
 * What the commands make of briefs and plans that load, through the built command: files, exit codes, and one sentence
 * for what they do not know.
 */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { transloom } from './built-command.js';

const FULL = 'models/briefs/grain-load-full.json';
const EVEN = 'models/briefs/grain-load-060.json';

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'transloom-'));
});
afterAll(() => {
  rmSync(folder, { recursive: true });
});
const file = (name: string): string => join(folder, name);

describe('a brief that loads', () => {
  it('is designed with a proof log that holds', () => {
    const { status, stdout } = transloom(['design', FULL, '--audit', file('proof.jsonl'), '--json', '--out', file('plan.json')]);
    expect(status).toBe(0);
    const document = JSON.parse(stdout) as { readonly audit: { readonly verdict: string; readonly programs?: object; readonly networks: { readonly passed: object } } };
    expect(document.audit).toMatchObject({ verdict: 'holds', flaws: [] });
    expect(document.audit.programs).toBeUndefined();
    expect(transloom(['trial', file('plan.json'), '--quiet']).status).toBe(0);
    const text = transloom(['replay', file('proof.jsonl')]).stdout;
    expect(text).toContain('Stations  ruled out:');
    expect(text).not.toContain('solved again');
  });

  it('is exported as a program, and designed all the same', () => {
    expect(transloom(['design', FULL, '--export-program', file('bill.lp'), '--quiet']).status).toBe(0);
    expect(readFileSync(file('bill.lp'), 'utf8')).toContain('into_wagons_0');
  });

  it('is listed and climbed', () => {
    const list = transloom(['tradeoffs', FULL, '--csv', file('list.csv'), '--html', file('list.html')]);
    expect([list.status, list.stdout.includes('Complete: 1 station'), list.stdout.includes('solver')]).toEqual([0, true, false]);
    expect(readFileSync(file('list.csv'), 'utf8').split('\r\n')[0]).toContain('wagon 1 items per second');
    const stairs = transloom(['tradeoffs', FULL, '--over', 'fill']);
    expect([stairs.status, stairs.stdout.includes('The last step is saturated')]).toEqual([0, true]);
    const most = transloom(['design', FULL, '--most-fill', '--quiet']);
    expect([most.status, most.stdout]).toEqual([0, 'Saturation, all that can be asked for: the cheapest station that gives it costs 36.\n']);
  });

  it('is traded and limited by its trains', () => {
    const list = transloom(['tradeoffs', FULL, '--objectives', 'cost,dwell', '--up-to', '36', '--json', '--quiet']);
    expect(list.status).toBe(0);
    expect(JSON.parse(list.stdout)).toMatchObject({ complete: true, list: [{ measures: { cost: '36', dwell: '3750' }, trial: { trains: { dwell: '3750' } } }] });
    const under = (limits: object) => {
      const brief = { ...(JSON.parse(readFileSync(FULL, 'utf8')) as object), catalog: join(process.cwd(), 'models/catalogs/grain-yard.json'), limits };
      const { status, stdout } = transloom(['design', '-', '--json', '--quiet', '--time-limit', '20'], { input: JSON.stringify(brief) });
      return [status, JSON.parse(stdout) as object] as const;
    };
    expect(under({ dwell: '75s', trainsPerHour: '48' })).toMatchObject([0, { proof: { cost: 36 } }]);
    expect(under({ dwell: '5s' })).toMatchObject([1, { conflict: 'dwell-too-short' }]);
  });

  it('is saved and gone on with', () => {
    const saved = transloom(['design', EVEN, '--time-limit', '1', '--save', file('search.json'), '--json', '--quiet']);
    expect([saved.status, (JSON.parse(saved.stdout) as { readonly saved: boolean }).saved]).toEqual([3, true]);
    const on = transloom(['design', EVEN, '--resume', file('search.json'), '--time-limit', '1', '--json', '--quiet']);
    expect(JSON.parse(on.stdout)).toMatchObject({ proof: { resumed: true } });
    expect(transloom(['design', FULL, '--resume', file('search.json')])).toMatchObject({ status: 2 });
  });

  it('is told what would help where it is infeasible', () => {
    const brief = { ...(JSON.parse(readFileSync(FULL, 'utf8')) as object), catalog: join(process.cwd(), 'models/catalogs/grain-yard.json'), limits: { cost: 35 } };
    const { status, stdout } = transloom(['design', '-', '--json'], { input: JSON.stringify(brief) });
    expect(status).toBe(1);
    expect(JSON.parse(stdout)).toMatchObject({ conflict: 'limit-too-low', remedies: [{ sentence: 'Allow a cost of 36: a station of cost 36 is found.', least: true, cost: 36 }, { changes: [{ kind: 'target' }] }] });
  });

  it('is mended, by what the plan promises, a brief, or a target for each entry', () => {
    const { parts, ...plan } = JSON.parse(readFileSync(file('plan.json'), 'utf8')) as { readonly parts: readonly { readonly kind: string }[] };
    const lacking = file('lacking.json');
    const arm = parts.findIndex(({ kind }) => kind === 'arm');
    writeFileSync(lacking, JSON.stringify({ ...plan, parts: parts.filter((_, index) => index !== arm) }));
    for (const words of [[], ['--brief', FULL]]) {
      const out = file('mended.json');
      const { status, stdout } = transloom(['mend', lacking, ...words, '--out', out]);
      expect([status, stdout]).toEqual([0, expect.stringMatching(/Mended: a repair for 13; none in the searched space costs less\.[\s\S]*entry, wagon[\s\S]*in which no arm takes\s+from a wagon/)]);
      expect(transloom(['trial', out, '--quiet']).stdout).toContain('Promise kept');
    }
    const { status, stdout } = transloom(['mend', lacking, '--target', '1:10%', '--json']);
    expect([status, JSON.parse(stdout)]).toEqual([0, expect.objectContaining({ status: 'optimal', entries: [expect.objectContaining({ asked: { flow: '1/25', perSecond: 2 } })], wagons: [expect.objectContaining({ at: 0 })] })]);
  });

  it('is not mended, in one sentence, where the question does not fit', () => {
    const refusals = [
      [['mend', file('plan.json'), '--target', 'A:0.5'], 'names “A”, but the plan fills wagons from one entry'],
      [['mend', file('plan.json'), '--target', '2:0.5'], 'names “2”, but the plan fills wagons from one entry'],
      [['mend', file('plan.json'), '--target', '99/s'], 'asks more of entry 1 than comes in there, which is 20 items per second'],
      [['mend', file('plan.json'), '--brief', 'models/briefs/grain-060.json'], 'has another job than the plan'],
      [['mend', 'models/plans/grain-two-bins.json', '--brief', FULL], 'has another job than the plan'],
    ] as const;
    for (const [words, sentence] of refusals) {
      const { status, stderr, stdout } = transloom(words);
      expect([status, stdout]).toEqual([2, '']);
      expect(stderr).toContain(sentence);
    }
  });
});
