/**
 * What the verdict on a loading station depends on, as text, so that stations which differ in nothing else are simulated
 * once: carriers, arms and chests as they stand together, wherever on the site that is.
 *
 * Of a way of belts from an entry to the first tile of it that matters (`coreKey`), only that it brings as much as it can
 * matters: behind an entry's edge stands an endless packed belt, and so it does behind that tile, only that its first item
 * comes later. If the way takes a whole number of moves, equal on both lanes, all arms of a standard start meet the same
 * items, later. (A staggered start may be over by then, so it is another matter.) Where ways are
 * joined it also matters by how much later what comes over one meets what comes over another. There the last tile before a
 * way joins another one is kept: at a tee merge what comes from behind is looked at as far as a pitch back, before or after
 * the tile behind has moved. With a fourth of a tile or less to go in a tick, what has just come onto the kept tile is further.
 */
import { sameTile, stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import { pickTile, tilesOf, underpassHeading, type Layout, type Part, type PlacedBelt } from '../../layout/layout.js';
import { takesFrom } from './carrier-ends.js';

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

/** The tiles from which a carrier passes on what comes to it, and whereto. */
function endsOf(part: Part): readonly { readonly at: Tile; readonly heading: Heading }[] {
  switch (part.kind) {
    case 'belt':
    case 'splitter':
      return tilesOf(part).map((at) => ({ at, heading: part.heading }));
    case 'underpass':
      return [{ at: part.to, heading: underpassHeading(part) }];
    default:
      return [];
  }
}

/** `placed`: where it matters where on the site the station stands, for wagons may miss it. */
export function stationKey({ parts, entries = [] }: Layout, placed: boolean): string {
  const origin = placed ? { x: 0, y: 0 } : entries[0].at;
  return textOf(parts, entries.map(({ at, heading }) => `${at.x - origin.x},${at.y - origin.y}${heading}`), origin);
}

const carrierAt = (parts: readonly Part[], at: Tile): Part | undefined =>
  parts.find((part) => part.kind !== 'arm' && part.kind !== 'chest' && tilesOf(part).some((tile) => sameTile(tile, at)));

/** Carriers to which two others lead, or one and an entry. */
function joinedIn({ parts, entries = [] }: Layout): ReadonlySet<Part> {
  const ledTo = new Set<Part>();
  const twice = new Set<Part>();
  const carriers = parts.filter(({ kind }) => kind !== 'arm' && kind !== 'chest');
  const ends = [...entries.map(({ at, heading }) => ({ at, heading })), ...carriers.flatMap(endsOf).map(({ at, heading }) => ({ at: stepFrom(at, heading), heading }))];
  for (const { at, heading } of ends) {
    const next = carrierAt(carriers, at);
    if (next === undefined || !takesFrom(next, at, heading)) continue;
    if (ledTo.has(next)) twice.add(next);
    ledTo.add(next);
  }
  return twice;
}

/** Undefined where ways from entries can't be left out, or none is there to be left out. */
export function coreKey(layout: Layout, placed: boolean): string | undefined {
  const { catalog, parts, entries = [] } = layout;
  const { unitsPerTile, turn } = catalog;
  if (turn.inner !== unitsPerTile || turn.outer !== unitsPerTile) return undefined;
  const joined = entries.length === 1 ? undefined : joinedIn(layout);
  const isJoined = joined !== undefined && joined.size > 0;
  if (isJoined && parts.some(({ model }) => 'speed' in model && 4 * model.speed > unitsPerTile)) return undefined;
  const isWhereWaysJoin = (part: Part | undefined): boolean => part !== undefined && joined?.has(part) === true;
  const picked = parts.flatMap((part) => (part.kind === 'arm' ? [pickTile(part)] : []));
  const left = new Set(parts);
  /** `ticks`: from the entry's edge to there. */
  const ends: { readonly at: Tile; readonly text: string; readonly ticks: number }[] = [];
  for (const entry of entries) {
    let at = entry.at;
    let model: PlacedBelt['model'] | undefined;
    for (let ticks = 0; ; ) {
      const here = carrierAt(parts, at);
      const isPlain = here?.kind === 'belt' && !isWhereWaysJoin(here) && !(isJoined && isWhereWaysJoin(carrierAt(parts, stepFrom(at, here.heading))));
      const isWay = isPlain && (model === undefined || model.speed === here.model.speed) && unitsPerTile % here.model.speed === 0;
      if (here === undefined || !isWay || picked.some((tile) => sameTile(tile, at))) {
        const speed = here === undefined || here.kind === 'arm' || here.kind === 'chest' ? undefined : here.model.speed;
        // What comes from a belt of another speed comes otherwise than over an edge.
        ends.push({ at, text: model === undefined || model.speed === speed ? '' : model.name, ticks });
        break;
      }
      left.delete(here);
      model = here.model;
      ticks += unitsPerTile / model.speed;
      at = stepFrom(at, here.heading);
    }
  }
  const origin = placed ? { x: 0, y: 0 } : ends[0].at;
  const first = Math.min(...ends.map(({ ticks }) => ticks));
  const later = (ticks: number): string => (isJoined ? `+${ticks - first}` : '');
  return textOf([...left], ends.map(({ at, text, ticks }) => `${at.x - origin.x},${at.y - origin.y}${text}${later(ticks)}`), origin);
}
