/**
 * Staircases against brute force on tiny sites: of all legal plans up to some cost, the greatest fill for each cost. And single
 * steps against plain designs just below, at and just above where a step ends.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_STAIRS the number of briefs.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { isLess, ONE, ratio, type Rational } from '../../src/base/rational.js';
import { askedFill } from '../../src/brief/asked-fill.js';
import type { Brief } from '../../src/brief/brief.js';
import type { Layout } from '../../src/layout/layout.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import type { IntegerSolver } from '../../src/program/solver.js';
import { changed } from '../../src/synthesis/change.js';
import { fillStaircase, greatestFill, sizeStaircase, type StaircaseTools } from '../../src/synthesis/choices/staircase.js';
import type { DesignOutcome } from '../../src/synthesis/outcome.js';
import type { Verify } from '../../src/synthesis/verifier.js';
import { briefOf, SEED } from '../documents.js';
import { everyPlan, flowKey } from './brute-force.js';
import { designFor, isInStatedSpace, witnessOf } from './compare-designs.js';
import { mixedSeeds, tinyBrief } from './random-briefs.js';
import { risesOf, type Rise } from './rises.js';

const BRIEFS = Number(process.env['TRANSLOOM_STAIRS'] ?? '6');
const MOST_STEPS = 30_000;
const RUN_SECONDS = 1;
const LOW = ratio(1, 5);

let solver: IntegerSolver;
beforeAll(async () => {
  solver = await loadGlpkSolver();
});

const tools = (): StaircaseTools => ({ design: (brief) => designFor(brief, solver, RUN_SECONDS), verify: witnessOf, onStep: () => undefined });
const without = (brief: Brief): Brief => ({ ...brief, limits: { arms: undefined, parts: undefined, cost: undefined, imbalance: undefined } });
const scaled = (brief: Brief, fill: Rational): Brief => changed(brief, [{ kind: 'target', share: fill.div(askedFill(brief)) }]);

/** Costs at which some plan gives more than every cheaper one, and what it gives; undefined where not all could be looked at. */
function bruteRises(brief: Brief, from: Rational, mostCost: number): readonly Rise[] | undefined {
  const low = scaled(brief, from);
  const most = new Map<number, Rational>();
  const fills = new Map<string, Rational | undefined>();
  let undecided = false;
  const fillOf = (layout: Layout): Rational | undefined => {
    const key = flowKey(layout, true);
    if (!fills.has(key)) {
      const witness = witnessOf(layout, low);
      undecided ||= witness.verdict === 'undecided';
      fills.set(key, witness.verdict === 'passes' ? witness.fill : undefined);
    }
    return fills.get(key);
  };
  const { complete } = everyPlan(low, { mostCost, mostSteps: MOST_STEPS }, (layout, cost) => {
    const fill = fillOf(layout);
    const known = most.get(cost);
    if (fill !== undefined && (known === undefined || isLess(known, fill)) && isInStatedSpace(layout)) most.set(cost, fill);
  });
  if (!complete || undecided) return undefined;
  return risesOf(most);
}

describe('a staircase over the fill', () => {
  it(`has the steps that brute force has (from seed ${SEED})`, { timeout: 600_000 }, async () => {
    const counts = { compared: 0, rises: 0, several: 0 };
    for (const [seed, several] of mixedSeeds(SEED, BRIEFS)) {
      const random = tinyBrief(seed, several);
      if (random === undefined) continue;
      const brief = without(random);
      const { from, steps } = await fillStaircase(brief, { from: askedFill(brief).mul(LOW) }, tools());
      const open = steps.findIndex(({ proven }) => !proven);
      const proven = open < 0 ? steps : steps.slice(0, open);
      // As far up as brute force comes.
      for (const { cost } of [...proven].reverse()) {
        const rises = bruteRises(brief, from, cost);
        if (rises === undefined) continue;
        const own = proven.filter((step) => step.cost <= cost).map((step): Rise => ({ cost: step.cost, upTo: step.upTo.toFraction() }));
        expect({ seed, steps: own }).toEqual({ seed, steps: rises });
        counts.compared++;
        counts.rises += rises.length;
        if (brief.exits.length > 1) counts.several++;
        break;
      }
    }
    expect(counts.compared).toBeGreaterThan(0);
    expect(counts.rises).toBeGreaterThan(counts.compared);
    expect(counts.several).toBeGreaterThan(0);
  });
});

/** A site on which every step is proven in a moment. */
const tiny = (changes: object = {}): Brief => briefOf('test/cases/suite-03-one-belt-060-4x5.json', changes);

const costOf = async (brief: Brief): Promise<number | undefined> => {
  const { status, proof } = await designFor(brief, solver, 20);
  expect(['optimal', 'infeasible']).toContain(status);
  return proof.cost;
};

describe('steps over the fill', () => {
  it('are what plain designs cost just below, at and just above their ends', async () => {
    const brief = tiny();
    const from = ratio(2, 5);
    const to = ratio(3, 4);
    const { steps, end } = await fillStaircase(brief, { from, to }, { ...tools(), design: (asked) => designFor(asked, solver, 20) });
    expect(end).toEqual({ kind: 'reached' });
    expect(steps.length).toBeGreaterThan(2);
    for (const [index, { above, upTo, cost, proven }] of steps.entries()) {
      expect(proven).toBe(true);
      expect(above).toEqual(index === 0 ? from : steps[index - 1].upTo);
      if (index > 0) expect(cost).toBeGreaterThan(steps[index - 1].cost);
      expect(isLess(above, upTo)).toBe(true);
      const nudge = upTo.sub(above).div(1000);
      expect(await costOf(scaled(brief, upTo.sub(nudge)))).toBe(cost);
      expect(await costOf(scaled(brief, upTo))).toBe(cost);
      if (index + 1 === steps.length) continue;
      expect(await costOf(scaled(brief, upTo.add(nudge)))).toBe(steps[index + 1].cost);
      expect(await costOf({ ...scaled(brief, upTo), exceed: true })).toBe(steps[index + 1].cost);
    }
  });

  it('end with a proof where the limits let no station give more', async () => {
    const limited = tiny({ limits: { cost: 50 } });
    const climbed = await fillStaircase(limited, {}, tools());
    expect(climbed.end).toEqual({ kind: 'none-above' });
    const last = climbed.steps[climbed.steps.length - 1];
    expect(last).toMatchObject({ cost: 47, proven: true });
    const greatest = await greatestFill(limited, tools());
    expect(greatest.end).toEqual({ kind: 'none-above' });
    expect(greatest.best).toMatchObject({ cost: 47, upTo: last.upTo, proven: true });
  });

  it('begin lower where the brief asks for what can not be had', async () => {
    const greedy = scaled(tiny({ limits: { cost: 50 } }), ONE);
    const { best, end, asked } = await greatestFill(greedy, tools());
    expect([asked, end]).toEqual([ONE, { kind: 'none-above' }]);
    expect(best).toMatchObject({ cost: 47, proven: true });
    expect((await greatestFill(tiny({ limits: { cost: 10 } }), tools())).best).toBeUndefined();
  });

  it('are not climbed where saturation can be had, though its least cost is still to prove', async () => {
    const brief = tiny();
    const times: unknown[] = [];
    const hasty = (cost: number, inTime: boolean): StaircaseTools => ({
      ...tools(),
      design: async (asked, time) => {
        times.push(time);
        const outcome = await designFor(asked, solver, time === 'rest' && !inTime ? 0 : 20);
        if (outcome.status !== 'optimal' || time === 'rest') return outcome;
        return { ...outcome, status: 'feasible', stoppedBy: 'time-limit', proof: { ...outcome.proof, cost, bound: 40 } };
      },
    });
    const greatest = await greatestFill(brief, hasty(80, true));
    expect(times).toEqual([expect.any(Number), 'rest']);
    expect(greatest).toMatchObject({ end: { kind: 'reached' }, best: { cost: await costOf(scaled(brief, ONE)), upTo: ONE, proven: true } });
    expect(await greatestFill(brief, hasty(80, false))).toMatchObject({ end: { kind: 'reached' }, best: { cost: 80, bound: 40, upTo: ONE, proven: false } });
  });

  it('say how far they came where a run is stopped', async () => {
    let runs = 0;
    const stopped: StaircaseTools = { ...tools(), design: (brief) => designFor(brief, solver, runs++ < 2 ? RUN_SECONDS * 20 : 0) };
    const { steps, end } = await fillStaircase(tiny(), {}, stopped);
    expect(steps).toHaveLength(2);
    expect(end).toMatchObject({ kind: 'open', bound: steps[1].cost + 1 });
  });

  it('end where they do for all that is known, if a station of their cost could not be decided', async () => {
    const design = (brief: Brief): Promise<DesignOutcome> => {
      let passed = 0;
      const verify: Verify = (...asked) => {
        const witness = witnessOf(...asked);
        return witness.verdict === 'passes' && passed++ === 0 ? { verdict: 'undecided' } : witness;
      };
      return designFor(brief, solver, 20, verify);
    };
    const { status, proof } = await design(tiny());
    expect([status, proof.undecided]).toEqual(['optimal', proof.cost]);
    const { steps } = await fillStaircase(tiny(), { from: askedFill(tiny()), to: askedFill(tiny()) }, { ...tools(), design });
    expect(steps).toMatchObject([{ cost: proof.cost, bound: proof.cost, proven: false }]);
  });
});

describe('a staircase over a size', () => {
  it('goes through depths, and says where there is none', async () => {
    const { steps, end, asked } = await sizeStaircase(tiny(), 'depth', { to: 6 }, tools());
    expect([asked, end]).toEqual([5, 'cut']);
    expect(steps.map((step) => [step.size, step.kind === 'found' ? step.cost : step.kind])).toEqual(
      await Promise.all([1, 2, 3, 4, 5, 6].map(async (depth) => [depth, (await costOf(tiny({ site: { width: 4, depth } }))) ?? 'none'])),
    );
  });

  it('is proven where each least cost is, whether or not all of that cost was looked at', async () => {
    const design = async (asked: Brief): Promise<DesignOutcome> => {
      const outcome = await designFor(asked, solver, 20);
      return outcome.status === 'optimal' ? { ...outcome, status: 'feasible', stoppedBy: 'time-limit' } : outcome;
    };
    const { steps, end } = await sizeStaircase(tiny(), 'depth', { from: 4, to: 5 }, { ...tools(), design });
    expect(end).toBe('cut');
    expect(steps.map((step) => step.kind === 'found' && step.proven)).toEqual([true, true]);
  });

  it('goes through arms downward, to the least that do', async () => {
    const { steps, end } = await sizeStaircase(tiny(), 'arms', {}, tools());
    expect(end).toBe('proven');
    const found = steps.flatMap((step) => (step.kind === 'found' ? [step] : []));
    expect(steps[0]).toEqual({ kind: 'none', size: found[0].size - 1 });
    for (const { size, cost } of found) expect(await costOf(tiny({ limits: { arms: size } }))).toBe(cost);
    expect(await costOf(tiny())).toBe(found[found.length - 1].cost);
  });
});
