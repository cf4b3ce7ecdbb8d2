/**
 * From the search's arrays to a layout: the only way out of the search.
 */
import { headingOf, inCatalog, placeOf, type SiteMap } from '../site/site-map.js';
import type { Tile } from '../../base/geometry.js';
import type { Layout, Part, PlacedExit } from '../../layout/layout.js';
import { BELT, DEAD, SPLITTER_LEFT, SPLITTER_RIGHT, UNDERPASS, exitOf, type CarrierView } from './carrier-network.js';
import type { Crew } from '../site/crew.js';

export function buildLayout(map: SiteMap, view: CarrierView, crew: Crew): Layout {
  const at = (tile: number): Tile => placeOf(map, tile);
  const { catalog } = map.brief;
  const parts: Part[] = [
    ...crew.chests.map((chest): Part => ({ kind: 'chest', at: at(chest.tile), model: inCatalog(catalog.chests, map.chests[chest.model]) })),
    ...crew.arms.map(
      (arm): Part => ({ kind: 'arm', at: at(arm.tile), heading: headingOf(arm.heading), model: inCatalog(catalog.arms, map.arms[arm.model]) }),
    ),
  ];
  const exits: (PlacedExit | undefined)[] = map.demands.map(() => undefined);
  for (let c = 0; c < view.count; c++) {
    const heading = headingOf(view.heading[c]);
    switch (view.kind[c]) {
      case BELT:
        parts.push({ kind: 'belt', at: at(view.tail[c]), heading, model: inCatalog(catalog.belts, map.belts[view.model[c]]) });
        break;
      case SPLITTER_LEFT:
        parts.push({ kind: 'splitter', at: at(view.tail[c]), heading, model: inCatalog(catalog.splitters, map.splitters[view.model[c]]) });
        break;
      case UNDERPASS:
        parts.push({ kind: 'underpass', from: at(view.tail[c]), to: at(view.head[c]), model: inCatalog(catalog.underpasses, map.underpasses[view.model[c]]) });
        break;
      case SPLITTER_RIGHT:
        break;
    }
    if (view.next[c] < DEAD) exits[exitOf(view.next[c])] = { at: at(view.head[c]), heading, take: undefined };
  }
  const { name, site, wagons } = map.brief;
  return { name, catalog, site, wagons, parts, exits: exits.filter((exit) => exit !== undefined) };
}
