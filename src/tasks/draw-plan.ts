/**
 * Pictures of a plan that was tried, with its flows: as text, as SVG, and as pages on which stations move.
 */
import { createRequire } from 'node:module';
import { invariant } from '../base/invariant.js';
import { parseCatalog } from '../catalog/parse-catalog.js';
import { footprint, layoutCost, partCount, type Layout } from '../layout/layout.js';
import { parsePlan } from '../layout/parse-plan.js';
import { writePlan } from '../layout/write-plan.js';
import { billOf, billText, flowKey } from '../report/bill.js';
import type { Style } from '../report/canvas.js';
import { drawLayout } from '../report/draw-layout.js';
import { anythingFlows } from '../report/flow-glyphs.js';
import { lanesJson } from '../report/lanes-json.js';
import { firstShown, pageEntry, type PageData, type ReportEntry } from '../report/page/page-data.js';
import { reportPageHtml } from '../report/page/report-page.js';
import { readTrial } from '../report/read-trial.js';
import { planSvg } from '../report/svg/plan-svg.js';
import { titleLines } from '../report/table.js';
import { present, trialJson, type JsonObject } from '../report/trial-json.js';
import { laneFlows, type LaneFlows } from '../simulation/lane-flows.js';
import { TICK_LIMIT, USUAL_SEED } from '../simulation/starts.js';
import type { TrialAnswer } from './try-plan.js';

/** Of a trial's worst start; undefined where nothing flows, so that such a plan is drawn as it is built. */
function lanesOf({ layout, trial, ran }: Pick<TrialAnswer, 'layout' | 'trial' | 'ran'>): LaneFlows | undefined {
  const lanes = laneFlows(layout, trial.worstStart, ran);
  return anythingFlows(lanes) ? lanes : undefined;
}

/** The station as it is drawn after a trial, with the key of its flows. */
export function flowPicture(answer: TrialAnswer, style: Style): readonly string[] {
  const lanes = lanesOf(answer);
  return [...drawLayout(answer.layout, style, lanes), ...(lanes === undefined ? [] : ['', ...flowKey(answer.layout, lanes, style)])];
}

export const pictureReport = (answer: TrialAnswer, style: Style, quiet = false): readonly string[] =>
  quiet
    ? drawLayout(answer.layout, style, lanesOf(answer))
    : [...titleLines(answer.layout.name, style), ...flowPicture(answer, style), '', ...billText(answer.layout, style)];

export function pictureDocument(answer: TrialAnswer, style: Style): JsonObject {
  const { layout } = answer;
  const lanes = lanesOf(answer);
  return present({
    name: layout.name,
    picture: drawLayout(layout, style, lanes),
    lanes: lanes && lanesJson(layout, lanes),
    bill: billOf(layout).map((line) => ({ ...line })),
    cost: layoutCost(layout),
    parts: partCount(layout),
    footprint: footprint(layout),
  });
}

/** A stand-alone SVG file. */
export const pictureSvg = (answer: TrialAnswer): string => planSvg({ ...answer, flows: lanesOf(answer) });

/** What the page of a list is made of; its entries are those of `tradeoffs --json`. */
export interface ReportRequest extends Omit<PageData, 'list'> {
  readonly entries: readonly ReportEntry[];
}

/** From beside dist/ as well as from src/: the build puts the page's script there, and nothing else of it is code for Node. */
const pageScript = (): string => (createRequire(import.meta.url)('../../dist/page/page.json') as { readonly script: string }).script;

function layoutOf(plan: JsonObject): Layout {
  const catalog = parseCatalog(plan['catalog']);
  const layout = catalog.ok ? parsePlan(plan, catalog.value) : catalog;
  invariant(layout.ok, 'an entry of a report has a sound plan with its catalog inside', { plan: plan['name'] });
  return layout.value;
}

/** One HTML file with the plot, the pictures and the moving stations of a list, or of a single plan. */
export function reportPage({ entries, ...frame }: ReportRequest): string {
  invariant(entries.length > 0, 'a report has an entry', {});
  const data: PageData = { ...frame, list: entries };
  const shown = entries[firstShown(data)];
  const entry = pageEntry(layoutOf(shown.plan), readTrial(shown.trial), shown);
  const ran = { starts: 0, seed: entry.seed ?? USUAL_SEED, tickLimit: TICK_LIMIT };
  return reportPageHtml(data, { ...entry, flows: lanesOf({ ...entry, ran }) }, pageScript());
}

/** The page of one plan; `document` is the plan as it was read, which may promise something. */
export function planPage({ layout, trial, ran }: TrialAnswer, document: unknown): string {
  const result: unknown = typeof document === 'object' && document !== null && 'result' in document ? document.result : undefined;
  const plan = writePlan(layout, result as JsonObject | undefined) as JsonObject;
  const entry = { plan, trial: trialJson(trial, layout.catalog.ticksPerSecond), seed: ran.seed };
  return reportPage({ title: layout.name, objectives: ['cost', 'footprint', 'parts', 'imbalance'], entries: [entry], complete: true });
}
