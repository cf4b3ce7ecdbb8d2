/**
 * The built command `tradeoffs` as a user or a script meets it: wrong use, output, files, exit codes.
 */
import { spawn, type SpawnSyncReturns } from 'node:child_process';
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { ownFolder } from '../own-folder.js';
import { MAIN, ROOT, transloom } from './built-command.js';

/** Three layouts up to a price of 52, in two seconds. */
const BRIEF = 'models/briefs/grain-060-direct.json';
/** Two layouts, at 40 and 46, at once. */
const TINY = 'test/cases/tiny-4x5-060.json';

const folder = ownFolder();

/** Up to a quarter above the cheapest. */
const QUARTER = ['--within', '25%'];

const tradeoffs = (...words: readonly string[]): SpawnSyncReturns<string> => transloom(['tradeoffs', BRIEF, ...words]);

describe('wrong use', () => {
  it.each([
    [['--objectives', 'cost,colour'], '--objectives knows no measure “colour”; there are: cost, footprint,'],
    [['--objectives', 'footprint,cost'], '--objectives begins with cost or parts, not “footprint”'],
    [['--objectives', 'cost'], '--objectives needs two measures at least'],
    [['--objectives', 'cost,parts,cost'], '--objectives names “cost” twice'],
    [['--up-to', 'much'], '--up-to needs a whole number from 1 on, or “all”, not “much”'],
    [['--within', 'a bit'], '--within needs a share such as 1/4, 0.25 or 25%, not “a bit”'],
    [['--up-to', '90', '--within', '1/4'], '--up-to and --within both say how far'],
    [['--most', '0'], '--most needs a whole number from 1 on'],
    [['--sort', 'cots'], '--sort knows no measure “cots”'],
    [['--where', 'imbalance<=1/2O'], '--where “imbalance<=1/2O”, sign 12: “1/2O” stands where a number must, such as 40, 1/20, 0.05 or 5%.'],
    [['--where', 'cost<90', '--where', 'fill'], '--where “fill”, sign 5: nothing stands where one of these must: <=, <, >=, >, =.'],
    [['--where', 'cots<90', '--where', 'fill>1'], '--where “cots<90”, sign 1: “cots” stands where one of these must: cost,'],
    [['--where'], 'The option --where needs a value.'],
    [['--over', 'height'], '--over knows no “height”; there are: fill, depth, width, arms.'],
    [['--over', 'fill', '--csv', 'x.csv'], '--csv does not go with it'],
    [['--pick', 'best'], '--pick needs a whole number from 1 on, or “knee”, not “best”'],
    [['--csv='], '--csv needs the name of a file'],
    [['--html='], '--html needs the name of a file'],
    [['--out', '/nowhere/at/all.txt'], "/nowhere/at/all.txt can't be written (there is no such file or folder); name another."],
    [['--html', '/nowhere/at/all.html'], "/nowhere/at/all.html can't be written (there is no such file or folder); name another."],
  ])('%j is refused with code 2 and a sentence, before anything is searched', (words, sentence) => {
    const { status, stdout, stderr } = tradeoffs(...words);
    expect(stderr).toContain(sentence);
    expect(stdout).toBe('');
    expect(status).toBe(2);
  });

  it('without a brief, or with one that is none', () => {
    expect(transloom(['tradeoffs']).stderr).toContain('The name of a file is missing');
    const other = transloom(['tradeoffs', 'models/plans/grain-two-bins.json']);
    expect(other).toMatchObject({ status: 2, stdout: '' });
    expect(other.stderr).toContain('models/plans/grain-two-bins.json:3:13: error: At /format');
  });
});

interface Listed {
  readonly number: number;
  readonly measures: Readonly<Record<string, string>>;
  readonly plan: unknown;
  readonly trial: Readonly<Record<string, unknown>>;
}

interface Printed {
  readonly objectives: readonly string[];
  readonly completeTo: number | 'all';
  readonly found: number;
  readonly list: readonly Listed[];
  readonly knee?: number;
  readonly picked?: { readonly number: number; readonly plan: unknown; readonly bill: readonly unknown[]; readonly build: readonly unknown[] };
}

describe('a list', () => {
  const files = (name: string) => ({ csv: join(folder, `${name}.csv`), html: join(folder, `${name}.html`), plan: join(folder, `${name}.json`) });
  let first = files('');
  let run: SpawnSyncReturns<string>;
  let printed: Printed;

  beforeAll(() => {
    first = files('first');
    run = tradeoffs(...QUARTER, '--json', '--csv', first.csv, '--html', first.html, '--pick', '2', '--out', first.plan);
    printed = JSON.parse(run.stdout) as Printed;
  });

  it('is complete up to a quarter above the cheapest, by rising cost, none beaten by another', () => {
    expect(run).toMatchObject({ status: 0, stderr: '' });
    expect(printed).toMatchObject({ status: 'complete', complete: true, objectives: ['cost', 'footprint', 'parts', 'imbalance'] });
    const { list, objectives, found } = printed;
    expect(list.length).toBeGreaterThan(2);
    expect(found).toBe(list.length);
    expect(list.map(({ number }) => number)).toEqual(list.map((_, index) => index + 1));
    const costs = list.map(({ measures }) => Number(measures['cost']));
    expect(costs).toEqual([...costs].sort((a, b) => a - b));
    expect(printed.completeTo).toBeGreaterThanOrEqual(Math.floor(costs[0] * 1.25));
    const values = list.map(({ measures }) => objectives.map((name) => fractionOf(measures[name])));
    for (const [index, one] of values.entries()) {
      for (const [at, other] of values.entries()) if (at !== index) expect(one.every((value, k) => value <= other[k])).toBe(false);
    }
  });

  const fractionOf = (text: string): number => {
    const [num, den = '1'] = text.split('/');
    return Number(num) / Number(den);
  };

  it("begins with the design's optimum, and each of its plans keeps its promise", () => {
    const design = JSON.parse(transloom(['design', BRIEF, '--json']).stdout) as { readonly proof: { readonly cost: number } };
    expect(printed.list[0].measures['cost']).toBe(String(design.proof.cost));
    for (const { plan, measures, trial } of printed.list) {
      const { status, stdout } = transloom(['trial', '-', '--json'], { input: JSON.stringify(plan) });
      expect(status).toBe(0);
      const tried = JSON.parse(stdout) as Readonly<Record<string, unknown>>;
      for (const name of ['cost', 'footprint', 'parts', 'splitters', 'depth', 'width', 'fill', 'imbalance']) {
        expect(measures[name]).toBe(String(tried[name]));
        expect(trial[name]).toEqual(tried[name]);
      }
    }
  });

  it('writes the picked plan, the whole list as CSV, and a page', () => {
    expect(JSON.parse(readFileSync(first.plan, 'utf8'))).toEqual(printed.list[1].plan);
    expect(printed.picked).toMatchObject({ number: 2, plan: printed.list[1].plan });
    expect(transloom(['trial', first.plan]).status).toBe(0);
    const rows = readFileSync(first.csv, 'utf8').split('\r\n');
    expect(rows).toHaveLength(printed.list.length + 2);
    expect(rows.slice(1, -1).map((row) => row.split(',')[1])).toEqual(printed.list.map(({ measures }) => measures['cost']));
    const html = readFileSync(first.html, 'utf8');
    expect(html).toMatch(/^<!doctype html>\n[^]*<\/html>\n$/);
    const carried = JSON.parse(/<script type="application\/json" id="list">(.*)<\/script>/.exec(html)?.[1] ?? '') as Printed;
    expect(carried.list).toEqual(printed.list);
    expect(readdirSync(folder).filter((name) => name.endsWith('.tmp'))).toEqual([]);
  });

  it('is the same again, to the byte', () => {
    const [one, other] = ['one', 'other'].map((name) => {
      const { csv, html, plan } = files(name);
      transloom(['tradeoffs', TINY, ...QUARTER, '--quiet', '--csv', csv, '--html', html, '--pick', '2', '--out', plan]);
      return [csv, html, plan].map((path) => readFileSync(path, 'utf8'));
    });
    expect(one).toEqual(other);
  });

  it('is shown as it is wished, with its own numbers', () => {
    const numbers = (...words: readonly string[]): readonly number[] => {
      const { list, found } = JSON.parse(transloom(['tradeoffs', TINY, ...QUARTER, '--json', ...words]).stdout) as Printed;
      expect(found).toBe(2);
      return list.map(({ number }) => number);
    };
    expect(numbers('--sort=-cost', '--where', 'cost>1', '--where', 'parts<100')).toEqual([2, 1]);
    expect(numbers('--sort=-cost', '--most', '1')).toEqual([2]);
    const [text, read] = [join(folder, 'list.txt'), readFileSync(join(ROOT, 'test/cases/headline-catalog.json'), 'utf8')];
    const brief = JSON.stringify({ ...(JSON.parse(readFileSync(join(ROOT, TINY), 'utf8')) as object), catalog: JSON.parse(read) as unknown });
    expect(transloom(['tradeoffs', '-', ...QUARTER, '--quiet', '--out', text], { input: brief })).toMatchObject({ status: 0, stdout: '', stderr: '' });
    expect(readFileSync(text, 'utf8')).toMatch(/^Complete: 2 stations/);
    expect(numbers('--where', 'cost<46', '--where', 'cost>=46')).toEqual([]);
  });

  it('tells what it found before it says that there is no such number', () => {
    const { status, stdout, stderr } = transloom(['tradeoffs', TINY, ...QUARTER, '--pick', '99', '--out', join(folder, 'none.json')]);
    expect(stdout).toContain('Complete: ');
    expect(stderr).toContain('transloom: --pick 99: the list goes from 1 to 2.\n');
    expect(status).toBe(2);
    expect(existsSync(join(folder, 'none.json'))).toBe(false);
  });
});

describe('a list that is not complete', () => {
  it('ends with code 3 and what it has when its time is up, and on Ctrl-C', async () => {
    const late = transloom(['tradeoffs', 'models/briefs/grain-two-belts.json', '--time-limit', '0.01', '--json']);
    expect(late.status).toBe(3);
    expect(JSON.parse(late.stdout)).toMatchObject({ complete: false, stoppedBy: 'time-limit' });
    const child = spawn(process.execPath, [MAIN, 'tradeoffs', 'models/briefs/grain-two-belts.json', '--json'], { cwd: ROOT });
    let output = '';
    child.stdout.on('data', (data: Buffer) => (output += data.toString()));
    const ended = new Promise((resolve) => child.on('close', resolve));
    await new Promise((resolve) => setTimeout(resolve, 3000));
    child.kill('SIGINT');
    expect(await ended).toBe(3);
    expect(JSON.parse(output)).toMatchObject({ complete: false, stoppedBy: 'interrupt' });
  });

  it('is none where nothing at that price meets the brief', () => {
    const { status, stdout } = tradeoffs('--up-to', '20', '--json');
    // What costs more was not asked about, so nothing is claimed of it.
    expect(JSON.parse(stdout)).toMatchObject({ status: 'infeasible', completeTo: 20, list: [], reason: expect.stringContaining('up to a cost of') as unknown });
    expect(status).toBe(1);
  });
});
