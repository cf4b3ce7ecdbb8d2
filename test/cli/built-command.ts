/**
 * The built command, as these tests run it. `npm test` builds first.
 */
import { spawnSync, type SpawnSyncReturns } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { projectFile } from '../documents.js';

export const ROOT = fileURLToPath(projectFile('.'));
export const MAIN = join(ROOT, 'dist/cli/main.js');
if (!existsSync(MAIN)) throw new Error('build first: npm run build');

export interface CommandOptions {
  readonly input?: string;
  /** Added to an environment of PATH alone. */
  readonly env?: NodeJS.ProcessEnv;
  /** Left out: the project's root. */
  readonly cwd?: string;
  /** Milliseconds after which it is ended; left out: never. */
  readonly timeout?: number;
}

export const transloom = (words: readonly string[], { input = '', env = {}, cwd = ROOT, timeout }: CommandOptions = {}): SpawnSyncReturns<string> =>
  spawnSync(process.execPath, [MAIN, ...words], { cwd, input, encoding: 'utf8', timeout, maxBuffer: 1 << 26, env: { PATH: process.env['PATH'], ...env } });
