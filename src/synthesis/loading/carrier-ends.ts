/** Where carriers of a loading station begin, and onto what their ends lead. */
import { backOf, sameTile, stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import { borderTile } from '../../base/ground.js';
import type { EntryDemand } from '../../brief/load-job.js';
import { tilesOf, underpassHeading, wagonAt, type Part, type PlacedEntry } from '../../layout/layout.js';
import type { LoadingSite } from './loading-site.js';

/** Where a belt may come in, heading inward. */
export function placesOf(site: Pick<LoadingSite, 'indexOf' | 'isOpen' | 'brief'>, { edge, from, to }: EntryDemand): readonly PlacedEntry[] {
  const heading = backOf(edge);
  return Array.from({ length: to - from + 1 }, (_, index) => borderTile(site.brief.site, edge, from + index))
    .filter((at) => site.indexOf(at) >= 0 && site.isOpen(site.indexOf(at)) && wagonAt(site.brief.wagons, stepFrom(at, edge)) === undefined)
    .map((at) => ({ at, heading, give: undefined }));
}

/** Whether a part takes what comes onto a tile of it with a heading. */
export function takesFrom(part: Part, tile: Tile, heading: Heading): boolean {
  switch (part.kind) {
    case 'belt':
      return part.heading !== backOf(heading);
    case 'splitter':
      return part.heading === heading;
    case 'underpass':
      return sameTile(part.from, tile) && underpassHeading(part) === heading;
    default:
      return false;
  }
}

/** Whether no end that is to lead nowhere faces a carrier that would take its items. */
export function endNowhere(ends: readonly { readonly at: Tile; readonly heading: Heading }[], parts: readonly Part[]): boolean {
  return ends.every(({ at, heading }) => {
    const ahead = stepFrom(at, heading);
    return parts.every((part) => !takesFrom(part, ahead, heading) || !tilesOf(part).some((tile) => sameTile(tile, ahead)));
  });
}
