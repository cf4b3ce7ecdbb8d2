/**
 * Designs of loading stations against every legal plan of tiny sites: nothing cheaper, nothing smaller at equal cost, and
 * the design's own price is found too. The plans are enumerated in `every-loading-plan.ts`, by nothing of `src/synthesis`;
 * the judge is the simulator. Also: sites moved along the wagon, and bounds on arms.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_BRIEFS the number of briefs (18).
 */
import { describe, expect, it } from 'vitest';
import { ratio, type Rational } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { costOf, footprint, layoutCost, partCount, placeTile, tilesOf, wagonAt } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { designLoading } from '../../src/synthesis/loading/loading-design.js';
import { pickRateBound } from '../../src/synthesis/loading/loading-arms.js';
import { runTrial } from '../../src/simulation/trial.js';
import { loadJobOf, SEED } from '../documents.js';
import { alikeBrief, bothSidesBrief, countedTools, everyPlan, isInside, isJoined, joinedBrief, quickArmsBrief, spottedBrief, TICK_LIMIT, sharedBrief, tinyBrief, variedBrief } from './every-loading-plan.js';
import { seededLoadingPlan } from './random-plans.js';

const BRIEFS = Number(process.env['TRANSLOOM_BRIEFS'] ?? '18');
/** Dearer designs are not compared: there are too many plans. What is infeasible has none up to the other cost. */
const MOST_COST = 7;
const NONE_UP_TO = 5;

const design = (brief: Brief) => designLoading(brief, loadJobOf(brief), countedTools(brief));

interface Found {
  readonly values: readonly number[];
  readonly inside: boolean;
}

const isLess = (a: readonly number[], b: readonly number[]): boolean => {
  const at = a.findIndex((value, index) => value !== b[index]);
  return at >= 0 && a[at] < b[at];
};

function bruteForce(brief: Brief, mostCost: number): { readonly inside: Found | undefined; readonly outside: Found | undefined; readonly judged: number } {
  const verify = loadingVerifier({ starts: brief.starts, seed: 1, tickLimit: TICK_LIMIT });
  let inside: Found | undefined;
  let outside: Found | undefined;
  let judged = 0;
  everyPlan(brief, mostCost, (layout) => {
    const values = [layoutCost(layout), footprint(layout), partCount(layout)];
    const isIn = isInside(layout, brief.spotting);
    const best = isIn ? inside : outside;
    if (best !== undefined && !isLess(values, best.values)) return;
    if (layout.parts.filter(({ kind }) => kind === 'arm').length > (brief.limits.arms ?? Infinity)) return;
    if (checkLegality(layout).some(({ severity }) => severity === 'error')) return;
    judged++;
    if (verify(layout, brief).verdict !== 'passes') return;
    if (isIn) inside = { values, inside: true };
    else outside = { values, inside: false };
  });
  return { inside, outside, judged };
}

describe('designs of loading stations', () => {
  it.each([
    ['plain', tinyBrief, BRIEFS],
    ['varied', variedBrief, Math.ceil(BRIEFS * 0.6)],
    ['shared', sharedBrief, Math.ceil(BRIEFS * 0.3)],
    ['quick arms', quickArmsBrief, Math.ceil(BRIEFS * 0.6)],
    ['joined', joinedBrief, BRIEFS],
    ['alike', alikeBrief, Math.ceil(BRIEFS * 1.5)],
    ['spotted', spottedBrief, Math.ceil(BRIEFS * 1.5)],
    ['both sides', bothSidesBrief, Math.ceil(BRIEFS * 0.7)],
  ] as const)(`are the cheapest, then the smallest, of all plans of tiny sites (%s, from seed ${SEED})`, { timeout: 600_000 }, async (which, briefAt, briefs) => {
    // Each plan is tried with the wagons at three places.
    const [mostCost, noneUpTo] = which === 'spotted' ? [5, 4] : [MOST_COST, NONE_UP_TO];
    const counts = { optimal: 0, infeasible: 0, chests: 0, direct: 0, splitters: 0, underpasses: 0, twofold: 0, wagons: 0, keptOut: 0, limited: 0, joined: 0, missing: 0, inNorth: 0, byEnd: 0, skipped: 0, judged: 0 };
    const outside: string[] = [];
    for (let seed = SEED; seed < SEED + briefs; seed++) {
      const brief = briefAt(seed);
      const outcome = await design(brief);
      if (outcome.status === 'optimal') {
        const { layout } = outcome;
        const cost = layoutCost(layout);
        expect(isInside(layout, brief.spotting), `seed ${seed}`).toBe(true);
        if (cost > mostCost) {
          counts.skipped++;
          continue;
        }
        const brute = bruteForce(brief, cost);
        expect(brute.inside?.values, `seed ${seed}`).toEqual([cost, footprint(layout), partCount(layout)]);
        if (brute.outside !== undefined && isLess(brute.outside.values, brute.inside?.values ?? [])) outside.push(`seed ${seed}: ${brute.outside.values.join()}`);
        counts.optimal++;
        counts.judged += brute.judged;
        counts.joined += isJoined(layout) ? 1 : 0;
        counts.missing += deriveNetwork(layout).arms.some(({ place }) => place.kind === 'nothing') ? 1 : 0;
        counts.twofold += brief.load !== undefined && brief.load.entries.length > 1 ? 1 : 0;
        counts.wagons += brief.wagons.length === 2 ? 1 : 0;
        counts.keptOut += brief.site.keepOut.length;
        counts.limited += brief.limits.arms === undefined ? 0 : 1;
        counts.inNorth += layout.parts.some((part) => tilesOf(part).some(({ y }) => y < -2)) ? 1 : 0;
        counts.byEnd += layout.parts.some((part) => part.kind === 'arm' && (part.heading === 'E' || part.heading === 'W') && wagonAt(layout.wagons, placeTile(part)) !== undefined) ? 1 : 0;
        counts.chests += layout.parts.some(({ kind }) => kind === 'chest') ? 1 : 0;
        counts.direct += layout.parts.some(({ kind }) => kind === 'chest') ? 0 : 1;
        counts.splitters += layout.parts.some(({ kind }) => kind === 'splitter') ? 1 : 0;
        counts.underpasses += layout.parts.some(({ kind }) => kind === 'underpass') ? 1 : 0;
      } else if (outcome.status === 'infeasible') {
        counts.infeasible++;
        expect(bruteForce(brief, noneUpTo).inside, `seed ${seed}`).toBeUndefined();
      } else counts.skipped++;
    }
    console.log(`compared (${which}): ${JSON.stringify(counts)}; better outside of the stated space: ${outside.join('; ') || 'none'}`);
    expect(counts.optimal).toBeGreaterThan(which === 'plain' ? briefs / 4 : 0);
    expect(which === 'joined' ? counts.joined : 1).toBeGreaterThan(0);
    expect(which === 'spotted' ? counts.missing : 1).toBeGreaterThan(0);
    const ofItsKind = { plain: Math.min(counts.infeasible, counts.chests, counts.direct), 'both sides': Math.min(counts.inNorth, counts.byEnd, counts.chests, counts.direct) };
    expect(which === 'plain' || which === 'both sides' ? ofItsKind[which] : counts.twofold + counts.wagons + counts.keptOut + counts.limited).toBeGreaterThan(0);
  });

  it('cost no more where arms are free than the rest of what is designed at their price', async () => {
    let compared = 0;
    for (const seed of [2, 5, 9, 14, 20, 36, 88]) {
      const brief = tinyBrief(seed);
      const priced = await design(brief);
      if (priced.status !== 'optimal') continue;
      const free = await design({ ...brief, catalog: { ...brief.catalog, arms: brief.catalog.arms.map((arm) => ({ ...arm, cost: 0 })) } });
      const rest = priced.layout.parts.filter(({ kind }) => kind !== 'arm').reduce((sum, part) => sum + costOf(part), 0);
      expect(free.status, `seed ${seed}`).toBe('optimal');
      expect(free.proof.cost, `seed ${seed}`).toBeLessThanOrEqual(rest);
      compared++;
    }
    expect(compared).toBeGreaterThan(0);
  });

  it('cost the same on a site that is moved along its wagon', async () => {
    for (const seed of [2, 5, 9, 14, 20]) {
      const brief = tinyBrief(seed);
      const { load } = brief;
      if (load === undefined) continue;
      const wide = { ...brief, wagons: brief.wagons.map((wagon) => ({ ...wagon, at: wagon.at + 1 })) };
      const shifted: Brief = {
        ...wide,
        site: { ...brief.site, width: brief.site.width + 1, keepOut: [{ x: 0, y: 0, width: 1, height: brief.site.depth }] },
        load: { ...load, entries: load.entries.map((entry) => (entry.edge === 'S' ? { ...entry, from: entry.from + 1, to: entry.to + 1 } : entry)) },
      };
      if (load.entries[0].edge !== 'S') continue;
      const [plain, moved] = [await design(brief), await design(shifted)];
      expect([moved.status, moved.proof.bound]).toEqual([plain.status, plain.proof.bound]);
    }
  });
});

describe('the bound on an arm that picks from a carrier', () => {

  it('is never exceeded by the simulator, and is reached', () => {
    let arms = 0;
    let reached = 0;
    for (let seed = 1; seed <= 150; seed++) {
      const layout = seededLoadingPlan(seed);
      const trial = runTrial(layout, { starts: 1, seed: 1, tickLimit: 8_000, presence: ratio(1) });
      if (!trial.exact) continue;
      const network = deriveNetwork(layout);
      network.arms.forEach(({ part, pick: from, place }, index) => {
        const placed = layout.parts[part];
        if (placed.kind !== 'arm' || from.kind !== 'carrier' || (place.kind !== 'chest' && place.kind !== 'wagon')) return;
        const bound: Rational = pickRateBound(placed.model);
        const order = trial.arms[index].flow.compare(bound);
        expect(order, `seed ${seed}, arm at ${placed.at.x},${placed.at.y}`).toBeLessThanOrEqual(0);
        arms++;
        if (order === 0) reached++;
      });
    }
    expect(arms).toBeGreaterThan(100);
    expect(reached).toBeGreaterThan(5);
  });
});
