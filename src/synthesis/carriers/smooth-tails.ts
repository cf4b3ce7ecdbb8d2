/**
 * Smooth tails: of which carriers a last stretch may be so that it never holds an item up, however it lies.
 * Then flows depend on its head alone. What such a stretch costs is in `tail-costs.ts`.
 *
 * All carriers that can bear the exit's demand are of one speed, or items take the same ticks over each of them:
 * an item that comes from a carrier no faster than any of the stretch stands within a move of that carrier behind the
 * first border. Where every lane is a multiple of every speed, it stands as far behind each further border, and is
 * on each lane for length / speed ticks. So it moves as if alone: of two items a pitch apart, the one ahead has in
 * any number of ticks moved at least as far as the head's speed takes it.
 */
import type { CarrierNetwork } from './carrier-network.js';
import { BELT, SPLITTER_LEFT, SPLITTER_RIGHT } from './carrier-network.js';
import type { SiteMap } from '../site/site-map.js';
import type { Tail } from './tail-costs.js';

/** Last stretches to one exit. */
export interface SmoothTails extends Tail {
  /** Behind a carrier faster than this, a stretch may hold items up. */
  readonly mostSpeedBefore: number;
  /** Whether carriers of several speeds bear the demand: then a head must not look into the stretch. */
  readonly mixed: boolean;
  /** Most that leaves by one lane of such a stretch: the exit's own belt is part of it. */
  readonly mostOnLane: number;
}

export function smoothTails(map: SiteMap, exit: number): SmoothTails {
  const demand = map.demands[exit];
  const own = map.belts[map.exitBelt[exit]].speed;
  const bears = (speed: number): boolean => {
    const capacity = map.endCapacities[speed];
    return 2 * capacity >= demand.total && capacity >= demand.left && capacity >= demand.right;
  };
  const belts = map.bodyBelts.filter((m) => bears(map.belts[m].speed));
  const underpasses = map.underpasses.flatMap((model, m) => (bears(model.speed) ? [m] : []));
  const speeds = [...new Set([own, ...belts.map((m) => map.belts[m].speed), ...underpasses.map((m) => map.underpasses[m].speed)])];
  const { turn, pitch, unitsPerTile } = map.brief.catalog;
  const lengths = [unitsPerTile, turn.inner, turn.outer];
  const mixed = speeds.length > 1;
  // On a turn shorter than a pitch, what is dropped before it looks further than that turn.
  const plain = Math.min(...lengths) >= pitch && (!mixed || speeds.every((speed) => lengths.every((length) => length % speed === 0)));
  return {
    exit,
    belts,
    underpasses,
    mixed,
    mostSpeedBefore: plain ? Math.min(...speeds) : -1,
    mostOnLane: map.endCapacities[own],
  };
}

/** Whether nothing that is set down on a carrier, or joins on it, looks beyond its head. */
export function looksNotBeyond(map: SiteMap, net: CarrierNetwork, carrier: number): boolean {
  const { catalog } = map.brief;
  const { turn, pitch, unitsPerTile, arms } = catalog;
  const slack = arms.reduce((most, arm) => Math.max(most, arm.slack), 0);
  const fastest = [...catalog.belts, ...catalog.splitters, ...catalog.underpasses].reduce((most, { speed }) => Math.max(most, speed), 0);
  const shortest = Math.min(unitsPerTile, turn.inner, turn.outer);
  if (shortest - Math.floor((3 * shortest) / 4) < pitch + slack) return false;
  const kind = net.kind[carrier];
  // What crosses a dividing line spends the rest of its move beyond.
  if (kind === SPLITTER_LEFT || kind === SPLITTER_RIGHT) return unitsPerTile / 2 >= pitch + slack + fastest;
  if (kind !== BELT) return true;
  // A tee merge enters close to the head.
  let feeders = 0;
  for (let c = 0; c < net.count; c++) if (net.next[c] === carrier) feeders++;
  return feeders < 2;
}
