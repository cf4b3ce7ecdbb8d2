/**
 * What a staircase is, as data: the least cost of a station as a function of what is asked or allowed. The search is in
 * `staircase.ts`, the sentences are the report's.
 */
import type { Rational } from '../../base/rational.js';
import type { Brief } from '../../brief/brief.js';
import type { DesignOutcome, StopCause } from '../outcome.js';

export type FoundOutcome = Extract<DesignOutcome, { readonly status: 'optimal' | 'feasible' }>;

/** The cheapest station known of a step, and how far that is proven. */
export interface StepFinding {
  /** What the station was designed for. */
  readonly brief: Brief;
  readonly outcome: FoundOutcome;
  readonly cost: number;
  /** No station of this step costs less. */
  readonly bound: number;
  /** Whether the cost is the least of this step, and the step ends where it says it does. */
  readonly proven: boolean;
}

/** A station of this cost gives all fills above `above` (of the first step: from `above` on), up to `upTo`. */
export interface FillStep extends StepFinding {
  readonly above: Rational;
  readonly upTo: Rational;
}

export type FillEnd =
  /** The steps go up to the greatest fill that was asked about. */
  | { readonly kind: 'reached' }
  /** Proven: no station gives more than the last step does; where there is no step, none gives the first fill. */
  | { readonly kind: 'none-above' }
  /** Stopped before it was known. Any station of a greater fill than the last step's costs at least `bound`. */
  | { readonly kind: 'open'; readonly bound: number; readonly stoppedBy: StopCause };

export interface FillStaircase {
  readonly over: 'fill';
  /** The fills asked about, and that of the brief itself. */
  readonly from: Rational;
  readonly to: Rational;
  readonly asked: Rational;
  /** By rising fill, and so by rising cost. */
  readonly steps: readonly FillStep[];
  readonly end: FillEnd;
}

export type Size = 'depth' | 'width' | 'arms';

export type SizeStep =
  | ({ readonly kind: 'found'; readonly size: number } & StepFinding)
  /** Proven: no station of this size; of arms: of so many or fewer. */
  | { readonly kind: 'none'; readonly size: number }
  | { readonly kind: 'open'; readonly size: number | undefined; readonly bound: number; readonly stoppedBy: StopCause };

export interface SizeStaircase {
  readonly over: Size;
  /** What the brief itself says; undefined where it has no limit on arms. */
  readonly asked: number | undefined;
  /** By rising size. Of arms, only numbers from which on the cost is lower. */
  readonly steps: readonly SizeStep[];
  /**
   * `proven`: no greater size brings anything cheaper. `tried`: some greater than the cheapest were tried and bring nothing, those beyond
   * were not tried. `cut`: only sizes up to a stated one were asked about. `stopped`: time was up.
   */
  readonly end: 'proven' | 'tried' | 'cut' | 'stopped';
}

export type Staircase = FillStaircase | SizeStaircase;

/** The greatest fill that a brief's site and limits allow. */
export interface GreatestFill {
  /** Of the brief itself. */
  readonly asked: Rational;
  /** The cheapest station known of the greatest fill known. */
  readonly best: FillStep | undefined;
  /** `reached`: saturated. */
  readonly end: FillEnd;
}
