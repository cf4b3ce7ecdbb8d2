/**
 * The fixed order in which the carrying parts move within a tick (world rules, order within a tick).
 * It follows from the layout alone; what a part does in its turn is in `tick.ts`.
 */
import { compareTiles, type Tile } from '../base/geometry.js';
import { invariant } from '../base/invariant.js';
import { tilesOf, type Layout } from '../layout/layout.js';
import type { Carrier, Network } from '../layout/network.js';

interface CarrierOrder {
  /** Indices into the layout's parts, first mover first. */
  readonly parts: readonly number[];
  /** Whether a ring had to be opened: some part then passes items to one that has not moved yet. */
  readonly opensRing: boolean;
}

interface Mover {
  readonly part: number;
  readonly corner: Tile;
  /** Movers that this one passes to. */
  readonly after: Set<number>;
  /** Movers that feed, from behind, a target that this one tees into. */
  readonly afterThrough: Set<number>;
  moved: boolean;
}

const lesserTile = (tiles: readonly Tile[]): Tile =>
  tiles.reduce((least, tile) => (compareTiles(tile, least) < 0 ? tile : least));

function moversOf(layout: Layout, network: Network, members: readonly number[]): readonly Mover[] {
  const { carriers } = network;
  const movers: Mover[] = [];
  const moverOfPart = new Map<number, number>();
  for (const member of members) {
    const { part } = carriers[member];
    if (moverOfPart.has(part)) continue;
    moverOfPart.set(part, movers.length);
    const corner = lesserTile(tilesOf(layout.parts[part]));
    movers.push({ part, corner, after: new Set(), afterThrough: new Set(), moved: false });
  }
  const moverOf = (carrier: Carrier): number => {
    const mover = moverOfPart.get(carrier.part);
    invariant(mover !== undefined, 'every carrier has a mover', { part: carrier.part });
    return mover;
  };
  for (const member of members) {
    const carrier = carriers[member];
    if (carrier.next.kind !== 'carrier') continue;
    const mover = movers[moverOf(carrier)];
    const target = carriers[carrier.next.carrier];
    mover.after.add(moverOf(target));
    const tees = carrier.next.entry === 'tee-left' || carrier.next.entry === 'tee-right';
    if (tees && target.behind !== undefined) mover.afterThrough.add(moverOf(carriers[target.behind]));
  }
  return movers;
}

/** Of the movers left, the least that lies on a ring from which no other ring can be reached. */
function ringToOpen(movers: readonly Mover[], left: readonly number[]): number {
  const reach = new Map<number, Set<number>>();
  for (const start of left) {
    const seen = new Set<number>();
    const open = [start];
    for (let top = open.pop(); top !== undefined; top = open.pop()) {
      for (const next of movers[top].after) {
        if (movers[next].moved || seen.has(next)) continue;
        seen.add(next);
        open.push(next);
      }
    }
    reach.set(start, seen);
  }
  const reaches = (from: number, to: number): boolean => reach.get(from)?.has(to) === true;
  const onRing = left.filter((mover) => reaches(mover, mover));
  const found = onRing.find((mover) => onRing.every((other) => !reaches(mover, other) || reaches(other, mover)));
  invariant(found !== undefined, 'where no part is free there is a ring', { left });
  return found;
}

/** The order of the parts whose carriers are `members`, which must hold all that its carriers pass to. */
export function orderCarriers(layout: Layout, network: Network, members: readonly number[]): CarrierOrder {
  const movers = moversOf(layout, network, members);
  const allMoved = (indices: ReadonlySet<number>): boolean => {
    for (const index of indices) if (!movers[index].moved) return false;
    return true;
  };
  const parts: number[] = [];
  let opensRing = false;
  let left = movers.map((_, index) => index).sort((a, b) => compareTiles(movers[a].corner, movers[b].corner));
  while (left.length > 0) {
    let going = left.find((index) => allMoved(movers[index].after) && allMoved(movers[index].afterThrough));
    // Through traffic need not go first where waiting for it alone would stop everything.
    going ??= left.find((index) => allMoved(movers[index].after));
    if (going === undefined) {
      going = ringToOpen(movers, left);
      opensRing = true;
    }
    const gone = going;
    movers[gone].moved = true;
    parts.push(movers[gone].part);
    left = left.filter((index) => index !== gone);
  }
  return { parts, opensRing };
}
