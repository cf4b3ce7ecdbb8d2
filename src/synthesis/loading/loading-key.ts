/**
 * What the verdict on a loading station depends on, as text, so that stations which differ in nothing else are simulated
 * once: carriers, arms and chests as they stand together, wherever on the site that is.
 *
 * Of a way of belts from an entry to the first tile of it that matters (`coreKey`), only that it brings as much as it can
 * matters: behind an entry's edge stands an endless packed belt, and so it does behind that tile, only that its first item
 * comes later. If the way takes a whole number of moves, equal on both lanes, all arms of a standard start meet the same
 * items, later. (A staggered start may be over by then, so it is another matter.)
 */
import { sameTile, stepFrom, type Tile } from '../../base/geometry.js';
import { pickTile, tilesOf, type Layout, type Part, type PlacedBelt } from '../../layout/layout.js';

function textOf(parts: readonly Part[], entries: readonly string[], origin: Tile): string {
  const text = ({ x, y }: Tile): string => `${x - origin.x},${y - origin.y}`;
  const texts = parts.map((part) => {
    switch (part.kind) {
      case 'chest':
        return `c${text(part.at)}`;
      case 'underpass':
        return `u${text(part.from)}>${text(part.to)}${part.model.name}`;
      default:
        return `${part.kind}${text(part.at)}${part.heading}${part.model.name}`;
    }
  });
  return `${texts.sort().join(' ')}|${entries.join(' ')}`;
}

/** `placed`: where it matters where on the site the station stands, for wagons may miss it. */
export function stationKey({ parts, entries = [] }: Layout, placed: boolean): string {
  const origin = placed ? { x: 0, y: 0 } : entries[0].at;
  return textOf(parts, entries.map(({ at, heading }) => `${at.x - origin.x},${at.y - origin.y}${heading}`), origin);
}

/** Undefined where ways from entries can't be left out, or none is there to be left out. */
export function coreKey(layout: Layout, placed: boolean): string | undefined {
  const { catalog, parts, entries = [] } = layout;
  const { unitsPerTile, turn } = catalog;
  if (turn.inner !== unitsPerTile || turn.outer !== unitsPerTile) return undefined;
  const picked = parts.flatMap((part) => (part.kind === 'arm' ? [pickTile(part)] : []));
  const left = new Set(parts);
  const ends: { readonly at: Tile; readonly text: string }[] = [];
  for (const entry of entries) {
    let at = entry.at;
    let model: PlacedBelt['model'] | undefined;
    for (;;) {
      const here = parts.find((part) => part.kind !== 'arm' && part.kind !== 'chest' && tilesOf(part).some((tile) => sameTile(tile, at)));
      const isWay = here?.kind === 'belt' && (model === undefined || model.speed === here.model.speed) && unitsPerTile % here.model.speed === 0;
      if (here === undefined || !isWay || picked.some((tile) => sameTile(tile, at))) {
        const speed = here === undefined || here.kind === 'arm' || here.kind === 'chest' ? undefined : here.model.speed;
        // What comes from a belt of another speed comes otherwise than over an edge.
        ends.push({ at, text: model === undefined || model.speed === speed ? '' : model.name });
        break;
      }
      left.delete(here);
      model = here.model;
      at = stepFrom(at, here.heading);
    }
  }
  const origin = placed ? { x: 0, y: 0 } : ends[0].at;
  return textOf([...left], ends.map(({ at, text }) => `${at.x - origin.x},${at.y - origin.y}${text}`), origin);
}
