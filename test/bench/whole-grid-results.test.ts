/**
 * Which whole-grid results are kept, and for how long; and that a process which holds too much ends itself.
 */
import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { readBrief } from '../../bench/cases.js';
import { TOO_LARGE } from '../../bench/memory-watch.js';
import { isEnough, programKey, readKept, writeKept } from '../../bench/whole-grid-results.js';
import { fileURLToPath } from 'node:url';
import { projectFile } from '../documents.js';
import { wholeGridProgram } from '../oracles/whole-grid.js';
import { baselineRecord } from './records.js';

const brief = readBrief(fileURLToPath(projectFile('test/cases/tiny-4x5-060.json')));
const keyOf = (changes: Partial<typeof brief>): string => programKey(wholeGridProgram({ ...brief, ...changes }).program, 'highs 1');

describe('kept results', () => {
  it('are found again under another name of the brief, and not where anything that is solved differs', () => {
    const key = keyOf({});
    expect(keyOf({ name: 'other' })).toBe(key);
    expect(programKey(wholeGridProgram(brief).program, 'highs 2')).not.toBe(key);
    expect(keyOf({ feed: 'either' })).not.toBe(key);
    expect(keyOf({ exits: brief.exits.map((exit) => ({ ...exit, target: { ...exit.target, total: exit.target.total.div(2) } })) })).not.toBe(key);
    const { catalog } = brief;
    expect(keyOf({ catalog: { ...catalog, belts: catalog.belts.map((belt) => ({ ...belt, cost: belt.cost + 1 })) } })).not.toBe(key);
  });

  it('are measured anew only where more time could tell more', () => {
    expect(isEnough(baselineRecord({ limitSeconds: 10 }), 60)).toBe(true);
    expect(isEnough(baselineRecord({ limitSeconds: 10, verdict: 'too-large' }), 60)).toBe(true);
    expect(isEnough(baselineRecord({ limitSeconds: 10, verdict: 'feasible' }), 60)).toBe(false);
    expect(isEnough(baselineRecord({ limitSeconds: 60, verdict: 'stopped' }), 10)).toBe(true);
  });

  it('are read as they were written, one a line and in order', () => {
    const kept = new Map([
      ['b', baselineRecord({ name: 'suite-02' })],
      ['a', baselineRecord({ name: 'suite-01' })],
    ]);
    const text = writeKept(kept);
    expect(text.split('\n').map((line) => /suite-\d+/.exec(line)?.[0])).toEqual([undefined, 'suite-01', 'suite-02', undefined, undefined]);
    expect(readKept(text)).toEqual(kept);
    expect(() => readKept('{}')).toThrow('format');
  });
});

describe('a process of too much memory', () => {
  const run = (mebibytes: number): { readonly signal: string | null; readonly stdout: string } => {
    const watch = JSON.stringify(projectFile('bench/memory-watch.ts').href);
    // The loop keeps the main thread, as a solver does.
    const text = `
      const { endBeyond } = await import(${watch});
      await endBeyond(${mebibytes});
      const until = performance.now() + 1000;
      while (performance.now() < until);
      console.log('done');`;
    return spawnSync(process.execPath, ['--import', 'tsx', '--input-type=module', '-e', text], {
      cwd: fileURLToPath(projectFile('.')),
      encoding: 'utf8',
    });
  };

  it('ends itself and says so', () => {
    expect(run(8)).toMatchObject({ signal: 'SIGKILL', stdout: TOO_LARGE });
  });

  it('is left alone below the limit', () => {
    expect(run(1024)).toMatchObject({ signal: null, stdout: 'done\n' });
  });
});
