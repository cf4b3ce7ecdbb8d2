/**
 * The layout that the brief prefers of all that were found: what a design keeps.
 */
import { ratio } from '../../base/rational.js';
import type { Brief } from '../../brief/brief.js';
import type { Layout } from '../../layout/layout.js';
import type { Keep, Outlook } from './family-search.js';
import { isLimitedBeyondPrice, isPreferred, rank, type Ranked, type Standing } from './preference.js';
import type { Passing } from '../verifier.js';

export class BestSoFar implements Keep {
  best: Ranked | undefined;
  price = Infinity;
  readonly dearerTailsCount: boolean;
  readonly copiesCount: boolean = false;
  /** Of the best, or of one that another search has found and that is better. */
  private standing: Standing | undefined;

  constructor(
    private readonly brief: Brief,
    private readonly onBetter: (best: Ranked) => void,
  ) {
    this.dearerTailsCount = isLimitedBeyondPrice(brief);
  }

  reachMatters(price: number): boolean {
    return this.standing !== undefined && this.price === price && this.brief.minimise[1] === 'footprint';
  }

  admits({ width, depth }: Outlook): boolean {
    return this.standing === undefined || this.standing.values[1].compare(ratio(width * depth)) >= 0;
  }

  /** Whether this is the best standing so far; what isn't better is of no interest from now on. */
  surpass(standing: Standing): boolean {
    if (this.standing !== undefined && !isPreferred(standing, this.standing, this.brief.minimise)) return false;
    this.standing = standing;
    // The first objective is what prices add up.
    this.price = Number(standing.values[0].n);
    return true;
  }

  offer(layout: Layout, witness: Passing): void {
    const ranked = rank(layout, this.brief.minimise, witness);
    if (!this.surpass(ranked)) return;
    this.best = ranked;
    this.onBetter(ranked);
  }
}
