/**
 * The exported program of briefs that load, read back by HiGHS: the same optimum as by the product's own solvers, a bound
 * on the proven cost, at least where the search begins; and the parts of a station that was found are a solution.
 */
import { describe, expect, it } from 'vitest';
import type { Brief } from '../../src/brief/brief.js';
import { parseBrief } from '../../src/brief/parse-brief.js';
import { exportProgram } from '../../src/index.js';
import type { Layout } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { checkSolution } from '../../src/program/check-solution.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { jslpSolver } from '../../src/program/jslp-port.js';
import type { Program } from '../../src/program/program.js';
import { designLoading } from '../../src/synthesis/loading/loading-design.js';
import { loadingBill } from '../../src/synthesis/loading/loading-bill.js';
import { LoadingSearch } from '../../src/synthesis/loading/loading-search.js';
import { loadingSite } from '../../src/synthesis/loading/loading-site.js';
import { ratio } from '../../src/base/rational.js';
import { briefOf, catalogOf, loadJobOf, readCatalog, readJson, SEED } from '../documents.js';
import { countedTools, tinyBrief, variedBrief } from '../oracles/every-loading-plan.js';
import { loadHighsSolver, optimumOfText } from '../oracles/highs-solver.js';

const BRIEFS = Number(process.env['TRANSLOOM_BRIEFS'] ?? '30');
const glpk = await loadGlpkSolver();
const highs = await loadHighsSolver();

const billOf = (brief: Brief): Program => loadingBill(loadingSite(brief, loadJobOf(brief)));

/** The parts of a station as values of the program's variables. */
function countsOf(layout: Layout, { variables }: Program): readonly number[] {
  const { parts, catalog } = layout;
  const arms = deriveNetwork(layout).arms.map(({ part, pick, place }) => ({ part: layout.parts[part], from: pick.kind, into: place.kind }));
  const counts = (name: string): number => {
    const [, role, index] = /^(.*?)_?(\d*)$/.exec(name) ?? [];
    const ofModel = (models: readonly { readonly name: string }[], kind: string): number =>
      parts.filter((part) => part.kind === kind && (models.length === 1 || part.model.name === models[Number(index)].name)).length;
    const ofArm = (from: string, into: string): number => arms.filter((arm) => arm.from === from && arm.into === into && arm.part.kind === 'arm' && arm.part.model === catalog.arms[Number(index)]).length;
    switch (role) {
      case 'chests': return parts.filter(({ kind }) => kind === 'chest').length;
      case 'into_chests': return ofArm('carrier', 'chest');
      case 'into_wagons': return ofArm('carrier', 'wagon');
      case 'out_of_chests': return ofArm('chest', 'wagon');
      case 'belts': return ofModel(catalog.belts, 'belt');
      case 'splitters': return ofModel(catalog.splitters, 'splitter');
      case 'underpasses': return ofModel(catalog.underpasses, 'underpass');
      default: throw new Error(name);
    }
  };
  return variables.map(({ name }) => counts(name));
}

async function checked(brief: Brief): Promise<number | 'infeasible'> {
  const program = billOf(brief);
  const answers = [glpk, jslpSolver, highs].map((solver) => solver.solve(program, { timeLimitSeconds: 10 }));
  const [first] = answers;
  const optimum = first.status === 'optimal' ? first.solution.objective : first.status;
  expect(answers.map((answer) => (answer.status === 'optimal' ? answer.solution.objective : answer.status))).toEqual([optimum, optimum, optimum]);
  for (const format of ['mps', 'lp'] as const) {
    const found = await optimumOfText(format, exportProgram(brief, format));
    expect(typeof found === 'number' ? Math.round(found * 1e6) / 1e6 : found).toBe(optimum);
  }
  return typeof optimum === 'number' ? optimum : 'infeasible';
}

describe('the program of a brief that loads', () => {
  it.each([
    ['models/briefs/grain-load-full.json', 36],
    ['models/briefs/grain-load-060.json', undefined],
  ] as const)('is read back from the text of %s', async (path, price) => {
    const parsed = parseBrief(readJson(path), catalogOf(path));
    if (!parsed.ok) throw new Error(path);
    const optimum = await checked(parsed.value);
    expect(optimum).not.toBe('infeasible');
    if (price !== undefined) expect(optimum).toBeLessThanOrEqual(price);
  });

  it('has the known optimum for each of the cases, which bounds the cost', () => {
    const expected = readJson('test/cases/expected/loading.json') as Readonly<Record<string, { readonly cost: number; readonly bill: number }>>;
    for (const [name, { cost, bill }] of Object.entries(expected)) {
      const path = `test/cases/${name}.json`;
      const brief = briefOf(path);
      expect(bill).toBeLessThanOrEqual(cost);
      expect(glpk.solve(billOf(brief), { timeLimitSeconds: 10 }), name).toMatchObject({ status: 'optimal', solution: { objective: bill } });
      const arms = brief.feed === 'chests' ? 1 : 0;
      expect(glpk.solve(billOf({ ...brief, limits: { ...brief.limits, arms } }), { timeLimitSeconds: 10 }), name).toMatchObject({ status: 'infeasible' });
    }
  });

  it('has no more arms at a chest than stand around it', () => {
    const path = 'test/cases/loading-04-060-6x5.json';
    const plain = catalogOf(path);
    // Five slow arms bring what is asked, three of them at one chest; a strong one that empties it costs more than they do, a second chest as well.
    const slow = { ...plain.arms[0], payload: 1, swingTicks: 20, cost: 1 };
    const [other] = readCatalog('test/cases/suite-mixed-catalog.json').arms.filter(({ name }) => name !== slow.name);
    const strong = { ...slow, name: other.name, payload: 50, cost: 30 };
    const catalog = { ...plain, arms: [slow, strong], chests: plain.chests.map((chest) => ({ ...chest, cost: 20 })), splitters: [], underpasses: [] };
    const parsed = parseBrief(readJson(path), catalog);
    if (!parsed.ok || parsed.value.load === undefined) throw new Error(path);
    const { load } = parsed.value;
    const brief = { ...parsed.value, load: { ...load, entries: load.entries.map((entry) => ({ ...entry, target: ratio(5, 42) })) } };
    // Two belts, five arms, two chests, and of the arms that empty them one strong and one slow.
    expect(glpk.solve(billOf(brief), { timeLimitSeconds: 10 })).toMatchObject({ status: 'optimal', solution: { objective: 2 + 5 + 2 * 20 + 30 + 1 } });
  });

  it.each([['plain', tinyBrief], ['varied', variedBrief]] as const)(`bounds designs of tiny sites (%s, from seed ${SEED})`, async (_, briefAt) => {
    const seen = { optimal: 0, tight: 0, infeasible: 0, closer: 0 };
    for (let seed = SEED; seed < SEED + BRIEFS; seed++) {
      const brief = briefAt(seed);
      const optimum = await checked(brief);
      const outcome = await designLoading(brief, loadJobOf(brief), countedTools(brief));
      if (optimum === 'infeasible') {
        seen.infeasible++;
        expect(outcome.status, `seed ${seed}`).not.toBe('optimal');
        expect(outcome.status, `seed ${seed}`).not.toBe('feasible');
        continue;
      }
      const search = new LoadingSearch(brief, loadJobOf(brief), { verify: () => ({ verdict: 'undecided' }) }, { admits: () => false, offer: () => undefined });
      search.begin();
      if (search.bound < Infinity) {
        expect(optimum, `seed ${seed}`).toBeGreaterThanOrEqual(search.bound);
        if (optimum > search.bound) seen.closer++;
      }
      if (outcome.status !== 'optimal' && outcome.status !== 'feasible') continue;
      const program = billOf(brief);
      expect(checkSolution(program, countsOf(outcome.layout, program)), `seed ${seed}`).toMatchObject({ ok: true });
      const cost = outcome.proof.cost ?? 0;
      expect(optimum, `seed ${seed}`).toBeLessThanOrEqual(cost);
      seen.optimal++;
      if (optimum === cost) seen.tight++;
    }
    expect(Math.min(seen.optimal, seen.tight), JSON.stringify(seen)).toBeGreaterThan(0);
  });
});
