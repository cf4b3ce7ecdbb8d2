/**
 * Every choice of integers, within the ranges, that explains all measurements: found by trying them all. A choice is
 * a pitch and speeds (a `World`), and for each arm one of the sets of integers that go with that world. How well each
 * integer is known is in `fit.ts`, what to measure next in `suggest.ts`.
 */
import { unreachable } from '../base/invariant.js';
import { isLess, maxRational, ONE, sumRational, ZERO, type Rational } from '../base/rational.js';
import type { ArmToFit, Measurement, Measurements, Probe, Range } from './measurements.js';
import { armToChest, armToLane, beltCarries, clearTicks, firstItem, handHolds, itemTravels, laneHolds, type ArmValues, type Outcome } from './predict.js';

/** A pitch, and a speed for each belt. */
export interface World {
  readonly pitch: number;
  readonly speeds: readonly number[];
  /** Squared misfit of what is measured without an arm. */
  readonly misfit: Rational;
  /** For each arm, the integers that explain its measurements in this world; shared between worlds. */
  readonly arms: readonly ArmChoices[];
}

/** Never empty. */
interface ArmChoices {
  readonly all: readonly ArmValues[];
  /** The first of those with the least squared misfit. */
  readonly best: ArmValues;
  readonly misfit: Rational;
}

type Candidates =
  | { readonly kind: 'all'; readonly worlds: readonly World[] }
  /** So many that they are not worth going through. */
  | { readonly kind: 'too-many' };

/** Worlds that explain all that is measured, and worlds tried, after which the search ends. */
const MOST_WORLDS = 100_000;
const MOST_TRIED = 2_000_000;

type ArmProbe = Extract<Probe, { readonly arm: string }>;

/** `pitch` in units, `speedOf` in units per tick. */
export function outcomeWithoutArm(probe: Exclude<Probe, ArmProbe>, { unitsPerTile }: Measurements, pitch: number, speedOf: (belt: string) => number): Outcome {
  switch (probe.kind) {
    case 'lane-holds':
      return laneHolds(unitsPerTile, pitch, probe.tiles);
    case 'belt-carries':
      return beltCarries(pitch, speedOf(probe.belt), probe.lanes, probe.ticks);
    case 'item-travels':
      return itemTravels(unitsPerTile, speedOf(probe.belt), probe.tiles);
    default:
      return unreachable(probe);
  }
}

/** `clearOf`: ticks after which an item has left its spot on that belt. */
export function outcomeOfArm(probe: ArmProbe, arm: ArmValues, clearOf: (belt: string) => number): Outcome {
  switch (probe.kind) {
    case 'hand-holds':
      return handHolds(arm);
    case 'first-item':
      return firstItem(arm);
    case 'arm-to-chest':
      return armToChest(arm, probe.ticks);
    case 'arm-to-lane':
      return armToLane(arm, clearOf(probe.belt), probe.ticks);
    default:
      return unreachable(probe);
  }
}

/** A measurement with what its uncertainty allows, in whole items or ticks. */
interface Bounds extends Range {
  readonly measurement: Measurement;
}

function boundsOf(measurement: Measurement): Bounds {
  const { observed, uncertainty } = measurement;
  return { measurement, least: Number(maxRational(observed.sub(uncertainty), ZERO).ceil().n), most: Number(observed.add(uncertainty).floor().n) };
}

const explains = (outcome: Outcome, bounds: Bounds): boolean => outcome.least <= bounds.most && outcome.most >= bounds.least;

/** The square of how many uncertainties, of at least one item or tick, the mean is away. */
function squaredMisfit({ mean }: Outcome, { observed, uncertainty }: Measurement): Rational {
  const off = mean.sub(observed).div(maxRational(uncertainty, ONE));
  return off.mul(off);
}

const wholesOf = ({ least, most }: Range): readonly number[] => Array.from({ length: Math.max(0, most - least + 1) }, (_, index) => least + index);

const never = (): never => unreachable(undefined as never);

/** The integers of an arm that explain what was measured of it, by the ticks in which an item clears each belt. */
class ArmSearch {
  private readonly known = new Map<string, ArmChoices | undefined>();
  private readonly onLanes: readonly (Bounds & { readonly belt: string; readonly probe: ArmProbe })[];
  private readonly elsewhere: readonly (Bounds & { readonly probe: ArmProbe })[];
  /** Of all but the release, which shows on lanes alone. */
  private bases: readonly ArmValues[] | undefined;

  constructor(
    private readonly arm: ArmToFit,
    bounds: readonly Bounds[],
  ) {
    const own = bounds.flatMap((each) => {
      const { probe } = each.measurement;
      return 'arm' in probe && probe.arm === arm.name ? [{ ...each, probe }] : [];
    });
    this.onLanes = own.flatMap((each) => (each.probe.kind === 'arm-to-lane' ? [{ ...each, belt: each.probe.belt }] : []));
    this.elsewhere = own.filter((each) => each.probe.kind !== 'arm-to-lane');
  }

  choices(clearOf: (belt: string) => number): ArmChoices | undefined {
    const key = this.onLanes.map(({ belt }) => clearOf(belt)).join();
    if (!this.known.has(key)) this.known.set(key, this.search(clearOf));
    return this.known.get(key);
  }

  private search(clearOf: (belt: string) => number): ArmChoices | undefined {
    this.bases ??= this.basesOf();
    const all: ArmValues[] = [];
    for (const base of this.bases) {
      for (const release of wholesOf(this.arm.ranges.release)) {
        const values = { ...base, release };
        if (this.onLanes.every((bounds) => explains(outcomeOfArm(bounds.probe, values, clearOf), bounds))) all.push(values);
      }
    }
    if (all.length === 0) return undefined;
    const measured = [...this.elsewhere, ...this.onLanes];
    let best = all[0];
    let least: Rational | undefined;
    for (const values of measured.length === 0 ? [] : all) {
      let misfit = ZERO;
      for (const { probe, measurement } of measured) misfit = misfit.add(squaredMisfit(outcomeOfArm(probe, values, clearOf), measurement));
      if (least !== undefined && !isLess(misfit, least)) continue;
      least = misfit;
      best = values;
    }
    return { all, best, misfit: least ?? ZERO };
  }

  private basesOf(): readonly ArmValues[] {
    const { payload, grab, swing, release } = this.arm.ranges;
    return wholesOf(payload).flatMap((hand) =>
      wholesOf(grab).flatMap((grabTicks) =>
        wholesOf(swing)
          .map((swingTicks) => ({ payload: hand, grab: grabTicks, release: release.least, swing: swingTicks }))
          .filter((values) => this.elsewhere.every((bounds) => explains(outcomeOfArm(bounds.probe, values, never), bounds))),
      ),
    );
  }
}

/** Every choice of one item from each list, in order. */
function* product<T>(lists: readonly (readonly T[])[]): Generator<readonly T[]> {
  if (lists.length === 0) yield [];
  else for (const first of lists[0]) for (const rest of product(lists.slice(1))) yield [first, ...rest];
}

/** In the order of pitch, then of speeds; none where nothing explains all that was measured. */
export function findCandidates(measurements: Measurements): Candidates {
  const bounds = measurements.measurements.map(boundsOf);
  const searches = measurements.arms.map((arm) => new ArmSearch(arm, bounds));
  const indexOf = new Map(measurements.belts.map(({ name }, index) => [name, index]));
  const withoutArm = bounds.flatMap((each) => {
    const { probe } = each.measurement;
    return 'arm' in probe ? [] : [{ ...each, probe }];
  });
  const ofBelt = (name: string) => withoutArm.filter(({ probe }) => 'belt' in probe && probe.belt === name);
  const ofPitch = withoutArm.filter(({ probe }) => !('belt' in probe));
  const belts = measurements.belts.map((belt) => ({ ...belt, bounds: ofBelt(belt.name) }));

  const worlds: World[] = [];
  let tried = 0;
  for (const pitch of wholesOf(measurements.pitch)) {
    if (!ofPitch.every((each) => explains(outcomeWithoutArm(each.probe, measurements, pitch, never), each))) continue;
    const speeds = belts.map(({ speed, bounds: own }) =>
      wholesOf({ least: speed.least, most: Math.min(speed.most, pitch) }).filter((value) =>
        own.every((each) => explains(outcomeWithoutArm(each.probe, measurements, pitch, () => value), each)),
      ),
    );
    for (const chosen of product(speeds)) {
      tried += 1;
      if (tried > MOST_TRIED) return { kind: 'too-many' };
      const speedOf = (belt: string): number => chosen[indexOf.get(belt) ?? -1];
      const arms = searches.map((search) => search.choices((belt) => clearTicks(pitch, speedOf(belt))));
      const sound = arms.filter((choices) => choices !== undefined);
      if (sound.length < arms.length) continue;
      const misfits = withoutArm.map(({ probe, measurement }) => squaredMisfit(outcomeWithoutArm(probe, measurements, pitch, speedOf), measurement));
      worlds.push({ pitch, speeds: chosen, misfit: sumRational(misfits), arms: sound });
      if (worlds.length > MOST_WORLDS) return { kind: 'too-many' };
    }
  }
  return { kind: 'all', worlds };
}
