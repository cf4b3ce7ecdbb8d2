/**
 * Known catalogs, and what would be measured at them: by the simulator for arms, by how often a lane's items come for belts.
 */
import { ratio } from '../../src/base/rational.js';
import { seededRandom } from '../../src/base/random.js';
import type { Catalog } from '../../src/catalog/catalog.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import type { Measurement, Measurements, Probe } from '../../src/fitting/measurements.js';
import { armToChest, armToLane, beltCarries, clearTicks, firstItem, handHolds, itemTravels, laneHolds, type ArmValues, type Outcome } from '../../src/fitting/predict.js';
import type { Layout } from '../../src/layout/layout.js';
import { compileLayout } from '../../src/simulation/compile.js';
import { readCounts } from '../../src/simulation/counts.js';
import { resetMachine } from '../../src/simulation/machine.js';
import { stepMachine } from '../../src/simulation/tick.js';
import { rateBenches } from '../../src/synthesis/rates/rate-benches.js';

export const UNITS = 240;
export const TICKS_PER_SECOND = 50;

export interface Truth {
  readonly pitch: number;
  readonly speed: number;
  readonly arm: ArmValues;
}

export function truthOf(seed: number): Truth {
  const below = seededRandom(seed);
  const pitch = 40 + below(41);
  return { pitch, speed: 5 + below(16), arm: { payload: 1 + below(12), grab: 1 + below(3), release: 1 + below(4), swing: 4 + below(17) } };
}

export function catalogOf({ pitch, speed, arm }: Truth): Catalog {
  const parsed = parseCatalog({
    format: 'transloom-catalog/1',
    name: 'known',
    ticksPerSecond: TICKS_PER_SECOND,
    unitsPerTile: UNITS,
    pitch,
    belts: { belt: { speed, cost: 1 } },
    arms: { arm: { reach: 1, cost: 1, ...arm } },
  });
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.findings));
  return parsed.value;
}

/** Items over all exits, or where there are none those taken from chests, after each tick from 0 on. */
export function countsOf(layout: Layout, ticks: number): readonly number[] {
  const program = compileLayout(layout);
  for (const { machine } of program.pieces) resetMachine(machine);
  return Array.from({ length: ticks + 1 }, (_, tick) => {
    if (tick > 0) for (const { machine } of program.pieces) stepMachine(machine);
    const { exits, chests } = readCounts(program, tick);
    return exits.length > 0 ? exits.reduce((sum, { left, right }) => sum + left + right, 0) : chests.reduce((sum, { taken }) => sum + taken, 0);
  });
}

/** The bench on which the arm alone feeds a chest, or a lane of the belt from its side. */
export function benchOf(truth: Truth, target: 'chest' | 'belt'): Layout {
  const bench = rateBenches(catalogOf(truth)).find((each) => each.target.kind === target && (each.target.kind === 'chest' || each.target.bearing === 'across'));
  if (bench === undefined) throw new Error(`no bench for ${target}`);
  return bench.layout;
}

export function outcomeOf({ pitch, speed, arm }: Truth, probe: Probe): Outcome {
  switch (probe.kind) {
    case 'lane-holds':
      return laneHolds(UNITS, pitch, probe.tiles);
    case 'belt-carries':
      return beltCarries(pitch, speed, probe.lanes, probe.ticks);
    case 'item-travels':
      return itemTravels(UNITS, speed, probe.tiles);
    case 'hand-holds':
      return handHolds(arm);
    case 'first-item':
      return firstItem(arm);
    case 'arm-to-chest':
      return armToChest(arm, probe.ticks);
    case 'arm-to-lane':
      return armToLane(arm, clearTicks(pitch, speed), probe.ticks);
  }
}

export const measurementsOf = (measurements: readonly Measurement[], name = 'measured'): Measurements => ({
  name,
  ticksPerSecond: TICKS_PER_SECOND,
  unitsPerTile: UNITS,
  pitch: { least: 1, most: UNITS },
  belts: [{ name: 'belt', speed: { least: 1, most: UNITS } }],
  arms: [
    {
      name: 'arm',
      ranges: { payload: { least: 1, most: 16 }, grab: { least: 1, most: 8 }, release: { least: 1, most: 8 }, swing: { least: 1, most: 60 } },
    },
  ],
  measurements,
  given: { belts: { belt: { cost: 1 } }, arms: { arm: { reach: 1, cost: 1 } } },
});

const MINUTE = 60 * TICKS_PER_SECOND;

/** A minute of each count, off by at most so many thousandths of it; arms as simulated, from a moment of chance. */
export function measured(truth: Truth, noise: number, seed: number): readonly Measurement[] {
  const below = seededRandom(seed);
  const between = ({ least, most }: Outcome): number => least + below(most - least + 1);
  const simulated = (target: 'chest' | 'belt'): number => {
    const from = MINUTE + below(500);
    const counts = countsOf(benchOf(truth, target), from + MINUTE);
    return counts[from + MINUTE] - counts[from];
  };
  const observed: readonly (readonly [Probe, number])[] = [
    [{ kind: 'lane-holds', tiles: 20 }, between(laneHolds(UNITS, truth.pitch, 20))],
    [{ kind: 'belt-carries', belt: 'belt', lanes: 1, ticks: MINUTE }, between(beltCarries(truth.pitch, truth.speed, 1, MINUTE))],
    [{ kind: 'arm-to-chest', arm: 'arm', ticks: MINUTE }, simulated('chest')],
    [{ kind: 'arm-to-lane', arm: 'arm', belt: 'belt', ticks: MINUTE }, simulated('belt')],
  ];
  return observed.map(([probe, items]) => {
    const off = Math.ceil((items * noise) / 1000);
    return { probe, observed: ratio(items + below(2 * off + 1) - off), uncertainty: ratio(off) };
  });
}
