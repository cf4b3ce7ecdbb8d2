/**
 * `mend` as the built command, and plans written as pictures by the name of their file. `npm test` builds first.
 */
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readJson } from '../documents.js';
import { ownFolder } from '../own-folder.js';
import { transloom } from './built-command.js';

const folder = ownFolder();
const PLAN = 'models/plans/grain-two-bins.json';

interface PlanFile {
  readonly parts: readonly { readonly kind: string; readonly at: readonly number[] }[];
}

/** The plan without what stands on one tile. */
function without(x: number, y: number): string {
  const plan = readJson(PLAN) as PlanFile;
  const path = join(folder, `without-${x}-${y}.json`);
  const catalog = readJson('models/catalogs/grain-yard.json');
  writeFileSync(path, JSON.stringify({ ...plan, catalog, parts: plan.parts.filter(({ at }) => at[0] !== x || at[1] !== y) }));
  return path;
}

it('mends a plan, tells how, and writes what keeps its promise', () => {
  const out = join(folder, 'mended.plan.txt');
  const { status, stdout } = transloom(['mend', without(2, 4), '--target', '0.65', '--out', out]);
  expect(status).toBe(0);
  expect(stdout).toContain('Mended: a repair for 2; none in the searched space costs less.');
  expect(stdout).toContain('1.  add a field belt at [2, 4], heading south');
  expect(readFileSync(out, 'utf8')).toMatch(/^transloom|╔|\[/m);
  const trial = transloom(['trial', out]);
  expect([trial.status, trial.stdout]).toEqual([0, expect.stringContaining('Promise kept')]);
});

it('leaves alone what is sound, also as JSON', () => {
  const { status, stdout } = transloom(['mend', PLAN, '--target', 'A:13/s', '--json']);
  expect([status, JSON.parse(stdout)]).toEqual([0, expect.objectContaining({ status: 'optimal', price: 0, steps: [] })]);
  expect(transloom(['mend', PLAN, '--target', '0:0.5', '--quiet']).stdout).toBe('Sound: the plan gives all that is asked, so there is nothing to do.\n');
});

it('ends with code 3 where time ran out, and 1 where nothing helps', () => {
  const out = join(folder, 'none.json');
  const late = transloom(['mend', PLAN, '--time-limit', '0.01', '--out', out]);
  expect([late.status, late.stderr]).toEqual([3, expect.stringContaining('No repair was found')]);
  const never = transloom(['mend', without(2, 4), '--target', '0.65', '--keep', '0,4,6,3', '--keep=0,7,6,1', '--out', out]);
  expect([never.status, never.stdout]).toEqual([1, expect.stringContaining("Can't be mended")]);
  expect(existsSync(out)).toBe(false);
});

describe('wrong use', () => {
  it.each([
    [['--target', '2'], '--target needs a share'],
    [['--target', 'A:0.5,0:0.5'], 'A:0.5,0:0.5'],
    [['--target', 'A:0.5,1'], 'names no exit'],
    [['--target', 'B:1'], 'the plan has one exit'],
    [['--target', '?:1'], 'by its letter or number'],
    [['--target', '999/s'], 'than its belt carries, which is 20 items per second'],
    [['--keep', '1'], '--keep needs a tile'],
    [['--keep', '1,1,0,2'], '--keep needs a tile'],
    [['--keep', '5,7'], 'No part stands at [5, 7]'],
    [['--keep', '5,7,2,2'], 'does not lie within'],
    [['--brief', 'models/briefs/ore-060.json'], 'The brief models/briefs/ore-060.json has another'],
    [['--brief', 'models/briefs/grain-100.json', '--target', '1'], '--target does not go with --brief'],
    [['--starts', '-1'], '--starts'],
  ])('%j is refused in a sentence', (words, sentence) => {
    const { status, stdout, stderr } = transloom(['mend', PLAN, ...words]);
    if (words[1] === 'A:0.5,0:0.5') expect(stderr).toContain('names “0” twice; name it once.');
    else expect(stderr).toContain(sentence);
    expect([status, stdout]).toEqual([2, '']);
  });
});

it.each([
  ['design', ['models/briefs/grain-060-direct.json']],
  ['tradeoffs', ['models/briefs/grain-060-direct.json', '--pick', '1']],
])('%s --out writes a picture where the name asks for one', (command, words) => {
  const picture = join(folder, `${command}.plan.txt`);
  const plan = join(folder, `${command}.json`);
  expect([picture, plan].map((out) => transloom([command, ...words, '--out', out, '--quiet']).status)).toEqual([0, 0]);
  expect(readFileSync(picture, 'utf8')).not.toMatch(/^\{/);
  const read = (path: string): unknown => JSON.parse(transloom(['draw', path, '--json']).stdout);
  expect(read(picture)).toEqual(read(plan));
  expect(transloom(['trial', picture, '--quiet']).stdout).toContain('Promise kept');
});

it('writes before and after as a picture and as a page, and says at once where it cannot', () => {
  const [svg, html] = [join(folder, 'mend.svg'), join(folder, 'mend.html')];
  expect(transloom(['mend', without(2, 4), '--target', '0.65', '--quiet', '--svg', svg, '--html', html]).status).toBe(0);
  expect(readFileSync(svg, 'utf8')).toMatch(/^<\?xml[\s\S]*>Before<[\s\S]*>After<[\s\S]*<\/svg>\n$/);
  expect(readFileSync(html, 'utf8')).toMatch(/^<!doctype html>[\s\S]*<h2>Steps<\/h2>[\s\S]*<\/html>\n$/);
  const refused = transloom(['mend', without(2, 4), '--target', '0.65', '--svg', join(folder, 'other.svg'), '--html', join(folder, 'nowhere', 'a.html')]);
  expect([refused.status, refused.stdout, existsSync(join(folder, 'other.svg'))]).toEqual([2, '', false]);
});
