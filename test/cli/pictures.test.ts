/**
 * Plans that are drawn, as the built command reads and writes them. `npm test` builds first.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { ownFolder } from '../own-folder.js';
import { transloom } from './built-command.js';

const TWO_EXITS = 'models/plans/grain-two-exits.json';
const folder = ownFolder();

it('a plan drawn, tried and written as JSON again is the same plan, wherever its picture lies', () => {
  const picture = join(folder, 'a.plan.txt');
  const [before, after] = [join(folder, 'before.json'), join(folder, 'after.json')];
  expect(transloom(['draw', TWO_EXITS, '--text', picture, '--plan-json', before, '--quiet']).status).toBe(0);
  expect(transloom(['draw', picture, '--plan-json', after, '--quiet']).status).toBe(0);
  expect(readFileSync(after, 'utf8')).toBe(readFileSync(before, 'utf8'));
  expect(transloom(['trial', picture]).stdout).toBe(transloom(['trial', TWO_EXITS]).stdout);
  expect(transloom(['draw', TWO_EXITS, '--out', join(folder, 'b.plan.txt')])).toMatchObject({ status: 0, stdout: '' });
  expect(readFileSync(join(folder, 'b.plan.txt'), 'utf8')).toBe(readFileSync(picture, 'utf8'));
});

it('a picture may come over the standard input', () => {
  const drawn = join(folder, 'c.plan.txt');
  transloom(['draw', TWO_EXITS, '--text', drawn, '--quiet']);
  const text = readFileSync(drawn, 'utf8').replace(/^catalog: .*$/m, 'catalog: "models/catalogs/grain-yard.json"');
  expect(transloom(['trial', '-', '--json'], { input: text }).stdout).toBe(transloom(['trial', TWO_EXITS, '--json']).stdout);
});

it('what is wrong is told with line, column and tile, and ends with code 2', () => {
  const drawn = join(folder, 'd.plan.txt');
  transloom(['draw', TWO_EXITS, '--text', drawn, '--quiet']);
  const text = readFileSync(drawn, 'utf8');
  const wrong = (name: string, changed: string): readonly [number | null, string] => {
    const path = join(folder, name);
    writeFileSync(path, changed);
    const { status, stderr } = transloom(['trial', path]);
    return [status, stderr.replaceAll(folder, '')];
  };
  expect(wrong('e.plan.txt', text.replace('"bay arm"', '"bya arm"'))).toEqual([2, '/e.plan.txt:5:6: error: The catalog has no arm named “bya arm”. Did you mean “bay arm”?\n']);
  expect(wrong('f.plan.txt', text.replace('1 │▗▄▄▄▖', '1 │▗▄▄▄ '))[1]).toMatch(/^\/f\.plan\.txt:17:8: error: Tile \[0, 1\] shows no part that there is; it is most like a chest, but here nothing stands, not “▖” or “]”\./);
  expect(wrong('g.plan.txt', '{}')).toEqual([2, expect.stringContaining('/g.plan.txt:1:1: error: The first line is “{}”, but “transloom-picture/1” is needed.')]);
});

it('a picture file has its own ending', () => {
  expect(transloom(['draw', TWO_EXITS, '--text', join(folder, 'x.txt')])).toMatchObject({ status: 2, stderr: expect.stringContaining('.plan.txt') as string });
});
