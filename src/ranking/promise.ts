/**
 * What a plan promises under `result`, and whether a trial of it finds less. A promise names the
 * flow of every exit, lane by lane, perhaps that of all together, and how many starts it holds for; flows
 * above it keep it.
 */
import type { Heading, Tile } from '../base/geometry.js';
import { fillsUp, runsDry } from '../base/chest-rates.js';
import { isLess, ZERO, type Rational } from '../base/rational.js';
import type { TrialResult } from '../simulation/trial-result.js';

export interface PromisedExit {
  readonly at: Tile;
  readonly heading: Heading;
  /** Items per tick. */
  readonly flow: Rational;
  readonly left: Rational;
  readonly right: Rational;
}

export interface PromisedWagon {
  /** The least x that it covers. */
  readonly at: number;
  /** Items per tick that get into it in the long run. */
  readonly inflow: Rational;
}

/** Least flows over all starts, in items per tick. */
export interface PromisedFlows {
  /** Of a plan that has entries. */
  readonly wagons?: readonly PromisedWagon[] | undefined;
  readonly exits: readonly PromisedExit[];
  readonly together: Rational;
}

export interface PlanPromise {
  readonly exits: readonly PromisedExit[];
  /** Undefined where nothing is promised of what gets into wagons. */
  readonly wagons?: readonly PromisedWagon[] | undefined;
  /** Of all exits together, in items per tick; undefined where nothing is promised of them. */
  readonly together: Rational | undefined;
  readonly cost: number;
  /** Staggered starts, besides the standard one, from which the flows hold. */
  readonly starts: number;
  readonly seed: number;
  /** Share of time in which a wagon stands there. */
  readonly presence: Rational;
  /** Tiles by which the wagons may stop short or far. */
  readonly spotting: number;
}

export type Breach =
  | { readonly kind: 'exit-missing'; readonly at: Tile; readonly heading: Heading }
  | {
      readonly kind: 'flow-below';
      readonly at: Tile;
      readonly heading: Heading;
      readonly lane: 'left' | 'right' | 'both';
      readonly promised: Rational;
      readonly found: Rational;
    }
  | { readonly kind: 'sum-below'; readonly promised: Rational; readonly found: Rational }
  | { readonly kind: 'wagon-below'; readonly at: number; readonly promised: Rational; readonly found: Rational }
  | { readonly kind: 'chest-fills-up'; readonly at: Tile; readonly inflow: Rational; readonly carryOff: Rational }
  | { readonly kind: 'cost-differs'; readonly promised: number; readonly found: number }
  | { readonly kind: 'chest-runs-dry'; readonly at: Tile; readonly outflow: Rational; readonly supply: Rational }
  | { readonly kind: 'unproven' };

/**
 * Everything in which a plan falls short of its promise; empty when the promise is kept. `found` are the
 * least flows over all starts; chests have to keep up from each of them.
 */
export function breachesOf(promise: PlanPromise, found: PromisedFlows, trial: Pick<TrialResult, 'cost' | 'exact' | 'chests'>): readonly Breach[] {
  const breaches: Breach[] = [];
  for (const { at, heading, flow, left, right } of promise.exits) {
    const exit = found.exits.find((each) => each.heading === heading && each.at.x === at.x && each.at.y === at.y);
    if (exit === undefined) {
      breaches.push({ kind: 'exit-missing', at, heading });
      continue;
    }
    const lanes = [
      ['both', flow, exit.flow],
      ['left', left, exit.left],
      ['right', right, exit.right],
    ] as const;
    for (const [lane, promised, given] of lanes) {
      if (isLess(given, promised)) breaches.push({ kind: 'flow-below', at, heading, lane, promised, found: given });
    }
  }
  if (promise.together !== undefined && isLess(found.together, promise.together)) {
    breaches.push({ kind: 'sum-below', promised: promise.together, found: found.together });
  }
  for (const { at, inflow } of promise.wagons ?? []) {
    const into = found.wagons?.find((wagon) => wagon.at === at)?.inflow ?? ZERO;
    if (isLess(into, inflow)) breaches.push({ kind: 'wagon-below', at, promised: inflow, found: into });
  }
  if (trial.cost !== promise.cost) breaches.push({ kind: 'cost-differs', promised: promise.cost, found: trial.cost });
  for (const chest of trial.chests) {
    const { at, outflow, supply, loads } = chest;
    if (loads !== undefined && fillsUp(chest, promise.presence)) breaches.push({ kind: 'chest-fills-up', at, inflow: loads.inflow, carryOff: loads.carryOff.mul(promise.presence) });
    if (runsDry(chest, promise.presence)) breaches.push({ kind: 'chest-runs-dry', at, outflow, supply: supply.mul(promise.presence) });
  }
  if (!trial.exact) breaches.push({ kind: 'unproven' });
  return breaches;
}
