/**
 * What became better or worse from one run of the bench to the next, as data: a pure function of two
 * results files. Verdicts, prices and bounds are compared strictly, times leniently, and a record that is
 * gone counts as worse. The product's own times count; those of the baseline only show the machine.
 */
import {
  recordKey,
  type BaselineRecord,
  type BenchRecord,
  type BenchResults,
  type DesignRecord,
  type SimulatorRecord,
  type SuiteRecord,
} from './record.js';

/** A time is worse only beyond this factor, and by more than the milliseconds that any process may lose. */
export const SLOWER_FACTOR = 1.5;
export const SLOWER_MS = 100;

export interface BenchChange {
  readonly key: string;
  /** `regression`: the run fails. `note`: to be looked at. */
  readonly weight: 'regression' | 'better' | 'note';
  readonly what: string;
}

type Remark = Omit<BenchChange, 'key'>;

type Answer = DesignRecord | SuiteRecord;

const isProven = (verdict: (Answer | BaselineRecord)['verdict']): boolean => verdict === 'optimal' || verdict === 'infeasible';
const show = (value: number | undefined): string => (value === undefined ? 'none' : `${value}`);

/** An answer that was proven before must be the same; one that a limit cut short may only get better. */
function answerRemarks(before: Answer, after: Answer): readonly Remark[] {
  const verdicts = `${before.verdict}, now ${after.verdict}`;
  if (after.verdict === 'fault') return [{ weight: 'regression', what: `${verdicts}: ${after.what ?? ''}` }];
  if (isProven(before.verdict)) {
    if (after.verdict !== before.verdict) return [{ weight: 'regression', what: verdicts }];
    return after.objective === before.objective && after.bound === before.bound
      ? []
      : [{ weight: 'regression', what: `optimum ${show(before.objective)}, now ${show(after.objective)}` }];
  }
  if (isProven(after.verdict)) return [...contradictions(before, after), { weight: 'better', what: verdicts }];
  const dearer = (after.objective ?? Infinity) > (before.objective ?? Infinity);
  const weaker = (after.bound ?? -Infinity) < (before.bound ?? -Infinity);
  return [
    ...contradictions(before, after),
    ...(dearer ? [{ weight: 'regression', what: `price ${show(before.objective)}, now ${show(after.objective)}` } as const] : []),
    ...(weaker ? [{ weight: 'regression', what: `bound ${show(before.bound)}, now ${show(after.bound)}` } as const] : []),
  ];
}

/** Whatever a limit cut short: no bound of one run lies above the price of the other, or one of them is wrong. */
function contradictions(before: Answer | BaselineRecord, after: Answer | BaselineRecord): readonly Remark[] {
  const against = (bound: number | undefined, objective: number | undefined): readonly Remark[] =>
    bound !== undefined && objective !== undefined && bound > objective
      ? [{ weight: 'regression', what: `a bound of ${bound} contradicts a price of ${objective}` }]
      : [];
  return [...against(before.bound, after.objective), ...against(after.bound, before.objective)];
}

function timeRemarks(name: string, before: number, after: number): readonly Remark[] {
  const words = `${name} ${before.toFixed(0)} ms, now ${after.toFixed(0)} ms`;
  if (after > before * SLOWER_FACTOR && after - before > SLOWER_MS) return [{ weight: 'regression', what: words }];
  if (before > after * SLOWER_FACTOR && before - after > SLOWER_MS) return [{ weight: 'better', what: words }];
  return [];
}

function designRemarks(before: DesignRecord, after: DesignRecord, sameMachine: boolean): readonly Remark[] {
  // A run that was cut short took as long as it was given.
  const timed = sameMachine && isProven(before.verdict) && isProven(after.verdict);
  return [
    ...answerRemarks(before, after),
    ...(timed ? timeRemarks('cold', before.coldMs, after.coldMs) : []),
    ...(timed ? timeRemarks('warm', before.warmMs, after.warmMs) : []),
  ];
}

/** Of the suite the first layout counts too, whether or not its proof followed. */
function suiteRemarks(before: SuiteRecord, after: SuiteRecord, sameMachine: boolean): readonly Remark[] {
  const timed = (name: string, was: number | undefined, is: number | undefined): readonly Remark[] =>
    sameMachine && was !== undefined && is !== undefined ? timeRemarks(name, was, is) : [];
  const proven = isProven(before.verdict) && isProven(after.verdict);
  return [
    ...answerRemarks(before, after),
    ...timed('first layout', before.firstMs, after.firstMs),
    ...(proven ? timed('proof', before.endMs, after.endMs) : []),
  ];
}

function baselineRemarks(before: BaselineRecord, after: BaselineRecord): readonly Remark[] {
  const proven = isProven(before.verdict) && isProven(after.verdict);
  const differs = before.verdict !== after.verdict || before.objective !== after.objective;
  if (proven && differs) {
    const answer = ({ verdict, objective }: BaselineRecord): string => `${verdict} ${show(objective)}`;
    return [{ weight: 'regression', what: `${answer(before)}, now ${answer(after)}` }];
  }
  return contradictions(before, after);
}

/** The ratio of the two simulators depends on the machine far less than either speed. */
function simulatorRemarks(before: SimulatorRecord, after: SimulatorRecord): readonly Remark[] {
  const ratioOf = ({ fastTicksPerSecond, naiveTicksPerSecond }: SimulatorRecord): number => fastTicksPerSecond / naiveTicksPerSecond;
  const [was, is] = [ratioOf(before), ratioOf(after)];
  const what = `${was.toFixed(0)} times the naive simulator, now ${is.toFixed(0)} times`;
  const items: readonly Remark[] =
    before.itemsLeft === after.itemsLeft ? [] : [{ weight: 'regression', what: `${before.itemsLeft} items left, now ${after.itemsLeft}` }];
  if (was > is * SLOWER_FACTOR) return [...items, { weight: 'regression', what }];
  if (is > was * SLOWER_FACTOR) return [...items, { weight: 'better', what }];
  return items;
}

function remarks(before: BenchRecord, after: BenchRecord): readonly Remark[] {
  const sameMachine = before.processor === after.processor && before.node === after.node;
  const given: readonly Remark[] =
    before.limitSeconds === after.limitSeconds
      ? []
      : [{ weight: 'note', what: `a limit of ${before.limitSeconds} s, now ${after.limitSeconds} s` }];
  const machine: readonly Remark[] =
    sameMachine || (before.kind !== 'design' && before.kind !== 'suite') ? [] : [{ weight: 'note', what: 'another machine or Node: times not compared' }];
  if (before.kind === 'design' && after.kind === 'design') {
    return [...given, ...machine, ...designRemarks(before, after, sameMachine)];
  }
  if (before.kind === 'suite' && after.kind === 'suite') return [...given, ...machine, ...suiteRemarks(before, after, sameMachine)];
  if (before.kind === 'baseline' && after.kind === 'baseline') return baselineRemarks(before, after);
  if (before.kind === 'simulator' && after.kind === 'simulator') return simulatorRemarks(before, after);
  return [];
}

export function compareResults(before: BenchResults, after: BenchResults): readonly BenchChange[] {
  const now = new Map(after.records.map((record) => [recordKey(record), record]));
  const known = new Set(before.records.map(recordKey));
  return [
    ...before.records.flatMap((record): BenchChange[] => {
      const key = recordKey(record);
      const other = now.get(key);
      if (other === undefined) return [{ key, weight: 'regression', what: 'is gone' }];
      return remarks(record, other).map((remark) => ({ key, ...remark }));
    }),
    ...after.records.flatMap((record): BenchChange[] => {
      const key = recordKey(record);
      return known.has(key) ? [] : [{ key, weight: 'note', what: 'is new' }];
    }),
  ];
}

export const hasRegression = (changes: readonly BenchChange[]): boolean => changes.some(({ weight }) => weight === 'regression');
