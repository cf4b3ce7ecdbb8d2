/**
 * The thread on which a proof log is replayed. It reads the file itself, line by line and several times.
 */
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
import { onErrand, runTerms, styleOf } from '../own-thread.js';

export interface ReplayErrand extends Errand {
  readonly log: string;
}

export type ReplayMessage =
  | { readonly kind: 'progress'; readonly progress: ReplayProgress }
  | { readonly kind: 'finished'; readonly verdict: AuditVerdict; readonly lines: readonly string[]; readonly document: JsonObject };

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

async function run(errand: ReplayErrand, send: (message: ReplayMessage) => void): Promise<void> {
  const { log, quiet } = errand;
  const lines = linesOf(log);
  const answer = await replayLog(lines, {
    ...runTerms(errand),
    onProgress: (progress) => {
      send({ kind: 'progress', progress });
    },
  });
  if (!answer.ok) throw new InputError(refusalSentences(answer.why, formatOf(lines())).map((line) => `${shownPath(log)}: error: ${line}`));
  const { value } = answer;
  send({ kind: 'finished', verdict: value.verdict, lines: auditReport(value, styleOf(errand), quiet), document: auditDocument(value) });
}

onErrand(run);
