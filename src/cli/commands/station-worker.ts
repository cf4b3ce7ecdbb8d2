/**
 * The thread on which `station` sizes a plan, or designs what a brief asks for and sizes that. It sends back finished text and
 * JSON.
 */
import { designDocument, designReport, designStation, sizeStation, stationDocument, stationReport, withGrace, type DesignProgress, type JsonObject, type StationFinding } from '../../index.js';
import type { BriefErrand, PlanErrand } from '../errand.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { briefOf, endOfRun, layoutOf, onErrand, searchTerms, seldom, styleOf } from '../own-thread.js';
import { readStationOptions, sizingTerms, type GivenStation } from '../station-options.js';

export type StationErrand = (PlanErrand | BriefErrand) & { readonly given: GivenStation };

export type StationMessage =
  | { readonly kind: 'progress'; readonly progress: DesignProgress }
  | { readonly kind: 'finished'; readonly code: ExitCode; readonly lines: readonly string[]; readonly document: JsonObject };

type Send = (message: StationMessage) => void;

/** A station that took all of the time is sized within so much more. */
const SIZING_MILLISECONDS = 500;

/** `proven`: whether no station does it for less, if that was asked. */
function codeOf({ sizing, stopped }: StationFinding, proven: boolean): ExitCode {
  if (stopped?.before === 'formula') return EXIT.unproven;
  if (sizing?.isMet !== true) return EXIT.no;
  return proven ? EXIT.done : EXIT.unproven;
}

function sizePlan(errand: PlanErrand & { readonly given: GivenStation }, send: Send): void {
  const layout = layoutOf(errand);
  const finding = sizeStation(layout, sizingTerms(readStationOptions(errand.given), undefined, layout.catalog), endOfRun(errand));
  send({ kind: 'finished', code: codeOf(finding, true), lines: stationReport(finding, styleOf(errand), errand.quiet), document: stationDocument(finding) });
}

async function designAndSize(errand: BriefErrand & { readonly given: GivenStation }, send: Send): Promise<void> {
  const brief = briefOf(errand);
  const sizing = sizingTerms(readStationOptions(errand.given), brief.demand, brief.catalog);
  const style = styleOf(errand);
  const terms = searchTerms(errand);
  const end = endOfRun(errand);
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
  const finding = sizeStation(outcome.layout, sizing, { ...end, shouldStop: withGrace(end.shouldStop, SIZING_MILLISECONDS, terms.now) });
  send({
    kind: 'finished',
    code: codeOf(finding, outcome.status === 'optimal'),
    lines: [...designReport(answer, style, true), '', ...stationReport(finding, style, errand.quiet)],
    document: { ...stationDocument(finding), design: designDocument(answer) },
  });
}

onErrand((errand: StationErrand, send: Send) => ('plan' in errand ? sizePlan(errand, send) : designAndSize(errand, send)));
