/**
 * The list of tradeoffs among loading stations: prices are searched in rising order (`loading-search.ts`), and of what
 * passes the archive keeps all that nothing betters. What could better nothing in it is not simulated.
 */
import { sameTile } from '../../base/geometry.js';
import { ONE } from '../../base/rational.js';
import type { Brief, Objective } from '../../brief/brief.js';
import type { LoadJob } from '../../brief/load-job.js';
import { countedMeasures } from '../../layout/measure.js';
import { pickTile, placeTile, wagonAt, type Layout } from '../../layout/layout.js';
import { AllottedTime } from '../allotted-time.js';
import { SearchStopped } from '../carriers/carrier-search.js';
import { ParetoArchive } from '../choices/pareto-archive.js';
import { askedPrice, priceWithin, statusOf, type Extent, type TradeoffsTools } from '../choices/tradeoffs.js';
import type { TradeoffsOutcome } from '../choices/tradeoffs-outcome.js';
import type { Outlook } from '../families/family-search.js';
import type { StopCause } from '../outcome.js';
import { fillRate } from '../rates/rate-model.js';
import { priceOf } from '../site/site-map.js';
import type { TrainBounds } from '../site/train-bounds.js';
import { pickRateBound } from './loading-arms.js';
import { LOADING_SPACE, LoadingSearch, type VerifyLoading } from './loading-search.js';

type LoadingTradeoffsTools = Omit<TradeoffsTools, 'verify' | 'solver'> & { readonly verify: VerifyLoading };

/** No arm into a wagon carries more than its rate, or, from a carrier, than it can take. */
export function trainBoundsOf(layout: Layout): TrainBounds {
  const { wagons, catalog, parts } = layout;
  const each = wagons.map(({ model }, wagon): TrainBounds => {
    const rates = parts.flatMap((part) => {
      if (part.kind !== 'arm' || wagonAt(wagons, placeTile(part)) !== wagon) return [];
      const isFromChest = parts.some((other) => other.kind === 'chest' && sameTile(other.at, pickTile(part)));
      return [(isFromChest ? fillRate(part.model) : pickRateBound(part.model)).valueOf()];
    });
    const most = rates.reduce((sum, rate) => sum + rate, 0);
    return { leastDwell: model.capacity / most, mostTrainsPerHour: (3600 * catalog.ticksPerSecond * most) / model.capacity };
  });
  return {
    leastDwell: Math.max(...each.map(({ leastDwell }) => leastDwell)),
    mostTrainsPerHour: Math.min(...each.map(({ mostTrainsPerHour }) => mostTrainsPerHour)),
  };
}

/** What can be said of a whole station without its flows. */
function outlookOf(layout: Layout, price: number): Outlook {
  const { parts, width, depth, arms, splitters } = countedMeasures(layout);
  return {
    price,
    parts,
    width,
    depth,
    bill: { chests: 0, fills: [], loads: [arms], splitters: [splitters] },
    flows: undefined,
    leastImbalance: () => 0,
    trainBounds: () => trainBoundsOf(layout),
  };
}

/** The first of `objectives` is what prices add up: 'cost' or 'parts'. */
export async function loadingTradeoffs(brief: Brief, job: LoadJob, objectives: readonly Objective[], extent: Extent, tools: LoadingTradeoffsTools): Promise<TradeoffsOutcome> {
  const priced: Brief = { ...brief, minimise: objectives };
  const price = priceOf(priced);
  const time = new AllottedTime(tools);
  // Nothing gets into wagons beyond what belts bring.
  const archive = new ParetoArchive(priced, price, ONE, tools.onFound);
  const search = new LoadingSearch(priced, job, { verify: tools.verify, shouldStop: tools.shouldStop }, {
    admits: (layout) => archive.admits(outlookOf(layout, countedMeasures(layout)[price])),
    offer: (layout, witness) => {
      archive.offer(layout, witness);
    },
  });
  const most = brief.limits[price] ?? Infinity;
  const asked = (): number | 'all' | undefined => askedPrice(extent, archive.list.at(0));
  const mostAsked = (): number => priceWithin(asked(), most);
  const breathe = async (): Promise<void> => {
    time.breathes();
    tools.onProgress({ price: search.bound, found: archive.list.length, round: search.rounds, simulations: search.simulations });
    await tools.breathe();
    if (tools.shouldStop()) throw new SearchStopped();
  };

  let stoppedBy: StopCause | undefined;
  try {
    search.begin();
    while (search.bound < Infinity && search.bound <= mostAsked()) {
      await breathe();
      for (const _ of search.settle()) if (time.isLong) await breathe();
      search.rise();
    }
    if (search.undecided < Infinity && search.undecided <= mostAsked()) stoppedBy = 'simulation';
  } catch (thrown) {
    if (!(thrown instanceof SearchStopped)) throw thrown;
    stoppedBy = time.stopCause();
  }
  const { list } = archive;
  const settled = Math.min(search.bound, search.undecided);
  return {
    status: statusOf(list, stoppedBy),
    objectives,
    list,
    completeTo: settled > most || settled === Infinity ? 'all' : settled > 0 ? settled - 1 : undefined,
    askedTo: asked(),
    stoppedBy,
    proof: { space: LOADING_SPACE, solver: undefined, rounds: search.rounds, simulations: search.simulations, seconds: time.milliseconds / 1000 },
  };
}
