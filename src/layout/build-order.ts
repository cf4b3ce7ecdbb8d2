/**
 * In which order to put up a layout's parts: from the exits back to the wagon, so that whatever runs early flows out
 * and no part has to be set between others that carry already. First the carriers, each after all that it passes to
 * (a ring is begun at its least tile) and branch by branch; then the chests; then the arms onto carriers; last those that fill chests.
 */
import { compareTiles, type Tile } from '../base/geometry.js';
import { invariant } from '../base/invariant.js';
import { tilesOf, type Layout, type Part } from './layout.js';
import { deriveNetwork, type Network } from './network.js';

const leastTile = (part: Part): Tile => tilesOf(part).reduce((one, other) => (compareTiles(one, other) <= 0 ? one : other));

/** For each part that carries: the parts to which it passes, itself left out; exits come before dead ends. */
function receivers({ carriers }: Network): { readonly passesTo: ReadonlyMap<number, ReadonlySet<number>>; readonly atExit: ReadonlySet<number> } {
  const passesTo = new Map<number, Set<number>>();
  const atExit = new Set<number>();
  for (const { part, next } of carriers) {
    const others = passesTo.get(part) ?? new Set<number>();
    passesTo.set(part, others);
    if (next.kind === 'exit') atExit.add(part);
    if (next.kind === 'carrier' && carriers[next.carrier].part !== part) others.add(carriers[next.carrier].part);
  }
  return { passesTo, atExit };
}

/** All parts to which something comes from this one, itself only if it lies on a ring. */
function reached(part: number, passesTo: ReadonlyMap<number, ReadonlySet<number>>): ReadonlySet<number> {
  const seen = new Set<number>();
  const waiting = [part];
  for (let at = waiting.pop(); at !== undefined; at = waiting.pop()) {
    for (const next of passesTo.get(at) ?? []) {
      if (!seen.has(next)) waiting.push(next);
      seen.add(next);
    }
  }
  return seen;
}

function carriersInOrder(layout: Layout, network: Network): readonly number[] {
  const { passesTo, atExit } = receivers(network);
  const byTile = [...passesTo.keys()].sort((a, b) => compareTiles(leastTile(layout.parts[a]), leastTile(layout.parts[b])));
  const exitsFirst = [...byTile.filter((part) => atExit.has(part)), ...byTile.filter((part) => !atExit.has(part))];
  const order: number[] = [];
  const built = new Set<number>();
  const isReady = (part: number): boolean => !built.has(part) && [...(passesTo.get(part) ?? [])].every((other) => built.has(other));
  /** The part, then all that are ready because of it, one branch after the other. */
  const buildUpstream = (start: number): void => {
    const waiting = [start];
    for (let part = waiting.pop(); part !== undefined; part = waiting.pop()) {
      if (built.has(part)) continue;
      built.add(part);
      order.push(part);
      const downstream = part;
      waiting.push(...byTile.filter((each) => passesTo.get(each)?.has(downstream) === true && isReady(each)).reverse());
    }
  };
  /** Where nothing is ready: a part of a ring that passes to no other ring. */
  const beginsRing = (part: number): boolean => !built.has(part) && [...reached(part, passesTo)].every((other) => built.has(other) || reached(other, passesTo).has(part));
  while (order.length < byTile.length) {
    const start = exitsFirst.find(isReady) ?? byTile.find(beginsRing);
    invariant(start !== undefined, 'of the parts that are left, some pass to nothing else that is', { built: order.length });
    buildUpstream(start);
  }
  return order;
}

/** Indices into the layout's parts. */
export function buildOrder(layout: Layout): readonly number[] {
  const network = deriveNetwork(layout);
  const chests = layout.parts.flatMap((part, index) => (part.kind === 'chest' ? [index] : []));
  const ontoCarriers = network.arms.filter(({ place }) => place.kind === 'carrier');
  const others = network.arms.filter(({ place }) => place.kind !== 'carrier');
  return [
    ...carriersInOrder(layout, network),
    ...chests.sort((a, b) => compareTiles(leastTile(layout.parts[a]), leastTile(layout.parts[b]))),
    ...[...ontoCarriers, ...others].map(({ part }) => part),
  ];
}
