/**
 * Joins what mends a plan: what it is held against (`mend-terms.ts`), the simulator that judges each repair
 * (`mend-judge.ts`), the search of `synthesis/repair/mend.ts`, and what the station gives before and after.
 */
import { sameTile, type Tile } from '../base/geometry.js';
import { isWithin } from '../base/ground.js';
import { unlessStopped, withGrace } from '../base/run-stopped.js';
import type { Brief, Kept } from '../brief/brief.js';
import { layoutCost, tilesOf, type Layout } from '../layout/layout.js';
import { writePlan } from '../layout/write-plan.js';
import { spotted } from '../layout/spotting.js';
import { promiseFlowsJson } from '../report/design-json.js';
import { anythingFlows } from '../report/flow-glyphs.js';
import { mendJson } from '../report/mend-json.js';
import type { GivenFlows, MendFinding } from '../report/mend-text.js';
import type { JsonObject } from '../report/trial-json.js';
import { laneFlows, type LaneFlows } from '../simulation/lane-flows.js';
import { overfullChest } from '../simulation/overfull.js';
import { USUAL_SEED, type StartOptions } from '../simulation/starts.js';
import { runTrial } from '../simulation/trial.js';
import { design } from '../synthesis/design.js';
import { wantedFlows } from '../synthesis/loading/loading-demand.js';
import { mend } from '../synthesis/repair/mend.js';
import type { MendProgress } from '../synthesis/repair/mend-outcome.js';
import { NOTHING_KEPT } from '../synthesis/repair/mend-universe.js';
import { leastLoadedOfAll, leastOfAll } from './least-flows.js';
import { judgeOf } from './mend-judge.js';
import type { MendTerms } from './mend-terms.js';
import { keptFor } from './promised-plan.js';
import { runLoading } from './run-loading.js';
import { searchTools } from './search-tools.js';

/** A repair whose flows have not repeated by then counts as undecided. */
const TICK_LIMIT = 200_000;
/** What has not repeated by then is not looked at any longer where any repair would do. */
const GLANCE_TICKS = 5_000;
/** What the stations give is simulated beyond the end of the search by no more than so much, if it was stopped. */
const TELLING_MILLISECONDS = 500;
/** Most time for a design of the whole station, which bounds what a repair may cost. */
const ANEW_SECONDS = 8;
const ANEW_SHARE = 1 / 3;

interface KeptFlaw {
  readonly kind: 'outside' | 'empty';
  readonly at: Tile;
}

/** Why these can't be kept: not all of it lies on the site, or no part stands where one is to stay. */
export function keptFlaw({ site, parts }: Layout, { boxes, tiles }: Kept): KeptFlaw | undefined {
  const areas = [...boxes, ...tiles.map(({ x, y }) => ({ x, y, width: 1, height: 1 }))];
  const outside = areas.find(({ x, y, width, height }) => !isWithin(site, { x, y }) || !isWithin(site, { x: x + width - 1, y: y + height - 1 }));
  if (outside !== undefined) return { kind: 'outside', at: { x: outside.x, y: outside.y } };
  const standing = parts.flatMap(tilesOf);
  const empty = tiles.find((tile) => !standing.some((other) => sameTile(tile, other)));
  return empty && { kind: 'empty', at: empty };
}

export interface MendRequest {
  readonly terms: MendTerms;
  readonly kept?: Kept | undefined;
  /** Staggered starts besides the standard one; left out: those of the terms. */
  readonly starts?: number | undefined;
  readonly seed?: number | undefined;
  readonly timeLimitSeconds?: number | undefined;
  readonly shouldStop?: (() => boolean) | undefined;
  readonly onProgress?: ((progress: MendProgress) => void) | undefined;
  readonly breathe?: (() => Promise<void>) | undefined;
  readonly now: () => number;
}

/** Of the first place where the wagons may stop at which there is one, as planned first. */
function overfullOf(layout: Layout, options: StartOptions, { spotting, presence }: Brief): MendFinding['overfull'] {
  for (const stands of spotted(layout, spotting)) {
    const found = overfullChest(stands, options, presence);
    if (found !== undefined) return { ...found, offset: stands.wagons[0].at - layout.wagons[0].at };
  }
  return undefined;
}

/** Undefined where there is no time left to simulate it. */
const flowsOf = (layout: Layout, { spotting, presence }: Brief, options: StartOptions): GivenFlows | undefined =>
  unlessStopped(() => ({
    ...leastOfAll(layout, options, spotting, presence),
    loaded: leastLoadedOfAll(layout, options, spotting, presence),
  }));

/** Likewise; and where nothing flows. */
const lanesOf = (layout: Layout, { presence }: Brief, options: StartOptions): LaneFlows | undefined =>
  unlessStopped(() => {
    const lanes = laneFlows(layout, runTrial(layout, { ...options, presence }).worstStart, options);
    return anythingFlows(lanes) ? lanes : undefined;
  });

export interface MendAnswer extends MendFinding {
  /** What the mended plan promises. */
  readonly promise: JsonObject | undefined;
}

/** A station for the same site and target, with a share of the time that is left. */
async function designedAnew(brief: Brief, { seed, shouldStop, breathe, now }: MendRequest, secondsLeft: number): Promise<Layout | undefined> {
  const { tools, starts } = await searchTools(brief, { seed, shouldStop, breathe, now, timeLimitSeconds: Math.min(ANEW_SECONDS, secondsLeft * ANEW_SHARE) });
  const outcome = brief.load === undefined ? await design(brief, tools) : await runLoading(brief, brief.load, tools, starts);
  return outcome.status === 'optimal' || outcome.status === 'feasible' ? outcome.layout : undefined;
}

export async function mendStation(layout: Layout, request: MendRequest): Promise<MendAnswer> {
  const { terms, now, kept = NOTHING_KEPT } = request;
  const brief = { ...terms.brief, starts: request.starts ?? terms.brief.starts };
  const seed = request.seed ?? USUAL_SEED;
  const until = now() + (request.timeLimitSeconds ?? Infinity) * 1000;
  const shouldStop = (): boolean => now() >= until || request.shouldStop?.() === true;
  const options: StartOptions = { starts: brief.starts, seed, tickLimit: TICK_LIMIT, kept: keptFor(brief) };
  const outcome = await mend(layout, brief, kept, {
    judge: judgeOf({ ...terms, brief }, { ...options, shouldStop }),
    glance: judgeOf({ ...terms, brief }, { starts: 0, seed, tickLimit: GLANCE_TICKS, shouldStop }),
    now,
    shouldStop,
    stopCause: () => (now() >= until ? 'time-limit' : 'interrupt'),
    designAnew: () => designedAnew(brief, request, (until - now()) / 1000),
    breathe: request.breathe ?? (() => Promise.resolve()),
    onProgress: request.onProgress ?? (() => undefined),
  });
  const mended = outcome.status === 'optimal' || outcome.status === 'feasible' ? outcome.mend.layout : undefined;
  const telling: StartOptions = { ...options, shouldStop: withGrace(shouldStop, TELLING_MILLISECONDS, now) };
  // What the mended plan promises matters most.
  const after = mended && flowsOf(mended, brief, telling);
  return {
    layout,
    brief,
    askedLoaded: brief.load && wantedFlows(brief.load, brief),
    outcome,
    after,
    before: flowsOf(layout, brief, telling),
    overfull: brief.load && unlessStopped(() => overfullOf(layout, telling, brief)),
    lanesAfter: mended && lanesOf(mended, brief, telling),
    lanesBefore: lanesOf(layout, brief, telling),
    promise: mended && after && promiseFlowsJson(brief, after, seed, layoutCost(mended)),
  };
}

/** The mended plan as a document, with what it promises; undefined where there is none. */
export const mendedPlan = ({ outcome, promise }: MendAnswer): JsonObject | undefined =>
  outcome.status === 'optimal' || outcome.status === 'feasible' ? (writePlan(outcome.mend.layout, promise) as JsonObject) : undefined;

export const mendDocument = (answer: MendAnswer): JsonObject => mendJson(answer, mendedPlan(answer));

export { mendText as mendReport } from '../report/mend-text.js';
export { mendPage } from '../report/page/mend-page.js';
export { mendSvg } from '../report/svg/mend-svg.js';
