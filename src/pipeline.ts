/**
 * All that a user of the library may ask for, in one list: what `tasks/` makes of the rooms, and what is a room's own.
 * `index.ts` says which of it is public. Files and arguments are `cli/`'s.
 */
import { checkBriefForm } from './brief/parse-brief.js';
import { parseCatalog } from './catalog/parse-catalog.js';

export { findingsBeneath, pointerTo } from './base/json-pointer.js';
export { jsonText } from './base/json-text.js';
export { parseJson, placeAt } from './base/located-json.js';
export { MOST_SPOTTING } from './base/ground.js';
export { MOST_STARTS, USUAL_STARTS } from './brief/brief.js';
export { nearestName } from './base/nearest-name.js';
export { parseRate } from './base/rate.js';
export { checkBriefForm, parseBrief } from './brief/parse-brief.js';
export { CATALOG_POINTER, catalogReference } from './catalog/catalog-reference.js';
export { parseCatalog } from './catalog/parse-catalog.js';
export { auditJson as auditDocument, auditText as auditReport, refusalSentences } from './report/audit-text.js';
export { checkPlanForm, parsePlan } from './layout/parse-plan.js';
export { writePlan } from './layout/write-plan.js';
export { isPicture } from './picture/picture-lines.js';
export { readPicture } from './picture/read-picture.js';
export { writePicture } from './picture/write-picture.js';
export { parseCondition, parseShare } from './ranking/condition.js';
export { MEASURES } from './layout/measure.js';
export { parsePromise } from './ranking/parse-promise.js';
export { entryNumber, exitLetter } from './report/labels.js';
export { toAscii } from './report/canvas.js';
export { plainInks, terminalInks } from './report/ink.js';
export { wrap } from './report/table.js';
export { ratesJson as ratesDocument, ratesText as ratesReport } from './report/rates.js';
export { trialChangeLines } from './report/trial-change.js';
export { TICK_LIMIT, USUAL_SEED } from './simulation/starts.js';
export { findingSentence } from './report/words.js';
export { armRates } from './tasks/arm-rates.js';
export { pictureDocument, pictureReport, pictureSvg, planPage, reportPage, type ReportRequest } from './tasks/draw-plan.js';
export { trialDocument, trialReport } from './tasks/trial-report.js';
export { tryPlan, type TrialAnswer, type TrialRequest } from './tasks/try-plan.js';
export { designDocument, designReport, designStation, type DesignAnswer, type DesignRequest } from './tasks/design-station.js';
export { exportProgram } from './tasks/export-program.js';
export { replayLog, type ReplayAnswer, type ReplayRequest } from './tasks/replay-log.js';
export { readSearch } from './tasks/saved-search.js';
export { SOLVER_NAMES } from './tasks/search-tools.js';
export { verifierOf } from './tasks/verifier.js';

/** Reads ahead what checking a brief takes, for a caller who has a moment to spare before there is one. */
export function makeReady(): void {
  parseCatalog({});
  checkBriefForm({});
}
