/**
 * What a run of the bench keeps: one record for each thing measured, and how a results file is read.
 * Comparing two files is in `compare.ts`, README's tables in `tables.ts` and `suite-tables.ts`. Times are in milliseconds.
 */

/** `stopped`: the limit came before any answer. */
export type BenchVerdict = 'optimal' | 'feasible' | 'infeasible' | 'stopped';

/** Most memory that a whole-grid process may hold; beyond it, the program counts as too large. */
export const MOST_MEBIBYTES = 1024;

/** Where and with what a record was measured. */
export interface Circumstances {
  /** Of the sources, with "+" where they had changes that were not committed. */
  readonly commit: string;
  readonly node: string;
  readonly processor: string;
  readonly limitSeconds: number;
}

/** One brief through `design`. */
export interface DesignRecord extends Circumstances {
  readonly kind: 'design';
  readonly name: string;
  /** Of the staggered starts, and how many of them there are. */
  readonly seeds: { readonly starts: number; readonly seed: number };
  readonly verdict: BenchVerdict;
  /** Price of the layout found; its bound holds for every layout. */
  readonly objective?: number;
  readonly bound?: number;
  readonly rounds: number;
  readonly simulations: number;
  /** Of each exit of the layout found, from its worst start, as a share of what its belt can carry. */
  readonly fills: readonly string[];
  /** A fresh process, from its start to its end. */
  readonly coldMs: number;
  /** The same in a process that has designed before: the median of several. */
  readonly warmMs: number;
  /** Parts of `warmMs`, of the run that took the median. `search` is what the others leave. */
  readonly stageMs: {
    readonly billProgram: number;
    readonly standProgram: number;
    readonly simulation: number;
    readonly search: number;
  };
}

/** One brief of the suite through `design`, in a fresh process of the compiled program. */
export interface SuiteRecord extends Circumstances {
  readonly kind: 'suite';
  readonly name: string;
  readonly belts: number;
  readonly wagons: number;
  /** Of the site. */
  readonly tiles: number;
  /** Threads that could share the search. */
  readonly workers: number;
  /** `fault`: the process broke; `what` it said. */
  readonly verdict: BenchVerdict | 'fault';
  readonly what?: string;
  readonly objective?: number;
  readonly bound?: number;
  /** This and what follows is unknown of a process that broke or was ended from outside. */
  readonly simulations?: number;
  /** From the start of the design to the first layout that passed the simulator. */
  readonly firstMs?: number;
  /** To the end of the design: its proof, or the limit. */
  readonly endMs?: number;
  /** Most memory that the process held. */
  readonly peakMebibytes?: number;
  /** Of all its threads, from its start. */
  readonly cpuMs?: number;
}

/** The same brief as one integer program over the whole grid, solved by one solver. */
export interface BaselineRecord extends Circumstances {
  readonly kind: 'baseline';
  readonly name: string;
  readonly solver: string;
  readonly size: { readonly integers: number; readonly continuous: number; readonly rows: number };
  /** `too-large`: not to be solved in `MOST_MEBIBYTES`; `no-statement`: the program bounds nothing for this catalog. */
  readonly verdict: BenchVerdict | 'too-large' | 'no-statement';
  readonly objective?: number;
  readonly bound?: number;
  /** Whether the decoded layout meets the brief when it is simulated; the program knows no ticks. */
  readonly meetsBrief?: boolean;
  readonly stageMs: { readonly build: number; readonly solve: number };
  /** Most memory that the process held; left out where it was ended from outside. */
  readonly peakMebibytes?: number;
  /** Of the process, from its start. */
  readonly cpuMs?: number;
}

/** One plan through both simulators, from the standard start. */
export interface SimulatorRecord extends Circumstances {
  readonly kind: 'simulator';
  readonly name: string;
  /** Items that left in the ticks over which both were compared: the same number for both. */
  readonly itemsLeft: number;
  readonly fastTicksPerSecond: number;
  readonly naiveTicksPerSecond: number;
}

/** One brief's list of tradeoffs, complete up to a tenth above the cheapest if there was time, and one design of it. */
export interface ListRecord extends Circumstances {
  readonly kind: 'list';
  readonly name: string;
  readonly verdict: 'complete' | 'partial';
  /** Price of the cheapest layout, and up to which the list is proven complete. */
  readonly objective: number;
  readonly completeTo?: number;
  readonly layouts: number;
  readonly simulations: number;
  readonly designMs: number;
  readonly listMs: number;
}

export type BenchRecord = ListRecord | DesignRecord | SuiteRecord | BaselineRecord | SimulatorRecord;

export const RESULTS_FORMAT = 'transloom-bench/1';

export interface BenchResults {
  readonly format: typeof RESULTS_FORMAT;
  readonly records: readonly BenchRecord[];
}

/** What a record is of: the same in every run. */
export const recordKey = (record: BenchRecord): string =>
  record.kind === 'baseline' ? `baseline ${record.solver} ${record.name}` : `${record.kind} ${record.name}`;

/** Results files are this bench's own, so only their format is looked at. */
export function readResults(text: string): BenchResults {
  const document = JSON.parse(text) as Partial<BenchResults>;
  if (document.format !== RESULTS_FORMAT || !Array.isArray(document.records)) {
    throw new Error(`not a file of format ${RESULTS_FORMAT}`);
  }
  return { format: RESULTS_FORMAT, records: document.records as readonly BenchRecord[] };
}

/** One record a line, so that a change of one shows as one. */
export const writeResults = ({ format, records }: BenchResults): string =>
  `{"format": ${JSON.stringify(format)}, "records": [\n${records.map((record) => JSON.stringify(record)).join(',\n')}\n]}\n`;

/** The middle one by `by`; of an even number, the lesser of the two. */
export function median<T>(values: readonly T[], by: (value: T) => number): T {
  return values.toSorted((a, b) => by(a) - by(b))[Math.floor((values.length - 1) / 2)];
}

/** The product of n values' n-th roots; of none, 1. */
export const geometricMean = (values: readonly number[]): number =>
  Math.exp(values.reduce((sum, value) => sum + Math.log(value), 0) / Math.max(1, values.length));
