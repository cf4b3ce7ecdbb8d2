/**
 * What a layout can promise: the least flow of every exit, lane by lane, and of all exits together, over all
 * starts. The worst start of `trial.ts` is that of the worst exit; another exit, one lane, or the sum, may do
 * worse from another start.
 */
import { minRational, ratio, ZERO, type Rational } from '../base/rational.js';
import type { Layout } from '../layout/layout.js';
import { startsOf, type StartOptions } from './starts.js';
import { flowTogether, type ExitFlow } from './verify.js';

interface LeastFlows {
  /** In the order of the layout's exits, in items per tick. */
  readonly exits: readonly ExitFlow[];
  /** Of their sum, from any one start: no less than the sum of their leasts. */
  readonly together: Rational;
  /** Whether every start has repeated. */
  readonly exact: boolean;
}

export function leastFlows(layout: Layout, options: StartOptions): LeastFlows {
  const starts = startsOf(layout, options);
  const { program } = starts;
  const least = new Map<number, ExitFlow>();
  let together: Rational | undefined;
  let allExact = true;
  // What is unproven is no promise, so the starts after it don't matter.
  for (let start = 0; start <= options.starts && allExact; start++) {
    const settled = starts.settle(start);
    allExact = settled.every(({ orbit }) => orbit.exact);
    const sum = flowTogether(program, settled);
    together = minRational(together ?? sum, sum);
    program.pieces.forEach((piece, index) => {
      const { exitCount, periodTicks } = settled[index].orbit;
      piece.exits.forEach((exit, local) => {
        const left = ratio(exitCount[local * 2], periodTicks);
        const right = ratio(exitCount[local * 2 + 1], periodTicks);
        const flow = left.add(right);
        const before = least.get(exit) ?? { flow, left, right };
        least.set(exit, {
          flow: minRational(before.flow, flow),
          left: minRational(before.left, left),
          right: minRational(before.right, right),
        });
      });
    });
  }
  options.kept?.keep(starts);
  const exits = layout.exits.map((_, exit) => least.get(exit) ?? { flow: ZERO, left: ZERO, right: ZERO });
  return { exits, together: together ?? ZERO, exact: allExact };
}
