/**
 * The most that an arm can carry when nothing holds it up, walked through tick by tick by section 7 of the world rules: what
 * a log states as the bounds by which loading stations were passed over must not be less. The search has formulas instead.
 */
import { formatRational, isLess, maxRational, parseRational, ratio, ZERO, type Rational } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import type { ArmModel } from '../catalog/catalog.js';
import type { FlawKind } from './audit-result.js';
import type { ArmBoundLine } from './proof-line.js';

/** The swing out, the tick in which a container takes all, and the swing back, counted off: ticks from the first swing to the next pick. */
function ticksAway({ swingTicks }: ArmModel): number {
  let tick = 0;
  for (let out = 0; out < swingTicks; out++) tick++;
  tick++;
  for (let back = 0; back < swingTicks; back++) tick++;
  return tick;
}

/** From a carrier on which an item always lies there for it, whatever number of items it may leave with. */
function mostTaken(arm: ArmModel): Rational {
  const away = ticksAway(arm);
  let most = ZERO;
  let lastTake = 0;
  for (let held = 1; held <= arm.payload; held++) {
    if (held > 1) lastTake += arm.grabTicks;
    // It leaves in the tick after its last take.
    most = maxRational(most, ratio(held, lastTake + 1 + away));
  }
  return most;
}

/** From container to container: a whole hand at once, which spends `grab` ticks. */
const mostCarried = (arm: ArmModel): Rational => ratio(arm.payload, arm.grabTicks + ticksAway(arm));

export function checkArmBounds({ catalog }: Brief, stated: readonly ArmBoundLine[]): readonly FlawKind[] {
  return catalog.arms.flatMap((arm) => {
    const line = stated.find(({ model }) => model === arm.name);
    const pairs = [[line?.takes, mostTaken(arm)], [line?.carries, mostCarried(arm)]] as const;
    return pairs.flatMap(([text, most]): readonly FlawKind[] => {
      const bound = text === undefined ? undefined : parseRational(text);
      return bound === undefined || isLess(bound, most) ? [{ kind: 'arm-bound', arm: arm.name, stated: text ?? 'nothing', most: formatRational(most) }] : [];
    });
  });
}
