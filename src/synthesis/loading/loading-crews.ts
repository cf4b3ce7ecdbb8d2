/**
 * Every crew of a forest of carriers at one price: arms that pick from it, the chests that they fill and the arms that
 * empty those, such that each leaf is picked from and nothing that is known of arms rules out what is asked.
 */
import type { Part } from '../../layout/layout.js';
import type { Grouping } from './loading-groups.js';
import type { Delivery, LoadingSite, Pick } from './loading-site.js';
import type { Forest } from './loading-trees.js';

interface Offer {
  readonly price: number;
  readonly flow: number;
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

interface Placed {
  readonly delivery: Delivery;
  /** What arms bring at most. */
  brought: number;
  readonly filledBy: Pick[];
}

/** What arms are to take in all which pick from certain carriers of a group. */
interface Share {
  readonly wanted: number;
  readonly group: number;
  readonly has: (tile: number) => boolean;
}

/** Of each entry from where its items come; of all entries that are joined, from where any do. */
const sharesOf = ({ grouping, entriesAt }: Forest, { entryWanted }: LoadingSite): readonly Share[] =>
  grouping.groups.flatMap(({ entries, wanted }, group): readonly Share[] => [
    ...entries.map((entry): Share => ({ wanted: entryWanted[entry], group, has: (tile) => entriesAt(tile).includes(entry) })),
    ...(entries.length === 1 ? [] : [{ wanted, group, has: (tile: number) => entries.includes(entriesAt(tile)[0]) }]),
  ]);

export class Crews {
  /** Least price above the asked one at which there may be more. */
  next = Infinity;
  private readonly taking: Purse;
  /** Ever dearer arms straight into wagons, and what they take at most together. */
  private readonly straight: readonly Offer[];
  /** Chests and arms that empty them; and with an arm that fills each, for none stands there without. */
  private readonly emptying: Purse;
  private readonly served: Purse;
  private readonly canCost: readonly boolean[];
  private readonly leastArm: number;
  private readonly leastAlone: number;
  /** Of several chests. */
  readonly leastOfSeveral: number;
  private readonly chestPrice: number;
  /** The last answer: from one tree to the next few leaves come or go. */
  private asked: { readonly grouping: Grouping; readonly leaves: readonly number[]; readonly least: number } | undefined;
  steps = 0;

  constructor(private readonly site: LoadingSite) {
    const { picks, deliveries, chest, priceOf } = site;
    this.chestPrice = chest === undefined ? 0 : priceOf(chest);
    const all = picks.flat();
    this.leastArm = Math.min(...all.map(({ price }) => price), Infinity);
    const prices = new Set([...all.map(({ price }) => price), ...deliveries.flat().map(({ price }) => price + this.chestPrice)]);
    this.canCost = sums([...prices]);
    this.taking = purse(all.map(({ price, through }) => ({ price, flow: through })));
    this.leastAlone = all.reduce((least, { alone }) => Math.min(least, alone), Infinity);
    const byChests = (filling: number): Purse => purse(deliveries.flat().map(({ price, flow }) => ({ price: price + this.chestPrice + filling, flow })));
    this.straight = steps(purse(all.filter(({ into }) => into < 0).map(({ price, through }) => ({ price, flow: through }))));
    this.emptying = byChests(0);
    const filling = all.reduce((least, { price, into }) => (into < 0 ? least : Math.min(least, price)), PURSE_LENGTH);
    this.served = byChests(filling);
    this.leastOfSeveral = 2 * deliveries.flat().reduce((least, { price }) => Math.min(least, price + this.chestPrice + filling), PURSE_LENGTH);
  }

  /** What arms and chests cost at least where the trees of the groups have so many leaves. */
  readonly least = (grouping: Grouping, leaves: readonly number[]): number => {
    const { asked } = this;
    if (asked?.grouping === grouping && leaves.every((count, group) => count === asked.leaves[group])) return asked.least;
    const least = this.newLeast(grouping, leaves);
    this.asked = { grouping, leaves: [...leaves], least };
    return least;
  };

  private newLeast({ groups }: Grouping, leaves: readonly number[]): number {
    const { wanted, led, wagonLed, brought, brief } = this.site;
    const prices = groups.map((group, index) => this.groupPrice(group.wanted, leaves[index]));
    if (brief.feed !== 'chests') return Math.max(this.takingPrice(wanted, prices), this.leadingPrice(led, wagonLed, brought));
    const mayBeLone = groups.map(({ entries }, index) => entries.length === 1 && leaves[index] === 1);
    return Math.max(this.byChestsPrice(prices, mayBeLone), this.allWagons(this.served, led, wagonLed));
  }

  /**
   * Fed by chests, all that arms take has to be carried off. At an entry that is joined with none there is one arm, which
   * takes more than nothing (`lone-arm.ts`), or there are two at least; whichever of that is cheapest.
   */
  private byChestsPrice(alone: readonly number[], mayBeLone: readonly boolean[]): number {
    const { wanted, led, wagonLed } = this.site;
    const more = alone.map((price) => Math.max(price, 2 * this.leastArm) - price);
    const inRising = more.filter((_, group) => mayBeLone[group]).sort((a, b) => a - b);
    const sure = alone.reduce((sum, price) => sum + price, 0);
    let best = Infinity;
    let twofold = 0;
    for (let count = 0; count <= inRising.length; count++) {
      if (count > 0) twofold += inRising[count - 1];
      const least = (inRising.length - count) * this.leastAlone;
      const taking = Math.max(priceFor(this.taking, wanted), sure + twofold);
      best = Math.min(best, taking + this.allWagons(this.emptying, Math.max(led, least), wagonLed));
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
  private allWagons(of: Purse, led: number, ofWagons: readonly number[]): number {
    let sum = 0;
    for (const flow of ofWagons) sum += priceFor(of, flow);
    return Math.max(priceFor(of, led), sum);
  }

  /** For what leads so much on, no more than `brought` of it straight from carriers. */
  private leadingPrice(led: number, ofWagons: readonly number[], brought: number): number {
    const all = this.oneLeading(led, brought);
    if (ofWagons.length === 1) return Math.max(all, this.oneLeading(ofWagons[0], brought));
    let sum = 0;
    for (const flow of ofWagons) sum += this.oneLeading(flow, brought);
    return Math.max(all, sum);
  }

  private oneLeading(led: number, brought: number): number {
    if (led <= 0) return 0;
    // Beyond the end of the list nothing is known.
    let lead = this.straight[this.straight.length - 1].flow >= brought ? Infinity : PURSE_LENGTH;
    for (const { price, flow } of this.straight) {
      lead = Math.min(lead, price + priceFor(this.served, led - Math.min(flow, brought)));
      if (flow >= brought || price >= lead) break;
    }
    return lead;
  }

  /** All that bring the forest's price to exactly `price`. Yields undefined now and then, so that others may have their turn. */
  *at(price: number, forest: Forest): Generator<readonly Part[] | undefined, void> {
    const { site } = this;
    const { wanted } = site;
    const money = price - forest.price;
    if (!(this.canCost[money] ?? true)) {
      // The least crew that costs more may do. Of most forests that need not be known: others are cheaper.
      const dearer = this.canCost.indexOf(true, money);
      const next = dearer < 0 ? price + 1 : forest.price + dearer;
      if (next < this.next && this.mayDo(this.poolOf(forest), forest, next - forest.price)) this.next = next;
      return;
    }
    const pool = this.poolOf(forest);
    if (!this.mayDo(pool, forest, money)) return;
    const { groups, groupOf } = forest.grouping;
    const shares = sharesOf(forest, site);
    /** By arm of the pool: its group, and the shares that what it takes counts for. */
    const groupsOf = pool.map(({ from }) => groupOf[forest.entriesAt(from)[0]]);
    const sharesAt = pool.map(({ from }) => [...shares.keys()].filter((index) => shares[index].has(from)));
    /** From an index on: what the rest of the pool can bring, in all and of each share. */
    const restFlow = [0];
    for (const { through } of pool.toReversed()) restFlow.unshift(restFlow[0] + through);
    const restOf = shares.map((_, share) => {
      const rest = [0];
      for (let i = pool.length - 1; i >= 0; i--) rest.unshift(rest[0] + (sharesAt[i].includes(share) ? pool[i].through : 0));
      return rest;
    });
    const chosen: Pick[] = [];
    const arms = new Set<number>();
    const chests = new Map<number, Placed>();
    const { limits, feed } = site.brief;
    const mostArms = limits.arms ?? Infinity;
    /** By wagon: straight into it. */
    const direct = site.wagonLed.map(() => 0);
    let taken = 0;
    /** What is taken of each share at most, and by how many arms of each group. */
    const takenOf = shares.map(() => 0);
    const takersOf = groups.map(() => 0);
    const allDirect = (): number => direct.reduce((sum, flow) => sum + flow, 0);
    const straight = (): number => Math.min(allDirect(), site.brought);
    const leadingInto = (wagon: number): number => [...chests.values()].reduce((sum, { delivery }) => sum + (delivery.wagon === wagon ? delivery.flow : 0), Math.min(direct[wagon], site.brought));
    const ledSoFar = (): number => [...chests.values()].reduce((sum, { delivery }) => sum + delivery.flow, straight());
    const uncoveredOf = groups.map(() => 0);
    const lackingOf = groups.map(() => 0);
    const countUncovered = (): void => {
      uncoveredOf.fill(0);
      for (const { tiles, group } of forest.leaves) if (!chosen.some(({ from }) => tiles.includes(from))) uncoveredOf[group]++;
    };
    const lacking = (): number => {
      countUncovered();
      lackingOf.fill(0);
      for (const [index, share] of shares.entries()) lackingOf[share.group] = Math.max(lackingOf[share.group], share.wanted - takenOf[index]);
      const take = this.takingPrice(wanted - taken, lackingOf.map((flow, group) => this.groupPrice(flow, uncoveredOf[group])));
      const ofWagons = site.wagonLed.map((flow, wagon) => flow - leadingInto(wagon));
      const led = site.led - ledSoFar();
      if (feed !== 'chests') return Math.max(take, this.leadingPrice(led, ofWagons, site.brought - straight()));
      return Math.max(take + this.allWagons(this.emptying, led, ofWagons), this.allWagons(this.served, led, ofWagons));
    };
    const overspent = (by: number): void => {
      this.next = Math.min(this.next, price + by);
    };
    const isTime = (): boolean => ++this.steps % 4096 === 0;
    const { chestPrice } = this;

    function* choose(index: number, money: number): Generator<readonly Part[] | undefined, void> {
      if (isTime()) yield undefined;
      if (isHopeless(index)) return;
      const least = lacking();
      if (least > money) {
        overspent(least - money);
        return;
      }
      if (money === 0 && isWhole()) yield partsOf();
      for (let i = index; i < pool.length; i++) {
        if (isHopeless(i)) return;
        const pick = pool[i];
        const [group, counted] = [groupsOf[i], sharesAt[i]];
        if (arms.size >= mostArms || arms.has(pick.at) || chests.has(pick.at)) continue;
        const isNew = pick.into >= 0 && !chests.has(pick.into);
        if (pick.into >= 0 && arms.has(pick.into)) continue;
        const ways: readonly (Delivery | undefined)[] = isNew ? site.deliveries[pick.into] : [undefined];
        for (const delivery of ways) {
          const cost = pick.price + (delivery === undefined ? 0 : delivery.price + chestPrice);
          if (cost > money) {
            overspent(cost - money);
            continue;
          }
          if (delivery !== undefined && (arms.size + 2 > mostArms || delivery.at === pick.at || delivery.at === pick.into || arms.has(delivery.at) || chests.has(delivery.at) || forest.taken.has(delivery.at))) continue;
          arms.add(pick.at);
          if (delivery !== undefined) {
            arms.add(delivery.at);
            chests.set(pick.into, { delivery, brought: 0, filledBy: [] });
          }
          const chest = chests.get(pick.into);
          if (chest !== undefined) {
            chest.brought += pick.flow;
            chest.filledBy.push(pick);
          } else direct[pick.wagon] += pick.through;
          taken += pick.through;
          for (const share of counted) takenOf[share] += pick.through;
          takersOf[group]++;
          chosen.push(pick);
          yield* choose(i + 1, money - cost);
          chosen.pop();
          takersOf[group]--;
          for (const share of counted) takenOf[share] -= pick.through;
          taken -= pick.through;
          if (chest !== undefined) {
            chest.brought -= pick.flow;
            chest.filledBy.pop();
          } else direct[pick.wagon] -= pick.through;
          if (delivery !== undefined) {
            chests.delete(pick.into);
            arms.delete(delivery.at);
          }
          arms.delete(pick.at);
        }
      }
    }

    const isHopeless = (index: number): boolean => taken + restFlow[index] < wanted || takenOf.some((flow, share) => flow + restOf[share][index] < shares[share].wanted);
    /** What gets through chests and arms, if all else allows it. */
    const throughInto = (wagon: number): number =>
      [...chests.values()].reduce((sum, { delivery, brought }) => sum + (delivery.wagon === wagon ? Math.min(delivery.flow, brought) : 0), direct[wagon]);
    const isLone = (group: number): boolean => takersOf[group] === 1 && groups[group].entries.length === 1;
    const isSureToFill = ({ delivery, filledBy }: Placed): boolean =>
      filledBy.reduce((sum, { alone, from }) => sum + (isLone(groupOf[forest.entriesAt(from)[0]]) ? alone : 0), 0) > delivery.flow;
    const isWhole = (): boolean => {
      const into = site.wagonWanted.map((_, wagon) => throughInto(wagon));
      countUncovered();
      return (
        into.every((flow, wagon) => flow >= site.wagonWanted[wagon] && leadingInto(wagon) >= site.wagonLed[wagon]) &&
        into.reduce((sum, flow) => sum + flow, 0) >= wanted &&
        ledSoFar() >= site.led &&
        takenOf.every((flow, share) => flow >= shares[share].wanted) &&
        uncoveredOf.every((count) => count === 0) &&
        forest.outlets.every((tiles) => chosen.some(({ from }) => tiles.includes(from))) &&
        ![...chests.values()].some(isSureToFill)
      );
    };
    const partsOf = (): readonly Part[] => [
      ...forest.parts,
      ...chosen.map(({ model, heading, at }): Part => ({ kind: 'arm', at: site.tileAt(at), heading, model })),
      ...[...chests].flatMap(([tile, { delivery }]): readonly Part[] =>
        site.chest === undefined
          ? []
          : [
              { kind: 'chest', at: site.tileAt(tile), model: site.chest },
              { kind: 'arm', at: site.tileAt(delivery.at), heading: 'N', model: delivery.model },
            ],
      ),
    ];
    yield* choose(0, money);
  }

  /** Arms that may pick from a forest, by the tile from which they do. */
  private poolOf({ taken }: Forest): readonly Pick[] {
    return [...taken].sort((a, b) => a - b).flatMap((tile) => this.site.picks[tile].filter(({ at, into }) => !taken.has(at) && (into < 0 || !taken.has(into))));
  }

  /** Whether some crew out of a pool could bring what is wanted, pick from every leaf and cost as much as that; at any price, if not. */
  private mayDo(pool: readonly Pick[], forest: Forest, money: number): boolean {
    const chests = new Set(pool.flatMap(({ into }) => (into < 0 ? [] : [into])));
    const dearest = [...chests].reduce((sum, tile) => sum + this.chestPrice + Math.max(...this.site.deliveries[tile].map(({ price }) => price)), 0);
    const led = [...chests].reduce((sum, tile) => sum + Math.max(...this.site.deliveries[tile].map(({ flow }) => flow)), 0);
    return (
      pool.reduce((sum, { price }) => sum + price, dearest) >= money &&
      pool.reduce((sum, { through }) => sum + through, 0) >= this.site.wanted &&
      sharesOf(forest, this.site).every(({ wanted, has }) => pool.reduce((sum, { from, through }) => sum + (has(from) ? through : 0), 0) >= wanted) &&
      led + Math.min(this.site.brought, pool.reduce((sum, { into, through }) => (into < 0 ? sum + through : sum), 0)) >= this.site.led &&
      [...forest.leaves.map(({ tiles }) => tiles), ...forest.outlets].every((tiles) => pool.some(({ from }) => tiles.includes(from)))
    );
  }
}
