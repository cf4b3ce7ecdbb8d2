/**
 * Shares of a family's search that are done elsewhere, as a rule on other threads: what is asked, what is
 * answered, and the one who answers. The answers do not depend on how many shares there are, or who takes
 * which; a share finds what it remembers quicker if the same one always takes it.
 */
import { invariant } from '../../base/invariant.js';
import { parseRational, type Rational } from '../../base/rational.js';
import type { Brief } from '../../brief/brief.js';
import type { Layout } from '../../layout/layout.js';
import { BestSoFar } from './best-so-far.js';
import type { Bill } from '../site/bill.js';
import { candidates } from '../site/candidates.js';
import { searchToItsEnd } from '../carriers/search-to-its-end.js';
import type { Share } from '../carriers/share.js';
import { CrewMemories } from '../crews/crew-prices.js';
import { CrewShares, NONE_LONG, byChests, byFirstArms, type LongOnes } from '../crews/crew-shares.js';
import { FamilySearch } from './family-search.js';
import { Judge, untilStopped } from '../networks/judge.js';
import { NetworkCosts, type CarrierFloor } from '../networks/network-costs.js';
import type { KindTask, PriceSearched } from '../networks/network-kinds.js';
import { priceOf, siteMap } from '../site/site-map.js';
import type { Verify } from '../verifier.js';

/** A family's layouts at one price: see `FamilyPrice`. */
interface LayoutsTask {
  readonly of: 'layouts';
  /** Tells searches of one run apart of which other things are remembered. */
  readonly search: string;
  readonly bill: Bill;
  readonly carriers: number;
  readonly price: number;
  readonly floor: CarrierFloor;
  /** Of the best layout so far, its objectives as rationals in text. */
  readonly best: { readonly values: readonly string[]; readonly text: string } | undefined;
}

/** Networks of one kind, by themselves: see `network-kinds.ts`. */
interface NetworksTask {
  readonly of: 'networks';
  readonly search: string;
  readonly kind: KindTask;
}

/** What all shares are of; plain data. */
export type WholeTask = (LayoutsTask | NetworksTask) & {
  /** Signatures that others have ruled out since this taker was last asked. */
  readonly known: readonly string[];
};

export type ShareTask = WholeTask & {
  readonly share: Share;
  readonly long: LongOnes;
};

export interface ShareAnswer<L = Layout> extends PriceSearched {
  /** Of carriers, in this share. */
  readonly next: number;
  /** Whether the share was not gone through to its end. */
  readonly stopped: boolean;
  /** The layout preferred of all that were found, if it is a new one. */
  readonly better: L | undefined;
  /** See `FamilySearch`. */
  readonly undecided: number;
  /** What took long, for all further tasks of this search. */
  readonly long: LongOnes;
  /** Taken for this answer. */
  readonly steps: number;
  /** How many were run for this answer, and the signatures that they ruled out. */
  readonly simulations: number;
  readonly ruledOut: readonly string[];
}

/** Whoever takes shares. */
export interface ShareTakers {
  /** The answers to all shares of a task; `known` is of the one who asks. Asked to stop, takers answer soon. */
  readonly take: (task: WholeTask) => Promise<readonly ShareAnswer[]>;
  readonly stop: () => void;
  /** Resolves after a moment in which answers may come. */
  readonly pause: () => Promise<void>;
}

function rationalOf(text: string): Rational {
  const value = parseRational(text);
  invariant(value !== undefined, 'a standing travels as rationals', { text });
  return value;
}

export class ShareSearch {
  private readonly judge: Judge;
  private readonly kept: BestSoFar;
  private readonly searches: FamilySearch;
  private readonly networkCosts: NetworkCosts;
  private readonly chestTiles: number;
  private readonly memories = new Map<string, CrewMemories>();

  constructor(
    brief: Brief,
    verify: Verify,
    private readonly shouldStop: () => boolean,
  ) {
    const map = siteMap(brief, priceOf(brief));
    const spots = candidates(map);
    this.chestTiles = spots.chestTiles.length;
    this.judge = new Judge(untilStopped({ verify, shouldStop }), () => undefined, brief);
    this.kept = new BestSoFar(brief, () => undefined);
    this.searches = new FamilySearch(map, spots, this.judge, this.kept, shouldStop);
    this.networkCosts = new NetworkCosts(brief, priceOf(brief), this.judge, shouldStop);
  }

  answer(task: ShareTask): ShareAnswer {
    this.judge.learn(task.known);
    if (task.of === 'layouts' && task.best !== undefined) this.kept.surpass({ ...task.best, values: task.best.values.map(rationalOf) });
    const { best } = this.kept;
    const { simulations } = this.judge;
    const { steps } = this;
    const shares = this.sharesOf(task);
    const searched = this.searched(task, shares);
    return {
      ...(searched ?? { next: task.of === 'layouts' ? task.carriers : task.kind.price, found: false }),
      stopped: searched === undefined,
      better: this.kept.best === best ? undefined : this.kept.best?.layout,
      undecided: this.searches.undecided,
      long: searched === undefined ? NONE_LONG : shares.long,
      steps: this.steps - steps,
      simulations: this.judge.simulations - simulations,
      ruledOut: this.judge.takeRuledOut(),
    };
  }

  private get steps(): number {
    return this.searches.carriers.steps + this.networkCosts.kinds.steps;
  }

  private sharesOf(task: ShareTask): CrewShares {
    const dealsOut = task.of === 'networks' ? byFirstArms : byChests(choices(this.chestTiles, task.bill.chests));
    return new CrewShares(task.share, dealsOut, task.long);
  }

  /** What a share comes to; undefined where it was not gone through to its end. */
  private searched(task: ShareTask, shares: CrewShares): PriceSearched | undefined {
    return searchToItsEnd<PriceSearched>(() => (task.of === 'networks' ? this.networkCosts.kinds.searchKind(task.kind, shares) : this.layouts(task, shares)), this.shouldStop);
  }

  private *layouts({ search, ...asked }: LayoutsTask, shares: CrewShares): Generator<void, PriceSearched> {
    const memory = this.memories.get(search) ?? new CrewMemories();
    this.memories.set(search, memory);
    return { next: yield* this.searches.settle({ ...asked, first: undefined }, memory, shares), found: false };
  }
}

/** In how many ways `some` of `all` can be chosen. */
const choices = (all: number, some: number): number => (some === 0 ? 1 : (choices(all - 1, some - 1) * all) / some);
