/**
 * Tries every single change of a layout and keeps the best, for `why-station.ts` and `why-loading.ts`.
 */
import type { TriedChange } from '../audit/cause.js';
import { compare, ONE, ZERO, type Rational } from '../base/rational.js';
import { unlessStopped, type ShouldStop } from '../base/run-stopped.js';
import { layoutCost, type Layout } from '../layout/layout.js';
import { singleChanges } from '../layout/single-change.js';
import { runTrial } from '../simulation/trial.js';
import type { TrialResult } from '../simulation/trial-result.js';

/** A changed layout that has not repeated by then is not counted: its gain would be no exact number. */
export const CHANGE_TICK_LIMIT = 100_000;

/** How changes are tried. */
export interface ChangeTerms {
  readonly starts: number;
  readonly seed: number;
  /** Share of time in which a wagon stands there; 1 if left out. */
  readonly presence?: Rational | undefined;
  /** Asked now and then; once true, no more changes are tried, and before that `RunStopped` is thrown, for nothing is known. */
  readonly shouldStop?: ShouldStop;
}

/** How many of the best changes are told. */
const CHANGES_TOLD = 5;

/** The least flow of a layout from the standard start and so many staggered ones. */
type LeastFlow = (layout: Layout, starts: number) => { readonly flow: Rational; readonly exact: boolean };

interface BestChanges {
  /** The best first; only those that gain. */
  readonly changes: readonly TriedChange[];
  readonly tried: number;
  /** Changes whose simulation came to no exact end, or for which there was no time. */
  readonly untried: number;
}

/** A changed layout, from the standard start and so many staggered ones. */
export const tryChange = (changed: Layout, starts: number, { seed, presence = ONE, shouldStop }: ChangeTerms): TrialResult =>
  runTrial(changed, { starts, seed, tickLimit: CHANGE_TICK_LIMIT, presence, shouldStop });

/** Exactly: none that was left out, but for those counted as untried, gains more than these. `now` is the flow that there is. */
export function bestChanges(layout: Layout, now: Rational, terms: ChangeTerms, leastFlow: LeastFlow): BestChanges {
  const { starts, shouldStop } = terms;
  let untried = 0;
  const flowOf = (changed: Layout, count: number): Rational | undefined => {
    const found = shouldStop?.() === true ? undefined : unlessStopped(() => leastFlow(changed, count));
    if (found?.exact === true) return found.flow;
    untried += 1;
    return undefined;
  };
  const all = singleChanges(layout);
  const promising = all
    .flatMap((changed) => {
      const flow = flowOf(changed.layout, 0);
      return flow === undefined ? [] : [{ changed, bound: flow.sub(now) }];
    })
    .filter(({ bound }) => compare(bound, ZERO) > 0)
    .sort((a, b) => compare(b.bound, a.bound));
  const best: TriedChange[] = [];
  for (const { changed, bound } of promising) {
    // No start gives more than the least of all starts, so the rest gains no more than its bound.
    const last = best.at(CHANGES_TOLD - 1);
    if (last !== undefined && compare(bound, last.gain) <= 0) break;
    const gain = flowOf(changed.layout, starts)?.sub(now);
    if (gain === undefined || compare(gain, ZERO) <= 0) continue;
    const trial = unlessStopped(() => tryChange(changed.layout, starts, terms));
    if (trial === undefined) {
      untried += 1;
      continue;
    }
    best.push({ ...changed, gain, cost: layoutCost(changed.layout), chestsKeepUp: trial.chests.every(({ keepsUp }) => keepsUp) });
    best.sort((a, b) => compare(b.gain, a.gain) || a.cost - b.cost);
    best.splice(CHANGES_TOLD);
  }
  return { changes: best, tried: all.length - untried, untried };
}
