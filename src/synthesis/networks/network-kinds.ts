/**
 * Kinds of connected networks: those that serve the same exits with so many load arms and splitters of each model, from so
 * many chests, wherever they stand. What is known of a kind's cost starts low and rises as it is searched, price by price, until
 * a network is found that passes. Where a network may stand further west, all its copies are searched as one (`wide-site.ts`).
 * Which kinds a layout falls into is in `network-costs.ts`.
 */
import { formatRational } from '../../base/rational.js';
import { NO_LIMITS, type Brief } from '../../brief/brief.js';
import { maySufficeUnsplit } from '../bills/unsplit.js';
import type { CarrierView } from '../carriers/carrier-network.js';
import { CarrierSearch, SearchStopped } from '../carriers/carrier-search.js';
import type { Share } from '../carriers/share.js';
import { searchCrews, CrewMemories } from '../crews/crew-prices.js';
import { loadCrewsOf, type CrewTests } from '../crews/crew-search.js';
import { allCrews, type CrewShares } from '../crews/crew-shares.js';
import { Westmost } from '../crews/westmost.js';
import { sum, type Counts } from '../site/bill.js';
import { candidates, dropsOf, type Candidates } from '../site/candidates.js';
import type { Crew } from '../site/crew.js';
import { siteMap, type Price, type SiteMap } from '../site/site-map.js';
import { ChestDeals, chestRoom } from './chest-deals.js';
import type { Judge } from './judge.js';
import { WideSite } from './wide-site.js';

/** Of one network, or of all that are still to be dealt with. */
export interface Parts {
  readonly loads: Counts;
  readonly splitters: Counts;
  /** From which its arms draw. */
  readonly chests: number;
}

/** Networks that serve the same exits with the same arms and splitters, and draw from as many chests. */
interface KindCosts extends Parts {
  /** No such network's carriers cost less; Infinity where there is none. */
  readonly least: number;
  /** Whether one was found that costs just that. */
  readonly found: boolean;
  /** Of its crews, those of a wide site where there is one: see `wide-site.ts`. */
  readonly crews: CrewMemories;
}

export interface Kind extends KindCosts {
  least: number;
  found: boolean;
  /** Steps that its search has taken. */
  steps: number;
  /** By crew of a division: what its network costs at least, copy or not. */
  readonly members: Map<string, number>;
  /** Of its crews, those for which a network is found that costs just what is known. */
  readonly foundFor: Set<string>;
}

/** What is known of networks that serve these of the brief's exits. */
export interface GroundCosts {
  readonly exits: readonly number[];
  readonly kinds: readonly KindCosts[];
}

/** Exits that one network serves. */
export interface Ground {
  /** In the order in which they were asked about. */
  readonly index: number;
  readonly map: SiteMap;
  readonly spots: Candidates;
  readonly search: CarrierSearch;
  readonly deals: ChestDeals;
  /** Where all copies of a network are searched as one; undefined where there are none. */
  readonly wide: { readonly site: WideSite; readonly search: CarrierSearch } | undefined;
  readonly exits: readonly number[];
  readonly kinds: Map<string, Kind>;
  found: boolean;
}

/** A kind to be searched at the least that is known of it. */
export interface OpenKind {
  readonly ground: Ground;
  readonly kind: Kind;
}

/** The same for another one of the same brief; plain data. */
export interface KindTask {
  /** Tells kinds apart. */
  readonly name: string;
  readonly exits: readonly number[];
  readonly parts: Parts;
  readonly price: number;
}

/** What came of a search at one price. */
export interface PriceSearched {
  /** The least price that is left to try. */
  readonly next: number;
  /** Whether a network was come upon, which ended it. */
  readonly found: boolean;
}

export class NetworkKinds {
  private readonly grounds = new Map<string, Ground>();

  constructor(
    private readonly brief: Brief,
    private readonly price: Price,
    private readonly judge: Judge,
    private readonly shouldStop: () => boolean,
  ) {}

  /** Steps taken so far, in searches of networks by themselves. */
  get steps(): number {
    return [...this.grounds.values()].reduce((total, ground) => total + stepsOf(ground), 0);
  }

  /** All that is known so far. */
  get known(): readonly GroundCosts[] {
    return [...this.grounds.values()].map(({ exits, kinds }) => ({ exits, kinds: [...kinds.values()] }));
  }

  /** Goes on from what another one of the same brief knew. */
  learn(known: readonly GroundCosts[]): void {
    for (const { exits, kinds } of known) {
      const ground = this.groundOf(exits);
      for (const { loads, splitters, chests, ...costs } of kinds) Object.assign(this.kindOf(ground, { loads, splitters, chests }), costs);
    }
  }

  groundOf(exits: readonly number[]): Ground {
    const { brief, price, judge } = this;
    const demands = exits.map((e) => brief.exits[e]);
    const key = demands.map(({ edge, from, to, belt, target }) => [edge, from, to, belt.name, ...[target.left, target.right, target.total].map(formatRational)].join(':')).sort().join(' ');
    const known = this.grounds.get(key);
    if (known !== undefined) return known;
    const alone = { ...brief, exits: demands, limits: NO_LIMITS, minimise: [price] };
    const map = siteMap(alone, price);
    const spots = candidates(map);
    const searchOn = (site: SiteMap, drops: readonly number[], toJudge: (view: CarrierView, crew: Crew) => 'passes' | 'fails'): CarrierSearch =>
      new CarrierSearch(site, {
        judge: toJudge,
        accept: () => {
          ground.found = true;
        },
        reachMatters: () => false,
        dearerTailsCount: false,
        admits: () => true,
        shouldStop: () => ground.found || this.shouldStop(),
      }, drops);
    // What can't be decided may pass.
    const mayPass = (view: CarrierView, crew: Crew): 'passes' | 'fails' => (judge.networks(map, view, crew) === 'fails' ? 'fails' : 'passes');
    const westmost = new Westmost(map, spots);
    const site = westmost.holdsAnywhere ? new WideSite(alone, price, map, spots, westmost) : undefined;
    const ground: Ground = {
      index: this.grounds.size,
      map,
      spots,
      search: searchOn(map, dropsOf(spots), mayPass),
      deals: new ChestDeals(map, chestRoom(map, spots)),
      wide: site && {
        site,
        search: searchOn(site.map, dropsOf(site.spots), (view, crew) => {
          const copy = site.copyOf(view, crew);
          return copy === undefined ? 'fails' : mayPass(copy.view, copy.crew);
        }),
      },
      exits,
      kinds: new Map(),
      found: false,
    };
    ground.search.allowNetworks(1);
    ground.wide?.search.allowNetworks(1);
    this.grounds.set(key, ground);
    return ground;
  }

  kindOf(ground: Ground, parts: Parts): Kind {
    const key = nameOf(parts);
    let kind = ground.kinds.get(key);
    if (kind === undefined) {
      kind = { ...parts, least: possible(ground, parts) ? 0 : Infinity, found: false, crews: new CrewMemories(), steps: 0, members: new Map(), foundFor: new Set() };
      ground.kinds.set(key, kind);
    }
    return kind;
  }

  /** Searches a kind at its price: a network is found, or the price rises to the next that is left. */
  raise(open: OpenKind): void {
    const search = this.searchAt(open, open.kind.least, allCrews());
    let step = search.next();
    while (step.done !== true) step = search.next();
    this.note(open, [step.value], 0);
  }

  /** Searches one share of a kind at its price, or all; yields after each crew, for whoever has to look up now and then. */
  *searchKind({ exits, parts, price }: KindTask, shares = allCrews()): Generator<void, PriceSearched> {
    const ground = this.groundOf(exits);
    return yield* this.searchAt({ ground, kind: this.kindOf(ground, parts) }, price, shares);
  }

  /** Takes over what all shares of a kind's search have come to, in so many steps. */
  note({ kind }: OpenKind, shares: readonly PriceSearched[], steps: number): void {
    kind.found = shares.some(({ found }) => found);
    if (!kind.found) kind.least = Math.min(...shares.map(({ next }) => next));
    kind.steps += steps;
  }

  /** Searches the carriers of one crew where it stands: what is left to try next, or undefined where a network is found at this price. */
  searchCrew({ ground, kind }: OpenKind, crew: Crew, price: number): number | undefined {
    return this.unlessFound(ground, kind, () => this.runIn(ground, ground.search, crew, kind.splitters, price));
  }

  /** Searches a kind at a price, until a network is found; yields after each crew. */
  private *searchAt({ ground, kind }: OpenKind, price: number, shares: CrewShares): Generator<void, PriceSearched> {
    const { splitters, crews } = kind;
    const { search } = ground.wide ?? ground;
    const pass = searchCrews(
      {
        get steps() {
          return search.steps;
        },
        leastCost: (crew, some, isWhole) => search.leastCost(crew, some, isWhole),
        run: (crew, some, budget, share) => this.runIn(ground, search, crew, some, budget, share),
      },
      (tests) => crewsOfKind(ground, kind, tests),
      splitters,
      price,
      crews,
      shares,
      this.shouldStop,
    );
    for (;;) {
      const step = this.unlessFound(ground, kind, () => pass.next());
      if (step === undefined) return { next: price, found: true };
      if (step.done === true) return { next: step.value, found: false };
      yield;
    }
  }

  /** What some of a kind's search comes to; undefined where it comes upon a network, which ends it like any other reason to stop. */
  private unlessFound<T>(ground: Ground, kind: Kind, search: () => T): T | undefined {
    const stepsBefore = stepsOf(ground);
    ground.found = false;
    try {
      return search();
    } catch (thrown) {
      if (ground.found) return undefined;
      throw thrown;
    } finally {
      kind.steps += stepsOf(ground) - stepsBefore;
    }
  }

  /** A crew's run that stops once a network is found: so that its price stays, which was not gone through. */
  private runIn(ground: Ground, search: CarrierSearch, crew: Crew, splitters: Counts, budget: number, share?: Share): number {
    const next = search.run(crew, splitters, budget, share);
    if (ground.found) throw new SearchStopped();
    return next;
  }
}

/** A kind at its price, for others to search. */
export function taskOf({ ground: { index, exits }, kind }: OpenKind): KindTask {
  const { loads, splitters, chests } = kind;
  const parts = { loads, splitters, chests };
  return { name: `${index}: ${nameOf(parts)}`, exits, parts, price: kind.least };
}

/** Tells kinds of a ground apart. */
const nameOf = ({ loads, splitters, chests }: Parts): string => `${loads.join()}|${splitters.join()}|${chests}`;

const stepsOf = ({ search, wide }: Ground): number => search.steps + (wide?.search.steps ?? 0);

/** Crews of a kind, each where it is searched; of crews that are copies of one another the one furthest west, on a site with room for all. */
function crewsOfKind({ map, spots, wide }: Ground, { loads, chests }: Kind, tests: CrewTests): Iterable<Crew> {
  if (wide === undefined) return loadCrewsOf(map, spots, { loads, chests }, tests);
  const { site } = wide;
  return loadCrewsOf(site.map, site.spots, { loads, chests }, { ...tests, affordable: (crew, whole) => tests.affordable(crew, whole) && !(whole && site.hasCopyInTheWest(crew)) }, site.firstLoads);
}

/** Whether so many arms can bring what the exits ask for, and splitters enough divide it. */
function possible({ map, deals, exits }: Ground, parts: Parts): boolean {
  const { loads, splitters } = parts;
  const dividing = sum(splitters);
  if (dividing < exits.length - 1) return false;
  if (dividing === 0 && !maySufficeUnsplit(map, loads)) return false;
  return deals.mostBrought(parts) >= map.wanted;
}
