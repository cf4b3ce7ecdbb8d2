/**
 * The search of a family at one price: every placement of a bill's chests and arms, every network of
 * carriers at just that price, judged by the simulator. It keeps the layout that the brief prefers of
 * all that pass, and what is left to try of each crew. Which family is searched when, and what follows, is
 * in `design.ts`; a share of the same search can be done on another thread (`share-search.ts`).
 */
import { compareTiles } from '../base/geometry.js';
import { ratio } from '../base/rational.js';
import type { ExitDemand } from '../brief/brief.js';
import { layoutCost, partCount, type Layout, type PlacedExit } from '../layout/layout.js';
import type { Bill } from './bill.js';
import { buildLayout } from './build-layout.js';
import type { Candidates } from './candidates.js';
import type { CarrierView } from './carrier-network.js';
import { CarrierSearch, type Share, type Verdict } from './carrier-search.js';
import type { Crew } from './crew.js';
import { searchCrews, type CrewMemories } from './crew-prices.js';
import { crewsOf, type Affordable } from './crew-search.js';
import type { Judge } from './judge.js';
import type { CarrierFloor } from './network-costs.js';
import { isPreferred, rank, type Ranked, type Standing } from './preference.js';
import { areAlike, type SiteMap } from './site-map.js';
import type { Witness } from './verifier.js';

/** What is asked: a bill's layouts whose carriers cost just `carriers`, and which cost `price` in all. */
export interface FamilyPrice {
  readonly bill: Bill;
  readonly carriers: number;
  readonly price: number;
  readonly floor: CarrierFloor;
  /** A crew to begin with. */
  readonly first: Crew | undefined;
}

export class FamilySearch {
  best: Ranked | undefined;
  bestPrice = Infinity;
  /** Of the best, or of one that another search has found and that is better. */
  private standing: Standing | undefined;
  /** Price of the cheapest layout whose simulation came to no end. */
  undecided = Infinity;
  readonly carriers: CarrierSearch;
  private priceNow = 0;
  /** What is come upon by the way takes no part in the proof. */
  private scouting = false;

  constructor(
    private readonly map: SiteMap,
    private readonly spots: Candidates,
    private readonly judges: Judge,
    private readonly shouldStop: () => boolean,
    private readonly onBetter: (best: Ranked) => void,
  ) {
    const { minimise } = map.brief;
    this.carriers = new CarrierSearch(map, {
      judge: (view, crew) => this.judge(view, crew),
      accept: (view, crew) => {
        this.accept(view, crew);
      },
      boxMatters: () => this.standing !== undefined && this.bestPrice === this.priceNow && minimise[1] === 'footprint',
      admits: (width, depth) => this.standing === undefined || this.standing.values[1].compare(ratio(width * depth)) >= 0,
      shouldStop,
    });
  }

  /**
   * Searches one share of what is asked; yields after each crew, for whoever has to look up now and then. Returns
   * the next price of carriers that is left to try.
   */
  *settle({ bill, carriers, price, floor, first }: FamilyPrice, crews: CrewMemories, share: Share): Generator<void, number> {
    this.priceNow = price;
    this.carriers.allowNetworks(floor.mostNetworks, floor.moreAt);
    this.carriers.takeShare(share);
    const { map, spots } = this;
    function* crewsFrom(affordable: Affordable): Generator<Crew, void> {
      if (first !== undefined && affordable(first, true)) yield first;
      yield* crewsOf(map, spots, bill, affordable);
    }
    const next = yield* searchCrews(this.carriers, crewsFrom, bill.splitters, carriers, crews, this.shouldStop);
    return Math.min(next, floor.moreAt);
  }

  /** Looks for any network of these parts, of at most `budget`: see `CarrierSearch.scout`. */
  scout(crew: Crew, splitters: readonly number[], budget: number, steps: number): boolean {
    this.scouting = true;
    this.carriers.allowNetworks(this.map.demands.length, Infinity);
    try {
      return this.carriers.scout(crew, splitters, budget, steps);
    } finally {
      this.scouting = false;
    }
  }

  /** Whether this is the best standing so far; what isn't better is of no interest from now on. */
  surpass(standing: Standing): boolean {
    if (this.standing !== undefined && !isPreferred(standing, this.standing)) return false;
    this.standing = standing;
    // The first objective is what prices add up.
    this.bestPrice = Number(standing.values[0].n);
    return true;
  }

  private judge(view: CarrierView, crew: Crew): Verdict {
    const { verdict } = this.judges.layout(this.map, view, crew);
    // What a scout comes upon costs more than the price that is searched now; the search will meet it at its own.
    if (verdict === 'undecided' && !this.scouting) this.undecided = Math.min(this.undecided, this.priceNow);
    return verdict;
  }

  private accept(view: CarrierView, crew: Crew): void {
    const witness = this.judges.layout(this.map, view, crew);
    if (witness.verdict === 'passes') this.offer(buildLayout(this.map, view, crew), witness);
  }

  /** Takes a layout of the space if it passes, keeps to the limits, and the brief prefers it to the best so far. */
  offer(found: Layout, witness: Witness): void {
    if (witness.verdict !== 'passes') return;
    const { limits, minimise, exits } = this.map.brief;
    const layout = { ...found, exits: inOrder(found.exits, exits) };
    if (limits.parts !== undefined && partCount(layout) > limits.parts) return;
    if (limits.cost !== undefined && layoutCost(layout) > limits.cost) return;
    const [imbalance] = rank(layout, ['imbalance'], witness.chestOutflows).values;
    if (limits.imbalance !== undefined && imbalance.compare(limits.imbalance) > 0) return;
    const ranked = rank(layout, minimise, witness.chestOutflows);
    if (!this.surpass(ranked)) return;
    this.best = ranked;
    this.onBetter(ranked);
  }
}

/** Exits that may be called one another stand in the order of their tiles, however they were come upon. */
function inOrder(placed: readonly PlacedExit[], demands: readonly ExitDemand[]): readonly PlacedExit[] {
  const alike = (e: number): readonly number[] => demands.flatMap((other, o) => (areAlike(demands[e], other) ? [o] : []));
  const before = (a: PlacedExit, b: PlacedExit): number => compareTiles(a.at, b.at) || (a.heading < b.heading ? -1 : 1);
  return placed.map((_, e) => alike(e).map((o) => placed[o]).sort(before)[alike(e).indexOf(e)]);
}
