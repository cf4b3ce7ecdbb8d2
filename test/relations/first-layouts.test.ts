/**
 * Layouts that are put together by the way, from designs of one exit each, change nothing of a finished answer: the
 * same verdict, cost and plan with them as without. Counts the briefs it applied to, and fails at none.
 * TRANSLOOM_SEED sets the first seed.
 */
import { describe, expect, it } from 'vitest';
import type { Brief } from '../../src/brief/brief.js';
import { layoutCost } from '../../src/layout/layout.js';
import { writePlan } from '../../src/layout/write-plan.js';
import { verifierOf } from '../../src/pipeline.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { design } from '../../src/synthesis/design.js';
import { SEED } from '../documents.js';
import { tinyBrief } from '../oracles/random-briefs.js';

const BRIEFS = 24;
const MILLISECONDS = 4_000;
/** Longer than a run waits before it looks for layouts by the way. */
const LATE = 1_000_000;

const solver = await loadGlpkSolver();

interface Run {
  /** Undefined: not finished in its time. */
  readonly answer: object | undefined;
  readonly found: readonly number[];
}

/** Time stands still: either before the run looks for layouts by the way, or after. */
async function run(brief: Brief, byTheWay: boolean): Promise<Run> {
  const startedAt = performance.now();
  const found: number[] = [];
  let asked = 0;
  const outcome = await design(brief, {
    solver,
    verify: verifierOf({ starts: brief.starts, seed: 1, tickLimit: 60_000 }),
    now: () => (byTheWay && asked++ > 0 ? LATE : 0),
    shouldStop: () => performance.now() - startedAt > MILLISECONDS,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
    onStep: (step) => {
      if (step.kind === 'found') found.push(step.price);
    },
  });
  switch (outcome.status) {
    case 'optimal':
      return { answer: { cost: layoutCost(outcome.layout), plan: writePlan(outcome.layout) }, found };
    case 'infeasible':
      return { answer: { reason: outcome.reason.kind }, found };
    default:
      return { answer: undefined, found };
  }
}

describe(`layouts put together by the way (from seed ${SEED})`, () => {
  it('change no finished answer', async () => {
    let applied = 0;
    let otherwise = 0;
    for (let seed = SEED; seed < SEED + BRIEFS; seed++) {
      const brief = tinyBrief(seed, true);
      if (brief === undefined || brief.exits.length < 2) continue;
      const [without, within] = [await run(brief, false), await run(brief, true)];
      if (without.answer === undefined || within.answer === undefined) continue;
      applied++;
      if (without.found.join() !== within.found.join()) otherwise++;
      expect(within.answer, `seed ${seed}`).toEqual(without.answer);
    }
    expect(applied).toBeGreaterThan(0);
    // Some were found on another way, so the two runs did differ.
    expect(otherwise).toBeGreaterThan(0);
  });
});
