/** Bills as they are proposed, against another solver that is asked each time. TRANSLOOM_SEED shifts the briefs. */
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Brief } from '../../src/brief/brief.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import type { IntegerSolver } from '../../src/program/solver.js';
import { countsOf } from '../../src/synthesis/site/bill.js';
import { billProgram } from '../../src/synthesis/bills/bill-program.js';
import { candidates } from '../../src/synthesis/site/candidates.js';
import { highestPrice } from '../../src/synthesis/design.js';
import { Families, type Family } from '../../src/synthesis/families/families.js';
import { siteMap } from '../../src/synthesis/site/site-map.js';
import { loadHighsSolver } from '../oracles/highs-solver.js';
import { mixedBriefs, readBrief } from '../oracles/random-briefs.js';

const SEED = Number(process.env['TRANSLOOM_SEED'] ?? 1);
const BRIEFS = 4;
/** What may be asked for falls once a layout is found. */
const LESS_AFTER = 15;

let glpk: IntegerSolver;
let highs: IntegerSolver;
beforeAll(async () => {
  [glpk, highs] = await Promise.all([loadGlpkSolver(), loadHighsSolver()]);
});

/** Proposes bills of a brief: how many there were up to a limit, and how often the solver was asked. */
function propose(brief: Brief, limit: number): { readonly proposals: number; readonly asked: number } {
  const map = siteMap(brief);
  const spots = candidates(map);
  let asked = 0;
  const counting: IntegerSolver = {
    name: glpk.name,
    solve: (program, limits) => {
      if (program.name === 'bill of parts') asked++;
      return glpk.solve(program, limits);
    },
  };
  const families = new Families(map, spots, counting, (most) => most, () => undefined);
  const prices = new Set<number>();
  let most = highestPrice(map, spots);
  for (let n = 0; n < limit; n++) {
    if (n === LESS_AFTER) most = Math.min(most, families.restBound + 2);
    const before = families.proposed.map(({ bill }) => bill);
    const again = highs.solve(billProgram(map, spots, before, most).program, { timeLimitSeconds: 60 });
    expect(families.propose(most)).toBe(true);
    expect(families.restBound, `${brief.name}, proposal ${n}`).toBe(again.status === 'optimal' ? again.solution.objective : Infinity);
    prices.add(families.restBound);
    if (again.status !== 'optimal') break;
    const last = families.proposed.at(-1);
    expect(before.map(countsOf)).not.toContainEqual(last && countsOf(last.bill));
  }
  expect(asked, brief.name).toBe(prices.size);
  if (families.restBound < Infinity) {
    expect(families.propose(families.restBound - 1)).toBe(true);
    expect(families.restBound).toBe(Infinity);
  }
  // Those told to come after one are those that are next once nothing is left in it.
  const nextOne = (): Family | undefined => (families.next?.price === Infinity ? undefined : families.next);
  for (let next = nextOne(); next !== undefined; next = nextOne()) {
    const [after] = families.after(next);
    families.raise(next, Infinity);
    expect(nextOne()).toBe(after);
  }
  return { proposals: families.proposed.length, asked };
}

const readJson = (path: string): object => JSON.parse(readFileSync(`test/cases/${path}`, 'utf8')) as object;

/** A brief with three arms and carriers of three speeds, so that many bills have the same price. */
function manyBills(): Brief {
  const document = { ...(readJson('suite-34-one-belt-060-three-tiers-8x9.json') as { format: string }), catalog: readJson('suite-mixed-catalog.json') };
  const brief = readBrief(document);
  if (brief === undefined) throw new Error('no brief');
  return brief;
}

describe("families are proposed in the order of the program's optima, though the solver is asked once a price", () => {
  it(`of ${BRIEFS} briefs, from seed ${SEED}`, () => {
    const all = [...mixedBriefs(SEED, BRIEFS)].map(([, brief]) => propose(brief, 25));
    expect(all.reduce((sum, { proposals }) => sum + proposals, 0)).toBeGreaterThan(BRIEFS);
  });

  it('where many bills have the same price', () => {
    const { proposals, asked } = propose(manyBills(), 22);
    expect(asked).toBeLessThan(proposals / 2);
  });
});
