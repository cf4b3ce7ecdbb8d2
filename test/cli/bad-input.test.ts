/**
 * Wrong files, wrong numbers and outputs that can't be written: one sentence that says what to do, code 2, nothing
 * half-written. And what is taken though it might have been refused.
 */
import { spawnSync, type SpawnSyncReturns, type StdioOptions } from 'node:child_process';
import { closeSync, existsSync, openSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join, sep } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ownFolder } from '../own-folder.js';
import { MAIN, ROOT, transloom } from './built-command.js';

const BINS = 'models/plans/grain-two-bins.json';
const BRIEF = 'models/briefs/grain-060.json';
const CATALOG = 'models/catalogs/grain-yard.json';
const MEASUREMENTS = 'models/measurements/grain-yard.json';

const folder = ownFolder();

describe('files of another kind', () => {
  it.each([
    ['trial', BRIEF, '"transloom-brief/1", of a brief, but "transloom-plan/1" is needed; name a file of that format, or take this one to “transloom design”.'],
    ['design', BINS, '"transloom-plan/1", of a plan, but "transloom-brief/1" is needed; name a file of that format, or take this one to “transloom trial”.'],
    ['fit', CATALOG, '"transloom-catalog/1", of a catalog, but "transloom-measurements/1" is needed; name a file of that format, or take this one to “transloom rates”, or let a brief or a plan name it as its “catalog”.'],
    ['visit', MEASUREMENTS, 'take this one to “transloom fit”.'],
    ['replay', BRIEF, 'This is no proof log: its format is "transloom-brief/1", of a brief; name a file that “transloom design --audit” wrote, or take this one to “transloom design”.'],
    ['replay', 'README.md', 'This is no proof log: its first line is not JSON; name a file that “transloom design --audit” wrote.'],
    ['station', CATALOG, '"transloom-catalog/1", of a catalog, but "transloom-brief/1" or "transloom-plan/1" is needed; name a file of one of these formats, or take this one to “transloom rates”, or let a brief or a plan name it as its “catalog”.'],
    ['rates', MEASUREMENTS, '"transloom-measurements/1", of measurements, but "transloom-catalog/1", "transloom-brief/1" or "transloom-plan/1" is needed; name a file of one of these formats, or take this one to “transloom fit”.'],
    ['design', 'models/schemas/brief.schema.json', 'This file holds no brief: it lacks “format”, “name”, “catalog”, “site”, “wagons”. Name one whose “format” is "transloom-brief/1".'],
    ['trial', '', 'The file “” can\'t be read (there is no such file or folder); name one that can.'],
  ])('%s %s', (command, file, sentence) => {
    const { status, stdout, stderr } = transloom([command, file]);
    expect(stderr).toContain(sentence);
    expect(stderr.split('\n')).toHaveLength(2);
    expect([status, stdout]).toEqual([2, '']);
  });

  it('what a command printed or logged is told from documents', () => {
    const lists: readonly (readonly [string, string, string])[] = [
      ['printed.json', JSON.stringify({ status: 'optimal', plan: { format: 'transloom-plan/1' } }), 'or put what stands here at /plan into a file of its own.'],
      ['list.json', JSON.stringify({ status: 'complete', list: [{ plan: { format: 'transloom-plan/1' } }] }), 'or put what stands here at /list/0/plan into a file of its own.'],
      ['log.jsonl', '{"step":"opened","format":"transloom-proof/1"}\n{"step":"began"}\n', 'it is a proof log, so take it to “transloom replay”.'],
      ['list.csv', 'number,cost\n1,2\n', 'it seems to be a table of “transloom tradeoffs”, which no command reads; name the brief.'],
      ['page.html', '<!doctype html>', 'it seems to be a page or a drawing, which no command reads; name the file of which it was made.'],
    ];
    for (const [name, text, sentence] of lists) {
      const path = join(folder, name);
      writeFileSync(path, text);
      const { status, stderr } = transloom(['trial', path]);
      expect(stderr).toContain(sentence);
      expect([status, stderr.trim().split('\n').length]).toEqual([2, 1]);
    }
  });

  it('a plan that lacks little has its other fields looked at', () => {
    const path = join(folder, 'lacking.json');
    writeFileSync(path, JSON.stringify({ name: 'a', site: 3, wagons: [], parts: [], exits: [] }));
    expect(transloom(['trial', path]).stderr.trim().split('\n')).toHaveLength(3);
  });

  it('rates takes the catalog of a brief or a plan, inside it or by its path', () => {
    const { status, stdout } = transloom(['rates', CATALOG, '--json']);
    expect(status).toBe(0);
    for (const file of [BRIEF, BINS]) expect(transloom(['rates', file, '--json']), file).toMatchObject({ status: 0, stdout });
    const inside = join(folder, 'inside.json');
    writeFileSync(inside, JSON.stringify({ format: 'transloom-plan/1', catalog: { format: 'transloom-catalog/1', pitch: 1 } }));
    const wrong = transloom(['rates', inside]);
    expect(wrong.status).toBe(2);
    expect(wrong.stderr).toContain('error: At /catalog: The field “name” is missing; add it.');
  });
});

it.skipIf(sep !== '/')('a path to a catalog with backslashes is told how to be written', () => {
  const file = join(folder, 'backslash.json');
  writeFileSync(file, JSON.stringify({ format: 'transloom-plan/1', catalog: '..\\nowhere.json' }));
  expect(transloom(['rates', file]).stderr).toContain('(there is no such file or folder); write “/” between folders, which is understood everywhere.');
});

it('tens of thousands of flaws are told, each with its place', () => {
  const file = join(folder, 'flaws.json');
  const plan = JSON.parse(readFileSync(join(ROOT, BINS), 'utf8')) as object;
  const parts = Array.from({ length: 20_000 }, () => ({ kind: 'belt', at: [0.5, 1], heading: 'S', model: 'field belt' }));
  writeFileSync(file, JSON.stringify({ ...plan, catalog: join(ROOT, CATALOG), parts }, undefined, 1));
  const { status, stderr } = transloom(['trial', file], { timeout: 30_000 });
  expect(status).toBe(2);
  const lines = stderr.trimEnd().split('\n');
  expect(lines).toHaveLength(20_000);
  expect(lines.at(-1)).toMatch(/flaws\.json:\d+:5: error: At \/parts\/19999\/at\/0: Here stands 0\.5, but a whole number is needed\.$/);
});

it('tens of thousands of wagons in one place are told, each once', () => {
  const brief = JSON.parse(readFileSync(join(ROOT, BRIEF), 'utf8')) as { readonly wagons: readonly { readonly model: string }[] };
  const file = join(folder, 'wagons.json');
  writeFileSync(file, JSON.stringify({ ...brief, catalog: join(ROOT, CATALOG), wagons: Array.from({ length: 20_000 }, () => ({ ...brief.wagons[0], at: 0 })) }));
  const { status, stderr } = transloom(['design', file], { timeout: 30_000 });
  expect([status, stderr.trimEnd().split('\n').length]).toEqual([2, 19_999]);
});

it('fractions of many digits are told, or rounded where they only size a run', () => {
  const file = join(folder, 'fine.json');
  const plan = JSON.parse(readFileSync(join(ROOT, BINS), 'utf8')) as { readonly exits: readonly object[] };
  const exits = plan.exits.map((exit) => ({ ...exit, take: '1/99999999999999999999' }));
  writeFileSync(file, JSON.stringify({ ...plan, catalog: join(ROOT, CATALOG), exits }));
  expect(transloom(['trial', file])).toMatchObject({ status: 2, stdout: '' });
  const { status, stdout } = transloom(['station', BINS, '--demand', '23999.123456789012345/h', '--json']);
  expect([status, (JSON.parse(stdout) as { readonly met: boolean }).met]).toEqual([0, true]);
});

it('a dwell of next to nothing is infeasible, however little it is', () => {
  const brief = JSON.parse(readFileSync(join(ROOT, BRIEF), 'utf8')) as object;
  const file = join(folder, 'at-once.json');
  writeFileSync(file, JSON.stringify({ ...brief, catalog: join(ROOT, CATALOG), limits: { dwell: '0.000000000000000000001s' } }));
  expect(transloom(['design', file, '--json', '--time-limit', '20'])).toMatchObject({ status: 1, stderr: '' });
});

it('a text that is too long is quoted from its beginning, and the quotes are closed', () => {
  const file = join(folder, 'long.json');
  writeFileSync(file, JSON.stringify({ format: 'transloom-catalog/1', name: 'n'.repeat(101) }));
  expect(transloom(['rates', file]).stderr).toContain(`The text "${'n'.repeat(39)}…" is too long; keep it to 100 characters.`);
});

it.each([
  ['--json=maybe', '--json takes no value, so “maybe” says nothing; leave it out.'],
  ['--watch=1', '--watch takes no value, so “1” says nothing; leave it out.'],
  ['-z', 'There is no option -z here.'],
])('of trial %s is told', (word, sentence) => {
  const { status, stdout, stderr } = transloom(['trial', BINS, word]);
  expect([status, stdout, stderr.split('\n')[0]]).toEqual([2, '', `transloom: ${sentence}`]);
});

describe('numbers', () => {
  it.each([
    [['design', BRIEF, '--time-limit', '5m'], '--time-limit needs seconds above 0 and below 1000000000, such as 90 or 90s, not “5m”.'],
    [['design', BRIEF, '--time-limit', '0s'], '--time-limit needs seconds above 0'],
    [['design', BRIEF, '--workers', '100000'], '--workers needs a whole number from 1 to 256, not “100000”.'],
    [['trial', BINS, '--starts', '999999999999'], '--starts needs a whole number from 0 to 10000, not “999999999999”.'],
    [['why', BINS, '--starts', '10001'], '--starts needs a whole number from 0 to 10000, not “10001”.'],
    [['trial', BINS, '--counts', '--ticks', '999999999999'], '--ticks needs ticks such as 4500, up to 1000000000, or seconds such as 90s, not “999999999999”.'],
    [['trial', BINS, '--counts', '--ticks', '0.01s'], "--ticks would be 1/2 ticks at this catalog's 50 a second"],
    [['visit', BINS, '--levels', 'some'], '--levels needs a whole number from 0 on, “empty” or “full”, not “some”.'],
    [['visit', BINS, '--load', '1,2'], '--load gives 2 numbers, but the plan has one wagon; give'],
    [['trial', BINS, '--spotting', '51'], '--spotting needs a whole number from 1 to 50, not “51”.'],
    [['trial', BINS, '--seed', '9999999999999'], '--seed needs a whole number from 0 to 999999999999, not “9999999999999”.'],
    [['why', BINS, '--target', '2'], '--target needs a share above 0 and up to 1 such as 0.85, or a rate such as 20/s, or “promise”, not “2”.'],
    [['mend', BINS, '--target', 'A:1,x'], '“x” names no exit.'],
  ])('%j', (words, sentence) => {
    const { status, stdout, stderr } = transloom(words);
    expect(stderr).toContain(sentence);
    expect([status, stdout]).toEqual([2, '']);
  });

  it('seconds may be written with their unit wherever they are asked for', () => {
    expect(transloom(['design', BRIEF, '--quiet', '--time-limit', '30s'])).toMatchObject({ status: 0, stderr: '' });
    const counted = (ticks: string): string => transloom(['trial', BINS, '--counts', '--json', '--ticks', ticks]).stdout;
    expect(counted('10s')).toBe(counted('500'));
  });
});

it('an option that a command has no use for is told, and not shown in its help', () => {
  const { status, stderr } = transloom(['rates', CATALOG, '--time-limit', '5', '--seed', '2']);
  expect(status).toBe(0);
  expect(stderr).toBe('transloom: warning: “rates” has no use for --seed; leave it out.\ntransloom: warning: “rates” has no use for --time-limit; leave it out.\n');
  expect(transloom(['rates', '--help']).stdout).not.toMatch(/--(seed|time-limit|solver)/);
  expect(transloom(['why', '--help']).stdout).toMatch(/--time-limit/);
});

describe.skipIf(!existsSync('/dev/full') || !existsSync('/dev/zero'))('devices', () => {
  const run = (words: readonly string[], stdio: StdioOptions): SpawnSyncReturns<string> => spawnSync(process.execPath, [MAIN, ...words], { cwd: ROOT, encoding: 'utf8', stdio });
  const opened = (path: string, flags: string, use: (descriptor: number) => SpawnSyncReturns<string>): SpawnSyncReturns<string> => {
    const descriptor = openSync(path, flags);
    try {
      return use(descriptor);
    } finally {
      closeSync(descriptor);
    }
  };

  it.each([['trial', BINS], ['trial', '--help'], ['--version'], ['completion']])('a full disk under the standard output is told in a sentence: %s %s', (...words) => {
    const { status, stderr } = opened('/dev/full', 'w', (full) => run(words, ['ignore', full, 'pipe']));
    expect([status, stderr]).toEqual([2, "transloom: The standard output can't be written (the disk is full); send it elsewhere.\n"]);
  });

  it('an error stream that takes nothing holds no answer back', () => {
    const warned = join(folder, 'warned.json');
    const plan = JSON.parse(readFileSync(join(ROOT, BINS), 'utf8')) as { readonly parts: readonly object[] };
    const parts = [...plan.parts, { kind: 'arm', at: [5, 7], heading: 'S', model: 'bay arm' }];
    writeFileSync(warned, JSON.stringify({ ...plan, $schema: undefined, catalog: join(ROOT, CATALOG), parts }));
    const [heard, unheard] = [run(['trial', warned], ['ignore', 'pipe', 'pipe']), opened('/dev/full', 'w', (full) => run(['trial', warned], ['ignore', 'pipe', full]))];
    expect(heard.stderr).toContain('warning');
    expect([unheard.status, unheard.stdout]).toEqual([heard.status, heard.stdout]);
  });

  it.each([
    ['trial'], ['why'], ['mend'], ['visit'], ['draw'], ['station'], ['rates'], ['fit'], ['replay'], ['design'], ['tradeoffs'], ['design', '--resume'], ['mend', BINS, '--brief'],
  ])('what has no end is not read to it: %s %s %s', (...words) => {
    const { status, stdout, stderr } = run([...words.filter((word) => word !== undefined), '/dev/zero'], ['ignore', 'pipe', 'pipe']);
    expect([status, stdout, stderr]).toEqual([2, '', 'transloom: The file /dev/zero has more than 128 MiB; name one that is shorter.\n']);
  });

  it.each([['trial', '-'], ['replay', '-'], ['replay', '/dev/stdin']])('nor where it comes over the standard input: %s %s', (...words) => {
    const { status, stderr } = opened('/dev/zero', 'r', (zero) => run(words, [zero, 'pipe', 'pipe']));
    expect([status, stderr]).toEqual([2, expect.stringMatching(/^transloom: The file .* has more than 128 MiB; name one that is shorter\.\n$/)]);
  });
});

it('a reader that has read enough ends the command quietly', () => {
  const { status, stdout, stderr } = spawnSync('sh', ['-c', `"${process.execPath}" "${MAIN}" rates "${CATALOG}" | head -n 1`], { cwd: ROOT, encoding: 'utf8' });
  expect([status, stdout.trimEnd().split('\n').length, stderr]).toEqual([0, 1, '']);
});

describe('a name that ends like another kind of file', () => {
  it.each([
    ['draw', BINS, '--svg', 'x.html', '--svg writes SVG, which no name in .html tells; let it end in .svg.'],
    ['draw', BINS, '--svg', 'x.PNG', '--svg writes SVG, which no name in .png tells'],
    ['draw', BINS, '--html', 'x.svg', '--html writes a page, which no name in .svg tells; let it end in .html or .htm.'],
    ['draw', BINS, '--plan-json', 'x.plan.txt', '--plan-json writes JSON, which no name in .plan.txt tells; let it end in .json.'],
    ['draw', BINS, '--out', 'x.pdf', '--out writes text, JSON or a plan, which no name in .pdf tells'],
    ['visit', BINS, '--svg', 'x.json', '--svg writes SVG'],
    ['mend', BINS, '--html', 'x.csv', '--html writes a page'],
    ['why', BINS, '--best', 'x.svg', '--best writes a plan, which no name in .svg tells; let it end in .json or .plan.txt.'],
    ['design', BRIEF, '--out', 'x.html', '--out writes text, JSON or a plan'],
    ['design', BRIEF, '--save', 'x.jsonl', '--save writes JSON'],
    ['tradeoffs', BRIEF, '--csv', 'x.json', '--csv writes CSV'],
  ])('%s %s %s %s', (command, file, option, name, sentence) => {
    const path = join(folder, name);
    const { status, stdout, stderr } = transloom([command, file, option, path]);
    expect(stderr).toContain(sentence);
    expect([status, stdout, existsSync(path)]).toEqual([2, '', false]);
  });

  it('is told before the place is looked at', () => {
    const { status, stderr } = transloom(['draw', BINS, '--svg', join(folder, 'nowhere', 'x.html')]);
    expect([status, stderr]).toEqual([2, expect.stringContaining('--svg writes SVG, which no name in .html tells')]);
  });

  it('is taken where it ends in its own way, in another case, or in none that says anything', () => {
    for (const name of ['a.SVG', 'picture', 'a.draft', 'a.json.bak']) {
      const path = join(folder, name);
      expect(transloom(['draw', BINS, '--quiet', '--svg', path])).toMatchObject({ status: 0, stderr: '' });
      expect(readFileSync(path, 'utf8'), name).toMatch(/^<svg|^<\?xml/);
    }
  });
});

it('where there is nothing to write, that is said, and the answer decides the exit code', () => {
  const brief = JSON.parse(readFileSync(join(ROOT, BRIEF), 'utf8')) as object;
  const scant = join(folder, 'scant.json');
  writeFileSync(scant, JSON.stringify({ ...brief, catalog: join(ROOT, CATALOG), limits: { cost: 20 } }));
  const out = join(folder, 'none.json');
  for (const words of [['design', scant, '--out', out], ['tradeoffs', scant, '--pick', '1', '--out', out]]) {
    const { status, stdout, stderr } = transloom(words);
    expect([status, stderr]).toEqual([1, `transloom: No station was found, so ${out} is not written.\n`]);
    expect(stdout).toContain('Infeasible: ');
    expect(existsSync(out)).toBe(false);
  }
});

it('of files that can\'t be written nothing is left behind', () => {
  const before = readdirSync(folder);
  for (const option of ['--svg', '--html', '--plan-json']) {
    const { status, stderr } = transloom(['draw', BINS, option, join(folder, 'nowhere', 'a.x')]);
    expect(stderr).toContain("can't be written (there is no such file or folder); name another.");
    expect(status).toBe(2);
  }
  expect(readdirSync(folder)).toEqual(before);
});
