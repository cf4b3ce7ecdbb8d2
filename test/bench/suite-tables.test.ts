/**
 * The suite's tables: README shows the committed results, each brief of the suite has one, and what the cells say.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readResults, type BenchRecord, type SuiteRecord } from '../../bench/record.js';
import { mergedRecords } from '../../bench/suite.js';
import { suiteCases, suiteTable, type SuiteTable } from '../../bench/suite-cases.js';
import { HOW_FAR_MARKS, howFar, speedSentence, suiteRunTable, suiteSeriesTable, suiteSummary, withHowFar } from '../../bench/suite-tables.js';
import { projectFile } from '../documents.js';
import { baselineRecord, stopped, suiteRecord } from './records.js';

const read = (path: string): string => readFileSync(projectFile(path), 'utf8');
const cells = (line: string): readonly string[] => line.split('|').slice(1, -1).map((cell) => cell.trim());
const rowsOf = (lines: readonly string[]): readonly (readonly string[])[] => lines.slice(2).map(cells);

const NAME = suiteRecord().name;
const wholeGrid = (...changes: readonly Partial<Parameters<typeof baselineRecord>[0]>[]): readonly BenchRecord[] =>
  changes.map((change) => baselineRecord({ name: NAME, limitSeconds: 60, ...change }));

const TABLE: SuiteTable = {
  briefs: [
    { name: NAME, hardFor: [], goals: { firstLayoutSeconds: 2, proofSeconds: 2 } },
    { name: 'suite-19-larger', hardFor: ['area'], goals: { firstLayoutSeconds: 2, proofSeconds: 2 } },
    { name: 'suite-20-two', hardFor: ['belts'], goals: { firstLayoutSeconds: 2 } },
  ],
  series: [{ counts: 'tiles', title: 'on larger sites', briefs: [NAME, 'suite-19-larger'] }],
};
const LARGER = suiteRecord({ name: 'suite-19-larger', tiles: 144, firstMs: 2500, endMs: 3000 });
const OPEN = { ...stopped(suiteRecord({ name: 'suite-20-two', belts: 2, endMs: 10_000 })), bound: 109 };
const RECORDS: readonly SuiteRecord[] = [suiteRecord(), LARGER, OPEN];

describe('README', () => {
  it('shows the committed results of the suite', () => {
    const readme = read('README.md');
    const { records } = readResults(read('bench/results/suite.json'));
    expect(records.filter(({ kind }) => kind === 'suite').map(({ name }) => name)).toEqual(suiteCases().map(({ name }) => name));
    // If this fails: npm run bench-table.
    expect(withHowFar(readme, records, suiteTable())).toBe(readme);
  });

  it('is refused without its marks', () => {
    expect(() => withHowFar('no marks', RECORDS, TABLE)).toThrow('marks');
    const written = withHowFar(`a\n${HOW_FAR_MARKS.join('\noutdated\n')}\nb\n`, RECORDS, TABLE);
    expect(written).not.toContain('outdated');
    expect(written.startsWith(`a\n${HOW_FAR_MARKS[0]}\n| belts`)).toBe(true);
    expect(written.endsWith(`\n${HOW_FAR_MARKS[1]}\nb\n`)).toBe(true);
  });
});

describe('the table of a run', () => {
  const rowOf = (...records: readonly BenchRecord[]): readonly string[] => rowsOf(suiteRunTable(records))[0];

  it('sets a proof beside those of the whole grid', () => {
    const grids = wholeGrid({ stageMs: { build: 9, solve: 8000 } }, { solver: 'glpk', stageMs: { build: 9, solve: 4000 } });
    expect(rowOf(suiteRecord(), ...grids)).toEqual([
      NAME, '1', '1', '48', '75', '75', 'optimal', '0 %', '0.15 s', '0.40 s', '28', '110', '74 in 8.00 s', '74 in 4.00 s', '10',
    ]);
  });

  it('tells what is open, and how far it came', () => {
    const open = suiteRecord({ verdict: 'feasible', objective: 80, bound: 72, endMs: 10_000 });
    expect(rowOf(open).slice(4, 10)).toEqual(['80', '72', 'feasible', '10.0 %', '0.15 s', '> 10 s']);
    expect(rowOf({ ...open, objective: 80_000, bound: 79_999 })[7]).toBe('0.1 %');
    const { firstMs: _, ...without } = OPEN;
    expect(rowOf(without).slice(4, 10)).toEqual(['', '109', 'stopped', '', 'none', '> 10 s']);
  });

  it('names what broke, what was too large, what says nothing, and what was not measured', () => {
    const { endMs: _, simulations: __, peakMebibytes: ___, ...rest } = stopped(suiteRecord());
    expect(rowOf({ ...rest, verdict: 'fault', what: 'broken' }).slice(6, 12)).toEqual(['fault', '', '0.15 s', 'fault', '', '']);
    const large = wholeGrid({ verdict: 'too-large' }, { solver: 'glpk', verdict: 'no-statement' });
    expect(rowOf(suiteRecord(), ...large).slice(12)).toEqual(['over 1024 MiB', 'no bound', '']);
    expect(rowOf(suiteRecord()).slice(12)).toEqual(['not measured', 'not measured', '']);
  });

  it('claims no speed-up over a limit unless both solvers reached it', () => {
    const cut = wholeGrid({ verdict: 'stopped' }, { solver: 'glpk', verdict: 'feasible' });
    expect(rowOf(suiteRecord(), ...cut).at(-1)).toBe('> 150');
    expect(rowOf(suiteRecord(), ...wholeGrid({ verdict: 'stopped' }, { solver: 'glpk', verdict: 'too-large' })).at(-1)).toBe('');
    expect(rowOf(OPEN, ...cut.map((record) => ({ ...record, name: OPEN.name }))).at(-1)).toBe('');
  });
});

describe('growth and summary', () => {
  it('give the time of each size as a multiple of the one before', () => {
    const grid = baselineRecord({ name: 'suite-19-larger', stageMs: { build: 0, solve: 9000 } });
    expect(rowsOf(suiteSeriesTable([...RECORDS, grid, ...wholeGrid({ verdict: 'feasible' })], TABLE))).toEqual([
      ['on larger sites', '48 tiles', '0.15 s', '0.40 s', '', 'open'],
      ['', '144 tiles', '2.50 s', '3.00 s', '7.5', '9.00 s'],
    ]);
    const unproven = { ...LARGER, verdict: 'feasible' } as const;
    expect(rowsOf(suiteSeriesTable([suiteRecord(), unproven], TABLE))[1].slice(3)).toEqual(['> 10 s', '', 'not measured']);
  });

  it('count what is found, proven, and within its goal', () => {
    const { firstMs: _, ...open } = OPEN;
    expect(rowsOf(suiteSummary([suiteRecord(), LARGER, open], TABLE))).toEqual([
      ['1', '2 of 2', '1 of 2', '0.15 s', '2 of 2', '1 of 2', '0.40 s', '0 of 2'],
      ['2', '0 of 1', '0 of 1', '', '0 of 1', '', '', '0 of 1'],
    ]);
  });

  it('take the geometric mean over what both close', () => {
    const grids = [
      ...wholeGrid({ stageMs: { build: 0, solve: 4000 } }),
      baselineRecord({ name: 'suite-19-larger', stageMs: { build: 0, solve: 3000 } }),
      baselineRecord({ name: 'suite-20-two', stageMs: { build: 0, solve: 3000 } }),
    ];
    // 10 and 1: their mean is the root of 10.
    expect(speedSentence([...RECORDS, ...grids])).toBe(
      'The whole grid closes 3 of these briefs; over the 2 of them that are proven here too, the proof comes 3.2 times faster in the geometric mean.',
    );
    expect(speedSentence(RECORDS)).toBe('The whole grid closes none of these briefs.');
  });

  it('say with what limits all was measured', () => {
    const text = howFar([...RECORDS, ...wholeGrid({}, { solver: 'glpk', limitSeconds: 10 })], TABLE);
    expect(text).toContain('of up to 2 threads, with 10 s to come to its proof');
    expect(text).toContain('given 10 s or 60 s and 1024 MiB');
    expect(text).not.toContain('of a processor');
    const shared = howFar([{ ...LARGER, cpuMs: 4500 }, suiteRecord({ cpuMs: 900 }), baselineRecord({ cpuMs: 4025 })], TABLE);
    expect(shared).toContain('Designs of 2 s and more had 150 % of a processor in the middle, whole grids 50 %.');
    expect(howFar([], TABLE)).toBe('');
  });
});

describe('records of several runs', () => {
  it('stand in the order of the suite, the latest of each, designs first', () => {
    const grid = baselineRecord({ name: NAME });
    const again = suiteRecord({ endMs: 1 });
    const names = [NAME, 'suite-19-larger'];
    expect(mergedRecords([grid, ...RECORDS], [again], names)).toEqual([again, LARGER, grid]);
  });
});
