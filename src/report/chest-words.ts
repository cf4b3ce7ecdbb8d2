/**
 * What is said beside chests: whether they keep up, and what counts where a wagon stands there only part of the time.
 */
import { fillsUp, runsDry } from '../base/chest-rates.js';
import { compare, ONE, ZERO, type Rational } from '../base/rational.js';
import type { ChestTrial, TrialResult } from '../simulation/trial-result.js';
import type { ArmEnd, Network } from '../layout/network.js';
import { startWords } from './labels.js';
import { percent } from './numbers.js';

/** "runs dry", and from which start where that is another than the one shown. */
export const failureWords = (failure: string, fromStart: number | undefined): string =>
  fromStart === undefined ? failure : `${failure} from ${startWords(fromStart)}`;

export interface ChestVerdict {
  readonly isGood: boolean;
  readonly words: string;
}

/** A chest that fails in the other way only does not keep up, so nothing is said of this way. */
const verdict = ({ keepsUp }: ChestTrial, failure: string | undefined): ChestVerdict =>
  failure === undefined ? { isGood: true, words: keepsUp ? 'keeps up' : '' } : { isGood: false, words: failure };

/** Of what is drawn from it. */
export const drainVerdict = (chest: ChestTrial, presence: Rational): ChestVerdict => verdict(chest, runsDry(chest, presence) ? failureWords('runs dry', chest.runsDryFrom) : undefined);

/** Of what is put into it, to go into wagons. */
export const loadVerdict = (chest: ChestTrial, presence: Rational): ChestVerdict => verdict(chest, fillsUp(chest, presence) ? failureWords('fills up', chest.fillsUpFrom) : undefined);

/** A chest that loads has nothing to do with draining unless arms take from it for other ends too. */
export const drains = ({ loads, outflow }: ChestTrial): boolean => loads === undefined || compare(outflow, ZERO) > 0;

const isContainer = ({ kind }: ArmEnd): boolean => kind === 'wagon' || kind === 'chest';

/** In a steady run such arms never wait (world rules, section 6). Undefined where there is none. */
export const freeArmsNote = ({ arms }: Network): string | undefined =>
  arms.some(({ pick, place }) => isContainer(pick) && isContainer(place))
    ? 'Arms between wagons and chests are told as if no chest were ever full or empty; in the long run they carry no more than goes through their chest.'
    : undefined;

/** Undefined where it always does, or where there is no chest. */
export function presenceNote({ chests }: TrialResult, presence: Rational): string | undefined {
  if (chests.length === 0 || compare(presence, ONE) >= 0) return undefined;
  const loading = chests.filter(({ loads }) => loads !== undefined).length;
  const can = [...(chests.some(drains) ? ['be filled'] : []), ...(loading > 0 ? ['be emptied'] : [])].join(' or ');
  return `A wagon stands there ${percent(presence)} of the time, so only that share of what can ${can} counts.`;
}
