/**
 * What repairs of stations that fill wagons rest on, on random plans: what a verdict is said not to depend on does not
 * better it, and no repair costs less than its bound, all along its way. TRANSLOOM_MENDS sets how many plans (120),
 * TRANSLOOM_SEED the first seed.
 */
import { describe, expect, it } from 'vitest';
import { HEADINGS, sameTile } from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';
import { isLess, ONE, ratio, sumRational, ZERO, type Rational } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { entriesOf, placeTile, wagonAt, type Layout, type Part, type PlacedArm, type PlacedEntry } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { leastLoaded } from '../../src/simulation/loading-flows.js';
import type { LoadedFlows } from '../../src/simulation/trial-result.js';
import { runTrial } from '../../src/simulation/trial.js';
import { loadingGraph } from '../../src/synthesis/repair/loading-graph.js';
import { MendBound } from '../../src/synthesis/repair/mend-bound.js';
import { relevantTo, type Lack } from '../../src/synthesis/repair/mend-relevance.js';
import { layoutOf, mendUniverse, MendState, type Universe } from '../../src/synthesis/repair/mend-universe.js';
import { siteMap } from '../../src/synthesis/site/site-map.js';
import { termsByTarget } from '../../src/tasks/mend-terms.js';
import { seededLoadingPlan, type Draw } from '../oracles/random-plans.js';
import { catalogOf, tinyLayout } from '../oracles/tiny-repairs.js';
import { loadJobOf } from '../documents.js';
import { boundOnTheWay } from './bound-on-the-way.js';

const plans = Number(process.env['TRANSLOOM_MENDS'] ?? 120);
const firstSeed = Number(process.env['TRANSLOOM_SEED'] ?? 1);
const seeds = Array.from({ length: plans }, (_, index) => firstSeed + index);
const STARTS = { starts: 2, seed: 1, tickLimit: 3000 };
const SHARES = [ONE, ratio(2, 3), ratio(1, 2)];

const isLegal = (layout: Layout): boolean => checkLegality(layout).every(({ severity }) => severity !== 'error');
const takesFromWagons = (layout: Layout): boolean => deriveNetwork(layout).arms.some(({ pick, place }) => pick.kind === 'wagon' && place.kind !== 'nothing');
const chestsOf = (layout: Layout) => runTrial(layout, { ...STARTS, presence: ONE }).chests;
const keepsUp = (layout: Layout): boolean => !takesFromWagons(layout) && chestsOf(layout).every((chest) => chest.keepsUp);

/** A random plan without exits, whose arms neither take from wagons nor from chests but into wagons; some chests may overflow. `draw`: some of its parts are gone. */
function loadingPlan(seed: number, draw?: Draw): Layout | undefined {
  const plan: Layout = { ...seededLoadingPlan(seed), exits: [] };
  const { arms } = deriveNetwork(plan);
  const amiss = new Set(arms.flatMap(({ part, pick, place }) => (pick.kind === 'wagon' || (pick.kind === 'chest' && place.kind !== 'wagon') ? [part] : [])));
  const whole = { ...plan, parts: plan.parts.filter((_, index) => !amiss.has(index)) };
  const layout = draw === undefined ? whole : { ...whole, parts: whole.parts.filter(() => draw(6) !== 0) };
  return isLegal(layout) && layout.site.width * layout.site.depth <= 60 && entriesOf(layout).length > 0 ? layout : undefined;
}

/** A brief that asks for so much of each entry, of each wagon, of all; or of the first entry and the last wagon. */
function askingFor(layout: Layout, which: 'entries' | 'wagons' | 'together' | 'both', { entries, wagons, together }: LoadedFlows, presence: Rational): Brief {
  const { brief } = termsByTarget(layout, (entry) => (which === 'entries' || (which === 'both' && entry === 0) ? entries[entry] : undefined));
  const load = { ...loadJobOf(brief), together: which === 'together' ? together : undefined, promised: which === 'wagons' ? wagons : which === 'both' ? wagons.map((flow, wagon) => (wagon === wagons.length - 1 ? flow : ZERO)) : undefined };
  return { ...brief, feed: 'either', presence, load };
}

const universeOf = (layout: Layout): Universe => mendUniverse(layout, siteMap(termsByTarget(layout, () => undefined).brief));

/** Some parts less, some turned. */
const broken = (layout: Layout, draw: Draw): Layout => ({
  ...layout,
  parts: layout.parts.flatMap((part): readonly Part[] => {
    if (draw(4) !== 0) return [part];
    if ((part.kind !== 'belt' && part.kind !== 'arm') || draw(2) === 0) return [];
    return [{ ...part, heading: HEADINGS[draw(4)] }];
  }),
});

/** Other placements than these changed at random, six times. */
function* changedElsewhere(universe: Universe, relevant: ReadonlySet<number>, draw: Draw): Generator<Layout> {
  const root = new MendState(universe);
  const others = universe.placements.flatMap((_, id) => (relevant.has(id) ? [] : [id]));
  const standing = others.filter((id) => id < universe.standing);
  // What carries on from chests comes up too seldom by chance.
  const chests = universe.layout.parts.flatMap((part, id) => (part.kind === 'chest' ? universe.placements[id].tiles : []));
  const onward = chests.flatMap((tile) => universe.armsFrom[tile]).filter((id) => !relevant.has(id) && wagonAt(universe.layout.wagons, placeTile(universe.placements[id].part as PlacedArm)) !== undefined);
  for (let round = 0; round < 6 && others.length > 0; round++) {
    const state = root.copy();
    for (let n = 0; n < 6; n++) {
      const from = n < 2 && onward.length > 0 && round % 2 === 0 ? onward : n < 4 && standing.length > 0 ? standing : others;
      const id = from[draw(from.length)];
      if (state.priceOf(id) === Infinity || (state.stands[id] === 0 && state.inTheWayOf(id).some((other) => relevant.has(other)))) continue;
      state.change(id);
    }
    yield layoutOf(universe, state.standing);
  }
}

const relevantOf = (universe: Universe, lack: Lack): ReadonlySet<number> => {
  const root = new MendState(universe);
  return new Set(relevantTo(universe, root, root.standing, lack));
};

describe('what a verdict depends on where wagons are filled', () => {
  it('is all that can better what an entry brings or a wagon gets', { timeout: 600_000 }, () => {
    let [tried, loaded] = [0, 0];
    for (const seed of seeds) {
      const draw = seededRandom(seed);
      const layout = loadingPlan(seed, draw);
      const before = layout && leastLoaded(layout, STARTS, ONE);
      if (layout === undefined || before === undefined) continue;
      const universe = universeOf(layout);
      const lacks: readonly Lack[] = [...before.entries.map((_, entry): Lack => ({ kind: 'entry', entry })), { kind: 'wagons' }];
      for (const lack of lacks) {
        const relevant = relevantOf(universe, lack);
        for (const after of changedElsewhere(universe, relevant, draw)) {
          expect(isLegal(after)).toBe(true);
          const flows = leastLoaded(after, STARTS, ONE);
          if (flows === undefined || !keepsUp(after)) continue;
          tried += 1;
          loaded += flows.together.equals(ZERO) ? 0 : 1;
          const [was, is] = lack.kind === 'entry' ? [[before.entries[lack.entry]], [flows.entries[lack.entry]]] : [before.wagons, flows.wagons];
          is.forEach((flow, at) => {
            expect({ seed, lack, better: isLess(was[at], flow) }).toEqual({ seed, lack, better: false });
          });
        }
      }
    }
    expect(tried).toBeGreaterThan(plans / 2);
    expect(loaded).toBeGreaterThan(plans / 4);
  });

  it('is all that goes into a chest and out of it', { timeout: 600_000 }, () => {
    let [tried, flowing] = [0, 0];
    for (const seed of seeds) {
      const layout = loadingPlan(seed);
      if (layout === undefined) continue;
      const draw = seededRandom(seed);
      const universe = universeOf(layout);
      const before = runTrial(layout, { ...STARTS, starts: 0, presence: ONE });
      if (!before.exact) continue;
      layout.parts.forEach((part, index) => {
        if (part.kind !== 'chest') return;
        const gist = (chests: typeof before.chests): readonly string[] =>
          chests.flatMap(({ at, outflow, supply, loads }) => (sameTile(at, part.at) ? [outflow, supply, loads?.inflow ?? ZERO, loads?.carryOff ?? ZERO].map((flow) => flow.toFraction()) : []));
        for (const after of changedElsewhere(universe, relevantOf(universe, { kind: 'supply', part: index }), draw)) {
          const trial = runTrial(after, { ...STARTS, starts: 0, presence: ONE });
          if (!trial.exact) continue;
          tried += 1;
          flowing += gist(before.chests).some((flow) => flow !== '0') ? 1 : 0;
          expect({ seed, index, flows: gist(trial.chests) }).toEqual({ seed, index, flows: gist(before.chests) });
        }
      });
    }
    expect(tried).toBeGreaterThan(plans / 2);
    expect(flowing).toBeGreaterThan(plans / 4);
  });
});

describe('the bound where wagons are filled', () => {
  it('is never above what a repair costs, all along its way', { timeout: 600_000 }, () => {
    const counts = { tried: 0, binding: 0, joined: 0, several: 0 };
    for (const seed of seeds) {
      const whole = loadingPlan(seed);
      if (whole === undefined) continue;
      const draw = seededRandom(seed);
      const presence = SHARES[draw(SHARES.length)];
      const flows = leastLoaded(whole, STARTS, presence);
      if (flows === undefined || flows.together.equals(ZERO) || takesFromWagons(whole)) continue;
      if (!runTrial(whole, { ...STARTS, presence }).chests.every((chest) => chest.keepsUp)) continue;
      for (const which of ['entries', 'wagons', 'together', 'both'] as const) {
        const layout = broken(whole, draw);
        if (!isLegal(layout)) continue;
        const brief = askingFor(layout, which, flows, presence);
        const { load } = brief;
        if (load === undefined) continue;
        const universe = mendUniverse(layout, siteMap(brief));
        const bound = new MendBound(universe, loadingGraph(universe, brief, load));
        const way = boundOnTheWay(universe, bound, whole.parts);
        if (way === undefined) continue;
        for (const { least, price } of way) {
          expect({ seed, which, holds: least <= price, least, price }).toMatchObject({ holds: true });
          counts.binding += least > 0 ? 1 : 0;
        }
        counts.tried += 1;
        counts.several += whole.wagons.length > 1 ? 1 : 0;
        counts.joined += flows.entries.filter((flow) => !flow.equals(ZERO)).length > 1 ? 1 : 0;
      }
    }
    expect(counts.tried).toBeGreaterThan(plans / 4);
    expect(counts.binding).toBeGreaterThan(counts.tried / 4);
    expect(Math.min(counts.joined, counts.several)).toBeGreaterThan(0);
  });
});

describe('where all is given that is asked, nothing is to be paid', () => {
  const south = (x: number): PlacedEntry => ({ at: { x, y: 1 }, heading: 'N', give: undefined });
  const catalog = catalogOf(undefined);
  const short = { ...catalog.wagons[0], length: 3 };
  const apart: Layout = { ...tinyLayout(['N....N', '^....^'], catalog), entries: [south(0), south(5)], wagons: [{ model: short, at: 0 }, { model: short, at: 3 }] };
  const onward: Layout = { ...tinyLayout(['..N', '>E>'], catalog), entries: [{ at: { x: 0, y: 1 }, heading: 'E', give: undefined }] };

  it.each([
    ['of one entry and of a wagon that others fill', apart, 'both'],
    ['of all entries', apart, 'entries'],
    ['of all wagons', apart, 'wagons'],
    ['of an entry by an arm from belt to belt', onward, 'entries'],
    ['of all wagons together', onward, 'together'],
  ] as const)('%s', (_, layout, which) => {
    const flows = leastLoaded(layout, STARTS, ONE);
    if (flows === undefined) throw new Error('it repeats');
    const brief = askingFor(layout, which, flows, ONE);
    const universe = mendUniverse(layout, siteMap(brief));
    const bound = new MendBound(universe, loadingGraph(universe, brief, loadJobOf(brief)));
    const root = new MendState(universe);
    expect(flows.together.equals(ZERO)).toBe(false);
    expect(bound.least(root, Infinity)).toBe(0);
    // Without what picks it is asked for.
    const arm = layout.parts.findIndex(({ kind }) => kind === 'arm');
    root.change(arm);
    expect(bound.least(root, Infinity)).toBeGreaterThan(0);
  });
});

it('what is left of joined entries counts against each, so what they bring is no more than wagons get', () => {
  let joined = 0;
  for (const seed of seeds) {
    const layout = loadingPlan(seed);
    if (layout === undefined) continue;
    for (const presence of SHARES) {
      const flows = leastLoaded(layout, { ...STARTS, starts: 0 }, presence);
      if (flows === undefined || !runTrial(layout, { ...STARTS, starts: 0, presence }).chests.every((chest) => chest.keepsUp)) continue;
      joined += flows.entries.filter((flow) => !flow.equals(ZERO)).length > 1 ? 1 : 0;
      expect({ seed, more: isLess(flows.together, sumRational(flows.entries)) }).toEqual({ seed, more: false });
    }
  }
  expect(joined).toBeGreaterThan(0);
});
