/**
 * Joins what tells why a station gives less than it might: the trial that finds its worst start, the diaries of arms
 * (first simulator) and of items (second simulator), and a trial of every single change (`best-changes.ts`). Of stations
 * that fill wagons, `why-loading.ts`.
 */
import { barrierAhead, itemDiary, type Departure } from '../audit/item-diary.js';
import type { Cause, Culprit, ExitWhy, FailingChests, WhyResult } from '../audit/cause.js';
import { fillsUp, runsDry } from '../base/chest-rates.js';
import { invariant } from '../base/invariant.js';
import { compare, maxRational, minRational, ONE, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import { commonBigDivisor } from '../base/whole.js';
import { bestChanges, CHANGE_TICK_LIMIT, type ChangeTerms } from './best-changes.js';
import type { Layout, Side } from '../layout/layout.js';
import { deriveNetwork, type Network } from '../layout/network.js';
import { armDiary, type ArmDiary } from '../simulation/arm-diary.js';
import { leastFlows } from '../simulation/least-flows.js';
import { startRecorder } from '../simulation/record-start.js';
import type { StartOptions } from '../simulation/starts.js';
import { runTrial } from '../simulation/trial.js';
import type { TrialResult } from '../simulation/trial-result.js';

/** Longer runs are followed so far item by item: then the numbers are measured. */
const MOST_TICKS = 20_000;

export interface WhyRequest extends ChangeTerms {
  readonly tickLimit: number;
  /** What each exit is held against, in items per tick, at most what its belt carries; left out: just that. */
  readonly target?: ((exit: number, saturated: Rational) => Rational) | undefined;
  /** Most ticks that are followed item by item, of those before the period; of the period itself half as many. Left out: 20,000. */
  readonly mostTicks?: number | undefined;
  /** Whether single changes are tried too. */
  readonly changes: boolean;
}

interface Share {
  readonly culprit: Culprit;
  readonly side: Side;
  /** Units of gap, times the scale. */
  units: bigint;
  longest: { readonly from: number; readonly to: number } | undefined;
}

/**
 * Gives the gap before each item that left to what held that item up: first what slower carriers make of any two items,
 * then, backwards in time, each tick in which the item stood still, then what its arm did before it put the item down.
 */
class Charges {
  private readonly shares = new Map<string, Share>();
  private readonly network: Network;
  /** Divisible by every speed, so that all shares are whole numbers; speeds of fine units have great common multiples. */
  readonly scale: bigint;

  constructor(
    private readonly layout: Layout,
    private readonly diary: ArmDiary,
    private readonly exitSpeed: number,
  ) {
    this.network = deriveNetwork(layout);
    this.scale = this.network.carriers.map(({ speed }) => BigInt(speed)).reduce((scale, speed) => (scale / commonBigDivisor(scale, speed)) * speed, 1n);
  }

  get all(): readonly Readonly<Share>[] {
    return [...this.shares.values()];
  }

  add(culprit: Culprit, side: Side, units: bigint, while_?: { readonly from: number; readonly to: number }): void {
    if (units <= 0n) return;
    const key = JSON.stringify([culprit, side]);
    const share = this.shares.get(key) ?? { culprit, side, units: 0n, longest: undefined };
    share.units += units;
    const length = share.longest === undefined ? 0 : share.longest.to - share.longest.from;
    if (while_ !== undefined && while_.to - while_.from > length) share.longest = while_;
    this.shares.set(key, share);
  }

  private armCulprit(arm: number, doing: 'working' | 'blocked' | 'starved'): Culprit {
    const { carriers, arms } = this.network;
    const { part, place } = arms[arm];
    const placed = this.layout.parts[part];
    invariant(placed.kind === 'arm' && place.kind === 'carrier', 'an arm that puts items on lanes', { part });
    return doing === 'blocked'
      ? { kind: 'arm', at: placed.at, doing, onto: place.tile, ahead: barrierAhead(carriers, place.carrier, false) }
      : { kind: 'arm', at: placed.at, doing };
  }

  /** `excess`: units of gap beyond the pitch. */
  charge({ side, journey }: Departure, excess: number): void {
    const { layout, network, scale, exitSpeed } = this;
    const { pitch } = layout.catalog;
    const perTick = BigInt(exitSpeed) * scale;
    let left = BigInt(excess) * scale;
    const take = (most: bigint): bigint => {
      const taken = left < most ? left : most;
      left -= taken;
      return taken;
    };
    const slowest = network.carriers.at(journey.slowest);
    if (journey.slowest >= 0 && slowest !== undefined && slowest.speed < exitSpeed) {
      this.add({ kind: 'slow', at: slowest.tail }, side, take(BigInt(pitch) * (perTick / BigInt(slowest.speed) - scale)));
    }
    for (let index = journey.waits.length - 1; index >= 0 && left > 0n; ) {
      const { tick, carrier, beforeLine } = journey.waits[index];
      let from = tick;
      let units = 0n;
      // One wait of many ticks on one carrier.
      for (let wait = journey.waits.at(index); index >= 0 && wait?.tick === from && wait.carrier === carrier && wait.beforeLine === beforeLine && left > 0n; wait = journey.waits[index]) {
        units += take(BigInt(wait.lost) * (perTick / BigInt(wait.speed)));
        from -= 1;
        index -= 1;
        if (index < 0) break;
      }
      this.add({ kind: 'wait', before: barrierAhead(network.carriers, carrier, beforeLine) }, side, units, { from, to: tick });
    }
    if (journey.arm === undefined) {
      this.add({ kind: 'nothing' }, side, left);
      return;
    }
    let until = journey.placedIn - 1;
    while (left > 0n) {
      // Before the first tick, an arm that was held back did as little as one that works.
      const doing = until < 1 ? 'working' : this.diary(journey.arm, until);
      let from = until - 1;
      while (from >= 1 && this.diary(journey.arm, from) === doing) from -= 1;
      const units = take(until < 1 ? left : perTick * BigInt(until - from));
      this.add(this.armCulprit(journey.arm, doing), side, units, { from: until - Number((units + perTick - 1n) / perTick), to: until });
      until = from;
    }
  }
}

/**
 * The units beyond the pitch in each gap of a period. Items that come from different lanes may leave closer than the
 * pitch; what they are too close is taken off the gaps that follow, round to the first.
 */
export function excesses(gaps: readonly number[], pitch: number): readonly number[] {
  const debtAfter = (debt: number): number => gaps.reduce((owed, gap) => Math.max(0, owed - (gap - pitch)), debt);
  let debt = debtAfter(0);
  return gaps.map((gap) => {
    const net = gap - pitch - debt;
    debt = Math.max(0, -net);
    return Math.max(0, net);
  });
}

interface LaneFinding {
  readonly flow: Rational;
  readonly causes: readonly Cause[];
}

function laneFinding(layout: Layout, diary: ArmDiary, departures: readonly Departure[], side: Side, speed: number): LaneFinding {
  const { pitch } = layout.catalog;
  const saturated = ratio(speed, pitch);
  const counted = departures.filter((each): each is Departure & { readonly gap: number } => each.side === side && each.gap !== undefined);
  const way = counted.reduce((sum, { gap }) => sum + gap, 0);
  if (way === 0) return { flow: ZERO, causes: [{ culprit: { kind: 'nothing' }, side, missing: saturated, longest: undefined }] };
  const charges = new Charges(layout, diary, speed);
  const excess = excesses(counted.map(({ gap }) => gap), pitch);
  counted.forEach((each, index) => charges.charge(each, excess[index]));
  const causes = charges.all.map(({ culprit, units, longest }): Cause => {
    const items = ratio(units, charges.scale).div(ratio(pitch));
    return { culprit, side, missing: items.mul(ratio(speed, way)), longest };
  });
  const flow = ratio(counted.length * speed, way);
  const missing = sumRational(causes.map((cause) => cause.missing));
  invariant(compare(missing, maxRational(ZERO, saturated.sub(flow))) === 0, 'causes add up to what the lane lacks', { side, missing: missing.toFraction(), flow: flow.toFraction() });
  return { flow, causes };
}

const bySize = (a: Cause, b: Cause): number => compare(b.missing, a.missing) || (JSON.stringify([a.side, a.culprit]) < JSON.stringify([b.side, b.culprit]) ? -1 : 1);

function exitFindings(layout: Layout, trial: TrialResult, options: StartOptions, { target, mostTicks = MOST_TICKS, shouldStop }: WhyRequest): Pick<WhyResult, 'exits' | 'exact' | 'ticks'> {
  const { carriers } = deriveNetwork(layout);
  const { delays, repeats } = startRecorder(layout, options)(trial.worstStart);
  const settling = Math.min(repeats.after, mostTicks);
  const ticks = Math.min(trial.periodTicks, Math.ceil(mostTicks / 2));
  // Where nothing leaves in a period that is known, nothing needs to be followed.
  const isStill = trial.exact && trial.exits.every(({ flow }) => flow.equals(0));
  const exact = isStill || (trial.exact && settling === repeats.after && ticks === trial.periodTicks);
  // One period more before it, so that the first item of the period has one before it.
  const since = settling + ticks;
  const diary = armDiary(layout, delays, since + ticks, shouldStop);
  const departures = isStill ? [] : itemDiary(layout, delays, since + ticks, shouldStop).filter(({ tick }) => tick > since);
  const exits = layout.exits.flatMap(({ at, heading }, exit): readonly ExitWhy[] => {
    const carrier = carriers.find(({ next }) => next.kind === 'exit' && next.exit === exit);
    if (carrier === undefined) return [];
    const own = departures.filter((each) => each.exit === exit);
    const lanes = (['left', 'right'] as const).map((side) => laneFinding(layout, diary, own, side, carrier.speed));
    const flow = sumRational(lanes.map((lane) => lane.flow));
    invariant(!exact || compare(flow, trial.exits[exit].flow) === 0, 'both simulators count the same', { exit, flow: flow.toFraction() });
    const saturated = ratio(2 * carrier.speed, layout.catalog.pitch);
    const wanted = target === undefined ? saturated : minRational(saturated, target(exit, saturated));
    const shortfall = maxRational(ZERO, wanted.sub(flow));
    // Where the target is less than saturation, or one lane carries more than that, each cause has its part of what is missing.
    const found = lanes.flatMap((lane) => lane.causes);
    const whole = sumRational(found.map(({ missing }) => missing));
    const causes = found
      .map((cause) => ({ ...cause, missing: compare(whole, ZERO) === 0 ? ZERO : cause.missing.mul(shortfall).div(whole) }))
      .filter(({ missing }) => compare(missing, ZERO) > 0)
      .sort(bySize);
    return [{ at, heading, flow, target: wanted, shortfall, causes }];
  });
  return { exits, exact, ticks: isStill ? trial.periodTicks : ticks };
}

const fromStart = (start: number | undefined) => (start === undefined ? {} : { fromStart: start });

/** Those that do not keep up from some start. */
export function failingChests({ chests }: TrialResult, presence: Rational): FailingChests {
  return {
    drying: chests
      .filter((chest) => runsDry(chest, presence))
      .map(({ at, outflow, supply, runsDryFrom }) => ({ at, outflow, supply: supply.mul(presence), ...fromStart(runsDryFrom) })),
    filling: chests.flatMap((chest) =>
      chest.loads !== undefined && fillsUp(chest, presence)
        ? [{ at: chest.at, inflow: chest.loads.inflow, carryOff: chest.loads.carryOff.mul(presence), ...fromStart(chest.fillsUpFrom) }]
        : [],
    ),
  };
}

export function whyStation(layout: Layout, request: WhyRequest): WhyResult {
  const { starts, seed, tickLimit, presence = ONE, shouldStop } = request;
  const options: StartOptions = { starts, seed, tickLimit, shouldStop };
  const trial = runTrial(layout, { ...options, presence });
  const { together } = leastFlows(layout, options);
  const leastFlow = (changed: Layout, count: number) => {
    const { together: flow, exact } = leastFlows(changed, { ...options, starts: count, tickLimit: CHANGE_TICK_LIMIT });
    return { flow, exact };
  };
  const findings = exitFindings(layout, trial, options, request);
  const best = request.changes ? bestChanges(layout, together, request, leastFlow) : { changes: [], tried: 0, untried: 0 };
  return { layout, worstStart: trial.worstStart, starts: trial.starts, ...findings, together, ...failingChests(trial, presence), ...best };
}

export { RunStopped, unlessStopped } from '../base/run-stopped.js';
export { whyJson as whyDocument, whyText as whyReport } from '../report/why-text.js';
