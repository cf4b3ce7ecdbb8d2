/**
 * Rechecks a proof log by other means than those that made it: programs by a second solver, networks and the plan by
 * the reference simulator, the bound by arithmetic. The log is read several times and never held. With a limit of time,
 * lines are rechecked in the order of a seeded draw, so that what was rechecked in time is a fair sample.
 * What this takes on trust stands in `rationale.md` and in every report.
 */
import { sameTile } from '../base/geometry.js';
import { jainImbalance } from '../base/jain.js';
import { seededRandom } from '../base/random.js';
import { formatRational, isLess, minRational, ZERO, type Rational } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import { placeTile, type Layout } from '../layout/layout.js';
import type { IntegerSolver } from '../program/solver.js';
import type { Audit, FlawKind, LogRefusal, Rechecked } from './audit-result.js';
import { fillingImbalance, fillingPace, intoAllWagons } from './loading-shortfall.js';
import { armsOf } from './networks.js';
import { recheckProgram } from './programs.js';
import type { FailingLine, LineOf, StepName } from './proof-line.js';
import { readLine, readPlaced, type PlacedLayout, type Read } from './read-line.js';
import { measure, type Shortfall } from './shortfall.js';
import { chestBalances, flowsFrom, trainPace, type Flows, type Patience } from './steady-flow.js';
import { Flaws, movesOf, survey, type ClaimedPlan, type Survey } from './survey.js';

export interface ReplayProgress {
  readonly stage: 'reading' | 'plan' | 'programs' | 'networks';
  readonly done: number;
  /** Undefined while it is not known. */
  readonly all: number | undefined;
}

interface ReplayTools {
  /** Begins to read the log anew; called several times. */
  readonly lines: () => Iterable<string>;
  /** Some other solver than the one of this name. */
  readonly solverBeside: (name: string | undefined) => Promise<IntegerSolver>;
  /** Draws which lines are rechecked first. */
  readonly seed: number;
  /** Milliseconds from any fixed moment on. */
  readonly now: () => number;
  /** Infinity where there is no limit. */
  readonly secondsLeft: () => number;
  readonly shouldStop: () => boolean;
  readonly breathe: () => Promise<void>;
  readonly onProgress: (progress: ReplayProgress) => void;
}

/** A network that has not repeated after so many ticks counts as not rechecked. */
const MOST_TICKS = 500_000;
const PROGRAM_SECONDS = 60;
/** Rounds over the log, each rechecking another part of it; one round where there is time for all. */
const ROUNDS = 16;
/** Shares of the time left that the plan, then the programs, then networks that passed may take at most. */
const PLAN_SHARE = 0.4;
const PROGRAM_SHARE = 0.5;
const PASSED_SHARE = 0.2;
const BREATHE_MILLISECONDS = 40;

type Outcome = readonly FlawKind[] | 'unfinished';

/** The layout with its wagons moved by so many tiles. */
const withWagonsMoved = (layout: Layout, tiles: number): Layout => ({
  ...layout,
  wagons: layout.wagons.map((wagon) => ({ ...wagon, at: wagon.at + tiles })),
});

const delaysFlaw = (layout: Layout, delays: readonly number[]): readonly FlawKind[] => {
  const expected = armsOf(layout).length;
  return delays.length === expected ? [] : [{ kind: 'delays-count', expected, found: delays.length }];
};

/** Whether a shortfall is what the line names. A chest counts only where some arm of the layout fills it. */
function isNamed(shortfall: Shortfall, { kind, exit, chest, entry, wagon }: FailingLine, layout: Layout): boolean {
  switch (shortfall.kind) {
    case 'exit':
      return kind === 'exit' && (exit ?? shortfall.exit) === shortfall.exit;
    case 'sum':
    case 'wagons':
      return kind === 'sum';
    case 'entry':
      return kind === 'entry' && shortfall.entry === entry;
    case 'wagon':
      return kind === 'wagon' && shortfall.wagon === wagon;
    case 'overfull':
      return kind === 'chest' && (chest === undefined || sameTile(shortfall.at, { x: chest[0], y: chest[1] }));
    case 'chest': {
      const { at } = shortfall;
      const isThere = chest === undefined || sameTile(at, { x: chest[0], y: chest[1] });
      return kind === 'chest' && isThere && armsOf(layout).some((arm) => sameTile(placeTile(arm), at));
    }
  }
}

class Replay {
  private readonly flaws = new Flaws();
  private readonly startedAt: number;
  private breathedAt: number;

  constructor(private readonly tools: ReplayTools) {
    this.startedAt = tools.now();
    this.breathedAt = this.startedAt;
  }

  async run(): Promise<Read<Audit, LogRefusal>> {
    const { tools, flaws } = this;
    const read = await survey(tools.lines(), flaws, (line) => this.breathe({ stage: 'reading', done: line, all: undefined }));
    if (!read.ok) return read;
    const found = read.value;
    const starts = await this.replayStarts(found);
    const solver = await tools.solverBeside(found.opening.line.solver);
    const programs = await this.replayPrograms(found, solver);
    const passed = await this.replayNetworks(found, 'passes', found.passed, PASSED_SHARE);
    const ruledOut = await this.replayNetworks(found, 'fails', found.ruledOut, 1);
    const all = [starts, programs, ruledOut, passed];
    const isWhole = found.undecided === 0 && all.every((part) => part.rechecked === part.all);
    const { ledger, claim, opening, lines, steps, undecided } = found;
    const finite = (price: number | undefined): number | undefined => (price === Infinity ? undefined : price);
    return {
      ok: true,
      value: {
        verdict: flaws.count > 0 ? 'broken' : isWhole ? 'holds' : 'partly',
        name: opening.brief.name,
        objective: ledger?.price ?? 'cost',
        status: claim?.status,
        bound: claim?.bound,
        price: ledger?.found,
        lines,
        steps,
        programs,
        loads: opening.brief.load !== undefined,
        armBounds: opening.line.armBounds !== undefined,
        solver: solver.name,
        families: ledger?.families ?? 0,
        leastOfFamilies: finite(ledger?.leastOfFamilies),
        leastOfRest: finite(ledger?.leastOfRest),
        ruledOut,
        passed,
        undecided,
        starts,
        flaws: flaws.inOrder,
        flawCount: flaws.count,
        seconds: (tools.now() - this.startedAt) / 1000,
      },
    };
  }

  private async breathe(progress: ReplayProgress): Promise<void> {
    if (this.tools.now() - this.breathedAt < BREATHE_MILLISECONDS) return;
    this.breathedAt = this.tools.now();
    this.tools.onProgress(progress);
    await this.tools.breathe();
  }

  /** Says when a share of the time that is left now is over. */
  private share(part: number): () => boolean {
    const { tools } = this;
    const until = tools.now() + part * 1000 * tools.secondsLeft();
    return () => tools.shouldStop() || tools.now() >= until;
  }

  /**
   * Goes over the lines of a step, in rounds if time is short. `recheck` says what it found of a line, or undefined
   * where the line is none of those that are counted.
   */
  private async sweep<Step extends StepName>(
    step: Step,
    stage: ReplayProgress['stage'],
    all: number,
    isOver: () => boolean,
    recheck: (line: LineOf<Step>, number: number) => Outcome | undefined,
  ): Promise<Rechecked> {
    const { tools, flaws } = this;
    let rechecked = 0;
    let unfinished = 0;
    const rounds = tools.secondsLeft() === Infinity ? 1 : ROUNDS;
    for (let round = 0; round < rounds && rechecked + unfinished < all; round++) {
      let number = 0;
      for (const text of tools.lines()) {
        number++;
        if (!text.includes(`"step":"${step}"`)) continue;
        if (rounds > 1 && seededRandom((tools.seed ^ Math.imul(number, 0x9e3779b1)) >>> 0)(rounds) !== round) continue;
        if (isOver()) return { all, rechecked, unfinished };
        const line = readLine(text);
        if (!line.ok || line.value.step !== step) continue;
        const outcome = recheck(line.value as LineOf<Step>, number);
        if (outcome === undefined) continue;
        // What was broken off was not tried to its end.
        if (outcome === 'unfinished' && isOver()) break;
        if (outcome === 'unfinished') unfinished++;
        else {
          rechecked++;
          flaws.add(number, outcome);
        }
        await this.breathe({ stage, done: rechecked + unfinished, all });
      }
    }
    return { all, rechecked, unfinished };
  }

  private async replayPrograms({ proposals }: Survey, solver: IntegerSolver): Promise<Rechecked> {
    const { tools, flaws } = this;
    const isOver = this.share(PROGRAM_SHARE);
    let rechecked = 0;
    let unfinished = 0;
    for (const { line, value, of, billsBefore } of this.inOrderOfRecheck(proposals)) {
      if (isOver()) break;
      const limit = Math.min(PROGRAM_SECONDS, tools.secondsLeft());
      const found = recheckProgram(of, billsBefore, value, solver, limit);
      if (found === undefined) unfinished++;
      else {
        rechecked++;
        flaws.add(line, found);
      }
      await this.breathe({ stage: 'programs', done: rechecked + unfinished, all: proposals.length });
    }
    return { all: proposals.length, rechecked, unfinished };
  }

  /** By a seeded draw where time is short. */
  private inOrderOfRecheck<T>(items: readonly T[]): readonly T[] {
    if (this.tools.secondsLeft() === Infinity) return items;
    const draw = seededRandom(this.tools.seed);
    const drawn = items.map((item) => ({ item, place: draw(1 << 30) }));
    return drawn.sort((a, b) => a.place - b.place).map(({ item }) => item);
  }

  private replayNetworks({ opening }: Survey, verdict: 'fails' | 'passes', all: number, share: number): Promise<Rechecked> {
    const isOver = this.share(share);
    const patience: Patience = { mostTicks: MOST_TICKS, shouldStop: isOver };
    return this.sweep('judged', 'networks', all, isOver, (line) => {
      if (line.verdict !== verdict) return undefined;
      const placed = readPlaced(line, opening);
      if (!placed.ok) return [placed.why];
      return verdict === 'fails' ? recheckFailing(line, placed.value, opening.brief, patience) : recheckPassing(placed.value, opening.brief, patience);
    });
  }

  private async replayStarts({ opening, runBegins, plan, steps }: Survey): Promise<Rechecked> {
    const { brief } = opening;
    const all = movesOf(brief).length * (brief.starts + 1);
    if (plan === undefined) return { all: steps.found === undefined ? 0 : all, rechecked: 0, unfinished: 0 };
    const isOver = this.share(PLAN_SHARE);
    const patience: Patience = { mostTicks: MOST_TICKS, shouldStop: isOver };
    const limits = new FlowLimits(brief);
    const found = await this.sweep('start', 'plan', all, isOver, (line, number) => {
      if (number < runBegins) return undefined;
      return recheckStart(line, plan, brief, patience, limits);
    });
    if (found.rechecked === found.all) this.flaws.add(plan.line, limits.flaws());
    return found;
  }
}

/** A network that was ruled out falls short of what its line names. Where that is missing, little can be shown. */
function recheckFailing({ failing }: LineOf<'judged'>, { layout, demands }: PlacedLayout, brief: Brief, patience: Patience): Outcome {
  if (failing === undefined) return 'unfinished';
  const { kind, delays, wagonsMoved, exit } = failing;
  const flaws = delaysFlaw(layout, delays);
  if (flaws.length > 0) return flaws;
  if (Math.abs(wagonsMoved) > brief.spotting) return [{ kind: 'start-unexpected' }];
  const stands = withWagonsMoved(layout, wagonsMoved);
  const only = kind === 'exit' ? exit : undefined;
  const flows = flowsFrom(stands, failing, patience, ({ exits }) => only === undefined || exits.includes(only));
  const { shortfalls, incomplete } = measure(stands, flows, brief, demands);
  if (shortfalls.some((shortfall) => isNamed(shortfall, failing, layout))) return [];
  // Networks that were left out are not known either, and do not matter.
  const isOpen = only === undefined ? incomplete : only < flows.exits.length && flows.exits[only] === undefined;
  return isOpen ? 'unfinished' : [{ kind: 'not-short' }];
}

/**
 * Sums are for whole stations, and chests may be filled by arms that are no part of the network; what fills wagons was
 * judged as a whole.
 */
function recheckPassing({ layout, demands }: PlacedLayout, brief: Brief, patience: Patience): Outcome {
  const flows = flowsFrom(layout, { delays: [] }, patience);
  const { shortfalls, incomplete } = measure(layout, flows, brief, demands);
  if (brief.load !== undefined) return incomplete ? 'unfinished' : shortfalls.map((shortfall) => ({ kind: 'short', shortfall }));
  const shortfall = shortfalls.find(({ kind }) => kind === 'exit');
  if (shortfall !== undefined) return [{ kind: 'short', shortfall }];
  return flows.exits.includes(undefined) ? 'unfinished' : [];
}

function recheckStart(
  line: LineOf<'start'>,
  { layout, demands }: ClaimedPlan,
  brief: Brief,
  patience: Patience,
  limits: FlowLimits,
): Outcome {
  const flaws = delaysFlaw(layout, line.delays);
  if (flaws.length > 0) return flaws;
  const stands = withWagonsMoved(layout, line.wagonsMoved);
  const flows = flowsFrom(stands, line, patience);
  const { shortfalls, incomplete } = measure(stands, flows, brief, demands);
  if (shortfalls.length > 0) return shortfalls.map((shortfall) => ({ kind: 'short', shortfall }));
  if (incomplete) return 'unfinished';
  limits.take(line, stands, demands, flows);
  return brief.load === undefined ? [] : unevenlyFilled(fillingImbalance(stands, flows), brief);
}

type LimitFlaw = Extract<FlawKind, { readonly kind: 'plan-limit' }>;

/** Where wagons are filled, every start has to keep to the limit. */
const unevenlyFilled = (found: Rational, { limits: { imbalance } }: Brief): readonly LimitFlaw[] =>
  imbalance !== undefined && isLess(imbalance, found)
    ? [{ kind: 'plan-limit', limit: 'imbalance', most: formatRational(imbalance), found: formatRational(found) }]
    : [];

/**
 * What counts against limits on imbalance and trains are the flows of the worst start, the earliest of those in which the
 * least fill of an exit, or all that wagons get, is least, and of the places where the wagons may stop the worst.
 */
class FlowLimits {
  private readonly worst = new Map<number, { readonly fill: Rational; readonly start: number; readonly flaws: readonly LimitFlaw[] }>();

  constructor(private readonly brief: Brief) {}

  take({ start, wagonsMoved }: LineOf<'start'>, layout: Layout, demands: readonly number[], flows: Flows): void {
    const { imbalance, dwell, trainsPerHour } = this.brief.limits;
    if (imbalance === undefined && dwell === undefined && trainsPerHour === undefined) return;
    const { load, exits, presence } = this.brief;
    const fills = flows.exits.map((exit, index) => (exit === undefined ? ZERO : exit.left.add(exit.right)).div(exits[demands[index]].belt.speed));
    const fill = load === undefined ? fills.reduce(minRational) : intoAllWagons(layout, flows, presence);
    const known = this.worst.get(wagonsMoved);
    const isWorse = known === undefined || isLess(fill, known.fill) || (fill.equals(known.fill) && start < known.start);
    if (isWorse) this.worst.set(wagonsMoved, { fill, start, flaws: this.flawsOf(layout, flows) });
  }

  private flawsOf(layout: Layout, flows: Flows): readonly LimitFlaw[] {
    const { load, limits: { imbalance, dwell, trainsPerHour } } = this.brief;
    const flaw = (limit: string, most: Rational, found: Rational | undefined): LimitFlaw => ({
      kind: 'plan-limit',
      limit,
      most: formatRational(most),
      found: found === undefined ? 'none' : formatRational(found),
    });
    const uneven = load === undefined ? jainImbalance(chestBalances(layout, flows).map(({ outflow }) => outflow ?? ZERO)) : ZERO;
    const pace = load === undefined ? trainPace(layout, flows) : fillingPace(layout, flows);
    return [
      ...(imbalance !== undefined && isLess(imbalance, uneven) ? [flaw('imbalance', imbalance, uneven)] : []),
      ...(dwell !== undefined && (pace === undefined || isLess(dwell, pace.dwell)) ? [flaw('dwell', dwell, pace?.dwell)] : []),
      ...(trainsPerHour !== undefined && (pace === undefined || isLess(pace.trainsPerHour, trainsPerHour))
        ? [flaw('trainsPerHour', trainsPerHour, pace?.trainsPerHour)]
        : []),
    ];
  }

  flaws(): readonly FlawKind[] {
    const all = [...this.worst.values()].flatMap(({ flaws }) => flaws);
    return [...new Map(all.toReversed().map((flaw) => [flaw.limit, flaw])).values()].toReversed();
  }
}

/** See the head of this file; refused is only what does not begin like a log. */
export const replay = (tools: ReplayTools): Promise<Read<Audit, LogRefusal>> => new Replay(tools).run();
