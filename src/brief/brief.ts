/**
 * The validated request: site, wagons, exits with targets, limits and what to minimise.
 * Reading and checking a brief file is in `parse-brief.ts`. Rates are items per tick.
 */
import type { Box, Tile } from '../base/geometry.js';
import type { Ground } from '../base/ground.js';
import type { Rational } from '../base/rational.js';
import type { Demand } from './demand.js';
import type { Edge, LoadJob } from './load-job.js';
import type { BeltModel, Catalog, WagonModel } from '../catalog/catalog.js';

export type { Edge };

/** Least flow over both lanes, and optionally per lane; all 0 where none is asked of an exit alone. In items per tick. */
export interface Target {
  readonly total: Rational;
  readonly left: Rational;
  readonly right: Rational;
}

/** One belt of `belt`'s model that must leave over `edge` at a border tile from `from` to `to`. */
export interface ExitDemand {
  readonly edge: Edge;
  readonly from: number;
  readonly to: number;
  readonly belt: BeltModel;
  readonly target: Target;
}

/** As in the schema: staggered starts that may be asked for. */
export const MOST_STARTS = 10_000;

/** Staggered starts where neither a brief, a plan nor the user names any. */
export const USUAL_STARTS = 16;

export type Feed = 'chests' | 'direct' | 'either';

export interface Limits {
  readonly arms: number | undefined;
  readonly parts: number | undefined;
  readonly cost: number | undefined;
  readonly imbalance: Rational | undefined;
  /** Most ticks that a full train may have to stand there, by formula. */
  readonly dwell?: Rational | undefined;
  /** Least full trains an hour, by formula. */
  readonly trainsPerHour?: Rational | undefined;
}

export const NO_LIMITS: Limits = { arms: undefined, parts: undefined, cost: undefined, imbalance: undefined };

export type Objective = 'cost' | 'footprint' | 'parts' | 'imbalance' | 'arms' | 'splitters' | 'depth' | 'width' | 'fill' | 'dwell' | 'trainsPerHour';

/** Tiles on which nothing may change, and tiles whose part must stay as it is. */
export interface Kept {
  readonly boxes: readonly Box[];
  readonly tiles: readonly Tile[];
}

export interface Brief {
  readonly name: string;
  readonly catalog: Catalog;
  readonly site: Ground;
  readonly wagons: readonly { readonly model: WagonModel; readonly at: number }[];
  readonly exits: readonly ExitDemand[];
  /** Least flow over all exits together, in items per tick; where it is undefined, every exit has a target of its own. */
  readonly together: Rational | undefined;
  /** Whether every target is to be exceeded, however little, instead of merely met. */
  readonly exceed?: boolean;
  readonly feed: Feed;
  /** Tiles by which a wagon may stop short or far. */
  readonly spotting: number;
  /** Share of time in which a wagon stands there. */
  readonly presence: Rational;
  /** Staggered starts that a layout must pass besides the standard one. */
  readonly starts: number;
  readonly limits: Limits;
  /** Decides in this order among layouts; the first is 'cost' or 'parts'. Of 'fill' and 'trainsPerHour', more is better. */
  readonly minimise: readonly Objective[];
  /** Where wagons are to be filled instead: what comes in; there are no exits then. */
  readonly load?: LoadJob | undefined;
  /** Of the station as a whole; no layout is judged by it. */
  readonly demand?: Demand | undefined;
  /** What a plan that is mended has to keep; no design is bound by it. */
  readonly keep?: Kept | undefined;
}
