/**
 * Times of whole lists of tradeoffs, against one `design` of the same brief in the same process: what it takes to
 * prove that nothing lies between. Every layout of a list is tried anew before its time counts.
 */
import { join } from 'node:path';
import { usualObjectives } from '../src/tasks/find-tradeoffs.js';
import { ratio } from '../src/base/rational.js';
import { verifierOf } from '../src/pipeline.js';
import type { IntegerSolver } from '../src/program/solver.js';
import { design } from '../src/synthesis/design.js';
import { tradeoffs } from '../src/synthesis/choices/tradeoffs.js';
import { ROOT, filesIn, nameOf, readBrief } from './cases.js';
import { SEED, TICK_LIMIT, demand, shortcomings, tryLayout } from './check-answer.js';
import { round } from './measure-design.js';
import type { Circumstances, ListRecord } from './record.js';

/** Briefs that come with the product, the demo's first; those of several exits and those without a layout are left out. */
export const listCases = (): readonly string[] =>
  ['grain-100-narrow', ...filesIn('models/briefs').map(nameOf).filter((name) => name !== 'grain-100-narrow')].filter(
    (name) => readBrief(join(ROOT, 'models/briefs', `${name}.json`)).exits.length === 1,
  );

export async function measureList(name: string, circumstances: Circumstances, solver: IntegerSolver): Promise<ListRecord | undefined> {
  const brief = readBrief(join(ROOT, 'models/briefs', `${name}.json`));
  const until = (): (() => boolean) => {
    const end = performance.now() + 1000 * circumstances.limitSeconds;
    return () => performance.now() > end;
  };
  const tools = {
    verify: verifierOf({ starts: brief.starts, seed: SEED, tickLimit: TICK_LIMIT }),
    solver,
    now: () => performance.now(),
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
    onFound: () => undefined,
  };
  // The first run of a process is slower than all that follow.
  await design(brief, { ...tools, shouldStop: until() });
  const startedAt = performance.now();
  const alone = await design(brief, { ...tools, shouldStop: until() });
  const designMs = performance.now() - startedAt;
  if (alone.status !== 'optimal') return undefined;
  const outcome = await tradeoffs(brief, usualObjectives(brief), { within: ratio(1, 10) }, { ...tools, shouldStop: until() });
  const listMs = performance.now() - startedAt - designMs;
  for (const { layout } of outcome.list) {
    const flaws = shortcomings(layout, brief, tryLayout(layout, brief));
    demand(flaws.length === 0, name, flaws.join('; '));
  }
  const first = outcome.list.at(0)?.values[0].valueOf();
  demand(first === alone.proof.cost, name, `the list begins at ${first}, a design at ${alone.proof.cost}`);
  const { status, completeTo, proof } = outcome;
  return {
    kind: 'list',
    name,
    ...circumstances,
    verdict: status === 'complete' ? 'complete' : 'partial',
    objective: alone.proof.cost ?? 0,
    ...(typeof completeTo === 'number' ? { completeTo } : {}),
    layouts: outcome.list.length,
    simulations: proof.simulations,
    designMs: round(designMs),
    listMs: round(listMs),
  };
}
