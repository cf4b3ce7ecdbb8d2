/**
 * Crews searched at rising prices of carriers: one after the other, all at one price, each with what is
 * remembered of it, so that no price is searched twice. Which crews there are is in `crew-search.ts`.
 */
import { invariant } from '../../base/invariant.js';
import { SearchStopped } from '../carriers/carrier-search.js';
import { WHOLE, type Share } from '../carriers/share.js';
import { crewKey, type Crew } from '../site/crew.js';
import type { CrewTests } from './crew-search.js';
import type { CrewPart, CrewShares } from './crew-shares.js';

/** Crews remembered, and groups of them, at some hundred bytes each. */
const MOST_REMEMBERED = 250_000;

/** By crew: the least price of carriers that is left to try. */
export class CrewMemories extends Map<string, number> {
  /** By crews that begin alike, few or many in common: the least price that is left to try in any of them. It is found anew where it is not known. */
  readonly groups = new Map<string, number>();
  /** Into how many networks what is remembered may fall. */
  private networks = 0;
  /** How many groups and crews were named long: see `crew-shares.ts`. */
  private named = 0;

  /** `networks`: into so many, for a file. */
  constructor(
    entries: Iterable<readonly [string, number]> = [],
    networks = 0,
    private readonly most = MOST_REMEMBERED,
  ) {
    super(entries);
    this.networks = networks;
  }

  get mostNetworks(): number {
    return this.networks;
  }

  /** Forgets all where layouts may fall into more networks than when it was found: then they may be cheaper. */
  allowNetworks(most: number): void {
    if (most > this.networks) {
      this.clear();
      this.groups.clear();
    }
    this.networks = most;
  }

  /** What is left of a crew, or of a group, as far as there is room; where it is not known, it is found anew. */
  note(prices: 'crews' | 'groups', name: string, price: number): void {
    const all: Map<string, number> = prices === 'crews' ? this : this.groups;
    if (all.size < this.most || all.has(name)) all.set(name, price);
  }

  /** Forgets what is known of crews that begin alike where more of them may belong to this share, too, than when that was found. */
  allowNamed(named: number): void {
    if (named > this.named) this.groups.clear();
    this.named = named;
  }
}

interface OpenGroup {
  readonly name: string;
  least: number;
}

/** Who says what a crew's carriers cost at least, and looks for those of just a price: see `CarrierSearch`. */
interface CrewSearcher {
  /** Taken so far. */
  readonly steps: number;
  readonly leastCost: (crew: Crew, splitters: readonly number[], whole: boolean) => number;
  readonly run: (crew: Crew, splitters: readonly number[], budget: number, share: Share) => number;
}

/**
 * Searches all crews of a share whose carriers may cost `carriers` at just that price; yields after each, for whoever
 * has to look up now and then. Returns the least price that is left to try; Infinity if there is none.
 */
export function* searchCrews(
  search: CrewSearcher,
  crewsOf: (tests: CrewTests) => Iterable<Crew>,
  splitters: readonly number[],
  carriers: number,
  memories: CrewMemories,
  shares: CrewShares,
  shouldStop: () => boolean,
): Generator<void, number> {
  memories.allowNamed(shares.named);
  let weighed = 0;
  let left = Infinity;
  // The least that is left in each group that is open, the innermost last.
  const open: OpenGroup[] = [];
  const leaveInGroup = (price: number): void => {
    const innermost = open.at(-1);
    if (innermost !== undefined) innermost.least = Math.min(innermost.least, price);
  };
  const leave = (price: number): void => {
    left = Math.min(left, price);
    leaveInGroup(price);
  };
  const lookUp = (): void => {
    // Long stretches may hold no affordable crew, and so no other moment to look up.
    if ((++weighed & 63) === 0 && shouldStop()) throw new SearchStopped();
  };
  const tests: CrewTests = {
    affordable: (crew, whole) => {
      lookUp();
      const least = search.leastCost(crew, splitters, whole);
      if (least <= carriers) return true;
      leave(least);
      return false;
    },
    mayHold: (name) => {
      lookUp();
      if (!shares.mayHold(name)) return false;
      const known = memories.groups.get(name) ?? 0;
      if (known > carriers) {
        leave(known);
        return false;
      }
      open.push({ name, least: Infinity });
      return true;
    },
    close: () => {
      const closed = open.pop();
      invariant(closed !== undefined, 'only an open group is closed', {});
      const { name, least } = closed;
      memories.note('groups', name, least);
      leaveInGroup(least);
    },
  };
  const run = (crew: Crew, part: CrewPart): number => {
    const { steps } = search;
    const price = search.run(crew, splitters, carriers, part === 'divided' ? shares.share : WHOLE);
    shares.note(crew, part, search.steps - steps);
    return price;
  };
  const priceOf = (crew: Crew, part: CrewPart): number => {
    const key = crewKey(crew);
    const known = memories.get(key) ?? 0;
    if (known > carriers) return known;
    const price = run(crew, part);
    // What is left of a part says nothing of the others, and at the next price they part elsewhere.
    if (part !== 'divided') memories.note('crews', key, price);
    return price;
  };
  const later: { readonly crew: Crew; readonly part: CrewPart }[] = [];
  for (const crew of crewsOf(tests)) {
    const part = shares.partOf(crew);
    if (part === 'own') leave(priceOf(crew, part));
    else if (part !== 'none') {
      later.push({ crew, part });
      leaveInGroup(carriers + 1);
    }
    yield;
  }
  // Of these whoever is through with the others takes the more; the smallest pieces last.
  for (const wanted of ['loose', 'divided'] as const) {
    for (const { crew, part } of later) {
      if (part !== wanted || (part === 'loose' && !shares.takes(crew))) continue;
      left = Math.min(left, priceOf(crew, part));
      yield;
    }
  }
  return left;
}
