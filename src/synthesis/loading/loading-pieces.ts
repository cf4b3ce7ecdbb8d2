/** Carriers that a forest is laid of (`laid-forest.ts`): what may come next at each end, put together once for each tile and heading. */
import { backOf, HEADINGS, leftOf, rightOf, stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import type { BeltModel } from '../../catalog/catalog.js';
import type { PlacedBelt, PlacedEntry, PlacedSplitter, PlacedUnderpass } from '../../layout/layout.js';
import { placesOf } from './carrier-ends.js';
import type { LoadingSite } from './loading-site.js';

/** The end of a carrier. */
export interface End {
  readonly at: number;
  readonly heading: Heading;
  /** The tile onto which it leads; -1: none. */
  readonly ahead: number;
  /** Of its carrier, and whether an arm may pick from any of them. */
  readonly tiles: readonly number[];
  readonly mayBePicked: boolean;
}

/** A part as it may stand. */
export interface Piece {
  readonly kind: 'piece';
  readonly part: PlacedBelt | PlacedSplitter | PlacedUnderpass;
  readonly tiles: readonly number[];
  readonly ends: readonly End[];
  readonly price: number;
  readonly mayBePicked: boolean;
  /** Entries that may come in onto it later. */
  readonly entries: readonly number[];
  /** Where its own entry does, if it is the first. */
  readonly comesIn: PlacedEntry | undefined;
}

/** Beyond any site. */
export const FAR = 2 ** 20;

/** By tile, row by row: from how far it is on some tiles to how far it is from each (A. Rosenfeld, J. L. Pfaltz 1966; from memory). */
export function spread(far: Int32Array, width: number): void {
  const last = far.length - 1;
  for (let tile = 0; tile <= last; tile++) {
    if (tile >= width) far[tile] = Math.min(far[tile], far[tile - width] + 1);
    if (tile % width > 0) far[tile] = Math.min(far[tile], far[tile - 1] + 1);
  }
  for (let tile = last; tile >= 0; tile--) {
    if (tile + width <= last) far[tile] = Math.min(far[tile], far[tile + width] + 1);
    if ((tile + 1) % width > 0) far[tile] = Math.min(far[tile], far[tile + 1] + 1);
  }
}

export class Pieces {
  /** By entry: its first belt, at each place where it may come in. */
  readonly firsts: readonly (readonly (Piece & { readonly comesIn: PlacedEntry })[])[];
  /** By entry and tile: how far it is from where its first belt leads; from that belt, if it leads nowhere. */
  readonly farFromFirsts: readonly Int32Array[];
  /** By tile: what may come next there, by heading. */
  private readonly nextAt: readonly Readonly<Record<Heading, readonly Piece[]>>[];
  /** By tile: entries that may come in there. */
  private readonly comeInAt: readonly (readonly number[])[];

  constructor(private readonly site: LoadingSite) {
    const { entries } = site.job;
    const places = entries.map((entry) => placesOf(site, entry));
    const tiles = Array.from({ length: site.tiles }, (_, tile) => tile);
    this.comeInAt = tiles.map((tile) => [...entries.keys()].filter((entry) => places[entry].some(({ at }) => site.indexOf(at) === tile)));
    // Where one comes in no other one does.
    this.firsts = places.map((all, entry) => all.map((comesIn) => ({ ...this.belt(comesIn.at, comesIn.heading, entries[entry].belt), entries: [], comesIn })));
    this.farFromFirsts = this.firsts.map((firsts) => {
      const far = new Int32Array(site.tiles).fill(FAR);
      for (const { tiles: [tile], ends: [{ ahead }] } of firsts) far[ahead < 0 ? tile : ahead] = 0;
      spread(far, site.width);
      return far;
    });
    const models = [...new Set(entries.map(({ belt }) => belt))];
    this.nextAt = tiles.map((tile) => {
      const [N, E, S, W] = HEADINGS.map((heading) => this.piecesOn(site.tileAt(tile), heading, models));
      return { N, E, S, W };
    });
  }

  /** What may come next onto which an end leads: belts of the entries' models, underpasses, splitters. */
  next({ ahead, heading }: End): readonly Piece[] {
    return ahead < 0 ? [] : this.nextAt[ahead][heading];
  }

  private piecesOn(first: Tile, heading: Heading, belts: readonly BeltModel[]): readonly Piece[] {
    const { isOpen, underpasses, splitters } = this.site;
    const turns = [heading, leftOf(heading), rightOf(heading)];
    const pieces = [
      ...belts.flatMap((model) => turns.map((turned) => this.belt(first, turned, model))),
      ...underpasses.flatMap((model) =>
        Array.from({ length: model.span }, (_, index): Piece => {
          const to = stepFrom(first, heading, index + 1);
          return this.piece({ kind: 'underpass', from: first, to, model }, [[first, to]], heading);
        }),
      ),
      ...splitters.flatMap((model) =>
        [first, stepFrom(first, leftOf(heading))].map((at): Piece => this.piece({ kind: 'splitter', at, heading, model }, [[at], [stepFrom(at, rightOf(heading))]], heading)),
      ),
    ];
    return pieces.filter(({ tiles }) => tiles.every((tile) => tile >= 0 && isOpen(tile)));
  }

  private belt(at: Tile, heading: Heading, model: BeltModel): Piece {
    const { site: { job, indexOf }, comeInAt } = this;
    const entries = comeInAt[indexOf(at)].filter((entry) => job.entries[entry].belt === model && backOf(job.entries[entry].edge) === heading);
    return { ...this.piece({ kind: 'belt', at, heading, model }, [[at]], heading), entries };
  }

  /** `endTiles`: of each end, the last of which leads on. */
  private piece(part: Piece['part'], endTiles: readonly (readonly Tile[])[], heading: Heading): Piece {
    const { indexOf, picks, priceOf } = this.site;
    const ends = endTiles.map((all): End => {
      const tiles = all.map(indexOf);
      const last = all[all.length - 1];
      return { at: indexOf(last), heading, ahead: indexOf(stepFrom(last, heading)), tiles, mayBePicked: tiles.some((tile) => tile >= 0 && picks[tile].length > 0) };
    });
    return {
      kind: 'piece',
      part,
      tiles: ends.flatMap(({ tiles }) => tiles),
      ends,
      price: priceOf(part.model) * (part.kind === 'underpass' ? 2 : 1),
      mayBePicked: ends.some(({ mayBePicked }) => mayBePicked),
      entries: [],
      comesIn: undefined,
    };
  }
}
