/**
 * The exact search for carriers: given a crew and a number of splitters of each model, every network
 * of belts, splitters and underpasses of a stated cost that takes each arm's items to the exits.
 * Depth first from the drop tiles, always at the open place farthest from the exits. What is cut off is
 * cut off by an admissible bound on what is still to pay, or by the flow test. Whether a network that is
 * left really meets the target is for the judge (the simulator) to say.
 *
 * A network may also have idle belts, which carry nothing: a feeder that no item ever comes from still
 * makes a turn a tee merge, or a straight belt a turn. They are added to whole networks.
 *
 * What stands is in `draft.ts`, what may come next in `branching.ts`, the ways to exits that come last in
 * `last-stretches.ts`.
 */
import { RunStopped as SearchStopped } from '../../base/run-stopped.js';
import { Branching, NOTHING_KNOWN } from './branching.js';
import type { CarrierBound } from './carrier-bound.js';
import { BELT, type CarrierNetwork, type CarrierView } from './carrier-network.js';
import type { Crew } from '../site/crew.js';
import { Draft } from './draft.js';
import { EvenSplit } from './even-split.js';
import { countIdleSpots, idleHeadings } from './idle-belts.js';
import { JoinsToCome } from './joins-to-come.js';
import type { LaneFlow } from './lane-flow.js';
import { LastJoin, type JoinMemory, type KnownJoins } from './last-join.js';
import { LastStretches } from './last-stretches.js';
import { reachOf, type Reach } from './reach.js';
import { WHOLE, seedOf, sharesPartAfter, takesPlaced, type Share } from './share.js';
import { back, type SiteMap } from '../site/site-map.js';
import { Stretches } from './stretches.js';
import type { TrainBounds } from '../site/train-bounds.js';

export type Verdict = 'passes' | 'fails' | 'undecided';

/** The least that whole networks can come to that begin with what is placed. */
export interface Prospect extends Reach {
  /** Drain imbalance, but for rounding; to be asked for before anything more is placed, and only if it matters. */
  readonly leastImbalance: () => number;
  /** Of trains, but for rounding; on the same terms. */
  readonly trainBounds: () => TrainBounds;
}

interface CarrierSearchHooks {
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

/** The simulator ends so too, in the midst of a layout, if a search is to stop. */
export { SearchStopped };

/** Of a scout. */
const STEPS_OF_AN_IDLE_BELT = 50;

export class CarrierSearch {
  /** Steps taken since this object was made. */
  steps = 0;

  private readonly draft: Draft;
  private readonly net: CarrierNetwork;
  private readonly bound: CarrierBound;
  private readonly flow: LaneFlow;
  private readonly stretches: Stretches;
  private readonly lastJoin: LastJoin;
  private readonly joinsToCome: JoinsToCome;
  private readonly split: EvenSplit;
  private readonly branching: Branching;
  private readonly lastStretches: LastStretches;
  private share: Share = WHOLE;
  private sharesPartAt = 0;
  private crewSeed = 0;
  /** Whether what is placed lies within the share. */
  private withinShare = false;
  /** Most that one more part of the carriers can add to the price. */
  private readonly dearestPart: number;
  /** Steps that a scout has left; Infinity in a search that must be complete. */
  private scoutSteps = Infinity;
  private scoutFound = false;

  /** `drops`: tiles on which arms may place; left out: all. */
  constructor(
    private readonly map: SiteMap,
    private readonly hooks: CarrierSearchHooks,
    drops?: readonly number[],
  ) {
    this.draft = new Draft(map, drops);
    const { net, bound, flow } = this.draft;
    this.net = net;
    this.bound = bound;
    this.flow = flow;
    this.split = new EvenSplit(map, net);
    this.stretches = new Stretches(map, net, flow);
    this.lastJoin = new LastJoin(map, net, flow, this.split, this.stretches);
    this.joinsToCome = new JoinsToCome(map, net, flow, this.stretches);
    this.dearestPart = Math.max(1, ...[...map.belts, ...map.underpasses].map(({ cost }) => cost));
    this.branching = new Branching(this.draft, {
      descend: (headsPass, known, total) => {
        this.descend(headsPass, known, total);
      },
      countStep: () => {
        this.countStep();
      },
      isScouting: () => this.scouting,
    });
    this.lastStretches = new LastStretches(this.draft, {
      judgeWhole: (mayAccept) => this.judgeWhole(mayAccept),
      reachAdmitted: () => this.reachAdmitted(true),
      branch: (place) => {
        this.branching.branch(place, true);
      },
      isWanted: (cost) => this.isWanted(cost),
      isOver: () => this.scouting && this.scoutFound,
      dearerTailsCount: hooks.dearerTailsCount,
    });
  }

  /** Least cost of carriers (splitters apart) that any network for this crew can have; if not `whole`, with arms still to come. */
  leastCost(crew: Crew, splitters: readonly number[], whole: boolean): number {
    this.enter(crew, splitters, whole);
    return this.draft.leastTotal();
  }

  /** How many parts carriers of that price are at least, splitters apart. */
  leastParts(carriers: number): number {
    return Math.ceil(carriers / this.dearestPart);
  }

  private readonly leastImbalance = (): number => this.flow.arms.leastImbalance(this.draft.splittersTotalLeft);
  private readonly trainBounds = (): TrainBounds => this.flow.arms.trainBounds(this.draft.splittersTotalLeft);

  /** Says into how many networks what is searched from now on may fall. */
  allowNetworks(most: number): void {
    this.bound.mostNetworks = most;
  }

  /**
   * Hands every network for `crew` with just these splitters and carriers of exactly `budget` in all
   * (splitters apart, idle belts included) to the judge, or those in a share of them.
   * Returns the least budget above this one at which there may be more; Infinity if there is none.
   */
  run(crew: Crew, splitters: readonly number[], budget: number, share = WHOLE): number {
    const { draft } = this;
    this.share = share;
    this.begin(crew, splitters, budget);
    draft.idleSettled = false;
    try {
      if (draft.flowSuffices()) this.descend(false, NOTHING_KNOWN, draft.leastTotal());
    } finally {
      this.net.undo(0);
    }
    return draft.nextBudget;
  }

  /**
   * Looks for any network of at most `budget` that passes, in no more than `steps` steps, the ways that lead
   * to the exits first; with `idle`, also networks with idle belts, which take longer. Finding none proves nothing.
   */
  scout(crew: Crew, splitters: readonly number[], budget: number, steps: number, idle: boolean): boolean {
    const { draft } = this;
    this.share = WHOLE;
    this.begin(crew, splitters, budget);
    draft.idleSettled = !idle;
    this.scoutSteps = steps;
    this.scoutFound = false;
    try {
      if (draft.flowSuffices()) this.descend(false, NOTHING_KNOWN, draft.leastTotal());
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
    const { draft } = this;
    return this.scouting ? cost <= draft.budget : cost === draft.budget;
  }

  private begin(crew: Crew, splitters: readonly number[], budget: number): void {
    const { draft } = this;
    this.enter(crew, splitters, true);
    this.bound.waysOut.measure();
    this.crewSeed = seedOf(crew);
    draft.budget = budget;
    draft.nextBudget = Infinity;
  }

  private enter(crew: Crew, splitters: readonly number[], wholeCrew: boolean): void {
    const { draft } = this;
    draft.enter(crew, splitters, wholeCrew);
    this.withinShare = this.share.of === 1;
    this.sharesPartAt = sharesPartAfter(this.map.demands.length, draft.splittersTotalLeft);
  }

  // ---------------------------------------------------------------- branching

  /**
   * `headsPass`: whether all that is left are last stretches to exits, behind heads that are known to pass.
   * `known`: of the last join, where only stretches have grown since.
   */
  private descend(headsPass: boolean, known: KnownJoins, total: number): void {
    this.countStep();
    if (this.scouting && (this.scoutFound || this.scoutSteps <= 0)) return;
    if (this.draft.exceeds(total)) return;
    if (!this.withinShare && this.net.count >= this.sharesPartAt) {
      if (!takesPlaced(this.share, this.net, this.crewSeed)) return;
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

  private descendOn(headsPass: boolean, known: KnownJoins, total: number): void {
    const { draft } = this;
    if (!this.reachAdmitted(headsPass)) return;
    const place = this.branching.chooseOpenPlace();
    if (place < 0) {
      if (draft.splittersTotalLeft === 0) this.finishWhole();
      return;
    }
    const joins = draft.splittersTotalLeft === 0 ? this.stretches.joinsLeft(draft.exitTaken) : undefined;
    if (joins === undefined) this.branching.branch(place, headsPass);
    else this.layStretches(place, joins, headsPass, known, total);
  }

  /** With all splitters placed and so many joins left. */
  private layStretches(place: number, joins: number, headsPass: boolean, known: KnownJoins, total: number): void {
    const { draft } = this;
    const { mostNetworks } = this.bound;
    const networks = mostNetworks < this.map.demands.length ? this.net.divide() + this.net.freeDrops() : 0;
    // Each join makes one network of two at most.
    if (networks - joins > mostNetworks) return;
    // What is learned here holds where these stretches grow on, but not where others grow instead of them.
    const memory = joins > 0 ? new Map(known) : undefined;
    const layOn = (): boolean => {
      if (!headsPass && joins === 0 && !this.tailsAllow()) return false;
      // A scout walks on in less time than this bound would take to tell that it need not.
      if (!this.scouting && (memory !== undefined || !headsPass || this.net.openEnds() > 1)) {
        if (draft.exceeds(draft.spent + this.leastOfJoins(joins, networks > mostNetworks, memory))) return false;
      }
      if (headsPass || joins > 0 || !this.stretches.areLaid) this.goOn(place, headsPass, memory);
      else this.layTails(place);
      return true;
    };
    if (layOn() || draft.idleSettled || draft.idleLeft > 0) return;
    // Without idle belts there is nothing here; with some there may be, since they bring stretches onto one lane.
    draft.withIdle(1, false, total + draft.idleCost, layOn);
  }

  private goOn(place: number, heads: boolean, memory?: JoinMemory): void {
    if (heads && this.net.openEnds() === 1) this.lastStretches.finishTail(place);
    else this.branching.branch(place, heads, memory);
  }

  /**
   * With nothing but a way to an exit to come for each stretch. Where that way does not matter, its heads are judged first, for
   * each number of idle belts.
   */
  private layTails(place: number): void {
    const { draft } = this;
    if (!this.lastStretches.onlyTailsLeft()) {
      this.goOn(place, false);
      return;
    }
    if (draft.idleSettled) {
      if (this.lastStretches.anyHeadsPass() && this.reachAdmitted(true)) this.goOn(place, true);
      return;
    }
    const total = draft.leastTotal();
    const tailMatters = this.lastStretches.idleMayTurnTails();
    const most = tailMatters ? 0 : countIdleSpots(this.map, this.net);
    for (let more = 0; draft.idleLeft + more <= most; more++) {
      const least = total + more * draft.idleCost;
      draft.withIdle(more, true, least, () => {
        this.layTails(place);
      });
      if (least > draft.budget) return;
    }
    if (tailMatters) {
      draft.withIdle(1, false, total + draft.idleCost, () => {
        this.goOn(place, false);
      });
    }
  }

  /** Whether enough may flow where each stretch leads to an exit of its own. */
  private tailsAllow(): boolean {
    return !this.stretches.areLaid || this.lastJoin.tailsAllow(this.draft.idleLeft === 0);
  }

  /** Least cost of what still must come where so many joins are left; `connects`: the last one must make one network of two. */
  private leastOfJoins(joins: number, connects: boolean, memory: JoinMemory | undefined): number {
    const { draft, lastJoin, joinsToCome, stretches } = this;
    const most = draft.budget - draft.spent;
    const { idleLeft } = draft;
    if (memory === undefined) return joinsToCome.leastCostOfTails(most, idleLeft);
    const isLast = joins === 1 && stretches.areLaid;
    return isLast
      ? lastJoin.leastCost(draft.crew, most, idleLeft, connects, memory)
      : joinsToCome.leastCost(most, idleLeft, this.bound.mostNetworks, memory);
  }

  // ---------------------------------------------------------------- whole networks

  /** A network without open places: gets as many idle belts as the budget leaves. */
  private finishWhole(): void {
    const { draft } = this;
    if (draft.idleSettled) {
      // A cheaper one is settled.
      if (this.isWanted(draft.spent)) this.judgeWhole(true);
      return;
    }
    const most = countIdleSpots(this.map, this.net);
    for (let more = 0; draft.idleLeft + more <= most; more++) {
      const cost = draft.spent + more * draft.idleCost;
      draft.withIdle(more, true, cost, () => {
        this.finishWhole();
      });
      if (cost > draft.budget) return;
    }
  }

  /** Places the idle belts that are left, in every way, and has each outcome judged; whether any passed. */
  private judgeWhole(mayAccept: boolean): boolean {
    const { draft } = this;
    if (draft.idleLeft > 0) return this.placeIdle(0, mayAccept);
    if (!this.flow.wholeSuffices() || !this.split.suffices(draft.crew)) return false;
    if (this.hooks.judge(this.net, draft.crew) !== 'passes') return false;
    if (mayAccept) {
      this.scoutFound = true;
      this.hooks.accept(this.net, draft.crew);
    }
    return true;
  }

  private placeIdle(from: number, mayAccept: boolean): boolean {
    const { draft, map, net } = this;
    let passed = false;
    const last = net.count;
    for (let carrier = from; carrier < last; carrier++) {
      for (const heading of idleHeadings(this.map, this.net, carrier)) {
        if (this.scouting && !this.mayScoutIdle()) return passed;
        const tile = map.neighbour[net.tail[carrier] * 4 + back(heading)];
        const mark = net.count;
        const id = net.add(BELT, heading, draft.idleBelt, tile, tile, -1, map.belts[draft.idleBelt].speed);
        draft.idleLeft--;
        net.settle(id, carrier);
        if (draft.idleLeft > 0 ? this.placeIdle(carrier + 1, mayAccept) : this.judgeWhole(mayAccept)) passed = true;
        draft.idleLeft++;
        net.undo(mark);
        // One that passes is enough to go on with.
        if (passed && !mayAccept) return true;
      }
    }
    return passed;
  }

  // ---------------------------------------------------------------- what is of interest

  /** Whether all that stands, with what must still come, is of interest. `headsPass`: as of `descend`. */
  private reachAdmitted(headsPass: boolean): boolean {
    const { draft } = this;
    if (!this.hooks.reachMatters()) return true;
    const { width, depth, parts } = reachOf(this.map, draft.crew, this.net);
    const toCome = this.leastParts(draft.budget - draft.spent) + draft.splittersTotalLeft + draft.idleLeft;
    // Which flows an exit gets may depend on the head that comes to lead there.
    return this.hooks.admits({ width, depth, parts: parts + toCome, leastImbalance: this.leastImbalance, trainBounds: this.trainBounds }, headsPass && this.map.demands.length === 1);
  }
}
