/**
 * How far the parts of a network under construction reach, and how many there are at least once it is whole:
 * what layouts are compared by besides price and flows.
 */
import { OPEN, SPLITTER_RIGHT, UNDERPASS, type CarrierView } from './carrier-network.js';
import type { Crew } from '../site/crew.js';
import type { SiteMap } from '../site/site-map.js';

export interface Reach {
  /** In tiles. */
  readonly width: number;
  readonly depth: number;
  readonly parts: number;
}

const NO_CARRIERS = { kind: new Int8Array(), heading: new Int8Array(), model: new Int16Array(), tail: new Int32Array(), head: new Int32Array() };
const NOTHING: CarrierView = { count: 0, ...NO_CARRIERS, mate: new Int16Array(), next: new Int16Array(), speed: new Int32Array() };

/** Of all that stands, of what must still come to stand in front of open ends, and of the edges that exits leave over. */
export function reachOf(map: SiteMap, crew: Crew, net: CarrierView = NOTHING): Reach {
  let minX = map.width;
  let minY = map.depth;
  let maxX = -1;
  let maxY = -1;
  const hold = (tile: number): void => {
    const x = tile % map.width;
    const y = (tile - x) / map.width;
    if (x < minX) minX = x;
    if (x > maxX) maxX = x;
    if (y < minY) minY = y;
    if (y > maxY) maxY = y;
  };
  for (const chest of crew.chests) hold(chest.tile);
  for (const arm of crew.arms) {
    hold(arm.tile);
    if (arm.role === 'load') hold(arm.target);
  }
  let parts = crew.chests.length + crew.arms.length;
  for (let c = 0; c < net.count; c++) {
    hold(net.tail[c]);
    hold(net.head[c]);
    if (net.next[c] === OPEN) hold(map.neighbour[net.head[c] * 4 + net.heading[c]]);
    if (net.kind[c] === UNDERPASS) parts += 2;
    else if (net.kind[c] !== SPLITTER_RIGHT) parts++;
  }
  for (const exit of map.brief.exits) {
    if (exit.edge === 'S') maxY = map.depth - 1;
    if (exit.edge === 'N') minY = 0;
    if (exit.edge === 'E') maxX = map.width - 1;
    if (exit.edge === 'W') minX = 0;
  }
  return { width: maxX - minX + 1, depth: maxY - minY + 1, parts };
}
