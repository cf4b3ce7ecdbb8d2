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
import { SearchStopped } from '../carriers/carrier-search.js';
import type { Share } from '../carriers/share.js';
import { CrewMemories } from '../crews/crew-prices.js';
import { FamilySearch } from './family-search.js';
import { Judge } from '../networks/judge.js';
import type { CarrierFloor } from '../networks/network-costs.js';
import { priceOf, siteMap } from '../site/site-map.js';
import type { Verify } from '../verifier.js';

/** Plain data. See `FamilyPrice`. */
export interface ShareTask {
  /** Tells families of one run apart. */
  readonly family: number;
  readonly bill: Bill;
  readonly carriers: number;
  readonly price: number;
  readonly floor: CarrierFloor;
  readonly share: Share;
  /** Chests, by name, whose crews belong to all shares: see `crew-shares.ts`. */
  readonly divided: readonly string[];
  /** Signatures that others have ruled out since this taker was last asked. */
  readonly known: readonly string[];
  /** Of the best layout so far, its objectives as rationals in text. */
  readonly best: { readonly values: readonly string[]; readonly text: string } | undefined;
}

/** What all shares are of. */
export type WholeTask = Omit<ShareTask, 'share' | 'divided'>;

export interface ShareAnswer<L = Layout> {
  /** The next price of carriers that is left to try in this share. */
  readonly next: number;
  /** Whether the share was not gone through to its end. */
  readonly stopped: boolean;
  /** The layout preferred of all that were found, if it is a new one. */
  readonly better: L | undefined;
  /** See `FamilySearch`. */
  readonly undecided: number;
  /** Chests, by name, to be divided from now on. */
  readonly longChests: readonly string[];
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
  private readonly memories = new Map<number, CrewMemories>();

  constructor(
    brief: Brief,
    verify: Verify,
    private readonly shouldStop: () => boolean,
  ) {
    const map = siteMap(brief, priceOf(brief));
    this.judge = new Judge(verify, () => undefined, brief);
    this.kept = new BestSoFar(brief, () => undefined);
    this.searches = new FamilySearch(map, candidates(map), this.judge, this.kept, shouldStop);
  }

  answer({ family, share, divided, known, best: standing, ...asked }: ShareTask): ShareAnswer {
    const memory = this.memories.get(family) ?? new CrewMemories();
    this.judge.learn(known);
    if (standing !== undefined) this.kept.surpass({ ...standing, values: standing.values.map(rationalOf) });
    this.memories.set(family, memory);
    const { best } = this.kept;
    const { simulations, ruledOut } = this.judge;
    const before = ruledOut.length;
    let next = asked.carriers;
    let stopped = false;
    try {
      const search = this.searches.settle({ ...asked, first: undefined }, memory, share, new Set(divided));
      let step = search.next();
      while (step.done !== true) {
        if (this.shouldStop()) throw new SearchStopped();
        step = search.next();
      }
      next = step.value;
    } catch (thrown) {
      if (!(thrown instanceof SearchStopped)) throw thrown;
      stopped = true;
    }
    return {
      next,
      stopped,
      better: this.kept.best === best ? undefined : this.kept.best?.layout,
      undecided: this.searches.undecided,
      longChests: stopped ? [] : this.searches.longChests,
      simulations: this.judge.simulations - simulations,
      ruledOut: ruledOut.slice(before),
    };
  }
}
