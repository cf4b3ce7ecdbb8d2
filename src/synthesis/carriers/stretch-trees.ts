/**
 * The cheapest trees of belts and underpasses that bring several stretches together, by the tile before which they end
 * (S. E. Dreyfus, R. A. Wagner 1971; from memory): two smaller ones meet on a tile, or one goes on.
 */
import { FREE, type CarrierNetwork } from './carrier-network.js';
import type { Joining } from './placed-carriers.js';
import type { SiteMap } from '../site/site-map.js';
import { BELT_STEP, FIRST_STEP, UNDERPASS_STEP } from './step-queues.js';
import type { Stretches, Ways } from './stretches.js';

class Tree implements Ways {
  readonly costs: Float64Array;
  readonly tiles: Int32Array;
  readonly joins = new Map<number, Joining>();
  count = 0;
  stamp = 0;

  constructor(tiles: number) {
    this.costs = new Float64Array(tiles).fill(Infinity);
    this.tiles = new Int32Array(tiles);
  }
}

/** What all else costs at least, beside a tree that comes to a placed carrier, and one that comes to an exit. */
interface Beside {
  readonly join: (set: number) => number;
  readonly exit: (set: number) => number;
}

export class StretchTrees {
  private readonly trees: (Tree | undefined)[] = [];
  private stamp = 0;
  private beside: Beside = { join: () => 0, exit: () => 0 };

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
    private readonly stretches: Stretches,
  ) {}

  /** Begins anew, where the stretches have just been measured. */
  begin(beside: Beside): void {
    this.stamp++;
    this.beside = beside;
  }

  /** Least cost of bringing a set of ends together and to one exit. */
  toExit(set: number): number {
    const { costs, tiles, count } = this.of(set);
    const onward = this.stretches.onwardOf(set);
    let least = Infinity;
    for (let at = 0; at < count; at++) least = Math.min(least, costs[tiles[at]] + onward[tiles[at]]);
    return least;
  }

  /** Of a set of several ends. */
  of(set: number): Tree {
    const { map, net, stretches } = this;
    const tree = (this.trees[set] ??= new Tree(map.tiles));
    if (tree.stamp === this.stamp) return tree;
    tree.stamp = this.stamp;
    const { costs, tiles, joins } = tree;
    const { coverCost, queue, loads, placed, beneath } = stretches;
    // Where others may come to join, it may go on by any carriers: see `sparedAt`.
    const onward = set === (1 << stretches.ends.length) - 1 ? stretches.onwardOf(set) : stretches.onward;
    const kind = loads.kindOf(set);
    const { tileCost } = loads.kinds[kind];
    for (let at = 0; at < tree.count; at++) costs[tiles[at]] = Infinity;
    joins.clear();
    const besideJoin = this.beside.join(set);
    const besideExit = this.beside.exit(set);
    let count = 0;
    const reach = (tile: number, cost: number): boolean => {
      if (cost >= costs[tile] || net.occupant[tile] !== FREE) return false;
      if (!stretches.pays(cost + Math.min(onward[tile] + besideExit, coverCost[placed.movesTo[tile]] + besideJoin))) return false;
      if (costs[tile] === Infinity) tiles[count++] = tile;
      costs[tile] = cost;
      return true;
    };
    const first = set & -set;
    const others = set ^ first;
    for (let more = (others - 1) & others; ; more = (more - 1) & others) {
      const [one, other] = [this.waysOf(first | more), this.waysOf(others ^ more)];
      const fewer = one.count < other.count ? one : other;
      for (let at = 0; at < fewer.count; at++) {
        const tile = fewer.tiles[at];
        reach(tile, one.costs[tile] + other.costs[tile] - stretches.sparedAt(tile, set));
      }
      if (more === 0) break;
    }
    queue.clear();
    for (const tile of tiles.slice(0, count).sort((a, b) => costs[a] - costs[b])) queue.push(FIRST_STEP, costs[tile], tile);
    const goOn = (step: number, from: number, heading: number, cost: number): void => {
      const front = map.neighbour[from * 4 + heading];
      if (front < 0) return;
      if (net.occupant[front] === FREE) {
        if (reach(front, cost)) queue.push(step, cost, front);
        return;
      }
      const to = net.nextOf(front, heading);
      if (to !== undefined && to >= 0 && (placed.leadsTo(to) & set) === 0) placed.noteJoining(joins, cost, to, heading);
    };
    for (let tile = queue.pop(); tile >= 0; tile = queue.pop()) {
      const cost = queue.poppedKey;
      if (cost > costs[tile]) continue;
      for (let heading = 0; heading < 4; heading++) {
        goOn(BELT_STEP, tile, heading, cost + tileCost);
        for (let k = 0, found = beneath.leads(tile, heading, kind); k < found; k++) {
          const end = beneath.ends[k];
          const m = beneath.models[k];
          const beyond = cost + 2 * map.underpasses[m].cost;
          goOn(UNDERPASS_STEP + m, end, heading, beyond);
          const ontoDrop = beyond - stretches.tileCost;
          if (net.drops[end] > 0 && reach(end, ontoDrop)) queue.push(beneath.ontoDropStep(m), ontoDrop, end);
        }
      }
    }
    tree.count = count;
    return tree;
  }

  private waysOf(set: number): Ways {
    return (set & (set - 1)) === 0 ? this.stretches.waysOf(31 - Math.clz32(set)) : this.of(set);
  }
}
