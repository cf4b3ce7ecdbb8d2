/**
 * The exported program, read back by HiGHS: the same optimum as by GLPK, and a bound on the proven cost.
 */
import { describe, expect, it } from 'vitest';
import { parseBrief } from '../../src/brief/parse-brief.js';
import { exportProgram } from '../../src/index.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { firstProgram } from '../../src/synthesis/design.js';
import { catalogOf, readJson } from '../documents.js';
import { optimumOfText } from '../oracles/highs-solver.js';

const PROVEN = readJson('test/cases/expected/verdicts.json') as Readonly<Record<string, { readonly cost: number }>>;
const glpk = await loadGlpkSolver();

describe.each(['headline-060', 'headline-100', 'headline-east'])('the program of %s', (name) => {
  const path = `test/cases/${name}.json`;
  const parsed = parseBrief(readJson(path), catalogOf(path));
  if (!parsed.ok) throw new Error(path);
  const answer = glpk.solve(firstProgram(parsed.value), { timeLimitSeconds: 10 });

  it.each(['mps', 'lp'] as const)('as %s has the same optimum by another solver', async (format) => {
    expect(answer.status).toBe('optimal');
    if (answer.status !== 'optimal') return;
    const found = await optimumOfText(format, exportProgram(parsed.value, format));
    expect(found).toBeCloseTo(answer.solution.objective, 6);
    expect(answer.solution.objective).toBeLessThanOrEqual(PROVEN[name].cost);
  });
});
