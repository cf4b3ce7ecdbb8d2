/**
 * The suite's records as tables: those that a run prints, and "How far" of README. Pure functions of the records
 * and of the table on the suite.
 */
import { MOST_MEBIBYTES, geometricMean, median, type BaselineRecord, type BenchRecord, type SuiteRecord } from './record.js';
import type { Count, SuiteTable } from './suite-cases.js';
import { baselineCell, baselinesOf, factor, isProven, priceOf, seconds, table, withSection } from './tables.js';

const suiteRecords = (records: readonly BenchRecord[]): readonly SuiteRecord[] => records.filter((record) => record.kind === 'suite');

const bySolver = (records: readonly BenchRecord[], name: string, solver: string): BaselineRecord | undefined =>
  baselinesOf(records, name).find((record) => record.solver === solver);

/** Where nothing was measured, that is said: an empty cell could mean anything. */
const wholeGridCell = (record: BaselineRecord | undefined): string => (record === undefined ? 'not measured' : baselineCell(record));

const proofCell = (record: SuiteRecord): string => {
  if (record.verdict === 'fault') return 'fault';
  return isProven(record) && record.endMs !== undefined ? seconds(record.endMs) : `> ${record.limitSeconds} s`;
};

const firstCell = ({ firstMs }: SuiteRecord): string => (firstMs === undefined ? 'none' : seconds(firstMs));

/** (price - bound) / price; empty where one of them is unknown. */
function gapCell({ objective, bound }: SuiteRecord): string {
  if (objective === undefined || bound === undefined || objective === 0) return '';
  const percent = (100 * (objective - bound)) / objective;
  // Never "0 %" where a gap is left.
  return percent === 0 ? '0 %' : `${Math.max(percent, 0.1).toFixed(1)} %`;
}

const orNone = (value: number | undefined): string => (value === undefined ? '' : `${value}`);

/** The quicker solver's time over the design's; undefined unless both came to their proof. */
function ratioOf(record: SuiteRecord, baselines: readonly BaselineRecord[]): number | undefined {
  const closed = baselines.filter(isProven).map(({ stageMs }) => stageMs.solve);
  if (closed.length === 0 || !isProven(record) || record.endMs === undefined) return undefined;
  return Math.min(...closed) / Math.max(record.endMs, 1);
}

function timesFaster(record: SuiteRecord, baselines: readonly BaselineRecord[]): string {
  const exact = ratioOf(record, baselines);
  if (exact !== undefined) return factor(exact);
  const stopped = baselines.filter(({ verdict }) => verdict === 'stopped' || verdict === 'feasible');
  if (stopped.length < baselines.length || stopped.length === 0 || !isProven(record) || record.endMs === undefined) return '';
  return `> ${factor(Math.min(...stopped.map(({ limitSeconds }) => 1000 * limitSeconds)) / Math.max(record.endMs, 1))}`;
}

/** All that a run of the suite found, one row a brief. */
export function suiteRunTable(records: readonly BenchRecord[]): readonly string[] {
  const rows = suiteRecords(records).map((record) => [
    record.name,
    `${record.belts}`,
    `${record.wagons}`,
    `${record.tiles}`,
    orNone(record.objective),
    orNone(record.bound),
    record.verdict,
    gapCell(record),
    firstCell(record),
    proofCell(record),
    orNone(record.simulations),
    orNone(record.peakMebibytes),
    wholeGridCell(bySolver(records, record.name, 'highs')),
    wholeGridCell(bySolver(records, record.name, 'glpk')),
    timesFaster(record, baselinesOf(records, record.name)),
  ]);
  const head = ['brief', 'belts', 'wagons', 'tiles', 'price', 'bound', 'verdict', 'gap', 'first layout', 'proof', 'simulated', 'MiB'];
  return table([...head, 'whole grid, HiGHS', 'whole grid, GLPK', 'times faster'], rows);
}

/** The same for README: names tell the sizes. */
function suiteShortTable(records: readonly BenchRecord[], { briefs }: SuiteTable): readonly string[] {
  const rows = suiteRecords(records).map((record) => {
    const goal = briefs.find(({ name }) => name === record.name)?.goals.proofSeconds;
    return [
      record.name.replace(/^suite-/, ''),
      priceOf(record),
      firstCell(record),
      proofCell(record),
      goal === undefined ? '' : `${goal} s`,
      orNone(record.peakMebibytes),
      wholeGridCell(bySolver(records, record.name, 'highs')),
      wholeGridCell(bySolver(records, record.name, 'glpk')),
      timesFaster(record, baselinesOf(records, record.name)),
    ];
  });
  return table(['brief', 'price', 'first layout', 'proof', 'goal', 'MiB', 'whole grid, HiGHS', 'whole grid, GLPK', 'times faster'], rows);
}

const share = (part: readonly unknown[], whole: readonly unknown[]): string => `${part.length} of ${whole.length}`;

/** By the number of belts: how many are proven, how many within their goals, and how long the middle one took. */
export function suiteSummary(records: readonly BenchRecord[], { briefs }: SuiteTable): readonly string[] {
  const all = suiteRecords(records);
  const goalsOf = (record: SuiteRecord) => briefs.find(({ name }) => name === record.name)?.goals;
  const within = (ms: number | undefined, goal: number | undefined): boolean => ms !== undefined && goal !== undefined && ms <= 1000 * goal;
  const rows = [...new Set(all.map(({ belts }) => belts))].toSorted((a, b) => a - b).map((belts) => {
    const these = all.filter((record) => record.belts === belts);
    const proven = these.filter(isProven);
    const aimed = these.filter((record) => goalsOf(record)?.proofSeconds !== undefined);
    const firsts = these.flatMap(({ firstMs }) => firstMs ?? []);
    const proofs = proven.flatMap(({ endMs }) => endMs ?? []);
    const middle = (times: readonly number[]): string => (times.length === 0 ? '' : seconds(median(times, (ms) => ms)));
    return [
      `${belts}`,
      share(firsts, these),
      share(these.filter((record) => within(record.firstMs, goalsOf(record)?.firstLayoutSeconds)), these),
      middle(firsts),
      share(proven, these),
      aimed.length === 0 ? '' : share(aimed.filter((record) => isProven(record) && within(record.endMs, goalsOf(record)?.proofSeconds)), aimed),
      middle(proofs),
      share(these.filter(({ name }) => baselinesOf(records, name).some(isProven)), these),
    ];
  });
  return table(['belts', 'a layout', 'within goal', 'middle', 'proven', 'within goal', 'middle', 'by whole grid'], rows);
}

const sizeIn = (record: SuiteRecord, counts: Count): string => `${record[counts]} ${record[counts] === 1 ? counts.replace(/s$/, '') : counts}`;

/** Of the whole grid's solvers. */
function quickestCell(baselines: readonly BaselineRecord[]): string {
  const closed = baselines.filter(isProven).map(({ stageMs }) => stageMs.solve);
  if (closed.length > 0) return seconds(Math.min(...closed));
  return baselines.length === 0 ? 'not measured' : 'open';
}

/** Briefs that differ in size alone, with the time of each as a multiple of the one before. */
export function suiteSeriesTable(records: readonly BenchRecord[], { series }: SuiteTable): readonly string[] {
  const all = suiteRecords(records);
  const rows = series.flatMap(({ counts, title, briefs }) => {
    const found = briefs.flatMap((name) => all.find((record) => record.name === name) ?? []);
    return found.map((record, index) => {
      const before = index === 0 ? undefined : found[index - 1];
      const grows = before !== undefined && isProven(before) && isProven(record) && before.endMs !== undefined && record.endMs !== undefined;
      return [
        index === 0 ? title : '',
        sizeIn(record, counts),
        firstCell(record),
        proofCell(record),
        grows ? factor((record.endMs ?? 0) / Math.max(before.endMs ?? 0, 1)) : '',
        quickestCell(baselinesOf(records, record.name)),
      ];
    });
  });
  return table(['what grows', 'size', 'first layout', 'proof', 'times the one before', 'whole grid'], rows);
}

export function speedSentence(records: readonly BenchRecord[]): string {
  const closed = suiteRecords(records).filter(({ name }) => baselinesOf(records, name).some(isProven));
  const ratios = closed.flatMap((record) => ratioOf(record, baselinesOf(records, record.name)) ?? []);
  if (ratios.length === 0) return 'The whole grid closes none of these briefs.';
  return `The whole grid closes ${closed.length} of these briefs; over the ${ratios.length} of them that are proven here too, the proof comes ${factor(geometricMean(ratios))} times faster in the geometric mean.`;
}

const inOrder = (limits: ReadonlySet<number>): string => [...limits].toSorted((a, b) => a - b).join(' s or ');

/** The limits with which the whole grid was measured, in words. */
function wholeGridLimits(records: readonly BenchRecord[]): string {
  const limits = new Set(records.flatMap((record) => (record.kind === 'baseline' ? record.limitSeconds : [])));
  return limits.size === 0 ? 'It was not measured.' : `It was given ${inOrder(limits)} s and ${MOST_MEBIBYTES} MiB.`;
}

/** Beside this, the start of a process is little. */
const LONG_MS = 2000;

/** How much of a processor's time a process had, in the middle: less than all where other work shared the machine. */
function processorSentence(records: readonly BenchRecord[]): string {
  const middle = (shares: readonly number[]): string => `${Math.round(100 * median(shares, (value) => value))} %`;
  const designs = suiteRecords(records).flatMap(({ cpuMs, endMs }) =>
    cpuMs === undefined || endMs === undefined || endMs < LONG_MS ? [] : cpuMs / endMs,
  );
  if (designs.length === 0) return '';
  const grids = records.flatMap((record) => {
    if (record.kind !== 'baseline' || record.cpuMs === undefined) return [];
    return record.cpuMs / (record.stageMs.build + record.stageMs.solve);
  });
  return ` Designs of ${LONG_MS / 1000} s and more had ${middle(designs)} of a processor in the middle${grids.length === 0 ? '' : `, whole grids ${middle(grids)}`}.`;
}

/** The section of README, from the results file alone. */
export function howFar(records: readonly BenchRecord[], suite: SuiteTable): string {
  const [first] = suiteRecords(records);
  if (first === undefined) return '';
  const { workers, node, processor } = first;
  const limits = new Set(suiteRecords(records).map(({ limitSeconds }) => limitSeconds));
  const commits = new Set(suiteRecords(records).map(({ commit }) => commit));
  return [
    ...suiteSummary(records, suite),
    '',
    ...suiteSeriesTable(records, suite),
    '',
    '<details><summary>Each brief</summary>',
    '',
    ...suiteShortTable(records, suite),
    '',
    '</details>',
    '',
    `Each brief is designed once, in a fresh process of up to ${workers} threads, with ${inOrder(limits)} s to come to its proof. "Middle" is the middle one of the times there are, "MiB" the most memory that the process held. The whole-grid program is the one above. ${wholeGridLimits(records)} "No bound": it says nothing true of the brief's catalog. ${speedSentence(records)}`,
    '',
    `Measured with Node ${node} on ${processor}, sources ${[...commits].join(', ')}.${processorSentence(records)} [The briefs](test/cases/README.md) are numbered from easy to hard; their names tell belts, fill in hundredths, what is special, and the site's width and depth.`,
  ].join('\n');
}

export const HOW_FAR_MARKS = ['<!-- how far: written by npm run bench-table -->', '<!-- end of how far -->'] as const;

export const withHowFar = (readme: string, records: readonly BenchRecord[], suite: SuiteTable): string =>
  withSection(readme, HOW_FAR_MARKS, howFar(records, suite));
