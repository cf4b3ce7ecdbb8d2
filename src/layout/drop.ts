/**
 * Where an arm's items land on a carrier: which lane, and at a spot of it or at a dividing line
 * (world rules, section 7). Pure geometry of two headings; what can be delivered is the rate model's.
 */
import { backOf, rightOf, type Heading } from '../base/geometry.js';
import type { Side } from './layout.js';

type Drop =
  /** At `quarter` / 4 of the lane's length on that tile. */
  | { readonly kind: 'lane'; readonly side: Side; readonly quarter: 1 | 2 | 3 }
  /** At a splitter's dividing line, on the lanes of `side`. */
  | { readonly kind: 'line'; readonly side: Side };

/** An arm of `armHeading` that places on a carrier of `carrierHeading`. */
export function dropOn(armHeading: Heading, carrierHeading: Heading, onSplitter: boolean): Drop {
  if (armHeading === carrierHeading) return { kind: 'lane', side: 'right', quarter: 3 };
  const against = armHeading === backOf(carrierHeading);
  // Across, the far lane is on the side toward which the arm heads; against, its right hand is the left lane.
  const side: Side = !against && armHeading === rightOf(carrierHeading) ? 'right' : 'left';
  if (onSplitter) return { kind: 'line', side };
  return { kind: 'lane', side, quarter: against ? 1 : 2 };
}
