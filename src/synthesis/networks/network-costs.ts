/**
 * Networks before tiles: what the carriers of one connected network cost at least that serves given exits
 * with so many load arms and splitters of each model, from so many chests, wherever it stands. A layout
 * falls into networks, each exit in one of them, so the least sum over all ways of dividing its exits, arms
 * and splitters bounds every layout with those counts; no tile of the others is looked at. Where that
 * leaves it open and crews are few, each crew is divided arm by arm (`crew-divisions.ts`).
 *
 * Costs start low and rise as they are asked for: a network's is searched, price by price, until one is
 * found that passes. The network of all exits with all arms is left to the search of whole layouts, but where copies of
 * networks are searched as one (`wide-site.ts`); that takes far less, and threads take shares of it too.
 */
import { formatRational } from '../../base/rational.js';
import { NO_LIMITS, type Brief } from '../../brief/brief.js';
import { countsOf, type Bill } from '../site/bill.js';
import { candidates, dropsOf, type Candidates } from '../site/candidates.js';
import type { CarrierView } from '../carriers/carrier-network.js';
import { CarrierSearch, SearchStopped } from '../carriers/carrier-search.js';
import type { Share } from '../carriers/share.js';
import { ChestDeals, chestRoom } from './chest-deals.js';
import { leastShares, mostSupplyOfChest } from './chest-shares.js';
import { searchCrews, CrewMemories } from '../crews/crew-prices.js';
import { CrewDivisions, type Member } from './crew-divisions.js';
import { crewKey, type Crew } from '../site/crew.js';
import { crewsOf, loadCrewsOf, type CrewTests } from '../crews/crew-search.js';
import { allCrews, type CrewShares } from '../crews/crew-shares.js';
import { Westmost } from '../crews/westmost.js';
import { WideSite } from './wide-site.js';
import type { Judge } from './judge.js';
import { partitionsOf } from './partitions.js';
import { siteMap, type Price, type SiteMap } from '../site/site-map.js';
import { maySufficeUnsplit, partsOf } from '../bills/unsplit.js';

type Counts = readonly number[];

/** Of one network, or of all that are still to be dealt with. */
interface Parts {
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

interface Kind extends KindCosts {
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
interface Ground {
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

/** Of one network of a crew's division: what is known of its arms, with their chests. */
interface KnownMember {
  readonly ground: Ground;
  readonly kind: Kind;
  readonly crew: Crew;
  /** Of the crew, among the kind's. */
  readonly key: string;
  readonly price: number;
}

/** A way of dividing: what it costs at least, and its kinds, but for that of everything in one network. */
interface Division {
  readonly cost: number;
  readonly kinds: readonly { readonly ground: Ground; readonly kind: Kind }[];
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

export interface CarrierFloor {
  /** Where above the cost asked about: no layout with these counts has cheaper carriers, splitters apart. */
  readonly least: number;
  /** Into how many networks a layout of at most the cost asked about may fall, and from which cost on into more. */
  readonly mostNetworks: number;
  readonly moreAt: number;
}

/** The ways of dividing exits grow faster than any power (Bell numbers: 203 of 6, 4 million of 12): of more exits nothing is known. */
const MOST_EXITS = 6;
/** Steps after which a kind is no longer raised, wherever its arms stand, but only with arms of whole crews. */
const STEPS_OF_KINDS = 20_000;
/** From so many steps on, all exits in one network are searched by shares, which threads take; of fewer exits, whole layouts are instead, which then takes no longer. */
const STEPS_TOGETHER = 10_000;
const FEWEST_EXITS_SHARED = 3;
/** Crews of a bill that are divided; of bills with more of them, as cheap as is asked about, only kinds are known. */
const MOST_CREWS = 2_000;
/** Divisions so much dearer than what is asked about are not told apart. */
const FARTHEST_AHEAD = 3;
/** So many are looked at before they are counted: one of the first may be divided already. */
const COUNT_AFTER = 100;
/** There are too many ways of dealing out more load arms. */
const MOST_ARMS = 12;

/** Exits by the network that serves them. */
type Partition = readonly (readonly number[])[];

const sum = (counts: Counts): number => counts.reduce((total, n) => total + n, 0);

export class NetworkCosts {
  private readonly grounds = new Map<string, Ground>();
  /** All ways of dividing the exits, by number of networks; that of a single one left out. */
  private readonly partitions: readonly Partition[];
  private readonly map: SiteMap;
  private readonly spots: Candidates;
  private readonly mostSupply: number;
  /** Of whole crews, for bounds alone. */
  private readonly whole: CarrierSearch;
  private readonly divisions: CrewDivisions<Ground, KnownMember>;
  /** By bill and number of networks; undefined where there are too many crews. */
  private readonly wholeCrews = new Map<string, CrewMemories | undefined>();

  constructor(
    private readonly brief: Brief,
    private readonly price: Price,
    private readonly judge: Judge,
    private readonly shouldStop: () => boolean,
  ) {
    this.map = siteMap(brief, price);
    this.spots = candidates(this.map);
    this.mostSupply = mostSupplyOfChest(this.map, this.spots);
    this.whole = new CarrierSearch(this.map, { judge: () => 'fails', accept: () => undefined, reachMatters: () => false, dearerTailsCount: false, admits: () => true, shouldStop }, dropsOf(this.spots));
    this.divisions = new CrewDivisions(this.map, {
      demandOf: ({ exits }) => sum(exits.map((e) => this.map.demands[e].total)),
      leastOf: (ground, loads, splitters, chests) => this.kindOf(ground, { loads, splitters, chests }).least,
      costOf: (member) => this.memberOf(member),
    });
    // With a common target it takes all networks to say whether it is met.
    const divides = brief.exits.length > 1 && brief.exits.length <= MOST_EXITS && brief.together === undefined;
    this.partitions = divides ? partitionsOf(brief.exits.map((_, e) => e)).filter((groups) => groups.length > 1) : [];
  }

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

  /** Raises what is known until it tells whether layouts with these counts may have carriers of cost `upTo`. */
  floor(bill: Bill, upTo: number): CarrierFloor {
    const asking = this.asking(bill, upTo);
    for (;;) {
      const step = asking.next();
      if (step.done === true) return step.value;
      this.raise(step.value);
    }
  }

  /** The same, with every kind that has to be searched for it left to whoever asks: by `raise`, or by shares and `note`. */
  *asking(bill: Bill, upTo: number): Generator<OpenKind, CarrierFloor> {
    const exits = this.brief.exits.length;
    if (this.partitions.length === 0) return { least: 0, mostNetworks: exits, moreAt: Infinity };
    // All exits in one network: at least one splitter for each but the first.
    const together = sum(bill.splitters) >= exits - 1;
    let mostNetworks = together ? 1 : 0;
    let moreAt = Infinity;
    let least = together ? 0 : Infinity;
    for (let networks = exits; networks > 1; networks--) {
      const cost = yield* this.leastOf(this.partitions.filter((groups) => groups.length === networks), networks, bill, upTo);
      least = Math.min(least, cost);
      if (cost > upTo) moreAt = Math.min(moreAt, cost);
      else {
        mostNetworks = networks;
        break;
      }
    }
    if (mostNetworks === 1) {
      least = Math.min(moreAt, yield* this.leastTogether(bill, upTo));
      if (least > upTo) {
        mostNetworks = 0;
        moreAt = least;
      }
    }
    return { least, mostNetworks, moreAt };
  }

  /** Least cost of all exits in one network, as far as that takes few steps. Where networks have no copies, searching whole layouts takes no longer. */
  private *leastTogether(bill: Bill, upTo: number): Generator<OpenKind, number> {
    const open = this.together(bill);
    const { ground, kind } = open;
    if (ground.wide === undefined) return 0;
    while (kind.least <= upTo && !kind.found && kind.steps < STEPS_TOGETHER) yield open;
    return kind.least;
  }

  /** All exits in one network, if that is still to be searched by itself before whole layouts of at most `upTo` are. */
  openTogether(bill: Bill, upTo: number): OpenKind | undefined {
    if (this.brief.exits.length < FEWEST_EXITS_SHARED) return undefined;
    const open = this.together(bill);
    return open.ground.wide === undefined || open.kind.found || open.kind.least > upTo ? undefined : open;
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

  private together({ loads, splitters, chests }: Bill): OpenKind {
    const ground = this.groundOf(this.brief.exits.map((_, e) => e));
    return { ground, kind: this.kindOf(ground, { loads, splitters, chests }) };
  }

  /** Least cost over these partitions: of kinds, and where they leave it open, of whole crews. */
  private *leastOf(partitions: readonly Partition[], networks: number, bill: Bill, upTo: number): Generator<OpenKind, number> {
    const byKinds = yield* this.raised(partitions, bill, upTo, STEPS_OF_KINDS);
    if (byKinds > upTo) return byKinds;
    return this.raisedByCrews(partitions, networks, bill, upTo) ?? (yield* this.raised(partitions, bill, upTo, Infinity));
  }

  /** The same of the bill's crews one by one, each by all ways of dealing out its arms; undefined where there are too many of them. */
  private raisedByCrews(partitions: readonly Partition[], networks: number, bill: Bill, upTo: number): number | undefined {
    const key = `${networks}|${countsOf(bill).join()}`;
    const known = this.wholeCrews.has(key) ? this.wholeCrews.get(key) : new CrewMemories();
    const memories = sum(bill.loads) > MOST_ARMS ? undefined : known;
    this.wholeCrews.set(key, memories);
    if (memories === undefined) return undefined;
    const ways = this.waysOf(partitions);
    let divided = false;
    this.whole.allowNetworks(networks);
    const pass = searchCrews(
      {
        steps: 0,
        leastCost: (crew, splitters, isWhole) => this.whole.leastCost(crew, splitters, isWhole),
        run: (crew, splitters) => {
          for (;;) {
            const { cost, members } = this.divisions.cheapest(crew, splitters, ways, upTo + FARTHEST_AHEAD);
            const open = members.filter(({ kind, key: of }) => !kind.foundFor.has(of)).sort((a, b) => a.kind.steps - b.kind.steps);
            if (cost > upTo) return cost;
            divided = open.length === 0;
            if (divided) return cost;
            this.raiseMember(open[0]);
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
      this.wholeCrews.set(key, undefined);
      return undefined;
    }
  }

  /** Whether more crews of a bill may cost so little than can be divided one by one; to count them takes far less. */
  private areTooMany(bill: Bill, upTo: number): boolean {
    let weighed = 0;
    const affordable = (crew: Crew, isWhole: boolean): boolean => {
      if ((++weighed & 63) === 0 && this.shouldStop()) throw new SearchStopped();
      return this.whole.leastCost(crew, bill.splitters, isWhole) <= upTo;
    };
    const crews = crewsOf(this.map, this.spots, bill, { affordable, mayHold: () => true, close: () => undefined });
    for (let n = 0; n <= MOST_CREWS; n++) if (crews.next().done === true) return false;
    return true;
  }

  /** The grounds of each partition; one of all that have the same. */
  private waysOf(partitions: readonly Partition[]): readonly (readonly Ground[])[] {
    const all = new Map<string, readonly Ground[]>();
    for (const groups of partitions) {
      const grounds = groups.map((exits) => this.groundOf(exits)).sort((a, b) => a.index - b.index);
      all.set(grounds.map(({ index }) => index).join(), grounds);
    }
    return [...all.values()];
  }

  private memberOf({ ground, loads, splitters, crew }: Member<Ground>): KnownMember {
    const kind = this.kindOf(ground, { loads, splitters, chests: crew.chests.length });
    const key = crewKey(crew);
    const prices = pricesOfMembers(ground, kind);
    let price = prices.get(key);
    if (price === undefined) prices.set(key, (price = ground.search.leastCost(crew, splitters, true)));
    return { ground, kind, crew, key, price };
  }

  /** Searches one network's carriers at their price: some are found, or the price rises. */
  private raiseMember({ ground, kind, crew, key, price }: KnownMember): void {
    const next = this.unlessFound(ground, kind, () => this.runIn(ground, ground.search, crew, kind.splitters, price));
    if (next === undefined) kind.foundFor.add(key);
    else pricesOfMembers(ground, kind).set(key, next);
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

  /**
   * Least cost over these partitions: exact where a network is found for each of its kinds, or above `upTo`; or less, where
   * some kind has taken so many steps.
   */
  private *raised(partitions: readonly Partition[], bill: Bill, upTo: number, mostSteps: number): Generator<OpenKind, number> {
    const ways = partitions.map((groups) => ({ grounds: groups.map((exits) => this.groundOf(exits)), shares: this.leastSharesOf(groups, bill) }));
    for (;;) {
      let best: Division = { cost: Infinity, kinds: [] };
      for (const { grounds, shares } of ways) best = this.cheapest(grounds, bill, shares, 0, [], best);
      if (best.cost > upTo) return best.cost;
      // Whichever is raised raises the sum: so the one that has taken least work.
      const open = best.kinds.filter(({ kind }) => !kind.found).sort((a, b) => a.kind.steps - b.kind.steps);
      if (open.length === 0 || open[0].kind.steps >= mostSteps) return best.cost;
      yield open[0];
    }
  }

  /** From how many chests networks draw at the least that serve these exits, each network's counted by itself. */
  private leastSharesOf(groups: Partition, bill: Bill): number {
    // What is not drawn from chests needs none.
    if (this.brief.feed !== 'chests') return bill.chests;
    const { fillRates, demands } = this.map;
    const asked = groups.map((exits) => sum(exits.map((e) => demands[e].total)));
    return leastShares(asked, bill, fillRates, this.mostSupply);
  }

  /**
   * The cheapest way of dealing arms and splitters out among grounds, if cheaper than `best`. Each may draw from any of the
   * chests, all together `shares` times at the least.
   */
  private cheapest(grounds: readonly Ground[], { loads, splitters, chests }: Parts, shares: number, spent: number, chosen: Division['kinds'], best: Division): Division {
    if (spent >= best.cost || shares > grounds.length * chests) return best;
    const [ground, ...others] = grounds;
    let found = best;
    for (const someLoads of others.length === 0 ? [loads] : partsOf(loads)) {
      if (sum(someLoads) === 0) continue;
      for (const someSplitters of others.length === 0 ? [splitters] : partsOf(splitters)) {
        // From more chests for no more leaves the others more freedom.
        let least = Infinity;
        const fewest = Math.max(0, shares - others.length * chests);
        for (let drawn = Math.min(chests, sum(someLoads)); drawn >= fewest; drawn--) {
          const kind = this.kindOf(ground, { loads: someLoads, splitters: someSplitters, chests: drawn });
          if (kind.least >= least) continue;
          least = kind.least;
          const cost = spent + least;
          const kinds = [...chosen, { ground, kind }];
          if (others.length === 0) {
            if (cost < found.cost) found = { cost, kinds };
            continue;
          }
          const rest = { loads: loads.map((n, m) => n - someLoads[m]), splitters: splitters.map((n, m) => n - someSplitters[m]), chests };
          found = this.cheapest(others, rest, shares - drawn, cost, kinds, found);
        }
      }
    }
    return found;
  }

  private groundOf(exits: readonly number[]): Ground {
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

  private kindOf(ground: Ground, parts: Parts): Kind {
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

/** Where networks have no copies, what is known of a kind's crews holds of those of a division too. */
const pricesOfMembers = ({ wide }: Ground, { crews, members }: Kind): Map<string, number> => (wide === undefined ? crews : members);

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
