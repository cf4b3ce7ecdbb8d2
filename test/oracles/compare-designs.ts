/**
 * Runs `design` on a brief and brute force up to the cost that it found, and says where the two differ. Plans of the
 * space for which `design` claims to be complete are told from those outside it: only the former speak against it.
 */
import { ZERO } from '../../src/base/rational.js';
import { askedFill } from '../../src/brief/asked-fill.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { footprint, layoutCost, partCount, type Layout } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import type { Brief } from '../../src/brief/brief.js';
import type { IntegerSolver } from '../../src/program/solver.js';
import { verifyTargets, type Verification } from '../../src/simulation/verify.js';
import { design } from '../../src/synthesis/design.js';
import type { DesignOutcome } from '../../src/synthesis/outcome.js';
import type { Verify } from '../../src/synthesis/verifier.js';
import { trainTimes } from '../../src/tasks/train-times.js';
import { everyPlan, flowKey, type Enumeration } from './brute-force.js';

/** Short, so that plans of very long periods count as undecided instead of taking all the time. */
const TICK_LIMIT = 60_000;
const SEED = 1;

const verificationThere = (layout: Layout, brief: Brief, flowsAlone: boolean): Verification =>
  verifyTargets(
    layout,
    brief.exits.map(({ target }, exit) => ({ exit, ...target })),
    {
      starts: brief.starts,
      seed: SEED,
      tickLimit: TICK_LIMIT,
      presence: brief.presence,
      together: brief.together,
      exceed: brief.exceed,
      chestsCount: !flowsAlone,
    },
  );

/** Wherever the wagons may stop: the first place that fails, else the one where the least passes. */
export function verification(layout: Layout, brief: Brief, flowsAlone = false): Verification {
  const places = Array.from({ length: 2 * brief.spotting + 1 }, (_, place) => {
    const wagons = layout.wagons.map((wagon) => ({ ...wagon, at: wagon.at + place - brief.spotting }));
    return verificationThere({ ...layout, wagons }, brief, flowsAlone);
  });
  return places.find(({ passes }) => !passes) ?? places.reduce((least, other) => ((other.share ?? ZERO).compare(least.share ?? ZERO) < 0 ? other : least));
}

/** The verifier that the search is handed. */
export const witnessOf: Verify = (layout, brief, flowsAlone) => {
  const found = verification(layout, brief, flowsAlone);
  const { passes, failure, chests, share } = found;
  const trains = flowsAlone === true ? undefined : trainTimes(layout, found);
  if (passes) return { verdict: 'passes', chestOutflows: chests.map(({ outflow }) => outflow), fill: askedFill(brief).mul(share ?? ZERO), trains };
  return { verdict: failure?.kind === 'unproven' ? 'undecided' : 'fails' };
};

/** `design` as the pipeline calls it. */
export function designFor(brief: Brief, solver: IntegerSolver, timeLimitSeconds = 60, verify: Verify = witnessOf): Promise<DesignOutcome> {
  const startedAt = performance.now();
  return design(brief, {
    solver,
    now: () => performance.now(),
    shouldStop: () => performance.now() - startedAt > timeLimitSeconds * 1000,
    breathe: () => Promise.resolve(),
    onProgress: () => undefined,
    verify,
  });
}

/**
 * Whether a plan belongs to the space that `design` states: arms from wagons or chests alone, no ring, no favour, and
 * carriers that all carry an arm's items on to an exit, or are the blind half of a splitter, or an idle belt at another.
 */
export function isInStatedSpace(layout: Layout): boolean {
  const network = deriveNetwork(layout);
  const { carriers } = network;
  if (network.arms.some(({ pick }) => pick.kind === 'carrier')) return false;
  if (layout.parts.some((part) => part.kind === 'splitter' && (part.favourIn !== undefined || part.favourOut !== undefined))) {
    return false;
  }
  const mates = (index: number): readonly number[] =>
    carriers.filter(({ part }) => part === carriers[index].part).map((carrier) => carrier.index);
  const after = carriers.map(({ index }) =>
    mates(index).flatMap((half) => {
      const { next } = carriers[half];
      return next.kind === 'carrier' ? [next.carrier] : [];
    }),
  );
  const reach = (from: readonly number[]): ReadonlySet<number> => {
    const seen = new Set(from);
    for (const index of seen) for (const next of after[index]) seen.add(next);
    return seen;
  };
  const loaded = reach(network.arms.flatMap(({ place }) => (place.kind === 'carrier' ? mates(place.carrier) : [])));
  return carriers.every(({ index, kind, next }) => {
    const ahead = reach(after[index]);
    if (mates(index).some((half) => ahead.has(half))) return false;
    const leads = (own: number): boolean =>
      carriers[own].next.kind === 'exit' || [...ahead].some((later) => carriers[later].next.kind === 'exit');
    const carries = mates(index).some((half) => loaded.has(half));
    // An idle belt that faces a belt that is not; brute force gives only those that change how that one is fed.
    if (!carries) return kind === 'belt' && next.kind === 'carrier' && carriers[next.carrier].kind === 'belt' && loaded.has(next.carrier);
    // A splitter half that passes on must do so toward an exit itself; one that doesn't is blind.
    if (kind === 'splitter-half' && next.kind === 'carrier') {
      return [...reach([next.carrier])].some((later) => carriers[later].next.kind === 'exit');
    }
    return leads(index) || mates(index).some(leads);
  });
}

/** Cost, footprint, parts: the order in which the random briefs minimise. */
export type Measures = readonly [number, number, number];
export const measuresOf = (layout: Layout): Measures => [layoutCost(layout), footprint(layout), partCount(layout)];

export function compareMeasures(a: Measures, b: Measures): number {
  const differs = a.findIndex((value, index) => value !== b[index]);
  return differs < 0 ? 0 : a[differs] - b[differs];
}

export interface Passing {
  readonly layout: Layout;
  readonly measures: Measures;
}

export interface BruteForce extends Enumeration {
  /** The first by cost, footprint and parts of the plans that pass: of the stated space, and of all others. */
  readonly inside: Passing | undefined;
  readonly outside: Passing | undefined;
  readonly simulations: number;
  readonly undecided: number;
}

/** The best plans that pass, none of them after `most`. */
export function bruteForce(brief: Brief, most: Measures, mostSteps: number): BruteForce {
  let undecided = 0;
  let simulations = 0;
  /** Whether a plan's flows fail the targets, by what they depend on. */
  const failing = new Map<string, boolean>();
  const passes = (layout: Layout): boolean => {
    // Where wagons may stop short or far, it counts where along them a plan stands.
    const along = brief.spotting > 0 ? layout.exits.map(({ at }) => at.x).join() : '';
    const key = `${flowKey(layout, brief.starts > 0)} ${along}`;
    if (failing.get(key) === true) return false;
    simulations++;
    const { passes: good, failure } = verification(layout, brief);
    failing.set(key, failure?.kind === 'flow' || failure?.kind === 'sum');
    if (failure?.kind === 'unproven') undecided++;
    return good;
  };
  const within = (layout: Layout): boolean => {
    const { arms, parts, cost } = brief.limits;
    if (arms !== undefined && layout.parts.filter(({ kind }) => kind === 'arm').length > arms) return false;
    return (parts === undefined || partCount(layout) <= parts) && (cost === undefined || layoutCost(layout) <= cost);
  };
  const best: { inside: Passing | undefined; outside: Passing | undefined } = { inside: undefined, outside: undefined };
  /** Plans of the highest cost wait: most of them are never looked at. */
  const dear: { inside: Passing[]; outside: Passing[] } = { inside: [], outside: [] };
  const enumeration = everyPlan(brief, { mostCost: most[0], mostSteps }, (layout, cost) => {
    const measures = measuresOf(layout);
    if (cost !== measures[0]) throw new Error(`cost ${cost} is not ${measures[0]}`);
    if (compareMeasures(measures, most) > 0 || !within(layout)) return;
    const where = isInStatedSpace(layout) ? 'inside' : 'outside';
    if (cost === most[0]) {
      dear[where].push({ layout, measures });
      return;
    }
    const known = best[where];
    if (known !== undefined && compareMeasures(measures, known.measures) >= 0) return;
    if (passes(layout)) best[where] = { layout, measures };
  });
  for (const where of ['inside', 'outside'] as const) {
    dear[where].sort((a, b) => compareMeasures(a.measures, b.measures));
    best[where] ??= dear[where].find(({ layout }) => passes(layout));
  }
  return { ...enumeration, ...best, simulations, undecided };
}

export interface Comparison {
  readonly outcome: DesignOutcome;
  readonly brute: BruteForce | undefined;
  /** Undefined where the two agree, or where there was nothing to compare. */
  readonly difference: string | undefined;
  /** Whether brute force came to its end, so that agreement means something. */
  readonly compared: boolean;
  /** What a plan outside the stated space would save: cost, or at equal cost footprint or parts. */
  readonly outside: string | undefined;
}

export interface ComparisonLimits {
  readonly mostSteps: number;
  readonly timeLimitSeconds?: number;
}

export async function compareDesign(brief: Brief, solver: IntegerSolver, limits: ComparisonLimits): Promise<Comparison> {
  const { mostSteps, timeLimitSeconds = 60 } = limits;
  const outcome = await designFor(brief, solver, timeLimitSeconds);
  const done = (compared: boolean, brute?: BruteForce, difference?: string, outside?: string): Comparison => ({
    outcome,
    brute,
    difference,
    compared,
    outside,
  });
  if (outcome.status === 'infeasible') {
    const brute = upToWork(brief, mostSteps);
    if (brute?.inside !== undefined) {
      return done(true, brute, `said to be infeasible, brute force ${brute.inside.measures.join(', ')}`);
    }
    return done(brute !== undefined, brute, undefined, brute?.outside?.measures.join(', '));
  }
  if (outcome.status !== 'optimal') return done(false);
  const { layout, proof } = outcome;
  const claimed = measuresOf(layout);
  const errors = checkLegality(layout).filter(({ severity }) => severity === 'error');
  if (errors.length > 0) return done(true, undefined, `the design is not legal: ${JSON.stringify(errors)}`);
  if (!isInStatedSpace(layout)) return done(true, undefined, 'the design is outside the stated space');
  if (proof.cost !== claimed[0] || proof.bound !== claimed[0]) {
    return done(true, undefined, `the layout costs ${claimed[0]}, the proof says ${proof.bound} to ${proof.cost}`);
  }
  if (!verification(layout, brief).passes) return done(true, undefined, 'the design does not pass');
  const brute = bruteForce(brief, claimed, mostSteps);
  const outside =
    brute.outside !== undefined && compareMeasures(brute.outside.measures, claimed) < 0
      ? `${claimed.join(', ')}, outside the space ${brute.outside.measures.join(', ')}`
      : undefined;
  if (brute.inside === undefined) {
    if (!brute.complete) return done(false, brute, undefined, outside);
    return done(true, brute, 'brute force finds neither the design nor its like', outside);
  }
  if (compareMeasures(brute.inside.measures, claimed) < 0) {
    return done(true, brute, `the design has ${claimed.join(', ')}, brute force ${brute.inside.measures.join(', ')}`, outside);
  }
  return done(brute.complete, brute, undefined, outside);
}

/** Brute force up to the highest cost (by halves more each time) that the work allows; undefined if none. */
function upToWork(brief: Brief, mostSteps: number): BruteForce | undefined {
  let last: BruteForce | undefined;
  for (let cost = 8; cost < 100; cost = Math.ceil(cost * 1.5)) {
    const most = Math.min(cost, brief.limits.cost ?? cost);
    const brute = bruteForce(brief, [most, Infinity, Infinity], mostSteps);
    if (!brute.complete) return brute.inside === undefined ? last : brute;
    last = brute;
    if (brute.inside !== undefined || most < cost) return brute;
  }
  return last;
}
