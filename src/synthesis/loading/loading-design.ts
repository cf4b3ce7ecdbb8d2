/**
 * Designs of loading stations: at one price after the other, every forest of carriers (`loading-trees.ts`) with every crew
 * that brings it to just that price (`loading-crews.ts`) goes to the simulator, but for those that bounds rule out. So the
 * price that is searched is a bound on every station, and when all of that of the best one has been searched, nothing is
 * cheaper or preferred: that is the proof.
 */
import { isLess, ratio, ZERO, type Rational } from '../../base/rational.js';
import type { Brief } from '../../brief/brief.js';
import type { LoadJob } from '../../brief/load-job.js';
import { jainImbalance } from '../../base/jain.js';
import { checkLegality } from '../../layout/check-layout.js';
import { layoutCost, partCount, type Layout, type Part } from '../../layout/layout.js';
import { AllottedTime } from '../allotted-time.js';
import { SearchStopped } from '../carriers/carrier-search.js';
import { Crews } from './loading-crews.js';
import { loadingSite, type LoadingSite } from './loading-site.js';
import { firstLoadings } from './loading-first.js';
import { coreKey, stationKey } from './loading-key.js';
import { Trees, type Forest } from './loading-trees.js';
import type { DesignOutcome, DesignProgress, DesignProof, InfeasibleReason, StopCause } from '../outcome.js';
import { isPreferred, rank, type Ranked } from '../families/preference.js';
import type { ProofStep } from '../proof-step.js';
import type { Witness } from '../verifier.js';

/**
 * The simulator's word on a loading station. `start`: that from which it fails, the standard one first. `anywhere`: whether
 * it does so wherever its wagons stand.
 */
export type LoadingWitness =
  | Exclude<Witness, { readonly verdict: 'fails' }>
  | { readonly verdict: 'fails'; readonly start: number; readonly anywhere: boolean };

export interface LoadingTools {
  readonly verify: (layout: Layout, brief: Brief) => LoadingWitness;
  /** Milliseconds from any fixed moment on. */
  readonly now: () => number;
  readonly shouldStop: () => boolean;
  readonly secondsLeft?: () => number;
  readonly breathe: () => Promise<void>;
  readonly onProgress: (progress: DesignProgress) => void;
  /** Given each step of the run, in order: for a proof log. All stations are one family, which stands at 0 at first. */
  readonly onStep?: ((step: ProofStep) => void) | undefined;
}

/** The layouts that an answer is complete for. */
export const LOADING_SPACE =
  'all legal layouts in which the carriers of each entry form a tree without merges that begins with its belt: belts of its model, turns, splitters in four headings ' +
  'and underpasses of all models of the catalog, in any number; each carrier that leads nowhere, and each such half of a splitter, is picked from; ' +
  'each arm picks from a carrier and places into a chest (fed directly: into a wagon), or empties a chest into a wagon, with one such arm for each chest; ' +
  'chests of the cheapest model; no splitter favours a side';

/** Of the share of its time that a run may look for any station, as long as it has none. */
const FIRST_SHARE = 1 / 3;
const FIRST_AFTER_MILLISECONDS = 300;

class LoadingRun {
  private readonly site: LoadingSite;
  private readonly time: AllottedTime;
  private best: Ranked | undefined;
  private bound = 0;
  private undecided = Infinity;
  private rounds = 0;
  private simulations = 0;
  /** Keys of stations that fail, and of cores that fail from the standard start. */
  private readonly failed = new Set<string>();
  private readonly failedCores = new Set<string>();
  private readonly firsts: Generator<readonly Part[] | undefined, void>;
  private firstMilliseconds = 0;
  private allFirsts = false;

  constructor(
    private readonly brief: Brief,
    job: LoadJob,
    private readonly tools: LoadingTools,
  ) {
    this.site = loadingSite(brief, job);
    this.time = new AllottedTime(tools);
    this.firsts = firstLoadings(this.site, (parts, forest) => this.judge(parts, forest)?.verdict === 'passes');
  }

  private get price(): number {
    return this.best === undefined ? Infinity : Number(this.best.values[0].n);
  }

  async run(): Promise<DesignOutcome> {
    const step = this.tools.onStep;
    step?.({ kind: 'began', price: this.brief.minimise[0] === 'parts' ? 'parts' : 'cost' });
    const outcome = await this.search();
    step?.({ kind: 'claimed', status: outcome.status, bound: outcome.proof.bound });
    return outcome;
  }

  /** Every station that meets the brief costs at least `to`, but for those found. */
  private raise(to: number): void {
    this.tools.onStep?.({ kind: 'raised', family: 0, from: this.bound, price: to });
    this.bound = to;
  }

  private async search(): Promise<DesignOutcome> {
    const { site } = this;
    const target = ratio(site.wanted, 1_000_000_000);
    if (isLess(site.most, target)) {
      this.raise(Infinity);
      return { status: 'infeasible', reason: { kind: 'loading-too-slow', most: site.most, target, nearest: [], looked: 'not' }, proof: this.proof(undefined) };
    }
    const crews = new Crews(site);
    const trees = new Trees(site, crews.least);
    const limit = this.brief.minimise[0] === 'parts' ? this.brief.limits.parts : this.brief.limits.cost;
    const most = limit ?? Infinity;
    this.raise(crews.least(site.job.entries.length) + site.job.entries.reduce((sum, { belt }) => sum + site.priceOf(belt), 0));
    try {
      while (this.bound < Infinity && this.bound <= Math.min(this.price, most)) {
        this.rounds++;
        await this.breathe();
        crews.next = Infinity;
        for (const forest of trees.upTo(this.bound)) {
          for (const parts of crews.at(this.bound, forest)) {
            if (parts !== undefined) this.judge(parts, forest);
            if (this.time.isLong) await this.breathe();
          }
          if (this.time.isLong) await this.breathe();
        }
        this.raise(Math.min(trees.next, crews.next));
      }
    } catch (thrown) {
      if (thrown instanceof SearchStopped) return this.stopped();
      throw thrown;
    }
    return this.exhausted();
  }

  private async breathe(): Promise<void> {
    this.time.breathes();
    const best = this.best === undefined ? undefined : this.price;
    this.tools.onProgress({ bound: this.bound, best, round: this.rounds, simulations: this.simulations });
    await this.tools.breathe();
    if (this.tools.shouldStop()) throw new SearchStopped();
    this.lookForAny();
  }

  /** Some station to show, should the run be stopped. It takes no part in the proof. */
  private lookForAny(): void {
    const { time } = this;
    if (this.allFirsts || this.best !== undefined || time.milliseconds < FIRST_AFTER_MILLISECONDS) return;
    while (this.firstMilliseconds < FIRST_SHARE * time.milliseconds && !this.allFirsts) {
      const before = time.milliseconds;
      this.allFirsts = this.firsts.next().done === true;
      this.firstMilliseconds += time.milliseconds - before;
      if (this.tools.shouldStop()) throw new SearchStopped();
    }
  }

  /** Simulates a layout, unless it is known to fail or is not wanted; keeps the best. */
  private judge(parts: readonly Part[], { entries }: Pick<Forest, 'entries'>): LoadingWitness | undefined {
    const { brief } = this;
    const { name, catalog, site, wagons, limits } = brief;
    const layout: Layout = { name, catalog, site, wagons, parts: [...parts], exits: [], entries: [...entries] };
    if (layoutCost(layout) > (limits.cost ?? Infinity) || partCount(layout) > (limits.parts ?? Infinity)) return undefined;
    if (parts.filter(({ kind }) => kind === 'arm').length > (limits.arms ?? Infinity)) return undefined;
    const placed = brief.spotting > 0;
    const key = stationKey(layout, placed);
    if (this.failed.has(key)) return undefined;
    const core = coreKey(layout, placed);
    if (core !== undefined && this.failedCores.has(core)) return undefined;
    if (checkLegality(layout).some(({ severity }) => severity === 'error')) return undefined;
    this.simulations++;
    const witness = this.tools.verify(layout, brief);
    this.tools.onStep?.({ kind: 'judged', signature: key, exits: [], stub: false, layout, verdict: witness.verdict });
    switch (witness.verdict) {
      case 'fails':
        if (!witness.anywhere) return witness;
        this.failed.add(key);
        if (core !== undefined && witness.start === 0) this.failedCores.add(core);
        return witness;
      case 'undecided':
        this.undecided = Math.min(this.undecided, brief.minimise[0] === 'parts' ? partCount(layout) : layoutCost(layout));
        return witness;
      case 'passes': {
        if (limits.imbalance !== undefined && isLess(limits.imbalance, jainImbalance(witness.chestOutflows))) return undefined;
        const ranked = rank(layout, brief.minimise, witness);
        if (this.best === undefined || isPreferred(ranked, this.best, brief.minimise)) {
          this.best = ranked;
          this.tools.onStep?.({ kind: 'found', price: this.price, layout });
        }
        return witness;
      }
    }
  }

  private exhausted(): DesignOutcome {
    if (this.best === undefined) {
      if (this.undecided < Infinity) return { status: 'unknown', stoppedBy: 'simulation', proof: this.proof(this.undecided) };
      const { minimise, limits } = this.brief;
      const limit = minimise[0] === 'parts' ? 'parts' : 'cost';
      const allowed = limits[limit];
      const searched = { nearest: [], looked: 'not' } as const;
      const reason: InfeasibleReason =
        allowed !== undefined && this.bound > allowed && this.bound < Infinity
          ? { kind: 'limit-too-low', limit, allowed, needed: this.bound, ...searched }
          : { kind: 'space-exhausted', ...searched };
      return { status: 'infeasible', reason, proof: this.proof(undefined) };
    }
    if (this.undecided < this.price) return this.feasible(this.best, this.undecided, 'simulation');
    return { status: 'optimal', layout: this.best.layout, proof: this.proof(this.price) };
  }

  private stopped(): DesignOutcome {
    const bound = Math.min(this.bound, this.undecided);
    const stoppedBy = this.time.stopCause();
    return this.best === undefined ? { status: 'unknown', stoppedBy, proof: this.proof(bound) } : this.feasible(this.best, bound, stoppedBy);
  }

  private feasible(best: Ranked, bound: number, stoppedBy: StopCause): DesignOutcome {
    return { status: 'feasible', layout: best.layout, stoppedBy, proof: this.proof(bound) };
  }

  private proof(bound: number | undefined): DesignProof {
    const cost = this.best === undefined ? undefined : this.price;
    const gap = cost === undefined || bound === undefined ? undefined : gapOf(cost, bound);
    return {
      bound,
      cost,
      gap,
      space: LOADING_SPACE,
      solver: undefined,
      rounds: this.rounds,
      simulations: this.simulations,
      seconds: this.time.milliseconds / 1000,
    };
  }
}

const gapOf = (cost: number, bound: number): Rational => (cost === 0 ? ZERO : ratio(cost - bound, cost));

/** The cheapest loading station that meets the brief, with proof, or how far the search came. */
export const designLoading = (brief: Brief, job: LoadJob, tools: LoadingTools): Promise<DesignOutcome> => new LoadingRun(brief, job, tools).run();
