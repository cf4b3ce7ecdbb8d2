/**
 * Which one further measurement would tell most: of a list of possible ones, that which leaves the fewest candidates
 * on average, if each of them is as likely to be the true one and the measurement shows the middle of what that one
 * predicts. Which candidates there are is `candidates.ts`'.
 */
import { isLess, maxRational, ONE, ratio, ZERO, type Rational } from '../base/rational.js';
import { outcomeOfArm, outcomeWithoutArm, type World } from './candidates.js';
import { givesTime, type Measurements, type Probe } from './measurements.js';
import { clearTicks, type Outcome } from './predict.js';

export interface Suggestion {
  readonly probe: Probe;
  /** Items or ticks; candidates no further than that from what is observed are left. */
  readonly uncertainty: Rational;
  /** Candidates left on average. */
  readonly leaves: Rational;
}

const LANE_TILES = 20;
const COUNT_SECONDS = [60, 600];

const keyOf = (probe: Probe): string => JSON.stringify(Object.entries(probe).sort(([a], [b]) => (a < b ? -1 : 1)));

/** In this order; of two that tell as much, the earlier is suggested. What was measured already may well show the same again. */
export function possibleProbes({ belts, arms, ticksPerSecond, measurements }: Measurements): readonly Probe[] {
  const windows = COUNT_SECONDS.map((seconds) => seconds * ticksPerSecond);
  const known = new Set(measurements.map(({ probe }) => keyOf(probe)));
  const probes: readonly Probe[] = [
    ...arms.flatMap(({ name: arm }): readonly Probe[] => [
      { kind: 'hand-holds', arm },
      { kind: 'first-item', arm },
    ]),
    { kind: 'lane-holds', tiles: LANE_TILES },
    ...belts.map(({ name: belt }): Probe => ({ kind: 'item-travels', belt, tiles: LANE_TILES })),
    ...windows.flatMap((ticks): readonly Probe[] => [
      ...belts.map(({ name: belt }): Probe => ({ kind: 'belt-carries', belt, lanes: 2, ticks })),
      ...arms.map(({ name: arm }): Probe => ({ kind: 'arm-to-chest', arm, ticks })),
      ...arms.flatMap(({ name: arm }) => belts.map(({ name: belt }): Probe => ({ kind: 'arm-to-lane', arm, belt, ticks }))),
    ]),
  ];
  return probes.filter((probe) => !known.has(keyOf(probe)));
}

/** The greatest that was stated for its kind; if none was, one tick, as on a recording, one item, or no item where they can be looked at one by one. */
function uncertaintyOf(probe: Probe, { measurements }: Measurements): Rational {
  const stated = measurements.filter((each) => each.probe.kind === probe.kind).map(({ uncertainty }) => uncertainty);
  if (stated.length > 0) return stated.reduce(maxRational, ZERO);
  if (givesTime(probe)) return ONE;
  return ratio(probe.kind === 'hand-holds' || probe.kind === 'lane-holds' ? 0 : 1);
}

/** How many candidates predict each outcome. */
type Tally = Map<string, { readonly outcome: Outcome; count: bigint }>;

function add(tally: Tally, outcome: Outcome, count: bigint): void {
  const key = `${outcome.least},${outcome.most}`;
  const entry = tally.get(key);
  if (entry === undefined) tally.set(key, { outcome, count });
  else entry.count += count;
}

const choicesIn = ({ arms }: World): bigint => arms.reduce((count, { all }) => count * BigInt(all.length), 1n);

/** How many choices of integers the worlds hold. */
export const countCandidates = (worlds: readonly World[]): bigint => worlds.reduce((sum, world) => sum + choicesIn(world), 0n);

function tallyOf(probe: Probe, measurements: Measurements, worlds: readonly World[]): Tally {
  const tally: Tally = new Map();
  const beltIndex = 'belt' in probe ? measurements.belts.findIndex(({ name }) => name === probe.belt) : -1;
  if (!('arm' in probe)) {
    for (const world of worlds) add(tally, outcomeWithoutArm(probe, measurements, world.pitch, () => world.speeds[beltIndex]), choicesIn(world));
    return tally;
  }
  const armIndex = measurements.arms.findIndex(({ name }) => name === probe.arm);
  // Many worlds share the choices for an arm, and differ at most in how fast an item clears the belt.
  const groups = new Map<World['arms'][number], Map<number, bigint>>();
  for (const world of worlds) {
    const choices = world.arms[armIndex];
    const clear = beltIndex < 0 ? 0 : clearTicks(world.pitch, world.speeds[beltIndex]);
    const group = groups.get(choices) ?? new Map<number, bigint>();
    group.set(clear, (group.get(clear) ?? 0n) + choicesIn(world) / BigInt(choices.all.length));
    groups.set(choices, group);
  }
  for (const [choices, group] of groups) {
    for (const [clear, others] of group) {
      for (const values of choices.all) add(tally, outcomeOfArm(probe, values, () => clear), others);
    }
  }
  return tally;
}

/** Candidates left on average, over the candidates as the true one. */
function averageLeft(tally: Tally, uncertainty: Rational, total: bigint): Rational {
  const margin = Number(uncertainty.floor().n);
  const entries = [...tally.values()];
  /** What begins and ends to be possible as the observed number grows. */
  const steps = entries
    .flatMap(({ outcome, count }) => [
      { at: outcome.least - margin, by: count },
      { at: outcome.most + margin + 1, by: -count },
    ])
    .sort((a, b) => a.at - b.at);
  const shown = entries.map(({ outcome, count }) => ({ at: Math.floor((outcome.least + outcome.most) / 2), count })).sort((a, b) => a.at - b.at);
  let possible = 0n;
  let next = 0;
  let sum = 0n;
  for (const { at, count } of shown) {
    for (; next < steps.length && steps[next].at <= at; next++) possible += steps[next].by;
    sum += possible * count;
  }
  return ratio(sum, total);
}

/** Undefined where no measurement of the list tells any candidates apart. */
export function suggest(measurements: Measurements, worlds: readonly World[]): Suggestion | undefined {
  const total = countCandidates(worlds);
  let best: Suggestion | undefined;
  for (const probe of possibleProbes(measurements)) {
    const uncertainty = uncertaintyOf(probe, measurements);
    const leaves = averageLeft(tallyOf(probe, measurements, worlds), uncertainty, total);
    if (isLess(leaves, best?.leaves ?? ratio(total))) best = { probe, uncertainty, leaves };
  }
  return best;
}
