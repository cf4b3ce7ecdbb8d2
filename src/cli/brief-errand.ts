/**
 * What every long search of a brief takes to its thread, and how the thread reads it. Documents go as they were read, for
 * checked briefs hold exact rationals; here they are sound already.
 */
import { availableParallelism } from 'node:os';
import { parentPort } from 'node:worker_threads';
import { parseBrief, parseCatalog, type Brief } from '../index.js';
import type { CommonOptions } from './common-options.js';
import { stopFlag, type Errand } from './errand.js';
import type { Loaded } from './documents.js';
import { outputAscii, outputColorLevel } from './output.js';
import { terminalColumns, type ColorLevel } from './terminal.js';

export interface BriefErrand extends Errand {
  readonly brief: unknown;
  readonly catalog: unknown;
  readonly seed: number | undefined;
  readonly timeLimitSeconds: number | undefined;
  readonly solver: string | undefined;
  readonly quiet: boolean;
  readonly ascii: boolean;
  /** Of the terminal that is printed to. */
  readonly columns: number | undefined;
  readonly colorLevel: ColorLevel;
  /** Threads that share a long search. */
  readonly workers: number;
}

/** Each thread has a search of its own in memory. */
const USUAL_WORKERS = 8;

/** `printed`: the options of what goes to the standard output. */
export const briefErrand = ({ document, catalog }: Loaded<Brief>, printed: CommonOptions, workers: number | undefined): BriefErrand => ({
  brief: document.value,
  catalog,
  seed: printed.seed,
  timeLimitSeconds: printed.timeLimitSeconds,
  solver: printed.solver,
  quiet: printed.quiet,
  ascii: outputAscii(printed),
  columns: terminalColumns(),
  colorLevel: outputColorLevel(printed),
  workers: workers ?? Math.min(availableParallelism(), USUAL_WORKERS),
  stop: stopFlag(),
});

export function briefOf(errand: BriefErrand): Brief {
  const catalog = parseCatalog(errand.catalog);
  const brief = catalog.ok ? parseBrief(errand.brief, catalog.value) : catalog;
  if (!brief.ok) throw new Error('a document that was sound is not sound on the other thread');
  return brief.value;
}

/** What a run is handed of its errand and of time. */
export const runTerms = ({ seed, timeLimitSeconds, solver, workers, stop }: BriefErrand) => ({
  seed,
  timeLimitSeconds,
  solver,
  workers,
  now: () => performance.now(),
  shouldStop: () => Atomics.load(stop, 0) !== 0,
});

const SHOW_EVERY_MS = 100;

/** Passes on what comes, but not more often than anybody can read. */
export function seldom<T>(pass: (value: T) => void): (value: T) => void {
  let passedAt = 0;
  return (value) => {
    if (performance.now() - passedAt < SHOW_EVERY_MS) return;
    passedAt = performance.now();
    pass(value);
  };
}

/** Runs the one errand of this thread, then lets it end. */
export function onErrand<E extends Errand, M>(run: (errand: E, send: (message: M) => void) => Promise<void>): void {
  const port = parentPort;
  if (port === null) return;
  port.once('message', (errand: E) => {
    void run(errand, (message) => {
      port.postMessage(message);
    }).then(() => {
      port.close();
    });
  });
}
