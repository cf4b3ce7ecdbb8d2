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
import { linesOf } from '../files.js';
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
  /** It is no log that can be replayed. */
  | { readonly kind: 'finished'; readonly verdict: 'refused'; readonly lines: readonly string[]; readonly document: undefined };

async function run(errand: ReplayErrand): Promise<ReplayMessage> {
  const answer = await replayLog(linesOf(errand.log), {
    seed: errand.seed,
    timeLimitSeconds: errand.timeLimitSeconds,
    now: () => performance.now(),
    shouldStop: () => Atomics.load(errand.stop, 0) !== 0,
    onProgress: (progress) => parentPort?.postMessage({ kind: 'progress', progress } satisfies ReplayMessage),
  });
  if (!answer.ok) return { kind: 'finished', verdict: 'refused', lines: refusalSentences(answer.why), document: undefined };
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
    void run(errand).then((message) => {
      port.postMessage(message);
      port.close();
    });
  });
}
