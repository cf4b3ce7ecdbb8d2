/**
 * What a trial of a layout finds: plain data for ranking, report and the design loop.
 * All flows are items per tick, exact rationals; shares are of a whole arm's time.
 */
import type { Heading, Tile } from '../base/geometry.js';
import type { Rational } from '../base/rational.js';

export interface LaneTrial {
  readonly flow: Rational;
  /** flow / (v / P) of the exit tile's carrier. */
  readonly fill: Rational;
  /** Greatest gap in units between an item and the one before it, in the period; undefined where fewer than two items left. */
  readonly largestGap: number | undefined;
}

export interface ExitTrial {
  readonly at: Tile;
  readonly heading: Heading;
  readonly flow: Rational;
  readonly fill: Rational;
  readonly left: LaneTrial;
  readonly right: LaneTrial;
}

export interface EntryTrial {
  readonly at: Tile;
  readonly heading: Heading;
  /** Items that come in, over both lanes and on each. */
  readonly flow: Rational;
  readonly left: Rational;
  readonly right: Rational;
  /** Of what the entry offers: of its `give`, and of 2 v / P at most. */
  readonly share: Rational;
}

interface WagonTrial {
  /** The least x that it covers. */
  readonly at: number;
  /** Items per tick that get into it in the long run. */
  readonly inflow: Rational;
}

export interface ArmTrial {
  readonly at: Tile;
  readonly flow: Rational;
  /** Mean ticks of a whole cycle over the period; undefined for an arm that completes none. */
  readonly cycleTicks: Rational | undefined;
  /** moving: swinging, grabbing, and ticks in which it takes or places; blocked: waits to place; starved: waits to pick. They sum to 1. */
  readonly share: { readonly moving: Rational; readonly blocked: Rational; readonly starved: Rational };
}

export interface ChestTrial {
  readonly at: Tile;
  /** Items per tick that arms take out of it; of a chest that loads, without what they carry into wagons. Where it runs dry, but not from the start shown: as from the first from which it does. */
  readonly outflow: Rational;
  /** That first start, where it is not the one shown. */
  readonly runsDryFrom?: number;
  /** Sum of payload / (grab + 2 swing + 1) over the arms that fill it from a wagon. */
  readonly supply: Rational;
  /** Of a chest that arms fill from carriers and empty into wagons: what they bring, and what others could carry off. Likewise as from the first start from which it fills up. */
  readonly loads?: { readonly inflow: Rational; readonly carryOff: Rational } | undefined;
  readonly fillsUpFrom?: number;
  /** Neither `runsDry` nor `fillsUp`; of a trial of several starts: from all of them. */
  readonly keepsUp: boolean;
}

/** One start's finding. */
export interface StartTrial {
  /** Whether the state repeated within the tick limit; otherwise flows are merely measured. */
  readonly exact: boolean;
  readonly transientTicks: number;
  readonly periodTicks: number;
  readonly exits: readonly ExitTrial[];
  /** Both left out where the layout has no entry. */
  readonly entries?: readonly EntryTrial[];
  readonly wagons?: readonly WagonTrial[];
  readonly arms: readonly ArmTrial[];
  readonly chests: readonly ChestTrial[];
}

/** The worst of the standard start and the staggered ones, and what is the same for all of them. */
export interface TrialResult extends StartTrial {
  /** 0 is the standard start; others are staggered. The flows above are those of this start, but for chests that fail from another. */
  readonly worstStart: number;
  /** How many were run: none after an unproven one. */
  readonly starts: number;
  readonly cost: number;
  readonly parts: number;
  readonly footprint: number;
  readonly splitters: number;
  /** Of the smallest rectangle that holds all parts, in tiles. */
  readonly depth: number;
  readonly width: number;
  /** 1 - Jain's index of the chests' outflows from the worst start, inflows of those that load; 0 without chests. */
  readonly imbalance: Rational;
}

/** Items counted from an empty start, over a stated number of ticks. */
export interface Counts {
  readonly exits: readonly { readonly at: Tile; readonly heading: Heading; readonly left: number; readonly right: number }[];
  /** What came in; left out where the layout has no entry. */
  readonly entries?: readonly { readonly at: Tile; readonly heading: Heading; readonly left: number; readonly right: number }[];
  readonly chests: readonly { readonly at: Tile; readonly taken: number }[];
  readonly wagons: readonly { readonly at: number; readonly taken: number }[];
}

/** Where wagons are filled, in items per tick: what of each entry gets into wagons, what each wagon gets, and all of them. */
export interface LoadedFlows {
  readonly entries: readonly Rational[];
  readonly wagons: readonly Rational[];
  readonly together: Rational;
}

/** A chest that is given more than goes into wagons. */
export interface Overfull {
  readonly chest: Tile;
  /** That empty it into wagons. */
  readonly arms: readonly Tile[];
  /** Items per tick that arms bring. */
  readonly inflow: Rational;
  /** Items per tick that go into wagons at most, in the share of time in which these stand there. */
  readonly carryOff: Rational;
}
