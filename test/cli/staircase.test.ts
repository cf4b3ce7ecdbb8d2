/**
 * The built commands `tradeoffs --over` and `design --most-fill` as a user or a script meets them.
 */
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ownFolder } from '../own-folder.js';
import { MAIN, ROOT, transloom } from './built-command.js';

const BRIEF = 'test/cases/suite-03-one-belt-060-4x5.json';

const folder = ownFolder();

describe('wrong use', () => {
  it.each([
    [['--from', '0.5'], '--from says where a staircase goes; it needs --over'],
    [['--over', 'fill', '--from', '0'], '--from needs a fill above 0 and up to 1'],
    [['--over', 'fill', '--to', '6/5'], '--to needs a fill above 0 and up to 1'],
    [['--over', 'depth', '--to', '0.5'], '--to needs a whole number from 1 to 200'],
    [['--over', 'width', '--to', '201'], '--to needs a whole number from 1 to 200'],
    [['--over', 'arms', '--from', '5', '--to', '4'], '--from 5 lies beyond --to 4'],
  ])('%j is refused with code 2 and a sentence', (words, sentence) => {
    const { status, stdout, stderr } = transloom(['tradeoffs', BRIEF, ...words]);
    expect(stderr).toContain(sentence);
    expect(stdout).toBe('');
    expect(status).toBe(2);
  });

  it.each(['--audit', '--save', '--resume'])('--most-fill does not go with %s', (option) => {
    const { status, stderr } = transloom(['design', BRIEF, '--most-fill', option, join(folder, 'x.jsonl')]);
    expect(stderr).toContain(`so ${option}, which is of one, does not go with it`);
    expect(status).toBe(2);
  });
});

describe('tradeoffs --over', () => {
  it('tells steps, a picture, and what the last per cents cost', () => {
    const { status, stdout, stderr } = transloom(['tradeoffs', BRIEF, '--over', 'fill', '--from', '0.45', '--to', '0.7']);
    expect(stderr).toBe('');
    expect(stdout).toContain('above 49.0 % (24/49)');
    expect(stdout).toMatch(/47 │ +━/);
    expect(stdout).toContain('The last three per cent, from 67.0 % to 70.0 %, cost nothing');
    expect(status).toBe(0);
  });

  it('as JSON has plans that keep their promise', () => {
    const file = join(folder, 'steps.json');
    const { status, stdout } = transloom(['tradeoffs', BRIEF, '--over', 'arms', '--json', '--out', file]);
    expect([status, stdout]).toEqual([0, '']);
    const { steps, end } = JSON.parse(readFileSync(file, 'utf8')) as { readonly steps: readonly { readonly kind: string; readonly plan?: unknown }[]; readonly end: string };
    expect(end).toBe('proven');
    const [{ plan }] = steps.filter(({ kind }) => kind === 'found');
    const tried = spawnSync(process.execPath, [MAIN, 'trial', '-', '--quiet'], { cwd: ROOT, input: JSON.stringify(plan), encoding: 'utf8' });
    expect(tried.stdout).toContain('Promise kept');
  });

  it('says what is not proven, with code 3', () => {
    const { status, stdout } = transloom(['tradeoffs', 'test/cases/suite-45-two-belts-100-8x8.json', '--over', 'fill', '--time-limit', '1']);
    expect(stdout).toContain('not known: the time limit came');
    expect(status).toBe(3);
  });
});

describe('design --most-fill', () => {
  it('tells the most that can be asked for where a station gives more', () => {
    const brief = {
      format: 'transloom-brief/1',
      name: 'over the end of the track',
      catalog: 'models/catalogs/grain-yard.json',
      site: { width: 8, depth: 2, north: 2, track: { from: 2, to: 5 } },
      wagons: [{ model: 'short grain wagon', at: 2 }],
      exits: [{ edge: 'W', from: -4, to: 1, belt: 'field belt', target: { fill: '0.98' } }],
      feed: 'direct',
      starts: 2,
    };
    const { status, stdout } = transloom(['design', '-', '--most-fill', '--json'], { input: JSON.stringify(brief) });
    const { mostFill, trial } = JSON.parse(stdout) as { readonly mostFill: object; readonly trial: { readonly fill: string } };
    expect(mostFill).toMatchObject({ fill: '1', cost: 55, proven: true, cheapestProven: true, end: { kind: 'reached' } });
    expect([status, trial.fill]).toEqual([0, '25/24']);
  });

  it('gives the plan of the greatest fill', () => {
    const file = join(folder, 'most.json');
    const { status, stdout } = transloom(['design', BRIEF, '--most-fill', '--out', file]);
    expect(stdout).toContain('Saturation, all that can be asked for: the cheapest station that gives it costs 73.');
    expect(status).toBe(0);
    expect(JSON.parse(readFileSync(file, 'utf8'))).toMatchObject({ result: { cost: 73, status: 'optimal' } });
  });
});
