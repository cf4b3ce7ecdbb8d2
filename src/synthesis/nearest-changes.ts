/**
 * Questions after the nearest changes of an infeasible brief that have a layout: the least step of a ladder, what one limit is
 * to be raised to, or all of them. Each asks design runs on until it is settled; what they can't settle in time stays open.
 */
import { jainImbalance } from '../base/jain.js';
import { isLess, type Rational } from '../base/rational.js';
import { NO_LIMITS, type Brief, type Objective } from '../brief/brief.js';
import { layoutCost, partCount, type Layout } from '../layout/layout.js';
import { asBurden } from '../layout/measure.js';
import { changed, rises, type Ladder } from './change.js';
import type { Trials } from './design-trials.js';
import type { DesignTools } from './design-tools.js';
import type { Change, CountLimit, FlowLimit, LimitName, Remedy } from './outcome.js';

const MOST_MORE_ARMS = 12;

export interface Question {
  /** Asks on, no design run longer than `slice` seconds. */
  ask(trials: Trials, slice: number): Promise<void>;
  readonly settled: boolean;
  readonly remedy: Remedy | undefined;
}

/** Looks for the least step of a ladder that works: outward in growing steps, then inward by halves; or step by step where later ones may fail again. */
export class LadderQuestion implements Question {
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
    const isRising = rises(this.ladder);
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
      if (trial.kind === 'fails' && (isRising || step === this.failing + 1)) this.failing = step;
    };
    const last = this.ladder.length - 1;
    for (let stride = 1; this.layout === undefined && silent < last && trials.secondsLeft() > 0; stride *= isRising ? 3 : 1) {
      await attempt(Math.min(last, silent + stride));
    }
    while (this.layout !== undefined && silent < this.working - 1 && trials.secondsLeft() > 0) {
      await attempt(isRising ? Math.floor((silent + this.working) / 2) : silent + 1);
    }
  }
}

/** Lifts one limit: without it, is there a layout, and what is the least value that leaves one? */
export class LimitQuestion implements Question {
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
export class FlowLimitQuestion implements Question {
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
export class AllLimitsQuestion implements Question {
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

export const FLOW_LIMITS: readonly FlowLimit[] = ['imbalance', 'dwell', 'trainsPerHour'];
const isFlowLimit = (limit: LimitName): limit is FlowLimit => FLOW_LIMITS.some((each) => each === limit);

function flowMeasure(limit: FlowLimit, layout: Layout, brief: Brief, tools: DesignTools): Rational | undefined {
  const witness = tools.verify(layout, brief);
  if (witness.verdict !== 'passes') return undefined;
  return limit === 'imbalance' ? jainImbalance(witness.chestOutflows) : witness.trains?.[limit];
}
