/**
 * A library of one-exit stations: all that a search finds for one exit on a small site of its own, without the last
 * stretch to the exit, which is laid anew wherever a station is put. How they are put together is in `packing.ts`.
 */
import { backOf, rightHalfOf, sameTile, stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import { formatRational } from '../../base/rational.js';
import { NO_LIMITS, type Brief, type ExitDemand } from '../../brief/brief.js';
import { pickTile, placeTile, tilesOf, wagonAt, type Layout, type Part } from '../../layout/layout.js';
import { deriveNetwork } from '../../layout/network.js';
import { partsOf, storesIn, type Store } from './shared-chests.js';
import { priceOf } from '../site/site-map.js';

/** Chests and arms of one station, and its carriers as far as they gather items; the columns count from its own first. */
export interface Head {
  readonly stores: readonly Store[];
  /** All parts but those of the stores. */
  readonly others: readonly Part[];
  /** Where the last stretch begins, and the way in which items come there. */
  readonly front: Tile;
  readonly heading: Heading;
  /** Whether it is the mirror image of one that a search found: arms act from west to east, so it may give less. */
  readonly isMirrored: boolean;
}

/** Columns that a network takes at most, as a rule, and rows but for one, as multiples of an arm's reach and the tile that it stands on. */
const WINDOW_STEPS_WIDE = 3;
const WINDOW_STEPS_DEEP = 2;

/** One exit alone, over the south edge of a site with nothing in the way and wagons all along it. */
export function windowOf(brief: Brief, exit: ExitDemand): Brief {
  const { site, catalog, wagons } = brief;
  const step = Math.max(1, ...catalog.arms.map(({ reach }) => reach)) + 1;
  const width = Math.min(site.width, WINDOW_STEPS_WIDE * step);
  const depth = Math.min(site.depth, WINDOW_STEPS_DEEP * step + 1);
  const price = priceOf(brief);
  return {
    ...brief,
    site: { width, depth, keepOut: [] },
    wagons: [{ model: { ...wagons[0].model, length: width }, at: 0 }],
    exits: [{ ...exit, edge: 'S', from: 0, to: width - 1 }],
    together: undefined,
    limits: NO_LIMITS,
    minimise: [price],
  };
}

/** The head of a layout with one exit, where it stands; undefined where nothing of it lies before the last stretch. */
export function standingHead(layout: Layout): Head | undefined {
  const { carriers } = deriveNetwork(layout);
  const drops = layout.parts.flatMap((part) => (part.kind === 'arm' ? [placeTile(part)] : []));
  const tail = new Set<Part>();
  let last = carriers.find(({ next }) => next.kind === 'exit');
  while (last !== undefined && last.kind !== 'splitter-half') {
    const { head, tail: entry, part, behind, fromLeft, fromRight } = last;
    const feeders = [behind, fromLeft, fromRight].filter((feeder) => feeder !== undefined);
    if (feeders.length !== 1 || drops.some((tile) => sameTile(tile, head) || sameTile(tile, entry))) break;
    tail.add(layout.parts[part]);
    last = carriers[feeders[0]];
  }
  if (last === undefined) return undefined;
  const kept = layout.parts.filter((part) => !tail.has(part));
  const stores = storesIn(kept).filter(({ fills }) => fills.length > 0);
  const ofStores = new Set<Part>(stores.flatMap(partsOf));
  return { stores, others: kept.filter((part) => !ofStores.has(part)), front: stepFrom(last.head, last.heading), heading: last.heading, isMirrored: false };
}

/** The same, its columns counted from its own first. */
export function headOf(layout: Layout): Head | undefined {
  const head = standingHead(layout);
  if (head === undefined) return undefined;
  const west = Math.min(...[...head.stores.flatMap(partsOf), ...head.others].flatMap(tilesOf).map(({ x }) => x));
  return shiftedHead(head, -west);
}

export function shifted<T extends Part>(part: T, by: number): T {
  const moved = ({ x, y }: Tile): Tile => ({ x: x + by, y });
  return part.kind === 'underpass' ? { ...part, from: moved(part.from), to: moved(part.to) } : { ...part, at: moved(part.at) };
}

export const shiftedHead = ({ stores, others, front, ...head }: Head, by: number): Head => ({
  ...head,
  stores: stores.map(({ chest, fills }) => ({ chest: shifted(chest, by), fills: fills.map((arm) => shifted(arm, by)) })),
  others: others.map((part) => shifted(part, by)),
  front: { x: front.x + by, y: front.y },
});

const acrossX = (heading: Heading): Heading => (heading === 'E' || heading === 'W' ? backOf(heading) : heading);

function mirroredPart<T extends Part>(part: T, width: number): T {
  const moved = ({ x, y }: Tile): Tile => ({ x: width - 1 - x, y });
  switch (part.kind) {
    case 'underpass':
      return { ...part, from: moved(part.from), to: moved(part.to) };
    case 'splitter':
      return { ...part, at: moved(rightHalfOf(part.at, part.heading)), heading: acrossX(part.heading) };
    case 'chest':
      return { ...part, at: moved(part.at) };
    default:
      return { ...part, at: moved(part.at), heading: acrossX(part.heading) };
  }
}

export function mirrored({ stores, others, front, heading, isMirrored }: Head): Head {
  const tiles = [...stores.flatMap(partsOf), ...others].flatMap(tilesOf);
  const width = Math.max(...tiles.map(({ x }) => x)) + 1;
  return {
    stores: stores.map(({ chest, fills }) => ({ chest: mirroredPart(chest, width), fills: fills.map((arm) => mirroredPart(arm, width)) })),
    others: others.map((part) => mirroredPart(part, width)),
    front: { x: width - 1 - front.x, y: front.y },
    heading: acrossX(heading),
    isMirrored: !isMirrored,
  };
}

const textOfPart = (part: Part): string =>
  [part.kind, ...tilesOf(part).map(({ x, y }) => `${x}.${y}`), 'heading' in part ? part.heading : '', part.model.name].join(' ');

export const storeKey = (store: Store): string => partsOf(store).map(textOfPart).sort().join();

/** What tells heads apart. */
export const headKey = ({ stores, others, front, heading }: Head): string =>
  [...stores.map(storeKey), ...others.map(textOfPart)].sort().join() + `|${front.x}.${front.y}${heading}`;

/** Whether arms of a head that lift from wagons find one below them. */
export const reachesWagons = ({ wagons }: Brief, { stores, others }: Head): boolean =>
  [...stores.flatMap(({ fills }) => fills), ...others].every(
    (part) => part.kind !== 'arm' || pickTile(part).y >= 0 || wagonAt(wagons, pickTile(part)) !== undefined,
  );

/** Exits that the same heads serve have the same. */
export const demandKey = ({ belt, target: { left, right, total } }: ExitDemand): string => [belt.name, ...[left, right, total].map(formatRational)].join();
