/**
 * How often networks draw from chests at the least, each network counted once for each of its chests. What a few chests
 * hardly suffice for ties networks together: one that has chests of its own leaves what they have to spare to nobody. What
 * a network's carriers cost that draws from so many chests is in `network-kinds.ts`.
 */
import { sum, type Bill } from '../site/bill.js';
import type { Candidates } from '../site/candidates.js';
import { partitionsOf } from './partitions.js';
import type { SiteMap } from '../site/site-map.js';

/** What all arms give at most that can stand around one chest to fill it. */
export function mostSupplyOfChest({ fillRates }: Pick<SiteMap, 'fillRates'>, { fills }: Pick<Candidates, 'fills'>): number {
  const byChest = new Map<number, Map<number, number>>();
  for (const { chestTile, tile, model } of fills) {
    const around = byChest.get(chestTile) ?? new Map<number, number>();
    byChest.set(chestTile, around.set(tile, Math.max(around.get(tile) ?? 0, fillRates[model])));
  }
  return Math.max(0, ...[...byChest.values()].map((around) => sum([...around.values()])));
}

/**
 * Of networks that ask for `demands` and draw from all of a bill's chests, and from nothing else; Infinity where its chests
 * cannot serve them. Networks and chests are the nodes of a graph, with an edge where one draws from the other. Of its
 * components each has chests and fill arms enough for its networks, so there are no more of them than can be supplied; and
 * a component of k nodes has k - 1 edges at least.
 */
export function leastShares(demands: readonly number[], { chests, fills }: Pick<Bill, 'chests' | 'fills'>, fillRates: readonly number[], mostSupply: number): number {
  const arms = sum(fills);
  const bestArm = Math.max(0, ...fills.map((n, m) => (n > 0 ? fillRates[m] : 0)));
  let components = 0;
  for (const groups of partitionsOf(demands)) {
    const asked = groups.map(sum);
    const chestsOf = asked.map((demand) => Math.max(1, Math.ceil(demand / mostSupply)));
    const armsOf = asked.map((demand, g) => Math.max(chestsOf[g], Math.ceil(demand / bestArm)));
    if (sum(chestsOf) <= chests && sum(armsOf) <= arms) components = Math.max(components, groups.length);
  }
  return components === 0 ? Infinity : demands.length + chests - components;
}
