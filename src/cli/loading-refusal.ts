/**
 * What can't be asked where wagons are filled, each said in one sentence. Undefined where it can.
 */
import type { Brief } from '../index.js';
import type { InputError } from './exit-codes.js';
import { usage } from './usage.js';

export const mendRefusal = ({ load }: Brief): InputError | undefined =>
  load === undefined ? undefined : usage('This brief\'s job is "load", and stations that fill wagons are not mended yet; “transloom design” finds the cheapest one.');
