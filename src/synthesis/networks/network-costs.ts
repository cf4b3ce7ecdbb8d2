/**
 * Networks before tiles: a layout falls into connected networks, each exit in one of them, so the least sum over all ways of
 * dividing its exits, arms and splitters bounds what the carriers of every layout with those counts cost. A network costs what
 * is known of its kind (`network-kinds.ts`), and no tile of the others is looked at. Where that leaves it open and crews are
 * few, each crew is divided arm by arm (`whole-crews.ts`).
 *
 * The network of all exits with all arms is left to the search of whole layouts, but where copies of networks are searched as
 * one; that takes far less, and threads take shares of it too.
 */
import type { Brief } from '../../brief/brief.js';
import { partsOf } from '../bills/unsplit.js';
import { sum, type Bill } from '../site/bill.js';
import { candidates } from '../site/candidates.js';
import { siteMap, type Price, type SiteMap } from '../site/site-map.js';
import { leastShares, mostSupplyOfChest } from './chest-shares.js';
import type { Judge } from './judge.js';
import { NetworkKinds, type Ground, type Kind, type OpenKind, type Parts } from './network-kinds.js';
import { partitionsOf, type Partition } from './partitions.js';
import { WholeCrews } from './whole-crews.js';

/** A way of dividing: what it costs at least, and its kinds, but for that of everything in one network. */
interface Division {
  readonly cost: number;
  readonly kinds: readonly { readonly ground: Ground; readonly kind: Kind }[];
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

export class NetworkCosts {
  readonly kinds: NetworkKinds;
  /** All ways of dividing the exits, by number of networks; that of a single one left out. */
  private readonly partitions: readonly Partition[];
  private readonly map: SiteMap;
  private readonly mostSupply: number;
  private readonly wholeCrews: WholeCrews;

  constructor(
    private readonly brief: Brief,
    price: Price,
    judge: Judge,
    shouldStop: () => boolean,
  ) {
    this.map = siteMap(brief, price);
    const spots = candidates(this.map);
    this.mostSupply = mostSupplyOfChest(this.map, spots);
    this.kinds = new NetworkKinds(brief, price, judge, shouldStop);
    this.wholeCrews = new WholeCrews(this.map, spots, this.kinds, shouldStop);
    // With a common target it takes all networks to say whether it is met.
    const divides = brief.exits.length > 1 && brief.exits.length <= MOST_EXITS && brief.together === undefined;
    this.partitions = divides ? partitionsOf(brief.exits.map((_, e) => e)).filter((groups) => groups.length > 1) : [];
  }

  /** Raises what is known until it tells whether layouts with these counts may have carriers of cost `upTo`. */
  floor(bill: Bill, upTo: number): CarrierFloor {
    const asking = this.asking(bill, upTo);
    for (;;) {
      const step = asking.next();
      if (step.done === true) return step.value;
      this.kinds.raise(step.value);
    }
  }

  /** The same, with every kind that has to be searched for it left to whoever asks: by `raise` of `kinds`, or by shares and `note`. */
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

  private together({ loads, splitters, chests }: Bill): OpenKind {
    const ground = this.kinds.groundOf(this.brief.exits.map((_, e) => e));
    return { ground, kind: this.kinds.kindOf(ground, { loads, splitters, chests }) };
  }

  /** Least cost over these partitions: of kinds, and where they leave it open, of whole crews. */
  private *leastOf(partitions: readonly Partition[], networks: number, bill: Bill, upTo: number): Generator<OpenKind, number> {
    const byKinds = yield* this.raised(partitions, bill, upTo, STEPS_OF_KINDS);
    if (byKinds > upTo) return byKinds;
    return this.wholeCrews.leastOf(partitions, networks, bill, upTo) ?? (yield* this.raised(partitions, bill, upTo, Infinity));
  }

  /**
   * Least cost over these partitions: exact where a network is found for each of its kinds, or above `upTo`; or less, where
   * some kind has taken so many steps.
   */
  private *raised(partitions: readonly Partition[], bill: Bill, upTo: number, mostSteps: number): Generator<OpenKind, number> {
    const ways = partitions.map((groups) => ({ grounds: groups.map((exits) => this.kinds.groundOf(exits)), shares: this.leastSharesOf(groups, bill) }));
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
          const kind = this.kinds.kindOf(ground, { loads: someLoads, splitters: someSplitters, chests: drawn });
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
}
