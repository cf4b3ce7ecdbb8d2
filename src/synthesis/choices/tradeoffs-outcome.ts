/**
 * What a search for trade-offs ends with, as data. The search is in `tradeoffs.ts`; the sentences for all this
 * are the report's.
 */
import type { Rational } from '../../base/rational.js';
import type { Objective } from '../../brief/brief.js';
import type { Layout } from '../../layout/layout.js';
import type { DesignProof, StopCause } from '../outcome.js';

/** A layout that meets the brief, and that no other one known betters in one objective without being worse in another. */
export interface Tradeoff {
  readonly layout: Layout;
  /** By objective, in their order. */
  readonly values: readonly Rational[];
}

export interface TradeoffsOutcome {
  /**
   * `complete`: the list lacks no layout that costs what was asked about at most. `partial`: it may. `infeasible`: no layout
   * meets the brief. `unknown`: none was found before the search was stopped.
   */
  readonly status: 'complete' | 'partial' | 'infeasible' | 'unknown';
  readonly objectives: readonly Objective[];
  /** By rising first objective, then the others in their order; no two have the same values. */
  readonly list: readonly Tradeoff[];
  /** Proven: whatever costs this at most (in the first objective) is in the list, or something no worse is; `all`: whatever it costs. */
  readonly completeTo: number | 'all' | undefined;
  /** Up to which price the list was to be complete; undefined where it depends on the cheapest, and none is known. */
  readonly askedTo: number | 'all' | undefined;
  /** What came before the list was complete. */
  readonly stoppedBy: StopCause | undefined;
  readonly proof: Pick<DesignProof, 'space' | 'solver' | 'rounds' | 'simulations' | 'seconds'>;
}
