/**
 * What is said beside chests: whether they keep up, and what counts where a wagon stands there only part of the time.
 */
import { compare, ONE, type Rational } from '../base/rational.js';
import type { ChestTrial, TrialResult } from '../simulation/trial-result.js';
import { startWords } from './labels.js';
import { percent } from './numbers.js';

/** "runs dry", and from which start where that is another than the one shown. */
export const failureWords = ({ fromStart }: Pick<ChestTrial, 'fromStart'>, failure: string): string =>
  fromStart === undefined ? failure : `${failure} from ${startWords(fromStart)}`;

export const chestVerdict = (chest: ChestTrial, failure: string): string => (chest.keepsUp ? 'keeps up' : failureWords(chest, failure));

/** Undefined where it always does, or where there is no chest. */
export function presenceNote({ chests }: TrialResult, presence: Rational): string | undefined {
  if (chests.length === 0 || compare(presence, ONE) >= 0) return undefined;
  const loading = chests.filter(({ loads }) => loads !== undefined).length;
  const can = [...(loading < chests.length ? ['be filled'] : []), ...(loading > 0 ? ['be emptied'] : [])].join(' or ');
  return `A wagon stands there ${percent(presence)} of the time, so only that share of what can ${can} counts.`;
}
