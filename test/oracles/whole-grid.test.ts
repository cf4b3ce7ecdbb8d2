/**
 * The whole-grid program: known optima on tiny sites by two solvers, decoded plans are legal, and it is
 * a lower bound: for random layouts, the flows that the simulator finds fit into its rows.
 * TRANSLOOM_SEED shifts the seeds.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { sameTile } from '../../src/base/geometry.js';
import { ZERO, ratio, sumRational, type Rational } from '../../src/base/rational.js';
import type { Brief, ExitDemand, Target } from '../../src/brief/brief.js';
import type { Catalog, ModelName } from '../../src/catalog/catalog.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { layoutCost, type Layout, type PlacedBelt, type PlacedExit } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import type { IntegerSolver } from '../../src/program/solver.js';
import { runTrial } from '../../src/simulation/trial.js';
import { loadHighsSolver } from './highs-solver.js';
import { seededPlan } from './random-plans.js';
import { decodeWholeGrid, fixToLayout, lanesAreBounded, wholeGridProgram } from './whole-grid.js';

/** More than all of the time, so that chests with any filling arm keep up with the arms that empty them. */
const PRESENCE = ratio(100);
const LIMITS = { timeLimitSeconds: 50 };
const FIRST_SEED = Number(process.env['TRANSLOOM_SEED'] ?? 1) * 100_000;

let glpk: IntegerSolver;
let highs: IntegerSolver;
beforeAll(async () => {
  [glpk, highs] = await Promise.all([loadGlpkSolver(), loadHighsSolver()]);
});

/** Random layouts to try; a nightly run may ask for more. */
const MOST_LAYOUTS = Number(process.env['TRANSLOOM_LAYOUTS'] ?? 25);

const named = (name: string): ModelName => name as ModelName;
const CATALOG: Catalog = {
  name: 'plain',
  ticksPerSecond: 50,
  unitsPerTile: 240,
  pitch: 60,
  turn: { inner: 240, outer: 240 },
  belts: [{ name: named('belt'), speed: 15, cost: 1 }],
  splitters: [{ name: named('splitter'), speed: 15, cost: 8, favour: false }],
  underpasses: [],
  arms: [
    {
      name: named('arm'),
      reach: 1,
      payload: 12,
      swingTicks: 13,
      grabTicks: 1,
      releaseTicks: 1,
      slack: 0,
      patienceTicks: undefined,
      cost: 10,
    },
  ],
  chests: [{ name: named('chest'), capacity: 1600, cost: 4 }],
  wagons: [{ name: named('wagon'), length: 6, coupling: 0, capacity: 2000 }],
};

const onLanes = (left: Rational, right: Rational): Target => ({ left, right, total: left.add(right) });
const inTotal = (total: Rational): Target => ({ left: ZERO, right: ZERO, total });

function southBrief(width: number, depth: number, target: Target, changes: Partial<Brief> = {}): Brief {
  const catalog = changes.catalog ?? CATALOG;
  return {
    name: 'tiny',
    catalog,
    site: { width, depth, keepOut: [] },
    wagons: [{ model: CATALOG.wagons[0], at: 0 }],
    exits: [{ edge: 'S', from: 0, to: width - 1, belt: catalog.belts[0], target }],
    together: undefined,
    feed: 'chests',
    spotting: 0,
    presence: ratio(1),
    starts: 0,
    limits: { arms: undefined, parts: undefined, cost: undefined, imbalance: undefined },
    minimise: ['cost'],
    ...changes,
  };
}

const ONE_ARM = ratio(1, 6);

/** Belts over the first and the fourth column, from wagons of one tile. */
const twoBelts = (wagons: readonly number[]): Brief =>
  southBrief(4, 2, inTotal(ONE_ARM), {
    feed: 'direct',
    wagons: wagons.map((at) => ({ model: { ...CATALOG.wagons[0], length: 1 }, at })),
    exits: [0, 3].map((x) => ({ edge: 'S', from: x, to: x, belt: CATALOG.belts[0], target: inTotal(ONE_ARM) })),
  });

interface TinySite {
  readonly name: string;
  readonly brief: Brief;
  readonly optimum: number | 'infeasible';
}

const UNDERPASSES: Catalog['underpasses'] = [{ name: named('underpass'), speed: 15, span: 3, cost: 1 }];
const TINY_SITES: readonly TinySite[] = [
  // Counted by hand: arm 10, chest 4, arm 10, and a belt to each row below.
  { name: 'a line of four', brief: southBrief(2, 4, inTotal(ONE_ARM)), optimum: 25 },
  { name: 'a line of five', brief: southBrief(2, 5, inTotal(ONE_ARM)), optimum: 26 },
  { name: 'a single column', brief: southBrief(1, 4, inTotal(ONE_ARM)), optimum: 25 },
  { name: 'too shallow for a column', brief: southBrief(1, 3, inTotal(ONE_ARM)), optimum: 'infeasible' },
  // An arm and a belt beneath it.
  { name: 'straight from the wagon', brief: southBrief(2, 2, inTotal(ONE_ARM), { feed: 'direct' }), optimum: 11 },
  // The arm drops on the far lane of a belt across it, so that a turn to the south brings it to the left
  // one going east, to the right one going west; straight down it is the right-hand lane.
  { name: 'the left lane', brief: southBrief(2, 2, onLanes(ONE_ARM, ZERO), { feed: 'direct' }), optimum: 12 },
  { name: 'the right lane', brief: southBrief(2, 2, onLanes(ZERO, ONE_ARM), { feed: 'direct' }), optimum: 11 },
  // More than one arm gives on a lane: both lanes, two arms.
  {
    name: 'two arms',
    brief: southBrief(3, 2, inTotal(ratio(1, 3)), { feed: 'direct' }),
    optimum: 22,
  },
  // 12/28 is what one arm supplies; at a quarter of the time it is 3/28, less than 1/6.
  {
    name: 'a wagon now and then',
    brief: southBrief(1, 4, inTotal(ONE_ARM), { presence: ratio(1, 4) }),
    optimum: 'infeasible',
  },
  { name: 'parts counted', brief: southBrief(1, 5, inTotal(ONE_ARM), { minimise: ['parts'] }), optimum: 5 },
  {
    name: 'too few arms allowed',
    brief: southBrief(3, 4, inTotal(ONE_ARM), {
      limits: { arms: 1, parts: undefined, cost: undefined, imbalance: undefined },
    }),
    optimum: 'infeasible',
  },
  // An arm and a belt beneath each wagon; one wagon of a tile has room for one arm.
  { name: 'a belt from each of two wagons', brief: twoBelts([0, 3]), optimum: 22 },
  { name: 'two belts from one wagon', brief: twoBelts([0]), optimum: 'infeasible' },
  // The only way lies beyond a tile where nothing may stand: arm, two underpass ends, belt.
  {
    name: 'beneath an obstacle',
    brief: southBrief(1, 5, inTotal(ONE_ARM), {
      feed: 'direct',
      catalog: { ...CATALOG, underpasses: UNDERPASSES },
      site: { width: 1, depth: 5, keepOut: [{ x: 0, y: 2, width: 1, height: 1 }] },
    }),
    optimum: 13,
  },
];

describe('whole-grid program', () => {
  it.each(TINY_SITES)('$name: $optimum', ({ brief, optimum }) => {
    const grid = wholeGridProgram(brief);
    for (const solver of [glpk, highs]) {
      const answer = solver.solve(grid.program, LIMITS);
      if (optimum === 'infeasible') {
        expect(answer.status, solver.name).toBe('infeasible');
        continue;
      }
      expect(answer.status === 'optimal' ? answer.solution.objective : answer, solver.name).toBe(optimum);
      if (answer.status !== 'optimal') continue;
      const layout = decodeWholeGrid(brief, grid, answer.solution.values);
      expect(checkLegality(layout).filter(({ severity }) => severity === 'error')).toEqual([]);
      expect(layout.exits).toHaveLength(brief.exits.length);
      if (brief.minimise[0] === 'cost') expect(layoutCost(layout)).toBe(optimum);
    }
  });

  it('costs no more with more width, less to deliver, or chests as well as the wagon to draw from', () => {
    let compared = 0;
    for (const parts of [1, 2, 3]) {
      const target = onLanes(ratio(parts, 12), ratio(1, 12));
      const less = onLanes(ratio(parts - 1, 12), ratio(1, 12));
      const costs = [
        southBrief(2, 2, target, { feed: 'direct' }),
        southBrief(3, 2, target, { feed: 'direct' }),
        southBrief(2, 2, less, { feed: 'direct' }),
        southBrief(2, 2, target, { feed: 'either' }),
      ].map((brief) => {
        const answer = glpk.solve(wholeGridProgram(brief).program, LIMITS);
        expect(['optimal', 'infeasible']).toContain(answer.status);
        return answer.status === 'optimal' ? answer.solution.objective : Infinity;
      });
      if (costs[0] < Infinity) compared++;
      expect(Math.max(...costs.slice(1)), `${parts}`).toBeLessThanOrEqual(costs[0]);
    }
    expect(compared).toBeGreaterThan(0);
  });
});

/** The catalog with only the models that a layout uses: fewer variables, and the same flows. */
function usedModels({ catalog, parts }: Layout): Catalog {
  const used = new Set(parts.map(({ model }) => model.name));
  const keep = <T extends { readonly name: ModelName }>(models: readonly T[]): readonly T[] =>
    models.filter(({ name }) => used.has(name));
  return {
    ...catalog,
    belts: keep(catalog.belts),
    splitters: keep(catalog.splitters),
    underpasses: keep(catalog.underpasses),
    arms: keep(catalog.arms),
    chests: catalog.chests.slice(0, 1),
  };
}

const beltAtExit = (layout: Layout, exit: PlacedExit): PlacedBelt | undefined =>
  layout.parts.find(
    (part): part is PlacedBelt => part.kind === 'belt' && part.heading === exit.heading && sameTile(part.at, exit.at),
  );

/**
 * A random layout made into one that a brief can ask for: no arm takes from a carrier or moves items
 * between chests, every exit is open and has a belt, arms are without slack if `exactDrops`.
 */
function asked(layout: Layout, exactDrops: boolean): Layout {
  const useless = new Set(
    deriveNetwork(layout).arms.flatMap(({ part, pick, place }) =>
      pick.kind === 'carrier' || (pick.kind === 'chest' && place.kind === 'chest') ? [part] : [],
    ),
  );
  const parts = layout.parts
    .filter((_, index) => !useless.has(index))
    .map((part) => (part.kind === 'arm' && exactDrops ? { ...part, model: { ...part.model, slack: 0 } } : part));
  const exits = layout.exits
    .filter((exit) => beltAtExit(layout, exit) !== undefined)
    .map((exit) => ({ ...exit, take: undefined }));
  const changed = { ...layout, parts, exits };
  const catalog = usedModels(changed);
  const arms = catalog.arms.map((arm) => (exactDrops ? { ...arm, slack: 0 } : arm));
  return { ...changed, catalog: { ...catalog, arms } };
}

describe('the whole-grid program as a lower bound', () => {
  it('has room for the flows of every layout that the simulator runs', () => {
    const counted = { flowing: 0, splitters: 0, underpasses: 0, slack: 0 };
    for (let seed = FIRST_SEED; seed < FIRST_SEED + 100 * MOST_LAYOUTS && counted.flowing < MOST_LAYOUTS; seed++) {
      const layout = asked(seededPlan(seed), seed % 2 === 0);
      if (layout.site.width * layout.site.depth > 80 || !lanesAreBounded(layout.catalog)) continue;
      const trial = runTrial(layout, { starts: 0, seed: 1, tickLimit: 200_000, presence: PRESENCE });
      const flows = sumRational(trial.exits.map(({ flow }) => flow));
      if (!trial.exact || flows.equals(0) || trial.chests.some(({ keepsUp }) => !keepsUp)) continue;
      const exits = layout.exits.flatMap((exit, index): ExitDemand[] => {
        const belt = beltAtExit(layout, exit)?.model;
        const along = exit.heading === 'N' || exit.heading === 'S' ? exit.at.x : exit.at.y;
        const { left, right } = trial.exits[index];
        const target = onLanes(left.flow, right.flow);
        return belt === undefined ? [] : [{ edge: exit.heading, from: along, to: along, belt, target }];
      });
      expect(exits).toHaveLength(layout.exits.length);
      const { catalog, site, wagons, parts } = layout;
      const brief: Brief = { ...TINY_SITES[0].brief, catalog, site, wagons, exits, feed: 'either', presence: PRESENCE };
      const answer = glpk.solve(fixToLayout(wholeGridProgram(brief), layout), LIMITS);
      expect(answer.status === 'optimal' ? 'fits' : JSON.stringify(answer), `seed ${seed}`).toBe('fits');
      counted.flowing++;
      if (parts.some(({ kind }) => kind === 'splitter')) counted.splitters++;
      if (parts.some(({ kind }) => kind === 'underpass')) counted.underpasses++;
      if (catalog.arms.some(({ slack }) => slack > 0)) counted.slack++;
    }
    expect(Math.min(counted.splitters, counted.underpasses, counted.slack), JSON.stringify(counted)).toBeGreaterThan(0);
    expect(counted.flowing).toBe(MOST_LAYOUTS);
  });
});
