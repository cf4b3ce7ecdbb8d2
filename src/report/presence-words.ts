/**
 * What is said beside chests where a wagon stands there only part of the time.
 */
import { compare, ONE, type Rational } from '../base/rational.js';
import type { TrialResult } from '../simulation/trial-result.js';
import { percent } from './numbers.js';

/** Undefined where it always does, or where there is no chest. */
export function presenceNote({ chests }: TrialResult, presence: Rational): string | undefined {
  if (chests.length === 0 || compare(presence, ONE) >= 0) return undefined;
  const loading = chests.filter(({ loads }) => loads !== undefined).length;
  const can = [...(loading < chests.length ? ['be filled'] : []), ...(loading > 0 ? ['be emptied'] : [])].join(' or ');
  return `A wagon stands there ${percent(presence)} of the time, so only that share of what can ${can} counts.`;
}
