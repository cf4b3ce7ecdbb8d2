/**
 * Every crew of a forest of carriers at one price: arms that pick from it, the chests that they fill and the arms that
 * empty those, such that each leaf is picked from and nothing that is known of arms rules out what is asked.
 */
import type { Part } from '../../layout/layout.js';
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
  const money = of.findIndex((most) => most >= flow);
  return money < 0 ? of.length : money;
}

interface Placed {
  readonly delivery: Delivery;
  /** What arms bring at most. */
  brought: number;
}

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
  private readonly chestPrice: number;
  steps = 0;

  constructor(private readonly site: LoadingSite) {
    const { picks, deliveries, chest, priceOf } = site;
    this.chestPrice = chest === undefined ? 0 : priceOf(chest);
    const all = picks.flat();
    this.leastArm = Math.min(...all.map(({ price }) => price), Infinity);
    const prices = new Set([...all.map(({ price }) => price), ...deliveries.flat().map(({ price }) => price + this.chestPrice)]);
    this.canCost = sums([...prices]);
    this.taking = purse(all.map(({ price, flow }) => ({ price, flow })));
    const byChests = (filling: number): Purse => purse(deliveries.flat().map(({ price, flow }) => ({ price: price + this.chestPrice + filling, flow })));
    this.straight = steps(purse(all.filter(({ into }) => into < 0).map(({ price, through }) => ({ price, flow: through }))));
    this.emptying = byChests(0);
    this.served = byChests(all.reduce((least, { price, into }) => (into < 0 ? least : Math.min(least, price)), PURSE_LENGTH));
  }

  /** What arms and chests cost at least where so many leaves are to be picked from. */
  readonly least = (leaves: number): number => {
    const { wanted, led, brought } = this.site;
    return this.both(wanted, leaves, led, brought);
  };

  /**
   * Least money for what takes so much, and from so many leaves, and for what leads so much on, no more than `brought` of it
   * straight from carriers. Arms straight into wagons do both; chests to come need arms of their own that fill them.
   */
  private both(wanted: number, leaves: number, led: number, brought: number): number {
    const take = Math.max(priceFor(this.taking, wanted), leaves * this.leastArm);
    if (this.site.brief.feed === 'chests') return Math.max(take + priceFor(this.emptying, led), priceFor(this.served, led));
    // Beyond the end of the list nothing is known.
    let lead = this.straight[this.straight.length - 1].flow >= brought ? Infinity : PURSE_LENGTH;
    for (const { price, flow } of this.straight) {
      lead = Math.min(lead, price + priceFor(this.served, led - Math.min(flow, brought)));
      if (flow >= brought || price >= lead) break;
    }
    return Math.max(take, lead);
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
    /** From an index on: what the rest of the pool can bring. */
    const restFlow = [0];
    for (const { flow } of pool.toReversed()) restFlow.unshift(restFlow[0] + flow);
    const chosen: Pick[] = [];
    const arms = new Set<number>();
    const chests = new Map<number, Placed>();
    const { limits } = site.brief;
    const mostArms = limits.arms ?? Infinity;
    let direct = 0;
    let taken = 0;
    /** What gets through chests and arms so far, if all else allows it. */
    const through = (): number => [...chests.values()].reduce((sum, { delivery, brought }) => sum + Math.min(delivery.flow, brought), direct);
    const uncovered = (): number => forest.leaves.filter(({ tiles }) => !chosen.some(({ from }) => tiles.includes(from))).length;
    const straight = (): number => Math.min(direct, site.brought);
    const ledSoFar = (): number => [...chests.values()].reduce((sum, { delivery }) => sum + delivery.flow, straight());
    const lacking = (): number => this.both(wanted - taken, uncovered(), site.led - ledSoFar(), site.brought - straight());
    const overspent = (by: number): void => {
      this.next = Math.min(this.next, price + by);
    };
    const isTime = (): boolean => ++this.steps % 4096 === 0;
    const { chestPrice } = this;

    function* choose(index: number, money: number): Generator<readonly Part[] | undefined, void> {
      if (isTime()) yield undefined;
      if (taken + restFlow[index] < wanted) return;
      const least = lacking();
      if (least > money) {
        overspent(least - money);
        return;
      }
      if (money === 0 && isWhole()) yield partsOf();
      for (let i = index; i < pool.length; i++) {
        if (taken + restFlow[i] < wanted) return;
        const pick = pool[i];
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
            chests.set(pick.into, { delivery, brought: 0 });
          }
          const chest = chests.get(pick.into);
          if (chest !== undefined) chest.brought += pick.flow;
          else direct += pick.through;
          taken += pick.flow;
          chosen.push(pick);
          yield* choose(i + 1, money - cost);
          chosen.pop();
          taken -= pick.flow;
          if (chest !== undefined) chest.brought -= pick.flow;
          else direct -= pick.through;
          if (delivery !== undefined) {
            chests.delete(pick.into);
            arms.delete(delivery.at);
          }
          arms.delete(pick.at);
        }
      }
    }

    const isWhole = (): boolean => through() >= wanted && ledSoFar() >= site.led && uncovered() === 0;
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
      pool.reduce((sum, { flow }) => sum + flow, 0) >= this.site.wanted &&
      led + Math.min(this.site.brought, pool.reduce((sum, { into, through }) => (into < 0 ? sum + through : sum), 0)) >= this.site.led &&
      forest.leaves.every(({ tiles }) => pool.some(({ from }) => tiles.includes(from)))
    );
  }
}
