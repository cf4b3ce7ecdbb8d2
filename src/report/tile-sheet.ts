/**
 * The sheet of a terminal picture as tiles: where each lies among the cells, and which of them something stands on.
 */
import type { Tile } from '../base/geometry.js';
import { rowsOf, topOf } from '../base/ground.js';
import { entriesOf, type Layout } from '../layout/layout.js';
import { Canvas } from './canvas.js';
import type { InkName } from './ink.js';
import { entryNumber, exitLetter } from './labels.js';
import { TILE_HEIGHT, TILE_WIDTH, type Stamp } from './stamps.js';

/** Cells east of the last tile: the edge, an arrow, a label. */
const EAST_MARGIN = 5;

const keyOf = ({ x, y }: Tile): string => `${x},${y}`;

export class TileSheet {
  readonly canvas: Canvas;
  /** Columns of the site and its wagons, from west to before east. */
  readonly west: number;
  readonly east: number;
  /** Whether the site has rows on the other side of the track too; above it lies its own edge then, else the wagons, if there are any. */
  readonly isTwoSided: boolean;
  /** Cells for the numbers of rows. */
  readonly labelWidth: number;
  /** The row of cells in which the first row of tiles begins, and the one of the south edge. */
  readonly top: number;
  readonly foot: number;
  private readonly left: number;
  private readonly firstRow: number;
  private readonly occupied = new Set<string>();

  constructor(layout: Layout) {
    const { site, wagons, exits } = layout;
    this.west = Math.min(0, ...wagons.map((wagon) => wagon.at));
    this.east = Math.max(site.width, ...wagons.map((wagon) => wagon.at + wagon.model.length));
    this.firstRow = topOf(site);
    this.isTwoSided = this.firstRow < 0;
    this.labelWidth = Math.max(String(site.depth - 1).length, String(this.firstRow).length);
    const westLabels = Math.max(
      0,
      ...exits.map((exit, index) => (exit.heading === 'W' ? exitLetter(index).length + 1 : 0)),
      ...entriesOf(layout).map((entry, index) => (entry.heading === 'E' ? entryNumber(index).length + 1 : 0)),
    );
    this.left = this.labelWidth + 2 + westLabels;
    this.top = this.isTwoSided ? 2 : wagons.length === 0 ? 1 : 3;
    this.foot = this.top + rowsOf(site) * TILE_HEIGHT;
    this.canvas = new Canvas(this.left + (this.east - this.west) * TILE_WIDTH + EAST_MARGIN, this.foot + 2);
  }

  columnOf(x: number): number {
    return this.left + (x - this.west) * TILE_WIDTH;
  }

  rowOf(y: number): number {
    return this.top + (y - this.firstRow) * TILE_HEIGHT;
  }

  /** Text in the cells of a tile, from a column and row of it on. */
  write(tile: Tile, column: number, row: number, text: string, ink: InkName): void {
    this.canvas.put(this.columnOf(tile.x) + column, this.rowOf(tile.y) + row, text, ink);
  }

  stamp(tile: Tile, [upper, lower]: Stamp, ink: InkName): void {
    this.write(tile, 0, 0, upper, ink);
    this.write(tile, 0, 1, lower, ink);
  }

  /** Something stands there, so no ground is drawn. */
  occupy(tile: Tile): void {
    this.occupied.add(keyOf(tile));
  }

  isOccupied(tile: Tile): boolean {
    return this.occupied.has(keyOf(tile));
  }
}
