/**
 * What a design run ends with, as data: for tasks, the report and whoever calls the library.
 * The loop that gets there is in `design.ts`; the sentences for all this are in `report/design-text.ts`.
 */
import type { Box } from '../base/geometry.js';
import { ratio, ZERO, type Rational } from '../base/rational.js';
import type { Feed } from '../brief/brief.js';
import type { Layout } from '../layout/layout.js';

/** How an answer was reached, and how far it is proven. */
export interface DesignProof {
  /** No layout of the space that meets the brief costs less (in the first objective); undefined while nothing is known. */
  readonly bound: number | undefined;
  /** Of the layout found. */
  readonly cost: number | undefined;
  /** Price of the cheapest layout that could not be decided, where that is no more than `cost`: in a further objective it may be better. */
  readonly undecided?: number;
  /** (cost - bound) / cost; 0 where optimal. */
  readonly gap: Rational | undefined;
  /** The layouts that the search is complete for, in words. */
  readonly space: string;
  /** Name of the solver of integer programs; undefined where the search takes none. */
  readonly solver: string | undefined;
  readonly rounds: number;
  readonly simulations: number;
  readonly seconds: number;
  /** There where the run went on from a saved search: what that had ruled out is taken on trust, its counts and seconds are in these. */
  readonly resumed?: true;
}

/** What the brief asks for and can't have together. */
export type Conflict =
  /** Even the least that any layout needs, all else as the brief says, is above this limit. */
  | { readonly kind: 'limit-too-low'; readonly limit: CountLimit; readonly allowed: number; readonly needed: number }
  /** Layouts that keep to all else drain their chests less evenly. */
  | { readonly kind: 'too-uneven'; readonly allowed: Rational }
  /** At every layout that keeps to all else a train stands longer than so many ticks. */
  | { readonly kind: 'dwell-too-short'; readonly allowed: Rational }
  /** Layouts that keep to all else carry off fewer full trains an hour. */
  | { readonly kind: 'too-few-trains'; readonly asked: Rational }
  /** No limit alone, but these together. */
  | { readonly kind: 'limits-together'; readonly limits: readonly LimitName[] }
  /** All arms that fit on the site put no more than that onto its belts, in items per tick. */
  | { readonly kind: 'arms-too-slow'; readonly most: Rational; readonly target: Rational }
  /** The wagons' sides have room for too few arms to fill the chests that the targets drain, in items per tick. */
  | { readonly kind: 'supply-too-low'; readonly most: Rational; readonly target: Rational }
  /** Wagons may stop so many tiles short or far, and at some place there arms take no more than that out of them, or bring no more into them, in items per tick. */
  | { readonly kind: 'spotting-too-far'; readonly way: 'out-of' | 'into'; readonly spotting: number; readonly most: Rational; readonly target: Rational }
  /** All arms that fit beside the wagons carry no more than that into them, in items per tick. */
  | { readonly kind: 'loading-too-slow'; readonly most: Rational; readonly by: 'arms' | 'entries'; readonly target: Rational }
  /** A share of the targets can be had, not all of them; `tooMuch` is the least share that was ruled out. */
  | { readonly kind: 'target-too-high'; readonly reached: Rational; readonly tooMuch: Rational }
  /** Not even a small share of the targets can be had. */
  | { readonly kind: 'site-too-small' }
  /** Every layout of the space was ruled out, by bound or by simulation. */
  | { readonly kind: 'space-exhausted' };

export type CountLimit = 'arms' | 'parts' | 'cost';
/** On what flows come to. Of trains an hour the limit is a least one. */
export type FlowLimit = 'imbalance' | 'dwell' | 'trainsPerHour';
export type LimitName = CountLimit | FlowLimit;

/** One change of a brief. `change.ts` applies it. */
export type Change =
  | { readonly kind: 'limit'; readonly limit: CountLimit; readonly to: number }
  | { readonly kind: FlowLimit; readonly to: Rational }
  /** Every target times `share`. */
  | { readonly kind: 'target'; readonly share: Rational }
  /** More rows away from the wagons, at the south or on the north side if there is one, or more columns at the east. */
  | { readonly kind: 'site'; readonly side: 'depth' | 'width' | 'north'; readonly to: number }
  | { readonly kind: 'exit-range'; readonly exit: number; readonly from: number; readonly to: number }
  | { readonly kind: 'entry-range'; readonly entry: number; readonly from: number; readonly to: number }
  /** One of the site's kept-out rectangles is freed. */
  | { readonly kind: 'keep-out'; readonly box: Box }
  | { readonly kind: 'presence'; readonly to: Rational }
  | { readonly kind: 'wagon-length'; readonly wagon: number; readonly to: number }
  | { readonly kind: 'feed'; readonly to: Feed }
  | { readonly kind: 'spotting'; readonly to: number };

/** Changes, usually one, with which a design run found a layout. */
export interface Remedy {
  readonly changes: readonly Change[];
  /** Whether every smaller change of the same kind that could be tried was ruled out. */
  readonly least: boolean;
  /** Of the layout found. */
  readonly cost: number;
}

export type InfeasibleReason = Conflict & {
  readonly nearest: readonly Remedy[];
  /** How far nearby changes were looked for: not at all, until the time was up, or to the end. */
  readonly looked: 'not' | 'partly' | 'wholly';
};

/** What ended a run before its proof. `solver`: it gave no proven answer; `simulation`: some layout's had no end. */
export type StopCause = 'time-limit' | 'interrupt' | 'solver' | 'simulation';

export type DesignOutcome =
  | { readonly status: 'optimal'; readonly layout: Layout; readonly proof: DesignProof }
  | { readonly status: 'feasible'; readonly layout: Layout; readonly stoppedBy: StopCause; readonly proof: DesignProof }
  | { readonly status: 'infeasible'; readonly reason: InfeasibleReason; readonly proof: DesignProof }
  | { readonly status: 'unknown'; readonly stoppedBy: StopCause; readonly proof: DesignProof };

export interface DesignProgress {
  /** Of one run of several, in words: what it is asked for. */
  readonly of?: string;
  readonly bound: number | undefined;
  /** Cost of the best layout so far. */
  readonly best: number | undefined;
  readonly round: number;
  readonly simulations: number;
}

/** How far a bound is below the cost of what was found, as a share of it; undefined while either is unknown. */
export function gapOf(cost: number | undefined, bound: number | undefined): Rational | undefined {
  if (cost === undefined || bound === undefined) return undefined;
  return cost === 0 ? ZERO : ratio(cost - bound, cost);
}
