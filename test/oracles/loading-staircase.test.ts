/**
 * Staircases of loading stations over the fill against every legal plan of tiny sites (`every-loading-plan.ts`): for each
 * cost, the greatest fill that any plan gives. The greatest fill of a site is where its staircase ends.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_STAIRS the number of briefs.
 */
import { describe, expect, it } from 'vitest';
import { isLess, ONE, ratio, type Rational } from '../../src/base/rational.js';
import { askedFill } from '../../src/brief/asked-fill.js';
import type { Brief } from '../../src/brief/brief.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { layoutCost } from '../../src/layout/layout.js';
import { changed } from '../../src/synthesis/change.js';
import { fillStaircase, greatestFill, sizeStaircase, type StaircaseTools } from '../../src/synthesis/choices/staircase.js';
import { designLoading } from '../../src/synthesis/loading/loading-design.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { briefOf, loadJobOf, SEED } from '../documents.js';
import { countedTools, everyPlan, isInside, TICK_LIMIT, tinyBrief } from './every-loading-plan.js';
import { risesOf, type Rise } from './rises.js';

const BRIEFS = Number(process.env['TRANSLOOM_STAIRS'] ?? '3');
/** Seeds whose staircases have several steps. */
const SEVERAL = [9, 39, 109];
const MOST_COST = 5;

const tools = (brief: Brief): StaircaseTools => ({
  design: (asked) => designLoading(asked, loadJobOf(asked), countedTools(asked)),
  verify: loadingVerifier({ starts: brief.starts, seed: 1, tickLimit: TICK_LIMIT }),
  onStep: () => undefined,
});

/** Costs at which some plan gives more than every cheaper one, and what it gives. */
function bruteRises(low: Brief, mostCost: number): readonly Rise[] {
  const { verify } = tools(low);
  const most = new Map<number, Rational>();
  everyPlan(low, mostCost, (layout) => {
    if (!isInside(layout, low.spotting) || checkLegality(layout).some(({ severity }) => severity === 'error')) return;
    const cost = layoutCost(layout);
    if ([...most].some(([other, fill]) => other <= cost && !isLess(fill, ONE))) return;
    const witness = verify(layout, low);
    if (witness.verdict !== 'passes') return;
    const known = most.get(cost);
    if (known === undefined || isLess(known, witness.fill)) most.set(cost, witness.fill);
  });
  return risesOf(most);
}

describe('a staircase of loading stations', () => {
  it(`has the steps that brute force has, and ends at the greatest fill (from seed ${SEED})`, { timeout: 600_000 }, async () => {
    const counts = { compared: 0, rises: 0, ends: 0 };
    const drawn = Array.from({ length: BRIEFS }, (_, index) => SEED + index);
    for (const seed of [...SEVERAL, ...drawn]) {
      const brief: Brief = { ...changed(tinyBrief(seed), [{ kind: 'target', share: ratio(1, 3) }]), exceed: false };
      const { from, steps, end } = await fillStaircase(brief, { from: askedFill(brief) }, tools(brief));
      const proven = steps.slice(0, steps.findIndex((step) => !step.proven) < 0 ? undefined : steps.findIndex((step) => !step.proven)).filter(({ cost }) => cost <= MOST_COST);
      const mostCost = proven.at(-1)?.cost;
      if (mostCost === undefined) continue;
      const low = changed(brief, [{ kind: 'target', share: from.div(askedFill(brief)) }]);
      expect({ seed, steps: proven.map(({ cost, upTo }) => ({ cost, upTo: upTo.toFraction() })) }).toEqual({ seed, steps: bruteRises(low, mostCost) });
      counts.compared++;
      counts.rises += proven.length;
      if (end.kind === 'open' || steps.some((step) => !step.proven)) continue;
      const greatest = await greatestFill(brief, tools(brief));
      expect(greatest.end.kind, `seed ${seed}`).toBe(end.kind);
      expect(greatest.best?.upTo, `seed ${seed}`).toEqual(steps.at(-1)?.upTo);
      expect(greatest.best?.cost, `seed ${seed}`).toBe(steps.at(-1)?.cost);
      counts.ends++;
    }
    console.log(`compared: ${JSON.stringify(counts)}`);
    expect(counts.compared).toBeGreaterThanOrEqual(SEVERAL.length);
    expect(counts.rises).toBeGreaterThan(counts.compared);
    expect(counts.ends).toBeGreaterThan(0);
  });

  it('over the depth has entries move with the south edge, and over arms ends where fewer do nothing', async () => {
    const brief = briefOf('models/briefs/grain-load-full.json', { starts: 1 });
    const { steps } = await sizeStaircase(brief, 'depth', { from: 1, to: 4 }, tools(brief));
    expect(steps[0].kind).toBe('none');
    for (const step of steps.slice(1)) {
      const plain = briefOf('models/briefs/grain-load-full.json', { starts: 1, site: { width: 6, depth: step.size } });
      const { proof } = await tools(plain).design(plain);
      expect([step.size, step.kind === 'found' && step.cost]).toEqual([step.size, proof.cost]);
    }
    const arms = await sizeStaircase(changed(brief, [{ kind: 'site', side: 'depth', to: 2 }]), 'arms', {}, tools(brief));
    expect(arms.steps.map(({ kind }) => kind)).toContain('found');
    expect(arms.end).toBe('proven');
    expect(arms.steps.map(({ kind, size }) => [kind, size])).toEqual([['none', 1], ['found', 2]]);
  });
});
