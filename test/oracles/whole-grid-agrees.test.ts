/**
 * The whole-grid program against `design` on random tiny briefs, where both come to an end: its optimum is
 * never above the proven cost, and where the layout that it stands for passes the simulator, the two agree.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_BRIEFS the number of briefs.
 */
import { describe, expect, it } from 'vitest';
import { checkLegality } from '../../src/layout/check-layout.js';
import { layoutCost } from '../../src/layout/layout.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { SEED } from '../documents.js';
import { designFor, isInStatedSpace, verification } from './compare-designs.js';
import { mixedBriefs } from './random-briefs.js';
import { decodeWholeGrid, lanesAreBounded, wholeGridProgram } from './whole-grid.js';

const BRIEFS = Number(process.env['TRANSLOOM_BRIEFS'] ?? '60');
/** Beyond this a program takes GLPK too long. */
const MOST_VARIABLES = 2_500;
const SECONDS = 2;

describe(`the whole-grid program on tiny sites (from seed ${SEED})`, () => {
  it('is a bound on what design proves, and agrees where its layout passes', async () => {
    const glpk = await loadGlpkSolver();
    let compared = 0;
    let agreed = 0;
    for (const [where, brief] of mixedBriefs(SEED, BRIEFS)) {
      if (brief.minimise[0] !== 'cost' || !lanesAreBounded(brief.catalog)) continue;
      const grid = wholeGridProgram(brief);
      if (grid.program.variables.length > MOST_VARIABLES) continue;
      const answer = glpk.solve(grid.program, { timeLimitSeconds: SECONDS });
      if (answer.status !== 'optimal') continue;
      const outcome = await designFor(brief, glpk, SECONDS);
      if (outcome.status !== 'optimal') continue;
      compared++;
      const cost = layoutCost(outcome.layout);
      expect(answer.solution.objective, where).toBeLessThanOrEqual(cost);
      const layout = decodeWholeGrid(brief, grid, answer.solution.values);
      const passes = checkLegality(layout).length === 0 && isInStatedSpace(layout) && verification(layout, brief).passes;
      if (!passes) continue;
      agreed++;
      expect(cost, where).toBe(answer.solution.objective);
    }
    expect(compared).toBeGreaterThan(2);
    expect(agreed).toBeGreaterThan(0);
  });
});
