/**
 * What an exit lacks, item by item: data for reports. Found in `why-station.ts`, put into words in `report/why-text.ts`.
 */
import type { Heading, Tile } from '../base/geometry.js';
import type { Rational } from '../base/rational.js';
import type { Layout, Side } from '../layout/layout.js';
import type { Change } from '../layout/single-change.js';

/** What an item on a carrier may have to wait for. */
export interface Barrier {
  readonly kind: 'tee' | 'splitter' | 'exit' | 'end' | 'ring';
  /** The tee merge's target, the splitter half, the exit's tile, or where the way ends. */
  readonly at: Tile;
}

/** What a missing item was lost to. */
export type Culprit =
  /** An arm that was busy, found no room, or found nothing to pick, just when it should have put down the item. */
  | { readonly kind: 'arm'; readonly at: Tile; readonly doing: 'working' | 'starved' }
  /** `onto`: the tile on which it found no room; `ahead`: the first place beyond at which items may be held up. */
  | { readonly kind: 'arm'; readonly at: Tile; readonly doing: 'blocked'; readonly onto: Tile; readonly ahead: Barrier }
  /** Items that stood on their way: to a tee merge, a splitter, an exit (which may take no more), an end; or in a ring. */
  | { readonly kind: 'wait'; readonly before: Barrier }
  /** A carrier on the way that is slower than the exit's. */
  | { readonly kind: 'slow'; readonly at: Tile }
  /** Nothing ever comes over that lane. */
  | { readonly kind: 'nothing' };

export interface Cause {
  readonly culprit: Culprit;
  readonly side: Side;
  /** Items per tick. */
  readonly missing: Rational;
  /** Ticks of the longest while that it took in one go, as (from, to] since the run began; undefined for what is always so. */
  readonly longest: { readonly from: number; readonly to: number } | undefined;
}

export interface ExitWhy {
  readonly at: Tile;
  readonly heading: Heading;
  readonly flow: Rational;
  /** What the exit is held against. */
  readonly target: Rational;
  /** 0 where the target is met. */
  readonly shortfall: Rational;
  /** They add up to the shortfall exactly; the greatest first. */
  readonly causes: readonly Cause[];
}

/** A change that was made and simulated. */
export interface TriedChange {
  readonly change: Change;
  readonly layout: Layout;
  /** By how much the least flow of all exits together, over all starts, grows; in items per tick. */
  readonly gain: Rational;
  readonly cost: number;
  /** Whether arms bring to every chest what is taken out of it. */
  readonly chestsKeepUp: boolean;
}

interface FailingChest {
  readonly at: Tile;
  /** Left out where it is the worst one. */
  readonly fromStart?: number;
}

/** Chests with which the flow can't last from some start. All in items per tick, what arms of wagons can do in the time that these stand there. */
export interface FailingChests {
  /** More is taken out than comes in. */
  readonly drying: readonly (FailingChest & { readonly outflow: Rational; readonly supply: Rational })[];
  /** More comes in than arms carry off into wagons. */
  readonly filling: readonly (FailingChest & { readonly inflow: Rational; readonly carryOff: Rational })[];
}

/** What waits outside an entry. All in items per tick. */
export interface EntryWhy {
  readonly at: Tile;
  readonly heading: Heading;
  readonly flow: Rational;
  /** Its `give`, and at most what the carrier there takes; 0 where none does. */
  readonly offered: Rational;
  readonly missing: Rational;
  /** Those that pick from its belts, or from belts that hang together with these, and what they do with their time. */
  readonly arms: readonly { readonly at: Tile; readonly flow: Rational; readonly share: { readonly moving: Rational; readonly blocked: Rational; readonly starved: Rational } }[];
}

/** Of a station that fills wagons and has no exit. */
export interface LoadingWhy extends FailingChests, Pick<WhyResult, 'layout' | 'worstStart' | 'ticks' | 'exact' | 'starts' | 'changes' | 'tried' | 'untried'> {
  /** What all wagons get in the long run, from the worst start. */
  readonly together: Rational;
  readonly entries: readonly EntryWhy[];
}

export interface WhyResult extends FailingChests {
  readonly layout: Layout;
  readonly worstStart: number;
  /** Ticks that were looked at. */
  readonly ticks: number;
  /** Whether those are a whole period, so that all numbers are exact. */
  readonly exact: boolean;
  /** Those to which a belt leads. */
  readonly exits: readonly ExitWhy[];
  /** The least flow of all exits together, over all starts. */
  readonly together: Rational;
  readonly starts: number;
  /** The best first; only those that gain. */
  readonly changes: readonly TriedChange[];
  readonly tried: number;
  /** Changes whose simulation came to no exact end, or for which there was no time. */
  readonly untried: number;
}
