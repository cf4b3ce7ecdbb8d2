/**
 * A trial: the exact steady state of a layout from every start, and the full account of the worst one.
 */
import { fillsUp, runsDry } from '../base/chest-rates.js';
import { jainImbalance } from '../base/jain.js';
import { sameTile } from '../base/geometry.js';
import { invariant } from '../base/invariant.js';
import { goOnUnless, type ShouldStop } from '../base/run-stopped.js';
import { minRational, ONE, ratio, ZERO, type Rational } from '../base/rational.js';
import { commonDivisor } from '../base/whole.js';
import { entriesOf, type Layout } from '../layout/layout.js';
import { countedMeasures } from '../layout/measure.js';
import type { Piece, Program } from './compile.js';
import { clearGaps, resetMachine, WATCH_NONE, type Machine } from './machine.js';
import { startDelays, startsOf, type PieceEnd, type StartOptions } from './starts.js';
import type { Settled } from './steady-state.js';
import { entryFlows, isLessLoaded, wagonFlows } from './loading-flows.js';
import { armFlows, chestFlows, throughChest } from './supply.js';
import { stepMachine } from './tick.js';
import type { ArmTrial, ChestTrial, EntryTrial, ExitTrial, LaneTrial, StartTrial, TrialResult } from './trial-result.js';
import { leastFill } from './verify.js';
import { fractionIsLess, type Fraction } from './verify-terms.js';

interface TrialOptions extends StartOptions {
  /** Share of time in which a wagon stands there. */
  readonly presence: Rational;
}

const STOP_EVERY_TICKS = 1024;

/** Greatest gap on an exit lane over the ticks since the gaps were cleared; of a period, round to its first item again. */
function greatestGap(m: Machine, exitLane: number, periodTicks: number | undefined): number | undefined {
  if (m.gapLastTick[exitLane] < 0) return undefined;
  const within = m.gapGreatest[exitLane];
  if (periodTicks === undefined) return within < 0 ? undefined : within;
  const ticks = m.gapFirstTick[exitLane] + periodTicks - m.gapLastTick[exitLane];
  const round =
    m.exitSpeed[exitLane >> 1] * ticks + m.gapLastRest[exitLane] - m.gapFirstRest[exitLane];
  return Math.max(within, round);
}

/** Runs a piece through its start once more, strand by strand, up to and over its period, for the gaps at its exits. */
function measureGaps({ machine, arms }: Piece, { strands }: PieceEnd, delays: readonly number[], shouldStop: ShouldStop): readonly (number | undefined)[] {
  const gaps: (number | undefined)[] = Array.from(machine.exitCount, () => undefined);
  for (const { strand, settled } of strands) {
    if (strand.exitLanes.length === 0) continue;
    const { orbit, transientTicks, exitPeriods } = settled;
    const periodOf = (lane: number): number => exitPeriods?.get(lane) ?? orbit.periodTicks;
    resetMachine(machine, arms.map((arm) => delays[arm]));
    machine.watch = WATCH_NONE;
    const stepOver = (ticks: number): void => {
      for (let tick = 0; tick < ticks; tick++) {
        if (tick % STOP_EVERY_TICKS === 0) goOnUnless(shouldStop);
        stepMachine(machine, strand);
      }
    };
    stepOver(transientTicks);
    for (const period of new Set([...strand.exitLanes].map(periodOf))) {
      clearGaps(machine);
      stepOver(period);
      for (const lane of strand.exitLanes) if (periodOf(lane) === period) gaps[lane] = greatestGap(machine, lane, orbit.exact ? period : undefined);
    }
  }
  return gaps;
}

function exitTrials(program: Program, settled: readonly PieceEnd[], delays: readonly number[], shouldStop: ShouldStop): readonly ExitTrial[] {
  const { layout, pieces } = program;
  const { pitch } = layout.catalog;
  const unreached: LaneTrial = { flow: ZERO, fill: ZERO, largestGap: undefined };
  const trials: ExitTrial[] = layout.exits.map(({ at, heading }) => ({
    at,
    heading,
    flow: ZERO,
    fill: ZERO,
    left: unreached,
    right: unreached,
  }));
  pieces.forEach((piece, index) => {
    const { orbit } = settled[index];
    const gaps = measureGaps(piece, settled[index], delays, shouldStop);
    piece.exits.forEach((exit, local) => {
      const speed = piece.machine.exitSpeed[local];
      const lane = (side: number): LaneTrial => {
        const flow = ratio(orbit.exitCount[local * 2 + side], orbit.periodTicks);
        return { flow, fill: flow.mul(ratio(pitch, speed)), largestGap: gaps[local * 2 + side] };
      };
      const [left, right] = [lane(0), lane(1)];
      const flow = left.flow.add(right.flow);
      trials[exit] = { ...trials[exit], flow, fill: flow.mul(ratio(pitch, 2 * speed)), left, right };
    });
  });
  return trials;
}

function armTrials(program: Program, settled: readonly Settled[]): readonly ArmTrial[] {
  const { layout, network, pieces, freeArms } = program;
  const flows = armFlows(program, settled);
  const idle: Pick<ArmTrial, 'cycleTicks' | 'share'> = {
    cycleTicks: undefined,
    share: { moving: ZERO, blocked: ZERO, starved: ONE },
  };
  const times = network.arms.map(() => idle);
  for (const { arm, cycleTicks } of freeArms) {
    times[arm] = { cycleTicks: ratio(cycleTicks), share: { moving: ONE, blocked: ZERO, starved: ZERO } };
  }
  pieces.forEach((piece, index) => {
    const { orbit } = settled[index];
    piece.arms.forEach((arm, local) => {
      const { periodTicks } = orbit;
      const cycles = orbit.armCycles[local];
      const blocked = ratio(orbit.armBlocked[local], periodTicks);
      const starved = ratio(orbit.armStarved[local], periodTicks);
      times[arm] = {
        cycleTicks: cycles > 0 ? ratio(periodTicks, cycles) : undefined,
        share: { moving: ONE.sub(blocked).sub(starved), blocked, starved },
      };
    });
  });
  return network.arms.map(({ part }, arm) => {
    const placed = layout.parts[part];
    invariant(placed.kind === 'arm', 'an arm link names an arm', { part });
    return { at: placed.at, flow: flows[arm], ...times[arm] };
  });
}

function chestTrials(program: Program, settled: readonly Settled[], presence: Rational): readonly ChestTrial[] {
  return chestFlows(program, settled, presence).map(({ part, outflow, supply, loads, keepsUp }) => {
    const chest = program.layout.parts[part];
    invariant(chest.kind === 'chest', 'a chest flow names a chest', { part });
    return { at: chest.at, outflow, supply, ...(loads === undefined ? {} : { loads }), keepsUp };
  });
}

function entryTrials(program: Program, settled: readonly Settled[]): readonly EntryTrial[] {
  const { layout } = program;
  return entryFlows(program, settled).map(({ left, right, speed }, index) => {
    const { at, heading, give } = entriesOf(layout)[index];
    const flow = left.add(right);
    const carries = ratio(2 * speed, layout.catalog.pitch);
    const offered = give === undefined ? carries : minRational(give, carries);
    return { at, heading, flow, left, right, share: offered.equals(ZERO) ? ZERO : flow.div(offered) };
  });
}

/** Period of all pieces and free arms together; past 2^53 ticks it stays there. */
function jointPeriod(program: Program, settled: readonly Settled[]): number {
  let period = 1;
  const periods = [...settled.map(({ orbit }) => orbit.periodTicks), ...program.freeArms.map((arm) => arm.cycleTicks)];
  for (const other of periods) {
    period = (period / commonDivisor(period, other)) * other;
    if (period > Number.MAX_SAFE_INTEGER) return Number.MAX_SAFE_INTEGER;
  }
  return period;
}

function startTrial(
  program: Program,
  settled: readonly PieceEnd[],
  delays: readonly number[],
  { presence, shouldStop }: TrialOptions,
): Omit<StartTrial, 'chests'> {
  const { layout } = program;
  const exact = isExact(settled);
  const loads = entriesOf(layout).length > 0;
  return {
    exact,
    transientTicks: Math.max(0, ...settled.map(({ transientTicks }) => transientTicks)),
    periodTicks: exact
      ? jointPeriod(program, settled)
      : Math.max(...settled.filter(({ orbit }) => !orbit.exact).map(({ orbit }) => orbit.periodTicks)),
    exits: exitTrials(program, settled, delays, shouldStop),
    ...(loads
      ? {
          entries: entryTrials(program, settled),
          wagons: wagonFlows(program, settled, presence).map((inflow, wagon) => ({ at: layout.wagons[wagon].at, inflow })),
        }
      : {}),
    arms: armTrials(program, settled),
  };
}

/**
 * A chest of the worst start, and how it fails from others: more may leave, or come in, from another one. Whether it runs dry and
 * whether it fills up are two questions, so each has its own start.
 */
export function overStarts(worst: ChestTrial, tried: readonly { readonly start: number; readonly chest: ChestTrial }[], presence: Rational): ChestTrial {
  const firstOther = (fails: (chest: ChestTrial, presence: Rational) => boolean) => (fails(worst, presence) ? undefined : tried.find(({ chest }) => fails(chest, presence)));
  const dry = firstOther(runsDry);
  const full = firstOther(fillsUp);
  return {
    ...worst,
    ...(dry === undefined ? {} : { outflow: dry.chest.outflow, runsDryFrom: dry.start }),
    ...(full === undefined ? {} : { loads: full.chest.loads, fillsUpFrom: full.start }),
    keepsUp: tried.every(({ chest }) => chest.keepsUp),
  };
}

/** Starts that were kept may be those of a layout that lists its parts in another order. */
const inOrderOf = ({ parts }: Layout, chests: readonly ChestTrial[]): readonly ChestTrial[] =>
  parts.flatMap((part) => (part.kind === 'chest' ? chests.filter(({ at }) => sameTile(at, part.at)) : []));

const isExact = (settled: readonly Settled[]): boolean => settled.every(({ orbit }) => orbit.exact);

/** What of a start is held against others. */
interface TriedStart {
  readonly start: number;
  readonly settled: readonly PieceEnd[];
  readonly exact: boolean;
  readonly fill: Fraction;
  /** Of a layout that has entries and no exit. */
  readonly into: readonly Rational[];
  readonly chests: readonly ChestTrial[];
}

/**
 * The worst of the standard start and the staggered ones: that whose least fill of an exit is least, the earliest of
 * equals; of a layout that has entries and no exit, that from which the wagons get least.
 */
export function runTrial(layout: Layout, options: TrialOptions): TrialResult {
  const starts = startsOf(layout, options);
  const { program } = starts;
  const { presence } = options;
  const onlyLoads = layout.exits.length === 0 && entriesOf(layout).length > 0;
  const tryFrom = (start: number): TriedStart => {
    const settled = starts.settle(start);
    return {
      start,
      settled,
      exact: isExact(settled),
      fill: leastFill(program, settled),
      into: onlyLoads ? wagonFlows(program, settled, presence) : [],
      chests: chestTrials(program, settled, presence),
    };
  };
  const tried = [tryFrom(0)];
  // A start that is unproven might have been the worst, so the others can't make the trial exact any more.
  while (tried.length <= options.starts && tried[tried.length - 1].exact) tried.push(tryFrom(tried.length));
  options.kept?.keep(starts);
  const isWorse = (a: TriedStart, b: TriedStart): boolean => (onlyLoads ? isLessLoaded(a.into, b.into) : fractionIsLess(a.fill, b.fill));
  const worst = tried.reduce((least, other) => (isWorse(other, least) ? other : least));
  const delays = startDelays(program, options.seed, worst.start);
  const { cost, parts, footprint, splitters, depth, width } = countedMeasures(layout);
  return {
    ...startTrial(program, worst.settled, delays, options),
    chests: inOrderOf(layout, worst.chests.map((chest, index) => overStarts(chest, tried.map(({ start, chests }) => ({ start, chest: chests[index] })), presence))),
    exact: tried.every(({ exact }) => exact),
    worstStart: worst.start,
    starts: tried.length,
    cost,
    parts,
    footprint,
    splitters,
    depth,
    width,
    imbalance: jainImbalance(worst.chests.map(throughChest)),
  };
}
