/**
 * The built command as it logs a proof and rechecks one: files, output, exit codes. `npm test` builds first.
 */
import { execFileSync, spawnSync, type SpawnSyncReturns } from 'node:child_process';
import { existsSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { ownFolder } from '../own-folder.js';
import { MAIN, ROOT, transloom } from './built-command.js';

const BRIEF = join(ROOT, 'models/briefs/grain-060-direct.json');

const folder = ownFolder();
let log = '';
let designed: SpawnSyncReturns<string>;

const run = (words: readonly string[], input = ''): SpawnSyncReturns<string> => transloom(words, { cwd: folder, input });

beforeAll(() => {
  designed = run(['design', BRIEF, '--audit', 'proof.jsonl']);
  log = readFileSync(join(folder, 'proof.jsonl'), 'utf8');
});

describe('design --audit', () => {
  it('tells the answer, then that its proof holds, and leaves a whole log and nothing else', () => {
    expect(designed.stderr).toBe('');
    expect(designed.stdout).toMatch(/Optimal: cost \d+[^]*\nHolds: /);
    expect(designed.status).toBe(0);
    expect(log).toMatch(/^\{"step":"opened"[^]*\n\{"step":"claimed".*\}\n$/);
    expect(readdirSync(folder)).toEqual(['proof.jsonl']);
  });

  it('puts the audit into the one JSON document, and the log where it always goes', () => {
    const { stdout, status } = run(['design', BRIEF, '--audit', '--json']);
    expect(JSON.parse(stdout)).toMatchObject({ status: 'optimal', audit: { verdict: 'holds', claim: { status: 'optimal' }, flaws: [] } });
    expect(status).toBe(0);
    // How soon a layout is found besides the proof depends on the machine's load, and so do the lines between.
    const claimOf = (text: string): unknown => {
      const { status: claimed, bound } = JSON.parse(text.trim().split('\n').at(-1) ?? '') as { readonly status: string; readonly bound: number };
      return { claimed, bound };
    };
    expect(claimOf(readFileSync(join(folder, 'transloom-proof.jsonl'), 'utf8'))).toEqual(claimOf(log));
  });

  it('says no with an infeasible brief, though its proof holds', () => {
    const brief = JSON.parse(readFileSync(BRIEF, 'utf8')) as object;
    const catalog = JSON.parse(readFileSync(join(ROOT, 'models/catalogs/grain-yard.json'), 'utf8')) as unknown;
    const { status, stdout } = run(['design', '-', '--audit', 'none.jsonl', '--quiet'], JSON.stringify({ ...brief, catalog, limits: { cost: 20 } }));
    expect(stdout).toMatch(/^Infeasible: [^]*\nHolds: /);
    expect(status).toBe(1);
  });

  it('writes over no brief, and leaves an old log alone if there is no new one', () => {
    const { status, stderr } = run(['design', '--audit', BRIEF]);
    expect(stderr).toContain('--audit needs a file name that ends in .jsonl');
    expect(status).toBe(2);
    writeFileSync(join(folder, 'unsound.json'), '{}');
    expect(run(['design', 'unsound.json', '--audit', 'proof.jsonl']).status).toBe(2);
    expect(readFileSync(join(folder, 'proof.jsonl'), 'utf8')).toBe(log);
    expect(readdirSync(folder).filter((name) => name.endsWith('.tmp'))).toEqual([]);
  });
});

describe('replay', () => {
  it('holds', () => {
    const { status, stdout, stderr } = run(['replay', 'proof.jsonl', '--quiet']);
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(stdout).toMatch(/^Holds: .*\n$/);
    expect(run(['replay', '-', '--quiet'], log).stdout).toBe(stdout);
    if (existsSync('/dev/stdin')) expect(execFileSync('sh', ['-c', `cat proof.jsonl | "${process.execPath}" "${MAIN}" replay /dev/stdin --quiet`], { cwd: folder, encoding: 'utf8' })).toBe(stdout);
    const returns = log.replaceAll('\n', '\r\n');
    expect(run(['replay', '-', '--quiet'], returns).stdout).toBe(stdout);
    writeFileSync(join(folder, 'returns.jsonl'), returns);
    expect(run(['replay', 'returns.jsonl', '--quiet']).stdout).toBe(stdout);
  });

  it('names the line that does not hold, with code 1', () => {
    writeFileSync(join(folder, 'forged.jsonl'), log.replace(/"price":(\d+)/, (_, price: string) => `"price":${Number(price) - 1}`));
    const line = log.split('\n').findIndex((text) => /"price":\d/.test(text)) + 1;
    const { status, stdout } = run(['replay', 'forged.jsonl']);
    expect(stdout).toContain('Does not hold');
    expect(stdout).toContain(`Line ${line}: The seal does not fit`);
    expect(status).toBe(1);
    const json = run(['replay', 'forged.jsonl', '--json']);
    expect(JSON.parse(json.stdout)).toMatchObject({ verdict: 'broken' });
    expect(json.status).toBe(1);
  });

  it('is content with what its time allows, with code 3', () => {
    const { status, stdout } = run(['replay', 'proof.jsonl', '--time-limit', '0.000001', '--json']);
    expect(JSON.parse(stdout)).toMatchObject({ verdict: 'partly', programs: { rechecked: 0 }, flaws: [] });
    expect(status).toBe(3);
  });

  it.each([
    ['nowhere.jsonl', "can't be read (there is no such file or folder)"],
    ['.', "can't be read (it is a folder)"],
    [BRIEF, 'error: This is no proof log'],
  ])('refuses %s with code 2 and one sentence', (path, sentence) => {
    const { status, stdout, stderr } = run(['replay', path]);
    expect(stderr).toContain(sentence);
    expect(stderr.trim().split('\n')).toHaveLength(1);
    expect({ status, stdout }).toEqual({ status: 2, stdout: '' });
  });

  it('names what is no text, though it is read on another thread', () => {
    writeFileSync(join(folder, 'bytes'), Buffer.from('{"a": "\xe9"}', 'latin1'));
    const { status, stderr } = spawnSync('sh', ['-c', `"${process.execPath}" "${MAIN}" replay - < bytes`], { cwd: folder, encoding: 'utf8' });
    expect([status, stderr]).toEqual([2, expect.stringMatching(/^\(standard input\):1:8: error: The bytes here are no text in UTF-8; [^\n]*\n$/)]);
  });
});
