/**
 * Joins the search for tradeoffs with the simulator, and each layout found with its trial and its plan. What is
 * made of the list is in `tradeoffs-list.ts`.
 */
import { ratio, ZERO, type Rational } from '../base/rational.js';
import type { Brief, Objective } from '../brief/brief.js';
import { USUAL_SEED } from '../simulation/starts.js';
import { loadingTradeoffs } from '../synthesis/loading/loading-tradeoffs.js';
import type { DesignProof } from '../synthesis/outcome.js';
import type { Tradeoff, TradeoffsOutcome } from '../synthesis/choices/tradeoffs-outcome.js';
import { tradeoffs, type Extent, type TradeoffsProgress } from '../synthesis/choices/tradeoffs.js';
import type { DesignRequest } from './design-station.js';
import { loadingVerifier } from './loading-verifier.js';
import { promised } from './promised-plan.js';
import { searchTools } from './search-tools.js';
import type { TradeoffEntry } from './tradeoffs-list.js';

export type { TradeoffsProgress };

export interface TradeoffsRequest extends Pick<DesignRequest, 'seed' | 'timeLimitSeconds' | 'solver' | 'shouldStop' | 'breathe' | 'now'> {
  /** The first is `cost` or `parts`; left out: what the brief minimises, and the drain imbalance. */
  readonly objectives?: readonly Objective[] | undefined;
  /** Up to which price the list is to be complete; at most one of the two. Left out: up to a tenth above the cheapest. */
  readonly upTo?: number | 'all' | undefined;
  readonly within?: Rational | undefined;
  readonly onProgress?: ((progress: TradeoffsProgress) => void) | undefined;
  /** Told of each layout when it is found; a later one may better it. */
  readonly onFound?: ((found: Tradeoff) => void) | undefined;
}

export interface TradeoffsAnswer extends Omit<TradeoffsOutcome, 'list'> {
  readonly entries: readonly TradeoffEntry[];
}

const USUAL_WITHIN = ratio(1, 10);

export const usualObjectives = ({ minimise }: Brief): readonly Objective[] => [...minimise, ...(minimise.includes('imbalance') ? [] : (['imbalance'] as const))];

const extentOf = ({ upTo, within }: TradeoffsRequest): Extent => {
  if (upTo === 'all') return 'all';
  return upTo === undefined ? { within: within ?? USUAL_WITHIN } : { upTo };
};

export async function findTradeoffs(brief: Brief, request: TradeoffsRequest): Promise<TradeoffsAnswer> {
  const { tools, starts } = await searchTools(brief, request);
  const told = { onProgress: request.onProgress ?? (() => undefined), onFound: request.onFound ?? (() => undefined) };
  const objectives = request.objectives ?? usualObjectives(brief);
  const outcome =
    brief.load === undefined
      ? await tradeoffs(brief, objectives, extentOf(request), { ...tools, ...told })
      : await loadingTradeoffs(brief, brief.load, objectives, extentOf(request), { ...tools, ...told, verify: loadingVerifier(starts) });
  const { list, ...rest } = outcome;
  const seed = request.seed ?? USUAL_SEED;
  const entries = list.map((found): TradeoffEntry => {
    const proof = proofOf(outcome, found);
    return { ...found, ...promised(brief, found.layout, { status: proof.gap?.equals(ZERO) === true ? 'optimal' : 'feasible', proof, seed }) };
  });
  return { ...rest, entries };
}

/** What is proven of one layout alone: how far its price lies above a bound on all of them. */
function proofOf({ list, completeTo, proof }: TradeoffsOutcome, { values }: Tradeoff): DesignProof {
  const cost = Number(values[0].n);
  const cheapest = Number(list[0].values[0].n);
  const bound = completeTo === 'all' ? cheapest : Math.min(cheapest, (completeTo ?? -1) + 1);
  return { ...proof, bound, cost, gap: cost === 0 ? ZERO : ratio(cost - bound, cost) };
}
