/**
 * The quick answer that a design loop needs: does a layout meet its exits' targets, and one for all of them
 * together, from every start, and do its chests keep up? Stops at the first start that fails. The full account is in `trial.ts`.
 */
import { isLess, minRational, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import { wholeProduct } from '../base/whole.js';
import type { Layout } from '../layout/layout.js';
import { deriveNetwork } from '../layout/network.js';
import { compileNetwork, type Program } from './compile.js';
import { earlyFailure, rememberedFailure } from './early-verdict.js';
import { fractionIsLess, fractionOf, isShort, type ExitTarget, type Fraction, type VerifyFailure, type VerifyOptions, type WholeTarget } from './verify-terms.js';
import { Starts } from './starts.js';
import type { Settled } from './steady-state.js';
import { armFlows, chestFlows, type ChestFlow } from './supply.js';

export interface ExitFlow {
  readonly flow: Rational;
  readonly left: Rational;
  readonly right: Rational;
}

export interface Verification {
  /** Every start, proven, meets every target, and all chests keep up. */
  readonly passes: boolean;
  readonly failure: VerifyFailure | undefined;
  /** Whether every start that was run has repeated. */
  readonly exact: boolean;
  readonly keepsUp: boolean;
  /** By what all targets could be multiplied and still be met from every start; undefined where some start failed, or nothing is asked. */
  readonly share: Rational | undefined;
  /** Starts run, the standard one included. */
  readonly startsRun: number;
  /** The start that failed, or else the one whose least fill is least; what follows is from it. */
  readonly worstStart: number;
  readonly transientTicks: number;
  /** Of each piece of the layout that has arms. */
  readonly periodTicks: readonly number[];
  readonly exits: readonly ExitFlow[];
  readonly chests: readonly ChestFlow[];
  /** Items per tick that each arm takes, in the order of the layout's network. */
  readonly arms: readonly Rational[];
}

/** Counts of one exit in the period of its piece. */
interface ExitCounts {
  readonly left: number;
  readonly right: number;
  readonly ticks: number;
  readonly speed: number;
  /** Whether its piece has repeated; otherwise the counts are merely measured. */
  readonly exact: boolean;
}

function exitCounts(program: Program, settled: readonly Settled[]): readonly (ExitCounts | undefined)[] {
  const counts: (ExitCounts | undefined)[] = program.layout.exits.map(() => undefined);
  program.pieces.forEach((piece, index) => {
    const { orbit } = settled[index];
    piece.exits.forEach((exit, local) => {
      const [left, right] = [orbit.exitCount[local * 2], orbit.exitCount[local * 2 + 1]];
      counts[exit] = { left, right, ticks: orbit.periodTicks, speed: piece.machine.exitSpeed[local], exact: orbit.exact };
    });
  });
  return counts;
}

/** The least over the exits of flow / speed: fill is this times half the pitch. */
export function leastFill(program: Program, settled: readonly Settled[]): Fraction {
  let least: Fraction | undefined;
  for (const counts of exitCounts(program, settled)) {
    const fill: Fraction = counts === undefined ? [0, 1] : [counts.left + counts.right, wholeProduct(counts.ticks, counts.speed)];
    if (least === undefined || fractionIsLess(fill, least)) least = fill;
  }
  return least ?? [0, 1];
}

/** The first exit that misses its target, those of pieces that have repeated before others. */
function missedExit(
  program: Program,
  settled: readonly Settled[],
  targets: readonly WholeTarget[],
  exceed: boolean,
): { readonly exit: number; readonly exact: boolean } | undefined {
  const counts = exitCounts(program, settled);
  const missed = targets.flatMap(({ exit, total, left, right }) => {
    const { left: onLeft, right: onRight, ticks, exact } = counts[exit] ?? { left: 0, right: 0, ticks: 1, exact: true };
    const short =
      isShort([onLeft + onRight, ticks], total, exceed) || isShort([onLeft, ticks], left, exceed) || isShort([onRight, ticks], right, exceed);
    return short ? [{ exit, exact }] : [];
  });
  return missed.find(({ exact }) => exact) ?? missed[0];
}

function exitFlows(program: Program, settled: readonly Settled[]): readonly ExitFlow[] {
  return exitCounts(program, settled).map((counts) => {
    if (counts === undefined) return { flow: ZERO, left: ZERO, right: ZERO };
    const { left, right, ticks } = counts;
    return { flow: ratio(left + right, ticks), left: ratio(left, ticks), right: ratio(right, ticks) };
  });
}

/** Of all exits, in items per tick; some of it merely measured unless every piece has repeated. */
export const flowTogether = (program: Program, settled: readonly Settled[]): Rational =>
  sumRational(exitFlows(program, settled).map(({ flow }) => flow));

/** The least, over all that is asked, of flow / target. */
function shareOf(program: Program, settled: readonly Settled[], targets: readonly ExitTarget[], together: Rational | undefined): Rational | undefined {
  const flows = exitFlows(program, settled);
  const pairs = targets.flatMap(({ exit, total, left, right }) => [[flows[exit].flow, total], [flows[exit].left, left], [flows[exit].right, right]]);
  if (together !== undefined) pairs.push([flowTogether(program, settled), together]);
  const shares = pairs.flatMap(([flow, asked]) => (asked.equals(ZERO) ? [] : [flow.div(asked)]));
  return shares.length === 0 ? undefined : shares.reduce(minRational);
}

const isSumShort = (sum: Rational, asked: Rational, exceed: boolean): boolean => (exceed && isLess(ZERO, asked) ? !isLess(asked, sum) : isLess(sum, asked));

const sameOrbits = (a: readonly Settled[], b: readonly Settled[]): boolean =>
  a.every(({ orbit }, index) => orbit === b[index].orbit);

/** What is told of a layout that is known to fail by one of its strands. */
const failedEarly = (failure: VerifyFailure): Verification => ({
  passes: false,
  failure,
  exact: true,
  keepsUp: failure.kind !== 'supply',
  share: undefined,
  startsRun: failure.start + 1,
  worstStart: failure.start,
  transientTicks: 0,
  periodTicks: [],
  exits: [],
  chests: [],
  arms: [],
});

export function verifyTargets(
  layout: Layout,
  targets: readonly ExitTarget[],
  options: VerifyOptions,
): Verification {
  const wholeTargets = targets.map(({ exit, total, left, right }) => ({
    exit,
    total: fractionOf(total),
    left: fractionOf(left),
    right: fractionOf(right),
  }));
  const network = deriveNetwork(layout);
  const known = options.verdictOnly === true ? options.memory?.strandsOf(layout, network) : undefined;
  const remembered = known && rememberedFailure(layout, network, known, wholeTargets, options);
  if (remembered !== undefined) return failedEarly(remembered);
  const program = compileNetwork(layout, network);
  const starts = new Starts(program, options, known);
  const exceed = options.exceed === true;
  const seen: (readonly Settled[])[] = [];
  let worst: { readonly start: number; readonly settled: readonly Settled[]; readonly fill: Fraction } | undefined;
  let failure: VerifyFailure | undefined;
  let share: Rational | undefined;
  let start = 0;
  for (; start <= options.starts && failure === undefined; start++) {
    if (options.verdictOnly === true) {
      failure = earlyFailure(starts, start, wholeTargets, options);
      if (failure !== undefined) return failedEarly(failure);
    }
    const settled = starts.settle(start);
    if (seen.some((known) => sameOrbits(known, settled))) continue;
    seen.push(settled);
    const missed = missedExit(program, settled, wholeTargets, exceed);
    // A flow that is merely measured proves nothing, not even that it is too small.
    if (missed?.exact === true) failure = { kind: 'flow', exit: missed.exit, start };
    else if (settled.some(({ orbit }) => !orbit.exact)) failure = { kind: 'unproven', start };
    else if (options.together !== undefined && isSumShort(flowTogether(program, settled), options.together, exceed)) failure = { kind: 'sum', start };
    else {
      const short = options.chestsCount === false ? undefined : chestFlows(program, settled, options.presence).find((chest) => !chest.keepsUp);
      if (short !== undefined) failure = { kind: 'supply', part: short.part, start };
    }
    if (failure === undefined) {
      const found = shareOf(program, settled, targets, options.together);
      share = share === undefined || found === undefined ? found : minRational(share, found);
    }
    const fill = leastFill(program, settled);
    if (worst === undefined || failure !== undefined || fractionIsLess(fill, worst.fill)) worst = { start, settled, fill };
  }
  // Networks alone are told to nobody.
  if (failure === undefined && options.chestsCount !== false) options.kept?.keep(starts);
  const shown = worst?.settled ?? [];
  const chests = chestFlows(program, shown, options.presence);
  return {
    passes: failure === undefined,
    failure,
    exact: seen.every((settled) => settled.every(({ orbit }) => orbit.exact)),
    keepsUp: chests.every((chest) => chest.keepsUp),
    share: failure === undefined ? share : undefined,
    startsRun: start,
    worstStart: worst?.start ?? 0,
    transientTicks: Math.max(0, ...shown.map(({ transientTicks }) => transientTicks)),
    periodTicks: shown.filter((_, index) => program.pieces[index].arms.length > 0).map(({ orbit }) => orbit.periodTicks),
    exits: exitFlows(program, shown),
    chests,
    arms: armFlows(program, shown),
  };
}
