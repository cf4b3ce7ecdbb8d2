/**
 * Times of one brief through the product: cold, as the command in a fresh process, and warm, as a call of
 * `design`, whose stages are told apart by wrapping the solver and the verifier that are handed to it.
 */
import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import type { Brief } from '../src/brief/brief.js';
import { writePlan } from '../src/layout/write-plan.js';
import { verifierOf } from '../src/pipeline.js';
import type { IntegerSolver } from '../src/program/solver.js';
import { loadGlpkSolver } from '../src/program/glpk-port.js';
import { design } from '../src/synthesis/design.js';
import type { DesignOutcome } from '../src/synthesis/outcome.js';
import { ROOT, layoutOfPlan, readBrief, type BriefCase } from './cases.js';
import { SEED, TICK_LIMIT, demand, priceOf, shortcomings, tryLayout } from './check-answer.js';
import { median, type Circumstances, type DesignRecord } from './record.js';

type Stages = DesignRecord['stageMs'];

interface Timed {
  readonly outcome: DesignOutcome;
  readonly ms: number;
  readonly stages: Stages;
}

/** The names that `bill-program.ts` and `stand-program.ts` give their programs. */
const BILL_PROGRAM = 'bill of parts';
const STAND_PROGRAM = 'where parts stand';

async function timeDesign(brief: Brief, solver: IntegerSolver, limitSeconds: number): Promise<Timed> {
  const spent = { billProgram: 0, standProgram: 0, simulation: 0 };
  const timed = <T>(stage: keyof typeof spent, work: () => T): T => {
    const from = performance.now();
    try {
      return work();
    } finally {
      spent[stage] += performance.now() - from;
    }
  };
  const verify = verifierOf({ starts: brief.starts, seed: SEED, tickLimit: TICK_LIMIT });
  const startedAt = performance.now();
  const outcome = await design(brief, {
    verify: (layout, asked, flowsAlone) => timed('simulation', () => verify(layout, asked, flowsAlone)),
    solver: {
      name: solver.name,
      solve: (program, limits) => {
        demand([BILL_PROGRAM, STAND_PROGRAM].includes(program.name), brief.name, `a program "${program.name}" of no known stage`);
        return timed(program.name === BILL_PROGRAM ? 'billProgram' : 'standProgram', () => solver.solve(program, limits));
      },
    },
    now: () => performance.now(),
    shouldStop: () => performance.now() - startedAt > limitSeconds * 1000,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
  });
  const ms = performance.now() - startedAt;
  const { billProgram, standProgram, simulation } = spent;
  return { outcome, ms, stages: { billProgram, standProgram, simulation, search: ms - billProgram - standProgram - simulation } };
}

/** Short runs are repeated, long ones tell enough at once. */
const repeatsOf = (ms: number): number => (ms < 1000 ? 5 : ms < 5000 ? 3 : 1);

interface ColdRun {
  readonly ms: number;
  readonly document: { readonly status: string; readonly plan?: unknown; readonly proof: { readonly bound?: number; readonly cost?: number } };
}

function timeCommand({ name, path }: BriefCase, limitSeconds: number): ColdRun {
  const from = performance.now();
  const words = ['design', path, '--json', '--quiet', '--time-limit', `${limitSeconds}`];
  const run = spawnSync(process.execPath, [join(ROOT, 'dist/cli/main.js'), ...words], { encoding: 'utf8', maxBuffer: 1 << 28 });
  const ms = performance.now() - from;
  demand(run.status === 0 || run.status === 1 || run.status === 3, name, `the command ended with ${run.status}: ${run.stderr}`);
  return { ms, document: JSON.parse(run.stdout) as ColdRun['document'] };
}

/** Throws where an answer is wrong. Both ways must give the same plan where they came to an end. */
function checkAnswer({ name }: BriefCase, brief: Brief, { outcome }: Timed, { document }: ColdRun): readonly string[] {
  const cut = outcome.status === 'feasible' || outcome.status === 'unknown';
  const coldCut = document.status === 'feasible' || document.status === 'unknown';
  demand(cut || coldCut || document.status === outcome.status, name, `cold ${document.status}, warm ${outcome.status}`);
  if (outcome.status !== 'optimal' && outcome.status !== 'feasible') return [];
  const { layout, proof } = outcome;
  const trial = tryLayout(layout, brief);
  const short = shortcomings(layout, brief, trial);
  demand(short.length === 0, name, `the plan ${short.join(', ')}`);
  demand(priceOf(layout, brief) === proof.cost, name, `the plan costs ${priceOf(layout, brief)}, its proof says ${proof.cost}`);
  if (outcome.status === 'optimal') {
    demand(proof.bound === proof.cost, name, `optimal, but bound ${proof.bound} is not cost ${proof.cost}`);
    if (document.status === 'optimal') {
      demand(document.proof.bound === proof.bound && document.proof.cost === proof.cost, name, 'cold and warm proofs differ');
      const cold = layoutOfPlan(document.plan);
      demand(JSON.stringify(writePlan(cold)) === JSON.stringify(writePlan(layout)), name, 'cold and warm plans differ');
    }
  }
  return trial.exits.map(({ fill }) => fill.toFraction());
}

export interface MeasuredDesign {
  readonly record: DesignRecord;
  readonly outcome: DesignOutcome;
}

/** `solver`: loaded before and used for every case, as in a program that designs more than once. */
export async function measureDesign(
  which: BriefCase,
  circumstances: Circumstances,
  solver: IntegerSolver,
): Promise<MeasuredDesign> {
  const { limitSeconds } = circumstances;
  const brief = readBrief(which.path);
  const first = await timeDesign(brief, solver, limitSeconds);
  const firstCold = timeCommand(which, limitSeconds);
  const fills = checkAnswer(which, brief, first, firstCold);
  const warm = [first];
  const cold = [firstCold];
  // The first of several runs warmed the process up; a single one has to do as it is.
  while (warm.length < repeatsOf(first.ms) + 1 && repeatsOf(first.ms) > 1) warm.push(await timeDesign(brief, solver, limitSeconds));
  while (cold.length < repeatsOf(firstCold.ms)) cold.push(timeCommand(which, limitSeconds));
  const typical = median(warm.length > 1 ? warm.slice(1) : warm, ({ ms }) => ms);
  const { outcome, ms, stages } = typical;
  const { bound, cost, rounds, simulations } = outcome.proof;
  const record: DesignRecord = {
    kind: 'design',
    name: which.name,
    ...circumstances,
    seeds: { starts: brief.starts, seed: SEED },
    verdict: outcome.status === 'unknown' ? 'stopped' : outcome.status,
    ...(cost === undefined ? {} : { objective: cost }),
    ...(bound === undefined || !Number.isFinite(bound) ? {} : { bound }),
    rounds,
    simulations,
    fills,
    coldMs: round(median(cold, (run) => run.ms).ms),
    warmMs: round(ms),
    stageMs: {
      billProgram: round(stages.billProgram),
      standProgram: round(stages.standProgram),
      simulation: round(stages.simulation),
      search: round(stages.search),
    },
  };
  return { record, outcome };
}

export const round = (ms: number): number => Math.round(ms * 10) / 10;

export const loadSolver = loadGlpkSolver;
