/**
 * The greatest fill that belts alone allow, whatever brings the items: an upper bound on every layout's fill as
 * `brief/asked-fill.ts` tells it.
 */
import { minRational, ONE, sumRational, ZERO, type Rational } from '../../base/rational.js';
import { askedFill } from '../../brief/asked-fill.js';
import type { Brief } from '../../brief/brief.js';
import { endRateBound } from '../rates/rate-model.js';

export function mostFill(brief: Brief): Rational {
  const { catalog, exits, together } = brief;
  const lanes = exits.map(({ belt }) => endRateBound(catalog, belt.speed));
  const pairs = exits.flatMap(({ target: { total, left, right } }, e) => [[lanes[e].mul(2), total], [lanes[e], left], [lanes[e], right]]);
  if (together !== undefined) pairs.push([sumRational(lanes).mul(2), together]);
  const shares = pairs.flatMap(([most, asked]) => (asked.equals(ZERO) ? [] : [most.div(asked)]));
  return askedFill(brief).mul(shares.length === 0 ? ONE : shares.reduce(minRational));
}
