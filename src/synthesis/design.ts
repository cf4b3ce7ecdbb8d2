/**
 * The propose-and-verify loop. The program proposes the cheapest bill of parts that the rate model allows
 * and no cut has ruled out; the bill's whole family of layouts then goes to the search, and a cut takes it
 * out of the program. Of all families proposed the one with the least price is searched next: every
 * placement and every network at just that price, judged by the simulator; then its price rises to the
 * least that is left. So the least price of all, or the program's bound on bills not proposed yet, is a
 * bound on every layout. It rises until the first layout passes; other families of the same price are
 * tried for the brief's further objectives. When it has passed that price, nothing in the space is cheaper
 * or preferred: that is the proof.
 */
import { formatRational } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import type { Program } from '../program/program.js';
import type { Layout } from '../layout/layout.js';
import { AllottedTime } from './allotted-time.js';
import type { DesignTools } from './design-tools.js';
import { JoinedLayouts } from './first-layouts/joined-layouts.js';
import { OwnRuns, SCOUT_AFTER_MILLISECONDS, type OwnRun } from './own-runs.js';
import { BestSoFar } from './families/best-so-far.js';
import { BillScout } from './families/bill-scout.js';
import { billProgram } from './bills/bill-program.js';
import { candidates, type Candidates } from './site/candidates.js';
import { SearchStopped } from './carriers/carrier-search.js';
import { Families, type Family } from './families/families.js';
import { FamilySearch } from './families/family-search.js';
import { Judge, untilStopped } from './networks/judge.js';
import { NetworkCosts, type CarrierFloor } from './networks/network-costs.js';
import { taskOf, type OpenKind } from './networks/network-kinds.js';
import type { DesignOutcome } from './outcome.js';
import type { Ranked } from './families/preference.js';
import { exhausted, stoppedAt, type RunKnowledge } from './run-end.js';
import type { RunState } from './search-state.js';
import type { ShareAnswer, ShareTakers, WholeTask } from './families/share-search.js';
import { numberOf, priceOf, siteMap, type SiteMap } from './site/site-map.js';

/** The layouts that an answer is complete for. */
export const SPACE =
  'all legal layouts in which each arm lifts from a wagon into a chest, or from a chest (fed directly: from a wagon, wherever that may stop) ' +
  'onto a belt, splitter or underpass end; each belt, splitter half or underpass carries items of some arm toward an exit ' +
  '(a splitter half may end blind), but for idle belts that only turn another belt into a turn or a tee merge; each exit is left over a belt of its model; no belts form a ring; ' +
  'arms, chests, splitters in four headings, turns, tee merges, underpasses and all models of the catalog, in any number; ' +
  'no splitter favours a side';

/** The program that the loop begins with: see `bill-program.ts`. */
export function firstProgram(brief: Brief): Program {
  const map = siteMap(brief, priceOf(brief));
  const spots = candidates(map);
  return billProgram(map, spots, [], highestPrice(map, spots)).program;
}

/** What takes less is searched on this thread alone: others would first have to come to know what it knows. */
const SHARE_AFTER_MILLISECONDS = 10_000;
/** The same where one price of a family took so many steps, so that the next ones will take long. */
const SHARE_SOON_MILLISECONDS = 3_000;
const SHARE_SOON_STEPS = 10_000;
/** Networks of a kind that has taken fewer are searched on this thread, too. */
const STEPS_OF_SHARED_KINDS = 2_000;

class DesignRun {
  private readonly map: SiteMap;
  private readonly spots: Candidates;
  private readonly families: Families;
  private readonly mostPrice: number;
  private readonly judge: Judge;
  private readonly networkCosts: NetworkCosts;
  private readonly kept: BestSoFar;
  private readonly searches: FamilySearch;
  /** What this run goes on from. */
  private readonly before: RunState | undefined;
  private readonly time: AllottedTime;
  private bound = 0;
  private sharedSimulations = 0;
  /** Of one price of a family, on this thread. */
  private mostSteps = 0;
  private sharers: { readonly takers: ShareTakers | undefined } | undefined;
  private readonly billScout: BillScout;
  /** Of a run that is not for such layouts itself. */
  private readonly joined: JoinedLayouts | undefined;

  /** `own`: of a run for what first layouts are made of. */
  constructor(
    private readonly brief: Brief,
    private readonly tools: DesignTools,
    private readonly own?: OwnRun,
  ) {
    this.time = new AllottedTime(tools);
    this.joined = own === undefined ? new JoinedLayouts(brief, this.ownRuns(), this.time) : undefined;
    this.map = siteMap(brief, priceOf(brief));
    this.spots = candidates(this.map, (own?.given ?? []).map((tile) => numberOf(this.map, tile)));
    this.mostPrice = highestPrice(this.map, this.spots);
    this.families = new Families(this.map, this.spots, tools.solver, this.time.secondsFor, (step) => tools.onStep?.(step));
    this.judge = new Judge(untilStopped(tools), (step) => tools.onStep?.(step), brief);
    this.networkCosts = new NetworkCosts(brief, priceOf(brief), this.judge, () => tools.shouldStop());
    this.kept =
      own?.kept ??
      new BestSoFar(brief, ({ layout }) => {
        tools.onStep?.({ kind: 'found', price: this.bestPrice, layout });
      });
    this.searches = new FamilySearch(this.map, this.spots, this.judge, this.kept, () => tools.shouldStop());
    this.billScout = new BillScout(this.map, this.spots, this.searches, {
      solver: tools.solver,
      time: this.time,
      shouldStop: () => tools.shouldStop(),
      breathe: () => this.report(),
      bestPrice: () => this.bestPrice,
    });
    this.before = tools.resumed?.price === priceOf(brief) ? tools.resumed : undefined;
    if (this.before !== undefined) this.goOnFrom(this.before);
  }

  private goOnFrom({ rounds, restBound, undecided, families, networks, best }: RunState): void {
    this.families.rounds = rounds;
    this.families.restBound = restBound;
    this.families.proposed.push(...families.map((family) => ({ ...family, first: undefined })));
    this.networkCosts.kinds.learn(networks);
    this.searches.undecided = undecided;
    if (best !== undefined) this.takeFound(best);
  }

  private get state(): RunState {
    const { simulations, seconds } = this;
    const { rounds, restBound, proposed } = this.families;
    const { undecided } = this.searches;
    return {
      price: priceOf(this.brief),
      rounds,
      simulations,
      seconds,
      restBound,
      undecided,
      families: proposed,
      networks: this.networkCosts.kinds.known,
      best: this.best?.layout,
    };
  }

  private get best(): Ranked | undefined {
    return this.kept.best;
  }

  private get simulations(): number {
    return (this.before?.simulations ?? 0) + this.judge.simulations + this.sharedSimulations;
  }

  private get steps(): number {
    return this.searches.carriers.steps + this.networkCosts.kinds.steps;
  }

  private get seconds(): number {
    return (this.before?.seconds ?? 0) + this.time.milliseconds / 1000;
  }

  private get bestPrice(): number {
    return this.kept.price;
  }

  async run(): Promise<DesignOutcome> {
    this.tools.onStep?.({ kind: 'began', price: priceOf(this.brief) });
    const outcome = await this.proposeAndVerify();
    this.tools.onStep?.({ kind: 'claimed', status: outcome.status, bound: outcome.proof.bound });
    return outcome;
  }

  private async proposeAndVerify(): Promise<DesignOutcome> {
    for (;;) {
      if (this.tools.shouldStop()) return this.stopped();
      this.bound = this.families.bound;
      if (this.bound > Math.min(this.bestPrice, this.mostPrice) || (this.bound === Infinity && this.best === undefined)) {
        return exhausted(this.known, { kind: 'space-exhausted', nearest: [], looked: 'not' });
      }
      const family = this.own?.anySoon === true ? this.families.nextByTurns(this.mostPrice) : this.families.next;
      if (family === undefined) {
        await this.joinLayouts();
        if (!this.families.propose(Math.min(this.mostPrice, this.bestPrice))) return this.stopped('solver');
        continue;
      }
      await this.report();
      try {
        await this.scout();
        const { steps } = this;
        this.families.raise(family, family.fixed + (await this.settle(family, family.price - family.fixed)));
        this.mostSteps = Math.max(this.mostSteps, this.steps - steps);
      } catch (thrown) {
        if (thrown instanceof SearchStopped) return this.stopped();
        throw thrown;
      }
    }
  }

  /** Looks for some layout that passes; what it finds takes no part in the proof. */
  private async scout(): Promise<void> {
    await this.joinLayouts();
    const scoutAfter = this.own?.scoutAfter ?? SCOUT_AFTER_MILLISECONDS;
    if (this.joined?.isDone !== false && this.time.milliseconds >= scoutAfter) await this.billScout.look(this.mostPrice);
  }

  /** Puts layouts together from designs of few exits, as long as there are any to try, within a share of the run's time. */
  private async joinLayouts(): Promise<void> {
    const { joined, tools } = this;
    while (joined?.isDue(this.bestPrice, this.bound) === true && !tools.shouldStop()) {
      const layout = await joined.next();
      if (layout === undefined) continue;
      this.takeFound(layout);
      await this.report();
    }
  }

  /** Runs for parts of the brief, which report by this one. */
  private ownRuns(): OwnRuns {
    const { verify, solver, now, shouldStop } = this.tools;
    return new OwnRuns(this.brief, {
      verify,
      solver,
      now,
      shouldStop,
      secondsLeft: () => this.time.secondsLeft,
      breathe: () => this.report(),
      begin: (brief, tools, own) => new DesignRun(brief, tools, own),
      isLong: () => this.time.isLong,
    });
  }

  /** Tries the whole family of a bill at one price; returns the next price of carriers that is left to try. */
  private async settle(family: Family, carriers: number): Promise<number> {
    const { bill, first, crews } = family;
    const floor = await this.floorOf(family, carriers);
    if (floor.least > carriers) return floor.least;
    const asked = { bill, carriers, price: this.bound, floor };
    const takers = this.takers();
    if (takers === undefined) return this.gone(this.searches.settle({ ...asked, first }, crews));
    const best = this.best && { values: this.best.values.map(formatRational), text: this.best.text };
    const search = `${this.families.proposed.indexOf(family)}`;
    const answers = await this.share(takers, { ...asked, of: 'layouts', search, best, known: this.judge.takeRuledOut() }, family);
    return Math.min(...answers.map(({ next }) => next));
  }

  /** What the carriers of a family's layouts cost at least, as far as single networks tell; where it is one network, that may take long. */
  private async floorOf(family: Family, carriers: number): Promise<CarrierFloor> {
    const { networkCosts } = this;
    const { bill } = family;
    const floor = await this.floorNow(family, carriers);
    // At the price of the best, layouts that are not preferred to it are given up early: that tells more than copies do.
    if (floor.mostNetworks !== 1 || this.bound === this.bestPrice) return floor;
    for (let open = networkCosts.openTogether(bill, carriers); open !== undefined; open = networkCosts.openTogether(bill, carriers)) {
      await this.searchKind(open, family);
    }
    return this.floorNow(family, carriers);
  }

  private async floorNow(family: Family, carriers: number): Promise<CarrierFloor> {
    const asking = this.networkCosts.asking(family.bill, carriers);
    for (;;) {
      const step = asking.next();
      if (step.done === true) return step.value;
      if (step.value.kind.steps < STEPS_OF_SHARED_KINDS) this.networkCosts.kinds.raise(step.value);
      else await this.searchKind(step.value, family);
    }
  }

  /** Searches networks of one kind at their price, for a family. */
  private async searchKind(open: OpenKind, family: Family): Promise<void> {
    const { kinds } = this.networkCosts;
    const kind = taskOf(open);
    const takers = this.takers();
    if (takers === undefined) {
      kinds.note(open, [await this.gone(kinds.searchKind(kind))], 0);
      return;
    }
    const answers = await this.share(takers, { of: 'networks', search: kind.name, kind, known: this.judge.takeRuledOut() }, family);
    kinds.note(open, answers, answers.reduce((total, { steps }) => total + steps, 0));
  }

  /** Goes through a search on this thread, with a look up now and then. */
  private async gone<T>(search: Generator<void, T>): Promise<T> {
    for (;;) {
      const step = search.next();
      if (step.done === true) return step.value;
      if (this.time.isLong) {
        await this.report();
        await this.joinLayouts();
      }
      if (this.tools.shouldStop()) throw new SearchStopped();
    }
  }

  private takers(): ShareTakers | undefined {
    const after = this.mostSteps > SHARE_SOON_STEPS ? SHARE_SOON_MILLISECONDS : SHARE_AFTER_MILLISECONDS;
    if (this.sharers === undefined && this.time.milliseconds > after) this.sharers = { takers: this.tools.shareTakers?.() };
    return this.sharers?.takers;
  }

  /**
   * Has all shares of a search for a family taken elsewhere. What they find is simulated here once more. Meanwhile it is asked
   * here what the carriers of those that come next cost at least, which is known then when their turn comes.
   */
  private async share(takers: ShareTakers, task: WholeTask, family: Family): Promise<readonly ShareAnswer[]> {
    let pending = true;
    const ahead = this.families.after(family).values();
    const taken = takers.take(task).finally(() => {
      pending = false;
    });
    const watched = (async () => {
      while (pending) {
        if (this.tools.shouldStop()) takers.stop();
        await this.report();
        await this.joinLayouts();
        await Promise.race([taken, takers.pause()]);
        if (pending) this.lookAhead(ahead);
      }
    })();
    const [answers] = await Promise.all([taken, watched]);
    for (const { better, undecided, simulations } of answers) {
      this.sharedSimulations += simulations;
      this.searches.undecided = Math.min(this.searches.undecided, undecided);
      if (better !== undefined) this.takeFound(better);
    }
    if (answers.some(({ stopped }) => stopped)) throw new SearchStopped();
    return answers;
  }

  private lookAhead(families: Iterator<Family, undefined>): void {
    const { value } = families.next();
    if (value === undefined || value.price > Math.min(this.bestPrice, this.mostPrice)) return;
    try {
      const asking = this.networkCosts.asking(value.bill, value.price - value.fixed);
      for (let step = asking.next(); step.done !== true; step = asking.next()) {
        // What takes long is better shared once that one's turn comes.
        if (step.value.kind.steps >= STEPS_OF_SHARED_KINDS) return;
        this.networkCosts.kinds.raise(step.value);
      }
    } catch (thrown) {
      // The shares end soon, and then the search.
      if (!(thrown instanceof SearchStopped)) throw thrown;
    }
  }

  private takeFound(layout: Layout): void {
    this.sharedSimulations++;
    this.searches.offer(layout, this.tools.verify(layout, this.brief));
  }

  private async report(): Promise<void> {
    this.time.breathes();
    const best = this.bestPrice === Infinity ? undefined : this.bestPrice;
    this.tools.onProgress({ bound: this.bound, best, round: this.families.rounds, simulations: this.simulations });
    await this.tools.breathe();
  }

  private stopped(where?: 'solver'): DesignOutcome {
    this.tools.onUnfinished?.(this.state);
    return stoppedAt(this.known, this.bound, this.time.stopCause(where));
  }

  private get known(): RunKnowledge {
    return {
      best: this.best?.layout,
      price: this.bestPrice,
      undecided: this.searches.undecided,
      space: SPACE,
      solver: this.tools.solver.name,
      rounds: this.families.rounds,
      simulations: this.simulations,
      seconds: this.seconds,
      resumed: this.before !== undefined,
    };
  }
}

/** No layout that meets the brief's limits costs more. */
export function highestPrice(map: SiteMap, spots: Candidates): number {
  const { limits, minimise } = map.brief;
  const limit = minimise[0] === 'parts' ? limits.parts : limits.cost;
  if (limit !== undefined) return limit;
  const dearest = (models: readonly { readonly cost: number }[]): number => models.reduce((most, model) => Math.max(most, model.cost), 0);
  const perTile = Math.max(dearest(map.belts), dearest(map.underpasses), dearest(map.splitters), dearest(map.arms), dearest(map.chests));
  return perTile * map.tiles + spots.chestTiles.length;
}

/** Whether a limit leaves anything at all. In the rising order of another measure that would hardly ever show. */
async function keepsTo(limit: 'cost' | 'parts', brief: Brief, tools: DesignTools): Promise<DesignOutcome> {
  let found = false;
  const { onUnfinished } = tools;
  return new DesignRun(
    { ...brief, minimise: [limit] },
    {
      ...tools,
      shouldStop: () => found || tools.shouldStop(),
      onProgress: ({ best }) => {
        found = best !== undefined;
      },
      onUnfinished: (state) => {
        if (!found) onUnfinished?.(state);
      },
    },
  ).run();
}

/** The cheapest layout that meets the brief, with proof, or how far the search came. */
export async function design(brief: Brief, tools: DesignTools): Promise<DesignOutcome> {
  // Who takes shares adds up the prices of the brief itself.
  const { onUnfinished, shareTakers: _unused, ...others } = tools;
  for (const limit of ['cost', 'parts'] as const) {
    if (brief.limits[limit] === undefined || brief.minimise[0] === limit) continue;
    // Limits come before what is minimised, so this one was settled.
    if (tools.resumed?.price === priceOf(brief)) continue;
    let unfinished: RunState | undefined;
    const least = await keepsTo(limit, brief, {
      ...others,
      onUnfinished: (state) => {
        unfinished = state;
      },
    });
    if (least.status === 'infeasible') return least;
    if (unfinished === undefined || !tools.shouldStop()) continue;
    onUnfinished?.(unfinished);
    return new DesignRun(brief, others).run();
  }
  return new DesignRun(brief, tools).run();
}
