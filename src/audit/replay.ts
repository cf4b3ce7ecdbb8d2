/**
 * Rechecks a proof log by other means than those that made it: programs by a second solver, networks and the plan by
 * the reference simulator, the bound by arithmetic. The log is read several times and never held. With a limit of time,
 * lines are rechecked in the order of a seeded draw, so that what was rechecked in time is a fair sample. What is looked at
 * in one line is in `recheck.ts`.
 * What this takes on trust stands in `rationale.md` and in every report.
 */
import { seededRandom } from '../base/random.js';
import { spottingOffsets } from '../layout/spotting.js';
import type { IntegerSolver } from '../program/solver.js';
import type { Audit, LogRefusal, Rechecked } from './audit-result.js';
import { recheckProgram } from './programs.js';
import type { LineOf, StepName } from './proof-line.js';
import { readLine, readPlaced, type Read } from './read-line.js';
import { FlowLimits, recheckFailing, recheckPassing, recheckStart, type Outcome } from './recheck.js';
import type { Patience } from './steady-flow.js';
import { Flaws, survey, type Survey } from './survey.js';

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
    const all = spottingOffsets(brief.spotting).length * (brief.starts + 1);
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

/** See the head of this file; refused is only what does not begin like a log. */
export const replay = (tools: ReplayTools): Promise<Read<Audit, LogRefusal>> => new Replay(tools).run();
