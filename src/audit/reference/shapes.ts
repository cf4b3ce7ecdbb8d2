/**
 * Shapes of belts, from the placed parts alone: what faces a tile, and whether that makes it a turn (world rules, section 2).
 */
import { backOf, leftOf, rightOf, sameTile, stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import { entriesOf, tilesOf, underpassHeading, type Layout, type Side } from '../../layout/layout.js';
import { show } from './world.js';

interface Feeders {
  readonly behind: boolean;
  readonly left: boolean;
  readonly right: boolean;
}

export interface Shapes {
  readonly feedersOf: (at: Tile, heading: Heading) => Feeders;
  /** The side from which a turn is fed, or undefined for a straight tile. */
  readonly turnsFrom: (at: Tile, heading: Heading) => Side | undefined;
}

export function shapesOf(layout: Layout): Shapes {
  const headHeadings = new Map<string, Heading>();
  for (const part of layout.parts) {
    if (part.kind === 'belt') headHeadings.set(show(part.at), part.heading);
    if (part.kind === 'splitter') for (const tile of tilesOf(part)) headHeadings.set(show(tile), part.heading);
    if (part.kind === 'underpass') headHeadings.set(show(part.to), underpassHeading(part));
  }
  const isFeeder = (tile: Tile, heading: Heading): boolean => headHeadings.get(show(tile)) === heading;
  const isEntered = (at: Tile, heading: Heading): boolean =>
    entriesOf(layout).some((entry) => entry.heading === heading && sameTile(entry.at, at));
  const feedersOf = (at: Tile, heading: Heading): Feeders => ({
    behind: isFeeder(stepFrom(at, backOf(heading)), heading) || isEntered(at, heading),
    left: isFeeder(stepFrom(at, leftOf(heading)), rightOf(heading)),
    right: isFeeder(stepFrom(at, rightOf(heading)), leftOf(heading)),
  });
  const turnsFrom = (at: Tile, heading: Heading): Side | undefined => {
    const feeders = feedersOf(at, heading);
    if (feeders.behind || feeders.left === feeders.right) return undefined;
    return feeders.left ? 'left' : 'right';
  };
  return { feedersOf, turnsFrom };
}
