/**
 * Families of layouts: each holds all layouts of one bill of parts that the program has proposed, with the least
 * price that is left to try in it. Whatever has not been proposed costs at least the program's last optimum. So
 * the least of all these is a bound on every layout that has not been tried.
 */
import { checkSolution } from '../../program/check-solution.js';
import { solutionsAt } from '../../program/solutions-at.js';
import type { IntegerSolver } from '../../program/solver.js';
import { countsOf, type Bill } from '../site/bill.js';
import { billProgram, countIds, readBill } from '../bills/bill-program.js';
import type { Candidates } from '../site/candidates.js';
import type { Crew } from '../site/crew.js';
import { CrewMemories } from '../crews/crew-prices.js';
import { ChestDeals, chestRoom } from '../networks/chest-deals.js';
import type { ProofStep } from '../proof-step.js';
import type { SiteMap } from '../site/site-map.js';
import { readCrew, standProgram } from '../bills/stand-program.js';

/** A bill's family: parts but for carriers cost `fixed`, and what is left costs at least `price` in all. */
export interface Family {
  readonly bill: Bill;
  readonly fixed: number;
  /** Where the program let its parts stand. */
  readonly first: Crew | undefined;
  readonly crews: CrewMemories;
  price: number;
}

/** A bill, and what its carriers cost at least. */
type Proposal = ReturnType<typeof readBill>;

const SOLVER_SECONDS = 600;
/** A placement is a place to begin, not part of the proof: without one the search begins anywhere. */
export const STAND_SECONDS = 1;
/** See `nextByTurns`. */
const AHEAD = 1 / 6;

export class Families {
  /** In the order in which they were proposed. */
  readonly proposed: Family[] = [];
  /** Every layout of a bill that has not been proposed costs at least this. */
  restBound = 0;
  rounds = 0;
  /** How often each has been searched. */
  private readonly raises = new Map<Family, number>();
  /** Further bills of just `restBound`, which need no solver: see `propose`. */
  private equals: Iterator<Proposal, void> | undefined;
  private readonly deals: ChestDeals;

  constructor(
    private readonly map: SiteMap,
    private readonly spots: Candidates,
    private readonly solver: IntegerSolver,
    /** What a solver may take of so many seconds. */
    private readonly secondsFor: (most: number) => number,
    private readonly onStep: (step: ProofStep) => void,
  ) {
    this.deals = new ChestDeals(map, chestRoom(map, spots));
  }

  /** Every layout that has not been tried costs at least this. */
  get bound(): number {
    return Math.min(this.cheapest?.price ?? Infinity, this.restBound);
  }

  /**
   * The one whose next price is least; of equals the one with least left for carriers, which is searched soonest, so that what
   * it finds spares the others work; then the first proposed.
   */
  get cheapest(): Family | undefined {
    let cheapest: Family | undefined;
    for (const family of this.proposed) {
      const isCheaper = cheapest === undefined || family.price < cheapest.price || (family.price === cheapest.price && family.fixed > cheapest.fixed);
      if (isCheaper) cheapest = family;
    }
    return cheapest;
  }

  /** What is next: a family to search at its price; undefined where the program must be asked first. */
  get next(): Family | undefined {
    const { cheapest } = this;
    return cheapest === undefined || this.restBound < cheapest.price ? undefined : cheapest;
  }

  /** Those to be searched after this one, as far as that can be told: in the order of `cheapest`, none dearer than what has not been proposed. */
  after(family: Family): readonly Family[] {
    return this.proposed.filter((other) => other !== family && other.price <= this.restBound && other.price < Infinity).sort((a, b) => a.price - b.price || b.fixed - a.fixed);
  }

  /**
   * The same for who wants any layout of at most `mostPrice` soon: families up to a share of `AHEAD` dearer than the cheapest take turns, since a
   * dearer bill with something in hand is found to work long before a cheap one is found to fall just short.
   */
  nextByTurns(mostPrice: number): Family | undefined {
    const { cheapest } = this;
    if (cheapest === undefined || cheapest.price === Infinity) return this.next;
    const most = Math.min(cheapest.price * (1 + AHEAD), mostPrice);
    if (this.restBound <= most) return undefined;
    let next = cheapest;
    for (const family of this.proposed) {
      if (family.price <= most && this.raisesOf(family) < this.raisesOf(next)) next = family;
    }
    return next;
  }

  private raisesOf(family: Family): number {
    return this.raises.get(family) ?? 0;
  }

  raise(family: Family, price: number): void {
    const from = family.price;
    family.price = price;
    this.raises.set(family, this.raisesOf(family) + 1);
    this.onStep({ kind: 'raised', family: this.proposed.indexOf(family), from, price });
  }

  /**
   * Proposes the cheapest bill, up to `mostPrice`, that has not been proposed yet. False where the solver gave no proven
   * answer. What the solver has proven of a program holds with more bills cut off: nothing that is left costs less. So as
   * long as a bill of that very price is found, it is an optimum, and the solver need not be asked.
   */
  propose(mostPrice: number): boolean {
    this.rounds++;
    const next = this.restBound <= mostPrice ? this.equals?.next() : undefined;
    if (next?.done === false) {
      this.take(next.value, mostPrice);
      return true;
    }
    this.equals = undefined;
    const bills = billProgram(this.map, this.spots, this.proposed.map(({ bill }) => bill), mostPrice);
    const answer = this.solver.solve(bills.program, { timeLimitSeconds: this.secondsFor(SOLVER_SECONDS) });
    if (answer.status === 'infeasible') {
      this.restBound = Infinity;
      this.onStep({ kind: 'proposed', mostPrice, answer: undefined });
      return true;
    }
    if (answer.status !== 'optimal') return false;
    this.restBound = answer.solution.objective;
    this.take(readBill(bills, answer.solution.values), mostPrice);
    this.equals = this.billsAt(this.restBound, mostPrice);
    return true;
  }

  /** Bills of just this price that have not been proposed, as far as they are found. */
  private *billsAt(price: number, mostPrice: number): Generator<Proposal, void> {
    const bills = billProgram(this.map, this.spots, [], mostPrice);
    const keyOf = (bill: Bill): string => countsOf(bill).join();
    const known = new Set(this.proposed.map(({ bill }) => keyOf(bill)));
    for (const values of solutionsAt(bills.program, price, countIds(bills), (some) => known.has(keyOf(readBill(bills, some).bill)))) {
      const recheck = checkSolution(bills.program, values);
      if (recheck.ok && recheck.objective === price) yield readBill(bills, values);
    }
  }

  private take({ bill, carriers }: Proposal, mostPrice: number): void {
    const stands = this.deals.mostBrought(bill, bill.fills) < this.map.wanted ? 'nowhere' : this.stand(bill);
    const first = typeof stands === 'string' ? undefined : stands;
    const fixed = this.restBound - carriers;
    const family: Family = { bill, fixed, first, crews: new CrewMemories(), price: this.restBound };
    this.proposed.push(family);
    this.onStep({ kind: 'proposed', mostPrice, answer: { bill, fixed, objective: this.restBound } });
    if (stands === 'nowhere') this.raise(family, Infinity);
  }

  /** Where the parts of a bill may stand so that they may do what is asked, by sums of rates. */
  private stand(bill: Bill): Crew | 'nowhere' | 'unknown' {
    const stand = standProgram(this.map, this.spots, bill);
    const placed = this.solver.solve(stand.program, { timeLimitSeconds: this.secondsFor(STAND_SECONDS) });
    if ('solution' in placed) return readCrew(stand, this.spots, placed.solution.values);
    return placed.status === 'infeasible' ? 'nowhere' : 'unknown';
  }
}
