/**
 * The greatest fill that belts alone allow, whatever brings the items: an upper bound on every layout's fill as
 * `brief/asked-fill.ts` tells it.
 */
import { minRational, ONE, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import { askedFill } from '../brief/asked-fill.js';
import type { Brief } from '../brief/brief.js';
import { endRateBound } from './rate-model.js';

export function mostFill(brief: Brief): Rational {
  const { catalog, exits, together } = brief;
  const lanes = exits.map(({ belt }) => endRateBound(catalog, belt.speed));
  const shares = exits.flatMap(({ target: { total, left, right } }, e) =>
    [[lanes[e].mul(2), total], [lanes[e], left], [lanes[e], right]].flatMap(([most, asked]) => (asked.equals(ZERO) ? [] : [most.div(asked)])),
  );
  if (together !== undefined) shares.push(sumRational(lanes).mul(ratio(2)).div(together));
  return askedFill(brief).mul(shares.length === 0 ? ONE : shares.reduce(minRational));
}
