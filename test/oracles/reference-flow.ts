/**
 * The exact flow of a whole layout by the reference simulator, which waits until a whole state comes back.
 */
import type { Heading, Tile } from '../../src/base/geometry.js';
import { ratio, type Rational } from '../../src/base/rational.js';
import { referenceRun, type ReferenceRun } from '../../src/audit/reference-simulator.js';
import type { Layout } from '../../src/layout/layout.js';

type Counts = ReturnType<ReferenceRun['counts']>;

/** Items counted over `ticks` ticks from the standard start. */
export function referenceCounts(layout: Layout, ticks: number, holdBackTicks: readonly number[] = []): Counts {
  const run = referenceRun(layout, holdBackTicks);
  for (let tick = 0; tick < ticks; tick += 1) run.step();
  return run.counts();
}

interface ReferenceLane {
  /** Items per tick. */
  readonly flow: Rational;
  /** Units; undefined where no item leaves, or where the flow is not exact. */
  readonly greatestGap: number | undefined;
}

interface ReferenceFlow {
  /** Whether the state repeated within the limit; otherwise flows are merely measured over the whole run. */
  readonly exact: boolean;
  readonly transientTicks: number;
  readonly periodTicks: number;
  readonly exits: readonly {
    readonly at: Tile;
    readonly heading: Heading;
    readonly left: ReferenceLane;
    readonly right: ReferenceLane;
  }[];
  /** Items per tick that come in over each of the layout's entries. */
  readonly entries: readonly { readonly at: Tile; readonly heading: Heading; readonly left: Rational; readonly right: Rational }[];
  /** Items per tick that each arm takes, in the order of the layout's parts. */
  readonly arms: readonly { readonly at: Tile; readonly flow: Rational }[];
  /** Items per tick that arms take out of each chest. */
  readonly chests: readonly { readonly at: Tile; readonly outflow: Rational }[];
}

/** The exact flow, by waiting until a whole state comes back. */
export function referenceFlow(layout: Layout, tickLimit: number, holdBackTicks: readonly number[] = []): ReferenceFlow {
  const run = referenceRun(layout, holdBackTicks);
  interface Mark {
    readonly tick: number;
    readonly counts: Counts;
    readonly arms: ReturnType<ReferenceRun['takenByArms']>;
  }
  const mark = (): Mark => ({ tick: run.tick(), counts: run.counts(), arms: run.takenByArms() });
  const between = (exact: boolean, from: Mark, to: Mark): ReferenceFlow => {
    const ticks = to.tick - from.tick;
    const per = (after: number, before: number): Rational => ratio(after - before, Math.max(1, ticks));
    const gaps = exact ? run.greatestGaps(ticks) : [];
    return {
      exact,
      transientTicks: from.tick,
      periodTicks: ticks,
      exits: to.counts.exits.map(({ at, heading, left, right }, i) => ({
        at,
        heading,
        left: { flow: per(left, from.counts.exits[i].left), greatestGap: gaps[i]?.left },
        right: { flow: per(right, from.counts.exits[i].right), greatestGap: gaps[i]?.right },
      })),
      entries: (to.counts.entries ?? []).map(({ at, heading, left, right }, i) => ({
        at,
        heading,
        left: per(left, from.counts.entries?.[i].left ?? 0),
        right: per(right, from.counts.entries?.[i].right ?? 0),
      })),
      arms: to.arms.map(({ at, taken }, i) => ({ at, flow: per(taken, from.arms[i].taken) })),
      chests: to.counts.chests.map(({ at, taken }, i) => ({ at, outflow: per(taken, from.counts.chests[i].taken) })),
    };
  };
  const start = mark();
  const seen = new Map<string, Mark>([[run.key(), start]]);
  while (run.tick() < tickLimit) {
    run.step();
    const key = run.key();
    const before = seen.get(key);
    if (before !== undefined) return between(true, before, mark());
    seen.set(key, mark());
  }
  return between(false, start, mark());
}
