/**
 * Where things lie in a picture, in pixels: tiles, lanes and points on lanes. The same geometry draws the lanes
 * and moves items along them, so nothing here knows colours. A lane runs at a quarter of the tile, so
 * the lanes of a side belt point at the places where a tee merge joins: U/4 and 3U/4.
 */
import { dx, dy, leftOf, rightOf, type Heading, type Tile } from '../../base/geometry.js';
import type { Side } from '../../layout/layout.js';
import type { Carrier } from '../../layout/network.js';
import { rounded } from './markup.js';

/** Pixels of a tile's side, of half of it and of a quarter. */
export const TILE = 48;
export const HALF = TILE / 2;
export const QUARTER = TILE / 4;

/** Pixels of the band that stands for a wagon's two rows of tiles. */
export const WAGON_DEPTH = 40;
const WAGON_DISTANCE = 6;

export interface Point {
  readonly x: number;
  readonly y: number;
}

export const moved = (point: Point, heading: Heading, pixels: number): Point => ({
  x: point.x + dx(heading) * pixels,
  y: point.y + dy(heading) * pixels,
});

/** `atEdge`: wagons stand at the edge of a site with one side, where their rows are drawn less than half as deep as they are. */
export function centreOf({ x, y }: Tile, atEdge = false): Point {
  const centreY = y >= 0 || !atEdge ? y * TILE + HALF : (y + 0.5) * (WAGON_DEPTH / 2) - WAGON_DISTANCE;
  return { x: x * TILE + HALF, y: centreY };
}

/** From the top of the wagons' band to the site's edge. */
export const WAGON_TOP = -(WAGON_DEPTH + WAGON_DISTANCE);

const lateral = (side: Side, heading: Heading): Heading => (side === 'left' ? leftOf(heading) : rightOf(heading));

/** The corner about which a turn bends, and how far from it a lane runs. */
function bend(carrier: Carrier, side: Side): { readonly corner: Point; readonly radius: number; readonly out: Heading } {
  const toLeft = carrier.shape === 'turn-left';
  const inward = toLeft ? leftOf(carrier.heading) : rightOf(carrier.heading);
  const corner = moved(moved(centreOf(carrier.tail), carrier.heading, HALF), inward, HALF);
  const isInner = (side === 'left') === toLeft;
  return { corner, radius: isInner ? QUARTER : HALF + QUARTER, out: toLeft ? rightOf(carrier.heading) : leftOf(carrier.heading) };
}

/** A point on a carrier's lane: `share` of the way from its tail to its head. */
export function pointOn(carrier: Carrier, side: Side, share: number): Point {
  const { heading, tail, head, shape } = carrier;
  if (shape !== 'straight') {
    const { corner, radius, out } = bend(carrier, side);
    const angle = (share * Math.PI) / 2;
    return moved(moved(corner, heading, -radius * Math.cos(angle)), out, radius * Math.sin(angle));
  }
  const tiles = Math.abs(head.x - tail.x) + Math.abs(head.y - tail.y) + 1;
  const start = moved(centreOf(tail), heading, -HALF);
  return moved(moved(start, lateral(side, heading), QUARTER), heading, share * tiles * TILE);
}

const spot = ({ x, y }: Point): string => `${rounded(x)} ${rounded(y)}`;

export const linePath = (from: Point, to: Point): string => `M${spot(from)}L${spot(to)}`;

/** A stretch of a lane, from one share of its way to another, as the data of a path. */
export function lanePath(carrier: Carrier, side: Side, from = 0, to = 1): string {
  const start = pointOn(carrier, side, from);
  const end = pointOn(carrier, side, to);
  if (carrier.shape === 'straight') return linePath(start, end);
  const { radius } = bend(carrier, side);
  return `M${spot(start)}A${radius} ${radius} 0 0 ${carrier.shape === 'turn-left' ? 0 : 1} ${spot(end)}`;
}

/** A triangle with its tip at `tip`, pointing along `heading`. */
export function triangle(tip: Point, heading: Heading, length: number, width: number): string {
  const foot = moved(tip, heading, -length);
  const one = moved(foot, leftOf(heading), width / 2);
  const other = moved(foot, rightOf(heading), width / 2);
  return `M${spot(tip)}L${spot(one)}L${spot(other)}Z`;
}

/** Of a side belt's lane that joins `target`: from the tile's edge to the near lane, at a quarter or three of it. */
export function teePath(target: Carrier, from: Side, side: Side): string {
  const toward = lateral(from, target.heading);
  // Of a belt from the left, the left lane lies downstream; of one from the right, the right lane.
  const along = side === from ? QUARTER : -QUARTER;
  const centre = moved(centreOf(target.tail), target.heading, along);
  return linePath(moved(centre, toward, HALF), moved(centre, toward, QUARTER));
}

/** The side toward which an arm swings out: east, or north for one that lies along x. */
export const bulge = (heading: Heading): Heading => (heading === 'N' || heading === 'S' ? 'E' : 'N');

/** Where an arm's hand is: 0 at its pick side, 1 at its place side, in an arc between them. */
export function handAt(at: Tile, heading: Heading, reachPixels: { readonly pick: number; readonly place: number }, share: number): Point {
  const centre = centreOf(at);
  const angle = share * Math.PI;
  const reach = share < 0.5 ? reachPixels.pick : reachPixels.place;
  return moved(moved(centre, heading, -reach * Math.cos(angle)), bulge(heading), HALF * Math.sin(angle));
}
