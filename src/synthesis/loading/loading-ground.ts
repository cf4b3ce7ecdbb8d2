/** The ground of a loading brief: its tiles, what stands on them at which price, and what ways over it cost at least. */
import { boxHolds, HEADINGS, stepFrom, type Tile } from '../../base/geometry.js';
import { isOnTrack, rowsOf, topOf } from '../../base/ground.js';
import type { Brief } from '../../brief/brief.js';
import type { LoadJob } from '../../brief/load-job.js';
import type { ChestModel, SplitterModel, UnderpassModel } from '../../catalog/catalog.js';

export interface LoadingGround {
  readonly brief: Brief;
  readonly job: LoadJob;
  readonly width: number;
  /** On both sides, and of the track between them. */
  readonly rows: number;
  readonly tiles: number;
  readonly tileAt: (tile: number) => Tile;
  /** -1 outside. */
  readonly indexOf: (tile: Tile) => number;
  readonly isOpen: (tile: number) => boolean;
  readonly priceOf: (model: { readonly cost: number }) => number;
  readonly chest: ChestModel | undefined;
  /** Of equal use the cheapest; of equal prices by name. */
  readonly splitters: readonly SplitterModel[];
  readonly underpasses: readonly UnderpassModel[];
}

type Model = { readonly name: string; readonly cost: number };

const cheapestFirst = <T extends Model>(models: readonly T[]): readonly T[] => [...models].sort((a, b) => a.cost - b.cost || (a.name < b.name ? -1 : 1));

/** Of models with equal use only the cheapest. */
function thinned<T extends Model>(models: readonly T[], isAsGood: (a: T, b: T) => boolean): readonly T[] {
  const inOrder = cheapestFirst(models);
  return inOrder.filter((model, index) => !inOrder.some((other, before) => before < index && isAsGood(other, model)));
}

export function loadingGround(brief: Brief, job: LoadJob): LoadingGround {
  const { catalog, site } = brief;
  const { width, depth, keepOut } = site;
  const rows = rowsOf(site);
  const top = topOf(site);
  const tiles = width * rows;
  const tileAt = (tile: number): Tile => ({ x: tile % width, y: top + Math.floor(tile / width) });
  const open = Array.from({ length: tiles }, (_, tile) => !isOnTrack(site, tileAt(tile)) && !keepOut.some((box) => boxHolds(box, tileAt(tile))));
  const byParts = brief.minimise[0] === 'parts';
  return {
    brief,
    job,
    width,
    rows,
    tiles,
    tileAt,
    indexOf: ({ x, y }) => (x < 0 || y < top || x >= width || y >= depth ? -1 : (y - top) * width + x),
    isOpen: (tile) => open[tile],
    priceOf: ({ cost }) => (byParts ? 1 : cost),
    chest: cheapestFirst(catalog.chests).at(0),
    splitters: thinned(catalog.splitters, (a, b) => a.speed === b.speed),
    underpasses: thinned(catalog.underpasses, (a, b) => a.speed === b.speed && a.span >= b.span),
  };
}

interface Move {
  readonly tiles: number;
  readonly price: number;
}

function movesOf({ job, priceOf, splitters, underpasses }: LoadingGround): readonly Move[] {
  const step = Math.min(...[...job.entries.map(({ belt }) => belt), ...splitters].map(priceOf));
  const hops = underpasses.flatMap((model) => Array.from({ length: model.span }, (_, index) => ({ tiles: index + 2, price: 2 * priceOf(model) })));
  // An underpass takes a belt's end at least one tile, and at most span + 1 tiles, further.
  return [{ tiles: 1, price: step }, ...hops, ...(hops.length > 0 ? [{ tiles: 1, price: Math.min(...hops.map(({ price }) => price)) }] : [])];
}

/** By number of tiles: least price of carriers one end of which is so far on. */
export function onwardPrices(ground: LoadingGround): readonly number[] {
  // One half of a splitter is a tile aside of the other.
  const moves = [...movesOf(ground), ...ground.splitters.map((model) => ({ tiles: 2, price: ground.priceOf(model) }))];
  const prices = [0];
  for (let tiles = 1; tiles <= 1 + ground.width + ground.rows; tiles++) prices.push(Math.min(...moves.map((move) => move.price + prices[Math.max(0, tiles - move.tiles)])));
  return prices;
}

/** Shortest ways over open ground, by belts and by underpasses, to any tile that is `useful`; whatever else stands there. */
export function waysLeft(ground: LoadingGround, useful: readonly boolean[]): readonly number[] {
  const { tiles, tileAt, indexOf, isOpen } = ground;
  const moves = movesOf(ground);
  const left = Array.from({ length: tiles }, (_, tile) => (useful[tile] ? 0 : Infinity));
  for (let changed = true; changed; ) {
    changed = false;
    for (let tile = 0; tile < tiles; tile++) {
      if (!isOpen(tile)) continue;
      for (const heading of HEADINGS) {
        for (const move of moves) {
          const to = indexOf(stepFrom(tileAt(tile), heading, move.tiles));
          if (to < 0 || left[to] + move.price >= left[tile]) continue;
          left[tile] = left[to] + move.price;
          changed = true;
        }
      }
    }
  }
  return left;
}
