/**
 * A layout: parts placed on a site beside wagons. Plain data, shared by synthesis, simulation and report.
 * Reading and writing it as plan JSON is in `parse-plan.ts` and `write-plan.ts`, legality in
 * `check-layout.ts`, what follows from neighbours (turns, tee merges, feeders) in `network.ts`.
 */
import { backOf, rightHalfOf, sameTile, stepFrom, type Heading, type Tile } from '../base/geometry.js';
import type { Ground } from '../base/ground.js';
import { ratio, type Rational } from '../base/rational.js';
import type {
  ArmModel,
  BeltModel,
  Catalog,
  ChestModel,
  SplitterModel,
  UnderpassModel,
  WagonModel,
} from '../catalog/catalog.js';

type Site = Ground;

/** Covers x = at .. at + length - 1 at y = -1 and -2. */
export interface PlacedWagon {
  readonly model: WagonModel;
  readonly at: number;
}

export interface PlacedBelt {
  readonly kind: 'belt';
  readonly at: Tile;
  readonly heading: Heading;
  readonly model: BeltModel;
}

export type Side = 'left' | 'right';

/** `at` is the left half's tile. */
export interface PlacedSplitter {
  readonly kind: 'splitter';
  readonly at: Tile;
  readonly heading: Heading;
  readonly model: SplitterModel;
  readonly favourIn?: Side;
  readonly favourOut?: Side;
}

/** Heads from `from` (entry) to `to` (exit end), which share a row or a column. */
export interface PlacedUnderpass {
  readonly kind: 'underpass';
  readonly from: Tile;
  readonly to: Tile;
  readonly model: UnderpassModel;
}

export interface PlacedArm {
  readonly kind: 'arm';
  readonly at: Tile;
  readonly heading: Heading;
  readonly model: ArmModel;
}

export interface PlacedChest {
  readonly kind: 'chest';
  readonly at: Tile;
  readonly model: ChestModel;
}

export type Part = PlacedBelt | PlacedSplitter | PlacedUnderpass | PlacedArm | PlacedChest;

export interface PlacedExit {
  /** The border tile that it drains, over that tile's edge in `heading`. */
  readonly at: Tile;
  readonly heading: Heading;
  /** Items per tick over both lanes; undefined: open. */
  readonly take: Rational | undefined;
}

/** An edge of a border tile over which items come in, onto a carrier there with the same heading. */
export interface PlacedEntry {
  readonly at: Tile;
  readonly heading: Heading;
  /** Items per tick over both lanes; undefined: as many as fit. */
  readonly give: Rational | undefined;
}

export interface Layout {
  readonly name: string;
  readonly catalog: Catalog;
  readonly site: Site;
  readonly wagons: readonly PlacedWagon[];
  readonly parts: readonly Part[];
  readonly exits: readonly PlacedExit[];
  /** Left out: none. */
  readonly entries?: readonly PlacedEntry[];
}

const NO_ENTRIES: readonly PlacedEntry[] = [];
export const entriesOf = (layout: Layout): readonly PlacedEntry[] => layout.entries ?? NO_ENTRIES;

export function underpassHeading(part: PlacedUnderpass): Heading {
  if (part.from.x === part.to.x) return part.to.y < part.from.y ? 'N' : 'S';
  return part.to.x < part.from.x ? 'W' : 'E';
}

/** Tiles between the ends, counted as the difference of their coordinates. */
export const tilesApart = (part: PlacedUnderpass): number =>
  Math.abs(part.to.x - part.from.x) + Math.abs(part.to.y - part.from.y);

/** Every tile on which a part stands (an underpass: its two ends). */
export function tilesOf(part: Part): readonly Tile[] {
  switch (part.kind) {
    case 'splitter':
      return [part.at, rightHalfOf(part.at, part.heading)];
    case 'underpass':
      return [part.from, part.to];
    default:
      return [part.at];
  }
}

export const pickTile = (arm: PlacedArm): Tile => stepFrom(arm.at, backOf(arm.heading), arm.model.reach);
export const placeTile = (arm: PlacedArm): Tile => stepFrom(arm.at, arm.heading, arm.model.reach);

/** Index of the wagon that covers a tile, or undefined. */
export function wagonAt(wagons: readonly PlacedWagon[], tile: Tile): number | undefined {
  if (tile.y !== -1 && tile.y !== -2) return undefined;
  const index = wagons.findIndex((wagon) => tile.x >= wagon.at && tile.x < wagon.at + wagon.model.length);
  return index < 0 ? undefined : index;
}

export const costOf = (part: Part): number => (part.kind === 'underpass' ? 2 : 1) * part.model.cost;

/** Sum of the catalog's costs. */
export const layoutCost = (layout: Layout): number => layout.parts.reduce((sum, part) => sum + costOf(part), 0);

/** Number of parts; an underpass counts two, a splitter one. */
export const partCount = (layout: Layout): number =>
  layout.parts.reduce((sum, part) => sum + (part.kind === 'underpass' ? 2 : 1), 0);

/** Area in tiles of the smallest rectangle that holds all parts; 0 without parts. */
export function footprint(layout: Layout): number {
  const tiles = layout.parts.flatMap(tilesOf);
  if (tiles.length === 0) return 0;
  const xs = tiles.map((tile) => tile.x);
  const ys = tiles.map((tile) => tile.y);
  return (Math.max(...xs) - Math.min(...xs) + 1) * (Math.max(...ys) - Math.min(...ys) + 1);
}

/** Most that a belt model carries over both lanes: 2 v / P items per tick. */
export const beltCapacity = (catalog: Catalog, belt: { readonly speed: number }): Rational =>
  ratio(2 * belt.speed, catalog.pitch);

export const sameEntry = (a: PlacedEntry, b: PlacedEntry): boolean => a.heading === b.heading && sameTile(a.at, b.at);
export const sameExit = (a: PlacedExit, b: PlacedExit): boolean => a.heading === b.heading && sameTile(a.at, b.at);
