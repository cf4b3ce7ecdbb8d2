/**
 * Networks by themselves: each flows, item for item, as it does in the whole layout, from every start, so that the
 * judge's word on networks is its word on the layout; and what networks cost at least is never above what the carriers of
 * a layout that passes cost. Layouts come from the search, on small sites with two or three exits.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_NETWORKS the number of layouts.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { ZERO, maxRational, ratio } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import type { Layout } from '../../src/layout/layout.js';
import { compileLayout } from '../../src/simulation/compile.js';
import { Starts } from '../../src/simulation/starts.js';
import type { Settled } from '../../src/simulation/steady-state.js';
import { buildLayout } from '../../src/synthesis/carriers/build-layout.js';
import type { Bill } from '../../src/synthesis/site/bill.js';
import { SearchStopped } from '../../src/synthesis/carriers/carrier-search.js';
import { soleFillsOf } from '../../src/synthesis/crews/crew-search.js';
import type { FillCandidate } from '../../src/synthesis/site/candidates.js';
import type { CrewArm } from '../../src/synthesis/site/crew.js';
import { Judge } from '../../src/synthesis/networks/judge.js';
import { NetworkCosts } from '../../src/synthesis/networks/network-costs.js';
import { leastShares, mostSupplyOfChest } from '../../src/synthesis/networks/chest-shares.js';
import { cutOut, networksOf } from '../../src/synthesis/networks/networks.js';
import { fillRate } from '../../src/synthesis/rates/rate-model.js';
import { siteMap, type SiteMap } from '../../src/synthesis/site/site-map.js';
import { SEED } from '../documents.js';
import { witnessOf } from '../oracles/compare-designs.js';
import { planDocument } from '../oracles/random-plans.js';
import { askingFor, costOfCarriers, drawing, flowsByStart, idleBrief, splittersOf, type Draw, type FoundNetwork } from '../oracles/random-networks.js';

const LAYOUTS = Number(process.env['TRANSLOOM_NETWORKS'] ?? '150');
const STARTS = 3;

interface Case {
  readonly seed: number;
  readonly found: FoundNetwork;
  readonly layout: Layout;
  /** Asks for what the layout gives. */
  readonly asking: Brief;
}

/** Random layouts that serve two or three exits, each with some flow. */
function* layouts(most: number, evenSplit: (draw: Draw) => boolean, mostChests?: number): Generator<Case, void> {
  let given = 0;
  for (let seed = SEED; given < most; seed++) {
    const draw = seededRandom(seed);
    const kind = { evenSplit: evenSplit(draw), exits: [2, 2, 3], mostSplitters: 2, ...(mostChests === undefined ? {} : { mostChests }) };
    const brief = idleBrief(draw, kind);
    if (brief === undefined) continue;
    const { map, networks } = drawing(brief);
    for (let crews = 0; crews < 3; crews++) {
      for (const found of networks(draw, kind, 1, 1500)) {
        const layout = buildLayout(map, found.view, found.crew);
        const flows = flowsByStart(layout, STARTS, 1);
        if (flows === undefined || flows[0].some(({ left, right }) => left.add(right).equals(0))) continue;
        given++;
        yield { seed, found, layout, asking: { ...askingFor(brief, flows), starts: STARTS } };
      }
    }
  }
}

/** By exit of the layout: what leaves over each of its lanes in a period, from a start. */
function countsByExit(layout: Layout, start: number): readonly string[] {
  const program = compileLayout(layout);
  const settled: readonly Settled[] = new Starts(program, { starts: STARTS, seed: 1, tickLimit: 60_000 }).settle(start);
  const texts = layout.exits.map(() => 'nothing');
  program.pieces.forEach((piece, index) => {
    const { orbit, transientTicks } = settled[index];
    piece.exits.forEach((exit, local) => {
      const [left, right] = [orbit.exitCount[local * 2], orbit.exitCount[local * 2 + 1]];
      texts[exit] = `${left} and ${right} in ${orbit.periodTicks} ticks after ${transientTicks}`;
    });
  });
  return texts;
}

function billOf(map: SiteMap, { crew, view }: FoundNetwork): Bill {
  const counts = (of: CrewArm['role']): readonly number[] => map.arms.map((_, m) => crew.arms.filter(({ role, model }) => role === of && model === m).length);
  return { chests: crew.chests.length, fills: counts('fill'), loads: counts('load'), splitters: splittersOf(map, view) };
}

/** The brief with wagons there for just as much of the time as its fullest chest takes; undefined where the layout falls short all the same. */
function hardlyFilled(brief: Brief, { crew }: FoundNetwork, layout: Layout): Brief | undefined {
  const witness = witnessOf(layout, brief);
  if (witness.verdict !== 'passes') return undefined;
  const outflows = new Map(layout.parts.flatMap((part) => (part.kind === 'chest' ? [part.at] : [])).map(({ x, y }, c) => [`${x} ${y}`, witness.chestOutflows[c]]));
  const { width, arms } = siteMap(brief);
  const shares = crew.chests.map(({ tile }, chest) => {
    const filling = crew.arms.filter((arm) => arm.role === 'fill' && arm.chest === chest).reduce((sum, { model }) => sum.add(fillRate(arms[model])), ZERO);
    return (outflows.get(`${tile % width} ${Math.floor(tile / width)}`) ?? ZERO).div(filling);
  });
  const hard = { ...brief, presence: shares.reduce(maxRational, ZERO) };
  return witnessOf(layout, hard).verdict === 'passes' ? hard : undefined;
}

/** A little more than an exit gives. */
function raised(brief: Brief, exit: number): Brief {
  const more = ratio(1, 1_000_000);
  const exits = brief.exits.map((demand, e) => {
    const { target } = demand;
    return e === exit ? { ...demand, target: { ...target, total: target.total.add(more) } } : demand;
  });
  return { ...brief, exits };
}

describe('networks', () => {
  it('of many exits are not divided in every way, for these are too many', () => {
    const [asking] = [...layouts(1, () => false)].map(({ asking: brief }) => brief);
    const brief = { ...asking, exits: Array.from({ length: 32 }, () => asking.exits[0]) };
    const costs = new NetworkCosts(brief, 'cost', new Judge(witnessOf, () => undefined, brief), () => false);
    const bill = { chests: 0, fills: [], loads: siteMap(brief).arms.map(() => 32), splitters: [] };
    expect(costs.floor(bill, 0)).toEqual({ least: 0, mostNetworks: 32, moreAt: Infinity });
  });

  it(`flow alone as they do in the layout (${LAYOUTS} layouts, from seed ${SEED})`, { timeout: 3_600_000 }, () => {
    const counted = { layouts: 0, networks: 0, severalExits: 0, staggered: 0 };
    for (const { seed, found, layout, asking } of layouts(LAYOUTS, () => false)) {
      const { view, crew } = found;
      const parts = networksOf(view, crew);
      const map = siteMap(asking);
      const where = `seed ${seed}\n${JSON.stringify(planDocument(layout))}`;
      counted.layouts++;
      if (parts.length > 1) counted.networks++;
      if (parts.length > 1 && parts.some(({ exits }) => exits.length > 1)) counted.severalExits++;
      expect(parts.flatMap(({ exits }) => exits).sort(), where).toEqual(layout.exits.map((_, e) => e));
      const standard = countsByExit(layout, 0);
      for (let start = 0; start <= STARTS; start++) {
        const together = countsByExit(layout, start);
        if (together.some((text, e) => text !== standard[e])) counted.staggered++;
        for (const part of parts) {
          const alone = cutOut(view, crew, part);
          const counts = countsByExit(buildLayout(map, alone.view, alone.crew), start);
          expect(counts, `start ${start}, ${where}`).toEqual(part.exits.map((e) => together[e]));
        }
      }
      const verdict = (brief: Brief): string => new Judge(witnessOf, () => undefined, brief).networks(siteMap(brief), view, crew);
      expect(verdict(asking), where).toBe('passes');
      for (const exit of asking.exits.keys()) expect(verdict(raised(asking, exit)), `exit ${exit}, ${where}`).toBe('fails');
    }
    console.log(`networks alone: ${JSON.stringify(counted)}`);
    expect(Math.min(...Object.values(counted))).toBeGreaterThan(LAYOUTS / 100);
  });

  const neverTooHigh = (cases: Iterable<Case>, most: number): void => {
    const counted = { layouts: 0, divided: 0, known: 0, tight: 0, fewer: 0, moreAt: 0, long: 0 };
    for (const { seed, found, layout, asking } of cases) {
      if (counted.layouts === most) break;
      const map = siteMap(asking);
      const paid = costOfCarriers(map, found.view);
      const networks = networksOf(found.view, found.crew).length;
      let looks = 0;
      const costs = new NetworkCosts(asking, 'cost', new Judge(witnessOf, () => undefined, asking), () => ++looks > 400);
      const bill = billOf(map, found);
      counted.layouts++;
      try {
        for (const upTo of [0, paid - 1, paid, paid + 2]) {
          const { least, mostNetworks, moreAt } = costs.floor(bill, upTo);
          const tells = least > upTo;
          if ((tells && least > paid) || (paid < moreAt && networks > mostNetworks)) {
            const said = `up to ${upTo} at least ${least}, at most ${mostNetworks} networks, more from ${moreAt}`;
            expect.fail(`seed ${seed}: ${networks} networks for ${paid}; ${said}\n${JSON.stringify(planDocument(layout))}`);
          }
          if (tells) counted.known++;
          if (tells && least === paid) counted.tight++;
          if (mostNetworks < map.demands.length) counted.fewer++;
          if (moreAt < Infinity) counted.moreAt++;
        }
        if (networks > 1) counted.divided++;
      } catch (thrown) {
        if (!(thrown instanceof SearchStopped)) throw thrown;
        counted.long++;
      }
    }
    console.log(`costs of networks: ${JSON.stringify(counted)}`);
    expect(counted.long).toBeLessThan(most / 2);
    expect(Math.min(counted.divided, counted.known, counted.tight, counted.fewer, counted.moreAt)).toBeGreaterThan(most / 100);
  };

  it(`cost no more at least than those of a layout that passes (${LAYOUTS} layouts, from seed ${SEED})`, { timeout: 3_600_000 }, () => {
    neverTooHigh(layouts(LAYOUTS, (draw) => draw(2) === 0), LAYOUTS);
  });

  it(`nor where chests hold hardly enough (${LAYOUTS} layouts, from seed ${SEED})`, { timeout: 3_600_000 }, () => {
    function* hard(): Generator<Case, void> {
      for (const each of layouts(Infinity, (draw) => draw(2) === 0, 3)) {
        const asking = hardlyFilled(each.asking, each.found, each.layout);
        if (asking !== undefined) yield { ...each, asking };
      }
    }
    neverTooHigh(hard(), LAYOUTS);
  });

  it('take for granted what fills a chest only where all that can stands on one tile', () => {
    const fill = (tile: number, model: number, chestTile: number): FillCandidate => ({ tile, model, heading: 2, chestTile });
    const sole = soleFillsOf({ fillRates: [3, 5] }, { fills: [fill(0, 0, 6), fill(0, 1, 6), fill(1, 0, 7), fill(2, 0, 8), fill(14, 1, 8)] });
    expect([...sole]).toEqual([[6, fill(0, 1, 6)], [7, fill(1, 0, 7)]]);
    expect(mostSupplyOfChest({ fillRates: [3, 5] }, { fills: [fill(0, 0, 6), fill(0, 1, 6), fill(12, 0, 6)] })).toBe(8);
  });

  it('draw from chests as often as these suffice for: by hand', () => {
    const rates = [10];
    const shares = (demands: readonly number[], chests: number, fills = chests): number => leastShares(demands, { chests, fills: [fills] }, rates, 10);
    // Each has a chest of its own.
    expect(shares([10, 10], 2)).toBe(2);
    // One more than each needs: it serves either of them.
    expect(shares([10, 10], 3)).toBe(3);
    // What two chests give is needed to the last, but not in halves: some network draws from both.
    expect(shares([7, 7], 2)).toBe(2);
    expect(shares([12, 8], 2)).toBe(3);
    // Four sevenths of three chests: all are tied together.
    expect(shares([7, 7, 7, 7], 3)).toBe(6);
    expect(shares([7, 7, 7, 7], 4)).toBe(4);
    expect(shares([7, 7, 7, 7], 2)).toBe(Infinity);
    // A chest with two arms gives no more than one chest can.
    expect(shares([7, 7], 1, 2)).toBe(Infinity);
    expect(leastShares([7, 7], { chests: 1, fills: [2] }, rates, 20)).toBe(2);
  });
});
