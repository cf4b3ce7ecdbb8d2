/**
 * The cheapest repair of a plan: an exact search through what may be taken away, turned and added. A layout that falls
 * short does so for reasons that `mend-relevance.ts` names: any that does not must differ from it in one of these
 * placements. So each branch changes one of them and settles those before it, and no repair is met twice. Branches
 * go by rising price, with what `mend-bound.ts` says is still to pay; a repair that passes while nothing cheaper is
 * left is the cheapest. The simulator, which is handed in, has the last word.
 *
 * A second queue of the same branches goes greedily for any repair at all, as does `first-repairs.ts`, so that a run that
 * is stopped has one to show, and nothing dearer is searched. Neither takes part in the proof.
 */
import { RunStopped } from '../../base/run-stopped.js';
import type { Brief, Kept } from '../../brief/brief.js';
import type { Layout } from '../../layout/layout.js';
import { AllottedTime } from '../allotted-time.js';
import { siteMap } from '../site/site-map.js';
import { FirstRepairs, type Looks } from './first-repairs.js';
import { LeastFirst } from './least-first.js';
import { loadingGraph } from './loading-graph.js';
import { MendBound } from './mend-bound.js';
import { mendSpace, type Mend, type MendOutcome, type MendProof, type MendTools, type MendWitness } from './mend-outcome.js';
import type { MendGraph } from './mend-graph.js';
import { relevantTo, type Lack } from './mend-relevance.js';
import { mendOf } from './mend-steps.js';
import { layoutOf, mendUniverse, MendState, type Universe } from './mend-universe.js';
import { unloadingGraph } from './unloading-graph.js';

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
  relevant: Int32Array;
  isDone: boolean;
}

/** Branches of one parent and one price: those from `from` up to `end` in its `relevant`. No one has looked at those from `next` on. */
interface Bundle {
  readonly parent: Branch;
  readonly price: number;
  readonly from: number;
  readonly end: number;
  next: number;
}

type Waiting = { readonly kind: 'branch'; readonly branch: Branch } | { readonly kind: 'bundle'; readonly bundle: Bundle };

const NONE = new Int32Array(0);

/** So long a repair is looked for before one is asked for that may leave nothing where it was. */
const ASK_AFTER_MILLISECONDS = 1_500;
/** When other ways are tried too, and for how long at once: two thirds of the time, until they end. */
const WIDEN_AFTER_MILLISECONDS = 300;
const WIDEN_MILLISECONDS = 80;
/** How much more the greedy queue minds what is still to pay than what is paid. */
const GREED = 3;
/** By how much a look at one more branch of a bundle puts that off. */
const LOOK_PENALTY = 0.1;
/** One in so many steps is greedy, before and after there is a repair. */
const GREEDY_EVERY = 2;
const GREEDY_EVERY_AFTER = 8;

class MendSearch {
  private readonly universe: Universe;
  private readonly bounds: MendBound;
  private readonly byLeast = new LeastFirst<Waiting>();
  private readonly greedy = new LeastFirst<Waiting>();
  private readonly time: AllottedTime;
  private readonly found: FirstRepairs;
  /** Least price of a layout that could not be decided. */
  private undecided = Infinity;
  private branches = 0;
  private simulations = 0;
  private steps = 0;
  private hasAsked = false;
  private readonly widening: Looks;
  /** Of the parts that may be bought. */
  private readonly dearest: number;

  constructor(
    layout: Layout,
    private readonly brief: Brief,
    kept: Kept,
    private readonly tools: MendTools,
  ) {
    this.universe = mendUniverse(layout, siteMap(brief), kept);
    this.bounds = new MendBound(this.universe, mendGraph(this.universe, brief));
    this.dearest = this.universe.placements.reduce((most, { cost }) => Math.max(most, cost), 0);
    this.time = new AllottedTime(tools);
    this.found = new FirstRepairs(this.universe, this.bounds, {
      simulate: (standing) => this.simulate(standing),
      glance: (standing) => this.glance(standing),
      bound: () => this.bound(),
      shouldStop: () => tools.shouldStop(),
    });
    this.widening = this.found.widen();
  }

  /** What is settled and changed on the way to a branch. */
  private stateOf(branch: Branch): MendState {
    const state = new MendState(this.universe);
    const way: Branch[] = [];
    for (let at: Branch | undefined = branch; at?.parent !== undefined; at = at.parent) way.push(at);
    for (const { parent, at } of way.reverse()) {
      const relevant = parent?.relevant ?? NONE;
      for (let before = 0; before < at; before++) state.settle(relevant[before]);
      state.change(relevant[at]);
    }
    return state;
  }

  async run(): Promise<MendOutcome> {
    const root: Branch = { parent: undefined, at: 0, price: 0, least: 0, witness: undefined, relevant: NONE, isDone: false };
    // What is being looked at waits no more, so the bound is that from before the step.
    let bound = 0;
    try {
      this.look(root);
      for (;;) {
        bound = this.bound();
        if (bound >= this.found.price || bound === Infinity) return this.exhausted();
        if (this.tools.shouldStop()) return this.stopped(bound);
        if (this.time.isLong) {
          await this.breathe();
          this.widen();
          await this.askElsewhere();
        }
        const every = this.found.cheapest === undefined ? GREEDY_EVERY : GREEDY_EVERY_AFTER;
        await this.step(++this.steps % every === 0 ? this.greedy : this.byLeast);
      }
    } catch (thrown) {
      if (thrown instanceof RunStopped) return this.stopped(bound);
      throw thrown;
    }
  }

  /** A while of it, by turns with the search. */
  private widen(): void {
    const { time, tools } = this;
    const from = time.milliseconds;
    if (from < WIDEN_AFTER_MILLISECONDS) return;
    while (time.milliseconds < from + WIDEN_MILLISECONDS && !tools.shouldStop()) if (this.widening.next().done === true) break;
    time.breathes();
  }

  /** Once, when no repair has been found for a while. */
  private async askElsewhere(): Promise<void> {
    if (this.hasAsked || this.found.cheapest !== undefined || this.time.milliseconds < ASK_AFTER_MILLISECONDS) return;
    this.hasAsked = true;
    const layout = await this.tools.designAnew();
    if (layout !== undefined) await this.toEnd(this.found.take(layout));
  }

  /** With a breath now and then. */
  private async toEnd(looks: Looks): Promise<void> {
    while (looks.next().done !== true) if (this.time.isLong) await this.breathe();
  }

  private async breathe(): Promise<void> {
    this.time.breathes();
    this.tools.onProgress({ bound: this.bound(), best: this.found.cheapest?.price, branches: this.branches, simulations: this.simulations });
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

  private async step(queue: LeastFirst<Waiting>): Promise<void> {
    let waiting = queue.pop();
    while (waiting !== undefined && !isWaiting(waiting)) waiting = queue.pop();
    if (waiting === undefined) return;
    if (waiting.kind === 'branch') {
      const { branch } = waiting;
      if (queue === this.greedy && branch.witness === undefined) {
        await this.judge(branch);
        if (!branch.isDone) await this.toEnd(this.found.diveFrom(this.stateOf(branch)));
        // Greed looks at what it gives before it goes on from there.
        if (branch.witness !== undefined && !branch.isDone) this.enter(queue, waiting);
      } else await this.expand(branch);
      return;
    }
    const { bundle } = waiting;
    const { parent, price } = bundle;
    const at = bundle.next++;
    // What is left of it waits on in the queue from which it was taken; in the other one it never left.
    if (isWaiting(waiting)) this.enter(queue, waiting);
    this.look({ parent, at, price, least: Math.max(parent.least, price), witness: undefined, relevant: NONE, isDone: false });
  }

  private enter(queue: LeastFirst<Waiting>, waiting: Waiting): void {
    const { price, least } = leastOf(waiting);
    if (queue === this.byLeast) {
      queue.push(least, -price, waiting);
      return;
    }
    const { branch, looked } = waiting.kind === 'branch' ? { branch: waiting.branch, looked: 0 } : { branch: waiting.bundle.parent, looked: waiting.bundle.next - waiting.bundle.from };
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
    this.found.allowOneMore();
    const state = this.stateOf(branch);
    branch.least = Math.max(branch.least, branch.price + this.bounds.least(state, this.found.price - branch.price));
    if (branch.least < this.found.price) this.wait({ kind: 'branch', branch });
  }

  /** Simulates a branch, once; takes it for a repair if it passes. */
  private async judge(branch: Branch): Promise<void> {
    if (branch.least >= this.found.price) {
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
      await this.toEnd(this.found.offer(state));
    }
    if (witness.verdict === 'undecided' && !fallsShort) this.undecided = Math.min(this.undecided, branch.price);
  }

  private async expand(branch: Branch): Promise<void> {
    if (branch.witness === undefined) await this.judge(branch);
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
    branch.relevant = Int32Array.from(priced, ({ id }) => id);
    for (let from = 0, end = 0; from < priced.length; from = end) {
      const { price } = priced[from];
      while (end < priced.length && priced[end].price === price) end++;
      const bundle: Bundle = { parent: branch, price: branch.price + price, from, end, next: from };
      if (Math.max(bundle.price, branch.least) < this.found.price) this.wait({ kind: 'bundle', bundle });
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

  /** `left`: the least of all that is left. */
  private proof(left: number): MendProof {
    const bound = Math.min(left, this.found.price, this.undecided);
    const { branches, simulations } = this;
    return { bound, space: mendSpace(this.brief.load !== undefined), branches, simulations, seconds: this.time.milliseconds / 1000 };
  }

  private exhausted(): MendOutcome {
    const { mended: mend } = this;
    const proof = this.proof(this.bound());
    if (this.undecided < this.found.price) {
      return mend === undefined ? { status: 'unknown', stoppedBy: 'simulation', proof } : { status: 'feasible', mend, stoppedBy: 'simulation', proof };
    }
    return mend === undefined ? { status: 'infeasible', proof } : { status: 'optimal', mend, proof };
  }

  private stopped(bound: number): MendOutcome {
    const { mended: mend } = this;
    const proof = this.proof(bound);
    if (mend !== undefined && proof.bound >= mend.price) return { status: 'optimal', mend, proof };
    const stoppedBy = this.tools.stopCause();
    return mend === undefined ? { status: 'unknown', stoppedBy, proof } : { status: 'feasible', mend, stoppedBy, proof };
  }

  private get mended(): Mend | undefined {
    const { cheapest } = this.found;
    return cheapest === undefined ? undefined : mendOf(this.universe, cheapest);
  }
}

const mendGraph = (universe: Universe, brief: Brief): MendGraph =>
  brief.load === undefined ? unloadingGraph(universe, brief.feed) : loadingGraph(universe, brief, brief.load);

const isWaiting = (waiting: Waiting): boolean =>
  waiting.kind === 'branch' ? !waiting.branch.isDone : waiting.bundle.next < waiting.bundle.end;

/** The share of what is asked that is not there, as far as known; of branches that no one has looked at, their parent's. */
const missingOf = ({ witness, parent }: Branch): number => {
  const known = witness ?? parent?.witness;
  return known === undefined || known.verdict === 'passes' ? 0 : known.verdict === 'undecided' ? 1 : 1 - known.reached;
};

const leastOf = (waiting: Waiting): { readonly price: number; readonly least: number } =>
  waiting.kind === 'branch' ? waiting.branch : { price: waiting.bundle.price, least: Math.max(waiting.bundle.price, waiting.bundle.parent.least) };

/** `brief` asks, with its exits or entries in the order of the layout's and each at its place. */
export const mend = (layout: Layout, brief: Brief, kept: Kept, tools: MendTools): Promise<MendOutcome> =>
  new MendSearch(layout, brief, kept, tools).run();
