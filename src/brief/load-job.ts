/**
 * The other job of a station: belts come in, and wagons are to be filled. Beside `brief.ts`, whose exits are then none.
 * Rates are items per tick.
 */
import type { Rational } from '../base/rational.js';
import type { BeltModel } from '../catalog/catalog.js';

/** Edges of the site over which belts may leave or come in; the wagon stands at the north, or across the middle of a site with a north side. */
export type Edge = 'N' | 'E' | 'S' | 'W';

/** One belt of `belt`'s model that comes in over `edge` at a border tile from `from` to `to`. */
export interface EntryDemand {
  readonly edge: Edge;
  readonly from: number;
  readonly to: number;
  readonly belt: BeltModel;
  /** Least flow that gets from it into wagons; 0 where nothing is asked of it alone. */
  readonly target: Rational;
}

export interface LoadJob {
  readonly entries: readonly EntryDemand[];
  /** Least flow into all wagons together. */
  readonly together: Rational | undefined;
  /** Ticks after which every wagon is to be full, by its steady flow. */
  readonly fullTicks: Rational | undefined;
  /** Instead, by wagon, the least flow into it: what a plan promises, which no brief says. */
  readonly promised?: readonly Rational[] | undefined;
}
