/**
 * Distances along a lane's way, and items put down and lifted (world rules, section 2).
 */
import type { Item, Lane, World } from './world.js';

/** No test reaches further: a move, or a slack at a dividing line, plus the pitch, each of them at most a tile. */
const farEnough = ({ unitsPerTile }: World): number => 2 * unitsPerTile;

/** Units to the nearest item at or ahead of a position, along the lane's way; Infinity for none within reach. */
export function distanceAhead(world: World, lane: Lane, at: number, but?: Item): number {
  let walked = -at;
  let least = at;
  for (let here = lane; ; ) {
    const ahead = here.items.filter((item) => item !== but && item.at >= least).map((item) => walked + item.at);
    if (ahead.length > 0) return Math.min(...ahead);
    walked += here.length;
    least = 0;
    if (here.way.kind !== 'lane' || walked > farEnough(world)) return Infinity;
    here = here.way.lane;
  }
}

/** Units to the nearest item behind a position, against the lane's way; Infinity for none within reach. */
export function distanceBehind(world: World, lane: Lane, at: number): number {
  const own = lane.items.filter((item) => item.at < at).map((item) => at - item.at);
  if (own.length > 0) return Math.min(...own);
  let walked = at;
  for (let here = lane.before; here !== undefined && walked <= farEnough(world); here = here.before) {
    const length = here.length;
    const behind = here.items.map((item) => walked + length - item.at);
    if (behind.length > 0) return Math.min(...behind);
    walked += length;
  }
  return Infinity;
}

export const isFree = (world: World, lane: Lane, at: number): boolean =>
  distanceAhead(world, lane, at) >= world.pitch && distanceBehind(world, lane, at) >= world.pitch;

export function put(lane: Lane, item: Item, at: number): void {
  item.at = at;
  lane.items = [...lane.items, item].sort((a, b) => b.at - a.at);
}

export function lift(lane: Lane, item: Item): void {
  lane.items = lane.items.filter((one) => one !== item);
}

export function newItem(world: World): Item {
  world.lastId += 1;
  return { id: world.lastId, at: 0, movedIn: world.now };
}
