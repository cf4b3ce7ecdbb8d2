/**
 * What a verification is asked, in which ways a layout may fail, and when a flow is too small. Who verifies: `verify.ts`,
 * and `early-verdict.ts` by less.
 */
import type { Rational } from '../base/rational.js';
import { wholeOf, wholeProduct, wholeSum, type Whole } from '../base/whole.js';
import type { StartOptions } from './starts.js';

/** Least flows, in items per tick, at one exit. */
export interface ExitTarget {
  /** Index into the layout's exits. */
  readonly exit: number;
  readonly total: Rational;
  readonly left: Rational;
  readonly right: Rational;
}

export interface VerifyOptions extends StartOptions {
  /** Left out: true. False where whatever fills the chests is not part of the layout. */
  readonly chestsCount?: boolean;
  /** Share of time in which a wagon stands there. */
  readonly presence: Rational;
  /** Least flow over all exits together, in items per tick; left out: none is asked. */
  readonly together?: Rational | undefined;
  /** Whether all that is asked is to be exceeded; left out: to be met. */
  readonly exceed?: boolean | undefined;
  /** Whether only the verdict counts: of a layout that fails, no flows are told, and it may be known to fail before all of it has repeated. */
  readonly verdictOnly?: boolean;
}

/** Why a layout doesn't pass, at the start that showed it. */
export type VerifyFailure =
  | { readonly kind: 'flow'; readonly exit: number; readonly start: number }
  /** The exits together fall short, all of their pieces having repeated. */
  | { readonly kind: 'sum'; readonly start: number }
  | { readonly kind: 'supply'; readonly part: number; readonly start: number }
  | { readonly kind: 'unproven'; readonly start: number };

/** A fraction: a whole number, and one above 0. */
export type Fraction = readonly [Whole, Whole];

export const fractionOf = ({ n, d }: Rational): Fraction => [wholeOf(n), wholeOf(d)];

export const fractionIsLess = ([a, b]: Fraction, [c, d]: Fraction): boolean => wholeProduct(a, d) < wholeProduct(c, b);

export const fractionSum = ([a, b]: Fraction, [c, d]: Fraction): Fraction => [wholeSum(wholeProduct(a, d), wholeProduct(c, b)), wholeProduct(b, d)];

/** Whether a flow falls short of what is asked, where nothing is asked by 0. */
export const isShort = (flow: Fraction, asked: Fraction, exceed: boolean): boolean =>
  exceed && asked[0] > 0 ? !fractionIsLess(asked, flow) : fractionIsLess(flow, asked);

/** Of an exit, as `ExitTarget`. */
export interface WholeTarget {
  readonly exit: number;
  readonly total: Fraction;
  readonly left: Fraction;
  readonly right: Fraction;
}
