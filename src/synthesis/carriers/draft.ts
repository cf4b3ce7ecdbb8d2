/**
 * What stands while carriers are searched for: the carriers of a crew, what they cost and may cost, and what is
 * left to place. What may come next is in `branching.ts`, and the order in which it is tried in `carrier-search.ts`.
 */
import { CarrierBound } from './carrier-bound.js';
import { CarrierNetwork } from './carrier-network.js';
import type { Crew } from '../site/crew.js';
import { LaneFlow } from './lane-flow.js';
import type { SiteMap } from '../site/site-map.js';

/** All costs are of carriers without splitters, whose number is given; of idle belts those count that are paid for. */
export class Draft {
  readonly net: CarrierNetwork;
  readonly bound: CarrierBound;
  readonly flow: LaneFlow;
  crew: Crew = { chests: [], arms: [] };
  spent = 0;
  /** What a network may cost. */
  budget = 0;
  /** Least cost above the budget at which something was cut off; Infinity if nothing was. */
  nextBudget = Infinity;
  /** [exit]: 1 where a carrier leads to it. */
  readonly exitTaken: Uint8Array;
  /** [model] */
  readonly splittersLeft: number[];
  splittersTotalLeft = 0;
  /** Idle belts that are paid for, and stand only once all else does; and whether there will be no more of them. */
  idleLeft = 0;
  idleSettled = false;
  /** Model of idle belts: the cheapest. */
  readonly idleBelt: number;

  /** `drops`: tiles on which arms may place; left out: all. */
  constructor(
    readonly map: SiteMap,
    drops?: readonly number[],
  ) {
    this.net = new CarrierNetwork(map);
    this.bound = new CarrierBound(map, this.net, drops);
    this.flow = new LaneFlow(map, this.net);
    this.exitTaken = new Uint8Array(map.demands.length);
    this.splittersLeft = map.splitters.map(() => 0);
    this.idleBelt = map.bodyBelts.reduce((best, m) => (map.belts[m].cost < map.belts[best].cost ? m : best));
  }

  /** Begins anew: a crew and no carriers; if not `wholeCrew`, with arms still to come. */
  enter(crew: Crew, splitters: readonly number[], wholeCrew: boolean): void {
    this.crew = crew;
    this.spent = 0;
    this.splittersTotalLeft = 0;
    splitters.forEach((number, m) => {
      this.splittersLeft[m] = number;
      this.splittersTotalLeft += number;
    });
    this.idleLeft = 0;
    this.exitTaken.fill(0);
    this.net.enter(crew);
    this.bound.enter(wholeCrew);
    this.flow.enter(crew);
  }

  get idleCost(): number {
    return this.map.belts[this.idleBelt].cost;
  }

  /** What networks cost at least that begin with what stands. */
  leastTotal(): number {
    return this.spent + this.bound.stillToPay(this.exitTaken, this.splittersTotalLeft);
  }

  /** Whether networks of that least cost are beyond the budget; if so, remembers the cost. */
  exceeds(least: number): boolean {
    if (least <= this.budget) return false;
    this.nextBudget = Math.min(this.nextBudget, least);
    return true;
  }

  /** Whether enough may flow to every exit. */
  flowSuffices(): boolean {
    return this.flow.suffices(this.splittersTotalLeft);
  }

  /** Does something with so many more idle belts paid for, if that may come to no more than the budget; `settled`: and no others. */
  withIdle(more: number, settled: boolean, total: number, then: () => void): void {
    if (this.exceeds(total)) return;
    const { idleLeft, idleSettled } = this;
    this.idleLeft += more;
    this.idleSettled = settled;
    this.spent += more * this.idleCost;
    then();
    this.spent -= more * this.idleCost;
    this.idleLeft = idleLeft;
    this.idleSettled = idleSettled;
  }
}
