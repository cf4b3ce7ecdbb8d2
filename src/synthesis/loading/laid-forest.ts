/**
 * A forest of carriers as it is laid, move by move, and taken up again (`loading-trees.ts`): entry after entry, with each what
 * its items come to first. What entries of one group (`loading-groups.ts`) have in common is laid with the first of them, and
 * the others join it: so of each carrier is settled with which entry it is laid, and by which end.
 */
import type { Part, PlacedEntry } from '../../layout/layout.js';
import type { Grouping } from './loading-groups.js';
import type { End, Piece } from './loading-pieces.js';
import type { LoadingSite } from './loading-site.js';
import type { LaidWays } from './meeting-places.js';

/** The end of a carrier that leads nowhere: an arm has to pick from one of its tiles. */
interface Leaf extends End {
  readonly group: number;
}

interface Laid {
  readonly part: Part;
  readonly entry: number;
  /** The tile behind, whose end led here; -1: the entry's edge. */
  readonly from: number;
}

/** Of which is asked whether they hold a tile. */
export type TileSet = Pick<ReadonlySet<number>, 'has'>;

/** A piece is put down, an end runs into what stands on a tile, or it leads nowhere. `comesIn`: where an entry begins with it. */
export type Move =
  | Piece
  | { readonly kind: 'join'; readonly onto: number; readonly comesIn: PlacedEntry | undefined }
  | { readonly kind: 'end'; readonly end: End; readonly comesIn: undefined };

export class LaidForest implements LaidWays {
  readonly parts: Part[] = [];
  readonly entries: PlacedEntry[] = [];
  readonly leaves: Leaf[] = [];
  readonly joins: (readonly [number, number])[] = [];
  /** Of carriers. */
  price = 0;
  grouping: Grouping = { groups: [], groupOf: [] };
  /** By group: joins that are still to come, for all its entries to have one tree. */
  joinsLeft: number[] = [];
  /** By group: its leaves so far. */
  leavesOf: number[] = [];
  /** By entry: belts that were laid with others and onto which it may come in. */
  readonly servable: number[];
  /** By entry: parts laid with it from which an arm may pick, or that part its way. */
  readonly eased: number[];
  /** By entry: the price of all that stood when the first of these was laid, for what is still to pay from there on; -Infinity where that is not known. */
  readonly easedAt: number[];
  /** By entry: the first of those with which it is joined; what it was before each join. */
  private networkOf: readonly number[] = [];
  private readonly earlierNetworks: (readonly number[])[] = [];
  private readonly laidAt: (Laid | undefined)[];
  /** By tile of a carrier's end: the tile onto which it leads, of a splitter either half. */
  private readonly leadsOnto: Int32Array;

  constructor({ tiles, job: { entries } }: Pick<LoadingSite, 'tiles' | 'job'>) {
    this.servable = entries.map(() => 0);
    this.eased = entries.map(() => 0);
    this.easedAt = entries.map(() => -Infinity);
    this.laidAt = Array.from({ length: tiles }, () => undefined);
    this.leadsOnto = new Int32Array(tiles).fill(-1);
  }

  /** Of which nothing is laid yet. */
  begin(grouping: Grouping): void {
    this.grouping = grouping;
    this.networkOf = grouping.groupOf.map((_, entry) => entry);
    this.joinsLeft = grouping.groups.map(({ entries }) => entries.length - 1);
    this.leavesOf = grouping.groups.map(() => 0);
  }

  /** Tiles that carriers stand on. */
  readonly taken: TileSet = { has: (tile) => this.laidAt[tile] !== undefined };
  readonly partAt = (tile: number): Part | undefined => this.laidAt[tile]?.part;
  readonly from = (tile: number): number => this.laidAt[tile]?.from ?? -1;
  readonly onward = (tile: number): number => this.leadsOnto[tile];

  /** With which entry what stands on a tile is laid. */
  entryAt(tile: number): number | undefined {
    return this.laidAt[tile]?.entry;
  }

  groupAt(tile: number): number | undefined {
    const entry = this.entryAt(tile);
    return entry === undefined ? undefined : this.grouping.groupOf[entry];
  }

  isFree(piece: Piece): boolean {
    for (const tile of piece.tiles) if (this.taken.has(tile)) return false;
    return true;
  }

  /** Whether what an entry lays may run into what stands on a tile: that is of another one of its group, with which it is not joined yet. */
  mayJoin(onto: number, entry: number): boolean {
    const other = this.entryAt(onto) ?? entry;
    return this.networkOf[other] !== this.networkOf[entry] && this.grouping.groupOf[other] === this.grouping.groupOf[entry];
  }

  /** `from`: the tile whose end leads on by it; -1: an edge. */
  make(move: Move, from: number, entry: number): void {
    if (move.comesIn !== undefined) this.entries.push(move.comesIn);
    switch (move.kind) {
      case 'piece':
        this.lay(move, from, entry);
        break;
      case 'join':
        this.join(move.onto, from, entry);
        break;
      case 'end':
        this.leavesOf[this.grouping.groupOf[entry]]++;
        this.leaves.push({ ...move.end, group: this.grouping.groupOf[entry] });
        break;
    }
  }

  /** The last move that was made. */
  takeBack(move: Move, from: number, entry: number): void {
    if (move.comesIn !== undefined) this.entries.pop();
    switch (move.kind) {
      case 'piece':
        this.takeUp(move, from, entry);
        break;
      case 'join':
        this.part(from, entry);
        break;
      case 'end':
        this.leavesOf[this.grouping.groupOf[entry]]--;
        this.leaves.pop();
        break;
    }
  }

  private lay({ part, tiles, price, mayBePicked, entries }: Piece, from: number, entry: number): void {
    const laid: Laid = { part, entry, from };
    this.parts.push(part);
    for (const tile of tiles) this.laidAt[tile] = laid;
    for (const other of entries) if (other > entry) this.servable[other]++;
    const eases = mayBePicked || part.kind === 'splitter';
    if (eases && this.eased[entry]++ === 0) this.easedAt[entry] = part.kind === 'splitter' ? -Infinity : this.price + (part.kind === 'belt' ? price : 0);
    if (from >= 0) this.leadsOnto[from] = tiles[0];
    this.price += price;
  }

  private takeUp({ part, tiles, price, mayBePicked, entries }: Piece, from: number, entry: number): void {
    this.price -= price;
    if (from >= 0) this.leadsOnto[from] = -1;
    if (mayBePicked || part.kind === 'splitter') this.eased[entry]--;
    for (const other of entries) if (other > entry) this.servable[other]--;
    for (const tile of tiles) this.laidAt[tile] = undefined;
    this.parts.pop();
  }

  /** Whether later entries join what one lays. */
  hasMoreToCome(entry: number): boolean {
    const { groups, groupOf } = this.grouping;
    return (groups[groupOf[entry]].entries.at(-1) ?? entry) > entry;
  }

  private join(onto: number, from: number, entry: number): void {
    const { networkOf } = this;
    const [own, others] = [networkOf[entry], networkOf[this.entryAt(onto) ?? entry]];
    this.earlierNetworks.push(networkOf);
    this.networkOf = networkOf.map((network) => (network === own ? others : network));
    this.joinsLeft[this.grouping.groupOf[entry]]--;
    this.joins.push([from, onto]);
    if (from >= 0) this.leadsOnto[from] = onto;
  }

  private part(from: number, entry: number): void {
    if (from >= 0) this.leadsOnto[from] = -1;
    this.joins.pop();
    this.joinsLeft[this.grouping.groupOf[entry]]++;
    this.networkOf = this.earlierNetworks.pop() ?? this.networkOf;
  }
}
