/**
 * What a measurement shows where the integers are known: the least and the most, over all moments at which it
 * may begin, and the mean. Source: derived from models/world-rules.md, sections 2 and 7. All of it is exact for
 * arms without slack on a lane that is theirs alone; `test/fitting/predict.test.ts` holds it to the simulator.
 */
import { ratio, type Rational } from '../base/rational.js';
import type { ArmInteger } from './measurements.js';

/** Whole items or ticks; both ends occur. */
export interface Outcome {
  readonly least: number;
  readonly most: number;
  readonly mean: Rational;
}

export type ArmValues = Readonly<Record<ArmInteger, number>>;

/** What comes once in each stretch of `per`, counted over `stretch`: the least, or one more. */
function evenly(stretch: number, per: number, each = 1): Outcome {
  return { least: Math.floor(stretch / per) * each, most: Math.ceil(stretch / per) * each, mean: ratio(stretch * each, per) };
}

/** Items on `tiles` of a packed lane; lengths in units. */
export const laneHolds = (unitsPerTile: number, pitch: number, tiles: number): Outcome => evenly(tiles * unitsPerTile, pitch);

/** Items that pass a line in `ticks`; `speed` in units per tick. */
export const beltCarries = (pitch: number, speed: number, lanes: number, ticks: number): Outcome => evenly(speed * ticks, pitch, lanes);

/** Ticks for `tiles` of a free way. */
export const itemTravels = (unitsPerTile: number, speed: number, tiles: number): Outcome => evenly(tiles * unitsPerTile, speed);

const exactly = (value: number): Outcome => ({ least: value, most: value, mean: ratio(value) });

export const handHolds = ({ payload }: ArmValues): Outcome => exactly(payload);

export const firstItem = ({ grab, swing }: ArmValues): Outcome => exactly(grab + swing);

const emptyHandTicks = ({ grab, swing }: ArmValues): number => grab + 2 * swing + 1;

/** Items that come to lie in a container within `ticks`. */
export const armToChest = (arm: ArmValues, ticks: number): Outcome => evenly(ticks, emptyHandTicks(arm), arm.payload);

/** Ticks after which an item has left its spot free for the next: ceil(P / v). */
export const clearTicks = (pitch: number, speed: number): number => Math.ceil(pitch / speed);

/**
 * A hand's items come `apart` ticks one after the other, and the next hand's first one `between` ticks after
 * them, for its spot has to be free as well.
 */
export function armToLane(arm: ArmValues, clear: number, ticks: number): Outcome {
  const { payload } = arm;
  const apart = Math.max(arm.release, clear);
  const between = Math.max(emptyHandTicks(arm), clear);
  const cycle = (payload - 1) * apart + between;
  const cycles = Math.floor(ticks / cycle);
  const rest = ticks - cycles * cycle;
  return {
    least: cycles * payload + leastWithin(rest, payload, apart, between),
    most: cycles * payload + mostWithin(rest, payload, apart, between),
    mean: ratio(ticks * payload, cycle),
  };
}

/** Most items in `rest` ticks, less than a cycle: they begin with an item, and the longer pause comes last. */
function mostWithin(rest: number, payload: number, apart: number, between: number): number {
  if (rest === 0) return 0;
  const further = between >= apart || payload === 1 ? Math.floor((rest - 1) / apart) : afterShorter(rest - 1, apart, between);
  return Math.min(payload, 1 + further);
}

/** Least items in `rest` ticks, less than a cycle: they begin right after an item, and the longer pause comes first. */
function leastWithin(rest: number, payload: number, apart: number, between: number): number {
  if (between >= apart || payload === 1) return afterShorter(rest, apart, between);
  return Math.floor(rest / apart);
}

/** Items that come in `ticks` after one, if the pause `between` hands comes first. */
const afterShorter = (ticks: number, apart: number, between: number): number => (ticks < between ? 0 : 1 + Math.floor((ticks - between) / apart));
