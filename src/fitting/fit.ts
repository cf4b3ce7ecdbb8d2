/**
 * From measurements to integers: which choice explains them best, how well each integer is known, and, where nothing
 * explains them all, which single measurement stands against the others. The search is in `candidates.ts`.
 */
import { isLess, type Rational } from '../base/rational.js';
import { findCandidates, type World } from './candidates.js';
import { ARM_INTEGERS, type ArmInteger, type Measurement, type Measurements, type Probe, type Range } from './measurements.js';
import type { ArmValues } from './predict.js';
import { countCandidates, suggest, type Suggestion } from './suggest.js';

export interface Chosen {
  readonly pitch: number;
  /** In the order of the belts and arms. */
  readonly speeds: readonly number[];
  readonly arms: readonly ArmValues[];
}

/** An integer with every value that it has in some candidate, in rising order; never empty. */
export interface Known {
  readonly integer: 'pitch' | 'speed' | ArmInteger;
  /** The belt or arm; undefined for the pitch. */
  readonly of: string | undefined;
  /** Whether the file gives it, and if not, whether it has a say in anything that was measured. */
  readonly basis: 'given' | 'measured' | 'unmeasured';
  readonly best: number;
  readonly values: readonly number[];
}

export type Fit =
  | {
      readonly kind: 'found';
      readonly best: Chosen;
      /** Sum of squares, each in uncertainties of at least one item or tick. */
      readonly misfit: Rational;
      readonly candidates: bigint;
      readonly known: readonly Known[];
      readonly suggestion: Suggestion | undefined;
    }
  /** Nothing within the ranges explains all; without any one of `against`, something does. */
  | { readonly kind: 'none'; readonly against: readonly Measurement[] }
  | { readonly kind: 'too-many' };

const rising = (values: Iterable<number>): readonly number[] => [...new Set(values)].sort((a, b) => a - b);

const misfitOf = ({ misfit, arms }: World): Rational => arms.reduce((sum, arm) => sum.add(arm.misfit), misfit);

/** The first of the least misfit. */
function bestOf(worlds: readonly World[]): { readonly world: World; readonly misfit: Rational } {
  let best = { world: worlds[0], misfit: misfitOf(worlds[0]) };
  for (const world of worlds) {
    const misfit = misfitOf(world);
    if (isLess(misfit, best.misfit)) best = { world, misfit };
  }
  return best;
}

const tellsPitch = (probe: Probe): boolean => probe.kind === 'lane-holds' || probe.kind === 'belt-carries' || probe.kind === 'arm-to-lane';
const tellsSpeed = (probe: Probe, belt: string): boolean => 'belt' in probe && probe.belt === belt;

function tellsOfArm(probe: Probe, arm: string, integer: ArmInteger): boolean {
  if (!('arm' in probe) || probe.arm !== arm) return false;
  switch (integer) {
    case 'payload':
      return probe.kind !== 'first-item';
    case 'release':
      return probe.kind === 'arm-to-lane';
    case 'grab':
    case 'swing':
      return probe.kind !== 'hand-holds';
  }
}

function knownOf({ belts, arms, pitch, measurements }: Measurements, worlds: readonly World[], best: Chosen): readonly Known[] {
  const basis = ({ least, most }: Range, tells: (probe: Probe) => boolean): Known['basis'] =>
    least === most ? 'given' : measurements.some(({ probe }) => tells(probe)) ? 'measured' : 'unmeasured';
  return [
    { integer: 'pitch', of: undefined, basis: basis(pitch, tellsPitch), best: best.pitch, values: rising(worlds.map(({ pitch }) => pitch)) },
    ...belts.map(({ name, speed }, index): Known => ({
      integer: 'speed',
      of: name,
      basis: basis(speed, (probe) => tellsSpeed(probe, name)),
      best: best.speeds[index],
      values: rising(worlds.map(({ speeds }) => speeds[index])),
    })),
    ...arms.flatMap(({ name, ranges }, index) => {
      const distinct = [...new Set(worlds.map((world) => world.arms[index]))];
      return ARM_INTEGERS.map((integer): Known => {
        const values = new Set<number>();
        for (const { all } of distinct) for (const choice of all) values.add(choice[integer]);
        return { integer, of: name, basis: basis(ranges[integer], (probe) => tellsOfArm(probe, name, integer)), best: best.arms[index][integer], values: rising(values) };
      });
    }),
  ];
}

/** The best candidate with all that is known of its integers, or why there is none. */
export function fit(measurements: Measurements): Fit {
  const found = findCandidates(measurements);
  if (found.kind === 'too-many') return found;
  const { worlds } = found;
  if (worlds.length === 0) {
    const without = (left: Measurement): Measurements => ({ ...measurements, measurements: measurements.measurements.filter((each) => each !== left) });
    const helps = (left: Measurement): boolean => {
      const rest = findCandidates(without(left));
      return rest.kind === 'too-many' || rest.worlds.length > 0;
    };
    return { kind: 'none', against: measurements.measurements.filter(helps) };
  }
  const { world, misfit } = bestOf(worlds);
  const best: Chosen = { pitch: world.pitch, speeds: world.speeds, arms: world.arms.map((arm) => arm.best) };
  const candidates = countCandidates(worlds);
  const suggestion = candidates === 1n ? undefined : suggest(measurements, worlds);
  return { kind: 'found', best, misfit, candidates, known: knownOf(measurements, worlds, best), suggestion };
}
