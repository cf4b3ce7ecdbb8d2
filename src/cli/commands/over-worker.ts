/**
 * The thread on which `tradeoffs --over` computes. It sends back finished text and JSON, and each step as a line when it is
 * found.
 */
import { findStaircase, hasStation, isStaircaseKnown, makeReady, staircaseDocument, staircaseReport, staircaseStep, type DesignProgress, type JsonObject } from '../../index.js';
import type { BriefErrand } from '../errand.js';
import { briefOf, onErrand, searchTerms, seldom, styleOf } from '../own-thread.js';
import { rangeOption, type GivenRange } from '../staircase-range.js';

export interface OverErrand extends BriefErrand {
  /** Read anew: exact fills do not survive the way between threads. */
  readonly given: GivenRange;
}

export type OverMessage =
  | { readonly kind: 'progress'; readonly progress: DesignProgress }
  | { readonly kind: 'step'; readonly line: string }
  | { readonly kind: 'finished'; readonly found: boolean; readonly known: boolean; readonly lines: readonly string[]; readonly document: JsonObject };

async function run(errand: OverErrand, send: (message: OverMessage) => void): Promise<void> {
  const range = rangeOption(errand.given);
  if (range === undefined) throw new Error('a staircase without an axis');
  const answer = await findStaircase(briefOf(errand), range, {
    ...searchTerms(errand),
    onProgress: seldom((progress) => {
      send({ kind: 'progress', progress });
    }),
    onStep: (step) => {
      send({ kind: 'step', line: staircaseStep(step) });
    },
  });
  send({
    kind: 'finished',
    found: hasStation(answer),
    known: isStaircaseKnown(answer),
    lines: staircaseReport(answer, styleOf(errand), errand.quiet),
    document: staircaseDocument(answer),
  });
}

onErrand(run);
makeReady();
