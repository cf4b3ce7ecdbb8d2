/**
 * The quick answer that a design of a loading station needs: does what comes in get into wagons as asked, from every
 * start, and do its chests keep up? Stops at the first start that fails. The full account is in `trial.ts`.
 */
import { isLess, minRational, sumRational, ZERO, type Rational } from '../base/rational.js';
import { jainImbalance } from '../base/jain.js';
import type { Layout } from '../layout/layout.js';
import { compileLayout } from './compile.js';
import { carriedOff, wagonFlows } from './loading-flows.js';
import { Starts, type StartOptions } from './starts.js';
import type { Settled } from './steady-state.js';
import { armFlows, chestFlows, throughChest, type ChestFlow } from './supply.js';

/** Least flows in items per tick, in the order of the layout's entries and wagons. */
interface LoadingTargets {
  readonly entries: readonly Rational[];
  readonly wagons: readonly Rational[];
  readonly together: Rational;
}

interface VerifyLoadingOptions extends StartOptions {
  /** Share of time in which a wagon stands there. */
  readonly presence: Rational;
  /** Whether all that is asked is to be exceeded. */
  readonly exceed: boolean;
}

export type LoadingFailure =
  /** Arms take too little from what comes in over one of the layout's entries. */
  | { readonly kind: 'entry'; readonly entry: number }
  /** All wagons get too little. */
  | { readonly kind: 'together' }
  | { readonly kind: 'wagon'; readonly wagon: number }
  /** A chest (of the layout's parts) is given more than can be carried off, or less than is drawn from it. */
  | { readonly kind: 'chest'; readonly part: number }
  /** A start did not repeat. */
  | { readonly kind: 'unproven' };

interface LoadingVerification {
  /** Why it fails, if it does. */
  readonly failure: LoadingFailure | undefined;
  /** The one that failed, or the last one. */
  readonly start: number;
  /** By how much all targets could be multiplied and still be met from every start, or where it fails from that one; undefined where nothing is asked. */
  readonly share: Rational | undefined;
  /** What goes through the chests, from the start in which they are least even. */
  readonly throughChests: readonly Rational[];
  /** Of the start from which wagons get least in all: items per tick that arms of the network take, and what chests do. */
  readonly worst: { readonly arms: readonly Rational[]; readonly chests: readonly ChestFlow[] } | undefined;
}

/** The least share of anything asked that is there. */
function shareGiven(carried: readonly Rational[], into: readonly Rational[], { entries, wagons, together }: LoadingTargets): Rational | undefined {
  const pairs = [...carried.map((flow, entry) => [flow, entries[entry]]), ...into.map((flow, wagon) => [flow, wagons[wagon]]), [sumRational(into), together]];
  const shares = pairs.flatMap(([flow, asked]) => (asked.equals(ZERO) ? [] : [flow.div(asked)]));
  return shares.length === 0 ? undefined : shares.reduce(minRational);
}

const sameOrbits = (a: readonly Settled[], b: readonly Settled[]): boolean => a.every(({ orbit }, index) => orbit === b[index].orbit);

export function verifyLoading(layout: Layout, targets: LoadingTargets, options: VerifyLoadingOptions): LoadingVerification {
  const program = compileLayout(layout);
  const starts = new Starts(program, options);
  const { presence, exceed } = options;
  const isShort = (flow: Rational, asked: Rational): boolean => (exceed && isLess(ZERO, asked) ? !isLess(asked, flow) : isLess(flow, asked));
  const seen: (readonly Settled[])[] = [];
  let share: Rational | undefined;
  let throughChests: readonly Rational[] | undefined;
  let worst: (LoadingVerification['worst'] & { readonly into: Rational }) | undefined;
  for (let start = 0; start <= options.starts; start++) {
    const settled = starts.settle(start);
    if (seen.some((known) => sameOrbits(known, settled))) continue;
    seen.push(settled);
    const carried = carriedOff(program, settled, presence);
    // Chests that keep up pass on all that they are given.
    const into = wagonFlows(program, settled, presence);
    const given = (): Rational | undefined => shareGiven(carried, into, targets);
    const fails = (failure: LoadingFailure): LoadingVerification => ({ failure, start, share: given(), throughChests: [], worst: undefined });
    if (settled.some(({ orbit }) => !orbit.exact)) return fails({ kind: 'unproven' });
    const short = carried.findIndex((flow, entry) => isShort(flow, targets.entries[entry]));
    if (short >= 0) return fails({ kind: 'entry', entry: short });
    const chests = chestFlows(program, settled, presence);
    const full = chests.find(({ keepsUp }) => !keepsUp);
    if (full !== undefined) return fails({ kind: 'chest', part: full.part });
    const sum = sumRational(into);
    if (isShort(sum, targets.together)) return fails({ kind: 'together' });
    const least = into.findIndex((flow, wagon) => isShort(flow, targets.wagons[wagon]));
    if (least >= 0) return fails({ kind: 'wagon', wagon: least });
    const through = chests.map(throughChest);
    if (throughChests === undefined || isLess(jainImbalance(throughChests), jainImbalance(through))) throughChests = through;
    if (worst === undefined || isLess(sum, worst.into)) worst = { arms: armFlows(program, settled), chests, into: sum };
    const own = given();
    if (own !== undefined) share = minRational(share ?? own, own);
  }
  options.kept?.keep(starts);
  return { failure: undefined, start: options.starts, share, throughChests: throughChests ?? [], worst };
}
