/**
 * What the design loop asks of a simulator. Synthesis never imports one: it is handed in, so that it
 * stays an independent witness.
 */
import type { Rational } from '../base/rational.js';
import type { ShouldStop } from '../base/run-stopped.js';
import type { Brief } from '../brief/brief.js';
import type { Layout } from '../layout/layout.js';
import type { TrainTimes } from '../layout/measure.js';

/** From every start, exactly: all targets met and all chests keep up. */
export interface Passing {
  readonly verdict: 'passes';
  readonly chestOutflows: readonly Rational[];
  /** What the brief asks for, told as a fill (`brief/asked-fill.ts`), times by what all its targets could be multiplied and still be met. */
  readonly fill: Rational;
  /** Of full trains, by formula; undefined where some wagon is never emptied. */
  readonly trains: TrainTimes | undefined;
}

export type Witness =
  | Passing
  | { readonly verdict: 'fails' }
  /** Some start did not repeat within the simulator's limit. */
  | { readonly verdict: 'undecided' };

/**
 * A layout's exits are in the order of the brief's. `flowsAlone`: it is one network out of a plan, and what
 * fills its chests counts elsewhere. `shouldStop`: asked now and then; once true, it throws `RunStopped` and gives no word.
 */
export type Verify = (layout: Layout, brief: Brief, flowsAlone?: boolean, shouldStop?: ShouldStop) => Witness;
