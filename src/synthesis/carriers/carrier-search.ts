/**
 * The exact search for carriers: given a crew and a number of splitters of each model, every network
 * of belts, splitters and underpasses of a stated cost that takes each arm's items to the exits.
 * Depth first from the drop tiles, always at the open place farthest from the exits. What is cut off is
 * cut off by an admissible bound on what is still to pay, or by the flow test. Whether a network that is
 * left really meets the target is for the judge (the simulator) to say.
 *
 * A network may also have idle belts, which carry nothing: a feeder that no item ever comes from still
 * makes a turn a tee merge, or a straight belt a turn. They are added to whole networks.
 */
import { dropOn } from '../../layout/drop.js';
import { CarrierBound, FAR } from './carrier-bound.js';
import {
  BELT,
  CarrierNetwork,
  DEAD,
  FREE,
  OPEN,
  SPLITTER_LEFT,
  SPLITTER_RIGHT,
  UNDERPASS,
  exitCode,
  exitOf,
  type CarrierView,
} from './carrier-network.js';
import type { Crew } from '../site/crew.js';
import { EvenSplit } from './even-split.js';
import { idleHeadings } from './idle-belts.js';
import { LaneFlow } from './lane-flow.js';
import { JoinsToCome } from './joins-to-come.js';
import { LastJoin, type JoinMemory } from './last-join.js';
import { reachOf, type Reach } from './reach.js';
import { areAlike, back, headingOf, laneRate, left, right, type SiteMap } from '../site/site-map.js';
import { Stretches } from './stretches.js';
import type { TrainBounds } from '../site/train-bounds.js';
import { looksNotBeyond, smoothTails, type SmoothTails } from './smooth-tails.js';
import { TailCosts, type Tail } from './tail-costs.js';

export type Verdict = 'passes' | 'fails' | 'undecided';

/** The least that whole networks can come to that begin with what is placed. */
export interface Prospect extends Reach {
  /** Drain imbalance, but for rounding; to be asked for before anything more is placed, and only if it matters. */
  readonly leastImbalance: () => number;
  /** Of trains, but for rounding; on the same terms. */
  readonly trainBounds: () => TrainBounds;
}

export interface CarrierSearchHooks {
  /** Says whether a complete network meets the brief. */
  readonly judge: (view: CarrierView, crew: Crew) => Verdict;
  /** Told of every network of the stated cost that passes. */
  readonly accept: (view: CarrierView, crew: Crew) => void;
  /**
   * Whether a network that reaches no less far can still be of interest; asked only while `reachMatters`. `flowsKnown`: all
   * that is left is a last stretch behind heads that were judged last.
   */
  readonly admits: (prospect: Prospect, flowsKnown: boolean) => boolean;
  readonly reachMatters: () => boolean;
  /** Whether a dearer last stretch than the cheapest may be wanted for where it lies. */
  readonly dearerTailsCount: boolean;
  /** Looked at every few hundred steps. */
  readonly shouldStop: () => boolean;
}

/**
 * One of `of` shares of a search, numbered from 0: together they go through what one share of one would. What
 * little is placed before they part is looked at by each.
 */
export interface Share {
  readonly index: number;
  readonly of: number;
}

export const WHOLE: Share = { index: 0, of: 1 };
/**
 * Carriers that are placed before shares part, besides the halves of all splitters: how these stand decides so much that all
 * that takes long may begin with a few ways of placing them.
 */
const SHARES_PART_AFTER = 3;

export class SearchStopped extends Error {
  override readonly name = 'SearchStopped';
}

/** Of a scout. */
const STEPS_OF_AN_IDLE_BELT = 50;

export class CarrierSearch {
  /** Steps taken since this object was made. */
  steps = 0;

  private readonly net: CarrierNetwork;
  private readonly bound: CarrierBound;
  private readonly flow: LaneFlow;
  private readonly stretches: Stretches;
  private readonly lastJoin: LastJoin;
  private readonly joinsToCome: JoinsToCome;
  private readonly split: EvenSplit;
  private readonly exitTaken: Uint8Array;
  private readonly splittersLeft: number[];
  private splittersTotalLeft = 0;
  private crew: Crew = { chests: [], arms: [] };
  private spent = 0;
  private budget = 0;
  private share = WHOLE;
  /** The same at every price of a crew: what is remembered of a share holds of just what belonged to it. */
  private sharesPartAt = 0;
  /** Whether what is placed lies within the share. */
  private withinShare = false;
  /** Idle belts that are paid for, and stand only once all else does; and whether there will be no more of them. */
  private idleLeft = 0;
  private idleSettled = false;
  private readonly idleBelt: number;
  /** Least cost above the budget at which some network was cut off; Infinity if none was. */
  private nextBudget = Infinity;

  private readonly tails: TailCosts;
  private tailFound = false;
  /** Whether a last stretch is only looked for, not judged. */
  private onlyLooking = false;
  /** Most that one more part of the carriers can add to the price. */
  private readonly dearestPart: number;
  /** What a network costs with the tail that is being laid. */
  private tailSpent = 0;
  /** Steps that a scout has left; Infinity in a search that must be complete. */
  private scoutSteps = Infinity;
  private scoutFound = false;
  /** [exit] */
  private readonly smooth: readonly SmoothTails[];

  /** `drops`: tiles on which arms may place; left out: all. */
  constructor(
    private readonly map: SiteMap,
    private readonly hooks: CarrierSearchHooks,
    drops?: readonly number[],
  ) {
    this.net = new CarrierNetwork(map);
    this.bound = new CarrierBound(map, this.net, drops);
    this.flow = new LaneFlow(map, this.net);
    this.split = new EvenSplit(map, this.net);
    this.stretches = new Stretches(map, this.net, this.flow);
    this.lastJoin = new LastJoin(map, this.net, this.flow, this.split, this.stretches);
    this.joinsToCome = new JoinsToCome(map, this.net, this.flow, this.stretches);
    this.exitTaken = new Uint8Array(map.demands.length);
    this.splittersLeft = map.splitters.map(() => 0);
    this.idleBelt = map.bodyBelts.reduce((best, m) => (map.belts[m].cost < map.belts[best].cost ? m : best));
    this.dearestPart = Math.max(1, ...[...map.belts, ...map.underpasses].map(({ cost }) => cost));
    this.tails = new TailCosts(map, this.net);
    this.smooth = map.demands.map((_, exit) => smoothTails(map, exit));
  }

  /** Least cost of carriers (splitters apart) that any network for this crew can have; if not `whole`, with arms still to come. */
  leastCost(crew: Crew, splitters: readonly number[], whole: boolean): number {
    this.enter(crew, splitters, whole);
    return this.bound.stillToPay(this.exitTaken, this.splittersTotalLeft);
  }

  /** How many parts carriers of that price are at least, splitters apart. */
  leastParts(carriers: number): number {
    return Math.ceil(carriers / this.dearestPart);
  }

  private readonly leastImbalance = (): number => this.flow.leastImbalance(this.splittersTotalLeft);
  private readonly trainBounds = (): TrainBounds => this.flow.trainBounds(this.splittersTotalLeft);

  takeShare(share: Share): void {
    this.share = share;
  }

  /** Says into how many networks what is searched from now on may fall. */
  allowNetworks(most: number): void {
    this.bound.mostNetworks = most;
  }

  /**
   * Hands every network for `crew` with just these splitters and carriers of exactly `budget` in all
   * (splitters apart, idle belts included) to the judge.
   * Returns the least budget above this one at which there may be more; Infinity if there is none.
   */
  run(crew: Crew, splitters: readonly number[], budget: number): number {
    this.begin(crew, splitters, budget);
    this.idleSettled = false;
    try {
      if (this.flowSuffices()) this.descend(false);
    } finally {
      this.net.undo(0);
    }
    return this.nextBudget;
  }

  /**
   * Looks for any network of at most `budget` that passes, in no more than `steps` steps, the ways that lead
   * to the exits first; with `idle`, also networks with idle belts, which take longer. Finding none proves nothing.
   */
  scout(crew: Crew, splitters: readonly number[], budget: number, steps: number, idle: boolean): boolean {
    this.share = WHOLE;
    this.begin(crew, splitters, budget);
    this.idleSettled = !idle;
    this.scoutSteps = steps;
    this.scoutFound = false;
    try {
      if (this.flowSuffices()) this.descend(false);
    } finally {
      this.scoutSteps = Infinity;
      this.net.undo(0);
    }
    return this.scoutFound;
  }

  /** Each idle belt means another simulation, so it counts for many steps. */
  private mayScoutIdle(): boolean {
    if (this.hooks.shouldStop()) throw new SearchStopped();
    this.scoutSteps -= STEPS_OF_AN_IDLE_BELT;
    return this.scoutSteps > 0 && !this.scoutFound;
  }

  private get scouting(): boolean {
    return this.scoutSteps < Infinity;
  }

  /** Whether a network of this cost is what is looked for now. */
  private isWanted(cost: number): boolean {
    return this.scouting ? cost <= this.budget : cost === this.budget;
  }

  private begin(crew: Crew, splitters: readonly number[], budget: number): void {
    this.enter(crew, splitters, true);
    this.bound.measureDistances();
    this.idleLeft = 0;
    this.budget = budget;
    this.nextBudget = Infinity;
  }

  private enter(crew: Crew, splitters: readonly number[], wholeCrew: boolean): void {
    this.crew = crew;
    this.spent = 0;
    this.splittersTotalLeft = 0;
    splitters.forEach((number, m) => {
      this.splittersLeft[m] = number;
      this.splittersTotalLeft += number;
    });
    this.withinShare = this.share.of === 1;
    this.sharesPartAt = SHARES_PART_AFTER + 2 * this.splittersTotalLeft;
    this.exitTaken.fill(0);
    this.net.enter(crew);
    this.bound.enter(wholeCrew);
    this.flow.enter(crew);
  }

  private flowSuffices(): boolean {
    return this.flow.suffices(this.splittersTotalLeft, false);
  }

  // ---------------------------------------------------------------- branching

  /**
   * `headsPass`: whether all that is left are last stretches to exits, behind heads that are known to pass.
   * `known`: of the last join, where only stretches have grown since.
   */
  private descend(headsPass: boolean, known: ReadonlyMap<number | string, boolean> = NOTHING_KNOWN, total = this.leastTotal()): void {
    this.countStep();
    if (this.scouting && (this.scoutFound || this.scoutSteps <= 0)) return;
    if (total > this.budget) {
      this.nextBudget = Math.min(this.nextBudget, total);
      return;
    }
    if (!this.withinShare && this.net.count >= this.sharesPartAt) {
      if (this.shareOfPlaced() !== this.share.index) return;
      this.withinShare = true;
      this.descendOn(headsPass, known, total);
      this.withinShare = false;
    } else this.descendOn(headsPass, known, total);
  }

  private countStep(): void {
    this.steps++;
    if ((this.steps & 255) === 0 && this.hooks.shouldStop()) throw new SearchStopped();
    if (this.scouting) this.scoutSteps--;
  }

  /** What networks cost at least that begin with what is placed. */
  private leastTotal(): number {
    return this.spent + this.bound.stillToPay(this.exitTaken, this.splittersTotalLeft);
  }

  /** Whether that matters no more: neither now nor for the price that is next. Told before the flow test, which costs more. */
  private isTooDear(total: number): boolean {
    if (total <= this.budget || total < this.nextBudget) return false;
    this.countStep();
    return true;
  }

  /** The share to which belongs all that begins with what is placed now. */
  private shareOfPlaced(): number {
    const { net } = this;
    let hash = 0x811c9dc5;
    for (let c = 0; c < net.count; c++) {
      const word = (net.tail[c] << 12) ^ (net.model[c] << 6) ^ (net.kind[c] << 3) ^ (net.heading[c] << 1) ^ (net.next[c] === DEAD ? 1 : 0);
      hash = Math.imul(hash ^ word ^ (net.head[c] << 20), 0x01000193);
    }
    // Without this the last bit would be that of the words alone, of which many have the same.
    hash = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b);
    hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
    return ((hash ^ (hash >>> 16)) >>> 0) % this.share.of;
  }

  private descendOn(headsPass: boolean, known: ReadonlyMap<number | string, boolean>, total: number): void {
    if (!this.reachAdmitted(headsPass)) return;
    const place = this.chooseOpenPlace();
    if (place < 0) {
      if (this.splittersTotalLeft === 0) this.finishWhole();
      return;
    }
    const joins = this.splittersTotalLeft === 0 ? this.stretches.joinsLeft(this.exitTaken) : undefined;
    if (joins === undefined) {
      this.branch(place, headsPass);
      return;
    }
    const { mostNetworks } = this.bound;
    const networks = mostNetworks < this.map.demands.length ? this.net.divide() + this.net.freeDrops() : 0;
    // Each join makes one network of two at most.
    if (networks - joins > mostNetworks) return;
    // What is learned here holds where these stretches grow on, but not where others grow instead of them.
    const memory = joins > 0 ? new Map(known) : undefined;
    const layOn = (): boolean => {
      if (!headsPass && joins === 0 && !this.tailsAllow()) return false;
      // A scout walks on in less time than this bound would take to tell that it need not.
      if (!this.scouting && (memory !== undefined || !headsPass || this.countOpen() > 1)) {
        const least = this.spent + this.leastOfJoins(joins, networks > mostNetworks, memory);
        if (least > this.budget) {
          this.nextBudget = Math.min(this.nextBudget, least);
          return false;
        }
      }
      if (headsPass || joins > 0 || !this.stretches.areLaid) this.goOn(place, headsPass, memory);
      else this.layTails(place);
      return true;
    };
    if (layOn() || this.idleSettled || this.idleLeft > 0) return;
    // Without idle belts there is nothing here; with some there may be, since they bring stretches onto one lane.
    this.withIdle(1, false, total + this.idleCost, layOn);
  }

  private get idleCost(): number {
    return this.map.belts[this.idleBelt].cost;
  }

  /** Does something with so many more idle belts paid for, if that may come to no more than the budget; `settled`: and no others. */
  private withIdle(more: number, settled: boolean, total: number, then: () => void): void {
    if (total > this.budget) {
      this.nextBudget = Math.min(this.nextBudget, total);
      return;
    }
    const { idleLeft, idleSettled } = this;
    this.idleLeft += more;
    this.idleSettled = settled;
    this.spent += more * this.idleCost;
    then();
    this.spent -= more * this.idleCost;
    this.idleLeft = idleLeft;
    this.idleSettled = idleSettled;
  }

  private goOn(place: number, heads: boolean, memory?: JoinMemory): void {
    if (heads && this.countOpen() === 1) this.finishTail(place);
    else this.branch(place, heads, memory);
  }

  /**
   * With nothing but a way to an exit to come for each stretch. Where that way does not matter, its heads are judged first, for
   * each number of idle belts.
   */
  private layTails(place: number): void {
    if (!this.onlyTailsLeft()) {
      this.goOn(place, false);
      return;
    }
    if (this.idleSettled) {
      if (this.anyHeadsPass() && this.reachAdmitted(true)) this.goOn(place, true);
      return;
    }
    const total = this.leastTotal();
    const tailMatters = this.idleMayTurnTails();
    const most = tailMatters ? 0 : this.countSpots();
    for (let more = 0; this.idleLeft + more <= most; more++) {
      const least = total + more * this.idleCost;
      this.withIdle(more, true, least, () => {
        this.layTails(place);
      });
      if (least > this.budget) return;
    }
    if (tailMatters) {
      this.withIdle(1, false, total + this.idleCost, () => {
        this.goOn(place, false);
      });
    }
  }

  /** Whether some last stretch that is still to come may be one on which an idle belt beside it brings all to one lane. */
  private idleMayTurnTails(): boolean {
    return this.map.demands.some(({ total }, e) => this.exitTaken[e] === 0 && total <= this.smooth[e].mostOnLane);
  }

  /** Whether enough may flow where each stretch leads to an exit of its own. */
  private tailsAllow(): boolean {
    return !this.stretches.areLaid || this.lastJoin.tailsAllow(this.idleLeft === 0);
  }

  /** Least cost of what still must come where so many joins are left; `connects`: the last one must make one network of two. */
  private leastOfJoins(joins: number, connects: boolean, memory: JoinMemory | undefined): number {
    const { lastJoin, joinsToCome, stretches } = this;
    const most = this.budget - this.spent;
    const { idleLeft } = this;
    if (memory === undefined) return joinsToCome.leastCostOfTails(most, idleLeft);
    const isLast = joins === 1 && stretches.areLaid;
    return isLast
      ? lastJoin.leastCost(this.crew, most, idleLeft, connects, memory)
      : joinsToCome.leastCost(most, idleLeft, this.bound.mostNetworks, memory);
  }

  /** The open place farthest from the exits, drop tiles before others; -1 if none is left. */
  private chooseOpenPlace(): number {
    const { map, net } = this;
    let best = -1;
    let bestKey = -1;
    const consider = (tile: number): void => {
      const key = this.bound.distance[tile] * 65_536 + (65_535 - tile);
      if (key > bestKey) {
        bestKey = key;
        best = tile;
      }
    };
    // Drop tiles first: what arms set down where decides more than how stretches lie.
    for (const tile of net.dropTiles) if (net.occupant[tile] === FREE) consider(tile);
    if (best >= 0) return best;
    for (let c = 0; c < net.count; c++) {
      if (net.next[c] === OPEN) consider(map.neighbour[net.head[c] * 4 + net.heading[c]]);
    }
    return best;
  }

  private branch(place: number, heads: boolean, memory?: JoinMemory): void {
    const { net } = this;
    const open = net.facing(place, OPEN);
    const dead = net.facing(place, DEAD);
    const dropped = net.drops[place] > 0;
    for (const heading of this.headingsFrom(place)) this.tryBelts(place, heading, open, dead, heads, memory);
    if (this.splittersTotalLeft > 0) {
      for (let heading = 0; heading < 4; heading++) {
        this.trySplitters(place, heading, true);
        this.trySplitters(place, heading, false);
      }
    }
    if (this.map.underpasses.length > 0) {
      for (let heading = 0; heading < 4; heading++) {
        this.tryUnderpassesFrom(place, heading, open, dead, heads);
        if (dropped && open === 0) this.tryUnderpassesTo(place, heading);
      }
    }
  }

  /** All headings; for a scout those that lead nearer to an exit first. */
  private headingsFrom(place: number): readonly number[] {
    if (!this.scouting) return ALL_HEADINGS;
    const { map, bound } = this;
    const after = (heading: number): number => {
      const front = map.neighbour[place * 4 + heading];
      return front < 0 ? 0 : bound.distance[front];
    };
    return [...ALL_HEADINGS].sort((a, b) => after(a) - after(b));
  }

  private tryBelts(place: number, heading: number, open: number, dead: number, heads: boolean, memory?: JoinMemory): void {
    const { map, net } = this;
    const headOn = 1 << back(heading);
    // A belt takes from behind and from both sides, so a half that is to lead nowhere must be head on.
    if ((open & headOn) !== 0 || (dead & ~headOn) !== 0) return;
    // Where two stretches come together, what is left is no longer a way for each to an exit of its own.
    const gathers = (open & (open - 1)) !== 0;
    const tailsOnly = heads && !gathers;
    const front = map.neighbour[place * 4 + heading];
    if (front < 0) {
      const exits = map.exitsAt[place * 4 + heading];
      for (let e = 0; e < map.demands.length; e++) {
        if ((exits & (1 << e)) === 0 || this.exitTaken[e] === 1 || this.sameDemandFreeBefore(e, place, heading)) continue;
        this.exitTaken[e] = 1;
        this.putBelt(place, heading, map.exitBelt[e], exitCode(e), !tailsOnly, tailsOnly);
        this.exitTaken[e] = 0;
      }
      return;
    }
    const next = net.nextOf(front, heading);
    if (next === undefined) return;
    const joins = next >= 0 || gathers || (net.drops[place] > 0 && open !== 0);
    for (const m of map.bodyBelts) {
      const check = joins || this.mayLower(place, heading, map.belts[m].speed);
      const grows = !check && next === OPEN && memory !== undefined;
      this.putBelt(place, heading, m, next, check, tailsOnly && next === OPEN, grows ? this.stillKnown(memory, place, m) : undefined);
    }
  }

  /** Of a last join, what stays known where a stretch grows on: what may be, only while the stretch bears as much as before. */
  private stillKnown(memory: JoinMemory, place: number, belt: number): JoinMemory {
    const { map, net, flow } = this;
    let feeder = 0;
    while (feeder < net.count && (net.next[feeder] !== OPEN || net.frontOf(feeder) !== place)) feeder++;
    if (feeder < net.count && map.capacities[map.belts[belt].speed] >= flow.mostFrom(feeder)) return memory;
    return new Map([...memory].filter(([, may]) => !may));
  }

  /** Whether a belt that is fed by arms alone may bear less than the flow test took its free tile for. */
  private mayLower(place: number, heading: number, speed: number): boolean {
    const { map, net } = this;
    if (net.drops[place] === 0) return false;
    if (net.drops[place] > 1 || this.splittersTotalLeft > 0) return true;
    const arm = this.crew.arms.find(({ role, target }) => role === 'load' && target === place);
    if (arm === undefined) return true;
    const drop = dropOn(headingOf(arm.heading), headingOf(heading), false);
    const best = map.bestLane[arm.model];
    if (drop.kind !== 'lane' || best > this.map.capacities[speed]) return true;
    return laneRate(map, speed, arm.model, drop.quarter) < best;
  }

  /** Equal demands are served in their order. */
  private sameDemandFreeBefore(exit: number, place: number, heading: number): boolean {
    const { map } = this;
    for (let e = 0; e < exit; e++) {
      if (this.exitTaken[e] === 1 || (map.exitsAt[place * 4 + heading] & (1 << e)) === 0) continue;
      if (areAlike(map.brief.exits[e], map.brief.exits[exit])) return true;
    }
    return false;
  }

  private putBelt(place: number, heading: number, model: number, next: number, checkFlow: boolean, heads: boolean, memory?: JoinMemory): void {
    const { net } = this;
    const belt = this.map.belts[model];
    const mark = net.count;
    const id = net.add(BELT, heading, model, place, place, -1, belt.speed);
    this.spent += belt.cost;
    if (net.settle(id, next)) {
      const total = this.leastTotal();
      if (!this.isTooDear(total) && (!checkFlow || this.flowSuffices())) this.descend(heads, memory, total);
    }
    this.spent -= belt.cost;
    net.undo(mark);
  }

  private trySplitters(place: number, heading: number, asLeft: boolean): void {
    const { map, net } = this;
    const other = map.neighbour[place * 4 + (asLeft ? right(heading) : left(heading))];
    if (other < 0 || net.occupant[other] !== FREE) return;
    const leftTile = asLeft ? place : other;
    const rightTile = asLeft ? other : place;
    const own = 1 << heading;
    // A splitter takes from behind only.
    if (((net.facing(leftTile, OPEN) | net.facing(rightTile, OPEN)) & ~own) !== 0) return;
    if (((net.facing(leftTile, DEAD) | net.facing(rightTile, DEAD)) & own) !== 0) return;
    const leftWays = this.waysOn(leftTile, heading);
    const rightWays = this.waysOn(rightTile, heading);
    for (let m = 0; m < map.splitters.length; m++) {
      if (this.splittersLeft[m] === 0) continue;
      for (const leftNext of leftWays) {
        for (const rightNext of rightWays) {
          if (leftNext === DEAD && rightNext === DEAD) continue;
          this.putSplitter(leftTile, rightTile, heading, m, leftNext, rightNext);
        }
      }
    }
  }

  /** What a splitter half on `tile` may come to pass to: one code, or OPEN and DEAD before a free tile. */
  private waysOn(tile: number, heading: number): readonly number[] {
    const { net } = this;
    const front = this.map.neighbour[tile * 4 + heading];
    if (front < 0) return DEAD_ONLY;
    if (net.occupant[front] === FREE) return this.bound.distance[front] === FAR ? DEAD_ONLY : OPEN_OR_DEAD;
    const next = net.nextOf(front, heading);
    return next === undefined ? DEAD_ONLY : [next];
  }

  private putSplitter(
    leftTile: number,
    rightTile: number,
    heading: number,
    model: number,
    leftNext: number,
    rightNext: number,
  ): void {
    const { net } = this;
    const splitter = this.map.splitters[model];
    const mark = net.count;
    const leftId = net.add(SPLITTER_LEFT, heading, model, leftTile, leftTile, mark + 1, splitter.speed);
    const rightId = net.add(SPLITTER_RIGHT, heading, model, rightTile, rightTile, mark, splitter.speed);
    this.splittersLeft[model]--;
    this.splittersTotalLeft--;
    // Only with both halves linked to what faces them does a ring through the left one show.
    const ringless = net.settle(leftId, leftNext) && net.settle(rightId, rightNext) && !(leftNext >= 0 && net.leadsTo(leftNext, leftId));
    // What a splitter that joins nothing can spoil is only what arms may give.
    const joins = leftNext >= 0 || rightNext >= 0 || this.isFedAndDropped(leftId) || this.isFedAndDropped(rightId);
    const total = ringless ? this.leastTotal() : Infinity;
    if (ringless && !this.isTooDear(total) && (joins ? this.flowSuffices() : this.flow.givesEnough(this.splittersTotalLeft))) {
      this.descend(false, NOTHING_KNOWN, total);
    }
    this.splittersLeft[model]++;
    this.splittersTotalLeft++;
    net.undo(mark);
  }

  /** Whether a carrier gets items both from another carrier and from arms, or from several arms. */
  private isFedAndDropped(carrier: number): boolean {
    const { net } = this;
    const drops = net.drops[net.tail[carrier]];
    return drops > 1 || (drops > 0 && net.isFed(carrier));
  }

  private tryUnderpassesFrom(entry: number, heading: number, open: number, dead: number, heads: boolean): void {
    const { map } = this;
    const own = 1 << heading;
    if ((open & ~own) !== 0 || (dead & own) !== 0) return;
    let exit = entry;
    for (let apart = 1; apart <= map.longestSpan; apart++) {
      exit = map.neighbour[exit * 4 + heading];
      if (exit < 0) return;
      for (let m = 0; m < map.underpasses.length; m++) {
        if (map.underpasses[m].span < apart) continue;
        this.putUnderpass(entry, exit, heading, m, heads);
      }
    }
  }

  private tryUnderpassesTo(exit: number, heading: number): void {
    const { map, net } = this;
    let entry = exit;
    for (let apart = 1; apart <= map.longestSpan; apart++) {
      entry = map.neighbour[entry * 4 + back(heading)];
      if (entry < 0) return;
      const own = 1 << heading;
      if ((net.facing(entry, OPEN) & ~own) !== 0 || (net.facing(entry, DEAD) & own) !== 0) continue;
      for (let m = 0; m < map.underpasses.length; m++) {
        if (map.underpasses[m].span < apart) continue;
        this.putUnderpass(entry, exit, heading, m, false);
      }
    }
  }

  private putUnderpass(entry: number, exit: number, heading: number, model: number, heads: boolean): void {
    const { map, net } = this;
    if (net.occupant[entry] !== FREE || net.occupant[exit] !== FREE) return;
    // Nothing passes into an exit end.
    if (net.facing(exit, OPEN) !== 0 || net.crossesUnderpass(entry, exit, heading)) return;
    const front = map.neighbour[exit * 4 + heading];
    if (front < 0) return;
    const next = net.nextOf(front, heading);
    if (next === undefined) return;
    const underpass = map.underpasses[model];
    const mark = net.count;
    const id = net.add(UNDERPASS, heading, model, entry, exit, -1, underpass.speed);
    this.spent += 2 * underpass.cost;
    const joins = next >= 0 || net.drops[entry] > 0 || net.drops[exit] > 0;
    if (net.settle(id, next)) {
      const total = this.leastTotal();
      if (!this.isTooDear(total) && (!joins || this.flowSuffices())) this.descend(heads && next === OPEN, NOTHING_KNOWN, total);
    }
    this.spent -= 2 * underpass.cost;
    net.undo(mark);
  }

  // ---------------------------------------------------------------- whole networks

  /** A network without open places: gets as many idle belts as the budget leaves. */
  private finishWhole(): void {
    if (this.idleSettled) {
      // A cheaper one is settled.
      if (this.isWanted(this.spent)) this.judgeWhole(true);
      return;
    }
    const most = this.countSpots();
    for (let more = 0; this.idleLeft + more <= most; more++) {
      const cost = this.spent + more * this.idleCost;
      this.withIdle(more, true, cost, () => {
        this.finishWhole();
      });
      if (cost > this.budget) return;
    }
  }

  /** Places the idle belts that are left, in every way, and has each outcome judged; whether any passed. */
  private judgeWhole(mayAccept: boolean): boolean {
    if (this.idleLeft > 0) return this.placeIdle(0, mayAccept);
    if (!this.flow.suffices(0, true) || !this.sharesSuffice()) return false;
    if (this.hooks.judge(this.net, this.crew) !== 'passes') return false;
    if (mayAccept) {
      this.scoutFound = true;
      this.hooks.accept(this.net, this.crew);
    }
    return true;
  }

  /** Whether each exit may get its demand where splitters share evenly; of a network without open places. */
  private sharesSuffice(): boolean {
    const { map, net, split } = this;
    if (!split.applies) return true;
    split.enter(this.crew);
    for (let c = 0; c < net.count; c++) {
      if (net.next[c] >= DEAD) continue;
      const { left: onLeft, right: onRight, total } = map.demands[exitOf(net.next[c])];
      const [l, r] = [split.mostOf(c, 0), split.mostOf(c, 1)];
      if (l < onLeft || r < onRight || l + r < total) return false;
    }
    return true;
  }

  /** Most idle belts that can make any difference to what is placed. */
  private countSpots(): number {
    let spots = 0;
    for (let carrier = 0; carrier < this.net.count; carrier++) if (idleHeadings(this.map, this.net, carrier).length > 0) spots++;
    return spots;
  }

  private placeIdle(from: number, mayAccept: boolean): boolean {
    const { map, net } = this;
    let passed = false;
    const last = net.count;
    for (let carrier = from; carrier < last; carrier++) {
      for (const heading of idleHeadings(this.map, this.net, carrier)) {
        if (this.scouting && !this.mayScoutIdle()) return passed;
        const tile = map.neighbour[net.tail[carrier] * 4 + back(heading)];
        const mark = net.count;
        const id = net.add(BELT, heading, this.idleBelt, tile, tile, -1, map.belts[this.idleBelt].speed);
        this.idleLeft--;
        net.settle(id, carrier);
        if (this.idleLeft > 0 ? this.placeIdle(carrier + 1, mayAccept) : this.judgeWhole(mayAccept)) passed = true;
        this.idleLeft++;
        net.undo(mark);
        // One that passes is enough to go on with.
        if (passed && !mayAccept) return true;
      }
    }
    return passed;
  }


  // ---------------------------------------------------------------- the last stretch

  /**
   * Whether each open place is the front of one carrier that needs nothing but a way to an exit of its own, and
   * whatever can bear that exit's demand never holds an item up. Then flows do not depend on how such a last
   * stretch lies: see `smooth-tails.ts`.
   */
  private onlyTailsLeft(): boolean {
    const { map, net } = this;
    let fastest = 0;
    let looksBeyond = false;
    for (let c = 0; c < net.count; c++) {
      if (net.next[c] !== OPEN) continue;
      const front = net.frontOf(c);
      if (net.facing(front, DEAD) !== 0) return false;
      for (let other = 0; other < c; other++) if (net.next[other] === OPEN && net.frontOf(other) === front) return false;
      fastest = Math.max(fastest, net.speed[c]);
      looksBeyond ||= !looksNotBeyond(map, net, c);
    }
    for (let e = 0; e < this.exitTaken.length; e++) {
      if (this.exitTaken[e] === 1) continue;
      const { mostSpeedBefore, mixed } = this.smooth[e];
      if (mostSpeedBefore < fastest || (mixed && looksBeyond)) return false;
    }
    return this.idleLeft === 0 || !this.idleMayTurnTails();
  }

  private countOpen(): number {
    const { net } = this;
    let open = 0;
    for (let c = 0; c < net.count; c++) if (net.next[c] === OPEN) open++;
    return open;
  }

  /** Whether the heads pass for some way of giving the exits that are left to them, each tried with a stub of one belt. */
  private anyHeadsPass(): boolean {
    const { map, net } = this;
    let open = 0;
    while (open < net.count && net.next[open] !== OPEN) open++;
    if (open === net.count) return this.judgeWhole(false);
    const front = net.frontOf(open);
    const heading = this.stubHeading(front, net.heading[open]);
    // Hemmed in by carriers that would take it for a feeder: only whole networks can tell.
    if (heading < 0) return true;
    for (let e = 0; e < map.demands.length; e++) {
      if (this.exitTaken[e] === 1) continue;
      const mark = net.count;
      const id = net.add(BELT, heading, map.exitBelt[e], front, front, -1, map.belts[map.exitBelt[e]].speed);
      this.exitTaken[e] = 1;
      net.settle(id, exitCode(e));
      const passes = this.anyHeadsPass();
      this.exitTaken[e] = 0;
      net.undo(mark);
      if (passes) return true;
    }
    return false;
  }

  /** A heading for a stub on a tile, entered with `entered`, in which it faces nothing that takes or will take items; or -1. */
  private stubHeading(tile: number, entered: number): number {
    const { map, net } = this;
    const facesNothing = (heading: number): boolean => {
      const front = map.neighbour[tile * 4 + heading];
      if (front < 0) return true;
      const next = net.nextOf(front, heading);
      return next === undefined || (next === OPEN && net.facing(front, OPEN) === 0);
    };
    return [entered, left(entered), right(entered)].find(facesNothing) ?? -1;
  }

  /**
   * The cheapest ways from the one open place to the exit that is left. A dearer way gives the same flows, so it is
   * looked at only where the cheapest way is none, or may break a limit that prices do not tell of.
   */
  private finishTail(place: number): void {
    const { net } = this;
    let feeder = 0;
    while (net.next[feeder] !== OPEN) feeder++;
    let exit = 0;
    while (this.exitTaken[exit] === 1) exit++;
    const tail = this.smooth[exit];
    this.tails.measure(tail);
    const least = this.tails.at(place, net.heading[feeder]);
    if (least === Infinity) return;
    const total = this.spent + least;
    if (total > this.budget) this.nextBudget = Math.min(this.nextBudget, total);
    this.tailSpent = total;
    this.tailFound = false;
    if (!this.isWanted(total)) {
      if (total > this.budget) return;
      this.onlyLooking = true;
      if (!this.hooks.dearerTailsCount) this.walkTail(place, net.heading[feeder], tail);
      this.onlyLooking = false;
      if (!this.tailFound) this.branch(place, true);
      return;
    }
    this.walkTail(place, net.heading[feeder], tail);
    // A cheapest way that runs into itself is no way; the true cost is then unknown, but greater.
    if (!this.tailFound || this.hooks.dearerTailsCount) this.nextBudget = Math.min(this.nextBudget, this.budget + 1);
  }

  private walkTail(place: number, entered: number, tail: Tail): void {
    const { map, net, tails } = this;
    if (net.occupant[place] !== FREE || (this.scouting && this.scoutFound) || (this.onlyLooking && this.tailFound)) return;
    const { exit, belts, underpasses } = tail;
    if (!this.onlyLooking && !this.reachAdmitted(true)) {
      this.tailFound = true;
      return;
    }
    const left = this.tailSpent - this.spent;
    const dead = net.facing(place, DEAD);
    for (let heading = 0; heading < 4; heading++) {
      if (heading === back(entered) || (dead & ~(1 << back(heading))) !== 0) continue;
      const front = map.neighbour[place * 4 + heading];
      if (front < 0) {
        const cost = map.belts[map.exitBelt[exit]].cost;
        if ((map.exitsAt[place * 4 + heading] & (1 << exit)) === 0 || cost !== left) continue;
        this.exitTaken[exit] = 1;
        this.place(BELT, place, place, heading, map.exitBelt[exit], map.belts[map.exitBelt[exit]].speed, cost, exitCode(exit), () => {
          this.tailFound = true;
          if (!this.onlyLooking && this.reachAdmitted(true)) this.judgeWhole(true);
        });
        this.exitTaken[exit] = 0;
      } else if (net.occupant[front] === FREE) {
        for (const belt of belts) {
          const { speed, cost } = map.belts[belt];
          if (tails.at(front, heading) !== left - cost) continue;
          this.place(BELT, place, place, heading, belt, speed, cost, OPEN, () => {
            this.walkTail(front, heading, tail);
          });
        }
      }
    }
    if ((dead & (1 << entered)) !== 0) return;
    let end = place;
    for (let apart = 1; apart <= map.longestSpan; apart++) {
      end = map.neighbour[end * 4 + entered];
      if (end < 0) return;
      const front = map.neighbour[end * 4 + entered];
      if (front < 0) return;
      for (const m of underpasses) {
        const model = map.underpasses[m];
        if (model.span < apart) continue;
        if (net.occupant[end] !== FREE || net.occupant[front] !== FREE) continue;
        if (net.crossesUnderpass(place, end, entered)) continue;
        if (tails.at(front, entered) !== left - 2 * model.cost) continue;
        this.place(UNDERPASS, place, end, entered, m, model.speed, 2 * model.cost, OPEN, () => {
          this.walkTail(front, entered, tail);
        });
      }
    }
  }

  private place(
    kind: number,
    tail: number,
    head: number,
    heading: number,
    model: number,
    speed: number,
    cost: number,
    next: number,
    then: () => void,
  ): void {
    const { net } = this;
    const mark = net.count;
    const id = net.add(kind, heading, model, tail, head, -1, speed);
    this.spent += cost;
    if (net.settle(id, next)) then();
    this.spent -= cost;
    net.undo(mark);
  }

  /** Whether all that stands, with what must still come, is of interest. `headsPass`: as of `descend`. */
  private reachAdmitted(headsPass: boolean): boolean {
    if (!this.hooks.reachMatters()) return true;
    const { width, depth, parts } = reachOf(this.map, this.crew, this.net);
    const toCome = this.leastParts(this.budget - this.spent) + this.splittersTotalLeft + this.idleLeft;
    // Which flows an exit gets may depend on the head that comes to lead there.
    return this.hooks.admits({ width, depth, parts: parts + toCome, leastImbalance: this.leastImbalance, trainBounds: this.trainBounds }, headsPass && this.map.demands.length === 1);
  }
}

const NOTHING_KNOWN: ReadonlyMap<number | string, boolean> = new Map();
const ALL_HEADINGS: readonly number[] = [0, 1, 2, 3];
const DEAD_ONLY: readonly number[] = [DEAD];
const OPEN_OR_DEAD: readonly number[] = [OPEN, DEAD];
