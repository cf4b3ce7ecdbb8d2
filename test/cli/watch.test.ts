/**
 * `trial --watch` as the built command, while its file is saved in the ways of editors. `npm test` builds first.
 */
import { spawn, spawnSync } from 'node:child_process';
import { readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { ownFolder } from '../own-folder.js';
import { MAIN, ROOT } from './built-command.js';

const folder = ownFolder();

it('tries again at every save, also by renaming, tells what changed, survives errors, and ends with 0', async () => {
  const plan = join(folder, 'a.plan.txt');
  spawnSync(process.execPath, [MAIN, 'draw', join(ROOT, 'models/plans/grain-two-bins.json'), '--text', plan, '--quiet'], { cwd: ROOT });
  const whole = readFileSync(plan, 'utf8');
  const child = spawn(process.execPath, [MAIN, 'trial', plan, '--watch', '--starts', '1'], { cwd: folder, env: { PATH: process.env['PATH'] } });
  let output = '';
  for (const stream of [child.stdout, child.stderr]) stream.on('data', (chunk: Buffer) => (output += chunk.toString('utf8')));
  const ended = new Promise<number | null>((resolve) => child.on('exit', resolve));
  const watched = (): number => output.split('Watching').length - 1;
  const until = async (times: number): Promise<string> => {
    const from = output.length;
    while (watched() < times) await new Promise((resolve) => setTimeout(resolve, 20));
    return output.slice(from);
  };
  await until(1);
  writeFileSync(plan, whole.replace('1 │▗▄▄▄▖ ╭─╮', '1 │▗▄▄▄▖    ').replace('◦╯ ╰▶', '     '));
  expect(await until(2)).toMatch(/Changed by this save:\n +exit over the south edge of \[2, 7\]: 13\.33\/s, now 6\.67\/s\n +cost: 76, now 63/);
  writeFileSync(plan, whole.replace('▗▄▄▄▖', '▗▄▄▄ '));
  expect(await until(3)).toContain('error: Tile [0, 1] shows no part');
  writeFileSync(`${plan}~`, whole);
  renameSync(`${plan}~`, plan);
  expect(await until(4)).toContain('6.67/s, now 13.33/s');
  child.kill('SIGINT');
  expect(await ended).toBe(0);
});

it('needs a file and a terminal', () => {
  const { status, stderr } = spawnSync(process.execPath, [MAIN, 'trial', '-', '--watch'], { encoding: 'utf8' });
  expect([status, stderr]).toEqual([2, expect.stringContaining('--watch prints to the terminal')]);
});
