/**
 * Whether a layout gives what a plan that is mended is held against, by the simulator and wherever the wagons may stop; and if
 * not, in what it falls short.
 */
import { jainImbalance } from '../base/jain.js';
import { compare, isLess, ZERO, type Rational } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import type { LoadJob } from '../brief/load-job.js';
import { layoutCost, partCount, type Layout } from '../layout/layout.js';
import type { TrainTimes } from '../layout/measure.js';
import { deriveNetwork, type ArmLink } from '../layout/network.js';
import { spotted } from '../layout/spotting.js';
import type { StartOptions } from '../simulation/starts.js';
import { throughChest } from '../simulation/supply.js';
import { verifyTargets, type Verification } from '../simulation/verify.js';
import { verifyLoading, type LoadingFailure } from '../simulation/verify-loading.js';
import { wantedFlows } from '../synthesis/loading/loading-demand.js';
import type { MendWitness } from '../synthesis/repair/mend-outcome.js';
import type { Lack } from '../synthesis/repair/mend-relevance.js';
import { keepsToTrainLimits } from '../synthesis/site/train-bounds.js';
import type { MendTerms } from './mend-terms.js';
import { trainTimes, worstTimes } from './train-times.js';

/** Whether an arm draws from what it may not. Where wagons are filled none takes from one, or the job would be another. */
const drawsAmiss = ({ pick, place }: ArmLink, { feed, load }: Brief): boolean => {
  if (load === undefined) return place.kind === 'carrier' && ((feed === 'chests' && pick.kind === 'wagon') || (feed === 'direct' && pick.kind === 'chest'));
  if (pick.kind === 'wagon') return place.kind !== 'nothing';
  return place.kind === 'wagon' && ((feed === 'chests' && pick.kind === 'carrier') || (feed === 'direct' && pick.kind === 'chest'));
};

/** The first belt that leaves, or carrier onto which one comes in, of another model than the brief names. */
function wrongBelt(layout: Layout, { exits, load }: Brief): Lack | undefined {
  const { carriers } = deriveNetwork(layout);
  const isOther = (carrier: { readonly part: number } | undefined, name: string): boolean => carrier !== undefined && layout.parts[carrier.part].model.name !== name;
  if (load !== undefined) {
    const entry = load.entries.findIndex(({ belt }, index) => isOther(carriers.find((carrier) => carrier.entry === index), belt.name));
    return entry < 0 ? undefined : { kind: 'entry-belt', entry };
  }
  const exit = exits.findIndex(({ belt }, index) => isOther(carriers.find(({ next }) => next.kind === 'exit' && next.exit === index), belt.name));
  return exit < 0 ? undefined : { kind: 'belt', exit };
}

/** What falls short, the simulator apart; undefined if nothing does. */
function plainLack(layout: Layout, { brief, beltsCount }: MendTerms): Lack | undefined {
  const unfed = deriveNetwork(layout).arms.find((link) => drawsAmiss(link, brief));
  if (unfed !== undefined) return { kind: 'feed', part: unfed.part };
  const wrong = beltsCount ? wrongBelt(layout, brief) : undefined;
  if (wrong !== undefined) return wrong;
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

/** What the simulator says of a layout with its wagons where they stand. */
type Found =
  | { readonly kind: 'fails'; readonly lack: Lack; readonly reached: number }
  | { readonly kind: 'undecided' }
  | { readonly kind: 'passes'; readonly throughChests: readonly Rational[]; readonly trains: TrainTimes | undefined };

type Try = (stands: Layout) => Found;

/** Where wagons stop short or far, other arms may take from them than as planned. */
function takerAmiss(stands: Layout, brief: Brief): Found | undefined {
  const taker = deriveNetwork(stands).arms.find((link) => link.pick.kind === 'wagon' && drawsAmiss(link, brief));
  return taker && { kind: 'fails', lack: { kind: 'feed', part: taker.part }, reached: 0 };
}

function tryUnloading(brief: Brief, options: StartOptions): Try {
  const targets = brief.exits.map(({ target }, exit) => ({ exit, ...target }));
  return (stands) => {
    const taker = brief.spotting > 0 ? takerAmiss(stands, brief) : undefined;
    if (taker !== undefined) return taker;
    const found = verifyTargets(stands, targets, { ...options, presence: brief.presence, together: brief.together, exceed: brief.exceed });
    const { passes, failure, chests } = found;
    if (failure !== undefined && failure.kind !== 'unproven') {
      const { start: _start, ...lack } = failure;
      return { kind: 'fails', lack, reached: reachedOf(found, brief) };
    }
    return passes ? { kind: 'passes', throughChests: chests.map(throughChest), trains: trainTimes(stands, found) } : { kind: 'undecided' };
  };
}

function lackOf(failure: Exclude<LoadingFailure, { readonly kind: 'unproven' }>): Lack {
  switch (failure.kind) {
    case 'entry':
      return failure;
    case 'chest':
      return { kind: 'supply', part: failure.part };
    case 'together':
    case 'wagon':
      return { kind: 'wagons' };
  }
}

function tryLoading(brief: Brief, job: LoadJob, options: StartOptions): Try {
  const targets = wantedFlows(job, brief);
  const { presence, exceed = false } = brief;
  return (stands) => {
    const taker = takerAmiss(stands, brief);
    if (taker !== undefined) return taker;
    const { failure, share, throughChests, worst } = verifyLoading(stands, targets, { ...options, presence, exceed });
    if (failure?.kind === 'unproven') return { kind: 'undecided' };
    if (failure !== undefined) return { kind: 'fails', lack: lackOf(failure), reached: Math.min(1, share?.valueOf() ?? 1) };
    return { kind: 'passes', throughChests, trains: worst && trainTimes(stands, worst) };
  };
}

/** Judges layouts by the simulator, wherever the wagons may stop. */
export function judgeOf(terms: MendTerms, options: StartOptions): (layout: Layout) => MendWitness {
  const { brief } = terms;
  const { imbalance } = brief.limits;
  const tried = brief.load === undefined ? tryUnloading(brief, options) : tryLoading(brief, brief.load, options);
  return (layout) => {
    let undecided = false;
    let unevenest = ZERO;
    const trains: (TrainTimes | undefined)[] = [];
    for (const stands of spotted(layout, brief.spotting)) {
      const found = tried(stands);
      if (found.kind === 'fails') return { verdict: 'fails', lack: found.lack, reached: found.reached };
      if (found.kind === 'undecided') {
        undecided = true;
        continue;
      }
      trains.push(found.trains);
      const uneven = jainImbalance(found.throughChests);
      if (isLess(unevenest, uneven)) unevenest = uneven;
    }
    if (undecided) return { verdict: 'undecided' };
    const isUneven = imbalance !== undefined && isLess(imbalance, unevenest);
    const isSlow = !keepsToTrainLimits(brief, worstTimes(trains));
    const over = isUneven ? 'imbalance' : isSlow ? 'trains' : undefined;
    const lack = plainLack(layout, terms) ?? (over === undefined ? undefined : ({ kind: 'limit', limit: over } as const));
    return lack === undefined ? { verdict: 'passes' } : { verdict: 'fails', lack, reached: 1 };
  };
}
