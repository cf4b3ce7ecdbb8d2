/**
 * A process that solves one brief as one integer program over the whole grid, and prints what it found as
 * one line of JSON. On its own, so that a solver's memory and faults stay with it, and so that it can be
 * ended where it does not look at the clock. It ends itself where it comes to hold more than `MOST_MEBIBYTES`.
 * Arguments: the brief's file, the solver's name, the limit in seconds.
 */
import { loadGlpkSolver } from '../src/program/glpk-port.js';
import type { IntegerSolver } from '../src/program/solver.js';
import { loadHighsSolver } from '../test/oracles/highs-solver.js';
import { decodeWholeGrid, wholeGridProgram } from '../test/oracles/whole-grid.js';
import { readBrief } from './cases.js';
import { demand, priceOf, shortcomings, tryLayout } from './check-answer.js';
import { sizeOfProgram } from './measure-baseline.js';
import { endBeyond } from './memory-watch.js';
import { MOST_MEBIBYTES, type BaselineRecord } from './record.js';

export type WholeGridFinding = Pick<BaselineRecord, 'size' | 'verdict' | 'objective' | 'bound' | 'meetsBrief' | 'stageMs' | 'peakMebibytes' | 'cpuMs'>;

const SOLVERS: Readonly<Record<string, () => Promise<IntegerSolver>>> = { highs: loadHighsSolver, glpk: loadGlpkSolver };

async function find(path: string, solverName: string, limitSeconds: number): Promise<WholeGridFinding> {
  const brief = readBrief(path);
  const solver = await SOLVERS[solverName]();
  const startedAt = performance.now();
  const grid = wholeGridProgram(brief);
  const builtAt = performance.now();
  const answer = solver.solve(grid.program, { timeLimitSeconds: limitSeconds });
  const solvedAt = performance.now();
  const { maxRSS, userCPUTime, systemCPUTime } = process.resourceUsage();
  const found = {
    size: sizeOfProgram(grid.program),
    peakMebibytes: Math.round(maxRSS / 1024),
    cpuMs: Math.round((userCPUTime + systemCPUTime) / 1000),
    stageMs: { build: Math.round(builtAt - startedAt), solve: Math.round(solvedAt - builtAt) },
  };
  if (answer.status === 'infeasible') return { ...found, verdict: 'infeasible' };
  if (answer.status === 'unknown') {
    demand(answer.reason.kind === 'time-limit', path, JSON.stringify(answer.reason));
    return { ...found, verdict: 'stopped' };
  }
  // The answer has passed the exact checker on its way here; its layout must be one, at the price it claims.
  const layout = decodeWholeGrid(brief, grid, answer.solution.values);
  const { objective } = answer.solution;
  demand(priceOf(layout, brief) === objective, path, `a layout of ${priceOf(layout, brief)} for an objective of ${objective}`);
  const short = shortcomings(layout, brief, tryLayout(layout, brief));
  demand(!short.some((what) => what.startsWith('is not legal')), path, `the layout ${short.join(', ')}`);
  const bound = answer.status === 'optimal' ? objective : answer.bound;
  return { ...found, verdict: answer.status, objective, ...(bound === undefined ? {} : { bound }), meetsBrief: short.length === 0 };
}

const [path, solver, limit] = process.argv.slice(2);
await endBeyond(MOST_MEBIBYTES);
process.stdout.write(`${JSON.stringify(await find(path, solver, Number(limit)))}\n`);
