/**
 * The built command as a user or a script meets it: output, files, exit codes. `npm test` builds first.
 */
import { spawn } from 'node:child_process';
import { chmodSync, readdirSync, readFileSync, statSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ownFolder } from '../own-folder.js';
import { MAIN, ROOT, transloom } from './built-command.js';

const BINS = 'models/plans/grain-two-bins.json';
const TWO_EXITS = 'models/plans/grain-two-exits.json';

const folder = ownFolder();

const plan = (): Record<string, unknown> => ({
  ...(JSON.parse(readFileSync(join(ROOT, BINS), 'utf8')) as Record<string, unknown>),
  catalog: JSON.parse(readFileSync(join(ROOT, 'models/catalogs/grain-yard.json'), 'utf8')) as unknown,
});

function planFile(name: string, changes: Record<string, unknown>): string {
  const path = join(folder, name);
  writeFileSync(path, JSON.stringify({ ...plan(), ...changes }, undefined, 1));
  return path;
}

const PROMISE = { cost: 76, starts: 2, exits: [{ at: [2, 7], heading: 'S', flow: '4/15', left: '2/15', right: '2/15' }] };

describe('usage', () => {
  it.each([
    [[], 'Name a command'],
    [['drow', BINS], 'There is no command “drow”; did you mean “draw”?'],
    [['frobnicate', BINS], 'There is no command “frobnicate”.'],
    [['draw'], 'The name of a file is missing'],
    [['draw', BINS, BINS], 'There is no option or word'],
    [['draw', BINS, '--jsn'], 'There is no option --jsn here; did you mean --json?'],
    [['design', '--seed', 'x'], '--seed needs a whole number from 0 on, not “x”.'],
    [['design', '--seed', '1.5'], '--seed needs a whole number'],
    [['design', '--seed'], 'The option --seed needs a value.'],
    [['design', '--export-program', 'program.txt'], '--export-program needs a file name that ends in .mps or .lp'],
    [['design', '--save', ''], '--save needs the name of a file'],
    [['design', '--resume', 'nowhere.json'], "The file nowhere.json can't be read"],
    [['design', '--resume', BINS], `${BINS}:3:13: error: At /format: The format is "transloom-plan/1", of a plan, but "transloom-search/1" is needed`],
    [['design', '--resume', 'search.json', '--audit'], '--audit does not go with --resume'],
    [['design', '--time-limit', '0'], '--time-limit needs seconds above 0'],
    [['design', '--time-limit', '-3'], '--time-limit needs seconds above 0'],
    [['design', '--solver', 'abacus'], 'There is no solver “abacus”'],
    [['trial', BINS, '--counts'], '--counts needs --ticks'],
    [['trial', BINS, '--ticks', '5'], '--ticks says over how long --counts counts'],
    [['trial', BINS, '--starts', '-1'], '--starts needs a whole number'],
    [['draw', 'nowhere.json'], "The file nowhere.json can't be read (there is no such file or folder)"],
    [['draw', 'models'], "The file models can't be read (it is a folder)"],
    [['draw', 'models/briefs/grain-060.json'], 'models/briefs/grain-060.json:3:13: error: At /format'],
  ])('%j is refused with code 2 and a sentence', (words, sentence) => {
    const { status, stdout, stderr } = transloom(words);
    expect(stderr).toContain(sentence);
    expect(stdout).toBe('');
    expect(status).toBe(2);
  });

  it('helps, tells its version, and completes', () => {
    expect(transloom(['--help'], { env: { LANG: 'de_DE.UTF-8' } })).toMatchObject({ status: 0, stderr: '' });
    expect(transloom(['--help'], { env: { LANG: 'de_DE.UTF-8' } }).stdout).toContain('Exit codes: 0 done');
    const ofVisits = transloom(['visit', '--help']).stdout;
    expect(ofVisits).toContain('left out: once visits come over and over\n');
    expect(ofVisits).not.toContain('[string]');
    expect(transloom(['--version']).stdout).toMatch(/^\d+\.\d+\.\d+\n$/);
    expect(transloom(['completion']).stdout).toContain('transloom');
    expect(transloom(['--get-yargs-completions', 'transloom', 'dr']).stdout).toContain('draw');
  });
});

describe('draw', () => {
  it('draws without colour into a pipe, and with it when forced', () => {
    const plain = transloom(['draw', BINS]);
    expect(plain.status).toBe(0);
    expect(plain.stdout).toContain('long grain wagon');
    expect(plain.stdout).not.toContain('\u001b');
    expect(transloom(['draw', BINS], { env: { FORCE_COLOR: '3' } }).stdout).toContain('\u001b[');
    expect(transloom(['draw', BINS], { env: { FORCE_COLOR: '0' } }).stdout).toBe(plain.stdout);
    expect(transloom(['draw', BINS], { env: { NO_COLOR: '1' } }).stdout).toBe(plain.stdout);
  });

  it('keeps to ASCII with --ascii', () => {
    expect(transloom(['draw', BINS, '--ascii']).stdout).toMatch(/^[\n -~]*$/);
  });

  it('begins with the same picture as a trial', () => {
    const lines = (words: readonly string[]): readonly string[] => transloom(words).stdout.split('\n').slice(0, 24);
    expect(lines(['draw', BINS]).join('\n')).toContain('67 percent');
    expect(lines(['trial', BINS])).toEqual(lines(['draw', BINS]));
  });

  it('also writes the picture and the page to files, whatever is printed', () => {
    const [svg, html] = [join(folder, 'plan.svg'), join(folder, 'plan.html')];
    const { status, stdout } = transloom(['draw', BINS, '--json', '--svg', svg, '--html', html]);
    expect({ status, name: (JSON.parse(stdout) as { readonly name: string }).name }).toEqual({ status: 0, name: 'two bins, one for each lane' });
    expect(readFileSync(svg, 'utf8')).toMatch(/^<\?xml [^]*<\/svg>\n$/);
    expect(readFileSync(html, 'utf8')).toMatch(/^<!doctype html>\n[^]*<\/html>\n$/);
    expect(transloom(['draw', BINS, '--svg', join(folder, 'no', 'such', 'folder.svg')]).status).toBe(2);
    expect(transloom(['draw', BINS, '--svg=']).stderr).toContain('--svg needs the name of a file');
  });

  it('waits for a slow writer on the standard input', async () => {
    const child = spawn('sh', ['-c', `(sleep 1; cat ${BINS}) | (cd models/plans && ${JSON.stringify(process.execPath)} ${JSON.stringify(MAIN)} draw - --quiet)`], { cwd: ROOT });
    let [output, complaint] = ['', ''];
    child.stdout.on('data', (data: Buffer) => (output += data.toString()));
    child.stderr.on('data', (data: Buffer) => (complaint += data.toString()));
    expect(await new Promise((resolve) => child.on('close', resolve))).toBe(0);
    expect(complaint).toBe('');
    expect(output).toContain('long grain wagon');
  });

  it('reads the standard input, with a catalog inside or relative to the current folder', () => {
    expect(transloom(['draw', '-'], { input: JSON.stringify(plan()) }).status).toBe(0);
    const relative = JSON.stringify({ ...plan(), catalog: 'models/catalogs/grain-yard.json' });
    expect(transloom(['draw', '-'], { input: relative })).toMatchObject({ status: 0, stderr: '' });
    const broken = transloom(['draw', '-'], { input: '{"a" 1}' });
    expect(broken.status).toBe(2);
    expect(broken.stderr).toContain('(standard input):1:6: error: This is not JSON');
  });

  it('finds the catalog relative to the plan, not to the current folder', () => {
    expect(transloom(['draw', join(ROOT, BINS)], { cwd: folder }).status).toBe(0);
  });

  it('names every flaw with its line, those of an inner catalog too', () => {
    const parts = (plan()['parts'] as Record<string, unknown>[]).map((part, index) => (index === 3 ? { ...part, model: 'bay arn' } : part));
    const flawed = planFile('flawed.json', { parts, exits: [{ at: [2, 7], hedding: 'S', heading: 'S' }] });
    const { status, stderr } = transloom(['draw', flawed]);
    expect(status).toBe(2);
    expect(stderr).toMatch(/flawed\.json:\d+:\d+: error: At \/parts\/3\/model.*“bay arm”/);
    expect(stderr).toMatch(/flawed\.json:\d+:\d+: error: At \/exits\/0\/hedding/);
    const inner = planFile('inner.json', { catalog: { ...(plan()['catalog'] as object), pitch: 0 } });
    expect(transloom(['draw', inner]).stderr).toMatch(/inner\.json:\d+:\d+: error: At \/catalog\/pitch/);
  });

  it('gives JSON alone with --json', () => {
    const { stdout, stderr, status } = transloom(['draw', TWO_EXITS, '--json']);
    expect(status).toBe(0);
    expect(stderr).toBe('');
    expect(JSON.parse(stdout)).toMatchObject({ cost: 93, parts: 15, footprint: 40 });
  });

  it('warns on the error stream, unless quiet', () => {
    const odd = planFile('odd.json', { exits: [] });
    expect(transloom(['draw', odd]).stderr).toContain(': warning: ');
    expect(transloom(['draw', odd, '--quiet'])).toMatchObject({ status: 0, stderr: '' });
  });

  it('does not mind a reader that leaves', async () => {
    const child = spawn(process.execPath, [MAIN, 'draw', BINS], { cwd: ROOT, stdio: ['ignore', 'pipe', 'pipe'] });
    child.stdout.destroy();
    let complaint = '';
    child.stderr.on('data', (data: Buffer) => (complaint += data.toString()));
    const status = await new Promise((resolve) => child.on('close', resolve));
    expect(complaint).toBe('');
    expect(status).toBe(0);
  });
});

describe('--out', () => {
  it('writes the whole file, keeps links and modes, and leaves nothing behind', () => {
    const target = join(folder, 'picture.txt');
    const link = join(folder, 'link.txt');
    writeFileSync(target, 'old');
    chmodSync(target, 0o640);
    symlinkSync(target, link);
    const { status, stdout } = transloom(['draw', BINS, '--out', link]);
    expect({ status, stdout }).toEqual({ status: 0, stdout: '' });
    expect(readFileSync(target, 'utf8')).toBe(transloom(['draw', BINS]).stdout);
    expect(statSync(target).mode & 0o777).toBe(0o640);
    expect(readdirSync(folder).filter((name) => name.endsWith('.tmp'))).toEqual([]);
  });

  it.each([['/nowhere/at/all.txt', 'there is no such file or folder'], ['.', 'it is a folder']])(
    'refuses %s with code 2 and one sentence',
    (path, reason) => {
      const { status, stderr } = transloom(['draw', BINS, '--out', path], { cwd: ROOT });
      expect(status).toBe(2);
      expect(stderr).toContain(reason);
      expect(stderr.trim().split('\n')).toHaveLength(1);
    },
  );
});

describe('trial', () => {
  it('is exact on a plan without a promise', () => {
    const { status, stdout } = transloom(['trial', BINS, '--json']);
    expect(status).toBe(0);
    expect(JSON.parse(stdout)).toMatchObject({
      exact: true,
      exits: [{ at: [2, 7], flow: '4/15', fill: '2/3' }],
      cost: 76,
      parts: 13,
      footprint: 40,
      imbalance: '0',
    });
  });

  it('counts items, more of them over more ticks', () => {
    const countOver = (ticks: number): number => {
      const { stdout } = transloom(['trial', BINS, '--ticks', String(ticks), '--counts', '--json', '--starts', '0']);
      const { exits } = JSON.parse(stdout) as { exits: { counts: { left: number; right: number } }[] };
      return exits[0].counts.left + exits[0].counts.right;
    };
    expect(countOver(10)).toBe(0);
    expect(countOver(3000)).toBeGreaterThan(600);
  });

  it('ends with 0 for a kept promise and 1 for a broken one', () => {
    const kept = transloom(['trial', planFile('kept.json', { result: PROMISE })]);
    expect(kept.stdout).toContain('Promise kept');
    expect(kept.status).toBe(0);
    const more = { ...PROMISE, exits: [{ ...PROMISE.exits[0], flow: '2/5' }] };
    const broken = transloom(['trial', planFile('broken.json', { result: more })]);
    expect(broken.stdout).toContain('Promise broken');
    expect(broken.status).toBe(1);
    const flawed = transloom(['trial', planFile('malformed.json', { result: { ...PROMISE, cost: 'much' } })]);
    expect(flawed.stderr).toContain('At /result/cost');
    expect(flawed.status).toBe(2);
  });

  it('prints the same for the same seed', () => {
    const run = (): string => transloom(['trial', TWO_EXITS, '--seed', '7', '--json']).stdout;
    expect(run()).toBe(run());
  });
});

describe('design', () => {
  it('proves an optimum, writes a plan that keeps its promise, and gives the same plan again', () => {
    const [first, second] = ['first.json', 'second.json'].map((name) => join(folder, name));
    const { status, stdout } = transloom(['design', 'models/briefs/grain-060-direct.json', '--json', '--out', first]);
    expect(status).toBe(0);
    const answer = JSON.parse(stdout) as { readonly plan: unknown };
    expect(answer).toMatchObject({ status: 'optimal', proof: { gap: '0' }, trial: { exact: true } });
    expect(JSON.parse(readFileSync(first, 'utf8'))).toEqual(answer.plan);
    expect(transloom(['trial', first])).toMatchObject({ status: 0, stderr: '' });
    expect(transloom(['design', 'models/briefs/grain-060-direct.json', '--quiet', '--out', second]).stdout).toMatch(/^Optimal: cost \d+/);
    expect(readFileSync(second, 'utf8')).toBe(readFileSync(first, 'utf8'));
  });

  it('says unknown, never infeasible, when its time is up', () => {
    const { status, stdout } = transloom(['design', 'models/briefs/grain-two-belts.json', '--time-limit', '0.001', '--json']);
    expect(JSON.parse(stdout)).toMatchObject({ status: 'unknown' });
    expect(status).toBe(3);
  });

  it('saves a search that is stopped, and goes on with it to the same plan', () => {
    const [search, whole, portions] = ['search.json', 'whole.json', 'portions.json'].map((name) => join(folder, name));
    const brief = 'models/briefs/grain-085.json';
    const design = (...words: readonly string[]) => transloom(['design', brief, '--json', ...words]);
    const stopped = design('--save', search, '--time-limit', '0.3');
    expect(stopped).toMatchObject({ status: 3, stderr: `The search is saved; go on with --resume ${search}.\n` });
    expect(JSON.parse(stopped.stdout)).toMatchObject({ status: 'unknown', saved: true });
    const before = readFileSync(search, 'utf8');
    const finished = design('--save', search, '--resume', search, '--out', portions);
    expect(finished).toMatchObject({ status: 0, stderr: 'The search is finished, so there was nothing to save.\n' });
    expect(JSON.parse(finished.stdout)).toMatchObject({ status: 'optimal', saved: false, proof: { resumed: true } });
    expect(readFileSync(search, 'utf8')).toBe(before);
    expect(JSON.parse(design('--out', whole).stdout)).not.toHaveProperty('proof.resumed');
    expect(readFileSync(portions, 'utf8')).toBe(readFileSync(whole, 'utf8'));
    expect(transloom(['design', brief, '--resume', search, '--quiet', '--time-limit', '0.001']).status).toBe(3);
    const other = transloom(['design', 'models/briefs/grain-060.json', '--resume', search]);
    expect(other).toMatchObject({ status: 2, stdout: '' });
    expect(other.stderr).toMatch(/search\.json:\d+:\d+: error: At \/brief\/name: The search was saved for another brief/);
    expect(readdirSync(folder).filter((name) => name.endsWith('.tmp'))).toEqual([]);
  });

  it('says infeasible with a reason, and code 1', () => {
    const brief = JSON.parse(readFileSync(join(ROOT, 'models/briefs/grain-060-direct.json'), 'utf8')) as object;
    const catalog = JSON.parse(readFileSync(join(ROOT, 'models/catalogs/grain-yard.json'), 'utf8')) as unknown;
    const input = JSON.stringify({ ...brief, catalog, limits: { cost: 20 } });
    const { status, stdout } = transloom(['design', '-', '--json'], { input });
    expect(JSON.parse(stdout)).toMatchObject({ status: 'infeasible', reason: expect.stringMatching(/\.$/) as unknown });
    expect(status).toBe(1);
  });

  it('without a brief designs the demo: a full belt, by way of a splitter', () => {
    const { status, stdout } = transloom(['design']);
    expect(status).toBe(0);
    for (const words of ['Optimal: cost 89;', 'quay splitter', '100.0 %', 'no hole', 'lower bound 89, found 89, gap 0']) expect(stdout).toContain(words);
  });

  it('ends with what it has on Ctrl-C', async () => {
    const child = spawn(process.execPath, [MAIN, 'design', 'models/briefs/grain-two-belts.json', '--json'], { cwd: ROOT });
    let output = '';
    child.stdout.on('data', (data: Buffer) => (output += data.toString()));
    const ended = new Promise((resolve) => child.on('close', resolve));
    await new Promise((resolve) => setTimeout(resolve, 4000));
    child.kill('SIGINT');
    expect(await ended).toBe(3);
    expect(JSON.parse(output)).toMatchObject({ proof: { solver: 'glpk' } });
  });
});
