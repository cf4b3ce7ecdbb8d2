/**
 * `npm run bench -- --suite`: the briefs of the suite through `design`, each in a fresh process, and beside each the
 * whole grid in one program. What is measured of one brief is in `measure-suite.ts` and `measure-baseline.ts`.
 */
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { lanesAreBounded, wholeGridProgram } from '../test/oracles/whole-grid.js';
import { ROOT, readBrief, readJson, type BriefCase } from './cases.js';
import { demand } from './check-answer.js';
import { BASELINE_SOLVERS, measureBaseline, sizeOfProgram } from './measure-baseline.js';
import { measureSuite } from './measure-suite.js';
import { recordKey, type BaselineRecord, type BenchRecord, type Circumstances, type SuiteRecord } from './record.js';
import { suiteCases } from './suite-cases.js';
import { isEnough, programKey, readKept, writeKept } from './whole-grid-results.js';

export const SUITE_RESULTS = join(ROOT, 'bench/results/suite.json');
const WHOLE_GRID_RESULTS = join(ROOT, 'bench/results/whole-grid.json');

/** `design`, `whole-grid`; both where it is left out. What is not measured is taken from earlier results. */
export type SuitePart = 'design' | 'whole-grid';

export interface SuiteRun {
  readonly only: string;
  readonly part: SuitePart | undefined;
  /** Measure the whole grid anew, whatever is kept. */
  readonly fresh: boolean;
  /** After so long no other whole grid is begun. */
  readonly minutes: number;
  /** Threads that share a long search. */
  readonly workers: number;
  readonly circumstances: Circumstances;
  /** Of runs before this one. */
  readonly earlier: readonly BenchRecord[];
  /** Takes each record at once, so that a run that is ended loses nothing. */
  readonly keep: (record: BenchRecord) => void;
  readonly say: (what: string) => void;
}

/**
 * Earlier records with measured ones in their place: designs first, in the suite's order of names. What is of no
 * brief of the suite any more goes.
 */
export function mergedRecords(
  earlier: readonly BenchRecord[],
  measured: readonly BenchRecord[],
  names: readonly string[],
): readonly BenchRecord[] {
  const byKey = new Map([...earlier, ...measured].map((record) => [recordKey(record), record]));
  const place = ({ kind, name }: BenchRecord): number => names.indexOf(name) + (kind === 'suite' ? 0 : names.length);
  return [...byKey.values()].filter(({ name }) => names.includes(name)).toSorted((a, b) => place(a) - place(b));
}

const versionOf = (solver: (typeof BASELINE_SOLVERS)[number]): string => {
  const folder = { highs: 'highs', glpk: 'glpk.js' }[solver];
  return `${solver} ${(readJson(join(ROOT, 'node_modules', folder, 'package.json')) as { readonly version: string }).version}`;
};

const provenPrices = (): Readonly<Record<string, { readonly cost: number }>> =>
  readJson(join(ROOT, 'test/cases/expected/suite.json')) as Readonly<Record<string, { readonly cost: number }>>;

function designs(cases: readonly BriefCase[], run: SuiteRun): readonly SuiteRecord[] {
  if (run.part === 'whole-grid') {
    return run.earlier.filter((record) => record.kind === 'suite').filter(({ name }) => name.includes(run.only));
  }
  const proven = provenPrices();
  return cases.map((which) => {
    run.say(`design ${which.name}`);
    const record = measureSuite(which, run.circumstances, run.workers, proven[which.name]?.cost);
    run.keep(record);
    return record;
  });
}

interface Asked {
  readonly which: BriefCase;
  readonly solver: (typeof BASELINE_SOLVERS)[number];
  /** Undefined where the program bounds nothing for the brief's catalog. */
  readonly key: string | undefined;
  readonly size: BaselineRecord['size'];
}

/** Small programs first, so that little time settles much. */
function asked(cases: readonly BriefCase[]): readonly Asked[] {
  return cases
    .flatMap((which): Asked[] => {
      const brief = readBrief(which.path);
      const program = lanesAreBounded(brief.catalog) ? wholeGridProgram(brief).program : undefined;
      const size = program === undefined ? { integers: 0, continuous: 0, rows: 0 } : sizeOfProgram(program);
      return BASELINE_SOLVERS.map((solver) => ({
        which,
        solver,
        key: program && programKey(program, versionOf(solver)),
        size,
      }));
    })
    .toSorted((a, b) => a.size.integers - b.size.integers);
}

function wholeGrids(cases: readonly BriefCase[], run: SuiteRun): readonly BaselineRecord[] {
  const kept = new Map(existsSync(WHOLE_GRID_RESULTS) ? readKept(readFileSync(WHOLE_GRID_RESULTS, 'utf8')) : []);
  const until = performance.now() + 60_000 * run.minutes;
  const { limitSeconds } = run.circumstances;
  const all = asked(cases);
  const records = all.flatMap(({ which, solver, key, size }): BaselineRecord[] => {
    const common = { kind: 'baseline', name: which.name, solver, ...run.circumstances } as const;
    if (key === undefined) return [{ ...common, size, verdict: 'no-statement', stageMs: { build: 0, solve: 0 } }];
    const known = kept.get(key);
    if (known !== undefined && isEnough(known, limitSeconds) && !run.fresh) return [{ ...known, name: which.name }];
    if (run.part === 'design' || performance.now() > until) return known === undefined ? [] : [{ ...known, name: which.name }];
    run.say(`whole grid ${which.name} ${solver}`);
    const measured = measureBaseline(which, solver, run.circumstances);
    if (measured === undefined) return [];
    kept.set(key, measured);
    // At once, so that a run that is ended loses nothing.
    writeFileSync(WHOLE_GRID_RESULTS, writeKept(kept));
    return [measured];
  });
  if (run.only === '') {
    const used = new Set(all.map(({ key }) => key));
    const names = new Map(all.map(({ key, which }) => [key, which.name]));
    const left = [...kept].filter(([key]) => used.has(key)).map(([key, record]) => [key, { ...record, name: names.get(key) ?? record.name }] as const);
    writeFileSync(WHOLE_GRID_RESULTS, writeKept(new Map(left)));
  }
  return records;
}

/** What the whole grid proves must not contradict a plan: its rates are never below the true ones. */
function checkBounds(designed: readonly SuiteRecord[], baselines: readonly BaselineRecord[]): void {
  for (const { name, objective } of designed) {
    if (objective === undefined) continue;
    for (const { solver, bound, verdict } of baselines.filter((record) => record.name === name)) {
      demand(verdict !== 'infeasible', name, `${solver} proves it infeasible, a plan was found`);
      demand((bound ?? 0) <= objective, name, `${solver} proves at least ${bound}, a plan was found for ${objective}`);
    }
  }
}

export function measureAllOfSuite(run: SuiteRun): readonly BenchRecord[] {
  const cases = suiteCases().filter(({ name }) => name.includes(run.only));
  const designed = designs(cases, run);
  const baselines = wholeGrids(cases, run);
  for (const record of baselines) run.keep(record);
  checkBounds(designed, baselines);
  return mergedRecords(designed, baselines, cases.map(({ name }) => name));
}
