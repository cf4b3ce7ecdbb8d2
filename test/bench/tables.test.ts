/**
 * The bench's tables, and that README shows the committed results and no others.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readResults } from '../../bench/record.js';
import { README_MARKS, designTable, howFast, listTable, simulatorTable, speedUp, stageTable, withHowFast, withLists } from '../../bench/tables.js';
import { projectFile } from '../documents.js';
import { baselineRecord, designRecord, simulatorRecord, stopped } from './records.js';

const cells = (line: string): readonly string[] => line.split('|').slice(1, -1).map((cell) => cell.trim());
const firstRow = (lines: readonly string[]): readonly string[] => cells(lines[2]);

describe('README', () => {
  it('shows the committed results', () => {
    const readme = readFileSync(projectFile('README.md'), 'utf8');
    const { records } = readResults(readFileSync(projectFile('bench/results/latest.json'), 'utf8'));
    expect(records.filter(({ kind }) => kind === 'design').length).toBeGreaterThan(10);
    // If this fails: npm run bench-table.
    expect(withHowFast(readme, records)).toBe(readme);
    const lists = readResults(readFileSync(projectFile('bench/results/lists.json'), 'utf8')).records;
    expect(lists.length).toBeGreaterThan(5);
    expect(withLists(readme, lists)).toBe(readme);
  });

  it('is refused without its marks', () => {
    expect(() => withHowFast('no marks', [designRecord()])).toThrow('marks');
    const readme = `a\n${README_MARKS[0]}\noutdated\n${README_MARKS[1]}\nb\n`;
    const written = withHowFast(readme, [designRecord()]);
    expect(written.startsWith(`a\n${README_MARKS[0]}\n| brief`)).toBe(true);
    expect(written.endsWith(`\n${README_MARKS[1]}\nb\n`)).toBe(true);
    expect(written).not.toContain('outdated');
  });
});

describe('tables', () => {
  it('set what closed and what did not side by side', () => {
    const glpk = stopped(baselineRecord({ solver: 'glpk' }));
    expect(firstRow(designTable([designRecord(), baselineRecord(), glpk]))).toEqual([
      'headline-100', '75', '0.40 s', '0.10 s', '74 in 8.00 s', 'nothing in > 10 s', '20', '80',
    ]);
    const open = baselineRecord({ verdict: 'feasible', objective: 79, bound: 66 });
    expect(firstRow(designTable([designRecord(), open, glpk]))).toEqual([
      'headline-100', '75', '0.40 s', '0.10 s', '79, at least 66 in > 10 s', 'nothing in > 10 s', '> 25', '> 100',
    ]);
    const unproven = stopped(designRecord({ coldMs: 10_400 }));
    expect(firstRow(designTable([{ ...unproven, bound: 82 }, open]))).toEqual([
      'headline-100', 'at least 82', '> 10 s', '> 10 s', '79, at least 66 in > 10 s', '', '', '',
    ]);
    expect(firstRow(designTable([designRecord()]))).toEqual(['headline-100', '75', '0.40 s', '0.10 s', '', '', '', '']);
  });

  it('claim no speed-up over a limit that was not reached by the product either', () => {
    expect(speedUp(stopped(designRecord()), 10_000, [baselineRecord()])).toBe('');
    expect(speedUp(designRecord(), 400, [])).toBe('');
    expect(speedUp(designRecord(), 400, [baselineRecord({ stageMs: { build: 0, solve: 100 } })])).toBe('0.3');
  });

  it('set a list beside one design', () => {
    const { limitSeconds, commit, node, processor } = designRecord();
    const list = { kind: 'list', name: 'grain', commit, node, processor, limitSeconds, verdict: 'complete', objective: 80, completeTo: 88, layouts: 6, simulations: 9, designMs: 500, listMs: 4000 } as const;
    expect(firstRow(listTable([list]))).toEqual(['grain', '80', '6', '88', '0.50 s', '4.00 s', '8.0']);
    expect(firstRow(listTable([{ ...list, verdict: 'partial', completeTo: 84 }]))).toEqual(['grain', '80', '6', '84', '0.50 s', '> 10 s', '> 20']);
  });

  it('tell stages and simulators', () => {
    expect(firstRow(stageTable([designRecord()]))).toEqual(['headline-100', '20', '10', '40', '30', '100', '4', '28']);
    expect(firstRow(simulatorTable([simulatorRecord({ naiveTicksPerSecond: 61_234 })]))).toEqual(['headline-100', '4000', '61.2', '65']);
  });

  it('say how many layouts of the baseline fall short, and where it was measured', () => {
    const text = howFast([designRecord(), baselineRecord(), baselineRecord({ solver: 'glpk', meetsBrief: true })]);
    expect(text).toContain('of its 2 layouts 1 fall short');
    expect(text).toContain('Node v20.0.0 on a processor, sources abc1234');
    expect(howFast([])).toBe('');
    const speeds = [4_000_000, 8_000_000, 2_000_000].map((fastTicksPerSecond) => simulatorRecord({ fastTicksPerSecond }));
    expect(howFast(speeds)).toContain('Over 3 plans the simulator makes 4000 thousand ticks a second in the middle; that is 20 to 80 times');
  });

  it('keep their columns in line', () => {
    const lines = designTable([designRecord(), designRecord({ name: 'a much longer name of a brief' })]);
    expect(new Set(lines.map(({ length }) => length)).size).toBe(1);
  });
});
