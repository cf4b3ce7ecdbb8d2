/**
 * What the bound on repairs asks of a station's job: where items come from, where they are wanted, and what arms carry.
 * The lanes between are the same for every job (`mend-bound.ts`); the jobs are `unloading-graph.ts`, `loading-graph.ts`.
 */
import { maxRational, type Rational } from '../../base/rational.js';
import { dropOn } from '../../layout/drop.js';
import type { PlacedArm } from '../../layout/layout.js';
import { armRateBoundOfAnyHand } from '../rates/rate-model.js';
import { headingOf, type SiteMap } from '../site/site-map.js';
import type { Universe } from './mend-universe.js';

/** More than any flow, and many of it still add up exactly. */
export const ENDLESS = 2 ** 40;

/** Of each tile: lanes that come in by heading, lanes that leave, what arms set down there; a chest; what arms may pick there. */
export const NODES_OF_TILE = 27;
export const IN = 0;
export const OUT = 8;
export const DROP = 16;
export const CHEST_IN = 24;
export const CHEST_OUT = 25;
export const POOL = 26;

export const nodeOf = (tile: number, kind: number, heading = 0, lane = 0): number => tile * NODES_OF_TILE + kind + heading * 2 + lane;

/** A graph while it is laid. */
export interface FlowGround {
  readonly universe: Universe;
  readonly source: number;
  readonly sink: number;
  readonly newNode: () => number;
  /** `makers`: the placements any one of which makes the edge; left out, it is always there. */
  readonly addEdge: (from: number, to: number, most: number, makers?: readonly number[]) => void;
}

export interface MendGraph {
  /** What flows at least from source to sink wherever all is given that is asked, scaled. */
  readonly wanted: number;
  /** Most that leaves a lane of a carrier of that speed, scaled. */
  readonly laneEnd: (speed: number) => number;
  /** Lays where items come in, where they are wanted, and what arms carry. */
  readonly lay: (ground: FlowGround) => void;
}

/** Placements by the speed of their carriers. */
export function bySpeed({ placements }: Universe, ids: readonly number[]): ReadonlyMap<number, readonly number[]> {
  const found = new Map<number, number[]>();
  for (const id of ids) {
    const { part } = placements[id];
    if (part.kind === 'arm' || part.kind === 'chest') continue;
    const known = found.get(part.model.speed);
    if (known === undefined) found.set(part.model.speed, [id]);
    else known.push(id);
  }
  return found;
}

/** Most items per tick that an arm takes off carriers and puts down on one. */
export function carrierToCarrier({ brief: { catalog } }: SiteMap, arm: PlacedArm['model'], speeds: readonly number[]): Rational {
  const lengths = [...new Set([catalog.unitsPerTile, catalog.turn.inner, catalog.turn.outer])];
  const rates = speeds.flatMap((speed) => [
    ...lengths.flatMap((laneLength) =>
      [1, 2, 3].map((quarter) => armRateBoundOfAnyHand(catalog, arm, { kind: 'lane', speed, laneLength, spot: Math.floor((laneLength * quarter) / 4), testsEndAfter: 0 })),
    ),
    armRateBoundOfAnyHand(catalog, arm, { kind: 'line', speed, outputs: 2, testsEndAfter: 0 }),
  ]);
  return rates.reduce(maxRational);
}

/** What a hand puts down at most, scaled. */
interface DropRates {
  readonly lane: (speed: number, quarter: number) => number;
  readonly line: (speed: number) => number;
}

/** What an arm has in its `hand` goes onto whatever carrier stands on the tile. */
export function layDrops({ universe, addEdge }: FlowGround, hand: number, heading: number, onto: number, { lane, line }: DropRates): void {
  const { map, placements, covering } = universe;
  const speeds = [...map.laneRates.keys()];
  for (let way = 0; way < 4; way++) {
    const drop = dropOn(headingOf(heading), headingOf(way), false);
    if (drop.kind !== 'lane') continue;
    const rate = speeds.reduce((greatest, speed) => Math.max(greatest, lane(speed, drop.quarter)), 0);
    addEdge(hand, nodeOf(onto, DROP, way, drop.side === 'left' ? 0 : 1), rate);
  }
  for (const other of covering[onto]) {
    const { part: target, tiles, heading: way } = placements[other];
    if (target.kind === 'splitter') {
      const drop = dropOn(headingOf(heading), headingOf(way), true);
      if (drop.kind !== 'line') continue;
      for (const half of tiles) addEdge(hand, nodeOf(half, OUT, way, drop.side === 'left' ? 0 : 1), line(target.model.speed), [other]);
    } else if (target.kind === 'underpass' && tiles[0] === onto) {
      const drop = dropOn(headingOf(heading), headingOf(way), false);
      if (drop.kind !== 'lane') continue;
      addEdge(hand, nodeOf(tiles[1], OUT, way, drop.side === 'left' ? 0 : 1), lane(target.model.speed, drop.quarter), [other]);
    }
  }
}
