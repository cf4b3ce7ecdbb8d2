/**
 * The order in which carriers move (world rules, section 3).
 */
import { compareTiles, type Tile } from '../../base/geometry.js';
import { invariant } from '../../base/invariant.js';
import { carrierTiles } from './carriers.js';
import type { Precedence } from './ways.js';
import { happened, type CarrierState, type Events } from './world.js';

const leastTile = (carrier: CarrierState): Tile => [...carrierTiles(carrier)].sort(compareTiles)[0];
const least = (some: readonly CarrierState[]): CarrierState | undefined =>
  [...some].sort((a, b) => compareTiles(leastTile(a), leastTile(b)))[0];

export function orderOfMovement(carriers: readonly CarrierState[], { passesTo, waitsForBehind }: Precedence, events: Events): readonly CarrierState[] {
  const order: CarrierState[] = [];
  const dropped = new Set<CarrierState>();
  const targetsMoved = (carrier: CarrierState): boolean => (passesTo.get(carrier) ?? []).every((one) => order.includes(one));
  const behindsMoved = (carrier: CarrierState): boolean =>
    dropped.has(carrier) || (waitsForBehind.get(carrier) ?? []).every((one) => order.includes(one));
  while (order.length < carriers.length) {
    const waiting = carriers.filter((carrier) => !order.includes(carrier));
    const free = least(waiting.filter((carrier) => targetsMoved(carrier) && behindsMoved(carrier)));
    if (free !== undefined) {
      order.push(free);
      continue;
    }
    const heldByBehindAlone = least(waiting.filter(targetsMoved));
    if (heldByBehindAlone !== undefined) {
      dropped.add(heldByBehindAlone);
      happened(events, 'order: behind rule dropped');
      continue;
    }
    const opened = least(onLastRings(waiting, passesTo));
    invariant(opened !== undefined, 'some carrier is on a last ring');
    order.push(opened);
    happened(events, 'order: ring opened');
  }
  return order;
}

/** Of those that wait, those on a ring that passes to no other ring: all that they reach reaches them again. */
function onLastRings(waiting: readonly CarrierState[], passesTo: Precedence['passesTo']): readonly CarrierState[] {
  const reach = (from: CarrierState): ReadonlySet<CarrierState> => {
    const seen = new Set<CarrierState>();
    const open = [from];
    for (let one = open.pop(); one !== undefined; one = open.pop()) {
      for (const target of passesTo.get(one) ?? []) {
        if (!waiting.includes(target) || seen.has(target)) continue;
        seen.add(target);
        open.push(target);
      }
    }
    return seen;
  };
  return waiting.filter((carrier) => {
    const reached = [...reach(carrier)];
    return reached.includes(carrier) && reached.every((one) => reach(one).has(carrier));
  });
}
