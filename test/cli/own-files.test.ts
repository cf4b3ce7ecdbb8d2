/**
 * What a command reads and writes is looked at before it begins: nothing is lost by a name given twice, by a place that takes
 * no file, or by a file that would be written over. Also options that are misspelt or given twice.
 */
import { existsSync, mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ownFolder } from '../own-folder.js';
import { ROOT, transloom } from './built-command.js';

const BINS = join(ROOT, 'models/plans/grain-two-bins.json');
const BRIEF = 'models/briefs/grain-060.json';
const CATALOG = join(ROOT, 'models/catalogs/grain-yard.json');

const folder = ownFolder();

function copyOfBins(name: string): string {
  const plan = JSON.parse(readFileSync(BINS, 'utf8')) as object;
  const path = join(folder, name);
  writeFileSync(path, JSON.stringify({ ...plan, $schema: undefined, catalog: CATALOG }));
  return path;
}

describe('options', () => {
  it.each([
    [['trial', BINS, '--strats', '3'], 'transloom: There is no option --strats here; did you mean --starts?'],
    [['trial', BINS, '--ouy=x'], 'transloom: There is no option --ouy here; did you mean --out?'],
    [['trial', BINS, '--frobnicate'], 'transloom: There is no option --frobnicate here.'],
    [['trial', BINS, 'again.json'], 'transloom: There is no option or word “again.json” here.'],
    [['trial', BINS, '--seed', '1', '--seed=2'], 'transloom: --seed is given twice; give it once.'],
    [['trial', BINS, '--json', '--json'], 'transloom: --json is given twice; give it once.'],
    [['mend', BINS, '--target', 'B:1'], 'transloom: --target names exit B, but the plan has one exit.'],
  ])('%j', (words, sentence) => {
    const { status, stdout, stderr } = transloom(words);
    expect(stderr.split('\n')[0]).toBe(sentence);
    expect([status, stdout]).toEqual([2, '']);
  });

  it('those that may be given again still may', () => {
    const { stderr } = transloom(['mend', BINS, '--keep', '0,0', '--keep', '99,0']);
    expect(stderr).toContain('What is to be kept at [99, 0] does not lie');
    expect(transloom(['mend', BINS, '--keep', '0,0', '--keep']).stderr).toContain('The option --keep needs a value.');
  });
});

describe('files', () => {
  it('none is written over that is read, by whatever name', () => {
    const plan = copyOfBins('read.json');
    const before = readFileSync(plan, 'utf8');
    const link = join(folder, 'link.json');
    symlinkSync(plan, link);
    for (const [words, option] of [
      [['trial', plan, '--out', plan], 'out'],
      [['trial', plan, '--out', link], 'out'],
      [['draw', link, '--svg', plan], 'svg'],
      [['draw', plan, '--out', plan], 'out'],
      [['visit', plan, '--html', plan], 'html'],
    ] as const) {
      const { status, stderr } = transloom(words);
      expect(stderr).toContain(`--${option} would write over`);
      expect([status, readFileSync(plan, 'utf8')]).toEqual([2, before]);
    }
  });

  it('nor is the catalog of what is read', () => {
    const catalog = join(folder, 'catalog.json');
    const before = readFileSync(CATALOG, 'utf8');
    writeFileSync(catalog, before);
    const plan = join(folder, 'beside.json');
    writeFileSync(plan, JSON.stringify({ ...(JSON.parse(readFileSync(BINS, 'utf8')) as object), $schema: undefined, catalog: 'catalog.json' }));
    for (const words of [
      ['draw', plan, '--plan-json', catalog],
      ['trial', plan, '--out', catalog],
      ['rates', plan, '--out', catalog],
      ['mend', plan, '--out', catalog],
    ]) {
      const { status, stdout, stderr } = transloom(words);
      expect(stderr).toContain(`would write over ${catalog}, which is read`);
      expect([status, stdout, readFileSync(catalog, 'utf8')]).toEqual([2, '', before]);
    }
    const piped = transloom(['trial', '-', '--out', 'catalog.json'], { cwd: folder, input: readFileSync(plan, 'utf8') });
    expect(piped.stderr).toContain('--out would write over catalog.json, which is read');
    expect([piped.status, readFileSync(catalog, 'utf8')]).toEqual([2, before]);
    expect(transloom(['trial', '-', '--quiet', '--out', 'beside.txt'], { cwd: folder, input: readFileSync(plan, 'utf8') }).status).toBe(0);
    expect(transloom(['trial', '-', '--quiet', '--out', 'beside.txt'], { cwd: folder, input: readFileSync(plan, 'utf8') }).status).toBe(0);
  });

  it('what stands behind “--” is the name of a file, whatever it begins with', () => {
    writeFileSync(join(folder, '-bins.json'), readFileSync(copyOfBins('behind.json'), 'utf8'));
    expect(transloom(['trial', '--quiet', '--', '-bins.json'], { cwd: folder })).toMatchObject({ status: 0, stderr: '' });
    expect(transloom(['design', '--', 'nope.json'])).toMatchObject({ status: 2, stdout: '' });
    expect(transloom(['trial', BINS, '--', 'again.json']).stderr).toContain('There is no option or word “again.json” here.');
  });

  it('none is written that has no name', () => {
    const kept = readdirSync(folder);
    for (const [command, file, option] of [['trial', BINS, '--out'], ['draw', BINS, '--svg'], ['design', join(ROOT, BRIEF), '--save']]) {
      const { status, stdout, stderr } = transloom([command, file, option, '-'], { cwd: folder });
      expect(stderr).toContain(`${option} takes the name of a file, and “-” is none; the standard output is /dev/stdout.`);
      expect([status, stdout, readdirSync(folder)]).toEqual([2, '', kept]);
    }
  });

  it('a plan may be written over by a plan', () => {
    const plan = copyOfBins('again.json');
    expect(transloom(['draw', plan, '--quiet', '--plan-json', plan])).toMatchObject({ status: 0, stderr: '' });
    expect(transloom(['trial', plan, '--quiet']).status).toBe(0);
  });

  it('none is named by two options, but for devices', () => {
    const twice = join(folder, 'twice.x');
    const { status, stderr } = transloom(['draw', BINS, '--svg', twice, '--html', join(folder, '.', 'twice.x')]);
    expect(stderr).toContain('--svg and --html name the same file');
    expect([status, existsSync(twice)]).toEqual([2, false]);
    expect(transloom(['draw', BINS, '--quiet', '--svg', '/dev/null', '--html', '/dev/null']).status).toBe(0);
  });

  // A search of minutes would be lost if this was told at its end; with a limit of that length, this test would not end either.
  it.each([
    ['design', 'models/briefs/grain-two-belts.json', '--out', 'a.json'],
    ['design', 'models/briefs/grain-two-belts.json', '--export-program', 'a.lp'],
    ['tradeoffs', 'models/briefs/grain-100.json', '--csv', 'a.csv'],
    ['tradeoffs', 'models/briefs/grain-100.json', '--html', 'a'],
    ['mend', 'models/plans/grain-two-exits.json', '--out', 'a.plan.txt'],
  ])('%s %s: %s %s that can\'t be written is told before the search', (command, file, option, name) => {
    const kept = readdirSync(folder);
    const { status, stdout, stderr } = transloom([command, file, option, join(folder, 'nowhere', name)]);
    expect(stderr).toContain("can't be written (there is no such file or folder); name another.");
    expect([status, stdout]).toEqual([2, '']);
    expect(readdirSync(folder)).toEqual(kept);
  });

  it('the standard input is read for one of them', () => {
    expect(transloom(['mend', '-', '--brief', '-'])).toMatchObject({ status: 2, stdout: '', stderr: expect.stringContaining('The standard input can be read only once') as string });
  });
});

describe('what can\'t be read', () => {
  const written = (name: string, bytes: string | Uint8Array): string => {
    const path = join(folder, name);
    writeFileSync(path, bytes);
    return path;
  };

  it.each([
    ['a catalog that is not there, where it is named', '{"format": "transloom-brief/1",\n "catalog": "none.json"}', ':2:13: error: At /catalog: The file '],
    ['bytes that are no UTF-8, at the first of them', Buffer.from('{"a": "ü",\n"name": "\xe9"}', 'latin1'), ':1:8: error: The bytes here are no text in UTF-8; save'],
    ['a name that stands twice', '{"a": 1, "a": 2}', 'stands twice in one object); keep one of the two.'],
    ['a sign too many', '{"a": 1,}', "mend the file's commas, quotes or brackets there."],
  ])('%s', (name, text, sentence) => {
    const { status, stdout, stderr } = transloom(['design', written(`${name.replaceAll(/\W/g, '-')}.json`, text)]);
    expect(stderr).toContain(sentence);
    expect([status, stdout, stderr.trim().split('\n').length]).toEqual([2, '', 1]);
  });

  it('a file that has the sign for unreadable bytes in it is text like any other', () => {
    const brief = JSON.parse(readFileSync(join(ROOT, BRIEF), 'utf8')) as object;
    mkdirSync(join(folder, 'sign'));
    const path = written('sign/brief.json', JSON.stringify({ ...brief, $schema: undefined, catalog: CATALOG, name: 'a \ufffd' }));
    expect(transloom(['design', path, '--quiet', '--time-limit', '20'])).toMatchObject({ status: 0, stderr: '' });
  });

  it('names hold no signs that a terminal would obey', () => {
    const brief = JSON.parse(readFileSync(join(ROOT, BRIEF), 'utf8')) as object;
    const catalog = JSON.parse(readFileSync(CATALOG, 'utf8')) as { readonly belts: object };
    const belts = { ...catalog.belts, 'fast\u001b[31m': { speed: 12, cost: 2 } };
    const path = written('controls.json', JSON.stringify({ ...brief, name: 'a\nb', catalog: { ...catalog, belts } }));
    const { status, stderr } = transloom(['design', path]);
    expect(stderr.match(/The name has a control character or a line break in it; take it out\./g)).toHaveLength(2);
    expect(stderr).toContain('At /catalog/belts/fast\\u001b[31m: The name');
    expect(status).toBe(2);
  });
});
