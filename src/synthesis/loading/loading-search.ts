/**
 * The search for loading stations: at one price after the other, every forest of carriers (`loading-trees.ts`) with every
 * crew that brings it to just that price (`loading-crews.ts`) goes to the simulator, but for those that bounds rule out.
 * So the price that is searched is a bound on every station. What is wanted of those that pass is for others: the best in
 * `loading-design.ts`, all that nothing betters in `loading-tradeoffs.ts`.
 */
import type { ShouldStop } from '../../base/run-stopped.js';
import { Recent } from '../../base/recent.js';
import type { Brief } from '../../brief/brief.js';
import type { LoadJob } from '../../brief/load-job.js';
import { isLegal } from '../../layout/check-layout.js';
import { layoutCost, partCount, type Layout } from '../../layout/layout.js';
import { Crews } from './loading-crews.js';
import type { Station } from './loading-begun.js';
import { allJoined } from './loading-groups.js';
import { loadingSite, type LoadingSite } from './loading-site.js';
import { coreKey, stationKey } from './loading-key.js';
import { Trees } from './loading-trees.js';
import type { Standing } from '../families/preference.js';
import { keepsToFlowLimits } from '../site/train-bounds.js';
import type { ProofStep } from '../proof-step.js';
import type { LoadingProgress, RunState } from '../search-state.js';
import { standingOf, type Others, type Told } from './loading-told.js';
import type { Passing, Witness } from '../verifier.js';

/**
 * The simulator's word on a loading station. `start`: that from which it fails, the standard one first. `anywhere`: whether
 * it does so wherever its wagons stand.
 */
type LoadingWitness =
  | Exclude<Witness, { readonly verdict: 'fails' }>
  | { readonly verdict: 'fails'; readonly start: number; readonly anywhere: boolean };

/** As `Verify`, of whole stations alone. */
export type VerifyLoading = (layout: Layout, brief: Brief, flowsAlone?: boolean, shouldStop?: ShouldStop) => LoadingWitness;

/** The layouts that an answer is complete for. */
export const LOADING_SPACE =
  'all legal layouts in which each entry begins with a belt of its model, and from no carrier two ways lead to another, whichever way their items go: ' +
  'ways of several entries may be joined, by tee merges and in splitters, but those of one entry, or that are joined already, not once more; ' +
  'belts of the model of an entry whose items come over them, turns, splitters in four headings ' +
  'and underpasses of all models of the catalog, in any number; each carrier that leads nowhere, and each such half of a splitter, is picked from; ' +
  'each arm picks from a carrier and places into a chest (fed directly: into a wagon, be it only where that stops short or far), or empties a chest into a wagon wherever that may stop, with one such arm for each chest; ' +
  'chests of the cheapest model; no splitter favours a side';

/** What keeps of the stations that are found those that are wanted. */
export interface LoadingKeep {
  /** Whether a station may be wanted, by what can be counted on it. */
  readonly admits: (layout: Layout) => boolean;
  /** Takes a station that passes and keeps to the brief's limits. */
  readonly offer: (layout: Layout, witness: Passing) => void;
  /** Told of a station that others have found and keep. */
  readonly hear?: (standing: Standing) => void;
}

export interface LoadingSearchTools {
  readonly verify: VerifyLoading;
  /** Asked in the midst of a simulation too, out of which `RunStopped` is thrown then; left out: nobody will. */
  readonly shouldStop?: ShouldStop;
  /** Given each step of the run, in order: for a proof log. All stations are one family, which stands at 0 at first. */
  readonly onStep?: ((step: ProofStep) => void) | undefined;
  /** Where an earlier run of the same brief was stopped. */
  readonly resumed?: RunState | undefined;
}

/** Keys take some hundred bytes each; twice as many may be known. What is forgotten is simulated anew. */
const MOST_KNOWN = 100_000;

export class LoadingSearch {
  readonly site: LoadingSite;
  /** Every station that meets the brief, and was not offered, costs at least this. */
  bound = 0;
  /** Price of the cheapest station whose simulation came to no end. */
  undecided = Infinity;
  /** Prices that were begun. */
  rounds = 0;
  simulations = 0;
  /** Who else searches for the same, if anybody does. */
  others: Others | undefined;
  private readonly crews: Crews;
  private readonly trees: Trees;
  /** By keys of stations, and of cores that fail from the standard start. */
  private readonly known = new Recent<Passing | 'fails'>(MOST_KNOWN);
  private readonly failedCores = new Recent<true>(MOST_KNOWN);
  /** Forests that had all their crews at the price of the bound: the first ones, in their order. */
  private forests = 0;
  /** Forests that were met in this walk. */
  private met = 0;
  private isShared = false;

  constructor(
    readonly brief: Brief,
    job: LoadJob,
    private readonly tools: LoadingSearchTools,
    private readonly keep: LoadingKeep,
  ) {
    this.site = loadingSite(brief, job);
    this.crews = new Crews(this.site);
    this.trees = new Trees(this.site, this.crews.prices);
  }

  /** Whether all arms that fit, or are allowed, carry too little, so that there is nothing to search. */
  get isTooSlow(): boolean {
    return this.site.leastArms > (this.brief.limits.arms ?? Number.MAX_SAFE_INTEGER);
  }

  /** Takes the bound to the least price that arms and first belts have, or to where the search was stopped; to be called once, first. */
  begin(): void {
    const { site } = this;
    const { resumed } = this.tools;
    if (resumed?.loading !== undefined) {
      this.bound = resumed.restBound;
      this.undecided = resumed.undecided;
      this.rounds = resumed.rounds;
      this.simulations = resumed.simulations;
      this.forests = resumed.loading.forests;
      this.crews.next = resumed.loading.next;
      return;
    }
    // No way of joining them costs less than that of all: one arm may do for several.
    this.raise(this.isTooSlow ? Infinity : this.trees.leastOf(allJoined(site).groups));
  }

  /**
   * Searches all stations of the price that the bound stands at, or those whose places are taken here (`loading-shares.ts`);
   * `rise` is to follow. Yields now and then, so that others may have their turn.
   */
  *settle(takes?: () => boolean): Generator<undefined, void> {
    if (this.forests === 0) this.rounds++;
    yield;
    yield* this.walk(this.bound, takes);
  }

  /** Raises the bound, once all stations of its price were searched. `elsewhere`: the least price above it at which there may be more, by those who helped. */
  rise(elsewhere = Infinity): void {
    const next = Math.min(this.next, elsewhere);
    this.forests = 0;
    this.isShared = false;
    // What was dearer than this price says nothing of what is dearer than the next one.
    this.crews.next = Infinity;
    this.raise(next);
  }

  /** Searches stations of a price for another one's search, as far as their places are taken here; returns the least price above it at which there may be more there. */
  *help(price: number, takes: () => boolean): Generator<undefined, number> {
    this.share();
    this.crews.next = Infinity;
    yield* this.walk(price, takes);
    return this.next;
  }

  /** To be called before others take places of this price, too: what is gone through here are not the first forests any more. */
  share(): void {
    this.isShared = true;
  }

  /** Whether they may: not before all is passed over that an earlier run has gone through. */
  get mayBeShared(): boolean {
    return this.met >= this.forests;
  }

  private *walk(price: number, takes?: () => boolean): Generator<undefined, void> {
    const { crews, trees } = this;
    this.met = 0;
    for (const forest of trees.upTo(price, takes)) {
      if (forest === undefined || ++this.met <= this.forests) {
        yield;
        continue;
      }
      for (const parts of crews.at(price, forest)) {
        if (parts !== undefined) this.judge({ parts, entries: forest.entries });
        yield;
      }
      if (!this.isShared) this.forests = this.met;
      yield;
    }
  }

  private get next(): number {
    return Math.min(this.trees.next, this.crews.next);
  }

  /** How far the search has come, for one that goes on from there. */
  get progress(): LoadingProgress {
    return { forests: this.forests, next: this.crews.next };
  }

  private raise(to: number): void {
    this.tools.onStep?.({ kind: 'raised', family: 0, from: this.bound, price: to });
    this.bound = to;
  }

  /** Simulates a station, unless it exceeds a limit, is known to fail or is not wanted, and hands it on if it passes. */
  judge(station: Station): void {
    this.listen();
    const layout = this.layoutOf(station);
    if (!this.keepsToCounts(layout) || !this.keep.admits(layout)) return;
    const witness = this.witnessOf(layout);
    if (witness?.verdict === 'passes' && keepsToFlowLimits(this.brief, witness)) this.keep.offer(layout, witness);
  }

  /** Whether it keeps to what limits say of its parts. */
  readonly allows = (station: Station): boolean => this.keepsToCounts(this.layoutOf(station));

  private keepsToCounts(layout: Layout): boolean {
    const { limits } = this.brief;
    const arms = layout.parts.filter(({ kind }) => kind === 'arm').length;
    return layoutCost(layout) <= (limits.cost ?? Infinity) && partCount(layout) <= (limits.parts ?? Infinity) && arms <= (limits.arms ?? Infinity);
  }

  /** Whether a station that serves some entries, or all, does what is asked of these, but for what limits say of its parts. */
  readonly meets = (station: Station, entries: readonly number[]): boolean => {
    const { brief, site } = this;
    const layout = this.layoutOf(station);
    if (entries.length === site.job.entries.length) {
      const witness = this.witnessOf(layout);
      return witness?.verdict === 'passes' && keepsToFlowLimits(brief, witness);
    }
    if (!isLegal(layout)) return false;
    this.simulations++;
    const load: LoadJob = { entries: [...entries].sort((a, b) => a - b).map((entry) => site.job.entries[entry]), together: undefined, fullTicks: undefined };
    return this.verify(layout, { ...brief, load }).verdict === 'passes';
  };

  private listen(): void {
    for (let told = this.others?.heard(); told !== undefined; told = this.others?.heard()) this.learn(told);
  }

  learn(told: Told): void {
    if (told.kind === 'best') {
      this.keep.hear?.(standingOf(told));
      return;
    }
    for (const key of told.stations) this.known.set(key, 'fails');
    for (const core of told.cores) this.failedCores.set(core, true);
  }

  /** All that was found to fail, for one who has heard of none of it. */
  get failures(): Told {
    return {
      kind: 'fails',
      stations: [...this.known.all()].flatMap(([key, verdict]) => (verdict === 'fails' ? [key] : [])),
      cores: [...this.failedCores.all()].map(([core]) => core),
    };
  }

  private verify(layout: Layout, brief: Brief): LoadingWitness {
    return this.tools.verify(layout, brief, false, this.tools.shouldStop);
  }

  private layoutOf({ parts, entries }: Station): Layout {
    const { name, catalog, site, wagons } = this.brief;
    return { name, catalog, site, wagons, parts: [...parts], exits: [], entries: [...entries] };
  }

  /** Undefined where a layout is not legal, or known to fail. */
  private witnessOf(layout: Layout): LoadingWitness | undefined {
    const placed = this.brief.spotting > 0;
    const key = stationKey(layout, placed);
    const known = this.known.get(key);
    if (known === 'fails') return undefined;
    const core = coreKey(layout, placed);
    if (core !== undefined && this.failedCores.get(core)) return undefined;
    if (!isLegal(layout)) return undefined;
    return known ?? this.simulate(layout, key, core);
  }

  private simulate(layout: Layout, key: string, core: string | undefined): LoadingWitness {
    const { brief } = this;
    this.simulations++;
    const witness = this.verify(layout, brief);
    this.tools.onStep?.({ kind: 'judged', signature: key, exits: [], stub: false, layout, verdict: witness.verdict });
    switch (witness.verdict) {
      case 'fails':
        if (!witness.anywhere) return witness;
        this.noteFailure({ kind: 'fails', stations: [key], cores: core !== undefined && witness.start === 0 ? [core] : [] });
        return witness;
      case 'undecided':
        this.undecided = Math.min(this.undecided, brief.minimise[0] === 'parts' ? partCount(layout) : layoutCost(layout));
        return witness;
      case 'passes':
        // Which of several wagons gets how much depends on where the station stands.
        if (brief.wagons.length === 1) this.known.set(key, witness);
        return witness;
    }
  }

  private noteFailure(told: Told): void {
    this.learn(told);
    this.others?.tell(told);
  }
}
