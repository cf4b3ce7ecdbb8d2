/**
 * Why a brief has no layout, and the nearest changes of it that have one. Each change is tried by a design
 * run of its own, within a time that is bounded; what could not be settled is said so, never guessed.
 * The changes themselves are in `change.ts`, the sentences in `report/reason-text.ts`. Where wagons are filled there are no
 * programs to ask: what the design itself found to bind is handed in.
 */
import { jainImbalance } from '../base/jain.js';
import { ONE, ZERO, isLess, type Rational } from '../base/rational.js';
import { NO_LIMITS, type Brief, type Objective } from '../brief/brief.js';
import { layoutCost, partCount, type Layout } from '../layout/layout.js';
import { asBurden } from '../layout/measure.js';
import { candidates } from './site/candidates.js';
import { leastPrice, mostCapacity, takenWherever, type Capacity } from './bills/capacity.js';
import { changed, lowerTargets, roomLadders, supplyLadders, type Ladder } from './change.js';
import { design } from './design.js';
import type { DesignTools } from './design-tools.js';
import type { Change, Conflict, CountLimit, DesignOutcome, FlowLimit, InfeasibleReason, LimitName, Remedy } from './outcome.js';
import { siteMap, totalDemand } from './site/site-map.js';

/** Seconds for one design run; each round of all open questions allows more. */
const FIRST_SLICE = 0.25;
const SLICE_GROWTH = 4;
const PROGRAM_SECONDS = 1;
const MOST_MORE_ARMS = 12;

type Trial =
  | { readonly kind: 'works'; readonly layout: Layout; readonly proven: boolean; readonly bound: number }
  | { readonly kind: 'fails' }
  /** Out of time. `bound`, here and above: of the first objective, in any layout. */
  | { readonly kind: 'open'; readonly bound: number };

type DesignRun = (brief: Brief, tools: DesignTools) => Promise<DesignOutcome>;

/** Design runs that share one bounded time. */
class Trials {
  private readonly deadline: number;

  constructor(
    readonly tools: DesignTools,
    private readonly design: DesignRun,
    seconds: number,
  ) {
    this.deadline = tools.now() + seconds * 1000;
  }

  secondsLeft(): number {
    return this.tools.shouldStop() ? 0 : (this.deadline - this.tools.now()) / 1000;
  }

  programSeconds(): number {
    return Math.min(PROGRAM_SECONDS, this.secondsLeft());
  }

  /** By the rate model alone; undefined where no time or no proof is left. */
  leastPrice(brief: Brief, price: 'cost' | 'parts'): number | undefined {
    const seconds = this.programSeconds();
    return seconds > 0 ? leastPrice(brief, price, this.tools.solver, seconds) : undefined;
  }

  async run(brief: Brief, slice: number): Promise<Trial> {
    const { tools } = this;
    const until = Math.min(this.deadline, tools.now() + slice * 1000);
    const outcome = await this.design(brief, {
      ...tools,
      shouldStop: () => tools.shouldStop() || tools.now() > until,
      secondsLeft: () => (until - tools.now()) / 1000,
      onProgress: () => undefined,
    });
    const bound = Math.ceil(outcome.proof.bound ?? 0);
    switch (outcome.status) {
      case 'optimal':
      case 'feasible':
        return { kind: 'works', layout: outcome.layout, proven: outcome.status === 'optimal', bound };
      case 'infeasible':
        return { kind: 'fails' };
      case 'unknown':
        return { kind: 'open', bound };
    }
  }
}

interface Question {
  /** Asks on, no design run longer than `slice` seconds. */
  ask(trials: Trials, slice: number): Promise<void>;
  readonly settled: boolean;
  readonly remedy: Remedy | undefined;
}

/** Looks for the least step of a ladder that works: outward in growing steps, then inward by halves. */
class LadderQuestion implements Question {
  /** All steps up to this index were ruled out. */
  failing = -1;
  /** The least step known to work; the ladder's length if there is none. */
  working: number;
  private layout: Layout | undefined;

  constructor(
    private readonly brief: Brief,
    readonly ladder: Ladder,
    known?: { readonly layout: Layout; readonly step: number },
  ) {
    this.working = known?.step ?? ladder.length;
    this.layout = known?.layout;
  }

  get settled(): boolean {
    return this.failing === this.working - 1;
  }

  get remedy(): Remedy | undefined {
    if (this.layout === undefined) return undefined;
    return { changes: [this.ladder[this.working]], least: this.settled, cost: layoutCost(this.layout) };
  }

  async ask(trials: Trials, slice: number): Promise<void> {
    // Up to here nothing worked, by proof or within the slice.
    let silent = this.failing;
    const attempt = async (step: number): Promise<void> => {
      const trial = await trials.run(changed(this.brief, [this.ladder[step]]), slice);
      if (trial.kind === 'works') {
        this.working = step;
        this.layout = trial.layout;
        return;
      }
      silent = step;
      if (trial.kind === 'fails') this.failing = step;
    };
    const last = this.ladder.length - 1;
    for (let stride = 1; this.layout === undefined && silent < last && trials.secondsLeft() > 0; stride *= 3) {
      await attempt(Math.min(last, silent + stride));
    }
    while (this.layout !== undefined && silent < this.working - 1 && trials.secondsLeft() > 0) {
      await attempt(Math.floor((silent + this.working) / 2));
    }
  }
}

/** Lifts one limit: without it, is there a layout, and what is the least value that leaves one? */
class LimitQuestion implements Question {
  settled = false;
  remedy: Remedy | undefined;
  /** Any layout that keeps to all else needs at least this. */
  needed: number;
  /** Whether the rate model alone rules the limit out. */
  clearlyTooLow = false;
  private steps: LadderQuestion | undefined;

  constructor(
    private readonly brief: Brief,
    readonly limit: CountLimit,
    readonly allowed: number,
  ) {
    this.needed = allowed + 1;
  }

  /** Asks the programs, which take no time to speak of. */
  weigh(trials: Trials): void {
    const least = this.limit === 'arms' ? this.leastArms(trials) : trials.leastPrice(this.without(), this.limit);
    if (least === undefined || least === Infinity || least <= this.allowed) return;
    this.needed = least;
    this.clearlyTooLow = true;
  }

  private leastArms(trials: Trials): number | undefined {
    for (let arms = this.allowed; arms <= this.allowed + MOST_MORE_ARMS; arms++) {
      const least = trials.leastPrice({ ...this.brief, limits: { ...this.brief.limits, arms } }, 'cost');
      if (least === undefined) return undefined;
      if (least < Infinity) return arms;
    }
    return undefined;
  }

  private without(): Brief {
    return { ...this.brief, limits: { ...this.brief.limits, [this.limit]: undefined } };
  }

  async ask(trials: Trials, slice: number): Promise<void> {
    const { brief, limit } = this;
    if (this.steps === undefined) {
      const minimise = limit === 'arms' ? brief.minimise : leading(limit, brief.minimise);
      const trial = await trials.run({ ...this.without(), minimise }, slice);
      if (trial.kind === 'fails') this.settled = true;
      if (trial.kind !== 'fails' && limit !== 'arms') this.needed = Math.max(this.needed, trial.bound);
      if (trial.kind !== 'works') return;
      const to = countOf(limit, trial.layout);
      if (limit !== 'arms') {
        this.remedy = { changes: [{ kind: 'limit', limit, to }], least: trial.proven, cost: layoutCost(trial.layout) };
        this.settled = trial.proven;
        return;
      }
      const values = Array.from({ length: to - this.allowed }, (_, index): Change => ({ kind: 'limit', limit, to: this.allowed + 1 + index }));
      this.steps = new LadderQuestion(brief, values, { layout: trial.layout, step: values.length - 1 });
    }
    await this.steps.ask(trials, slice);
    this.needed = Math.max(this.needed, this.allowed + this.steps.failing + 2);
    this.remedy = this.steps.remedy;
    this.settled = this.steps.settled;
  }
}

/** Lifts a limit on what flows come to, and takes what the cheapest layout then has. */
class FlowLimitQuestion implements Question {
  settled = false;
  remedy: Remedy | undefined;

  constructor(
    private readonly brief: Brief,
    readonly limit: FlowLimit,
  ) {}

  async ask(trials: Trials, slice: number): Promise<void> {
    const { brief, limit } = this;
    const [first, ...rest] = brief.minimise;
    const limits = { ...brief.limits, [limit]: undefined };
    const relaxed: Brief = { ...brief, limits, minimise: [first, limit, ...rest.filter((each) => each !== limit)] };
    const trial = await trials.run(relaxed, slice);
    if (trial.kind === 'works') {
      const to = flowMeasure(limit, trial.layout, relaxed, trials.tools);
      if (to !== undefined) this.remedy = { changes: [{ kind: limit, to }], least: false, cost: layoutCost(trial.layout) };
    }
    this.settled = trial.kind === 'fails' || (trial.kind === 'works' && trial.proven);
  }
}

/** Lifts all limits at once, and takes as new ones what the layout found has. */
class AllLimitsQuestion implements Question {
  settled = false;
  remedy: Remedy | undefined;

  constructor(
    private readonly brief: Brief,
    private readonly names: readonly LimitName[],
  ) {}

  async ask(trials: Trials, slice: number): Promise<void> {
    const { brief } = this;
    // Compared by what it is then held to, the layout found has it; nothing else comes of the order after the first.
    const trial = await trials.run({ ...brief, limits: NO_LIMITS, minimise: [...new Set([...brief.minimise, ...this.names.filter(isFlowLimit)])] }, slice);
    if (trial.kind === 'works') {
      const { layout } = trial;
      const changes = this.names.flatMap((limit): Change[] => {
        if (!isFlowLimit(limit)) {
          const to = countOf(limit, layout);
          return to > (brief.limits[limit] ?? to) ? [{ kind: 'limit', limit, to }] : [];
        }
        const to = flowMeasure(limit, layout, brief, trials.tools);
        const asked = brief.limits[limit];
        if (to === undefined || asked === undefined) return [];
        return isLess(asBurden(limit, asked), asBurden(limit, to)) ? [{ kind: limit, to }] : [];
      });
      this.remedy = { changes, least: false, cost: layoutCost(layout) };
    }
    this.settled = trial.kind !== 'open';
  }
}

const leading = (first: Objective, objectives: readonly Objective[]): readonly Objective[] => [
  first,
  ...objectives.filter((objective) => objective !== first),
];

function countOf(limit: CountLimit, layout: Layout): number {
  switch (limit) {
    case 'arms':
      return layout.parts.filter(({ kind }) => kind === 'arm').length;
    case 'parts':
      return partCount(layout);
    case 'cost':
      return layoutCost(layout);
  }
}

const FLOW_LIMITS: readonly FlowLimit[] = ['imbalance', 'dwell', 'trainsPerHour'];
const isFlowLimit = (limit: LimitName): limit is FlowLimit => FLOW_LIMITS.some((each) => each === limit);

function flowMeasure(limit: FlowLimit, layout: Layout, brief: Brief, tools: DesignTools): Rational | undefined {
  const witness = tools.verify(layout, brief);
  if (witness.verdict !== 'passes') return undefined;
  return limit === 'imbalance' ? jainImbalance(witness.chestOutflows) : witness.trains?.[limit];
}

const COUNT_LIMITS: readonly CountLimit[] = ['cost', 'arms', 'parts'];

function flowConflict(limit: FlowLimit, { limits }: Brief): Conflict {
  const asked = limits[limit] ?? ZERO;
  switch (limit) {
    case 'imbalance':
      return { kind: 'too-uneven', allowed: asked };
    case 'dwell':
      return { kind: 'dwell-too-short', allowed: asked };
    case 'trainsPerHour':
      return { kind: 'too-few-trains', asked };
  }
}

/** What a design of a station that loads is told by what fits beside its wagons, before any search. */
const TOLD_AT_ONCE: readonly Conflict['kind'][] = ['loading-too-slow', 'spotting-too-far', 'site-too-small'];

/** Of these, changes of the wagons are looked for first. */
const BY_SUPPLY: readonly Conflict['kind'][] = ['supply-too-low', 'spotting-too-far', 'loading-too-slow'];

class Explanation {
  private readonly trials: Trials;
  private readonly limits: readonly LimitQuestion[];
  private readonly flowLimits: readonly FlowLimitQuestion[];
  private readonly together: AllLimitsQuestion | undefined;
  private readonly target: LadderQuestion;
  private readonly room: readonly LadderQuestion[];
  private readonly supply: readonly LadderQuestion[];

  constructor(
    private readonly brief: Brief,
    /** What the design of the brief itself came to. */
    private readonly found: Conflict,
    tools: DesignTools,
    run: DesignRun,
    seconds: number,
  ) {
    this.trials = new Trials(tools, run, seconds);
    const { limits } = brief;
    this.limits = COUNT_LIMITS.flatMap((limit) => {
      const allowed = limits[limit];
      return allowed === undefined ? [] : [new LimitQuestion(brief, limit, allowed)];
    });
    this.flowLimits = FLOW_LIMITS.flatMap((limit) => (limits[limit] === undefined ? [] : [new FlowLimitQuestion(brief, limit)]));
    const names = this.limitNames();
    this.together = names.length < 2 ? undefined : new AllLimitsQuestion(brief, names);
    const ask = (ladder: Ladder): LadderQuestion => new LadderQuestion(brief, ladder);
    this.target = ask(lowerTargets());
    this.room = roomLadders(brief).map(ask);
    this.supply = supplyLadders(brief).map(ask);
  }

  async run(): Promise<InfeasibleReason> {
    const loads = this.brief.load !== undefined;
    const structural = loads ? this.loadingTooSlow() : this.structural();
    const bySupply = structural !== undefined && BY_SUPPLY.some((kind) => kind === structural.kind);
    if (structural === undefined && !loads) for (const limit of this.limits) limit.weigh(this.trials);
    const alone: readonly Question[] = [
      ...this.limits,
      ...this.flowLimits,
      ...(bySupply ? this.supply : []),
      this.target,
      ...this.room,
      ...(bySupply ? [] : this.supply),
    ];
    for (let slice = FIRST_SLICE; this.trials.secondsLeft() > 0; slice *= SLICE_GROWTH) {
      const open = this.open(alone);
      if (open.length === 0) break;
      for (const question of open) if (this.trials.secondsLeft() > 0) await question.ask(this.trials, slice);
    }
    return {
      ...(structural ?? this.withFound(this.conflict())),
      nearest: this.withTogether(alone).flatMap(({ remedy }) => (remedy === undefined ? [] : [remedy])),
      looked: this.open(alone).length === 0 ? 'wholly' : 'partly',
    };
  }

  private open(alone: readonly Question[]): readonly Question[] {
    return this.withTogether(alone).filter(({ settled }) => !settled);
  }

  /** All limits at once count only where no limit alone is to blame. */
  private withTogether(alone: readonly Question[]): readonly Question[] {
    const blamed = [...this.limits, ...this.flowLimits].some(({ remedy }) => remedy !== undefined);
    return blamed || this.together === undefined ? alone : [...alone, this.together];
  }

  private limitNames(): readonly LimitName[] {
    return [...this.limits, ...this.flowLimits].map(({ limit }) => limit);
  }

  private loadingTooSlow(): Conflict | undefined {
    return TOLD_AT_ONCE.some((kind) => kind === this.found.kind) ? this.found : undefined;
  }

  /** The conflict, with what the design itself has shown of it. */
  private withFound(conflict: Conflict): Conflict {
    const { found } = this;
    if (conflict.kind === 'space-exhausted') return found;
    if (found.kind !== 'limit-too-low') return conflict;
    return conflict.kind === 'limit-too-low' && conflict.limit === found.limit ? { ...conflict, needed: Math.max(conflict.needed, found.needed) } : conflict;
  }

  /** What no limit could mend: all arms that fit bring or place too little. */
  private structural(): Conflict | undefined {
    const { trials } = this;
    // Trains are a limit like others: what they ask of flows is no target.
    const brief: Brief = { ...this.brief, limits: { ...this.brief.limits, dwell: undefined, trainsPerHour: undefined } };
    const map = siteMap(brief);
    const spots = candidates(map);
    const target = totalDemand(brief);
    const shortOf = (of: Capacity): Rational | undefined => {
      const seconds = trials.programSeconds();
      const most = seconds > 0 ? mostCapacity(map, spots, of, trials.tools.solver, seconds) : undefined;
      return most !== undefined && isLess(most, target) ? most : undefined;
    };
    const supply = brief.feed === 'chests' ? shortOf('supply') : undefined;
    const delivery = supply === undefined ? shortOf('delivery') : undefined;
    if ([supply, delivery].some((most) => most?.equals(ZERO))) return { kind: 'site-too-small' };
    const stopped = brief.spotting > 0 ? takenWherever(map, spots) : target;
    if (isLess(stopped, target)) return { kind: 'spotting-too-far', way: 'out-of', spotting: brief.spotting, most: stopped, target };
    if (supply !== undefined) return { kind: 'supply-too-low', most: supply, target };
    return delivery === undefined ? undefined : { kind: 'arms-too-slow', most: delivery, target };
  }

  private conflict(): Conflict {
    const { limits, flowLimits, together, target, brief } = this;
    const tooLow = ({ limit, allowed, needed }: LimitQuestion): Conflict => ({ kind: 'limit-too-low', limit, allowed, needed });
    const blamed = limits.find(({ remedy }) => remedy !== undefined);
    if (blamed !== undefined) return tooLow(blamed);
    const tooTight = flowLimits.find(({ remedy }) => remedy !== undefined);
    if (tooTight !== undefined) return flowConflict(tooTight.limit, brief);
    if (together?.remedy !== undefined) return { kind: 'limits-together', limits: this.limitNames() };
    const clear = limits.find(({ clearlyTooLow }) => clearlyTooLow);
    if (clear !== undefined) return tooLow(clear);
    const shareOf = (step: number): Rational => {
      const change = target.ladder.at(step);
      return step >= 0 && change?.kind === 'target' ? change.share : ONE;
    };
    if (target.remedy !== undefined) return { kind: 'target-too-high', reached: shareOf(target.working), tooMuch: shareOf(target.failing) };
    const limitsSettled = [...limits, ...flowLimits, together].every((question) => question?.settled !== false);
    return target.settled && limitsSettled ? { kind: 'site-too-small' } : { kind: 'space-exhausted' };
  }
}

/** Why `brief`, which is infeasible, is so, and what would help; in about `seconds`. `found`: what its design came to by `run`. */
export const explain = (
  brief: Brief,
  tools: DesignTools,
  seconds: number,
  found: Conflict = { kind: 'space-exhausted' },
  run: DesignRun = design,
): Promise<InfeasibleReason> => new Explanation(brief, found, tools, run, seconds).run();
