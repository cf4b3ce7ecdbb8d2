/**
 * The cheapest repair of a plan: an exact search through what may be taken away, turned and added. A layout that falls
 * short does so for reasons that `mend-relevance.ts` names: any that does not must differ from it in one of these
 * placements. So each branch changes one of them and settles those before it, and no repair is met twice. Branches
 * go by rising price, with what `mend-bound.ts` says is still to pay; a repair that passes while nothing cheaper is
 * left is the cheapest. The simulator, which is handed in, has the last word.
 *
 * A second queue of the same branches goes greedily for any repair at all, so that a run that is stopped has one to
 * show, and nothing dearer is searched. It takes no part in the proof.
 */
import type { Heading } from '../../base/geometry.js';
import { invariant } from '../../base/invariant.js';
import type { Brief, Kept } from '../../brief/brief.js';
import { buildOrder } from '../../layout/build-order.js';
import type { Layout, Part } from '../../layout/layout.js';
import { AllottedTime } from '../allotted-time.js';
import { LeastFirst } from './least-first.js';
import { MendBound } from './mend-bound.js';
import { relevantTo, type Lack } from './mend-relevance.js';
import { keyOf, layoutOf, mendUniverse, MendState, turnPrice, type Universe } from './mend-universe.js';
import type { StopCause } from '../outcome.js';
import { siteMap } from '../site/site-map.js';

export const MEND_SPACE =
  "all legal layouts on the plan's site, beside its wagons and with its exits, built of the plan's parts as they stand or turned " +
  'where they stand, and of any other parts of the catalog in any number, but for splitters that favour a side ' +
  '(of models that act alike, the cheapest), less whatever is to be kept';

export type MendWitness =
  | { readonly verdict: 'passes' }
  /** `reached`: the share of what is asked that is there, from 0 to 1; told to whoever looks for any repair. */
  | { readonly verdict: 'fails'; readonly lack: Lack; readonly reached: number }
  | { readonly verdict: 'undecided' };

export interface MendTools {
  readonly judge: (layout: Layout) => MendWitness;
  /** The same from the standard start alone, and not for long: what passes may still fail, what fails does, the rest is undecided. */
  readonly glance: (layout: Layout) => MendWitness;
  /** Milliseconds from any fixed moment on. */
  readonly now: () => number;
  readonly shouldStop: () => boolean;
  /** Why it is to stop. */
  readonly stopCause: () => StopCause;
  /** A layout of the site that was designed without a thought for the plan; undefined if there is none. */
  readonly designAnew: () => Promise<Layout | undefined>;
  readonly breathe: () => Promise<void>;
  readonly onProgress: (progress: MendProgress) => void;
}

export interface MendProgress {
  readonly bound: number;
  readonly best: number | undefined;
  readonly branches: number;
  readonly simulations: number;
}

export type MendStep =
  | { readonly kind: 'remove'; readonly part: Part; readonly price: number }
  | { readonly kind: 'turn'; readonly part: Part; readonly turned: Part; readonly heading: Heading; readonly price: number }
  | { readonly kind: 'add'; readonly part: Part; readonly price: number };

export interface Mend {
  readonly layout: Layout;
  readonly steps: readonly MendStep[];
  readonly price: number;
}

export interface MendProof {
  /** No repair of the space costs less; Infinity if there is none. */
  readonly bound: number;
  readonly space: string;
  readonly branches: number;
  readonly simulations: number;
  readonly seconds: number;
}

export type MendOutcome =
  | { readonly status: 'optimal'; readonly mend: Mend; readonly proof: MendProof }
  | { readonly status: 'feasible'; readonly mend: Mend; readonly stoppedBy: StopCause; readonly proof: MendProof }
  | { readonly status: 'infeasible'; readonly proof: MendProof }
  | { readonly status: 'unknown'; readonly stoppedBy: StopCause; readonly proof: MendProof };

/** A layout that comes of another one by one change, all before it in its parent's list being settled. */
interface Branch {
  readonly parent: Branch | undefined;
  /** Index into the parent's `relevant`. */
  readonly at: number;
  readonly price: number;
  /** The least that any repair of this branch costs, as far as known. */
  least: number;
  /** Set once it is judged. */
  witness: MendWitness | undefined;
  /** Set once it has branches of its own. */
  relevant: readonly number[];
  isDone: boolean;
}

/** Branches of one parent and one price that no one has looked at yet; from `next` on. */
interface Bundle {
  readonly parent: Branch;
  readonly price: number;
  readonly members: readonly number[];
  next: number;
}

type Waiting = { readonly kind: 'branch'; readonly branch: Branch } | { readonly kind: 'bundle'; readonly bundle: Bundle };

/** So long a repair is looked for before one is asked for that may leave nothing where it was. */
const ASK_AFTER_MILLISECONDS = 1_500;
/** When other ways are tried too; how many changes on top of each other, and on how many layouts of either half. */
const WIDEN_AFTER_MILLISECONDS = 300;
const WIDEN_CHANGES = 4;
const WIDEN_BREADTH = 12;
/** How much more the greedy queue minds what is still to pay than what is paid. */
const GREED = 3;
/** By how much a look at one more branch of a bundle puts that off. */
const LOOK_PENALTY = 0.1;
/** One in so many steps is greedy, before and after there is a repair. */
const GREEDY_EVERY = 2;
const GREEDY_EVERY_AFTER = 8;

/** How often a dive bounds what it comes upon: the first one, and those from branches that greed has chosen. */
const FIRST_LOOKS = 400;
const LOOKS = 30;
const BREADTH = 3;
const FIRST_TRIES = 2000;
/** How many of them at once. */
const TRIES = 500;

class MendSearch {
  private readonly universe: Universe;
  private readonly bounds: MendBound;
  private readonly byLeast = new LeastFirst<Waiting>();
  private readonly greedy = new LeastFirst<Waiting>();
  private readonly time: AllottedTime;
  private best: { readonly standing: readonly number[]; readonly price: number } | undefined;
  /** Least price of a layout that could not be decided. */
  private undecided = Infinity;
  private branches = 0;
  private simulations = 0;
  private steps = 0;
  private hasAsked = false;
  private hasWidened = false;
  /** How many layouts may still be simulated on mere suspicion. */
  private triesLeft = FIRST_TRIES;
  /** Of the parts that may be bought. */
  private readonly dearest: number;

  constructor(
    layout: Layout,
    brief: Brief,
    kept: Kept,
    private readonly tools: MendTools,
  ) {
    this.universe = mendUniverse(layout, siteMap(brief), kept);
    this.bounds = new MendBound(this.universe, brief.feed);
    this.dearest = this.universe.placements.reduce((most, { cost }) => Math.max(most, cost), 0);
    this.time = new AllottedTime(tools);
  }

  private get bestPrice(): number {
    return this.best?.price ?? Infinity;
  }

  /** What is settled and changed on the way to a branch. */
  private stateOf(branch: Branch): MendState {
    const state = new MendState(this.universe);
    const way: Branch[] = [];
    for (let at: Branch | undefined = branch; at?.parent !== undefined; at = at.parent) way.push(at);
    for (const { parent, at } of way.reverse()) {
      const relevant = parent?.relevant ?? [];
      for (let before = 0; before < at; before++) state.settle(relevant[before]);
      state.change(relevant[at]);
    }
    return state;
  }

  async run(): Promise<MendOutcome> {
    const root: Branch = { parent: undefined, at: 0, price: 0, least: 0, witness: undefined, relevant: [], isDone: false };
    this.look(root);
    for (;;) {
      const bound = this.bound();
      if (bound >= this.bestPrice || bound === Infinity) return this.exhausted();
      if (this.tools.shouldStop()) return this.stopped();
      if (this.time.isLong) {
        await this.breathe(bound);
        await this.widen();
        await this.askElsewhere();
      }
      const every = this.best === undefined ? GREEDY_EVERY : GREEDY_EVERY_AFTER;
      this.step(++this.steps % every === 0 ? this.greedy : this.byLeast);
    }
  }

  /** Once, when the search goes on for a while: looks for any repair in two more ways. No part of the proof. */
  private async widen(): Promise<void> {
    if (this.hasWidened || this.time.milliseconds < WIDEN_AFTER_MILLISECONDS) return;
    this.hasWidened = true;
    await this.changeByChange();
    if (!this.tools.shouldStop()) this.dive(new MendState(this.universe), FIRST_LOOKS, BREADTH);
  }

  /**
   * Changes one after the other, of those that matter, going on from a few layouts each time: half of them what gives
   * most, half what seems to lack least.
   */
  private async changeByChange(): Promise<void> {
    let front: readonly MendState[] = [new MendState(this.universe)];
    for (let changes = 1; changes <= WIDEN_CHANGES && front.length > 0; changes++) {
      const next = new Map<string, { readonly state: MendState; readonly reached: number; readonly least: number }>();
      for (const state of front) {
        const short = this.glance(state.standing);
        if (short.verdict !== 'fails') continue;
        for (const changed of this.oneChangeMore(state, short.lack)) {
          const key = changed.standing.join();
          if (changed.price >= this.bestPrice || next.has(key)) continue;
          const witness = this.glance(changed.standing);
          if (witness.verdict === 'passes' && this.simulate(changed.standing).verdict === 'passes') this.offer(changed);
          if (witness.verdict !== 'fails') continue;
          next.set(key, { state: changed, reached: witness.reached, least: changed.price + this.bounds.least(changed, this.bestPrice - changed.price) });
        }
        await this.breathe(this.bound());
        if (this.tools.shouldStop()) return;
      }
      const open = [...next.values()].filter(({ least }) => least < this.bestPrice);
      const byReached = [...open].sort((a, b) => b.reached - a.reached || a.least - b.least);
      const byLeast = [...open].sort((a, b) => a.least - b.least || b.reached - a.reached);
      front = [...new Set([...byReached.slice(0, WIDEN_BREADTH), ...byLeast.slice(0, WIDEN_BREADTH)])].map(({ state }) => state);
    }
  }

  /** All that comes of one more change that matters to what a layout lacks, in place of what is in its way. */
  private oneChangeMore(state: MendState, lack: Lack): readonly MendState[] {
    const { universe } = this;
    const changes = this.changesOf(state);
    const free = state.copy();
    free.settled.set(universe.fixed);
    return relevantTo(universe, free, state.standing, lack).flatMap((id) => {
      const inTheWay = free.stands[id] === 1 ? [] : free.inTheWayOf(id);
      const others = changes.filter((each) => each !== id && !inTheWay.includes(each));
      const changed = this.changed(changes.includes(id) ? others : [...others, id]);
      return changed === undefined ? [] : [changed];
    });
  }

  /** Once, when no repair has been found for a while. */
  private async askElsewhere(): Promise<void> {
    if (this.hasAsked || this.best !== undefined || this.time.milliseconds < ASK_AFTER_MILLISECONDS) return;
    this.hasAsked = true;
    const layout = await this.tools.designAnew();
    if (layout !== undefined) this.take(layout);
  }

  private async breathe(bound: number): Promise<void> {
    this.time.breathes();
    this.tools.onProgress({ bound, best: this.best?.price, branches: this.branches, simulations: this.simulations });
    await this.tools.breathe();
  }

  /** The least of all that is left; drops what is no longer waiting. */
  private bound(): number {
    for (let first = this.byLeast.first; first !== undefined; first = this.byLeast.first) {
      if (isWaiting(first.value)) return first.key;
      this.byLeast.pop();
    }
    return Infinity;
  }

  private step(queue: LeastFirst<Waiting>): void {
    let waiting = queue.pop();
    while (waiting !== undefined && !isWaiting(waiting)) waiting = queue.pop();
    if (waiting === undefined) return;
    if (waiting.kind === 'branch') {
      const { branch } = waiting;
      if (queue === this.greedy && branch.witness === undefined) {
        this.judge(branch);
        if (!branch.isDone) this.dive(this.stateOf(branch), LOOKS, 1);
        // Greed looks at what it gives before it goes on from there.
        if (branch.witness !== undefined && !branch.isDone) this.enter(queue, waiting);
      } else this.expand(branch);
      return;
    }
    const { bundle } = waiting;
    const { parent, price, members } = bundle;
    const at = members[bundle.next++];
    // What is left of it waits on in the queue from which it was taken; in the other one it never left.
    if (bundle.next < members.length) this.enter(queue, waiting);
    this.look({ parent, at, price, least: Math.max(parent.least, price), witness: undefined, relevant: [], isDone: false });
  }

  private enter(queue: LeastFirst<Waiting>, waiting: Waiting): void {
    const { price, least } = leastOf(waiting);
    if (queue === this.byLeast) {
      queue.push(least, -price, waiting);
      return;
    }
    const { branch, looked } = waiting.kind === 'branch' ? { branch: waiting.branch, looked: 0 } : { branch: waiting.bundle.parent, looked: waiting.bundle.next };
    // Bundles of one parent by turns, or the many cheap changes would come before any that helps.
    queue.push(branch.price + GREED * (branch.least - branch.price + missingOf(branch) * this.dearest) + LOOK_PENALTY * looked, -price, waiting);
  }

  private wait(waiting: Waiting): void {
    this.enter(this.byLeast, waiting);
    this.enter(this.greedy, waiting);
  }

  /** Bounds a branch, and lets it wait for its turn if it may still be of use. */
  private look(branch: Branch): void {
    this.branches++;
    this.triesLeft++;
    const state = this.stateOf(branch);
    branch.least = Math.max(branch.least, branch.price + this.bounds.least(state, this.bestPrice - branch.price));
    if (branch.least < this.bestPrice) this.wait({ kind: 'branch', branch });
  }

  /** Simulates a branch, once; takes it for a repair if it passes. */
  private judge(branch: Branch): void {
    if (branch.least >= this.bestPrice) {
      branch.isDone = true;
      return;
    }
    const state = this.stateOf(branch);
    // Where something is still to pay it can't pass, and all that is asked is what it lacks.
    const fallsShort = branch.least > branch.price;
    const sooner = fallsShort ? this.glance(state.standing) : undefined;
    const witness = sooner === undefined || sooner.verdict === 'passes' ? this.simulate(state.standing) : sooner;
    branch.witness = witness;
    if (witness.verdict === 'passes') {
      branch.isDone = true;
      this.offer(state);
    }
    if (witness.verdict === 'undecided' && !fallsShort) this.undecided = Math.min(this.undecided, branch.price);
  }

  private expand(branch: Branch): void {
    if (branch.witness === undefined) this.judge(branch);
    if (branch.isDone || branch.witness === undefined) return;
    branch.isDone = true;
    const { witness } = branch;
    const state = this.stateOf(branch);
    const { standing } = state;
    const lack: Lack = witness.verdict === 'fails' ? witness.lack : { kind: 'unproven' };
    const priced = relevantTo(this.universe, state, standing, lack)
      .map((id) => ({ id, price: state.priceOf(id) }))
      .filter(({ price }) => price < Infinity)
      // Dear ones first: those that follow must do without them, and there are many cheap ones.
      .sort((a, b) => b.price - a.price || a.id - b.id);
    branch.relevant = priced.map(({ id }) => id);
    const bundles = new Map<number, number[]>();
    priced.forEach(({ price }, at) => {
      const members = bundles.get(price);
      if (members === undefined) bundles.set(price, [at]);
      else members.push(at);
    });
    for (const [price, members] of bundles) {
      const bundle: Bundle = { parent: branch, price: branch.price + price, members, next: 0 };
      if (Math.max(bundle.price, branch.least) < this.bestPrice) this.wait({ kind: 'bundle', bundle });
    }
  }

  private glance(standing: readonly number[]): MendWitness {
    this.simulations++;
    return this.tools.glance(layoutOf(this.universe, standing));
  }

  private simulate(standing: readonly number[]): MendWitness {
    this.simulations++;
    return this.tools.judge(layoutOf(this.universe, standing));
  }

  /**
   * Looks for a repair along the flow that the bound goes by: puts one part there over which it goes, looks again, and
   * tries what gives enough by the bound. Returns the looks that are left of so many. No part of the proof.
   */
  private dive(state: MendState, looks: number, breadth: number): number {
    const { bounds } = this;
    const least = bounds.least(state, this.bestPrice - state.price);
    let left = looks - 1;
    if (state.price + least >= this.bestPrice) return left;
    if (least === 0) {
      this.tryOneMore(state);
      return left;
    }
    const next = bounds.used(state).flatMap((id) => {
      if (left <= 0 || state.priceOf(id) === Infinity) return [];
      left -= 1;
      const changed = state.copy();
      changed.change(id);
      return [{ id, changed, least: changed.price + bounds.least(changed, this.bestPrice - changed.price) }];
    });
    next.sort((a, b) => a.least - b.least || b.changed.price - a.changed.price || a.id - b.id);
    for (const { changed } of next.slice(0, breadth)) {
      if (left <= 0) break;
      left = this.dive(changed, left, breadth);
    }
    return left;
  }

  /**
   * Where flows should suffice and do not: whether one more change does it, in place of earlier ones that are in its
   * way. No part of the proof.
   */
  private tryOneMore(state: MendState): void {
    const { standing } = state;
    const first = this.glance(standing);
    const witness = first.verdict === 'passes' ? this.simulate(standing) : first;
    if (witness.verdict === 'passes') this.offer(state);
    if (witness.verdict !== 'fails') return;
    const next = this.oneChangeMore(state, witness.lack);
    let left = Math.min(this.triesLeft, TRIES);
    this.triesLeft -= left;
    for (const changed of inTurn(next)) {
      if (changed.price >= this.bestPrice) continue;
      if (left-- <= 0 || this.tools.shouldStop()) break;
      if (this.glance(changed.standing).verdict !== 'passes') continue;
      if (this.simulate(changed.standing).verdict === 'passes') this.offer(changed);
    }
    this.triesLeft += Math.max(0, left);
  }

  private changesOf({ stands }: MendState): readonly number[] {
    const { placements, standing } = this.universe;
    return placements.flatMap((_, id) => ((stands[id] === 1) === id < standing ? [] : [id]));
  }

  /** Takes a repair that passes, less whatever of it is not needed, or can be had by one change in place of one or two. */
  private offer(state: MendState): void {
    if (state.price >= this.bestPrice) return;
    this.best = { standing: state.standing, price: state.price };
    const changes = this.changesOf(state);
    for (const without of changes) {
      const less = this.changed(changes.filter((id) => id !== without));
      if (less !== undefined && less.price < this.bestPrice && this.simulate(less.standing).verdict === 'passes') {
        this.offer(less);
        return;
      }
    }
    // Each repair is cheaper than the one before, so there are not many.
    this.triesLeft = Math.max(this.triesLeft, FIRST_TRIES);
    const pairs = changes.flatMap((a, at) => changes.slice(at + 1).map((b) => [a, b]));
    for (const without of [...changes.map((id) => [id]), ...pairs]) {
      if (this.triesLeft <= 0 || this.bound() >= this.bestPrice) return;
      const less = this.changed(changes.filter((id) => !without.includes(id)));
      if (less !== undefined) this.tryOneMore(less);
    }
  }

  /** The plan with these changes: parts that come first, which take what is in their way with them. */
  private changed(changes: readonly number[]): MendState | undefined {
    const { universe } = this;
    const state = new MendState(universe);
    for (const id of [...changes.filter((each) => each >= universe.standing), ...changes.filter((each) => each < universe.standing)]) {
      if (id < universe.standing && state.stands[id] === 0) continue;
      if (state.priceOf(id) === Infinity) return undefined;
      state.change(id);
    }
    return state;
  }

  /** A layout from elsewhere, if it is one of the space and passes. */
  private take(layout: Layout): void {
    const { placements, standing } = this.universe;
    const numbers = new Map(placements.map(({ part }, id) => [keyOf(part), id]));
    const ids = layout.parts.map((part) => numbers.get(keyOf(part)));
    if (ids.some((id) => id === undefined)) return;
    const there = new Set(ids.filter((id) => id !== undefined));
    const changes = placements.flatMap((_, id) => (there.has(id) === id < standing ? [] : [id]));
    const state = this.changed(changes);
    if (state !== undefined && state.price < this.bestPrice && this.simulate(state.standing).verdict === 'passes') this.offer(state);
  }

  private get proof(): MendProof {
    const bound = Math.min(this.bound(), this.bestPrice, this.undecided);
    const { branches, simulations } = this;
    return { bound, space: MEND_SPACE, branches, simulations, seconds: this.time.milliseconds / 1000 };
  }

  private mendOf({ standing, price }: { readonly standing: readonly number[]; readonly price: number }): Mend {
    const { universe } = this;
    const { placements, turnOf, work } = universe;
    const there = new Set(standing);
    const added = standing.filter((id) => id >= universe.standing);
    const turnedBy = new Map(added.flatMap((id): (readonly [number, number])[] => (turnOf[id] >= 0 ? [[turnOf[id], id]] : [])));
    const gone = placements.slice(0, universe.standing).flatMap(({ part }, id): readonly MendStep[] => {
      const turned = turnedBy.get(id);
      if (there.has(id) || turned !== undefined) return [];
      return [{ kind: 'remove', part, price: work.remove }];
    });
    const turned = [...turnedBy].sort(([a], [b]) => a - b).map(([from, to]): MendStep => {
      const { part: other } = placements[to];
      const heading = HEADING_NAMES[placements[to].heading];
      return { kind: 'turn', part: placements[from].part, turned: other, heading, price: turnPrice(universe, from) };
    });
    const layout = layoutOf(universe, standing);
    const bought = buildOrder(layout).flatMap((index): readonly MendStep[] => {
      const id = standing[index];
      const { part, cost } = placements[id];
      return id < universe.standing || turnedBy.get(turnOf[id]) === id ? [] : [{ kind: 'add', part, price: cost }];
    });
    const steps = [...gone, ...turned, ...bought];
    invariant(steps.reduce((sum, step) => sum + step.price, 0) === price, 'the steps of a repair add up to its price', { price });
    return { layout, steps, price };
  }

  private exhausted(): MendOutcome {
    const { proof, best } = this;
    if (this.undecided < this.bestPrice) {
      return best === undefined ? { status: 'unknown', stoppedBy: 'simulation', proof } : { status: 'feasible', mend: this.mendOf(best), stoppedBy: 'simulation', proof };
    }
    return best === undefined ? { status: 'infeasible', proof } : { status: 'optimal', mend: this.mendOf(best), proof };
  }

  private stopped(): MendOutcome {
    const { proof, best } = this;
    const stoppedBy = this.tools.stopCause();
    return best === undefined ? { status: 'unknown', stoppedBy, proof } : { status: 'feasible', mend: this.mendOf(best), stoppedBy, proof };
  }
}

/** Cheap ones and dear ones by turns, for there are many cheap ones. */
function* inTurn<T extends { readonly price: number }>(all: readonly T[]): Generator<T> {
  const prices = [...new Set(all.map(({ price }) => price))].sort((a, b) => a - b);
  const rows = prices.map((price) => all.filter((each) => each.price === price));
  for (let at = 0; at < all.length; at++) for (const row of rows) if (at < row.length) yield row[at];
}

const HEADING_NAMES: readonly Heading[] = ['N', 'E', 'S', 'W'];

const isWaiting = (waiting: Waiting): boolean =>
  waiting.kind === 'branch' ? !waiting.branch.isDone : waiting.bundle.next < waiting.bundle.members.length;

/** The share of what is asked that is not there, as far as known; of branches that no one has looked at, their parent's. */
const missingOf = ({ witness, parent }: Branch): number => {
  const known = witness ?? parent?.witness;
  return known === undefined || known.verdict === 'passes' ? 0 : known.verdict === 'undecided' ? 1 : 1 - known.reached;
};

const leastOf = (waiting: Waiting): { readonly price: number; readonly least: number } =>
  waiting.kind === 'branch' ? waiting.branch : { price: waiting.bundle.price, least: Math.max(waiting.bundle.price, waiting.bundle.parent.least) };

/** `brief` asks, with its exits in the order of the layout's and each at its place. */
export const mend = (layout: Layout, brief: Brief, kept: Kept, tools: MendTools): Promise<MendOutcome> =>
  new MendSearch(layout, brief, kept, tools).run();
