/**
 * What arms and chests cost at least, by what they are to take and to lead on: knapsacks over models in any number, so no
 * crew costs less. Which crews there are is in `loading-crews.ts`.
 */
import type { Group } from './loading-groups.js';
import type { LoadingSite } from './loading-site.js';

interface Offer {
  readonly price: number;
  readonly flow: number;
}

/** What is to be led on into a wagon, or into all; and how much more of it may come straight from carriers at most. */
export interface Led {
  readonly led: number;
  readonly brought: number;
}

/** By money: the most flow that it buys, of things in any number. */
type Purse = readonly number[];

const PURSE_LENGTH = 2048;

function purse(offers: readonly Offer[]): Purse {
  if (offers.some(({ price, flow }) => price === 0 && flow > 0)) return [];
  const most = [0];
  for (let money = 1; money < PURSE_LENGTH; money++) {
    most.push(offers.reduce((best, { price, flow }) => (price <= money && price > 0 ? Math.max(best, most[money - price] + flow) : best), most[money - 1]));
  }
  return most;
}

/** By money: whether things of these prices, in any number, can cost just that; beyond the end, nothing is known. */
function sums(prices: readonly number[]): readonly boolean[] {
  const can = [true];
  for (let money = 1; money < PURSE_LENGTH; money++) can.push(prices.some((price) => price > 0 && price <= money && can[money - price]));
  return can;
}

/** Where more money buys more, from none on; of what is free, any flow. */
const steps = (of: Purse): readonly Offer[] =>
  of.length === 0 ? [{ price: 0, flow: Infinity }] : of.flatMap((flow, price) => (price === 0 || flow > of[price - 1] ? [{ price, flow }] : []));

/** Least money that buys `flow`; what lies beyond the purse's end counts as its length. */
function priceFor(of: Purse, flow: number): number {
  if (flow <= 0) return 0;
  let [low, high] = [0, of.length];
  while (low < high) {
    const money = (low + high) >> 1;
    if (of[money] >= flow) high = money;
    else low = money + 1;
  }
  return low;
}

/** What wagons are to get, and how much of that arms may bring without further chests: straight, or to chests that stand. */
export interface Passed {
  readonly got: number;
  readonly byArms: number;
}

/** Flows that arms and chests are still to carry; none where they are not above 0. */
interface Lack {
  /** To be taken, in all and from each group; at leaves of each that are not picked from yet. */
  readonly taken: number;
  readonly ofGroups: readonly number[];
  readonly leaves: readonly number[];
  /** That arms into all wagons, and into each, are to be able to carry. */
  readonly led: Led;
  readonly ledInto: readonly Led[];
  readonly passed: Passed;
  readonly passedInto: readonly Passed[];
}

export class Prices {
  private readonly taking: Purse;
  private readonly takingSteps: readonly Offer[];
  /** Ever dearer arms straight into wagons, and what they take at most together. */
  private readonly straight: readonly Offer[];
  /** Chests and arms that empty them; and with an arm that fills each, for none stands there without. */
  private readonly emptying: Purse;
  private readonly served: Purse;
  /** Chests with all that fills and empties them, by what passes through: no more than either lets. */
  private readonly passing: Purse;
  /** Whether arms and chests can cost just that. */
  readonly canCost: readonly boolean[];
  /** What is asked of arms into all wagons, and into each. */
  private readonly all: Led;
  private readonly ofWagons: readonly Led[];
  /** What all wagons are to get, and each. */
  private readonly inAll: Passed;
  private readonly intoWagons: readonly Passed[];
  private readonly leastArm: number;
  private readonly leastAlone: number;
  /** Of several chests. */
  readonly leastOfSeveral: number;
  readonly ofChest: number;
  /** The last answer: from one tree to the next few leaves come or go. */
  private asked: { readonly groups: readonly Group[]; readonly leaves: readonly number[]; readonly least: number } | undefined;

  constructor(private readonly site: LoadingSite) {
    const { picks, deliveries, chest, priceOf, led: inAll, wagonLed, brought } = site;
    this.all = { led: inAll, brought };
    this.ofWagons = wagonLed.map((led) => ({ led, brought }));
    const byArms = site.brief.feed === 'chests' ? 0 : brought;
    this.inAll = { got: site.wanted, byArms };
    this.intoWagons = site.wagonWanted.map((got) => ({ got, byArms }));
    this.ofChest = chest === undefined ? 0 : priceOf(chest);
    const all = picks.flat();
    this.leastArm = Math.min(...all.map(({ price }) => price), Infinity);
    const prices = new Set([...all.map(({ price }) => price), ...deliveries.flat().map(({ price }) => price + this.ofChest)]);
    this.canCost = sums([...prices]);
    this.taking = purse(all.map(({ price, through }) => ({ price, flow: through })));
    this.takingSteps = steps(this.taking);
    this.leastAlone = all.reduce((least, { alone }) => Math.min(least, alone), Infinity);
    const byChests = (filling: number): Purse => purse(deliveries.flat().map(({ price, flow }) => ({ price: price + this.ofChest + filling, flow })));
    this.straight = steps(purse(all.filter(({ into }) => into < 0).map(({ price, through }) => ({ price, flow: through }))));
    this.emptying = byChests(0);
    const filling = all.reduce((least, { price, into }) => (into < 0 ? least : Math.min(least, price)), PURSE_LENGTH);
    this.served = byChests(filling);
    const fillers = steps(purse(all.filter(({ into }) => into >= 0).map(({ price, through }) => ({ price, flow: through }))));
    this.passing = purse(deliveries.flat().flatMap(({ price, flow }) => fillers.map((by) => ({ price: price + this.ofChest + by.price, flow: Math.min(flow, by.flow) }))));
    this.leastOfSeveral = 2 * deliveries.flat().reduce((least, { price }) => Math.min(least, price + this.ofChest + filling), PURSE_LENGTH);
  }

  /** What arms and chests cost at least where the trees of the groups have so many leaves. */
  readonly least = (groups: readonly Group[], leaves: readonly number[]): number => {
    const { asked } = this;
    if (asked?.groups === groups && leaves.every((count, group) => count === asked.leaves[group])) return asked.least;
    const least = this.newLeast(groups, leaves);
    this.asked = { groups, leaves: [...leaves], least };
    return least;
  };

  private newLeast(groups: readonly Group[], leaves: readonly number[]): number {
    const { wanted, brief } = this.site;
    const prices = groups.map((group, index) => this.groupPrice(group.wanted, leaves[index]));
    const passing = this.passingPrice(this.inAll, this.intoWagons);
    if (brief.feed !== 'chests') return Math.max(passing, this.takingPrice(wanted, prices), this.leadingPrice(this.all, this.ofWagons));
    const mayBeLone = groups.map(({ entries }, index) => entries.length === 1 && leaves[index] === 1);
    return Math.max(passing, this.byChestsPrice(prices, mayBeLone), this.allWagons(this.served, this.all, this.ofWagons));
  }

  /** Of what a crew still lacks that has some arms and chests. */
  ofRest({ taken, ofGroups, leaves, led, ledInto, passed, passedInto }: Lack): number {
    const taking = this.takingPrice(taken, ofGroups.map((flow, group) => this.groupPrice(flow, leaves[group])));
    const passing = this.passingPrice(passed, passedInto);
    if (this.site.brief.feed !== 'chests') return Math.max(passing, taking, this.leadingPrice(led, ledInto));
    return Math.max(passing, taking + this.allWagons(this.emptying, led, ledInto), this.allWagons(this.served, led, ledInto));
  }

  /**
   * Fed by chests, all that arms take has to be carried off. At an entry that is joined with none there is one arm, which
   * takes more than nothing (`lone-arm.ts`), or there are two at least; whichever of that is cheapest.
   */
  private byChestsPrice(alone: readonly number[], mayBeLone: readonly boolean[]): number {
    const { all, ofWagons } = this;
    const { wanted } = this.site;
    const more = alone.map((price) => Math.max(price, 2 * this.leastArm) - price);
    const inRising = more.filter((_, group) => mayBeLone[group]).sort((a, b) => a - b);
    const sure = alone.reduce((sum, price) => sum + price, 0);
    let best = Infinity;
    let twofold = 0;
    for (let count = 0; count <= inRising.length; count++) {
      if (count > 0) twofold += inRising[count - 1];
      const least = (inRising.length - count) * this.leastAlone;
      const taking = Math.max(priceFor(this.taking, wanted), sure + twofold);
      best = Math.min(best, taking + this.allWagons(this.emptying, { ...all, led: Math.max(all.led, least) }, ofWagons));
    }
    return best;
  }

  /** For what one group is to give, by so many leaves at least. */
  private readonly groupPrice = (wanted: number, leaves: number): number => Math.max(priceFor(this.taking, wanted), leaves * this.leastArm);

  /** Each group's items are taken by arms of its own. */
  private takingPrice(wanted: number, ofGroups: readonly number[]): number {
    let sum = 0;
    for (const price of ofGroups) sum += price;
    return Math.max(priceFor(this.taking, wanted), sum);
  }

  /** Each wagon has arms of its own. */
  private allWagons(of: Purse, all: Led, ofWagons: readonly Led[]): number {
    let sum = 0;
    for (const { led } of ofWagons) sum += priceFor(of, led);
    return Math.max(priceFor(of, all.led), sum);
  }

  /** Each wagon has chests of its own. */
  private passingPrice(inAll: Passed, intoWagons: readonly Passed[]): number {
    if (this.site.brief.feed === 'direct') return 0;
    let sum = 0;
    for (const into of intoWagons) sum += this.onePassing(into);
    return Math.max(this.onePassing(inAll), sum);
  }

  private onePassing({ got, byArms }: Passed): number {
    if (got <= 0) return 0;
    // Beyond the end of the list nothing is known.
    let least = this.takingSteps[this.takingSteps.length - 1].flow >= byArms ? Infinity : PURSE_LENGTH;
    for (const { price, flow } of this.takingSteps) {
      least = Math.min(least, price + priceFor(this.passing, got - Math.min(flow, byArms)));
      if (flow >= byArms || price >= least) break;
    }
    return least;
  }

  private leadingPrice(all: Led, ofWagons: readonly Led[]): number {
    if (ofWagons.length === 1) return Math.max(this.oneLeading(all), this.oneLeading(ofWagons[0]));
    let sum = 0;
    for (const each of ofWagons) sum += this.oneLeading(each);
    return Math.max(this.oneLeading(all), sum);
  }

  private oneLeading({ led, brought }: Led): number {
    if (led <= 0) return 0;
    // Beyond the end of the list nothing is known.
    let lead = this.straight[this.straight.length - 1].flow >= brought ? Infinity : PURSE_LENGTH;
    for (const { price, flow } of this.straight) {
      lead = Math.min(lead, price + priceFor(this.served, led - Math.min(flow, brought)));
      if (flow >= brought || price >= lead) break;
    }
    return lead;
  }
}
