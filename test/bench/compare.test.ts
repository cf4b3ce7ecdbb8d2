/**
 * What counts as better or worse from one run of the bench to the next.
 */
import { describe, expect, it } from 'vitest';
import { SLOWER_FACTOR, SLOWER_MS, compareResults, hasRegression } from '../../bench/compare.js';
import { median, readResults, writeResults, type BenchRecord } from '../../bench/record.js';
import { baselineRecord, designRecord, resultsOf, simulatorRecord, stopped, suiteRecord } from './records.js';

const compared = (before: BenchRecord, after: BenchRecord): readonly string[] =>
  compareResults(resultsOf(before), resultsOf(after)).map(({ weight, what }) => `${weight}: ${what}`);

describe('compared with itself', () => {
  it('nothing differs', () => {
    const results = resultsOf(designRecord(), baselineRecord(), simulatorRecord(), stopped(designRecord({ name: 'other' })));
    expect(compareResults(results, results)).toEqual([]);
    expect(hasRegression([])).toBe(false);
  });
});

describe('records that come and go', () => {
  it('a vanished one is a regression, a new one is noted', () => {
    const changes = compareResults(resultsOf(designRecord(), baselineRecord()), resultsOf(designRecord(), baselineRecord({ solver: 'glpk' })));
    expect(changes).toEqual([
      { key: 'baseline highs headline-100', weight: 'regression', what: 'is gone' },
      { key: 'baseline glpk headline-100', weight: 'note', what: 'is new' },
    ]);
    expect(hasRegression(changes)).toBe(true);
    expect(hasRegression(changes.slice(1))).toBe(false);
  });
});

describe('answers', () => {
  it.each([
    ['a proven verdict lost', designRecord(), designRecord({ verdict: 'feasible', bound: 74 }), ['regression: optimal, now feasible']],
    ['a dearer optimum', designRecord(), designRecord({ objective: 76, bound: 76 }), ['regression: optimum 75, now 76']],
    // Strict both ways: a cheaper optimum means that one of the two proofs is wrong.
    ['a cheaper optimum', designRecord(), designRecord({ objective: 74, bound: 74 }), ['regression: optimum 75, now 74']],
    ['an optimum found at last', stopped(designRecord()), designRecord(), ['better: stopped, now optimal']],
    [
      'an optimum below an earlier bound',
      designRecord({ verdict: 'feasible', objective: 80, bound: 76 }),
      designRecord(),
      ['regression: a bound of 76 contradicts a price of 75', 'better: feasible, now optimal'],
    ],
    [
      'a worse layout and a weaker bound at the limit',
      designRecord({ verdict: 'feasible', objective: 80, bound: 70 }),
      designRecord({ verdict: 'feasible', objective: 81, bound: 69 }),
      ['regression: price 80, now 81', 'regression: bound 70, now 69'],
    ],
    ['nothing found any more', designRecord({ verdict: 'feasible', bound: 70 }), stopped(designRecord()), [
      'regression: price 75, now none',
      'regression: bound 70, now none',
    ]],
    ['a better layout at the limit', designRecord({ verdict: 'feasible', bound: 70 }), designRecord({ verdict: 'feasible', objective: 74, bound: 71 }), []],
  ])('%s', (_, before, after, expected) => {
    expect(compared(before, after)).toEqual(expected);
  });

  it('of the baseline count where both are proven, or contradict each other', () => {
    expect(compared(baselineRecord(), baselineRecord({ objective: 73, bound: 73 }))).toEqual(['regression: optimal 74, now optimal 73']);
    expect(compared(baselineRecord(), stopped(baselineRecord()))).toEqual([]);
    expect(compared(baselineRecord({ verdict: 'feasible', objective: 80, bound: 60 }), baselineRecord())).toEqual([]);
    expect(compared(baselineRecord({ verdict: 'feasible', objective: 80, bound: 75 }), baselineRecord())).toEqual([
      'regression: a bound of 75 contradicts a price of 74',
    ]);
  });
});

describe('times', () => {
  const slower = (ms: number): number => ms * SLOWER_FACTOR + 1;

  it('are worse beyond the factor and the milliseconds only', () => {
    const before = designRecord({ coldMs: 1000, warmMs: 1000 });
    expect(compared(before, designRecord({ coldMs: 1000 * SLOWER_FACTOR, warmMs: 1000 }))).toEqual([]);
    expect(compared(before, designRecord({ coldMs: slower(1000), warmMs: 1000 }))).toEqual(['regression: cold 1000 ms, now 1501 ms']);
    expect(compared(before, designRecord({ coldMs: 1000, warmMs: slower(1000) }))).toEqual(['regression: warm 1000 ms, now 1501 ms']);
    expect(compared(before, designRecord({ coldMs: 600, warmMs: 1000 }))).toEqual(['better: cold 1000 ms, now 600 ms']);
    const short = designRecord({ coldMs: 10, warmMs: 10 });
    expect(compared(short, designRecord({ coldMs: 10 + SLOWER_MS, warmMs: 10 }))).toEqual([]);
  });

  it('do not count from another machine, nor at a limit', () => {
    const slow = { coldMs: 9000, warmMs: 9000 };
    expect(compared(designRecord(), designRecord({ ...slow, processor: 'another' }))).toEqual([
      'note: another machine or Node: times not compared',
    ]);
    expect(compared(stopped(designRecord()), stopped(designRecord({ ...slow, limitSeconds: 60 })))).toEqual(['note: a limit of 10 s, now 60 s']);
  });

  it('of the simulator are held against the naive one', () => {
    const before = simulatorRecord();
    const halfAsFast = { fastTicksPerSecond: 2_000_000, naiveTicksPerSecond: 50_000 };
    expect(compared(before, simulatorRecord(halfAsFast))).toEqual([]);
    expect(compared(before, simulatorRecord({ fastTicksPerSecond: 2_000_000 }))).toEqual([
      'regression: 40 times the naive simulator, now 20 times',
    ]);
    expect(compared(before, simulatorRecord({ fastTicksPerSecond: 8_000_000 }))).toEqual(['better: 40 times the naive simulator, now 80 times']);
    expect(compared(before, simulatorRecord({ itemsLeft: 899 }))).toEqual(['regression: 900 items left, now 899']);
  });
});

describe('results files', () => {
  it('are read as they were written, and nothing else is', () => {
    const results = resultsOf(designRecord(), baselineRecord(), simulatorRecord());
    expect(readResults(writeResults(results))).toEqual(results);
    expect(() => readResults('{"format": "other/1", "records": []}')).toThrow('transloom-bench/1');
  });

  it('keep the middle of several runs', () => {
    const same = (value: number): number => value;
    expect(median([3, 1, 2], same)).toBe(2);
    expect(median([4, 1, 3, 2], same)).toBe(2);
    expect(median([5], same)).toBe(5);
  });
});

describe('the suite', () => {
  const unproven = suiteRecord({ verdict: 'feasible', bound: 70, endMs: 10_000 });

  it.each([
    ['a dearer optimum', suiteRecord(), suiteRecord({ objective: 76, bound: 76 }), ['regression: optimum 75, now 76']],
    ['a lost proof', suiteRecord(), stopped(suiteRecord()), ['regression: optimal, now stopped']],
    ['a process that broke', unproven, { ...stopped(suiteRecord()), verdict: 'fault', what: 'broken' } as const, [
      'regression: feasible, now fault: broken',
    ]],
    ['a proof at last', unproven, suiteRecord(), ['better: feasible, now optimal']],
    ['a slow proof', suiteRecord(), suiteRecord({ endMs: 4000 }), ['regression: proof 400 ms, now 4000 ms']],
    ['a slow first layout', unproven, { ...unproven, firstMs: 4000 }, ['regression: first layout 150 ms, now 4000 ms']],
    ['more time to the limit', unproven, { ...unproven, endMs: 60_000 }, []],
    ['another machine', suiteRecord(), suiteRecord({ processor: 'other', endMs: 4000 }), ['note: another machine or Node: times not compared']],
  ])('%s', (_, before, after, expected) => {
    expect(compared(before, after)).toEqual(expected);
  });
});
