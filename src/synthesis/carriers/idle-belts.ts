/**
 * Idle belts: where a belt that carries nothing would change how a belt of a network is fed.
 */
import { BELT, DEAD, FREE, type CarrierNetwork } from './carrier-network.js';
import { back, left, right, type SiteMap } from '../site/site-map.js';

const NO_HEADINGS: readonly number[] = [];

/**
 * The headings of idle belts that would change how a carrier is fed: behind a turn, or opposite to its
 * feeder, they make it a tee merge; beside a belt that only arms feed they make it a turn, which counts
 * where lanes of a turn have another length.
 */
export function idleHeadings(map: SiteMap, net: CarrierNetwork, carrier: number): readonly number[] {
  if (net.kind[carrier] !== BELT) return NO_HEADINGS;
  const own = net.heading[carrier];
  let feeders = 0;
  let feeding = own;
  for (let c = 0; c < net.count; c++) {
    if (net.next[c] !== carrier) continue;
    feeders++;
    feeding = net.heading[c];
  }
  const { turn, unitsPerTile } = map.brief.catalog;
  const plainTurns = turn.inner === unitsPerTile && turn.outer === unitsPerTile;
  if (feeders > 1 || (feeders === 1 && feeding === own) || (feeders === 0 && plainTurns)) return NO_HEADINGS;
  const wanted = feeders === 1 ? [own, back(feeding)] : [left(own), right(own)];
  return wanted.filter((heading) => {
    const tile = map.neighbour[net.tail[carrier] * 4 + back(heading)];
    if (tile < 0 || net.occupant[tile] !== FREE) return false;
    // A splitter's blind half that faced the idle belt would no longer be blind.
    return (net.facing(tile, DEAD) & ~(1 << back(heading))) === 0;
  });
}

/** Most idle belts that can make any difference to a network. */
export function countIdleSpots(map: SiteMap, net: CarrierNetwork): number {
  let spots = 0;
  for (let carrier = 0; carrier < net.count; carrier++) if (idleHeadings(map, net, carrier).length > 0) spots++;
  return spots;
}
