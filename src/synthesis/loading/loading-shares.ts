/**
 * How several threads go through one price of a search (`loading-search.ts`) together, and what they ask and answer. The walk
 * over forests falls into places (`loading-trees.ts`), which all of them meet in one order; whoever comes first to one that
 * nobody has taken goes through all that begins there. So none waits for another that has more to do, and each place is gone
 * through once. What is laid before they part is walked by each.
 */
import type { Brief } from '../../brief/brief.js';
import type { LoadJob } from '../../brief/load-job.js';
import type { Layout } from '../../layout/layout.js';
import { searchToItsEnd } from '../carriers/search-to-its-end.js';
import { BestSoFar } from '../families/best-so-far.js';
import { Preferred } from './loading-preference.js';
import { LoadingSearch, type VerifyLoading } from './loading-search.js';
import { toldOf, type Others, type Told } from './loading-told.js';

/** One number. */
export type Counter = Int32Array<SharedArrayBuffer>;

export const counter = (): Counter => new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT));

/**
 * Whether one is to go through the place that one has come to; to be asked at each place of a price, in their order. `taken`:
 * how many of them are taken, the first ones; the same for all who share them. `own`: counts those that were taken here.
 */
export function takerOf(taken: Counter, own: Counter): () => boolean {
  let met = 0;
  return () => {
    const place = met++;
    // Whoever has come as far has met all places before this one, each of which was taken by then.
    if (Atomics.load(taken, 0) > place) return false;
    // Counted first: whoever sees that a place is taken is to see by whom.
    Atomics.add(own, 0, 1);
    const isFree = Atomics.compareExchange(taken, 0, place, place + 1) === place;
    if (!isFree) Atomics.sub(own, 0, 1);
    return isFree;
  };
}

/** Plain data. */
export interface LoadingTask {
  readonly price: number;
  readonly taken: Counter;
  readonly own: Counter;
  /** What whoever is asked cannot have heard of. */
  readonly known: readonly Told[];
}

export interface LoadingAnswer<L = Layout> {
  /** Least price above the asked one at which there may be more, in these places. */
  readonly next: number;
  /** Whether they were not gone through to their end. */
  readonly stopped: boolean;
  /** The station preferred of all that were found, if it is a new one. */
  readonly better: L | undefined;
  /** Price of the cheapest station whose simulation came to no end. */
  readonly undecided: number;
  /** Run for this answer. */
  readonly simulations: number;
}

/** Whoever goes through places beside the run's own thread. */
export interface LoadingHelpers {
  readonly count: number;
  readonly others: Others;
  /** Has one of them help, numbered from 0; its answer. */
  readonly search: (task: LoadingTask, index: number) => Promise<LoadingAnswer>;
  /** Asked to stop, they answer soon. */
  readonly stop: () => void;
  /** Resolves at once, when answers that are there have come through. */
  readonly turn: () => Promise<void>;
  /** Resolves after a moment in which answers may come. */
  readonly pause: () => Promise<void>;
}

/** The search of one who helps. Once it was stopped it is of no more use. */
export class LoadingHelper {
  private readonly kept: BestSoFar;
  private readonly search: LoadingSearch;

  constructor(
    brief: Brief,
    job: LoadJob,
    verify: VerifyLoading,
    private readonly shouldStop: () => boolean,
    others?: Others,
  ) {
    this.kept = new BestSoFar(brief, (best) => others?.tell(toldOf(best)));
    this.search = new LoadingSearch(brief, job, { verify, shouldStop }, new Preferred(brief, this.kept));
    this.search.others = others;
  }

  answer({ price, taken, own, known }: LoadingTask): LoadingAnswer {
    const { kept, search } = this;
    for (const told of known) search.learn(told);
    const before = kept.best;
    const { simulations } = search;
    const next = searchToItsEnd(() => search.help(price, takerOf(taken, own)), this.shouldStop);
    return {
      next: next ?? price,
      stopped: next === undefined,
      better: kept.best === before ? undefined : kept.best?.layout,
      undecided: search.undecided,
      simulations: search.simulations - simulations,
    };
  }
}
