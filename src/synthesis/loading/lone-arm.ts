/**
 * The least that an arm takes which is the only one at a way of carriers from an entry: what a chest is given then is more
 * than nothing, and may be more than can be carried off. What arms take at most is in `loading-arms.ts`.
 *
 * Nothing but that arm takes items away, where the way ends. So on each lane items follow each other at just the pitch all
 * the way back to the entry, where the next one waits; they all move by the speed in each tick, but for those that stand
 * behind the foremost at the way's end. (With carriers of several speeds they would not.) While the arm is away the lanes move
 * up, so that on its return some items lie on the tile that it picks from: of these it takes one after the other. Then in
 * each stretch of so many ticks as an item needs for a pitch, two `grab` and one more, it takes two: each lane has an item there, or brings one, and
 * if it took just one, that was from one lane, and the other's lies there when it may take again.
 */
import { ratio, ZERO, type Rational } from '../../base/rational.js';
import type { ArmModel, BeltModel, Catalog } from '../../catalog/catalog.js';

/** Items per tick into a chest that never fills; 0 where nothing is known. */
export function leastAlone(arm: ArmModel, { speed }: BeltModel, { unitsPerTile, pitch, turn, underpasses }: Catalog): Rational {
  if (underpasses.some((other) => other.speed !== speed)) return ZERO;
  const { payload, grabTicks, swingTicks, patienceTicks } = arm;
  const perPitch = Math.ceil(pitch / speed);
  const stretch = perPitch + 2 * grabTicks + 1;
  // Else it may leave with fewer in hand.
  if (patienceTicks !== undefined && patienceTicks < stretch) return ZERO;
  // The foremost stands at the way's end, or, where that lies beyond what is picked from, less than a pitch before the tile's.
  const end = Math.min(unitsPerTile - pitch, turn.inner, turn.outer);
  const ahead = Math.min(end, speed * (2 * swingTicks + 1) - pitch);
  const lying = 2 * Math.max(0, Math.floor(ahead / pitch));
  const atOnce = Math.min(payload, lying);
  const gathering = atOnce * grabTicks + Math.ceil((payload - atOnce) / 2) * stretch;
  return ratio(payload, gathering + 2 * swingTicks + 2);
}
