/**
 * What the parts of a world do and cost: the shape of a checked catalog.
 * Reading and checking a catalog file is in `parse-catalog.ts`. All quantities are whole numbers.
 */

declare const brand: unique symbol;
/** A model's name, made only by the catalog's parser. */
export type ModelName = string & { readonly [brand]: 'ModelName' };

export interface BeltModel {
  readonly name: ModelName;
  /** Units per tick, 0 < speed <= pitch. */
  readonly speed: number;
  readonly cost: number;
}

export interface SplitterModel {
  readonly name: ModelName;
  readonly speed: number;
  readonly cost: number;
  /** Whether a plan may set favourIn and favourOut. */
  readonly favour: boolean;
}

export interface UnderpassModel {
  readonly name: ModelName;
  readonly speed: number;
  /** Greatest difference of coordinates between entry and exit. */
  readonly span: number;
  /** For one end; a pair costs twice this. */
  readonly cost: number;
}

export interface ArmModel {
  readonly name: ModelName;
  /** Tiles from the arm to its pick tile, and to its place tile. */
  readonly reach: number;
  /** Items a hand holds. */
  readonly payload: number;
  readonly swingTicks: number;
  readonly grabTicks: number;
  readonly releaseTicks: number;
  /** Units by which a placed item may miss its spot. */
  readonly slack: number;
  /** Ticks that a part-full hand waits at a belt; undefined: for ever. */
  readonly patienceTicks: number | undefined;
  readonly cost: number;
}

export interface ChestModel {
  readonly name: ModelName;
  readonly capacity: number;
  readonly cost: number;
}

export interface WagonModel {
  readonly name: ModelName;
  /** Tiles. */
  readonly length: number;
  /** Tiles between this wagon and the next one of a row. */
  readonly coupling: number;
  readonly capacity: number;
}

/** What it costs to change a station that stands there, in the currency of the parts. */
export interface Work {
  /** To take a part away. */
  readonly remove: number;
  /** To turn one where it stands; at least `remove`. */
  readonly turn: number;
}

export interface Catalog {
  readonly name: string;
  readonly ticksPerSecond: number;
  /** U: length of a lane across one tile, divisible by 4. */
  readonly unitsPerTile: number;
  /** P: least distance, front to front, of two items on one lane; P <= U. */
  readonly pitch: number;
  /** Lane lengths on a turn. */
  readonly turn: { readonly inner: number; readonly outer: number };
  /** Each list is in the order of its names (code points), so that nothing depends on a file's order. */
  readonly belts: readonly BeltModel[];
  readonly splitters: readonly SplitterModel[];
  readonly underpasses: readonly UnderpassModel[];
  readonly arms: readonly ArmModel[];
  readonly chests: readonly ChestModel[];
  readonly wagons: readonly WagonModel[];
  /** Left out: the usual one. */
  readonly work?: Work;
}

export const USUAL_WORK: Work = { remove: 1, turn: 1 };

export const workOf = ({ work }: Catalog): Work => work ?? USUAL_WORK;
