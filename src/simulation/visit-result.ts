/**
 * What a visit run finds (world rules, section 6): plain data for report and ranking. Ticks count from the first
 * train's arrival; levels and loads are items.
 */
import type { Heading, Tile } from '../base/geometry.js';

/** What trains bring, and when. */
export interface VisitTerms {
  /** Items in each wagon of a train that arrives, in the layout's order. */
  readonly loads: readonly number[];
  /** Items in each chest at the start, in the order of the layout's parts. */
  readonly levels: readonly number[];
  /** Least ticks from one arrival to the next; undefined: a train comes as soon as the one before has left. */
  readonly headwayTicks: number | undefined;
  /** Most ticks that a train stands there; undefined: until it is empty, or full. */
  readonly stayTicks: number | undefined;
  /** Whether a train leaves once all its wagons are empty, or once all are full; left out: empty. */
  readonly leaves?: 'empty' | 'full' | undefined;
  /** Ticks by which each arm is held back at the start, in the order of the layout's parts; left out: none. */
  readonly delays?: readonly number[] | undefined;
}

/** Where a run ends, whichever comes first; with neither, once it repeats. */
export interface VisitLimits {
  /** Trains that have left. */
  readonly visits?: number | undefined;
  readonly ticks?: number | undefined;
}

export interface ChestVisit {
  readonly atArrival: number;
  /** Undefined where the train has not left. */
  readonly atDeparture: number | undefined;
  /** From this arrival to the next one. */
  readonly lowest: number;
  readonly highest: number;
}

/** Where an arm puts what it took from a wagon. */
export type ArmTarget =
  | { readonly kind: 'chest'; readonly at: Tile }
  | { readonly kind: 'wagon'; readonly at: number }
  | { readonly kind: 'carrier'; readonly at: Tile };

/**
 * Why a train stood as long as it did. Shares are of the time it stood there.
 * items: of a train that is filled, the arm that placed last waited to pick for more than half of them. room: the arm that took last waited to place for more than half of them. one-arm: not that one, but the others did, for
 * more than a quarter, as their chests had what they needed. arms: they were at work. unreached: no arm takes from it.
 */
export interface WaitedFor {
  readonly why: 'room' | 'items' | 'one-arm' | 'arms' | 'unreached';
  /** Index of the wagon that was emptied last, or holds most; of a train that is filled, filled last, or holds least. */
  readonly wagon: number;
  /**
   * Of the wagon's arms, the one that took from it (or placed into it) last; undefined where none did. `into` is its other
   * end, and `blockedTicks` those in which it waited there: to place, or, of a train that is filled, to pick.
   */
  readonly arm: { readonly at: Tile; readonly into: ArmTarget; readonly blockedTicks: number } | undefined;
  /** The wagon's other arms: how many, and how many ticks all of them waited so, together. */
  readonly others: { readonly count: number; readonly blockedTicks: number };
}

export interface TrainVisit {
  /** Counted from 1. */
  readonly number: number;
  readonly arrivedTick: number;
  /** Ticks behind its headway. */
  readonly lateTicks: number;
  /** Undefined where it was still there at the end of the run. */
  readonly dwellTicks: number | undefined;
  /** Items taken out of the train so far, less those put into it. */
  readonly unloaded: number;
  /** Items in its wagons when it left, or at the end of the run. */
  readonly leftWith: number;
  readonly chests: readonly ChestVisit[];
  /** Items that left over each of the layout's exits, from this arrival to the next one. */
  readonly exits: readonly number[];
  readonly waitedFor: WaitedFor | undefined;
}

export interface ExitFinding {
  readonly at: Tile;
  readonly heading: Heading;
  readonly left: number;
  readonly right: number;
  /** Ticks in which nothing had left for a second. */
  readonly starvedTicks: number;
}

export interface ArmFinding {
  readonly at: Tile;
  readonly taken: number;
  readonly blockedTicks: number;
  readonly starvedTicks: number;
}

/** Visits that come over and over: the state at the first one's arrival is that at the arrival after the last one. */
export interface VisitCycle {
  /** Number of its first visit. */
  readonly firstVisit: number;
  readonly visits: number;
  readonly ticks: number;
  /** Sum of the dwells of its visits. */
  readonly dwellTicks: number;
  readonly unloaded: number;
  readonly exits: readonly ExitFinding[];
  /** Items that came in over all entries. */
  readonly cameIn: number;
  readonly arms: readonly ArmFinding[];
}

/** A moment of a run, for a chart. */
export interface VisitSample {
  readonly tick: number;
  readonly trainStands: boolean;
  /** In wagons and chests, and left over exits since the start. */
  readonly wagons: readonly number[];
  readonly chests: readonly number[];
  readonly exits: readonly number[];
}

export interface VisitResult {
  /**
   * repeats: visits come over and over. limit: the ticks or visits asked for are over. stuck: the train can never
   * leave, as nothing in any container changes any more. open: it did not repeat within the work that a run may take.
   */
  readonly ending: 'repeats' | 'limit' | 'stuck' | 'open';
  readonly ticks: number;
  /** Trains that have left. */
  readonly departures: number;
  /** Those that were run through; after the first cycle a run that goes on skips whole ones. */
  readonly visits: readonly TrainVisit[];
  readonly skippedVisits: number;
  readonly cycle: VisitCycle | undefined;
  /** Since when nothing in any container can change, though a train stands there. */
  readonly stuckSince: number | undefined;
  /** Over the whole run. */
  readonly exits: readonly (ExitFinding & { readonly longestPauseTicks: number })[];
  /** Each chest's tile and capacity, in the order of the layout's parts. */
  readonly chests: readonly { readonly at: Tile; readonly capacity: number; readonly level: number }[];
  readonly samples: readonly VisitSample[];
}
