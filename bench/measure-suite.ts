/**
 * One brief of the suite through `design`, in a fresh process (`design-process.mjs`), so that memory and warming up
 * are those of a single run. The answer is checked here, before its time counts.
 */
import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { ROOT, layoutOfPlan, readBrief, type BriefCase } from './cases.js';
import { demand, priceOf, shortcomings, tryLayout } from './check-answer.js';
import { mostMilliseconds } from './measure-baseline.js';
import { round } from './measure-design.js';
import type { Circumstances, SuiteRecord } from './record.js';
import { sizeOf } from './suite-cases.js';

/** What `design-process.mjs` prints. */
interface Run {
  readonly document: {
    readonly status: 'optimal' | 'feasible' | 'infeasible' | 'unknown';
    readonly plan?: unknown;
    readonly proof: {
      readonly bound?: number;
      readonly cost?: number;
      readonly simulations: number;
      readonly seconds: number;
    };
  };
  readonly firstMs?: number;
  readonly peakMebibytes: number;
  readonly cpuMs: number;
}

/** Throws where the plan is not what the answer says. `proven`: the least price, where an earlier run has proven it. */
function checkRun(which: BriefCase, { document }: Run, proven: number | undefined): void {
  const { name } = which;
  const { bound, cost } = document.proof;
  if (document.status === 'optimal') demand(bound === cost, name, `optimal, but bound ${bound} is not cost ${cost}`);
  if (proven !== undefined) {
    demand(document.status !== 'infeasible', name, `infeasible, but a plan of ${proven} is known`);
    demand((bound ?? 0) <= proven && proven <= (cost ?? Infinity), name, `${proven} is proven, not ${bound} to ${cost}`);
  }
  if (document.plan === undefined) return;
  const brief = readBrief(which.path);
  const layout = layoutOfPlan(document.plan);
  const short = shortcomings(layout, brief, tryLayout(layout, brief));
  demand(short.length === 0, name, `the plan ${short.join(', ')}`);
  demand(priceOf(layout, brief) === cost, name, `the plan costs ${priceOf(layout, brief)}, its proof says ${cost}`);
}

export function measureSuite(
  which: BriefCase,
  circumstances: Circumstances,
  workers: number,
  proven: number | undefined,
): SuiteRecord {
  const { limitSeconds } = circumstances;
  const words = [join(ROOT, 'bench/design-process.mjs'), which.path, `${limitSeconds}`, `${workers}`];
  const ended = spawnSync(process.execPath, words, { encoding: 'utf8', timeout: mostMilliseconds(limitSeconds), killSignal: 'SIGKILL', maxBuffer: 1 << 28 });
  const common = { kind: 'suite', name: which.name, ...sizeOf(readBrief(which.path)), workers, ...circumstances } as const;
  if (ended.signal === 'SIGKILL') return { ...common, verdict: 'stopped' };
  if (ended.status !== 0) {
    const what = ended.stderr.split('\n').find((line) => line.includes('Error:')) ?? ended.stderr;
    return { ...common, verdict: 'fault', what: what.slice(0, 200) };
  }
  const run = JSON.parse(ended.stdout) as Run;
  checkRun(which, run, proven);
  const { status, proof } = run.document;
  const endMs = round(1000 * proof.seconds);
  // A run may end before it has said that there is a layout.
  const firstMs = proof.cost === undefined ? undefined : round(Math.min(run.firstMs ?? endMs, endMs));
  return {
    ...common,
    verdict: status === 'unknown' ? 'stopped' : status,
    ...(proof.cost === undefined ? {} : { objective: proof.cost }),
    ...(proof.bound === undefined ? {} : { bound: proof.bound }),
    simulations: proof.simulations,
    ...(firstMs === undefined ? {} : { firstMs }),
    endMs,
    peakMebibytes: run.peakMebibytes,
    cpuMs: run.cpuMs,
  };
}
