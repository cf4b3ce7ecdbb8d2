/**
 * What a brief of the job "load" can't be asked yet, each said in one sentence.
 */
import type { Brief } from '../index.js';
import type { InputError } from './exit-codes.js';
import { usage } from './usage.js';

/** Undefined where the brief has another job. `what` can't be had, as in “a list of tradeoffs”. */
export const loadingRefusal = ({ load }: Brief, what: string): InputError | undefined =>
  load === undefined ? undefined : usage(`This brief's job is "load", for which there is no ${what} yet; “transloom design” finds its cheapest station.`);

/** Where wagons are filled, trains are no objective: they take as long as chests and belts have kept ready for them. */
export function trainsRefusal({ load }: Brief, objectives: readonly string[]): InputError | undefined {
  const objective = objectives.find((each) => each === 'dwell' || each === 'trainsPerHour');
  return load === undefined || objective === undefined
    ? undefined
    : usage(`This brief's job is "load", for which “${objective}” is no objective; leave it out of --objectives, or set a condition with --where.`);
}
