/**
 * Designs of loading stations: prices are searched in rising order (`loading-search.ts`), and of what passes the preferred
 * is kept. When all of its price has been searched, nothing is cheaper or preferred: that is the proof.
 */
import { ZERO } from '../../base/rational.js';
import type { Brief } from '../../brief/brief.js';
import type { LoadJob } from '../../brief/load-job.js';
import { AllottedTime } from '../allotted-time.js';
import { SearchStopped } from '../carriers/carrier-search.js';
import type { Station } from './loading-begun.js';
import { FirstLoadings } from './loading-first.js';
import { LoadingHelp } from './loading-help.js';
import { Preferred } from './loading-preference.js';
import type { LoadingAnswer, LoadingHelpers } from './loading-shares.js';
import { toldOf } from './loading-told.js';
import { loadingSite, type LoadingSite } from './loading-site.js';
import { LOADING_SPACE, LoadingSearch, type LoadingSearchTools } from './loading-search.js';
import type { Conflict, DesignOutcome, DesignProgress, InfeasibleReason } from '../outcome.js';
import { invariant } from '../../base/invariant.js';
import { exhausted, infeasible, stoppedAt, type RunKnowledge } from '../run-end.js';
import type { RunState } from '../search-state.js';
import { BestSoFar } from '../families/best-so-far.js';
import { priceOf } from '../site/site-map.js';

export interface LoadingTools extends LoadingSearchTools {
  /** Milliseconds from any fixed moment on. */
  readonly now: () => number;
  readonly shouldStop: () => boolean;
  readonly secondsLeft?: () => number;
  readonly breathe: () => Promise<void>;
  readonly onProgress: (progress: DesignProgress) => void;
  /** Asked for once, when the search turns out to be long: who may help with it. */
  readonly helpers?: (() => LoadingHelpers | undefined) | undefined;
  /** Given what a run that was stopped knows. */
  readonly onUnfinished?: ((state: RunState) => void) | undefined;
}

/** Of its time a run may look for any station as long as it has none, and for better ones then: for longer where the bound is far below the best, and a proof isn't to be had soon. */
const FIRST_SHARE = 1 / 3;
const BETTER_SHARE = 1 / 6;
const FAR_SHARE = 1 / 2;
const FAR = 1 / 4;
const FAR_AFTER_MILLISECONDS = 2_000;
const FIRST_AFTER_MILLISECONDS = 300;
/** What takes less is searched on this thread alone. */
const HELP_AFTER_MILLISECONDS = 1_500;

/** Where arms, or belts, bring too little: whether they would wherever wagons stop, or do because these may stop elsewhere than planned. */
function shortOfTarget(site: LoadingSite): Conflict {
  const { brief, job, most, wantedFlow } = site;
  const asPlanned = brief.spotting === 0 ? site : loadingSite({ ...brief, spotting: 0 }, job);
  if (asPlanned.most.equals(ZERO)) return { kind: 'site-too-small' };
  if (asPlanned.tooSlowFor !== 'target') return { kind: 'spotting-too-far', way: 'into', spotting: brief.spotting, most, target: wantedFlow };
  return { kind: 'loading-too-slow', most: asPlanned.most, by: brief.feed === 'direct' && asPlanned.most.equals(asPlanned.broughtFlow) ? 'entries' : 'arms', target: wantedFlow };
}

/** Why nothing needs to be searched. */
function tooSlow(site: LoadingSite): Conflict {
  const { brief: { limits }, tooSlowFor, leastArms } = site;
  switch (tooSlowFor) {
    case 'target':
      return shortOfTarget(site);
    case 'dwell':
      return { kind: 'dwell-too-short', allowed: limits.dwell ?? ZERO };
    case 'trainsPerHour':
      return { kind: 'too-few-trains', asked: limits.trainsPerHour ?? ZERO };
    case undefined:
      return { kind: 'limit-too-low', limit: 'arms', allowed: limits.arms ?? leastArms, needed: leastArms };
  }
}

class LoadingRun {
  private readonly search: LoadingSearch;
  private readonly time: AllottedTime;
  private readonly kept: BestSoFar;
  private readonly firsts: Generator<Station | undefined, never>;
  private readonly help: LoadingHelp;
  private firstMilliseconds = 0;

  constructor(
    private readonly brief: Brief,
    job: LoadJob,
    private readonly tools: LoadingTools,
  ) {
    const kept = new BestSoFar(brief, (best) => {
      this.search.others?.tell(toldOf(best));
      tools.onStep?.({ kind: 'found', price: kept.price, layout: best.layout });
    });
    this.kept = kept;
    this.search = new LoadingSearch(brief, job, tools, new Preferred(brief, kept));
    this.help = new LoadingHelp(() => tools.helpers?.());
    this.time = new AllottedTime(tools);
    const { site, meets, allows } = this.search;
    // A run that goes on draws others than the one that was stopped.
    const seed = 1 + (tools.resumed?.simulations ?? 0);
    this.firsts = new FirstLoadings(site, { meets, allows, most: () => this.kept.price }, seed).all();
  }

  async run(): Promise<DesignOutcome> {
    const step = this.tools.onStep;
    step?.({ kind: 'began', price: priceOf(this.brief) });
    const outcome = await this.outcome();
    step?.({ kind: 'claimed', status: outcome.status, bound: outcome.proof.bound });
    return outcome;
  }

  private async outcome(): Promise<DesignOutcome> {
    const { search, kept } = this;
    search.begin();
    this.recall();
    if (search.isTooSlow) {
      return infeasible(this.known, { ...tooSlow(search.site), nearest: [], looked: 'not' });
    }
    const limit = this.brief.minimise[0] === 'parts' ? this.brief.limits.parts : this.brief.limits.cost;
    const most = limit ?? Infinity;
    try {
      while (search.bound < Infinity && search.bound <= Math.min(kept.price, most)) {
        await this.breathe();
        await this.settle();
      }
    } catch (thrown) {
      if (!(thrown instanceof SearchStopped)) throw thrown;
      this.takeFound(await this.help.stop());
      return this.stopped();
    }
    return exhausted(this.known, this.whyNone());
  }

  /** Searches all stations of the price that the bound stands at, with others if that takes long, and raises it. */
  private async settle(): Promise<void> {
    const { search, help, time } = this;
    for (const _ of search.settle(help.begin())) {
      if (!time.isLong) continue;
      await this.breathe();
      await this.askForHelp();
    }
    const answers = await help.answers(() => this.breathe());
    this.takeFound(answers);
    if (answers.some(({ stopped }) => stopped)) throw new SearchStopped();
    search.rise(Math.min(...answers.map(({ next }) => next)));
  }

  private async askForHelp(): Promise<void> {
    const { search, help, time, kept } = this;
    if (time.milliseconds < HELP_AFTER_MILLISECONDS || !search.mayBeShared) return;
    search.others ??= help.others;
    if (search.others === undefined) return;
    search.share();
    await help.ask(search.bound, () => [search.failures, ...(kept.best === undefined ? [] : [toldOf(kept.best)])]);
  }

  /** What helpers have found is simulated here once more. */
  private takeFound(answers: readonly LoadingAnswer[]): void {
    const { search, kept, brief, tools } = this;
    for (const { better, undecided, simulations } of answers) {
      search.simulations += simulations;
      search.undecided = Math.min(search.undecided, undecided);
      if (better === undefined) continue;
      search.simulations++;
      const witness = tools.verify(better, brief);
      invariant(witness.verdict === 'passes', 'what passes on one thread passes on another', {});
      kept.offer(better, witness);
    }
  }

  /** The best station of an earlier portion. */
  private recall(): void {
    const { resumed, verify } = this.tools;
    if (resumed?.best === undefined) return;
    const witness = verify(resumed.best, this.brief);
    invariant(witness.verdict === 'passes', 'a saved search was read with a best station that passes', {});
    this.kept.offer(resumed.best, witness);
  }

  private async breathe(): Promise<void> {
    this.time.breathes();
    const { search, kept } = this;
    const best = kept.best === undefined ? undefined : kept.price;
    this.tools.onProgress({ bound: search.bound, best, round: search.rounds, simulations: search.simulations });
    await this.tools.breathe();
    if (this.tools.shouldStop()) throw new SearchStopped();
    this.lookForFirsts();
  }

  /** Stations to show, should the run be stopped. They take no part in the proof. */
  private lookForFirsts(): void {
    const { time, kept } = this;
    const from = time.milliseconds;
    if (from < FIRST_AFTER_MILLISECONDS) return;
    const isFar = from > FAR_AFTER_MILLISECONDS && this.search.bound < kept.price * (1 - FAR);
    const share = kept.best === undefined ? FIRST_SHARE : isFar ? FAR_SHARE : BETTER_SHARE;
    const until = from + share * from - this.firstMilliseconds;
    while (time.milliseconds < until) {
      const station: Station | undefined = this.firsts.next().value;
      if (station !== undefined) this.search.judge(station);
      if (this.tools.shouldStop()) throw new SearchStopped();
    }
    this.firstMilliseconds += time.milliseconds - from;
  }

  private whyNone(): InfeasibleReason {
    const limit = priceOf(this.brief);
    const allowed = this.brief.limits[limit];
    const { bound } = this.search;
    const searched = { nearest: [], looked: 'not' } as const;
    return allowed !== undefined && bound > allowed && bound < Infinity
      ? { kind: 'limit-too-low', limit, allowed, needed: bound, ...searched }
      : { kind: 'space-exhausted', ...searched };
  }

  private stopped(): DesignOutcome {
    const { search, kept } = this;
    this.tools.onUnfinished?.({
      price: priceOf(this.brief),
      rounds: search.rounds,
      simulations: search.simulations,
      seconds: this.seconds,
      restBound: search.bound,
      undecided: search.undecided,
      loading: search.progress,
      families: [],
      networks: [],
      best: kept.best?.layout,
    });
    return stoppedAt(this.known, search.bound, this.time.stopCause());
  }

  private get known(): RunKnowledge {
    const { search, kept } = this;
    return {
      best: kept.best?.layout,
      price: kept.price,
      undecided: search.undecided,
      space: LOADING_SPACE,
      solver: undefined,
      rounds: search.rounds,
      simulations: search.simulations,
      seconds: this.seconds,
      resumed: this.tools.resumed !== undefined,
    };
  }

  /** Over all portions. */
  private get seconds(): number {
    return (this.tools.resumed?.seconds ?? 0) + this.time.milliseconds / 1000;
  }
}

/** The cheapest loading station that meets the brief, with proof, or how far the search came. */
export const designLoading = (brief: Brief, job: LoadJob, tools: LoadingTools): Promise<DesignOutcome> => new LoadingRun(brief, job, tools).run();
