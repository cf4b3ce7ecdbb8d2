/**
 * Visit runs: trains one after the other (`visit-run.ts`), until what is asked for is over or visits come over and over; cycles
 * that are known are passed over. What is told of a run is in `visit-result.ts`.
 */
import { goOnUnless, type ShouldStop } from '../base/run-stopped.js';
import type { Layout } from '../layout/layout.js';
import type { CompileOptions } from './compile.js';
import { VisitRun, type Arrival } from './visit-run.js';
import type { VisitCycle, VisitLimits, VisitResult, VisitSample, VisitTerms } from './visit-result.js';

/** A run that doesn't repeat ends after so many ticks that were run one by one, or so many trains. */
const MOST_TICKS_RUN = 40_000_000;
const MOST_VISITS = 5_000;

interface RunOptions extends Partial<CompileOptions> {
  /** Left out: true. False runs every tick, to test that leaps change nothing. */
  readonly leaps?: boolean;
  /** Moments at which the run is looked at, in ticks, rising; each before the run ends. */
  readonly sampleTicks?: readonly number[];
  readonly mostTicksRun?: number;
  /** Asked now and then; once true, `RunStopped` is thrown. */
  readonly shouldStop?: ShouldStop;
}

const STOP_EVERY_STEPS = 64;

function cycleOf(run: VisitRun, from: Arrival, to: Arrival): VisitCycle {
  const visits = run.visits.filter(({ number }) => number >= from.visit && number < to.visit);
  return {
    firstVisit: from.visit,
    visits: to.visit - from.visit,
    ticks: to.tick - from.tick,
    dwellTicks: visits.reduce((sum, { dwellTicks }) => sum + (dwellTicks ?? 0), 0),
    unloaded: visits.reduce((sum, { unloaded }) => sum + unloaded, 0),
    exits: run.exitFindings(from.tally, from.tick),
    cameIn: run.cameIn(from.tally),
    arms: run.armFindings(from.tally),
  };
}

/** Cycles of visits: the first arrival in a state that was there before ends the first cycle. */
class CycleWatch {
  private readonly seen = new Map<string, Arrival>();
  private last: Arrival | undefined;
  cycle: VisitCycle | undefined;

  /** At an arrival; the earlier one in the same state, if there is one a whole cycle ago. */
  look(run: VisitRun): Arrival | undefined {
    const now = run.arrival();
    const { cycle, last } = this;
    if (cycle !== undefined && last !== undefined) {
      if (now.visit - last.visit < cycle.visits) return undefined;
      this.last = now;
      return last;
    }
    const key = run.arrivalKey();
    const before = this.seen.get(key);
    if (before === undefined) {
      this.seen.set(key, now);
      return undefined;
    }
    this.last = now;
    this.cycle = cycleOf(run, before, now);
    return before;
  }

  /** After whole cycles were skipped. */
  moveTo(now: Arrival): void {
    this.last = now;
  }

  get isFull(): boolean {
    return this.seen.size > MOST_VISITS;
  }
}

/** Runs until what is asked for is over; without limits, until visits come over and over. */
export function runVisits(layout: Layout, terms: VisitTerms, limits: VisitLimits = {}, options: RunOptions = {}): VisitResult {
  const run = new VisitRun(layout, terms, options);
  const leaps = options.leaps ?? true;
  const endTick = limits.ticks ?? Infinity;
  const mostVisits = limits.visits ?? Infinity;
  const isBounded = endTick < Infinity || mostVisits < Infinity;
  const sampleTicks = options.sampleTicks ?? [];
  const samples: VisitSample[] = [];
  const cycles = new CycleWatch();
  let skippedVisits = 0;
  let stuckSince: number | undefined;
  let ending: VisitResult['ending'] | undefined;
  for (let steps = 0; ending === undefined; steps++) {
    if (steps % STOP_EVERY_STEPS === 0) goOnUnless(options.shouldStop);
    // A train that comes after the last tick is none of this run's.
    if (run.isTrainDue && run.tick < endTick) {
      run.arrive();
      const before = cycles.look(run);
      if (before !== undefined && !isBounded) return resultOf(run, 'repeats', cycles.cycle, skippedVisits, stuckSince, samples);
      if (before !== undefined && leaps && cycles.cycle !== undefined) {
        const { visits, ticks } = cycles.cycle;
        const stop = Math.min(endTick, sampleTicks[samples.length] ?? Infinity);
        const times = Math.max(0, Math.min(Math.floor((stop - 1 - run.tick) / ticks), Math.floor((mostVisits - 1 - run.departures) / visits)));
        if (run.skip(times, before)) {
          skippedVisits += times * visits;
          cycles.moveTo(run.arrival());
        }
      }
    }
    while (sampleTicks[samples.length] <= run.tick) samples.push(run.sample());
    if (run.tick >= endTick) ending = 'limit';
    else {
      const stopTick = leaps ? Math.min(endTick, sampleTicks[samples.length] ?? Infinity) : run.tick;
      const isStill = run.step(stopTick);
      if (isStill) {
        stuckSince ??= run.tick;
        run.isStuck = true;
      }
      if (isStill && endTick === Infinity) ending = 'stuck';
      else if (run.departures >= mostVisits) ending = 'limit';
      else if (run.stock.machine.now >= (options.mostTicksRun ?? MOST_TICKS_RUN) || (!isBounded && cycles.isFull)) ending = 'open';
    }
  }
  run.closeVisit();
  while (samples.length < sampleTicks.length) samples.push(run.sample());
  return resultOf(run, ending, cycles.cycle, skippedVisits, stuckSince, samples);
}

function resultOf(
  run: VisitRun,
  ending: VisitResult['ending'],
  cycle: VisitCycle | undefined,
  skippedVisits: number,
  stuckSince: number | undefined,
  samples: readonly VisitSample[],
): VisitResult {
  const { stock, tick, departures, visits } = run;
  const { layout } = stock;
  const exits = run.exitFindings(new Float64Array(run.tally.read().length), 0).map((finding, exit) => {
    const local = stock.exits.indexOf(exit);
    const underWay = local < 0 ? tick : tick - 1 - stock.exitLastTick[local];
    return { ...finding, longestPauseTicks: Math.max(local < 0 ? 0 : stock.exitLongestPause[local], underWay) };
  });
  const chests = stock.chestParts.flatMap((index, chest) => {
    const part = layout.parts[index];
    const container = stock.wagons + chest;
    return part.kind === 'chest' ? [{ at: part.at, capacity: stock.capacity[container], level: stock.held[container] }] : [];
  });
  return { ending, ticks: tick, departures, visits, skippedVisits, cycle, stuckSince, exits, chests, samples };
}
