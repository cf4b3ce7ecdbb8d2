/** When first layouts are put together, and what share of a run's time that has; what is put together is in `first-layouts.ts`. */
import type { Brief } from '../../brief/brief.js';
import type { Layout } from '../../layout/layout.js';
import type { AllottedTime } from '../allotted-time.js';
import { asksForMuch, firstLayouts } from './first-layouts.js';
import type { FirstLayoutTools } from './piece-table.js';
import { hasTiers, isHigh } from './simpler-designs.js';

/** When, a start ahead, and shares of the run's time. */
const AFTER_MILLISECONDS = 700;
/** Where carriers come at several speeds a proof takes longer than a first layout. */
const AFTER_WITH_TIERS_MILLISECONDS = 200;
/** With several exits; the search of one comes upon a layout soon by itself. */
const AHEAD_MILLISECONDS = 1_500;
const SHARE = 1 / 2;
const SHARE_ONCE_FOUND = 1 / 8;
const SHARE_OF_MUCH = 1 / 4;
/** Several belts that are nearly full: far from their proof, and packed ever better. */
const SHARE_OF_MOST = 1 / 2;
/** Once nothing was gained for so long, more of the time is the proof's. */
const PATIENCE_MILLISECONDS = 12_000;
const SHARE_IN_VAIN = 1 / 20;
/** Where the bound is nearer to the best than this part of it, there is less to be gained: that much less of the time is spent on it. */
const GAP = 1 / 10;

export class JoinedLayouts {
  /** Whether nothing is left to be put together. */
  isDone = false;
  private readonly layouts: AsyncGenerator<Layout | undefined, void>;
  private readonly after: number;
  private readonly ahead: number;
  private readonly shareOnceFound: number;
  /** Spent so far. */
  private milliseconds = 0;
  /** Of these, how many had passed when they last gained something. */
  private gainedMilliseconds = 0;

  /** `time`: of the whole run. */
  constructor(
    brief: Brief,
    tools: FirstLayoutTools,
    private readonly time: AllottedTime,
  ) {
    const much = asksForMuch(brief);
    this.layouts = firstLayouts(brief, tools);
    this.after = much ? 0 : hasTiers(brief.catalog) ? AFTER_WITH_TIERS_MILLISECONDS : AFTER_MILLISECONDS;
    this.ahead = brief.exits.length > 1 ? AHEAD_MILLISECONDS : 0;
    this.shareOnceFound = !much ? SHARE_ONCE_FOUND : brief.exits.some((exit) => isHigh(brief, exit)) ? SHARE_OF_MOST : SHARE_OF_MUCH;
  }

  /** Whether more of the run's time is for these; `best`: the price of what there is, Infinity for nothing. */
  isDue(best: number, bound: number): boolean {
    const elapsed = this.time.milliseconds;
    return !this.isDone && elapsed >= this.after && this.milliseconds <= (best === Infinity ? this.ahead + SHARE * elapsed : this.shareFor(best, bound) * elapsed);
  }

  /** Goes on: a layout, or nothing yet. */
  async next(): Promise<Layout | undefined> {
    const before = this.time.milliseconds;
    const { value, done } = await this.layouts.next();
    this.isDone = done === true;
    this.milliseconds += this.time.milliseconds - before;
    if (value === undefined) return undefined;
    this.gainedMilliseconds = this.milliseconds;
    return value;
  }

  private shareFor(best: number, bound: number): number {
    const isInVain = this.milliseconds - this.gainedMilliseconds > PATIENCE_MILLISECONDS;
    const gain = Math.min(1, (best - bound) / (best * GAP));
    return gain * (isInVain ? SHARE_IN_VAIN : this.shareOnceFound);
  }
}
