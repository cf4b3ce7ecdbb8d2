/**
 * Where on a carrier an arm puts items down and picks them up: world rules, section 7.
 */
import { backOf, rightOf, type Heading, type Tile } from '../base/geometry.js';
import { invariant } from '../base/invariant.js';
import type { Layout, PlacedArm } from '../layout/layout.js';
import type { ArmLink, Carrier } from '../layout/network.js';
import { LEFT, RIGHT } from './sides.js';

export function armPart(layout: Layout, link: ArmLink): PlacedArm {
  const part = layout.parts[link.part];
  invariant(part.kind === 'arm', 'an arm link names an arm', { part: link.part });
  return part;
}

/** What an arm does at a tile: the lane side, and where along the carrier. */
type Spot =
  | { readonly kind: 'lane'; readonly output: boolean; readonly side: number; readonly from: number; readonly to: number }
  | { readonly kind: 'line'; readonly side: number; readonly beyond: number };

const sideToward = (heading: Heading, toward: Heading): number => (rightOf(heading) === toward ? RIGHT : LEFT);

/** The end tile of an underpass that an arm reaches, as the units before it on the lane. */
export function tileStart(carrier: Carrier, tile: Tile, unitsPerTile: number): number {
  const atHead = tile.x === carrier.head.x && tile.y === carrier.head.y;
  return carrier.kind === 'underpass' && atHead ? carrier.leftLength - unitsPerTile : 0;
}

export function spotOf(layout: Layout, arm: PlacedArm, carrier: Carrier, tile: Tile): Spot {
  const { unitsPerTile } = layout.catalog;
  const { slack } = arm.model;
  const across = carrier.heading !== arm.heading && carrier.heading !== backOf(arm.heading);
  const along = carrier.heading === arm.heading;
  const side = across ? sideToward(carrier.heading, arm.heading) : along ? RIGHT : LEFT;
  if (carrier.kind === 'splitter-half') {
    const half = unitsPerTile / 2;
    if (!along) return { kind: 'line', side, beyond: Math.min(slack, half) };
    const spot = unitsPerTile / 4;
    return { kind: 'lane', output: true, side, from: Math.max(0, spot - slack), to: Math.min(half, spot + slack) };
  }
  const start = tileStart(carrier, tile, unitsPerTile);
  const whole = side === LEFT ? carrier.leftLength : carrier.rightLength;
  const length = carrier.kind === 'underpass' ? unitsPerTile : whole;
  const spot = start + Math.floor((length * (across ? 2 : along ? 3 : 1)) / 4);
  // The exit end of an underpass lies beyond its border, so its first unit is the least position on it.
  const least = start > 0 ? start + 1 : 0;
  return {
    kind: 'lane',
    output: false,
    side,
    from: Math.max(least, spot - slack),
    to: Math.min(start + length, spot + slack),
  };
}

/** Sides in the order in which an arm of heading `arm` looks for items on a carrier. */
export function pickSides(carrier: Carrier, arm: Heading): readonly [number, number] {
  const along = carrier.heading === arm;
  const against = carrier.heading === backOf(arm);
  const first = along ? RIGHT : against ? LEFT : sideToward(carrier.heading, arm);
  return [first, 1 - first];
}
