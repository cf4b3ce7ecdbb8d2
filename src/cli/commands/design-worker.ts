/**
 * The thread on which `design` computes. It starts while the other one still reads and checks files, so
 * it makes ready what any errand needs and waits. Its errand holds documents that are sound; it sends back
 * finished text and JSON: exact rationals do not survive the way between threads.
 */
import { parentPort } from 'node:worker_threads';
import {
  designDocument,
  designReport,
  designStation,
  jsonText,
  makeReady,
  parseBrief,
  parseCatalog,
  readSearch,
  type DesignOutcome,
  type DesignProgress,
  type Finding,
  type JsonObject,
} from '../../index.js';
import type { Errand } from '../errand.js';
import { styleFor, type ColorLevel } from '../terminal.js';

export interface DesignErrand extends Errand {
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
  /** Whether the lines of a proof log are to be sent. */
  readonly logged: boolean;
  /** Threads that share a long search. */
  readonly workers: number;
  /** The document of a saved search, not checked yet; undefined: the search begins anew. */
  readonly search: unknown;
  /** Whether the search is wanted if it is stopped before its proof. */
  readonly saves: boolean;
}

export type DesignMessage =
  | { readonly kind: 'progress'; readonly progress: DesignProgress }
  /** Whole lines of the proof log. */
  | { readonly kind: 'log'; readonly text: string }
  /** The saved search can't be gone on with. */
  | { readonly kind: 'finished'; readonly status: 'refused'; readonly findings: readonly Finding[] }
  | {
      readonly kind: 'finished';
      readonly status: DesignOutcome['status'];
      readonly lines: readonly string[];
      readonly document: JsonObject;
      readonly plan: JsonObject | undefined;
      /** Text of the saved search. */
      readonly search: string | undefined;
    };

const SHOW_EVERY_MS = 100;
/** Lines of a log are sent together, in texts of about so many signs. */
const LOG_BATCH = 65_536;

async function run(errand: DesignErrand, send: (message: DesignMessage) => void): Promise<void> {
  const catalog = parseCatalog(errand.catalog);
  const brief = catalog.ok ? parseBrief(errand.brief, catalog.value) : catalog;
  if (!brief.ok) throw new Error('a document that was sound is not sound on the other thread');
  const resumed = errand.search === undefined ? undefined : readSearch(errand.search, brief.value, errand);
  if (resumed?.ok === false) {
    send({ kind: 'finished', status: 'refused', findings: resumed.findings });
    return;
  }
  let shownAt = 0;
  let batch = '';
  const sendLog = (): void => {
    if (batch !== '') send({ kind: 'log', text: batch });
    batch = '';
  };
  const onLogLine = (line: string): void => {
    batch += `${line}\n`;
    if (batch.length > LOG_BATCH) sendLog();
  };
  const answer = await designStation(brief.value, {
    seed: errand.seed,
    timeLimitSeconds: errand.timeLimitSeconds,
    solver: errand.solver,
    workers: errand.workers,
    resumed: resumed?.value,
    saves: errand.saves,
    now: () => performance.now(),
    shouldStop: () => Atomics.load(errand.stop, 0) !== 0,
    onProgress: (progress) => {
      if (performance.now() - shownAt < SHOW_EVERY_MS) return;
      shownAt = performance.now();
      send({ kind: 'progress', progress });
    },
    ...(errand.logged ? { onLogLine } : {}),
  });
  sendLog();
  send({
    kind: 'finished',
    status: answer.outcome.status,
    lines: designReport(answer, styleFor(errand.colorLevel, errand.ascii, errand.columns), errand.quiet),
    document: designDocument(answer),
    plan: answer.plan,
    search: answer.search && `${jsonText(answer.search)}\n`,
  });
}

const port = parentPort;
if (port !== null) {
  port.once('message', (errand: DesignErrand) => {
    void run(errand, (message) => {
      port.postMessage(message);
    }).then(() => {
      port.close();
    });
  });
  makeReady();
}
