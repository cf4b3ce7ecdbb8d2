/**
 * The fill that a brief asks for: one number for targets of many exits and lanes, or of entries and wagons, so that a layout that gives all
 * of them in the same proportion, but more, has a fill of its own. How much more is for the simulator to say.
 */
import { maxRational, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import type { Brief } from './brief.js';

/**
 * Of all targets, as shares of what their belts or lanes can carry, the greatest; from 0 to 1. What wagons are to get in all
 * is a share of what all entries bring.
 */
export function askedFill({ catalog, exits, together, load, wagons }: Brief): Rational {
  const lane = (speed: number): Rational => ratio(speed, catalog.pitch);
  if (load !== undefined) {
    const carried = load.entries.map(({ belt }) => lane(belt.speed).mul(2));
    const { fullTicks } = load;
    const intoWagons = fullTicks === undefined ? ZERO : sumRational(wagons.map(({ model }) => ratio(model.capacity).div(fullTicks)));
    const sums = [load.together ?? ZERO, intoWagons].map((asked) => asked.div(sumRational(carried)));
    return [...load.entries.map(({ target }, entry) => target.div(carried[entry])), ...sums].reduce(maxRational, ZERO);
  }
  const alone = exits.flatMap(({ belt: { speed }, target: { total, left, right } }) => [
    total.div(lane(speed).mul(2)),
    left.div(lane(speed)),
    right.div(lane(speed)),
  ]);
  const all = together === undefined ? [] : [together.div(sumRational(exits.map(({ belt }) => lane(belt.speed).mul(2))))];
  return [...alone, ...all].reduce(maxRational, ZERO);
}
