/**
 * The search for trade-offs: every family of layouts at every price, in rising order, like that of a design
 * (`design.ts`), but nothing ends with the first layout that passes. What can't better any layout of the archive in
 * anything is cut off; the rest is judged by the simulator. So once all prices up to some price are settled, the
 * archive lacks nothing up to there.
 */
import type { Rational } from '../../base/rational.js';
import type { Brief, Objective } from '../../brief/brief.js';
import { AllottedTime } from '../allotted-time.js';
import { candidates } from '../site/candidates.js';
import { SearchStopped } from '../carriers/carrier-search.js';
import { highestPrice, SPACE } from '../design.js';
import type { DesignTools } from '../design-tools.js';
import { Families, type Family } from '../families/families.js';
import { FamilySearch } from '../families/family-search.js';
import { Judge, untilStopped } from '../networks/judge.js';
import { NetworkCosts } from '../networks/network-costs.js';
import { mostFill } from './most-fill.js';
import type { StopCause } from '../outcome.js';
import { ParetoArchive } from './pareto-archive.js';
import { priceOf, siteMap } from '../site/site-map.js';
import type { Tradeoff, TradeoffsOutcome } from './tradeoffs-outcome.js';

/** Up to which price a list is to be complete: a price, a share above that of the cheapest layout, or any price. */
export type Extent = { readonly upTo: number } | { readonly within: Rational } | 'all';

export interface TradeoffsProgress {
  /** All prices below are settled. */
  readonly price: number;
  readonly found: number;
  readonly round: number;
  readonly simulations: number;
}

export type TradeoffsTools = Pick<DesignTools, 'verify' | 'solver' | 'now' | 'shouldStop' | 'secondsLeft' | 'breathe'> & {
  readonly onProgress: (progress: TradeoffsProgress) => void;
  readonly onFound: (found: Tradeoff) => void;
};

/** The first of `objectives` is what prices add up: 'cost' or 'parts'. */
export async function tradeoffs(brief: Brief, objectives: readonly Objective[], extent: Extent, tools: TradeoffsTools): Promise<TradeoffsOutcome> {
  const priced: Brief = { ...brief, minimise: objectives };
  const price = priceOf(priced);
  const map = siteMap(priced, price);
  const spots = candidates(map);
  const { shouldStop } = tools;
  const time = new AllottedTime(tools);

  const archive = new ParetoArchive(priced, price, mostFill(priced), tools.onFound);
  const judge = new Judge(untilStopped(tools), () => undefined, priced);
  const costs = new NetworkCosts(priced, price, judge, shouldStop);
  const searches = new FamilySearch(map, spots, judge, archive, shouldStop);
  const families = new Families(map, spots, tools.solver, time.secondsFor, () => undefined);
  const most = highestPrice(map, spots);

  /** The greatest price that was asked about, as far as it is known by now. */
  const asked = (): number | 'all' | undefined => askedPrice(extent, archive.list.at(0));
  const mostAsked = (): number => priceWithin(asked(), most);

  const breathe = async (): Promise<void> => {
    time.breathes();
    tools.onProgress({ price: families.bound, found: archive.list.length, round: families.rounds, simulations: judge.simulations });
    await tools.breathe();
  };

  async function settle(family: Family): Promise<number> {
    const { bill, fixed, first, crews } = family;
    const carriers = family.price - fixed;
    const floor = costs.floor(bill, carriers);
    if (floor.least > carriers) return fixed + floor.least;
    const search = searches.settle({ bill, carriers, price: family.price, floor, first }, crews);
    for (;;) {
      const step = search.next();
      if (step.done === true) return fixed + step.value;
      if (time.isLong) await breathe();
      if (shouldStop()) throw new SearchStopped();
    }
  }

  /** A program that has nothing left up to a limit says nothing of what costs more. */
  let unaskedFrom = Infinity;

  async function searchAll(): Promise<StopCause | undefined> {
    while (families.bound <= mostAsked()) {
      if (shouldStop()) return time.stopCause();
      const family = families.next;
      if (family === undefined) {
        const limit = mostAsked();
        if (!families.propose(limit)) return time.stopCause('solver');
        if (families.restBound === Infinity && limit < most) unaskedFrom = limit + 1;
        continue;
      }
      await breathe();
      families.raise(family, await settle(family));
    }
    return searches.undecided <= mostAsked() ? 'simulation' : undefined;
  }

  let stoppedBy: StopCause | undefined;
  try {
    stoppedBy = await searchAll();
  } catch (thrown) {
    if (!(thrown instanceof SearchStopped)) throw thrown;
    stoppedBy = time.stopCause();
  }

  const { list } = archive;
  const settled = Math.min(families.bound, searches.undecided, unaskedFrom);
  const completeTo = settled > most ? 'all' : settled > 0 ? Math.ceil(settled) - 1 : undefined;
  return {
    status: statusOf(list, stoppedBy),
    objectives,
    list,
    completeTo,
    askedTo: asked(),
    stoppedBy,
    proof: {
      space: SPACE,
      solver: tools.solver.name,
      rounds: families.rounds,
      simulations: judge.simulations,
      seconds: time.milliseconds / 1000,
    },
  };
}

/** Up to which price an extent reaches; undefined where that depends on the cheapest, and none is known. */
export function askedPrice(extent: Extent, cheapest: Tradeoff | undefined): number | 'all' | undefined {
  if (extent === 'all') return 'all';
  if ('upTo' in extent) return extent.upTo;
  return cheapest && Number(cheapest.values[0].mul(extent.within.add(1)).floor().n);
}

/** The greatest price to search: `most`, or less if less was asked. */
export const priceWithin = (asked: ReturnType<typeof askedPrice>, most: number): number => (typeof asked === 'number' ? Math.min(asked, most) : most);

export function statusOf(list: readonly Tradeoff[], stoppedBy: StopCause | undefined): TradeoffsOutcome['status'] {
  if (stoppedBy === undefined) return list.length > 0 ? 'complete' : 'infeasible';
  return list.length > 0 ? 'partial' : 'unknown';
}
