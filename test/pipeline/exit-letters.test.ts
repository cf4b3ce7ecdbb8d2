/**
 * Exits are lettered in the order of the plan, in the report of a design too, in whatever order its brief names them: so a letter
 * that a reader takes from one command means the same exit in every other.
 */
import { expect, it } from 'vitest';
import { designDocument, designReport, designStation, parseBrief, parsePlan, parsePromise, plainInks, trialReport, tryPlan, type Layout } from '../../src/index.js';
import { readCatalog } from '../documents.js';

const CATALOG = readCatalog('models/catalogs/grain-yard.json');
const WIDE = { ink: plainInks, ascii: false };

const exitLines = (lines: readonly string[]): readonly string[] => lines.filter((line) => /^ {2}[A-Z] {2}/.test(line));

it('a design and a trial of its plan letter exits alike', async () => {
  const exit = (edge: string, from: number, to: number) => ({ edge, from, to, belt: 'field belt', target: { fill: '0.3' } });
  const brief = parseBrief(
    {
      format: 'transloom-brief/1',
      name: 'three edges',
      catalog: 'given',
      site: { width: 8, depth: 6 },
      wagons: [{ model: 'long grain wagon' }],
      exits: [exit('S', 0, 7), exit('E', 1, 5), exit('W', 1, 5)],
      starts: 1,
      minimise: ['cost', 'footprint'],
    },
    CATALOG,
  );
  if (!brief.ok) throw new Error(JSON.stringify(brief.findings));
  const answer = await designStation(brief.value, { now: () => 0 });
  const plan = parsePlan(answer.plan, CATALOG);
  const promise = parsePromise(answer.plan);
  if (!plan.ok || !promise.ok) throw new Error('a design writes sound plans');
  const layout: Layout = plan.value;
  const [designed, tried] = [designReport(answer, WIDE), trialReport(tryPlan(layout, promise.value), WIDE)];
  expect(exitLines(designed)).toHaveLength(3);
  expect(exitLines(designed)).toEqual(exitLines(tried));
  const { plan: written, trial } = designDocument(answer) as { readonly plan: { readonly exits: readonly { readonly at: unknown }[] }; readonly trial: { readonly exits: readonly { readonly at: unknown }[] } };
  expect(trial.exits.map(({ at }) => at)).toEqual(written.exits.map(({ at }) => at));
});
