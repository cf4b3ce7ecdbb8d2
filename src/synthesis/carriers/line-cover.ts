/**
 * What the dividing lines of splitters still to come can add to arms whose drop tiles are free. A splitter covers two tiles
 * side by side, and adds to an arm only if it stands across or against it and may lead on: a half before an arm, a chest or
 * the site's edge ends blind. So of arms in a row that place on neighbours, often none gains, and of others each takes a
 * splitter to itself. What placed splitters give is in `arm-rates.ts`.
 */
import { FREE, OPEN, type CarrierNetwork } from './carrier-network.js';
import type { Crew } from '../site/crew.js';
import { left, lineRate, right, type SiteMap } from '../site/site-map.js';

export class LineCover {
  /** Of the last call of `most`, scaled: [arm of the crew] what a dividing line can add to it. */
  readonly ofArm: Float64Array;
  /** [arm model * 2 + outputs - 1] */
  private readonly gains: Float64Array;
  /** [nth greatest] of the free drop tiles. */
  private readonly ofTiles: Float64Array;

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
  ) {
    const outputs = [1, 2] as const;
    const gain = (m: number, n: 1 | 2): number => Math.max(0, ...map.splitters.map(({ speed }) => lineRate(map, speed, m, n) - map.bestLane[m]));
    this.gains = Float64Array.from(map.arms.flatMap((_, m) => outputs.map((n) => gain(m, n))));
    this.ofArm = new Float64Array(map.tiles);
    this.ofTiles = new Float64Array(map.tiles);
  }

  /** Scaled: the most that so many splitters can add to all arms together. */
  most(crew: Crew, splittersLeft: number): number {
    const { net, ofArm, ofTiles } = this;
    ofArm.fill(0, 0, crew.arms.length);
    if (splittersLeft === 0) return 0;
    let free = 0;
    let pairs = 0;
    for (const tile of net.dropTiles) {
      if (net.occupant[tile] !== FREE) continue;
      let best = 0;
      let eastward = 0;
      let southward = 0;
      for (let heading = 0; heading < 4; heading++) {
        for (let side = 0; side < 2; side++) {
          const aside = side === 0 ? left(heading) : right(heading);
          const beside = this.map.neighbour[tile * 4 + aside];
          const outputs = this.outputsOf(tile, beside, heading);
          const gain = outputs === 0 ? 0 : this.gainAt(crew, tile, heading, outputs, true);
          if (gain === 0) continue;
          best = Math.max(best, gain);
          // Each pair once, from its first tile.
          if (aside !== 1 && aside !== 2) continue;
          if (net.drops[beside] === 0 || this.gainAt(crew, beside, heading, outputs as 1 | 2, false) === 0) continue;
          if (aside === 1) eastward = 1;
          else southward = 1;
        }
      }
      pairs += eastward + southward;
      let at = free++;
      for (; at > 0 && ofTiles[at - 1] < best; at--) ofTiles[at] = ofTiles[at - 1];
      ofTiles[at] = best;
    }
    const covered = splittersLeft + Math.min(splittersLeft, pairs);
    let sum = 0;
    for (let n = 0; n < free && n < covered; n++) sum += ofTiles[n];
    return sum;
  }

  /** How many halves may lead on of a splitter on these tiles; 0 where none can stand there. */
  private outputsOf(tile: number, beside: number, heading: number): 0 | 1 | 2 {
    const { net } = this;
    if (beside < 0 || net.occupant[beside] !== FREE) return 0;
    // It takes from behind only.
    if (((net.facing(tile, OPEN) | net.facing(beside, OPEN)) & ~(1 << heading)) !== 0) return 0;
    const outputs = this.leadsOn(tile, heading) + this.leadsOn(beside, heading);
    return outputs as 0 | 1 | 2;
  }

  private leadsOn(tile: number, heading: number): number {
    const front = this.map.neighbour[tile * 4 + heading];
    return front >= 0 && this.net.nextOf(front, heading) !== undefined ? 1 : 0;
  }

  /** What a splitter there adds to the arms that place on one of its tiles: nothing to those along its heading. */
  private gainAt(crew: Crew, tile: number, heading: number, outputs: 1 | 2, isNoted: boolean): number {
    const { ofArm, gains } = this;
    let sum = 0;
    for (let a = 0; a < crew.arms.length; a++) {
      const arm = crew.arms[a];
      if (arm.role !== 'load' || arm.target !== tile || arm.heading === heading) continue;
      const gain = gains[arm.model * 2 + outputs - 1];
      sum += gain;
      if (isNoted) ofArm[a] = Math.max(ofArm[a], gain);
    }
    return sum;
  }
}
