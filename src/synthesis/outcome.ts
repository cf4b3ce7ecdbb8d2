/**
 * What a design run ends with, as data: for the pipeline, the report and whoever calls the library.
 * The loop that gets there is in `design.ts`; the sentences for all this are in `report/design-text.ts`.
 */
import type { Rational } from '../base/rational.js';
import type { Layout } from '../layout/layout.js';

/** How an answer was reached, and how far it is proven. */
export interface DesignProof {
  /** No layout of the space that meets the brief costs less (in the first objective); undefined while nothing is known. */
  readonly bound: number | undefined;
  /** Of the layout found. */
  readonly cost: number | undefined;
  /** (cost - bound) / cost; 0 where optimal. */
  readonly gap: Rational | undefined;
  /** The layouts that the search is complete for, in words. */
  readonly space: string;
  /** Name of the solver of integer programs. */
  readonly solver: string;
  readonly rounds: number;
  readonly simulations: number;
  readonly seconds: number;
}

export type InfeasibleReason =
  /** Even the least that any layout needs is above one of the brief's limits. */
  | { readonly kind: 'limit-too-low'; readonly limit: 'arms' | 'parts' | 'cost'; readonly allowed: number; readonly needed: number }
  /** No arm of the catalog can put that much onto the belts, in items per tick. */
  | { readonly kind: 'arms-too-slow'; readonly exit: number; readonly most: Rational; readonly target: Rational }
  /** The wagons' sides have room for too few arms to fill the chests that the targets drain, in items per tick. */
  | { readonly kind: 'supply-too-low'; readonly most: Rational; readonly target: Rational }
  /** Nothing that the brief allows fits on the site. */
  | { readonly kind: 'site-too-small' }
  /** Every layout of the space was ruled out, by bound or by simulation. */
  | { readonly kind: 'space-exhausted' };

export type DesignOutcome =
  | { readonly status: 'optimal'; readonly layout: Layout; readonly proof: DesignProof }
  | { readonly status: 'feasible'; readonly layout: Layout; readonly proof: DesignProof }
  | { readonly status: 'infeasible'; readonly reason: InfeasibleReason; readonly proof: DesignProof }
  | { readonly status: 'unknown'; readonly proof: DesignProof };

export interface DesignProgress {
  readonly bound: number | undefined;
  /** Cost of the best layout so far. */
  readonly best: number | undefined;
  readonly round: number;
  readonly simulations: number;
}
