/**
 * What arms and chests cost at least, by what they are to take and to lead on: knapsacks over models in any number, so no
 * crew costs less. Which crews there are is in `loading-crews.ts`.
 */
import type { Group } from './loading-groups.js';
import type { Pick } from './loading-arms.js';
import type { LoadingSite } from './loading-site.js';

interface Offer {
  readonly price: number;
  readonly flow: number;
}

/** A flow into a wagon, or into all; and how much of it arms may bring without further chests at most. */
export interface Inflow {
  readonly flow: number;
  readonly byArms: number;
}

/** Flows that arms and chests are to carry; none where they are not above 0. */
export interface IntoWagons {
  /** That arms into all wagons, and into each, are to be able to carry. */
  readonly led: Inflow;
  readonly ledInto: readonly Inflow[];
  /** That all wagons, and each, are to get. */
  readonly got: Inflow;
  readonly gotInto: readonly Inflow[];
}

/** What a crew still lacks that has some arms and chests. */
interface Lack extends IntoWagons {
  /** To be taken, in all and from each group; at leaves of each that are not picked from yet. */
  readonly taken: number;
  readonly ofGroups: readonly number[];
  readonly leaves: readonly number[];
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

/** What brings items into wagons: ever dearer arms alone, by what they take at most together; and chests, with what is priced with them. */
interface Means {
  readonly arms: readonly Offer[];
  readonly chests: Purse;
}

/** Least money for both. */
function priceOfInflow({ arms, chests }: Means, { flow, byArms }: Inflow): number {
  if (flow <= 0) return 0;
  // Beyond the end of the list nothing is known.
  let least = arms[arms.length - 1].flow >= byArms ? Infinity : PURSE_LENGTH;
  for (const { price, flow: brought } of arms) {
    least = Math.min(least, price + priceFor(chests, flow - Math.min(brought, byArms)));
    if (brought >= byArms || price >= least) break;
  }
  return least;
}

export class Prices {
  private readonly taking: Purse;
  /** Arms straight into wagons, and chests with what empties them; or with an arm that fills each too, for none stands there without. */
  private readonly emptying: Means;
  private readonly leading: Means;
  /** All arms that take, and chests with all that fills and empties them, by what passes through: no more than either lets. */
  private readonly passing: Means;
  /** Whether arms and chests can cost just that. */
  readonly canCost: readonly boolean[];
  private readonly wantedInto: IntoWagons;
  private readonly leastArm: number;
  private readonly leastAlone: number;
  /** Of several chests. */
  readonly leastOfSeveral: number;
  readonly ofChest: number;
  /** The last answer: from one tree to the next few leaves come or go. */
  private asked: { readonly groups: readonly Group[]; readonly leaves: readonly number[]; readonly least: number } | undefined;

  constructor(private readonly site: LoadingSite) {
    const { picks, deliveries, chest, priceOf, brought } = site;
    const inflow = (flow: number): Inflow => ({ flow, byArms: brought });
    this.wantedInto = { led: inflow(site.led), ledInto: site.wagonLed.map(inflow), got: inflow(site.wanted), gotInto: site.wagonWanted.map(inflow) };
    this.ofChest = chest === undefined ? 0 : priceOf(chest);
    const all = picks.flat();
    this.leastArm = Math.min(...all.map(({ price }) => price), Infinity);
    const prices = new Set([...all.map(({ price }) => price), ...deliveries.flat().map(({ price }) => price + this.ofChest)]);
    this.canCost = sums([...prices]);
    this.taking = purse(all.map(({ price, through }) => ({ price, flow: through })));
    this.leastAlone = all.reduce((least, { alone }) => Math.min(least, alone), Infinity);
    const byChests = (filling: number): Purse => purse(deliveries.flat().map(({ price, flow }) => ({ price: price + this.ofChest + filling, flow })));
    const byArms = (picked: readonly Pick[]): readonly Offer[] => steps(purse(picked.map(({ price, through }) => ({ price, flow: through }))));
    const straight = byArms(all.filter(({ into }) => into < 0));
    this.emptying = { arms: straight, chests: byChests(0) };
    const filling = all.reduce((least, { price, into }) => (into < 0 ? least : Math.min(least, price)), PURSE_LENGTH);
    this.leading = { arms: straight, chests: byChests(filling) };
    const fillers = byArms(all.filter(({ into }) => into >= 0));
    const filled = purse(deliveries.flat().flatMap(({ price, flow }) => fillers.map((by) => ({ price: price + this.ofChest + by.price, flow: Math.min(flow, by.flow) }))));
    this.passing = { arms: steps(this.taking), chests: filled };
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
    const isLone = groups.map(({ entries }, index) => entries.length === 1 && leaves[index] === 1);
    const taking = brief.feed === 'chests' ? this.byChestsPrice(prices, isLone) : this.takingPrice(wanted, prices);
    return Math.max(taking, this.wagonsPrice(this.wantedInto));
  }

  ofRest(lack: Lack): number {
    const { taken, ofGroups, leaves, led, ledInto } = lack;
    const taking = this.takingPrice(taken, ofGroups.map((flow, group) => this.groupPrice(flow, leaves[group])));
    const emptying = this.site.brief.feed === 'chests' ? this.inflowPrice(this.emptying, led, ledInto) : 0;
    return Math.max(taking + emptying, this.wagonsPrice(lack));
  }

  /**
   * Fed by chests, all that arms take has to be carried off. At an entry that is joined with none there is one arm, which
   * takes more than nothing (`lone-arm.ts`), or there are two at least; whichever of that is cheapest.
   */
  private byChestsPrice(alone: readonly number[], mayBeLone: readonly boolean[]): number {
    const { led, ledInto } = this.wantedInto;
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
      best = Math.min(best, taking + this.inflowPrice(this.emptying, { ...led, flow: Math.max(led.flow, least) }, ledInto));
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

  private wagonsPrice({ led, ledInto, got, gotInto }: IntoWagons): number {
    const leading = this.inflowPrice(this.leading, led, ledInto);
    // Without chests, what arms take is what they lead on.
    return this.site.brief.feed === 'direct' ? leading : Math.max(leading, this.inflowPrice(this.passing, got, gotInto));
  }

  /** Each wagon has arms and chests of its own. */
  private inflowPrice(means: Means, inAll: Inflow, intoEach: readonly Inflow[]): number {
    let sum = 0;
    for (const into of intoEach) sum += priceOfInflow(means, into);
    return Math.max(priceOfInflow(means, inAll), sum);
  }
}
