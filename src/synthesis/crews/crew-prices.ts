/**
 * Crews searched at rising prices of carriers: one after the other, all at one price, each with what is
 * remembered of it, so that no price is searched twice. Which crews there are is in `crew-search.ts`.
 */
import { SearchStopped } from '../carriers/carrier-search.js';
import { crewKey, type Crew } from '../site/crew.js';
import type { CrewTests } from './crew-search.js';

/** By crew: the least price of carriers that is left to try. */
export class CrewMemories extends Map<string, number> {
  /** By crews that begin alike, few or many in common: the least price that is left to try in any of them. It is found anew where it is not known. */
  readonly groups = new Map<string, number>();
  /** Into how many networks what is remembered may fall. */
  private networks = 0;
  /** How many chests and crews are divided among shares. */
  private divided = 0;

  /** `networks`: into so many, for a file. */
  constructor(entries: Iterable<readonly [string, number]> = [], networks = 0) {
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

  /** Forgets what is known of crews that begin alike where more of them belong to this share, too, than when that was found. */
  allowDivided(divided: number): void {
    if (divided > this.divided) this.groups.clear();
    this.divided = divided;
  }
}

/** Groups remembered, at some hundred bytes each. */
const MOST_GROUPS = 250_000;

interface OpenGroup {
  readonly name: string;
  least: number;
}

/** Who says what a crew's carriers cost at least, and looks for those of just a price: see `CarrierSearch`. */
interface CrewSearcher {
  readonly leastCost: (crew: Crew, splitters: readonly number[], whole: boolean) => number;
  readonly run: (crew: Crew, splitters: readonly number[], budget: number) => number;
}

/**
 * Searches all crews whose carriers may cost `carriers` at just that price; yields after each, for whoever
 * has to look up now and then. Returns the least price that is left to try; Infinity if there is none.
 */
export function* searchCrews(
  search: CrewSearcher,
  crewsOf: (tests: CrewTests) => Iterable<Crew>,
  splitters: readonly number[],
  carriers: number,
  memories: CrewMemories,
  shouldStop: () => boolean,
): Generator<void, number> {
  let weighed = 0;
  // The least that is left in each group that is open, the innermost last; the first is of all crews.
  const open: OpenGroup[] = [{ name: '', least: Infinity }];
  const leave = (price: number): void => {
    const innermost = open[open.length - 1];
    innermost.least = Math.min(innermost.least, price);
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
      const known = memories.groups.get(name) ?? 0;
      if (known > carriers) {
        leave(known);
        return false;
      }
      open.push({ name, least: Infinity });
      return true;
    },
    close: () => {
      const { name, least } = open.pop() ?? open[0];
      if (memories.groups.size < MOST_GROUPS || memories.groups.has(name)) memories.groups.set(name, least);
      leave(least);
    },
  };
  for (const crew of crewsOf(tests)) {
    const key = crewKey(crew);
    let price = memories.get(key) ?? 0;
    if (price <= carriers) memories.set(key, (price = search.run(crew, splitters, carriers)));
    leave(price);
    yield;
  }
  return open[0].least;
}
