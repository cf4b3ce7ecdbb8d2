/**
 * How a thread of `commands/` does its errand (`errand.ts`): reads the documents that come with it, asks whether to stop, and
 * sends back what is found.
 */
import { parentPort } from 'node:worker_threads';
import { parseBrief, parseCatalog, parsePlan, type Brief, type Catalog, type Checked, type Layout, type Style } from '../index.js';
import type { BriefErrand, Errand, PlanErrand, Refused } from './errand.js';
import { InputError } from './exit-codes.js';
import { styleFor } from './terminal.js';

/** Documents are sound already when they come here. */
function parsedAgain<T>(json: unknown, catalog: unknown, parse: (json: unknown, catalog: Catalog) => Checked<T>): T {
  const model = parseCatalog(catalog);
  const parsed = model.ok ? parse(json, model.value) : model;
  if (!parsed.ok) throw new Error('a document that was sound is not sound on the other thread');
  return parsed.value;
}

export const briefOf = ({ brief, catalog }: Pick<BriefErrand, 'brief' | 'catalog'>): Brief => parsedAgain(brief, catalog, parseBrief);

export const layoutOf = ({ plan, catalog }: PlanErrand): Layout => parsedAgain(plan, catalog, parsePlan);

export const styleOf = ({ colorLevel, ascii, columns }: Errand): Style => styleFor(colorLevel, ascii, columns);

/** What a run is handed of its errand and of time. */
export const runTerms = ({ seed, timeLimitSeconds, stop }: Errand) => ({
  seed,
  timeLimitSeconds,
  now: () => performance.now(),
  shouldStop: () => Atomics.load(stop, 0) !== 0,
});

/** What a search is handed besides. */
export const searchTerms = (errand: BriefErrand) => ({ ...runTerms(errand), solver: errand.solver, workers: errand.workers });

/** For runs that know of no limit of time: when to stop, be it for that or for Ctrl-C, and which of them it was. */
export function endOfRun(errand: Errand): { readonly shouldStop: () => boolean; readonly stopCause: () => 'time-limit' | 'interrupt' } {
  const { now, shouldStop, timeLimitSeconds = Infinity } = runTerms(errand);
  const until = now() + timeLimitSeconds * 1000;
  return { shouldStop: () => now() > until || shouldStop(), stopCause: () => (now() > until ? 'time-limit' : 'interrupt') };
}

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

/** Runs the one errand of this thread, then lets it end. An error on its way between threads would be no `InputError` any more. */
export function onErrand<E extends Errand, M>(run: (errand: E, send: (message: M) => void) => void | Promise<void>): void {
  const port = parentPort;
  if (port === null) return;
  const send = (message: M | Refused): void => {
    port.postMessage(message);
  };
  const begin = async (errand: E): Promise<void> => {
    try {
      await run(errand, send);
    } catch (thrown) {
      if (!(thrown instanceof InputError)) throw thrown;
      send({ kind: 'refused', lines: thrown.lines });
    }
    port.close();
  };
  port.once('message', (errand: E) => {
    void begin(errand);
  });
}
