/**
 * The thread on which `design` computes. It starts while the other one still reads and checks files, so
 * it makes ready what any errand needs and waits. Its errand holds documents that are sound; it sends back
 * finished text and JSON: exact rationals do not survive the way between threads.
 */
import {
  designDocument,
  designMostFill,
  designReport,
  designStation,
  jsonText,
  isMostFillKnown,
  makeReady,
  mostFillDocument,
  mostFillReport,
  readSearch,
  type DesignOutcome,
  type DesignProgress,
  type Finding,
  type JsonObject,
} from '../../index.js';
import type { BriefErrand } from '../errand.js';
import { briefOf, onErrand, searchTerms, seldom, styleOf } from '../own-thread.js';

export interface DesignErrand extends BriefErrand {
  /** Whether the lines of a proof log are to be sent. */
  readonly logged: boolean;
  /** The document of a saved search, not checked yet; undefined: the search begins anew. */
  readonly search: unknown;
  /** Whether the search is wanted if it is stopped before its proof. */
  readonly saves: boolean;
  /** Whether the greatest fill is wanted, whatever the targets. */
  readonly mostFill: boolean;
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

/** Lines of a log are sent together, in texts of about so many signs. */
const LOG_BATCH = 65_536;

async function run(errand: DesignErrand, send: (message: DesignMessage) => void): Promise<void> {
  const brief = briefOf(errand);
  const resumed = errand.search === undefined ? undefined : readSearch(errand.search, brief, errand);
  if (resumed?.ok === false) {
    send({ kind: 'finished', status: 'refused', findings: resumed.findings });
    return;
  }
  const onProgress = seldom((progress: DesignProgress) => {
    send({ kind: 'progress', progress });
  });
  const style = styleOf(errand);
  if (errand.mostFill) {
    const answer = await designMostFill(brief, { ...searchTerms(errand), onProgress });
    const found = answer.design;
    const known = isMostFillKnown(answer);
    send({
      kind: 'finished',
      status: found === undefined ? (known ? 'infeasible' : 'unknown') : known ? 'optimal' : 'feasible',
      lines: mostFillReport(answer, style, errand.quiet),
      document: mostFillDocument(answer),
      plan: found?.plan,
      search: undefined,
    });
    return;
  }
  let batch = '';
  const sendLog = (): void => {
    if (batch !== '') send({ kind: 'log', text: batch });
    batch = '';
  };
  const onLogLine = (line: string): void => {
    batch += `${line}\n`;
    if (batch.length > LOG_BATCH) sendLog();
  };
  const answer = await designStation(brief, {
    ...searchTerms(errand),
    resumed: resumed?.value,
    saves: errand.saves,
    onProgress,
    ...(errand.logged ? { onLogLine } : {}),
  });
  sendLog();
  send({
    kind: 'finished',
    status: answer.outcome.status,
    lines: designReport(answer, style, errand.quiet),
    document: designDocument(answer),
    plan: answer.plan,
    search: answer.search && `${jsonText(answer.search)}\n`,
  });
}

onErrand(run);
makeReady();
