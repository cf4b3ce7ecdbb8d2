/**
 * Last stretches: what it costs at least to lead from each free tile of a network under construction to an
 * exit, by belts and underpasses that never hold an item up. Which those are is in `smooth-tails.ts`; laying
 * them is the search's.
 */
import { FREE, type CarrierNetwork } from './carrier-network.js';
import { back, type SiteMap } from '../site/site-map.js';
import { BELT_STEP, FIRST_STEP, StepQueues, UNDERPASS_STEP } from './step-queues.js';

/** The last stretch to `exit`, of these belts and underpasses (indices of models) but for the exit's own belt. */
export interface Tail {
  readonly exit: number;
  readonly belts: readonly number[];
  readonly underpasses: readonly number[];
}

export class TailCosts {
  /** [tile * 4 + heading]: least cost once a carrier must come on `tile`, entered with `heading`. */
  private readonly costs: Float64Array;
  private readonly queue: StepQueues;

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
  ) {
    this.costs = new Float64Array(map.tiles * 4);
    this.queue = new StepQueues(map.underpasses.length);
  }

  /** Infinity where there is no way. Of the tail and the network that were measured last. */
  at(tile: number, entered: number): number {
    return this.costs[tile * 4 + entered];
  }

  measure({ exit, belts, underpasses }: Tail): void {
    const { map, net, costs, queue } = this;
    costs.fill(Infinity);
    queue.clear();
    const relax = (step: number, tile: number, entered: number, cost: number): void => {
      const state = tile * 4 + entered;
      if (cost >= costs[state]) return;
      costs[state] = cost;
      queue.push(step, cost, state);
    };
    const beltCost = belts.reduce((least, belt) => Math.min(least, map.belts[belt].cost), Infinity);
    const exitCost = map.belts[map.exitBelt[exit]].cost;
    const viaBelt = (step: number, tile: number, heading: number, cost: number): void => {
      if (net.occupant[tile] !== FREE) return;
      for (let entered = 0; entered < 4; entered++) if (entered !== back(heading)) relax(step, tile, entered, cost);
    };
    for (let tile = 0; tile < map.tiles; tile++) {
      for (let heading = 0; heading < 4; heading++) {
        if ((map.exitsAt[tile * 4 + heading] & (1 << exit)) !== 0) viaBelt(FIRST_STEP, tile, heading, exitCost);
      }
    }
    for (let state = queue.pop(); state >= 0; state = queue.pop()) {
      const cost = queue.poppedKey;
      if (cost > costs[state]) continue;
      const heading = state & 3;
      let from = map.neighbour[(state >> 2) * 4 + back(heading)];
      if (from < 0) continue;
      viaBelt(BELT_STEP, from, heading, cost + beltCost);
      // An underpass whose exit end stands on `from`.
      const end = from;
      if (net.occupant[end] !== FREE) continue;
      for (let apart = 1; apart <= map.longestSpan; apart++) {
        from = map.neighbour[from * 4 + back(heading)];
        if (from < 0) break;
        for (const m of underpasses) {
          const model = map.underpasses[m];
          if (model.span < apart || net.occupant[from] !== FREE || net.crossesUnderpass(from, end, heading)) continue;
          relax(UNDERPASS_STEP + m, from, heading, cost + 2 * model.cost);
        }
      }
    }
  }
}
