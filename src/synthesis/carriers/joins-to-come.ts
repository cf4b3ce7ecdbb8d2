/**
 * What still must come where several joins are left, or arms have nothing to place on yet: each exit that is left is reached
 * by some of the stretches together, all others come to a placed carrier. The least cost over all ways of dealing the stretches
 * out like that which the flow test allows. Where just one join is left between placed carriers, `last-join.ts` knows more.
 */
import type { CarrierNetwork } from './carrier-network.js';
import type { LaneFlow } from './lane-flow.js';
import { ANY_LANE, joinRoute } from './lane-ways.js';
import type { JoinMemory } from './last-join.js';
import { areAlike, type SiteMap } from '../site/site-map.js';
import { EXIT_BITS, MOST_ENDS, type Joinings } from './placed-carriers.js';
import { StretchTrees } from './stretch-trees.js';
import type { Stretches } from './stretches.js';

export class JoinsToCome {
  private readonly trees: StretchTrees;
  /** [set of ends]: no less takes it to bring them to one exit, and to a placed carrier. */
  private readonly gather = new Float64Array(1 << MOST_ENDS);
  private readonly join = new Float64Array(1 << MOST_ENDS);
  /** [exits * (all + 1) + set]: least cost of bringing just these ends to so many exits; and where some may be left out. */
  private readonly ways: Float64Array;
  private readonly waysOfSome: Float64Array;
  /** All ends. */
  private all = 0;
  /** The groups that ends are dealt out to: which ends, what the carrier leads to that they join (0: none), by which route, and to which exits they come. */
  private readonly groupSet = new Int32Array(MOST_ENDS);
  private readonly groupMask = new Int32Array(MOST_ENDS);
  private readonly groupRoute = new Int32Array(MOST_ENDS);
  private readonly groupExits = new Int32Array(MOST_ENDS);
  /** By open carrier, and by free drop tile. */
  private readonly routes: Int32Array;
  private readonly dropRoutes: Int32Array;
  private keepsLanes = true;
  private mostNetworks = 0;
  private memory: JoinMemory = new Map();

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
    private readonly flow: LaneFlow,
    private readonly stretches: Stretches,
  ) {
    this.trees = new StretchTrees(map, net, stretches);
    this.ways = new Float64Array((map.demands.length + 1) << MOST_ENDS);
    this.waysOfSome = new Float64Array((map.demands.length + 1) << MOST_ENDS);
    this.routes = new Int32Array(map.tiles + 4);
    this.dropRoutes = new Int32Array(map.tiles);
  }

  /**
   * Least cost of the carriers that still must come, where `joinsLeft` has just said that there is a join left or more; Infinity
   * where no joins can meet the target. What costs more than `most` is followed no further, and counts as what it had come to;
   * where something does for no more than `most`, less may be returned than that takes.
   * `idle`: so many idle belts are paid for, which could bring stretches onto one lane; 0: none will come. `mostNetworks`: into how many networks what
   * comes of it may fall; if that is less than there are exits, `divide` has just named those that there are.
   */
  leastCost(most: number, idle: number, mostNetworks: number, memory: JoinMemory): number {
    const { stretches, ways, waysOfSome } = this;
    const { ends, exitsLeft } = stretches;
    if (stretches.areTooMany) return 0;
    const spared = stretches.measure(most, idle);
    this.keepsLanes = idle === 0;
    this.mostNetworks = mostNetworks;
    this.memory = memory;
    const all = (1 << ends.length) - 1;
    this.all = all;
    this.measureQuickly();
    const exits = exitsLeft.length;
    const quick = ways[exits * (all + 1) + all];
    if (!stretches.pays(quick)) return stretches.leastCut - spared;
    this.trees.begin({
      join: (set) => waysOfSome[exits * (all + 1) + (all ^ set)],
      exit: (set) => (exits > 0 ? waysOfSome[(exits - 1) * (all + 1) + (all ^ set)] : Infinity),
    });
    return (this.deal(all, exits, 0, 0) ? quick : stretches.leastCut) - spared;
  }

  /** The same where no join is left, and each end leads to an exit of its own. */
  leastCostOfTails(most: number, idle: number): number {
    const { stretches } = this;
    if (stretches.areTooMany) return 0;
    const spared = stretches.measureExits(most, idle);
    let sum = 0;
    for (let i = 0; i < stretches.ends.length; i++) sum += stretches.tailOf(i);
    return Math.min(sum, stretches.leastCut) - spared;
  }

  /**
   * Deals the ends of `rest` out to groups, of which so many come to an exit each and all others to a placed carrier. Whether
   * any way of dealing them out that meets the target costs no more than `most`; what costs more goes to `leastCut`.
   */
  private deal(rest: number, exits: number, spent: number, groups: number): boolean {
    const { all, gather, join, ways, stretches } = this;
    if (rest === 0) return exits === 0 && this.groupsAllowed(groups);
    const first = rest & -rest;
    const others = rest ^ first;
    for (let more = 0; ; more = (more - others) & others) {
      const set = first | more;
      const left = rest ^ set;
      if (exits > 0) {
        const beside = spent + ways[(exits - 1) * (all + 1) + left];
        if (stretches.pays(beside + gather[set])) {
          const cost = this.gatherOf(set);
          if (stretches.pays(beside + cost)) {
            this.groupSet[groups] = set;
            this.groupMask[groups] = 0;
            if (this.deal(left, exits - 1, spent + cost, groups + 1)) return true;
          }
        }
      }
      const beside = spent + ways[exits * (all + 1) + left];
      if (stretches.pays(beside + join[set])) {
        for (const { cost, to, heading, mask } of this.joinsOf(set).values()) {
          if (!stretches.pays(beside + cost)) continue;
          this.groupSet[groups] = set;
          this.groupMask[groups] = mask;
          this.groupRoute[groups] = joinRoute(to, heading);
          if (this.deal(left, exits, spent + cost, groups + 1)) return true;
        }
      }
      if (more === others) return false;
    }
  }

  /**
   * Fills `gather` and `join`: a set takes no less than any of its ends, or any two of them, take at least; and from these `ways`:
   * the least cost of bringing just these ends to so many exits, and the others among them to placed carriers.
   */
  private measureQuickly(): void {
    const { all, stretches, gather, join, ways, waysOfSome } = this;
    const { ends, exitsLeft } = stretches;
    gather.fill(0, 0, all + 1);
    join.fill(0, 0, all + 1);
    const raise = (costs: Float64Array, some: number, least: number): void => {
      for (let set = some; set <= all; set = (set + 1) | some) if (costs[set] < least) costs[set] = least;
    };
    for (let i = 0; i < ends.length; i++) {
      const one = 1 << i;
      // Where further ends come to join, cheaper carriers may do.
      const sparesNothing = stretches.mostSparedOf(one) === 0;
      if (sparesNothing) raise(gather, one, stretches.tailOf(i));
      else for (let set = one; set <= all; set = (set + 1) | one) gather[set] = Math.max(gather[set], stretches.leastTailOf(i, endsIn(set) - 1));
      join[one] = leastOf(stretches.joins[i]);
      raise(join, one, sparesNothing ? join[one] : stretches.leastJoinOf(i));
      for (let j = 0; j < i; j++) {
        const other = 1 << j;
        const { tile, exit } = stretches.meetingOf(i, j);
        const meeting = Math.min(tile, exit);
        if (sparesNothing && stretches.mostSparedOf(other) === 0 && stretches.mostSparedOf(one | other) === 0) raise(gather, one | other, meeting);
        else gather[one | other] = Math.max(gather[one | other], meeting);
      }
    }
    ways.fill(Infinity, 0, (exitsLeft.length + 1) * (all + 1));
    for (let set = 0; set <= all; set++) ways[set] = join[set];
    for (let exits = 1; exits <= exitsLeft.length; exits++) {
      for (let set = 1; set <= all; set++) {
        let least = Infinity;
        for (let group = set; group > 0; group = (group - 1) & set) {
          least = Math.min(least, gather[group] + ways[(exits - 1) * (all + 1) + (set ^ group)]);
        }
        ways[exits * (all + 1) + set] = least;
      }
    }
    for (let exits = 0; exits <= exitsLeft.length; exits++) {
      const row = exits * (all + 1);
      for (let set = 0; set <= all; set++) {
        let least = ways[row + set];
        for (let i = 0; i < ends.length; i++) if ((set & (1 << i)) !== 0) least = Math.min(least, waysOfSome[row + (set ^ (1 << i))]);
        waysOfSome[row + set] = least;
      }
    }
  }

  /** Least cost of bringing a set of ends together and to one exit. */
  private gatherOf(set: number): number {
    const more = set & (set - 1);
    // Of one or two it is known.
    return (more & (more - 1)) === 0 ? this.gather[set] : this.trees.toExit(set);
  }

  /** The cheapest ways of bringing a set of ends together and to a placed carrier. */
  private joinsOf(set: number): Joinings {
    return (set & (set - 1)) === 0 ? this.stretches.joins[31 - Math.clz32(set)] : this.trees.of(set).joins;
  }

  /** Whether what the groups come to may meet the target, and falls into no more networks than it may. */
  private groupsAllowed(groups: number): boolean {
    const { map, memory, groupSet, groupMask } = this;
    if (this.mostNetworks < map.demands.length && !this.connects(groups)) return false;
    let key = '';
    for (let g = 0; g < groups; g++) key += `${groupSet[g]}:${groupMask[g] === 0 ? 0 : this.groupRoute[g]},`;
    if (!this.keepsLanes) key += 'idle';
    let known = memory.get(key);
    if (known === undefined) memory.set(key, (known = this.flowAllows(groups, this.keepsLanes, 0, 0)));
    return known;
  }

  /** Whether the networks that the groups make of those that there are come to no more than may be. */
  private connects(groups: number): boolean {
    const { net, stretches, groupSet, groupMask } = this;
    const { ends } = stretches;
    const names = new Set(net.networkOf.subarray(0, net.count));
    for (let i = 0; i < ends.length; i++) names.add(stretches.networkOfEnd(i));
    const parent = new Map([...names].map((name) => [name, name]));
    const rootOf = (name: number): number => {
      let root = name;
      while (parent.get(root) !== root) root = parent.get(root) ?? root;
      return root;
    };
    let left = names.size;
    const unite = (a: number, b: number): void => {
      const [ra, rb] = [rootOf(a), rootOf(b)];
      if (ra === rb) return;
      parent.set(ra, rb);
      left--;
    };
    for (let g = 0; g < groups; g++) {
      const own = stretches.networkOfEnd(31 - Math.clz32(groupSet[g]));
      for (let i = 0; i < ends.length; i++) if ((groupSet[g] & (1 << i)) !== 0) unite(own, stretches.networkOfEnd(i));
      if (groupMask[g] !== 0) unite(own, stretches.networkOfMask(groupMask[g]));
    }
    return left <= this.mostNetworks;
  }

  /**
   * Whether, for some way of giving the exits that are left to the groups that come to one from `from` on, enough flows.
   * A join may bring either stretch onto one lane.
   */
  private flowAllows(groups: number, keepsLanes: boolean, from: number, given: number): boolean {
    const { map, groupMask, groupExits } = this;
    const { exitsLeft } = this.stretches;
    if (from < groups) {
      if (groupMask[from] !== 0) return this.flowAllows(groups, keepsLanes, from + 1, given);
      for (const [at, exit] of exitsLeft.entries()) {
        if ((given & (1 << exit)) !== 0) continue;
        // Of exits that are alike, the first that is left.
        if (exitsLeft.some((other, before) => before < at && (given & (1 << other)) === 0 && areAlike(map.brief.exits[other], map.brief.exits[exit]))) continue;
        groupExits[from] = 1 << exit;
        if (this.flowAllows(groups, keepsLanes, from + 1, given | (1 << exit))) return true;
      }
      return false;
    }
    return this.flowsTo(groups, keepsLanes);
  }

  private flowsTo(groups: number, keepsLanes: boolean): boolean {
    const { groupSet, groupMask, groupRoute, groupExits, routes, dropRoutes } = this;
    const { ends } = this.stretches;
    // Ends on whose way something else may come to join.
    let joined = 0;
    for (let g = 0; g < groups; g++) {
      if (groupMask[g] !== 0 && this.exitsBeyond(groups, g, 0) <= 0) return false;
      const set = groupSet[g];
      joined |= groupMask[g] | ((set & (set - 1)) === 0 ? 0 : set);
    }
    for (let g = 0; g < groups; g++) {
      const route = groupMask[g] === 0 ? groupExits[g] : groupRoute[g];
      for (let i = 0; i < ends.length; i++) {
        if ((groupSet[g] & (1 << i)) === 0) continue;
        if (ends[i] < 0) dropRoutes[-1 - ends[i]] = route | ANY_LANE;
        else routes[ends[i]] = route | ((joined & (1 << i)) !== 0 || !keepsLanes ? ANY_LANE : 0);
      }
    }
    return this.flow.sufficesBy(routes, 0, false, -1, dropRoutes);
  }

  /** Exits (bits) to which a group leads that joins a placed carrier; -1 where it leads back to itself. */
  private exitsBeyond(groups: number, g: number, passed: number): number {
    const { groupSet, groupMask, groupExits } = this;
    if (groupMask[g] === 0) return groupExits[g];
    if ((passed & (1 << g)) !== 0) return -1;
    let exits = groupMask[g] >> EXIT_BITS;
    for (let other = 0; other < groups; other++) {
      if ((groupMask[g] & groupSet[other]) === 0) continue;
      const beyond = this.exitsBeyond(groups, other, passed | (1 << g));
      if (beyond < 0) return -1;
      exits |= beyond;
    }
    return exits;
  }
}

function endsIn(set: number): number {
  let count = 0;
  for (let rest = set; rest !== 0; rest &= rest - 1) count++;
  return count;
}

function leastOf(joins: Joinings): number {
  let least = Infinity;
  for (const { cost } of joins.values()) if (cost < least) least = cost;
  return least;
}
