/**
 * Looks for some layout that passes, in bills with something in hand: so that a run that is stopped has one to show, and
 * nothing dearer is searched. What it finds is simulated like any other; it takes no part in the proof.
 */
import { seededRandom } from '../../base/random.js';
import { ratio, type Rational } from '../../base/rational.js';
import type { IntegerSolver } from '../../program/solver.js';
import type { AllottedTime } from '../allotted-time.js';
import { billProgram, readBill } from '../bills/bill-program.js';
import { SearchStopped } from '../carriers/carrier-search.js';
import { drawCrew } from '../crews/crew-search.js';
import type { Bill } from '../site/bill.js';
import type { Candidates } from '../site/candidates.js';
import type { Crew } from '../site/crew.js';
import type { SiteMap } from '../site/site-map.js';
import { STAND_SECONDS } from './families.js';
import type { FamilySearch } from './family-search.js';

interface BillScoutTools {
  readonly solver: IntegerSolver;
  readonly time: AllottedTime;
  readonly shouldStop: () => boolean;
  readonly breathe: () => Promise<void>;
  /** What is known to be had; Infinity for nothing. */
  readonly bestPrice: () => number;
}

/** What share of the run's time that may take, before it has a layout and after. */
const SHARE = 1 / 3;
const SHARE_AFTER = 1 / 20;
/** For one bill: milliseconds, crews drawn, crews tried, and steps of the search for the carriers of each. */
const MILLISECONDS = 250;
const DRAWS = 200;
const CREWS = 40;
const STEPS = 600;
/** Budgets of carriers to try, as multiples of the least. */
const SLACKS: readonly number[] = [1.1, 1.3, 1.7];
/** How much more than asked bills are to bring, by turns. */
const SPARES: readonly Rational[] = [ratio(11, 10), ratio(13, 10), ratio(8, 5)];

export class BillScout {
  private turn = 0;
  private spent = 0;
  private readonly scouted = SPARES.map((): Bill[] => []);
  /** The same draws in every run. */
  private readonly draw = seededRandom(1);

  constructor(
    private readonly map: SiteMap,
    private readonly spots: Candidates,
    private readonly searches: FamilySearch,
    private readonly tools: BillScoutTools,
  ) {}

  /** Looks in one bill that costs no more than `mostPrice`, if its share of the time allows. */
  async look(mostPrice: number): Promise<void> {
    const { time, solver, bestPrice } = this.tools;
    const elapsed = time.milliseconds;
    if (this.spent > (bestPrice() === Infinity ? SHARE : SHARE_AFTER) * elapsed) return;
    const which = this.turn++ % SPARES.length;
    const bills = billProgram(this.map, this.spots, this.scouted[which], Math.min(mostPrice, bestPrice() - 1), SPARES[which]);
    const answer = solver.solve(bills.program, { timeLimitSeconds: time.secondsFor(STAND_SECONDS) });
    if (answer.status === 'optimal') {
      const { bill, carriers } = readBill(bills, answer.solution.values);
      this.scouted[which].push(bill);
      await this.lookIn(bill, answer.solution.objective - carriers);
    }
    this.spent += time.milliseconds - elapsed;
  }

  private async lookIn(bill: Bill, fixed: number): Promise<void> {
    const { searches, tools } = this;
    const until = tools.time.milliseconds + MILLISECONDS;
    const some: { readonly crew: Crew; readonly least: number }[] = [];
    for (let n = 0; n < DRAWS; n++) {
      const crew = drawCrew(this.spots, bill, this.draw);
      if (crew === undefined) continue;
      const least = searches.carriers.leastCost(crew, bill.splitters, true);
      if (least < Infinity) some.push({ crew, least });
    }
    some.sort((a, b) => a.least - b.least);
    for (const { crew, least } of some.slice(0, CREWS)) {
      for (const slack of SLACKS) {
        const budget = Math.floor(least * slack);
        if (budget + fixed < tools.bestPrice() && searches.scout(crew, bill.splitters, budget, STEPS)) break;
      }
      if (tools.time.isLong) {
        await tools.breathe();
        if (tools.shouldStop()) throw new SearchStopped();
      }
      if (tools.time.milliseconds > until) return;
    }
  }
}
