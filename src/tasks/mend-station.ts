/**
 * Joins what mends a plan: what it is held against (a target, its promise, or a brief), the simulator that judges each
 * repair, the search of `synthesis/repair/mend.ts`, and what the station gives before and after.
 */
import { sameTile, type Tile } from '../base/geometry.js';
import { isWithin } from '../base/ground.js';
import { jainImbalance } from '../base/jain.js';
import { compare, isLess, ONE, ratio, ZERO, type Rational } from '../base/rational.js';
import type { Brief, ExitDemand, Kept } from '../brief/brief.js';
import type { BeltModel } from '../catalog/catalog.js';
import { layoutCost, partCount, tilesOf, type Layout, type PlacedExit } from '../layout/layout.js';
import { deriveNetwork } from '../layout/network.js';
import type { TrainTimes } from '../layout/measure.js';
import { writePlan } from '../layout/write-plan.js';
import type { PlanPromise, PromisedFlows } from '../ranking/promise.js';
import { promiseFlowsJson } from '../report/design-json.js';
import { anythingFlows } from '../report/flow-glyphs.js';
import { mendJson } from '../report/mend-json.js';
import type { MendFinding } from '../report/mend-text.js';
import type { JsonObject } from '../report/trial-json.js';
import { laneFlows, type LaneFlows } from '../simulation/lane-flows.js';
import { USUAL_SEED, type StartOptions } from '../simulation/starts.js';
import { throughChest } from '../simulation/supply.js';
import { runTrial } from '../simulation/trial.js';
import { verifyTargets, type Verification } from '../simulation/verify.js';
import { design } from '../synthesis/design.js';
import { mend } from '../synthesis/repair/mend.js';
import type { MendProgress, MendWitness } from '../synthesis/repair/mend-outcome.js';
import type { Lack } from '../synthesis/repair/mend-relevance.js';
import { NOTHING_KEPT } from '../synthesis/repair/mend-universe.js';
import { leastOfAll, spotted } from './least-flows.js';
import { searchTools } from './search-tools.js';
import { trainTimes, worstTimes } from './train-times.js';

/** A repair whose flows have not repeated by then counts as undecided. */
const TICK_LIMIT = 200_000;
/** What has not repeated by then is not looked at any longer where any repair would do. */
const GLANCE_TICKS = 5_000;
const USUAL_STARTS = 16;
/** Most time for a design of the whole station, which bounds what a repair may cost. */
const ANEW_SECONDS = 8;
const ANEW_SHARE = 1 / 3;

/** What each exit is to give, in items per tick, where its belt could carry `saturated`; undefined: nothing is asked of it. */
export type MendTarget = (exit: number, saturated: Rational) => Rational | undefined;

/** What a plan is held against: its exits in the order of the plan's, each at its own place. */
export interface MendTerms {
  readonly brief: Brief;
  /** Whether the belts that leave must be of the models that the brief names. */
  readonly beltsCount: boolean;
}

const alongEdge = ({ at, heading }: PlacedExit): number => (heading === 'N' || heading === 'S' ? at.x : at.y);

/** The belt by whose speed a fill is told: that at the exit, else the fastest that stands, else the fastest there is. */
function beltAt(layout: Layout, { at }: PlacedExit): BeltModel {
  const standing = layout.parts.flatMap((part) => (part.kind === 'belt' ? [part] : []));
  const there = standing.find((part) => part.at.x === at.x && part.at.y === at.y);
  if (there !== undefined) return there.model;
  const models = standing.length === 0 ? layout.catalog.belts : standing.map(({ model }) => model);
  return models.reduce((fastest, model) => (model.speed > fastest.speed ? model : fastest));
}

const nothingAsked = { total: ZERO, left: ZERO, right: ZERO };

const demandAt = (layout: Layout, exit: PlacedExit): ExitDemand => {
  const along = alongEdge(exit);
  return { edge: exit.heading, from: along, to: along, belt: beltAt(layout, exit), target: nothingAsked };
};

/** As the plan does it: from chests, if no arm of the plan puts onto a carrier what it takes from a wagon. */
function feedOf(layout: Layout): Brief['feed'] {
  const onto = deriveNetwork(layout).arms.filter(({ place }) => place.kind === 'carrier');
  return onto.some(({ pick }) => pick.kind === 'wagon') || !onto.some(({ pick }) => pick.kind === 'chest') ? 'either' : 'chests';
}

const plainBrief = (layout: Layout, exits: readonly ExitDemand[]): Brief => ({
  name: layout.name,
  catalog: layout.catalog,
  site: layout.site,
  wagons: layout.wagons,
  exits,
  together: undefined,
  feed: feedOf(layout),
  spotting: 0,
  presence: ONE,
  starts: USUAL_STARTS,
  limits: { arms: undefined, parts: undefined, cost: undefined, imbalance: undefined },
  minimise: ['cost'],
});

/** By a target of its exits; never more than the belt at the exit carries. */
export function termsByTarget(layout: Layout, target: MendTarget): MendTerms {
  const exits = layout.exits.map((exit, index) => {
    const demand = demandAt(layout, exit);
    const saturated = ratio(2 * demand.belt.speed, layout.catalog.pitch);
    const asked = target(index, saturated);
    return asked === undefined ? demand : { ...demand, target: { ...nothingAsked, total: asked } };
  });
  return { brief: plainBrief(layout, exits), beltsCount: false };
}

/** By what the plan's `result` promises; of an exit that it does not name nothing is asked. */
export function termsByPromise(layout: Layout, { exits: promised, together, starts, presence, spotting }: PlanPromise): MendTerms {
  const exits = layout.exits.map((exit) => {
    const found = promised.find(({ at, heading }) => heading === exit.heading && at.x === exit.at.x && at.y === exit.at.y);
    const demand = demandAt(layout, exit);
    return found === undefined ? demand : { ...demand, target: { total: found.flow, left: found.left, right: found.right } };
  });
  return { brief: { ...plainBrief(layout, exits), together, starts, presence, spotting }, beltsCount: false };
}

export type TermsFlaw = 'site' | 'wagons' | 'catalog' | { readonly exit: number };

/** The first way of giving each of the brief's exits one of the plan's, in the order of these: [exit of the brief]. */
function exitsFor(brief: Brief, layout: Layout): readonly number[] | { readonly exit: number } {
  let farthest = 0;
  const give = (exit: number, taken: readonly number[]): readonly number[] | undefined => {
    if (exit === brief.exits.length) return taken;
    farthest = Math.max(farthest, exit);
    const { edge, from, to } = brief.exits[exit];
    for (const [index, placed] of layout.exits.entries()) {
      const along = alongEdge(placed);
      if (placed.heading !== edge || along < from || along > to || taken.includes(index)) continue;
      const found = give(exit + 1, [...taken, index]);
      if (found !== undefined) return found;
    }
    return undefined;
  };
  return give(0, []) ?? { exit: farthest };
}

const sameJson = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b);

/** By a brief of the same site, wagons and catalog. */
export function termsByBrief(layout: Layout, brief: Brief): MendTerms | { readonly flaw: TermsFlaw } {
  const boxes = ({ keepOut }: Brief['site']): readonly string[] => keepOut.map((box) => JSON.stringify(box)).sort();
  const outline = ({ width, depth, ...site }: Brief['site']): unknown => [width, depth, site.north ?? 0, site.track?.from ?? 'open', site.track?.to ?? 'open'];
  if (!sameJson(outline(brief.site), outline(layout.site)) || !sameJson(boxes(brief.site), boxes(layout.site))) return { flaw: 'site' };
  if (!sameJson(brief.wagons.map(({ model, at }) => [model, at]), layout.wagons.map(({ model, at }) => [model, at]))) return { flaw: 'wagons' };
  if (!sameJson({ ...brief.catalog, name: '' }, { ...layout.catalog, name: '' })) return { flaw: 'catalog' };
  const given = exitsFor(brief, layout);
  if (!Array.isArray(given)) return { flaw: given as { readonly exit: number } };
  const exits = layout.exits.map((exit, index): ExitDemand => {
    const asked = given.indexOf(index);
    const demand = demandAt(layout, exit);
    if (asked < 0) return demand;
    const { belt, target } = brief.exits[asked];
    const own = layout.catalog.belts.find(({ name }) => name === belt.name) ?? demand.belt;
    return { ...demand, belt: own, target };
  });
  return { brief: { ...brief, catalog: layout.catalog, exits }, beltsCount: true };
}

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

/** What falls short, the simulator apart; undefined if nothing does. */
function plainLack(layout: Layout, { brief, beltsCount }: MendTerms): Lack | undefined {
  const { carriers, arms } = deriveNetwork(layout);
  const unfed = arms.find(({ pick, place }) => place.kind === 'carrier' && ((brief.feed === 'chests' && pick.kind === 'wagon') || (brief.feed === 'direct' && pick.kind === 'chest')));
  if (unfed !== undefined) return { kind: 'feed', part: unfed.part };
  const wrong = !beltsCount
    ? -1
    : brief.exits.findIndex(({ belt }, exit) => {
        const leads = carriers.find(({ next }) => next.kind === 'exit' && next.exit === exit);
        return leads !== undefined && layout.parts[leads.part].model.name !== belt.name;
      });
  if (wrong >= 0) return { kind: 'belt', exit: wrong };
  const { limits } = brief;
  const over = (limit: number | undefined, count: number): boolean => limit !== undefined && count > limit;
  if (over(limits.arms, layout.parts.filter(({ kind }) => kind === 'arm').length)) return { kind: 'limit', limit: 'arms' };
  if (over(limits.parts, partCount(layout))) return { kind: 'limit', limit: 'parts' };
  if (over(limits.cost, layoutCost(layout))) return { kind: 'limit', limit: 'cost' };
  return undefined;
}

/** The least share of anything asked that is there. */
function reachedOf({ exits }: Verification, { exits: asked, together }: Brief): number {
  const pairs = asked.flatMap(({ target }, exit) => (['total', 'left', 'right'] as const).map((lane) => [exits[exit][lane === 'total' ? 'flow' : lane], target[lane]]));
  if (together !== undefined) pairs.push([exits.reduce((sum, { flow }) => sum.add(flow), ZERO), together]);
  return pairs.reduce((least, [given, wanted]) => (compare(wanted, ZERO) === 0 ? least : Math.min(least, given.div(wanted).valueOf())), 1);
}

const keepsToTrains = (times: TrainTimes | undefined, { dwell, trainsPerHour }: Brief['limits']): boolean =>
  times !== undefined && (dwell === undefined || !isLess(dwell, times.dwell)) && (trainsPerHour === undefined || !isLess(times.trainsPerHour, trainsPerHour));

/** Judges layouts by the simulator, wherever the wagons may stop. */
function judgeOf(terms: MendTerms, options: StartOptions): (layout: Layout) => MendWitness {
  const { brief } = terms;
  const limitsTrains = brief.limits.dwell !== undefined || brief.limits.trainsPerHour !== undefined;
  const targets = brief.exits.map(({ target }, exit) => ({ exit, ...target }));
  return (layout) => {
    let undecided = false;
    let unevenest = ZERO;
    const trains: (TrainTimes | undefined)[] = [];
    for (const each of spotted(layout, brief.spotting)) {
      const found = verifyTargets(each, targets, { ...options, presence: brief.presence, together: brief.together, exceed: brief.exceed });
      const { passes, failure, chests } = found;
      if (failure !== undefined && failure.kind !== 'unproven') {
        const { start: _start, ...lack } = failure;
        return { verdict: 'fails', lack, reached: reachedOf(found, brief) };
      }
      undecided ||= !passes;
      if (limitsTrains) trains.push(trainTimes(each, found));
      const imbalance = jainImbalance(chests.map(throughChest));
      if (isLess(unevenest, imbalance)) unevenest = imbalance;
    }
    if (undecided) return { verdict: 'undecided' };
    const { imbalance } = brief.limits;
    const isUneven = imbalance !== undefined && isLess(imbalance, unevenest);
    const isSlow = limitsTrains && !keepsToTrains(worstTimes(trains), brief.limits);
    const over = isUneven ? 'imbalance' : isSlow ? 'trains' : undefined;
    const lack = plainLack(layout, terms) ?? (over === undefined ? undefined : ({ kind: 'limit', limit: over } as const));
    return lack === undefined ? { verdict: 'passes' } : { verdict: 'fails', lack, reached: 1 };
  };
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

export interface MendAnswer extends MendFinding {
  /** What the mended plan promises. */
  readonly promise: JsonObject | undefined;
}

/** A station for the same site and target, with a share of the time that is left. */
async function designedAnew(brief: Brief, { seed, shouldStop, breathe, now }: MendRequest, secondsLeft: number): Promise<Layout | undefined> {
  const { tools } = await searchTools(brief, { seed, shouldStop, breathe, now, timeLimitSeconds: Math.min(ANEW_SECONDS, secondsLeft * ANEW_SHARE) });
  const outcome = await design(brief, tools);
  return outcome.status === 'optimal' || outcome.status === 'feasible' ? outcome.layout : undefined;
}

export async function mendStation(layout: Layout, request: MendRequest): Promise<MendAnswer> {
  const { terms, now, kept = NOTHING_KEPT } = request;
  const brief = { ...terms.brief, starts: request.starts ?? terms.brief.starts };
  const seed = request.seed ?? USUAL_SEED;
  const options: StartOptions = { starts: brief.starts, seed, tickLimit: TICK_LIMIT };
  const glance = judgeOf({ ...terms, brief }, { ...options, starts: 0, tickLimit: GLANCE_TICKS });
  const until = now() + (request.timeLimitSeconds ?? Infinity) * 1000;
  const outcome = await mend(layout, brief, kept, {
    judge: judgeOf({ ...terms, brief }, options),
    glance,
    now,
    shouldStop: () => now() >= until || request.shouldStop?.() === true,
    stopCause: () => (now() >= until ? 'time-limit' : 'interrupt'),
    designAnew: () => designedAnew(brief, request, (until - now()) / 1000),
    breathe: request.breathe ?? (() => Promise.resolve()),
    onProgress: request.onProgress ?? (() => undefined),
  });
  const flowsOf = (each: Layout): PromisedFlows => leastOfAll(each, options, brief.spotting, brief.presence);
  const mended = outcome.status === 'optimal' || outcome.status === 'feasible' ? outcome.mend.layout : undefined;
  const after = mended && flowsOf(mended);
  const lanesOf = (each: Layout): LaneFlows | undefined => {
    const lanes = laneFlows(each, runTrial(each, { ...options, presence: brief.presence }).worstStart, options);
    return anythingFlows(lanes) ? lanes : undefined;
  };
  return {
    layout,
    brief,
    outcome,
    before: flowsOf(layout),
    after,
    lanesBefore: lanesOf(layout),
    lanesAfter: mended && lanesOf(mended),
    promise: mended && after && promiseFlowsJson(brief, after, seed, layoutCost(mended)),
  };
}

/** The mended plan as a document, with what it promises; undefined where there is none. */
const planOf = ({ outcome, promise }: MendAnswer): JsonObject | undefined =>
  outcome.status === 'optimal' || outcome.status === 'feasible' ? (writePlan(outcome.mend.layout, promise) as JsonObject) : undefined;

export const mendDocument = (answer: MendAnswer): JsonObject => mendJson(answer, planOf(answer));

export { mendText as mendReport } from '../report/mend-text.js';
export { mendPage } from '../report/page/mend-page.js';
export { mendSvg } from '../report/svg/mend-svg.js';
