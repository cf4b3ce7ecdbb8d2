/**
 * Whether a chest keeps up in the long run (world rules, sections 9 and 11, *Loading*): what is drawn from it against what wagons
 * bring, and what is put into it against what goes into wagons. Arithmetic on rates; these come from a simulator.
 */
import { isLess, type Rational } from './rational.js';

/** As of a chest in a trial, in items per tick. */
interface ChestRates {
  readonly outflow: Rational;
  readonly supply: Rational;
  readonly loads?: { readonly inflow: Rational; readonly carryOff: Rational } | undefined;
}

/** More is drawn from it than wagons bring in the share of time in which they stand there. */
export const runsDry = ({ outflow, supply }: ChestRates, presence: Rational): boolean => isLess(supply.mul(presence), outflow);

/** More is put into it than goes into wagons in that share of time. */
export const fillsUp = ({ loads }: ChestRates, presence: Rational): boolean => loads !== undefined && isLess(loads.carryOff.mul(presence), loads.inflow);
