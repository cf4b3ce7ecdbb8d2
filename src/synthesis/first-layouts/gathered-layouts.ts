/**
 * All layouts that a search comes upon, up to a little above the cheapest: what `packings.ts` packs.
 * What a design keeps of them is in `best-so-far.ts`.
 */
import type { Brief } from '../../brief/brief.js';
import { layoutCost, partCount, type Layout } from '../../layout/layout.js';
import { BestSoFar } from '../families/best-so-far.js';
import { priceOf } from '../site/site-map.js';

export class GatheredLayouts extends BestSoFar {
  override readonly copiesCount = true;
  private least = Infinity;

  /** `above`: how much more than the cheapest a layout may cost. `take` is told of each that does not, as far as is known then. */
  constructor(
    private readonly asked: Brief,
    private readonly above: number,
    private readonly take: (layout: Layout) => void,
  ) {
    super(asked, () => undefined);
  }

  override reachMatters(): boolean {
    return false;
  }

  override admits(): boolean {
    return true;
  }

  override offer(layout: Layout): void {
    const price = priceOf(this.asked) === 'cost' ? layoutCost(layout) : partCount(layout);
    if (price > this.least + this.above) return;
    this.least = Math.min(this.least, price);
    // The search ends once nothing is left up to this.
    this.price = this.least + this.above;
    this.take(layout);
  }
}
