/**
 * The thread on which a proof log is replayed. It reads the file itself, line by line and several times.
 */
import { parentPort } from 'node:worker_threads';
import {
  auditDocument,
  auditReport,
  refusalSentences,
  replayLog,
  type AuditVerdict,
  type JsonObject,
  type ReplayProgress,
} from '../../index.js';
import type { Errand } from '../errand.js';
import { InputError } from '../exit-codes.js';
import { linesOf, shownPath } from '../files.js';
import { styleFor, type ColorLevel } from '../terminal.js';

export interface ReplayErrand extends Errand {
  readonly log: string;
  readonly seed: number | undefined;
  readonly timeLimitSeconds: number | undefined;
  readonly quiet: boolean;
  readonly ascii: boolean;
  /** Of the terminal that is printed to. */
  readonly columns: number | undefined;
  readonly colorLevel: ColorLevel;
}

export type ReplayMessage =
  | { readonly kind: 'progress'; readonly progress: ReplayProgress }
  | {
      readonly kind: 'finished';
      readonly verdict: AuditVerdict;
      readonly lines: readonly string[];
      readonly document: JsonObject;
    }
  /** It is no log that can be replayed, as each line says with the log's name. */
  | { readonly kind: 'finished'; readonly verdict: 'refused'; readonly lines: readonly string[] };

const refusal = (lines: readonly string[]): ReplayMessage => ({ kind: 'finished', verdict: 'refused', lines });

/** Signs in which a document says what it is, if it does. */
const HEAD = 4096;

function formatOf(lines: Iterable<string>): string | undefined {
  let head = '';
  for (const line of lines) {
    head += line;
    if (head.length > HEAD) break;
  }
  return /^transloom-picture\/1|(?<="format"\s*:\s*")transloom-[a-z]+\/1(?=")/.exec(head)?.[0];
}

async function run(errand: ReplayErrand): Promise<ReplayMessage> {
  const lines = linesOf(errand.log);
  const answer = await replayLog(lines, {
    seed: errand.seed,
    timeLimitSeconds: errand.timeLimitSeconds,
    now: () => performance.now(),
    shouldStop: () => Atomics.load(errand.stop, 0) !== 0,
    onProgress: (progress) => parentPort?.postMessage({ kind: 'progress', progress } satisfies ReplayMessage),
  });
  if (!answer.ok) return refusal(refusalSentences(answer.why, formatOf(lines())).map((line) => `${shownPath(errand.log)}: error: ${line}`));
  return {
    kind: 'finished',
    verdict: answer.value.verdict,
    lines: auditReport(answer.value, styleFor(errand.colorLevel, errand.ascii, errand.columns), errand.quiet),
    document: auditDocument(answer.value),
  };
}

const port = parentPort;
if (port !== null) {
  port.once('message', (errand: ReplayErrand) => {
    void run(errand)
      .catch((thrown: unknown) => {
        // An error on its way between threads is no `InputError` any more.
        if (thrown instanceof InputError) return refusal(thrown.lines);
        throw thrown;
      })
      .then((message) => {
        port.postMessage(message);
        port.close();
      });
  });
}
