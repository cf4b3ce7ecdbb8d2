/**
 * The thread on which `station` designs what a brief asks for, and sizes it. It sends back finished text and JSON.
 */
import { designDocument, designReport, designStation, sizeStation, stationDocument, stationReport, type DesignProgress, type JsonObject } from '../../index.js';
import { briefOf, onErrand, runTerms, seldom, type BriefErrand } from '../brief-errand.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { readStationOptions, sizingTerms, type RawStation } from '../station-options.js';
import { styleFor } from '../terminal.js';

export interface StationErrand extends BriefErrand {
  readonly given: RawStation;
}

export type StationMessage =
  | { readonly kind: 'progress'; readonly progress: DesignProgress }
  | { readonly kind: 'finished'; readonly code: ExitCode; readonly lines: readonly string[]; readonly document: JsonObject };

/** A station that took all of the time is sized within so much more. */
const SIZING_MILLISECONDS = 500;

async function run(errand: StationErrand, send: (message: StationMessage) => void): Promise<void> {
  const brief = briefOf(errand);
  const style = styleFor(errand.colorLevel, errand.ascii, errand.columns);
  const terms = runTerms(errand);
  const until = performance.now() + (terms.timeLimitSeconds ?? Infinity) * 1000 + SIZING_MILLISECONDS;
  const answer = await designStation(brief, {
    ...terms,
    onProgress: seldom((progress) => {
      send({ kind: 'progress', progress });
    }),
  });
  const { outcome } = answer;
  if (outcome.status === 'infeasible' || outcome.status === 'unknown') {
    const code = outcome.status === 'infeasible' ? EXIT.no : EXIT.unproven;
    send({ kind: 'finished', code, lines: designReport(answer, style, errand.quiet), document: designDocument(answer) });
    return;
  }
  const finding = sizeStation(outcome.layout, sizingTerms(readStationOptions(errand.given), brief.demand, brief.catalog), () => performance.now() > until);
  send({
    kind: 'finished',
    code: finding.stopped === 'formula' ? EXIT.unproven : finding.sizing?.isMet !== true ? EXIT.no : outcome.status === 'optimal' ? EXIT.done : EXIT.unproven,
    lines: [...designReport(answer, style, true), '', ...stationReport(finding, style, errand.quiet)],
    document: { ...stationDocument(finding), design: designDocument(answer) },
  });
}

onErrand(run);
