/**
 * Whole crews of a bill, one by one, each divided by all ways of dealing its arms out among networks (`crew-divisions.ts`):
 * what their carriers cost at least, where the crews are not too many for that.
 */
import { CarrierSearch, SearchStopped } from '../carriers/carrier-search.js';
import { searchCrews, CrewMemories } from '../crews/crew-prices.js';
import { crewsOf } from '../crews/crew-search.js';
import { allCrews } from '../crews/crew-shares.js';
import { countsOf, sum, type Bill } from '../site/bill.js';
import { dropsOf, type Candidates } from '../site/candidates.js';
import type { Crew } from '../site/crew.js';
import type { SiteMap } from '../site/site-map.js';
import { CrewDivisions } from './crew-divisions.js';
import type { Ground, NetworkKinds } from './network-kinds.js';
import type { Partition } from './partitions.js';

/** Crews of a bill that are divided; of bills with more of them, as cheap as is asked about, only kinds are known. */
const MOST_CREWS = 2_000;
/** Divisions so much dearer than what is asked about are not told apart. */
const FARTHEST_AHEAD = 3;
/** So many are looked at before they are counted: one of the first may be divided already. */
const COUNT_AFTER = 100;
/** There are too many ways of dealing out more load arms. */
const MOST_ARMS = 12;

export class WholeCrews {
  /** For bounds alone. */
  private readonly search: CarrierSearch;
  private readonly divisions: CrewDivisions;
  /** By bill and number of networks; undefined where there are too many crews. */
  private readonly memories = new Map<string, CrewMemories | undefined>();

  constructor(
    private readonly map: SiteMap,
    private readonly spots: Candidates,
    private readonly kinds: NetworkKinds,
    private readonly shouldStop: () => boolean,
  ) {
    this.search = new CarrierSearch(map, { judge: () => 'fails', accept: () => undefined, reachMatters: () => false, dearerTailsCount: false, admits: () => true, shouldStop }, dropsOf(spots));
    this.divisions = new CrewDivisions(map, kinds);
  }

  /** Least cost over these partitions, into so many networks: exact, or above `upTo`; undefined where there are too many crews. */
  leastOf(partitions: readonly Partition[], networks: number, bill: Bill, upTo: number): number | undefined {
    const key = `${networks}|${countsOf(bill).join()}`;
    const known = this.memories.has(key) ? this.memories.get(key) : new CrewMemories();
    const memories = sum(bill.loads) > MOST_ARMS ? undefined : known;
    this.memories.set(key, memories);
    if (memories === undefined) return undefined;
    const ways = this.waysOf(partitions);
    let divided = false;
    this.search.allowNetworks(networks);
    const pass = searchCrews(
      {
        steps: 0,
        leastCost: (crew, splitters, isWhole) => this.search.leastCost(crew, splitters, isWhole),
        run: (crew, splitters) => {
          for (;;) {
            const { cost, members } = this.divisions.cheapest(crew, splitters, ways, upTo + FARTHEST_AHEAD);
            const open = members.filter(({ kind, key: of }) => !kind.foundFor.has(of)).sort((a, b) => a.kind.steps - b.kind.steps);
            if (cost > upTo) return cost;
            divided = open.length === 0;
            if (divided) return cost;
            this.divisions.raise(open[0]);
          }
        },
      },
      (tests) => crewsOf(this.map, this.spots, bill, tests),
      bill.splitters,
      upTo,
      memories,
      allCrews(),
      this.shouldStop,
    );
    let looked = 0;
    for (let step = pass.next(); ; step = pass.next()) {
      if (step.done === true) return step.value;
      if (divided) return upTo;
      if (++looked !== COUNT_AFTER || !this.areTooMany(bill, upTo)) continue;
      this.memories.set(key, undefined);
      return undefined;
    }
  }

  /** Whether more crews of a bill may cost so little than can be divided one by one; to count them takes far less. */
  private areTooMany(bill: Bill, upTo: number): boolean {
    let weighed = 0;
    const affordable = (crew: Crew, isWhole: boolean): boolean => {
      if ((++weighed & 63) === 0 && this.shouldStop()) throw new SearchStopped();
      return this.search.leastCost(crew, bill.splitters, isWhole) <= upTo;
    };
    const crews = crewsOf(this.map, this.spots, bill, { affordable, mayHold: () => true, close: () => undefined });
    for (let n = 0; n <= MOST_CREWS; n++) if (crews.next().done === true) return false;
    return true;
  }

  /** The grounds of each partition; one of all that have the same. */
  private waysOf(partitions: readonly Partition[]): readonly (readonly Ground[])[] {
    const all = new Map<string, readonly Ground[]>();
    for (const groups of partitions) {
      const grounds = groups.map((exits) => this.kinds.groundOf(exits)).sort((a, b) => a.index - b.index);
      all.set(grounds.map(({ index }) => index).join(), grounds);
    }
    return [...all.values()];
  }
}
