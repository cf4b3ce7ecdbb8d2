/**
 * Records of a bench that never ran, for tests of what is made of them.
 */
import {
  RESULTS_FORMAT,
  type BaselineRecord,
  type BenchRecord,
  type BenchResults,
  type DesignRecord,
  type SimulatorRecord,
  type SuiteRecord,
} from '../../bench/record.js';

const CIRCUMSTANCES = { commit: 'abc1234', node: 'v20.0.0', processor: 'a processor', limitSeconds: 10 };

export const designRecord = (changes: Partial<DesignRecord> = {}): DesignRecord => ({
  kind: 'design',
  name: 'headline-100',
  ...CIRCUMSTANCES,
  seeds: { starts: 16, seed: 1 },
  verdict: 'optimal',
  objective: 75,
  bound: 75,
  rounds: 4,
  simulations: 28,
  fills: ['1'],
  coldMs: 400,
  warmMs: 100,
  stageMs: { billProgram: 20, standProgram: 10, simulation: 30, search: 40 },
  ...changes,
});

export const suiteRecord = (changes: Partial<SuiteRecord> = {}): SuiteRecord => ({
  kind: 'suite',
  name: 'suite-18-one-belt-100-6x8',
  ...CIRCUMSTANCES,
  belts: 1,
  wagons: 1,
  tiles: 48,
  workers: 2,
  verdict: 'optimal',
  objective: 75,
  bound: 75,
  simulations: 28,
  firstMs: 150,
  endMs: 400,
  peakMebibytes: 110,
  ...changes,
});

export const baselineRecord = (changes: Partial<BaselineRecord> = {}): BaselineRecord => ({
  kind: 'baseline',
  name: 'headline-100',
  solver: 'highs',
  ...CIRCUMSTANCES,
  size: { integers: 645, continuous: 3128, rows: 5645 },
  verdict: 'optimal',
  objective: 74,
  bound: 74,
  meetsBrief: false,
  stageMs: { build: 50, solve: 8000 },
  ...changes,
});

export const simulatorRecord = (changes: Partial<SimulatorRecord> = {}): SimulatorRecord => ({
  kind: 'simulator',
  name: 'headline-100',
  ...CIRCUMSTANCES,
  itemsLeft: 900,
  fastTicksPerSecond: 4_000_000,
  naiveTicksPerSecond: 100_000,
  ...changes,
});

export const resultsOf = (...records: readonly BenchRecord[]): BenchResults => ({ format: RESULTS_FORMAT, records });

/** An answer cut short before any layout or bound was known. */
export function stopped<T extends DesignRecord | SuiteRecord | BaselineRecord>(record: T): T {
  const { objective: _objective, bound: _bound, ...rest } = record;
  return { ...rest, verdict: 'stopped' } as T;
}
