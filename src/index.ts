/**
 * The public surface of the package: what the command line uses, and any other program may.
 */
export {
  armRates,
  auditDocument,
  auditReport,
  CATALOG_POINTER,
  catalogReference,
  checkBriefForm,
  checkPlanForm,
  designDocument,
  designReport,
  designStation,
  entryNumber,
  exitLetter,
  exportProgram,
  makeReady,
  MEASURES,
  MOST_SPOTTING,
  MOST_STARTS,
  nearestName,
  TICK_LIMIT,
  USUAL_SEED,
  USUAL_STARTS,
  findingsBeneath,
  findingSentence,
  isPicture,
  jsonText,
  parseBrief,
  parseCatalog,
  parseCondition,
  parseJson,
  parsePlan,
  parsePromise,
  parseRate,
  parseShare,
  pictureDocument,
  pictureReport,
  pictureSvg,
  placeAt,
  plainInks,
  planPage,
  pointerTo,
  ratesDocument,
  ratesReport,
  readPicture,
  readSearch,
  reportPage,
  refusalSentences,
  replayLog,
  SOLVER_NAMES,
  terminalInks,
  toAscii,
  trialChangeLines,
  trialDocument,
  trialReport,
  tryPlan,
  wrap,
  writePicture,
  writePlan,
} from './pipeline.js';
export {
  foundLine,
  pickedReport,
  tradeoffsCsv,
  tradeoffsDocument,
  tradeoffsPage,
  tradeoffsReport,
  viewTradeoffs,
  type TradeoffEntry,
  type TradeoffsView,
} from './tasks/tradeoffs-list.js';
export type { DesignAnswer, DesignRequest, ReportRequest, ReplayAnswer, ReplayRequest, TrialAnswer, TrialRequest } from './pipeline.js';
export { NO_RESERVE, parseDemandRate, parseRoundTrip, sizeStation, stationDocument, stationReport, withGrace, type SizingEnd } from './tasks/size-station.js';
export { fitDocument, fitMeasurements, fitReport, parseMeasurements, type FitAnswer } from './tasks/fit-catalog.js';
export type { Fit, Known } from './fitting/fit.js';
export type { Measurement, Measurements, Probe } from './fitting/measurements.js';
export { checkSpotting, spottingDocument, spottingReport, trySpotting } from './tasks/trial-spotting.js';
export { findTradeoffs, usualObjectives, type TradeoffsAnswer, type TradeoffsProgress, type TradeoffsRequest } from './tasks/find-tradeoffs.js';
export { fillsTrains, parseDuration, ticksOf, visitDocument, visitReport, visitStation, visitTerms } from './tasks/visit-station.js';
export type { VisitAnswer, VisitRequest } from './tasks/visit-station.js';
export { visitPage, visitSvg } from './tasks/visit-picture.js';
export {
  keptFlaw,
  mendDocument,
  mendedPlan,
  mendPage,
  mendReport,
  mendStation,
  mendSvg,
  type MendAnswer,
  type MendRequest,
} from './tasks/mend-station.js';
export { fillsWagons, termsByBrief, termsByPromise, termsByTarget, type MendTarget, type MendTerms, type TermsFlaw } from './tasks/mend-terms.js';
export type { MendOutcome, MendProgress, MendStep } from './synthesis/repair/mend-outcome.js';
export { RunStopped, unlessStopped, whyDocument, whyReport, whyStation, type WhyRequest } from './tasks/why-station.js';
export { whyLoading, whyLoadingDocument, whyLoadingReport } from './tasks/why-loading.js';
export type { Cause, Culprit, ExitWhy, LoadingWhy, TriedChange, WhyResult } from './audit/cause.js';
export type { Change } from './layout/single-change.js';
export type { Audit, AuditVerdict, Flaw } from './audit/audit-result.js';
export type { ReplayProgress } from './audit/replay.js';
export type { Checked, Finding } from './base/finding.js';
export type { ParsedJson, Place } from './base/located-json.js';
export type { Heading, Tile } from './base/geometry.js';
export type { Rational } from './base/rational.js';
export type { Brief, Kept } from './brief/brief.js';
export type { Catalog } from './catalog/catalog.js';
export type { Layout, Part } from './layout/layout.js';
export type { SortKey, Wishes } from './ranking/choice.js';
export type { Demand } from './brief/demand.js';
export type { SizingTerms } from './ranking/sizing.js';
export type { StationFinding } from './report/station-text.js';
export type { Condition, ConditionFlaw } from './ranking/condition.js';
export type { Measure } from './layout/measure.js';
export type { Breach, PlanPromise } from './ranking/promise.js';
export type { PictureFlaw } from './picture/picture-lines.js';
export type { PictureReading } from './picture/read-picture.js';
export type { PictureOptions, WrittenPicture } from './picture/write-picture.js';
export type { Style } from './report/canvas.js';
export type { Inks } from './report/ink.js';
export type { ReportEntry } from './report/page/page-data.js';
export type { RateFinding } from './report/rates.js';
export type { Json, JsonObject } from './report/trial-json.js';
export type { Counts, TrialResult } from './simulation/trial-result.js';
export type { TrainVisit, VisitResult, VisitTerms } from './simulation/visit-result.js';
export type { RunState } from './synthesis/search-state.js';
export type { DesignOutcome, DesignProgress, DesignProof, InfeasibleReason } from './synthesis/outcome.js';
export type { Tradeoff, TradeoffsOutcome } from './synthesis/choices/tradeoffs-outcome.js';
export {
  designMostFill,
  findStaircase,
  hasStation,
  isMostFillKnown,
  isStaircaseKnown,
  mostFillDocument,
  mostFillReport,
  staircaseDocument,
  staircaseReport,
  staircaseStep,
  type MostFillAnswer,
  type StaircaseAnswer,
  type StaircaseRange,
  type WhatIfRequest,
} from './tasks/what-if.js';
