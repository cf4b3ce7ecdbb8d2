/**
 * The search of a family at one price: every placement of a bill's chests and arms, every network of
 * carriers at just that price, judged by the simulator. It keeps the layout that the brief prefers of
 * all that pass, and what is left to try of each crew. Which family is searched when, and what follows, is
 * in `design.ts`; a share of the same search can be done on another thread (`share-search.ts`).
 */
import { compareTiles } from '../../base/geometry.js';
import type { Brief, ExitDemand } from '../../brief/brief.js';
import { layoutCost, partCount, type Layout, type PlacedExit } from '../../layout/layout.js';
import { countsOf, type Bill } from '../site/bill.js';
import { buildLayout } from '../carriers/build-layout.js';
import { dropsOf, type Candidates } from '../site/candidates.js';
import type { CarrierView } from '../carriers/carrier-network.js';
import { CarrierSearch, type Prospect, type Verdict } from '../carriers/carrier-search.js';
import type { Crew } from '../site/crew.js';
import { searchCrews, type CrewMemories } from '../crews/crew-prices.js';
import { crewsOf, type Affordable, type CrewTests } from '../crews/crew-search.js';
import { allCrews } from '../crews/crew-shares.js';
import type { Judge } from '../networks/judge.js';
import type { CarrierFloor } from '../networks/network-costs.js';
import { reachOf } from '../carriers/reach.js';
import { areAlike, type SiteMap } from '../site/site-map.js';
import { boundsOfBill, boundsOfCrew, keepsToFlowLimits, mayKeepTrainLimits, type TrainBounds } from '../site/train-bounds.js';
import type { Passing, Witness } from '../verifier.js';
import { Westmost } from '../crews/westmost.js';

/** What is asked: a bill's layouts whose carriers cost just `carriers`, and which cost `price` in all. */
interface FamilyPrice {
  readonly bill: Bill;
  readonly carriers: number;
  readonly price: number;
  readonly floor: CarrierFloor;
  /** A crew to begin with. */
  readonly first: Crew | undefined;
}

/** The least that layouts still to be found can come to. */
export interface Outlook extends Prospect {
  readonly price: number;
  readonly bill: Bill;
  /** What its flows come to, where they are known already. */
  readonly flows: Passing | undefined;
}

/** What keeps of the layouts that are found those that are wanted. */
export interface Keep {
  /** Whether how far parts reach can rule out anything at this price. */
  readonly reachMatters: (price: number) => boolean;
  /** Whether a layout no better than this may be wanted. */
  readonly admits: (outlook: Outlook) => boolean;
  /** Takes a layout that passes, with its exits in the order of the brief's. */
  readonly offer: (layout: Layout, witness: Passing) => void;
  /** Whether a last stretch that costs more than another one can be wanted for where it lies. */
  readonly dearerTailsCount: boolean;
  /** Whether a layout can be wanted that stands a column further west too. */
  readonly copiesCount: boolean;
}

export class FamilySearch {
  /** Price of the cheapest layout whose simulation came to no end. */
  undecided = Infinity;
  readonly carriers: CarrierSearch;
  private priceNow = 0;
  private billNow: Bill = { chests: 0, fills: [], loads: [], splitters: [] };
  /** Of the heads that were judged last. */
  private headFlows: Passing | undefined;
  private readonly westmost: Westmost;
  /** What is come upon by the way takes no part in the proof. */
  private scouting = false;

  constructor(
    private readonly map: SiteMap,
    private readonly spots: Candidates,
    private readonly judges: Judge,
    private readonly keep: Keep,
    private readonly shouldStop: () => boolean,
  ) {
    this.westmost = new Westmost(map, spots);
    this.carriers = new CarrierSearch(map, {
      judge: (view, crew) => this.judge(view, crew),
      accept: (view, crew) => {
        this.accept(view, crew);
      },
      reachMatters: () => keep.reachMatters(this.priceNow),
      admits: (prospect, flowsKnown) => keep.admits(this.outlook(prospect, flowsKnown)),
      dearerTailsCount: keep.dearerTailsCount,
      shouldStop,
    }, dropsOf(spots));
  }

  /**
   * Searches one share of what is asked, or all; yields after each crew, for whoever has to look up now and then. Returns
   * the next price of carriers that is left to try.
   */
  *settle({ bill, carriers, price, floor, first }: FamilyPrice, crews: CrewMemories, shares = allCrews()): Generator<void, number> {
    this.priceNow = price;
    this.billNow = bill;
    // From `moreAt` on a layout may fall into more networks; what is remembered holds as long as it may not.
    this.carriers.allowNetworks(floor.mostNetworks);
    crews.allowNetworks(floor.mostNetworks);
    const search = this.carriers;
    const { map, spots, keep, westmost } = this;
    const parts = countsOf(bill).reduce((total, count) => total + count, 0) + this.carriers.leastParts(carriers);
    const ofBill = boundsOfBill(map, bill);
    const trainBounds = (crew: Crew, whole: boolean): TrainBounds => (whole ? boundsOfCrew(map, crew) : ofBill);
    const mayKeepLimits = (crew: Crew, whole: boolean): boolean => !trainsLimited(map.brief) || mayKeepTrainLimits(map.brief, trainBounds(crew, whole));
    const mayMatter = (crew: Crew, whole: boolean): boolean =>
      !keep.reachMatters(price) || keep.admits(this.outlook({ ...reachOf(map, crew), parts, leastImbalance: nothing, trainBounds: () => trainBounds(crew, whole) }, false));
    function* crewsFrom(tests: CrewTests): Generator<Crew, void> {
      const told = (crew: Crew): Crew => (keep.copiesCount ? crew : westmost.told(crew));
      const affordable: Affordable = (crew, whole) => mayKeepLimits(crew, whole) && mayMatter(crew, whole) && tests.affordable(whole ? told(crew) : crew, whole);
      if (first !== undefined && affordable(first, true)) {
        yield first;
      }
      for (const crew of crewsOf(map, spots, bill, { ...tests, affordable })) yield told(crew);
    }
    const next = yield* searchCrews(search, crewsFrom, bill.splitters, carriers, crews, shares, this.shouldStop);
    return Math.min(next, floor.moreAt);
  }

  /** Looks for any network of these parts, of at most `budget`, also with idle belts if told so: see `CarrierSearch.scout`. */
  scout(crew: Crew, splitters: readonly number[], budget: number, steps: number, idle = false): boolean {
    this.scouting = true;
    this.carriers.allowNetworks(this.map.demands.length);
    try {
      return this.carriers.scout(crew, splitters, budget, steps, idle);
    } finally {
      this.scouting = false;
    }
  }

  private judge(view: CarrierView, crew: Crew): Verdict {
    // Parts of heads are parts of all layouts that have them.
    if (!this.scouting && this.keep.reachMatters(this.priceNow) && !this.keep.admits(this.outlook({ ...reachOf(this.map, crew, view), leastImbalance: nothing, trainBounds: () => boundsOfCrew(this.map, crew) }, false))) return 'fails';
    const witness = this.judges.layout(this.map, view, crew);
    this.headFlows = witness.verdict === 'passes' ? witness : undefined;
    // What a scout comes upon costs more than the price that is searched now; the search will meet it at its own.
    if (witness.verdict === 'undecided' && !this.scouting) this.undecided = Math.min(this.undecided, this.priceNow);
    return witness.verdict;
  }

  private outlook(prospect: Prospect, flowsKnown: boolean): Outlook {
    return { ...prospect, price: this.priceNow, bill: this.billNow, flows: flowsKnown ? this.headFlows : undefined };
  }

  private accept(view: CarrierView, crew: Crew): void {
    const witness = this.judges.layout(this.map, view, crew);
    if (witness.verdict === 'passes') this.offer(buildLayout(this.map, view, crew), witness);
  }

  /** Takes a layout of the space that passes, if it keeps to the limits. */
  offer(found: Layout, witness: Witness): void {
    if (witness.verdict !== 'passes') return;
    const { limits, exits } = this.map.brief;
    const layout = { ...found, exits: inOrder(found.exits, exits) };
    // The bills of a search keep to this limit; what was put together by the way need not.
    if (limits.arms !== undefined && layout.parts.filter(({ kind }) => kind === 'arm').length > limits.arms) return;
    if (limits.parts !== undefined && partCount(layout) > limits.parts) return;
    if (limits.cost !== undefined && layoutCost(layout) > limits.cost) return;
    if (!keepsToFlowLimits(this.map.brief, witness)) return;
    this.keep.offer(layout, witness);
  }
}

const nothing = (): number => 0;

const trainsLimited = ({ limits }: Brief): boolean => limits.dwell !== undefined || limits.trainsPerHour !== undefined;

/** Exits that may be called one another stand in the order of their tiles, however they were come upon. */
function inOrder(placed: readonly PlacedExit[], demands: readonly ExitDemand[]): readonly PlacedExit[] {
  const alike = (e: number): readonly number[] => demands.flatMap((other, o) => (areAlike(demands[e], other) ? [o] : []));
  const before = (a: PlacedExit, b: PlacedExit): number => compareTiles(a.at, b.at) || (a.heading < b.heading ? -1 : 1);
  return placed.map((_, e) => alike(e).map((o) => placed[o]).sort(before)[alike(e).indexOf(e)]);
}
