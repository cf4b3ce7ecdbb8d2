/**
 * What repairs rest on, on random plans: what a verdict is said not to depend on does not change it, and no repair costs
 * less than its bound, all along its way. TRANSLOOM_MENDS sets how many plans (80), TRANSLOOM_SEED the first seed.
 */
import { describe, expect, it } from 'vitest';
import { HEADINGS, stepFrom } from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';
import { ONE } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { layoutCost, type Layout, type Part } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { termsByPromise } from '../../src/tasks/mend-terms.js';
import { leastFlows } from '../../src/simulation/least-flows.js';
import { runTrial } from '../../src/simulation/trial.js';
import { LeastFirst } from '../../src/synthesis/repair/least-first.js';
import { MendBound } from '../../src/synthesis/repair/mend-bound.js';
import { relevantTo } from '../../src/synthesis/repair/mend-relevance.js';
import { layoutOf, mendUniverse, MendState, tileNumber } from '../../src/synthesis/repair/mend-universe.js';
import { unloadingGraph } from '../../src/synthesis/repair/unloading-graph.js';
import { siteMap } from '../../src/synthesis/site/site-map.js';
import { seededPlan, type Draw } from '../oracles/random-plans.js';
import { boundOnTheWay } from './bound-on-the-way.js';

const plans = Number(process.env['TRANSLOOM_MENDS'] ?? 80);
const firstSeed = Number(process.env['TRANSLOOM_SEED'] ?? 1);
const seeds = Array.from({ length: plans }, (_, index) => firstSeed + index);
const STARTS = { starts: 2, seed: 1, tickLimit: 3000 };

const isLegal = (layout: Layout): boolean => checkLegality(layout).every(({ severity }) => severity !== 'error');

/** What the plan gives, asked of another one. */
function askingFor(given: Layout, of: Layout): Brief {
  const { exits, together } = leastFlows(given, STARTS);
  const promise = {
    exits: exits.map((flows, exit) => ({ ...given.exits[exit], ...flows })),
    together,
    cost: layoutCost(given),
    starts: STARTS.starts,
    seed: STARTS.seed,
    presence: ONE,
    spotting: 0,
  };
  return { ...termsByPromise(of, promise).brief, feed: 'either' };
}

const small = (layout: Layout): boolean => layout.exits.length > 0 && layout.site.width * layout.site.depth <= 60;

/** Some parts less, some turned. */
function broken(layout: Layout, draw: Draw): Layout {
  const parts = layout.parts.flatMap((part): readonly Part[] => {
    if (draw(5) !== 0) return [part];
    if ((part.kind !== 'belt' && part.kind !== 'arm') || draw(2) === 0) return [];
    return [{ ...part, heading: HEADINGS[draw(4)] }];
  });
  return { ...layout, parts };
}

describe('what a verdict depends on', () => {
  it('is all that can change the flow at an exit', { timeout: 600_000 }, () => {
    let tried = 0;
    let changes = 0;
    for (const seed of seeds) {
      const layout = seededPlan(seed);
      if (!small(layout)) continue;
      const draw = seededRandom(seed);
      const universe = mendUniverse(layout, siteMap(askingFor(layout, layout)));
      const before = leastFlows(layout, STARTS);
      if (!before.exact) continue;
      layout.exits.forEach((_, exit) => {
        const root = new MendState(universe);
        const relevant = new Set(relevantTo(universe, root, root.standing, { kind: 'flow', exit }));
        const others = universe.placements.flatMap((__, id) => (relevant.has(id) ? [] : [id]));
        // What a dead end faces comes up too seldom by chance.
        const ends = deriveNetwork(layout).carriers.filter(({ next }) => next.kind === 'nothing').flatMap(({ head, heading }) => universe.taking[tileNumber(universe.map, stepFrom(head, heading)) * 4 + HEADINGS.indexOf(heading)] ?? []);
        const faced = others.filter((id) => ends.includes(id));
        for (let round = 0; round < 6 && others.length > 0; round++) {
          const state = root.copy();
          for (let n = 0; n < 5; n++) {
            const from = faced.length > 0 && n === 0 ? faced : others;
            const id = from[draw(from.length)];
            if (state.priceOf(id) === Infinity || (state.stands[id] === 0 && state.inTheWayOf(id).some((other) => relevant.has(other)))) continue;
            state.change(id);
            changes += 1;
          }
          const after = layoutOf(universe, state.standing);
          expect(isLegal(after)).toBe(true);
          const flows = leastFlows(after, STARTS);
          if (!flows.exact) continue;
          tried += 1;
          const texts = ({ flow, left, right }: typeof flows.exits[number]): readonly string[] => [flow, left, right].map((each) => each.toFraction());
          expect({ seed, exit, flows: texts(flows.exits[exit]) }).toEqual({ seed, exit, flows: texts(before.exits[exit]) });
        }
      });
    }
    expect(tried).toBeGreaterThan(plans / 2);
    expect(changes).toBeGreaterThan(tried);
  });
});

describe('the bound', () => {
  it('is never above what a repair costs, all along its way', { timeout: 600_000 }, () => {
    let tried = 0;
    let binding = 0;
    for (const seed of seeds) {
      const whole = seededPlan(seed);
      if (!small(whole)) continue;
      const draw = seededRandom(seed);
      if (!leastFlows(whole, STARTS).exact || !runTrial(whole, { ...STARTS, presence: ONE }).chests.every(({ keepsUp }) => keepsUp)) continue;
      for (let round = 0; round < 4; round++) {
        const layout = broken(whole, draw);
        if (!isLegal(layout)) continue;
        const universe = mendUniverse(layout, siteMap(askingFor(whole, layout)));
        const bound = new MendBound(universe, unloadingGraph(universe, 'either'));
        const way = boundOnTheWay(universe, bound, whole.parts);
        if (way === undefined) continue;
        for (const { least, price } of way) {
          expect({ seed, round, holds: least <= price, least, price }).toMatchObject({ holds: true });
          binding += least > 0 ? 1 : 0;
        }
        tried += 1;
      }
    }
    expect(tried).toBeGreaterThan(plans / 4);
    expect(binding).toBeGreaterThan(tried / 4);
  });
});

it('the queue gives the least key first, then the least tie, then the first that came', () => {
  const draw = seededRandom(firstSeed);
  const queue = new LeastFirst<number>();
  const entries = Array.from({ length: 500 }, (_, value) => ({ key: draw(20), tie: draw(3), value }));
  for (const { key, tie, value } of entries) queue.push(key, tie, value);
  const inOrder = [...entries].sort((a, b) => a.key - b.key || a.tie - b.tie || a.value - b.value);
  expect(entries.map(() => queue.pop())).toEqual(inOrder.map(({ value }) => value));
  expect(queue.pop()).toBeUndefined();
});
