/**
 * The headline briefs: each is designed, proven, and its plan tried again by the reference simulator. On
 * the way every integer program is solved by both solvers, which must agree.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import type { Brief } from '../../src/brief/brief.js';
import { checkWhole } from '../layout/check-whole.js';
import { layoutCost } from '../../src/layout/layout.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { jslpSolver } from '../../src/program/jslp-port.js';
import type { Program } from '../../src/program/program.js';
import type { IntegerSolver, SolverAnswer } from '../../src/program/solver.js';
import { briefOf, readJson } from '../documents.js';
import { designFor, verification } from '../oracles/compare-designs.js';
import { loadHighsSolver } from '../oracles/highs-solver.js';
import { referenceFlow } from '../oracles/reference-flow.js';

const VERDICTS = readJson('test/cases/expected/verdicts.json') as Readonly<Record<string, { readonly status: string; readonly cost: number }>>;
/** javascript-lp-solver looks at the clock too rarely to be asked about larger programs, or about placements. */
const ASKED_OF_JSLP = { name: 'bill of parts', variables: 40 };
const SOLVER_SECONDS = 30;
const REFERENCE_TICKS = 1_500;

const readBrief = (name: string): Brief => briefOf(`test/cases/${name}.json`);

const objectiveOf = (answer: SolverAnswer): number | string =>
  answer.status === 'optimal' ? answer.solution.objective : answer.status;

let glpk: IntegerSolver;
let compared = 0;
const asked: { readonly program: Program; readonly answer: SolverAnswer }[] = [];

beforeAll(async () => {
  const solver = await loadGlpkSolver();
  glpk = {
    name: solver.name,
    solve(program, limits) {
      const answer = solver.solve(program, limits);
      asked.push({ program, answer });
      return answer;
    },
  };
});

describe.each(Object.entries(VERDICTS))('%s', (name, expected) => {
  it(`is ${expected.status} at ${expected.cost}`, async () => {
    const brief = readBrief(name);
    const outcome = await designFor(brief, glpk);
    expect(outcome.status).toBe(expected.status);
    if (outcome.status !== 'optimal') return;
    expect(outcome.proof.cost).toBe(expected.cost);
    expect(outcome.proof.bound).toBe(expected.cost);
    expect(layoutCost(outcome.layout)).toBe(expected.cost);
    expect(checkWhole(outcome.layout)).toEqual([]);
    expect(verification(outcome.layout, brief).passes).toBe(true);
    // The reference simulator shares no code with the one that the loop asked. It is slow: where it has not
    // come to its period in time, nothing is compared.
    const reference = referenceFlow(outcome.layout, REFERENCE_TICKS);
    if (!reference.exact) return;
    compared++;
    brief.exits.forEach(({ target }, exit) => {
      const { left, right } = reference.exits[exit];
      expect(left.flow.add(right.flow).compare(target.total)).toBeGreaterThanOrEqual(0);
    });
  });
});

describe('every program that was asked', () => {
  it('comes from designs of which the reference simulator settled most', () => {
    expect(2 * compared).toBeGreaterThan(Object.keys(VERDICTS).length);
  });

  it('has the same optimum by every solver', async () => {
    const highs = await loadHighsSolver();
    let byBoth = 0;
    for (const { program, answer } of asked) {
      const limits = { timeLimitSeconds: SOLVER_SECONDS };
      expect(objectiveOf(highs.solve(program, limits))).toBe(objectiveOf(answer));
      if (program.name !== ASKED_OF_JSLP.name || program.variables.length > ASKED_OF_JSLP.variables) continue;
      byBoth++;
      expect(objectiveOf(jslpSolver.solve(program, limits))).toBe(objectiveOf(answer));
    }
    expect(asked.length).toBeGreaterThan(2 * Object.keys(VERDICTS).length);
    expect(byBoth).toBeGreaterThan(Object.keys(VERDICTS).length);
  });
});
