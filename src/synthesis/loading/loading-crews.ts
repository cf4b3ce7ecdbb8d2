/**
 * Every crew of a forest of carriers at one price: arms that pick from it, the chests that they fill and the arms that
 * empty those, such that each leaf is picked from and nothing that is known of arms rules out what is asked. How they are
 * chosen is in `crew-choice.ts`, what they cost at least in `loading-prices.ts`.
 */
import type { Part } from '../../layout/layout.js';
import { CrewChoice } from './crew-choice.js';
import { sharesOf, type Share } from './crew-tally.js';
import { letsIn, mayTake } from './held-up.js';
import { Prices } from './loading-prices.js';
import { worksAt, type Pick } from './loading-arms.js';
import type { LoadingSite } from './loading-site.js';
import type { Forest } from './forest.js';

export class Crews {
  /** Least price above the asked one at which there may be more. */
  next = Infinity;
  readonly prices: Prices;
  private steps = 0;

  constructor(private readonly site: LoadingSite) {
    this.prices = new Prices(site);
  }

  /** All that bring the forest's price to exactly `price`. Yields undefined now and then, so that others may have their turn. */
  *at(price: number, forest: Forest): Generator<readonly Part[] | undefined, void> {
    const money = price - forest.price;
    if (!(this.prices.canCost[money] ?? true)) {
      this.lookAbove(price, forest);
      return;
    }
    const pool = this.poolOf(forest);
    if (!this.mayDo(pool, forest, money)) return;
    const choice = new CrewChoice(this.site, this.prices, forest, pool, sharesOf(forest, this.site), this.isTime);
    yield* choice.costing(money);
    this.next = Math.min(this.next, price + choice.lacks);
  }

  /** Of what no crew costs: the least crew that costs more may do. Of most forests that need not be known: others are cheaper. */
  private lookAbove(price: number, forest: Forest): void {
    const dearer = this.prices.canCost.indexOf(true, price - forest.price);
    const next = dearer < 0 ? price + 1 : forest.price + dearer;
    if (next < this.next && this.mayDo(this.poolOf(forest), forest, next - forest.price)) this.next = next;
  }

  private readonly isTime = (): boolean => ++this.steps % 4096 === 0;

  /** Arms that may pick from a forest, by the tile from which they do. */
  private poolOf({ taken }: Forest): readonly Pick[] {
    return [...taken].sort((a, b) => a - b).flatMap((tile) => this.site.picks[tile].filter(({ at, into }) => !taken.has(at) && (into < 0 || !taken.has(into))));
  }

  /** Whether some crew out of a pool could bring what is wanted, pick from every leaf and cost as much as that; at any price, if not. */
  private mayDo(pool: readonly Pick[], forest: Forest, money: number): boolean {
    const chests = new Set(pool.flatMap(({ into }) => (into < 0 ? [] : [into])));
    const dearest = [...chests].reduce((sum, tile) => sum + this.prices.ofChest + Math.max(...this.site.deliveries[tile].map(({ price }) => price)), 0);
    const led = [...chests].reduce((sum, tile) => sum + Math.max(...this.site.deliveries[tile].map(({ flow }) => flow)), 0);
    const shares = sharesOf(forest, this.site);
    return (
      pool.reduce((sum, { price }) => sum + price, dearest) >= money &&
      forest.leaves.every(({ tiles }) => pool.some(({ from }) => tiles.includes(from))) &&
      this.site.places.every((place) => this.mayBring(pool.filter((pick) => worksAt(pick, place)), shares, forest, led))
    );
  }

  /** Whether arms that all reach something bring enough where wagons stop at one place. `led`: what is led on by chests. */
  private mayBring(pool: readonly Pick[], shares: readonly Share[], { outlets }: Forest, led: number): boolean {
    const { wanted, brought, led: toBeLed } = this.site;
    return (
      pool.reduce((sum, { through }) => sum + through, 0) >= wanted &&
      shares.every((share) => mayTake(share, pool)) &&
      led + Math.min(brought, pool.reduce((sum, { into, through }) => (into < 0 ? sum + through : sum), 0)) >= toBeLed &&
      outlets.every((outlet) => letsIn(outlet, pool))
    );
  }
}
