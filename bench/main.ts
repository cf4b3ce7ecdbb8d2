/**
 * `npm run bench`: measures, prints three tables, and writes the records; with `--suite`, of the suite. With
 * `--compare FILE` the run is held against that file, and fails if anything became worse.
 */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { availableParallelism, cpus } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import type { Layout } from '../src/layout/layout.js';
import { ROOT, briefCases, planCases } from './cases.js';
import { compareResults, hasRegression } from './compare.js';
import { BASELINE_SOLVERS, measureBaseline } from './measure-baseline.js';
import { loadSolver, measureDesign } from './measure-design.js';
import { listCases, measureList } from './measure-lists.js';
import { measureSimulators } from './measure-simulators.js';
import { demand } from './check-answer.js';
import {
  RESULTS_FORMAT,
  readResults,
  recordKey,
  writeResults,
  type BaselineRecord,
  type BenchRecord,
  type BenchResults,
  type Circumstances,
  type DesignRecord,
} from './record.js';
import { SUITE_RESULTS, measureAllOfSuite, mergedRecords, type SuitePart, type SuiteRun } from './suite.js';
import { suiteCases, suiteTable } from './suite-cases.js';
import { speedSentence, suiteRunTable, suiteSeriesTable, suiteSummary } from './suite-tables.js';
import { designTable, listTable, simulatorTable, stageTable } from './tables.js';

const USAGE = `npm run bench -- [options]
  --limit SECONDS   for each brief and solver (10; of the suite 60)
  --only TEXT       only what has this in its name; writes no results unless --out is given (of the suite, those)
  --out FILE        where to write the records (bench/results/latest.json; of the suite suite.json)
  --compare FILE    hold this run against the records of another
  --lists           lists of tradeoffs instead, against one design each (writes bench/results/lists.json)
  --suite           the suite instead: how far proof goes, beside the whole grid in one program
  --part NAME       of the suite only: design or whole-grid; the other is taken from earlier results
  --minutes N       of the suite: after so long, whole grids that are not kept yet are left out
  --workers N       of the suite: threads that share a long search (as the command has)
  --fresh           of the suite: measure every whole grid anew, whatever is kept
`;

/** That of the command, where nothing is said. */
const USUAL_WORKERS = 8;

const LATEST = join(ROOT, 'bench/results/latest.json');
const LISTS = join(ROOT, 'bench/results/lists.json');

const git = (...words: readonly string[]): string => execFileSync('git', words, { cwd: ROOT, encoding: 'utf8' }).trim();

function circumstancesOf(limitSeconds: number): Circumstances {
  const changed = git('status', '--porcelain', '--', 'src', 'test/oracles', 'bench', ':!bench/results') !== '';
  return {
    commit: `${git('rev-parse', '--short', 'HEAD')}${changed ? '+' : ''}`,
    node: process.version,
    processor: cpus()[0]?.model.trim() ?? 'unknown',
    limitSeconds,
  };
}

const say = (what: string): void => void process.stderr.write(`${what}\n`);

/** What the baseline proves must not contradict what the product proves: its rates are never below the true ones. */
function checkBaseline(design: DesignRecord, baseline: BaselineRecord): void {
  const { name, objective } = design;
  const consistent = baseline.bound === undefined || objective === undefined || baseline.bound <= objective;
  demand(consistent, name, `${baseline.solver} proves at least ${baseline.bound}, a plan was found for ${objective}`);
  const denied = baseline.verdict === 'infeasible' && objective !== undefined;
  demand(!denied, name, `${baseline.solver} proves it infeasible, a plan was found`);
}

async function measureAll(only: string, circumstances: Circumstances): Promise<readonly BenchRecord[]> {
  const cases = briefCases().filter(({ name }) => name.includes(only));
  const plans = planCases();
  const solver = await loadSolver();
  const designed: DesignRecord[] = [];
  const layouts: { readonly name: string; readonly layout: Layout }[] = [];
  for (const which of cases) {
    say(`design ${which.name}`);
    const { record, outcome } = await measureDesign(which, circumstances, solver);
    designed.push(record);
    if (outcome.status === 'optimal') layouts.push({ name: which.name, layout: outcome.layout });
  }
  const simulated = [...plans.filter(({ name }) => name.includes(only)), ...layouts].map(({ name, layout }) => {
    say(`simulators ${name}`);
    return measureSimulators(name, layout, circumstances);
  });
  const baselines = cases.flatMap((which, index) =>
    BASELINE_SOLVERS.flatMap((name) => {
      say(`whole grid ${which.name} ${name}`);
      const record = measureBaseline(which, name, circumstances);
      if (record !== undefined) checkBaseline(designed[index], record);
      return record === undefined ? [] : [record];
    }),
  );
  return [...designed, ...baselines, ...simulated];
}

async function measureLists(only: string, circumstances: Circumstances): Promise<readonly BenchRecord[]> {
  const solver = await loadSolver();
  const records: BenchRecord[] = [];
  for (const name of listCases().filter((each) => each.includes(only))) {
    say(`list ${name}`);
    const record = await measureList(name, circumstances, solver);
    if (record !== undefined) records.push(record);
  }
  return records;
}

function printCompared(before: BenchResults, after: BenchResults): boolean {
  const changes = compareResults(before, after);
  for (const { key, weight, what } of changes) console.log(`${weight}: ${key}: ${what}`);
  if (changes.length === 0) console.log('No verdict, price or bound differs, and no time by much.');
  return !hasRegression(changes);
}

function write(file: string, results: BenchResults): void {
  mkdirSync(dirname(file), { recursive: true });
  writeFileSync(file, writeResults(results));
}

/** Only the records of what is measured are replaced. */
function measureSuiteInto(file: string, run: Omit<SuiteRun, 'earlier' | 'keep'>): readonly BenchRecord[] {
  const names = suiteCases().map(({ name }) => name);
  let kept: readonly BenchRecord[] = existsSync(file) ? readResults(readFileSync(file, 'utf8')).records : [];
  const keep = (record: BenchRecord): void => {
    kept = mergedRecords(kept, [record], names);
    write(file, { format: RESULTS_FORMAT, records: kept });
  };
  return measureAllOfSuite({ ...run, earlier: kept, keep });
}

function printSuite(records: readonly BenchRecord[]): void {
  const table = suiteTable();
  for (const lines of [suiteRunTable(records), suiteSeriesTable(records, table), suiteSummary(records, table)]) {
    console.log(`\n${lines.join('\n')}`);
  }
  const limits = new Set(records.flatMap((record) => (record.kind === 'baseline' ? record.limitSeconds : [])));
  console.log(`\n${speedSentence(records)} Limits of the whole grid: ${[...limits].join(', ')} s.`);
}

const isPart = (text: string | undefined): text is SuitePart | undefined => [undefined, 'design', 'whole-grid'].includes(text);

async function main(): Promise<number> {
  const { values } = parseArgs({
    options: {
      limit: { type: 'string' },
      only: { type: 'string', default: '' },
      out: { type: 'string' },
      compare: { type: 'string' },
      suite: { type: 'boolean', default: false },
      lists: { type: 'boolean', default: false },
      part: { type: 'string' },
      minutes: { type: 'string', default: 'Infinity' },
      workers: { type: 'string', default: `${Math.min(availableParallelism(), USUAL_WORKERS)}` },
      fresh: { type: 'boolean', default: false },
      help: { type: 'boolean', default: false },
    },
  });
  const limitSeconds = Number(values.limit ?? (values.suite || values.lists ? 60 : 10));
  const minutes = Number(values.minutes);
  const workers = Number(values.workers);
  const { part, fresh, only } = values;
  if (values.help || !(limitSeconds > 0) || !(minutes >= 0) || !(workers >= 1) || !isPart(part)) {
    process.stdout.write(USAGE);
    return values.help ? 0 : 2;
  }
  // Read first: the file may be the one that this run will write.
  const before = values.compare === undefined ? undefined : readResults(readFileSync(resolve(values.compare), 'utf8'));
  const circumstances = circumstancesOf(limitSeconds);
  const records = values.suite
    ? measureSuiteInto(resolve(values.out ?? SUITE_RESULTS), { only, part, fresh, minutes, workers, circumstances, say })
    : await (values.lists ? measureLists : measureAll)(only, circumstances);
  const results: BenchResults = { format: RESULTS_FORMAT, records };
  const out = values.out ?? (only === '' ? (values.lists ? LISTS : LATEST) : undefined);
  if (!values.suite && out !== undefined) write(resolve(out), results);
  if (values.suite) printSuite(records);
  else if (values.lists) console.log(`\n${listTable(records).join('\n')}`);
  else for (const lines of [designTable(records), stageTable(records), simulatorTable(records)]) console.log(`\n${lines.join('\n')}`);
  console.log();
  if (before === undefined) return 0;
  const selected = before.records.filter((record) => recordKey(record).includes(only));
  return printCompared({ ...before, records: selected }, results) ? 0 : 1;
}

process.exitCode = await main();
