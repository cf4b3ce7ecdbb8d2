/**
 * Ctrl-C in the midst of one simulation that takes minutes, by the built command. `npm test` builds first.
 */
import { spawn } from 'node:child_process';
import { readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readJson } from '../documents.js';
import { ownFolder } from '../own-folder.js';
import { MAIN, transloom } from './built-command.js';

const folder = ownFolder();
const plan = join(folder, 'finest.json');

const FINEST = 1_000_000;

type Groups = { readonly [group: string]: Readonly<Record<string, object>> };

/** A million items lie on each of its tiles, and hands hold as many. */
function writeFinest(): void {
  const catalog = readJson('models/catalogs/grain-yard.json') as Groups;
  const all = (group: string, change: object): object => Object.fromEntries(Object.entries(catalog[group]).map(([name, model]) => [name, { ...model, ...change }]));
  const carriers = Object.fromEntries(['belts', 'splitters', 'underpasses'].map((group) => [group, all(group, { speed: 1 })]));
  const finest = { ...catalog, ...carriers, arms: all('arms', { payload: FINEST }), unitsPerTile: FINEST, pitch: 1, turn: { inner: FINEST, outer: FINEST } };
  writeFileSync(plan, JSON.stringify({ ...(readJson('models/plans/grain-two-bins.json') as object), catalog: finest }));
}
writeFinest();

interface Ending {
  readonly code: number | null;
  readonly signal: NodeJS.Signals | null;
  readonly stdout: string;
  /** From the first signal on. */
  readonly milliseconds: number;
}

const pause = (milliseconds: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, milliseconds));

/** What comes of it if it is told to stop once it is at work. */
async function interrupted(words: readonly string[], times = 1, signal: NodeJS.Signals = 'SIGINT'): Promise<Ending> {
  const child = spawn(process.execPath, [MAIN, ...words], { cwd: folder });
  let stdout = '';
  child.stdout.on('data', (data: Buffer) => (stdout += data.toString()));
  const ended = new Promise<Pick<Ending, 'code' | 'signal'>>((resolve) => child.on('close', (code, by) => resolve({ code, signal: by })));
  await pause(4_000);
  const begun = performance.now();
  for (let time = 0; time < times; time++) {
    child.kill(signal);
    await pause(20);
  }
  return { ...(await ended), stdout, milliseconds: performance.now() - begun };
}

const SOON = 4_000;

describe('a command that has something to tell before its end', () => {
  it.each(['mend', 'station', 'why'])('%s tells it on Ctrl-C, and ends with 3', async (name) => {
    const { code, signal, stdout, milliseconds } = await interrupted([name, plan, '--json']);
    expect([code, signal]).toEqual([3, null]);
    expect(JSON.parse(stdout)).toMatchObject({ stoppedBy: 'interrupt' });
    expect(milliseconds).toBeLessThan(SOON);
  });

  it('ends at once at the second Ctrl-C, and leaves no file behind', async () => {
    const { code, stdout } = await interrupted(['mend', plan, '--svg', 'mend.svg'], 2);
    expect([code, stdout]).toEqual([3, '']);
    expect(readdirSync(folder)).toEqual(['finest.json']);
  });

  it.each(['SIGTERM', 'SIGHUP'] as const)('is ended by %s, and leaves no file behind either', async (by) => {
    const { signal, stdout } = await interrupted(['mend', plan, '--svg', 'mend.svg', '--html', 'mend.html'], 1, by);
    expect([signal, stdout]).toEqual([by, '']);
    expect(readdirSync(folder)).toEqual(['finest.json']);
  });

  it.each(['mend', 'station', 'why'])('%s keeps to its limit of time', (name) => {
    const { status, stdout, stderr } = transloom([name, plan, '--json', '--time-limit', '1'], { timeout: 20_000 });
    expect([status, stderr]).toEqual([3, '']);
    expect(JSON.parse(stdout)).toMatchObject({ stoppedBy: 'time-limit' });
  });
});

describe('a command that has nothing to tell before its end', () => {
  it.each(['trial', 'trial --watch', 'visit', 'draw'])('%s is ended by Ctrl-C', async (words) => {
    const { signal, stdout, milliseconds } = await interrupted([...words.split(' '), plan]);
    expect([signal, stdout]).toEqual(['SIGINT', '']);
    expect(milliseconds).toBeLessThan(SOON);
  });
});
