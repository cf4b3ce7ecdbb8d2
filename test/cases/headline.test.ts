/**
 * The headline briefs: each is designed, proven, and its plan tried again by the reference simulator. On
 * the way every integer program is solved by both solvers, which must agree.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { ZERO, ratio } from '../../src/base/rational.js';
import { parseBrief } from '../../src/brief/parse-brief.js';
import type { Brief } from '../../src/brief/brief.js';
import { checkLayout } from '../../src/layout/check-layout.js';
import { layoutCost } from '../../src/layout/layout.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { jslpSolver } from '../../src/program/jslp-port.js';
import type { Program } from '../../src/program/program.js';
import type { IntegerSolver, SolverAnswer } from '../../src/program/solver.js';
import { catalogOf, readJson } from '../documents.js';
import { designFor, verification } from '../oracles/compare-designs.js';
import { referenceFlow } from '../oracles/reference-simulator.js';

const VERDICTS = readJson('test/cases/verdicts.json') as Readonly<Record<string, { readonly status: string; readonly cost: number }>>;
/** A second opinion on a program may take so long; without one the program is counted as unanswered. */
const SECOND_SOLVER_SECONDS = 2;

function readBrief(name: string): Brief {
  const path = `test/cases/${name}.json`;
  const parsed = parseBrief(readJson(path), catalogOf(path));
  if (!parsed.ok) throw new Error(`${path}: ${JSON.stringify(parsed.findings)}`);
  return parsed.value;
}

const objectiveOf = (answer: SolverAnswer): number | string =>
  answer.status === 'optimal' ? answer.solution.objective : answer.status;

let glpk: IntegerSolver;
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
  it(`is ${expected.status} at ${expected.cost}`, { timeout: 60_000 }, async () => {
    const brief = readBrief(name);
    const outcome = await designFor(brief, glpk);
    expect(outcome.status).toBe(expected.status);
    if (outcome.status !== 'optimal') return;
    expect(outcome.proof.cost).toBe(expected.cost);
    expect(outcome.proof.bound).toBe(expected.cost);
    expect(layoutCost(outcome.layout)).toBe(expected.cost);
    expect(checkLayout(outcome.layout)).toEqual([]);
    expect(verification(outcome.layout, brief).passes).toBe(true);
    // The reference simulator shares no code with the one that the loop asked.
    const reference = referenceFlow(outcome.layout, 20_000);
    brief.exits.forEach(({ target }, exit) => {
      const { left, right } = reference.exits[exit];
      expect(left.add(right).compare(target.total)).toBeGreaterThanOrEqual(0);
    });
  });
});

describe('every program that was asked', () => {
  it('has the same optimum by both solvers', { timeout: 300_000 }, () => {
    let answered = 0;
    for (const { program, answer } of asked) {
      const second = jslpSolver.solve(program, { timeLimitSeconds: SECOND_SOLVER_SECONDS });
      if (second.status !== 'optimal' && second.status !== 'infeasible') continue;
      answered++;
      expect(objectiveOf(second)).toBe(objectiveOf(answer));
    }
    expect(asked.length).toBeGreaterThan(Object.keys(VERDICTS).length);
    expect(ratio(answered, asked.length).compare(ZERO)).toBeGreaterThan(0);
    console.log(`both solvers answered ${answered} of ${asked.length} programs`);
  });
});
