/**
 * Plans that are drawn, as the built command reads and writes them. `npm test` builds first.
 */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { projectFile } from '../documents.js';

const ROOT = fileURLToPath(projectFile('.'));
const TWO_EXITS = 'models/plans/grain-two-exits.json';
let folder = '';

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'transloom-'));
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

const run = (words: readonly string[], input = '') =>
  spawnSync(process.execPath, [join(ROOT, 'dist/cli/main.js'), ...words], { cwd: ROOT, input, encoding: 'utf8', env: { PATH: process.env['PATH'] } });

it('a plan drawn, tried and written as JSON again is the same plan, wherever its picture lies', () => {
  const picture = join(folder, 'a.plan.txt');
  const [before, after] = [join(folder, 'before.json'), join(folder, 'after.json')];
  expect(run(['draw', TWO_EXITS, '--text', picture, '--plan-json', before, '--quiet']).status).toBe(0);
  expect(run(['draw', picture, '--plan-json', after, '--quiet']).status).toBe(0);
  expect(readFileSync(after, 'utf8')).toBe(readFileSync(before, 'utf8'));
  expect(run(['trial', picture]).stdout).toBe(run(['trial', TWO_EXITS]).stdout);
  expect(run(['draw', TWO_EXITS, '--out', join(folder, 'b.plan.txt')])).toMatchObject({ status: 0, stdout: '' });
  expect(readFileSync(join(folder, 'b.plan.txt'), 'utf8')).toBe(readFileSync(picture, 'utf8'));
});

it('a picture may come over the standard input', () => {
  const drawn = join(folder, 'c.plan.txt');
  run(['draw', TWO_EXITS, '--text', drawn, '--quiet']);
  const text = readFileSync(drawn, 'utf8').replace(/^catalog: .*$/m, 'catalog: "models/catalogs/grain-yard.json"');
  expect(run(['trial', '-', '--json'], text).stdout).toBe(run(['trial', TWO_EXITS, '--json']).stdout);
});

it('what is wrong is told with line, column and tile, and ends with code 2', () => {
  const drawn = join(folder, 'd.plan.txt');
  run(['draw', TWO_EXITS, '--text', drawn, '--quiet']);
  const text = readFileSync(drawn, 'utf8');
  const wrong = (name: string, changed: string): readonly [number | null, string] => {
    const path = join(folder, name);
    writeFileSync(path, changed);
    const { status, stderr } = run(['trial', path]);
    return [status, stderr.replaceAll(folder, '')];
  };
  expect(wrong('e.plan.txt', text.replace('"bay arm"', '"bya arm"'))).toEqual([2, '/e.plan.txt:5:6: error: The catalog has no arm named “bya arm”. Did you mean “bay arm”?\n']);
  expect(wrong('f.plan.txt', text.replace('1 │▗▄▄▄▖', '1 │▗▄▄▄ '))[1]).toMatch(/^\/f\.plan\.txt:17:8: error: Tile \(0, 1\) shows no part that there is; it is most like a chest, but here nothing stands/);
  expect(wrong('g.plan.txt', '{}')).toEqual([2, expect.stringContaining('/g.plan.txt:1:1: error: The first line is “{}”, but “transloom-picture/1” is needed.')]);
});

it('a picture file has its own ending', () => {
  expect(run(['draw', TWO_EXITS, '--text', join(folder, 'x.txt')])).toMatchObject({ status: 2, stderr: expect.stringContaining('.plan.txt') as string });
});
