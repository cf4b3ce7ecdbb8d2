/**
 * The named baseline: the same brief as one integer program over the whole grid (`test/oracles/whole-grid.ts`),
 * solved by HiGHS and by GLPK. It answers an easier question than the product: its rates are optimistic, it
 * proves a bound on the price only, and its layouts may fall short when they are simulated.
 */
import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { lanesAreBounded, wholeGridProgram } from '../test/oracles/whole-grid.js';
import { ROOT, readBrief, type BriefCase } from './cases.js';
import { demand } from './check-answer.js';
import type { Program } from '../src/program/program.js';
import { TOO_LARGE } from './memory-watch.js';
import type { BaselineRecord, Circumstances } from './record.js';
import type { WholeGridFinding } from './whole-grid-process.js';

export const BASELINE_SOLVERS = ['highs', 'glpk'] as const;

/** Beyond its limit a process gets this much longer (and a few seconds to start) to look at the clock. */
const PATIENCE = 1.5;
const START_SECONDS = 10;
export const mostMilliseconds = (limitSeconds: number): number => 1000 * (PATIENCE * limitSeconds + START_SECONDS);

export function sizeOfProgram({ variables, rows }: Program): BaselineRecord['size'] {
  const integers = variables.filter(({ kind }) => kind === 'integer').length;
  return { integers, continuous: variables.length - integers, rows: rows.length };
}

/** Undefined where the program makes no true statement about a brief of this catalog. */
export function measureBaseline(which: BriefCase, solver: string, circumstances: Circumstances): BaselineRecord | undefined {
  const brief = readBrief(which.path);
  if (!lanesAreBounded(brief.catalog)) return undefined;
  const { limitSeconds } = circumstances;
  // `process.execArgv` holds what lets this process, and so that one, run TypeScript.
  const words = [...process.execArgv, join(ROOT, 'bench/whole-grid-process.ts'), which.path, solver, `${limitSeconds}`];
  const timeout = mostMilliseconds(limitSeconds);
  const from = performance.now();
  const run = spawnSync(process.execPath, words, { encoding: 'utf8', timeout, killSignal: 'SIGKILL' });
  const common = { kind: 'baseline', name: which.name, solver, ...circumstances } as const;
  if (run.signal === 'SIGKILL') {
    const solve = Math.round(performance.now() - from);
    const verdict = run.stdout.includes(TOO_LARGE) ? 'too-large' : 'stopped';
    return { ...common, size: sizeOfProgram(wholeGridProgram(brief).program), verdict, stageMs: { build: 0, solve } };
  }
  demand(run.status === 0, which.name, `${solver} on the whole grid: ${run.stderr.slice(0, 400)}`);
  return { ...common, ...(JSON.parse(run.stdout) as WholeGridFinding) };
}
