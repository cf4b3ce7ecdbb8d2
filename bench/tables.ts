/**
 * Records of the bench as tables: those that a run prints, and "How fast" of README. Pure functions of
 * the records; `update-readme.ts` writes the latter into the file. The suite's are in `suite-tables.ts`.
 */
import {
  MOST_MEBIBYTES,
  median,
  type BaselineRecord,
  type BenchRecord,
  type DesignRecord,
  type ListRecord,
  type SimulatorRecord,
  type SuiteRecord,
} from './record.js';

type Rows = readonly (readonly string[])[];

/** Markdown with its columns in line, so that it reads well as it is; all columns but the first to the right. */
export function table(head: readonly string[], rows: Rows): readonly string[] {
  const widths = head.map((text, column) => Math.max(3, text.length, ...rows.map((row) => row[column].length)));
  const pad = (text: string, column: number): string => (column === 0 ? text.padEnd(widths[column]) : text.padStart(widths[column]));
  const line = (row: readonly string[]): string => `| ${row.map(pad).join(' | ')} |`;
  const rule = widths.map((width, column) => (column === 0 ? '-'.repeat(width) : `${'-'.repeat(width - 1)}:`));
  return [line(head), line(rule), ...rows.map(line)];
}

export const seconds = (ms: number): string => `${(ms / 1000).toFixed(ms < 9950 ? 2 : 0)} s`;
/** Two digits that count. */
export const factor = (value: number): string => (value >= 10 ? value.toFixed(0) : value.toFixed(1));

type Answered = DesignRecord | SuiteRecord | BaselineRecord;

export const isProven = ({ verdict }: Answered): boolean => verdict === 'optimal' || verdict === 'infeasible';

const designs = (records: readonly BenchRecord[]): readonly DesignRecord[] => records.filter((record) => record.kind === 'design');
const simulators = (records: readonly BenchRecord[]): readonly SimulatorRecord[] =>
  records.filter((record) => record.kind === 'simulator');
export const baselinesOf = (records: readonly BenchRecord[], name: string): readonly BaselineRecord[] =>
  records.filter((record) => record.kind === 'baseline').filter((record) => record.name === name);

/** "75", "75, at least 72", "at least 82": what is known of the least price. */
export function priceOf({ objective, bound, verdict }: Answered): string {
  if (verdict === 'infeasible') return 'infeasible';
  if (objective !== undefined && objective === bound) return `${objective}`;
  const known = [...(objective === undefined ? [] : [`${objective}`]), ...(bound === undefined ? [] : [`at least ${bound}`])];
  return known.length === 0 ? 'nothing' : known.join(', ');
}

const designTime = (record: DesignRecord, ms: number): string => (isProven(record) ? seconds(ms) : `> ${record.limitSeconds} s`);

export function baselineCell(record: BaselineRecord | undefined): string {
  if (record === undefined) return '';
  if (record.verdict === 'too-large') return `over ${MOST_MEBIBYTES} MiB`;
  if (record.verdict === 'no-statement') return 'no bound';
  return isProven(record) ? `${priceOf(record)} in ${seconds(record.stageMs.solve)}` : `${priceOf(record)} in > ${record.limitSeconds} s`;
}

/** The quickest baseline's time over one of the product's; "> " where every baseline was cut short. */
export function speedUp(design: DesignRecord, ms: number, baselines: readonly BaselineRecord[]): string {
  if (baselines.length === 0 || !isProven(design)) return '';
  const closed = baselines.filter(isProven).map(({ stageMs }) => stageMs.solve);
  if (closed.length > 0) return factor(Math.min(...closed) / ms);
  const given = Math.min(...baselines.map(({ limitSeconds }) => 1000 * limitSeconds));
  return `> ${factor(given / ms)}`;
}

export function designTable(records: readonly BenchRecord[]): readonly string[] {
  const rows = designs(records).map((design) => {
    const baselines = baselinesOf(records, design.name);
    const of = (solver: string): BaselineRecord | undefined => baselines.find((record) => record.solver === solver);
    return [
      design.name,
      priceOf(design),
      designTime(design, design.coldMs),
      designTime(design, design.warmMs),
      baselineCell(of('highs')),
      baselineCell(of('glpk')),
      speedUp(design, design.coldMs, baselines),
      speedUp(design, design.warmMs, baselines),
    ];
  });
  const head = ['brief', 'price', 'cold', 'warm', 'whole grid, HiGHS', 'whole grid, GLPK', 'times faster, cold', 'and warm'];
  return table(head, rows);
}

export function stageTable(records: readonly BenchRecord[]): readonly string[] {
  const rows = designs(records).map(({ name, stageMs, rounds, simulations, warmMs }) => {
    const { billProgram, standProgram, search, simulation } = stageMs;
    return [name, ...[billProgram, standProgram, search, simulation, warmMs].map((ms) => ms.toFixed(0)), `${rounds}`, `${simulations}`];
  });
  return table(['brief, ms warm', 'bill program', 'stand program', 'search', 'simulation', 'all', 'rounds', 'simulated'], rows);
}

export function simulatorTable(records: readonly BenchRecord[]): readonly string[] {
  const rows = simulators(records).map(({ name, fastTicksPerSecond, naiveTicksPerSecond }) => [
    name,
    inThousands(fastTicksPerSecond),
    inThousands(naiveTicksPerSecond),
    factor(fastTicksPerSecond / naiveTicksPerSecond),
  ]);
  return table(['plan, thousand ticks/s', 'simulator', 'naive reference', 'times faster'], rows);
}

export function listTable(records: readonly BenchRecord[]): readonly string[] {
  const rows = records
    .filter((record): record is ListRecord => record.kind === 'list')
    .map(({ name, verdict, objective, completeTo, layouts, designMs, listMs, limitSeconds }) => [
      name,
      `${objective}`,
      `${layouts}`,
      completeTo === undefined ? '' : `${completeTo}`,
      seconds(designMs),
      verdict === 'complete' ? seconds(listMs) : `> ${limitSeconds} s`,
      verdict === 'complete' ? factor(listMs / designMs) : `> ${factor((1000 * limitSeconds) / designMs)}`,
    ]);
  return table(['brief', 'cheapest', 'layouts', 'complete to', 'one design', 'the list', 'times as long'], rows);
}

const inThousands = (ticksPerSecond: number): string => (ticksPerSecond / 1000).toFixed(ticksPerSecond < 100_000 ? 1 : 0);

/** Baselines that closed, and how many of their layouts do not meet the brief. */
function shortBaselines(records: readonly BenchRecord[]): string {
  const found = records.filter((record) => record.kind === 'baseline').filter(({ meetsBrief }) => meetsBrief !== undefined);
  const short = found.filter(({ meetsBrief }) => meetsBrief === false);
  return `of its ${found.length} layouts ${short.length} fall short of their brief when they are simulated`;
}

function simulatorSentence(records: readonly BenchRecord[]): readonly string[] {
  const all = simulators(records);
  if (all.length === 0) return [];
  const ratios = all.map(({ fastTicksPerSecond, naiveTicksPerSecond }) => fastTicksPerSecond / naiveTicksPerSecond);
  const middle = median(all, ({ fastTicksPerSecond }) => fastTicksPerSecond).fastTicksPerSecond;
  const times = [Math.min(...ratios), median(ratios, (value) => value), Math.max(...ratios)].map(factor);
  return [
    `Over ${all.length} plans the simulator makes ${inThousands(middle)} thousand ticks a second in the middle; that is ${times[0]} to ${times[2]} times the naive reference simulator, ${times[1]} in the middle.`,
    '',
  ];
}

/** The section of README, from the results file alone. */
export function howFast(records: readonly BenchRecord[]): string {
  const [first] = records;
  if (first === undefined) return '';
  const { limitSeconds, node, processor, commit } = first;
  return [
    ...designTable(records),
    '',
    `Cold is a fresh \`transloom design\` from start to end, warm a further call in one process. The whole-grid program is all parts on all tiles in one integer program, at optimistic rates, with ${limitSeconds} s to solve it: an easier question (${shortBaselines(records)}). "Times faster" sets the quicker of its two solvers, without the start of its process, against the times before it.`,
    '',
    ...simulatorSentence(records),
    `Measured with Node ${node} on ${processor}, sources ${commit}.`,
  ].join('\n');
}

export const README_MARKS = ['<!-- how fast: written by npm run bench-table -->', '<!-- end of how fast -->'] as const;

/** README with what stands between the marks replaced. */
export function withSection(readme: string, marks: readonly [string, string], section: string): string {
  const [from, to] = marks.map((mark) => readme.indexOf(mark));
  if (from < 0 || to < from) throw new Error(`README lacks the marks ${marks.join(' and ')}`);
  return `${readme.slice(0, from + marks[0].length)}\n${section}\n${readme.slice(to)}`;
}

export const withHowFast = (readme: string, records: readonly BenchRecord[]): string =>
  withSection(readme, README_MARKS, howFast(records));

export const LIST_MARKS = ['<!-- lists: written by npm run bench-table -->', '<!-- end of lists -->'] as const;

/** What lists of tradeoffs take, as README tells it. */
export const withLists = (readme: string, records: readonly BenchRecord[]): string => withSection(readme, LIST_MARKS, listTable(records).join('\n'));
