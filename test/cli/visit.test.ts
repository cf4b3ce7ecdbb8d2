/**
 * `transloom visit` as a user meets it: output, files, exit codes. `npm test` builds first.
 */
import { spawn, spawnSync, type SpawnSyncReturns } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ownFolder } from '../own-folder.js';
import { MAIN, ROOT, transloom } from './built-command.js';

const BINS = 'models/plans/grain-two-bins.json';
const folder = ownFolder();

const visit = (...words: readonly string[]): SpawnSyncReturns<string> => transloom(['visit', ...words]);

/** A plan of the grain yard as a file, with some fields changed. */
function planFile(name: string, change: (plan: { parts: { kind: string; at: number[] }[]; exits: unknown[]; wagons: unknown[] }) => void): string {
  const plan = JSON.parse(readFileSync(join(ROOT, BINS), 'utf8')) as { catalog: unknown; parts: { kind: string; at: number[] }[]; exits: unknown[]; wagons: unknown[] };
  plan.catalog = JSON.parse(readFileSync(join(ROOT, 'models/catalogs/grain-yard.json'), 'utf8'));
  change(plan);
  const path = join(folder, name);
  writeFileSync(path, JSON.stringify(plan));
  return path;
}

describe('visit', () => {
  it('runs until visits come over and over, and shows trains, chests, exits and a chart', () => {
    const { status, stdout, stderr } = visit(BINS);
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toContain('Exact: trains 4 to 7 come over and over, every 22500 ticks');
    expect(stdout).toContain('for room in the chest at [0, 1]');
    expect(stdout).toMatch(/^ {2}chest \[0, 1\] .*[▇█]/m);
    expect(stdout).not.toContain('late');
  });

  it('prints one JSON document, the same twice', () => {
    const { stdout } = visit(BINS, '--json', '--headway', '400s');
    expect(visit(BINS, '--json', '--headway', '20000').stdout).toBe(stdout);
    const answer = JSON.parse(stdout) as { ending: string; cycle: object; visits: object[]; samples: object[] };
    expect(answer.ending).toBe('repeats');
    expect(answer.cycle).toMatchObject({ firstVisit: 2, visits: 1, ticks: 20_000, dwell: '2326', headway: '20000', trainsPerHour: 9 });
    expect(answer.samples.length).toBeGreaterThan(50);
  });

  it('says of the wagon of a train that had to leave that it was not emptied', () => {
    expect(visit(BINS, '--headway', '2000', '--stay', '1500', '--visits', '9').stdout).toContain('The wagon was not emptied; the last to take from it was the arm at [4, 0], which');
  });

  it('blames arms alone only where they never waited', () => {
    expect(visit(BINS, '--headway', '20000').stdout).toContain('the arms there were at work all of the time, so only more or faster arms would let it go earlier.');
    // A saturated belt from which two arms fill the wagon: more of them would find no more.
    const straight = {
      format: 'transloom-plan/1',
      name: 'straight',
      catalog: 'models/catalogs/grain-yard.json',
      site: { width: 6, depth: 2 },
      wagons: [{ model: 'long grain wagon', at: 0 }],
      parts: [
        { kind: 'arm', at: [0, 0], heading: 'N', model: 'bay arm' },
        { kind: 'arm', at: [1, 0], heading: 'N', model: 'bay arm' },
        { kind: 'belt', at: [0, 1], heading: 'E', model: 'field belt' },
        { kind: 'belt', at: [1, 1], heading: 'E', model: 'field belt' },
      ],
      exits: [],
      entries: [{ at: [0, 1], heading: 'E' }],
    };
    const { stdout } = transloom(['visit', '-', '--visits', '4'], { input: JSON.stringify(straight) });
    expect(stdout).toMatch(/the arms there were at work most of the time, and waited \d+ ticks in all for items\.\n/);
  });

  it('speaks of chests only where there are some', () => {
    const { stdout } = visit('models/plans/grain-both-sides.json', '--visits', '8');
    expect(stdout).toMatch(/which went on placing on the belt at .* for room: the belts take less than the arms could bring\.\n/);
  });

  it('draws with ASCII alone if asked, and the verdict alone with --quiet', () => {
    expect(visit(BINS, '--ascii', '--headway', '20000').stdout).toMatch(/^[\n -~]+$/);
    expect(visit(BINS, '--quiet').stdout.split('\n')).toHaveLength(3);
  });

  it('writes to a file, whole', () => {
    const out = join(folder, 'visits.json');
    const { status, stdout } = visit(BINS, '--json', '--visits', '3', '--out', out);
    expect([status, stdout]).toEqual([0, '']);
    expect((JSON.parse(readFileSync(out, 'utf8')) as { departures: number }).departures).toBe(3);
  });

  it('ends with code 1 where a train can never leave', () => {
    const blocked = planFile('blocked.json', (plan) => (plan.exits = []));
    const { status, stdout } = visit(blocked, '--levels', 'full');
    expect(status).toBe(1);
    expect(stdout).toContain('Stuck: from tick');
  });

  it('ends with code 2 and one sentence on each wrong use', () => {
    const noWagon = planFile('no-wagon.json', (plan) => (plan.wagons = []));
    const cases: readonly (readonly [readonly string[], string])[] = [
      [[BINS, '--load', '1501'], '--load 1501 is more than the wagon “long grain wagon” holds; give at most 1500.'],
      [[BINS, '--load', '1,2'], '--load gives 2 numbers, but the plan has one wagon;'],
      [[BINS, '--load', '-3'], 'load'],
      [[BINS, '--headway', '0'], '--headway needs ticks such as 4500, up to 1000000000, or seconds such as 90s, or “none”, not “0”.'],
      [[BINS, '--stay', '0'], 'or seconds such as 90s, not “0”.'],
      [[BINS, '--headway', '0.01s'], "--headway would be 1/2 ticks at this catalog's 50 a second"],
      [[BINS, '--stay', 'long'], '--stay needs ticks'],
      [[BINS, '--levels', '1201'], '--levels 1201 is more than the chest at [0, 1] holds; give at most 1200, or “full”.'],
      [[BINS, '--visits', '0'], '--visits needs a whole number from 1 on'],
      [[BINS, '--ticks', '1/2'], '--ticks needs ticks'],
      [[noWagon], 'This plan has no wagon'],
    ];
    for (const [words, sentence] of cases) {
      const { status, stdout, stderr } = visit(...words);
      expect([words.join(' '), status, stdout]).toEqual([words.join(' '), 2, '']);
      expect(stderr).toContain(sentence);
    }
  });
});

describe('visit --starts', () => {
  it('tells from which start trains stand longest, the same from the same seed, and leaves the rest as it is', () => {
    const alone = JSON.parse(visit(BINS, '--headway', '240s', '--json').stdout) as Record<string, unknown>;
    const run = (seed: string): Record<string, unknown> => JSON.parse(visit(BINS, '--headway', '240s', '--starts', '3', '--seed', seed, '--json').stdout) as Record<string, unknown>;
    const { starts, ...rest } = run('5');
    expect(rest).toEqual(alone);
    expect(starts).toMatchObject({ tried: 3, seed: 5, unsettled: 0, worst: { dwell: expect.stringMatching(/^\d+(\/\d+)?$/) as unknown } });
    expect(run('5')['starts']).toEqual(starts);
    expect(visit(BINS, '--headway', '240s', '--starts', '3', '--quiet').stdout).toMatch(/Tried from 3 staggered starts too: from .* [\d.]+ ticks \(\d+\.\d s\) on average\./);
    // Of one visit nothing can come over again, from the standard start as from the staggered ones.
    expect(visit(BINS, '--visits', '1', '--starts', '2', '--quiet').stdout).toContain('Tried from 2 staggered starts too. From 3 of 3 starts in all visits did not come over again.');
  });
});

describe('visit --svg and --html', () => {
  it('write whole files beside the report; a name that is none is told', () => {
    const [svg, html] = ['visit.svg', 'visit.html'].map((name) => join(folder, name));
    const run = (...words: readonly string[]): SpawnSyncReturns<string> => visit(BINS, ...words);
    const { status, stdout } = run('--headway', '240s', '--svg', svg, '--html', html);
    expect(status).toBe(0);
    expect(stdout).toContain('Over time');
    expect(readFileSync(svg, 'utf8')).toMatch(/^<svg .*<\/svg>\n$/s);
    expect(readFileSync(html, 'utf8')).toMatch(/^<!doctype html>.*<\/html>\n$/s);
    expect([run('--svg', '').status, run('--html', '').stderr]).toEqual([2, expect.stringContaining('--html needs the name of a file.')]);
  });
});

describe('trial --spotting', () => {
  it('shows each place where wagons may stop, and which arms miss them', () => {
    const { status, stdout } = spawnSync(process.execPath, [MAIN, 'trial', BINS, '--spotting', '1', '--starts', '1'], { cwd: ROOT, encoding: 'utf8', env: { PATH: process.env['PATH'] } });
    expect(status).toBe(0);
    expect(stdout).toMatch(/1 tile far .*\[0, 0\].*\[0, 1\] runs dry +worst/);
    expect(stdout).toMatch(/1 tile short .*none .*chests keep up/);
  });
});

const station = (...words: readonly string[]): SpawnSyncReturns<string> =>
  spawnSync(process.execPath, [MAIN, 'station', ...words], { cwd: ROOT, encoding: 'utf8', env: { PATH: process.env['PATH'] } });

/** Of the design, whether its station is sized beside it or none was found. */
function statusOf(json: string): unknown {
  const document = JSON.parse(json) as { readonly status?: unknown; readonly design?: { readonly status: unknown } };
  return document.design?.status ?? document.status;
}

describe('station', () => {
  it('says why a chest holds much more than it needs, where one does', () => {
    const note = 'what earlier trains left over in it stays there';
    // At all that the belts carry off, [0, 1] needs 437.5 and comes to 1200.
    expect(station('models/plans/grain-two-bins.json').stdout).toContain(note);
    expect(station('models/plans/grain-two-bins.json', '--demand', '10/s').stdout).not.toContain(note);
  });

  it('designs a brief, and sizes it by its demand, by formula and by visits', () => {
    const { status, stdout, stderr } = station('models/briefs/grain-station.json');
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toContain('Optimal: cost 62');
    expect(stdout).toMatch(/^ {2}trains +9 +9$/m);
    expect(stdout).toContain('Formula and visits agree');
  });

  it('of a brief and of a plan that fill trains', () => {
    const brief = station('models/briefs/grain-load-full.json', '--demand', '8/s', '--round-trip', '600s', '--json');
    expect(brief.status).toBe(0);
    expect(JSON.parse(brief.stdout)).toMatchObject({ met: true, formula: { headway: '9375', trains: 4 }, visits: { trains: 4 }, agrees: true, design: { status: 'optimal' } });
    const plan = station('models/plans/grain-loading.json', '--demand', '25/s', '--quiet');
    expect(plan.status).toBe(1);
    expect(plan.stdout).toContain('No: 25.00/s are asked for, but only 20.00/s can be loaded with full trains.');
  });

  it('two wagons onto two belts, no train longer than 100 s: a proven station of both, and its trains', () => {
    const { status, stdout, stderr } = station('models/briefs/grain-two-wagons.json');
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toContain('Optimal: cost 94');
    expect(stdout).toMatch(/^ {2}a train stands +4687.5 ticks, 93.8 s +4676 ticks, 93.5 s$/m);
    expect(stdout).toContain('Formula and visits agree');
  });

  it('designs on a thread of its own: a time limit or Ctrl-C ends it with what it has', async () => {
    const words = ['station', 'models/briefs/grain-two-belts.json', '--demand', '36000/h', '--json'];
    const limited = station(...words.slice(1), '--time-limit', '1');
    expect([limited.status, limited.stderr]).toEqual([3, '']);
    expect(['unknown', 'feasible']).toContain(statusOf(limited.stdout));
    const child = spawn(process.execPath, [MAIN, ...words], { cwd: ROOT });
    let output = '';
    child.stdout.on('data', (data: Buffer) => (output += data.toString()));
    const ended = new Promise((resolve) => child.on('close', resolve));
    await new Promise((resolve) => setTimeout(resolve, 3000));
    child.kill('SIGINT');
    expect(await ended).toBe(3);
    expect(['unknown', 'feasible']).toContain(statusOf(output));
  });

  it('sizes a plan by its options, as JSON as well', () => {
    const { status, stdout } = station(BINS, '--demand', '36000/h', '--round-trip', '600s', '--layover', '10%', '--json');
    expect(status).toBe(0);
    expect(JSON.parse(stdout)).toMatchObject({
      met: true,
      agrees: true,
      wagonsPerTrain: 1,
      wagons: 5,
      formula: { headway: '7500', dwell: '9375/4', presence: '5/16', trains: 5 },
      visits: { trains: 5, flow: '1/5' },
      bottleneck: { kind: 'belts', use: '3/4' },
    });
  });

  it('says so where nothing is asked for', () => {
    expect(station(BINS, '--quiet').stdout).toContain('Yes: no demand is given, so it is sized for all that can be carried off, 13.33/s.');
  });

  it('says so where nothing leaves: no table is empty, and no chest or arm is blamed', () => {
    const closed = planFile('closed.json', (plan) => (plan.exits = []));
    const sized = station(closed);
    expect([sized.status, sized.stdout.replace(/\s+/g, ' ')]).toEqual([1, expect.stringContaining('No: the flow of this layout carries off, or fills, no trains, for a chest does not keep up, or nothing flows out of a wagon in the long run')]);
    for (const command of ['trial', 'visit']) {
      const { stdout } = transloom([command, closed]);
      expect(stdout).toContain('\nThe plan has no exit, so nothing leaves.\n');
      expect(stdout).not.toMatch(/^ +exit /m);
    }
  });

  it('ends with code 1 where the demand can not be met', () => {
    const { status, stdout } = station(BINS, '--demand', '16/s', '--quiet');
    expect(status).toBe(1);
    expect(stdout).toContain('No: 16.00/s are asked for, but only 13.33/s can be carried off');
  });

  it('ends with code 2 and one sentence on each wrong use', () => {
    const cases: readonly (readonly [readonly string[], string])[] = [
      [[BINS, '--demand', '0/h'], '--demand needs items per hour such as 48000/h'],
      [[BINS, '--round-trip', '5min'], '--round-trip needs seconds such as 900s or whole ticks such as 45000, not “5min”.'],
      [[BINS, '--layover', 'some'], '--layover needs a share such as 1/10, 0.1 or 10%, not “some”.'],
      [['models/catalogs/grain-yard.json'], 'models/catalogs/grain-yard.json:3:13: error: At /format'],
    ];
    for (const [words, sentence] of cases) {
      const { status, stdout, stderr } = station(...words);
      expect([words.join(' '), status, stdout]).toEqual([words.join(' '), 2, '']);
      expect(stderr).toContain(sentence);
    }
  });
});
