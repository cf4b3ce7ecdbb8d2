/**
 * `design` against brute force on tiny sites: nothing cheaper, nothing smaller at equal cost, and the design itself (or
 * its like) is found by brute force too. First, brute force against a census of a site that leaves nothing out at all.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_BRIEFS the number of briefs, TRANSLOOM_STEPS the work for each.
 */
import { describe, expect, it } from 'vitest';
import { HEADINGS, type Tile } from '../../src/base/geometry.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { layoutCost, type Layout, type Part } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import type { Brief } from '../../src/brief/brief.js';
import { SEED } from '../documents.js';
import { everyPlan } from './brute-force.js';
import { bruteForce, compareDesign, isInStatedSpace, verification } from './compare-designs.js';
import { readBrief, tinyBrief, tinyBriefDocument } from './random-briefs.js';

const BRIEFS = Number(process.env['TRANSLOOM_BRIEFS'] ?? '100');
const STEPS = Number(process.env['TRANSLOOM_STEPS'] ?? '40000');

// ------------------------------------------------------------------------------------------------------------ census

/** A site of 3 x 3 on which direct feeding needs an arm and two belts, or less where turns or tee merges help. */
const censusBrief = (target: unknown, changes: Record<string, unknown> = {}): Brief => {
  const brief = readBrief({
    format: 'transloom-brief/1',
    name: 'census',
    catalog: {
      format: 'transloom-catalog/1',
      name: 'census',
      ticksPerSecond: 50,
      unitsPerTile: 64,
      pitch: 16,
      turn: { inner: 32, outer: 80 },
      belts: { belt: { speed: 4, cost: 1 } },
      splitters: { splitter: { speed: 4, cost: 1 } },
      underpasses: { underpass: { speed: 4, span: 2, cost: 1 } },
      arms: { arm: { reach: 1, payload: 3, swing: 3, grab: 1, release: 1, cost: 1 } },
      chests: { chest: { capacity: 400, cost: 1 } },
      wagons: { wagon: { length: 2, capacity: 2000 } },
    },
    site: { width: 3, depth: 3 },
    wagons: [{ model: 'wagon', at: 0 }],
    exits: [{ edge: 'S', from: 0, to: 2, belt: 'belt', target }],
    feed: 'direct',
    starts: 0,
    ...changes,
  } as never);
  if (brief === undefined) throw new Error('no brief');
  return brief;
};

/** Every set of parts whatever, each with at least one arm and the exit's belt; no thought given to what is of use. */
function* census(brief: Brief, mostCost: number): Generator<Layout> {
  const { catalog, site, wagons } = brief;
  const tiles = Array.from({ length: site.width * site.depth }, (_, i): Tile => ({ x: i % site.width, y: Math.floor(i / site.width) }));
  const all = tiles.flatMap((at): readonly Part[] => [
    ...HEADINGS.flatMap((heading): readonly Part[] => [
      ...catalog.belts.map((model): Part => ({ kind: 'belt', at, heading, model })),
      ...catalog.splitters.map((model): Part => ({ kind: 'splitter', at, heading, model })),
      ...catalog.arms.map((model): Part => ({ kind: 'arm', at, heading, model })),
    ]),
    ...catalog.underpasses.flatMap((model) =>
      tiles.filter((to) => (to.x === at.x) !== (to.y === at.y)).map((to): Part => ({ kind: 'underpass', from: at, to, model })),
    ),
    ...catalog.chests.map((model): Part => ({ kind: 'chest', at, model })),
  ]);
  const chosen: Part[] = [];
  function* choose(from: number, left: number): Generator<Layout> {
    for (const at of tiles.filter(({ y }) => y === site.depth - 1)) {
      const leaves = chosen.some((part) => part.kind === 'belt' && part.heading === 'S' && part.at.x === at.x && part.at.y === at.y);
      if (!leaves || !chosen.some(({ kind }) => kind === 'arm')) continue;
      yield { name: 'census', catalog, site, wagons, parts: [...chosen], exits: [{ at, heading: 'S', take: undefined }] };
    }
    for (let i = from; i < all.length; i++) {
      const cost = (all[i].kind === 'underpass' ? 2 : 1) * all[i].model.cost;
      if (cost > left) continue;
      chosen.push(all[i]);
      yield* choose(i + 1, left - cost);
      chosen.pop();
    }
  }
  yield* choose(0, mostCost);
}

describe('brute force', () => {
  it.each([
    ['a lane', { left: { fill: '1/4' } }, {}],
    ['an exit at the wagon\'s side', { left: { fill: '1/4' } }, { exits: [{ edge: 'S', from: 2, to: 2, belt: 'belt', target: { left: { fill: '1/4' } } }] }],
  ])('finds whatever passes among all plans of four parts: %s', (_, target, changes) => {
    const brief = censusBrief(target, changes);
    const mostCost = 4;
    let cheapest = Infinity;
    let looked = 0;
    for (const layout of census(brief, mostCost)) {
      const cost = layoutCost(layout);
      const [exit] = layout.exits;
      const [demand] = brief.exits;
      if (cost >= cheapest || exit.at.x < demand.from || exit.at.x > demand.to) continue;
      if (checkLegality(layout).some(({ severity }) => severity === 'error')) continue;
      // The brief's feed: arms onto carriers draw straight from the wagon.
      if (deriveNetwork(layout).arms.some(({ pick, place }) => place.kind === 'carrier' && pick.kind !== 'wagon' && pick.kind !== 'nothing')) continue;
      looked++;
      if (verification(layout, brief).passes) cheapest = cost;
    }
    const brute = bruteForce(brief, [mostCost, Infinity, Infinity], Infinity);
    const costs = [brute.inside, brute.outside].map((found) => found?.measures[0] ?? Infinity);
    expect(looked).toBeGreaterThan(100);
    expect(Math.min(...costs)).toBe(cheapest);
  });

  it('gives legal plans alone, each once, at their cost', () => {
    const brief = censusBrief({ rate: '3/13' });
    const seen = new Set<string>();
    const { plans, complete } = everyPlan(brief, { mostCost: 6, mostSteps: Infinity }, (layout, cost) => {
      const text = layout.parts.map((part) => JSON.stringify({ ...part, model: part.model.name })).sort().join() + JSON.stringify(layout.exits);
      if (seen.has(text)) expect.fail(`twice: ${text}`);
      seen.add(text);
      if (layoutCost(layout) !== cost || checkLegality(layout).some(({ severity }) => severity === 'error')) expect.fail(text);
    });
    expect(complete).toBe(true);
    expect(seen.size).toBe(plans);
    expect(plans).toBeGreaterThan(500);
  });
});

// ------------------------------------------------------------------------------------------------------------ design

describe('design against brute force', () => {
  it.each([
    ['briefs', false, BRIEFS],
    ['briefs of two exits and two wagons', true, Math.ceil(BRIEFS / 2)],
  ])(`finds nothing cheaper or smaller (%s, from seed ${SEED})`, { timeout: 3_600_000 }, async (_, several, briefs) => {
    const solver = await loadGlpkSolver();
    const counts = { optimal: 0, infeasible: 0, splitters: 0, underpasses: 0, severalExits: 0, together: 0, skipped: 0 };
    const outside: string[] = [];
    for (let seed = SEED; seed < SEED + briefs; seed++) {
      const brief = tinyBrief(seed, several);
      if (brief === undefined) continue;
      const { outcome, compared, difference, outside: better } = await compareDesign(brief, solver, {
        mostSteps: STEPS,
        timeLimitSeconds: 1,
      });
      if (difference !== undefined) expect.fail(`seed ${seed}: ${difference}\n${JSON.stringify(tinyBriefDocument(seed, several))}`);
      if (better !== undefined) outside.push(`seed ${seed}: ${better}`);
      if (!compared) counts.skipped++;
      else if (outcome.status === 'infeasible') counts.infeasible++;
      else if (outcome.status === 'optimal') {
        counts.optimal++;
        expect(isInStatedSpace(outcome.layout)).toBe(true);
        if (outcome.layout.parts.some(({ kind }) => kind === 'splitter')) counts.splitters++;
        if (outcome.layout.parts.some(({ kind }) => kind === 'underpass')) counts.underpasses++;
        if (outcome.layout.exits.length > 1) counts.severalExits++;
        if (brief.together !== undefined) counts.together++;
      }
    }
    console.log(`compared: ${JSON.stringify(counts)}; plans outside the stated space that are better: ${outside.join('; ') || 'none'}`);
    // Each of the ways in which a design can be wrong must have had its chance.
    expect(counts.optimal).toBeGreaterThanOrEqual(briefs / 5);
    const { infeasible, splitters, underpasses, severalExits, together } = counts;
    expect(Math.min(infeasible, splitters, severalExits, together, several ? 1 : underpasses)).toBeGreaterThan(0);
  });
});
