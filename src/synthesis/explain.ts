/**
 * Why a brief has no layout, and the nearest changes of it that have one (`nearest-changes.ts`), each tried by a design run of
 * its own; what could not be settled is said so, never guessed. The changes themselves are in `change.ts`, the sentences in
 * `report/reason-text.ts`. Where wagons are filled there are no programs to ask: what the design itself found to bind is
 * handed in.
 */
import { ONE, ZERO, isLess, type Rational } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import { mostCapacity, takenWherever, type Capacity } from './bills/capacity.js';
import { lowerTargets, roomLadders, supplyLadders, type Ladder } from './change.js';
import { design } from './design.js';
import type { DesignTools } from './design-tools.js';
import { Trials, type DesignRun } from './design-trials.js';
import { AllLimitsQuestion, FLOW_LIMITS, FlowLimitQuestion, LadderQuestion, LimitQuestion, type Question } from './nearest-changes.js';
import type { Conflict, CountLimit, FlowLimit, InfeasibleReason, LimitName } from './outcome.js';
import { candidates } from './site/candidates.js';
import { siteMap, totalDemand } from './site/site-map.js';

/** Seconds for one design run; each round of all open questions allows more. */
const FIRST_SLICE = 0.25;
const SLICE_GROWTH = 4;

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
    const structural = loads ? this.toldAtOnce() : this.structural();
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

  private toldAtOnce(): Conflict | undefined {
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
    const asPlanned = siteMap({ ...brief, spotting: 0 });
    const planned = candidates(asPlanned);
    const target = totalDemand(brief);
    const shortOf = (of: Capacity): Rational | undefined => {
      const seconds = trials.programSeconds();
      const most = seconds > 0 ? mostCapacity(asPlanned, planned, of, trials.tools.solver, seconds) : undefined;
      return most !== undefined && isLess(most, target) ? most : undefined;
    };
    const supply = brief.feed === 'chests' ? shortOf('supply') : undefined;
    const delivery = supply === undefined ? shortOf('delivery') : undefined;
    if ([supply, delivery].some((most) => most?.equals(ZERO))) return { kind: 'site-too-small' };
    const map = siteMap(brief);
    const stopped = brief.spotting > 0 ? takenWherever(map, candidates(map)) : target;
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
