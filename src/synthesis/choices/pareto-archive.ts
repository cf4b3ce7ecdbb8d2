/**
 * The layouts, of all that were found, that no other one betters in one objective without being worse in another:
 * what a search for trade-offs keeps. Of layouts with equal values it keeps the first.
 */
import { jainImbalance } from '../../base/jain.js';
import { ParetoFront, type Burdened } from '../../base/pareto-front.js';
import { isLess, ZERO, type Rational } from '../../base/rational.js';
import type { Brief, Objective } from '../../brief/brief.js';
import type { Layout } from '../../layout/layout.js';
import { asBurden, isCounted, type CountedMeasure } from '../../layout/measure.js';
import type { Keep, Outlook } from '../families/family-search.js';
import { isLimitedBeyondPrice, valuesOf } from '../families/preference.js';
import type { Price } from '../site/site-map.js';
import { LESS_THAN_ROUNDING } from '../site/train-bounds.js';
import type { Tradeoff } from './tradeoffs-outcome.js';
import type { Passing } from '../verifier.js';

/** Far more than numbers lose by it here. */
const ROUNDING = 1e-9;

interface Member extends Tradeoff, Burdened {
  /** The values as numbers, rounded where they are no whole ones. */
  readonly numbers: readonly number[];
}

const sum = (counts: readonly number[]): number => counts.reduce((total, count) => total + count, 0);

export class ParetoArchive implements Keep {
  readonly dearerTailsCount: boolean;
  readonly copiesCount = true;
  private readonly front = new ParetoFront<Member>();
  private readonly imbalanceAt: number;
  private readonly fillAt: number;
  private readonly dwellAt: number;
  private readonly trainsAt: number;
  /** Of the flows that were asked about last. */
  private known: { readonly chestOutflows: readonly Rational[]; readonly imbalance: Rational } = { chestOutflows: [], imbalance: ZERO };

  private readonly objectives: readonly Objective[];

  /** `brief`: with the objectives as what it minimises. */
  constructor(
    brief: Brief,
    private readonly price: Price,
    /** No layout has a greater fill. */
    private readonly mostFill: Rational,
    private readonly onFound: (found: Tradeoff) => void,
  ) {
    this.objectives = brief.minimise;
    const { objectives } = this;
    this.imbalanceAt = objectives.indexOf('imbalance');
    this.fillAt = objectives.indexOf('fill');
    this.dwellAt = objectives.indexOf('dwell');
    this.trainsAt = objectives.indexOf('trainsPerHour');
    this.dearerTailsCount = isLimitedBeyondPrice(brief) || objectives.some((objective) => objective !== price && PLACES.includes(objective));
  }

  /** By rising first objective, then the others in their order, the better first. */
  get list(): readonly Tradeoff[] {
    const order = (a: Member, b: Member): number => {
      const differs = a.burdens.findIndex((burden, index) => !burden.equals(b.burdens[index]));
      return differs < 0 ? 0 : a.burdens[differs].compare(b.burdens[differs]);
    };
    return [...this.front.members].sort(order).map(({ layout, values }) => ({ layout, values }));
  }

  reachMatters(): boolean {
    return this.front.members.length > 0;
  }

  admits(outlook: Outlook): boolean {
    return !this.front.members.some((member) => this.isNoWorse(member, outlook));
  }

  offer(layout: Layout, witness: Passing): void {
    const values = valuesOf(layout, this.objectives, witness);
    const burdens = values.map((value, at) => asBurden(this.objectives[at], value));
    if (!this.front.offer({ layout, values, burdens, numbers: values.map((value) => value.valueOf()) })) return;
    this.onFound({ layout, values });
  }

  /** Whether no layout of that outlook can better the member in anything. */
  private isNoWorse(member: Member, outlook: Outlook): boolean {
    for (let at = 0; at < this.objectives.length; at++) {
      const objective = this.objectives[at];
      if (isCounted(objective) && member.numbers[at] > leastOf(objective, outlook, this.price)) return false;
    }
    if (this.fillAt >= 0 && isLess(member.values[this.fillAt], this.mostFill)) return false;
    return this.hasNoLongerDwell(member, outlook) && this.hasNoFewerTrains(member, outlook) && this.isNoLessEven(member, outlook);
  }

  private hasNoLongerDwell(member: Member, { flows, trainBounds }: Outlook): boolean {
    const { dwellAt } = this;
    if (dwellAt < 0 || member.numbers[dwellAt] <= trainBounds().leastDwell * LESS_THAN_ROUNDING) return true;
    return flows?.trains !== undefined && !isLess(flows.trains.dwell, member.values[dwellAt]);
  }

  private hasNoFewerTrains(member: Member, { flows, trainBounds }: Outlook): boolean {
    const { trainsAt } = this;
    if (trainsAt < 0 || member.numbers[trainsAt] * LESS_THAN_ROUNDING >= trainBounds().mostTrainsPerHour) return true;
    return flows?.trains !== undefined && !isLess(member.values[trainsAt], flows.trains.trainsPerHour);
  }

  private isNoLessEven(member: Member, outlook: Outlook): boolean {
    const { imbalanceAt } = this;
    if (imbalanceAt < 0 || member.numbers[imbalanceAt] === 0 || member.numbers[imbalanceAt] < outlook.leastImbalance() - ROUNDING) return true;
    return outlook.flows !== undefined && !isLess(this.imbalanceOf(outlook.flows.chestOutflows), member.values[imbalanceAt]);
  }

  private imbalanceOf(chestOutflows: readonly Rational[]): Rational {
    if (this.known.chestOutflows !== chestOutflows) this.known = { chestOutflows, imbalance: jainImbalance(chestOutflows) };
    return this.known.imbalance;
  }
}

/** Objectives that depend on where carriers lie, not only on their price and what flows through them. */
const PLACES: readonly Objective[] = ['cost', 'parts', 'footprint', 'width', 'depth'];

/** No layout of that outlook has less of it. */
function leastOf(objective: CountedMeasure, { bill, price, parts, width, depth }: Outlook, adds: Price): number {
  switch (objective) {
    case 'cost':
      return adds === 'cost' ? price : 0;
    case 'parts':
      return adds === 'parts' ? price : parts;
    case 'footprint':
      return width * depth;
    case 'width':
      return width;
    case 'depth':
      return depth;
    case 'arms':
      return sum(bill.fills) + sum(bill.loads);
    case 'splitters':
      return sum(bill.splitters);
  }
}
