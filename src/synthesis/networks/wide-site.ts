/**
 * A site with room for all copies of a network at once. On a bare site, networks that are copies of one another cost the same
 * and flow the same, column by column (`westmost.ts`); of a crew's copies the one furthest west, with as many free columns
 * beside it as the site is wide, has every network that any of them has. Some of these are too wide for the site itself.
 */
import type { Brief } from '../../brief/brief.js';
import type { CarrierView } from '../carriers/carrier-network.js';
import type { Westmost } from '../crews/westmost.js';
import { soleFillsOf } from '../crews/crew-search.js';
import type { Candidates, LoadCandidate } from '../site/candidates.js';
import type { Crew } from '../site/crew.js';
import { siteMap, type Price, type SiteMap } from '../site/site-map.js';

export class WideSite {
  readonly map: SiteMap;
  /** Those of the site itself, its loads from west to east: nothing stands in the columns beside it but carriers. */
  readonly spots: Candidates;
  /** Loads before this one are the westmost of every crew that no other one speaks for. */
  readonly firstLoads: number;

  constructor(
    brief: Brief,
    price: Price,
    private readonly site: SiteMap,
    spots: Candidates,
    private readonly westmost: Westmost,
  ) {
    const { width } = site;
    const exits = brief.exits.map((exit) => ({ ...exit, to: exit.to + width }));
    const wagons = brief.wagons.map((wagon) => ({ ...wagon, at: wagon.at + width }));
    this.map = siteMap({ ...brief, site: { ...brief.site, width: 2 * width }, exits, wagons }, price);
    const wide = (tile: number): number => (tile < 0 ? tile : tile + width * (1 + Math.floor(tile / width)));
    const westEnd = ({ tile, chestTile, target }: LoadCandidate): number => Math.min(...[tile, chestTile, target].filter((at) => at >= 0).map((at) => at % width));
    const loads = [...spots.loads].sort((a, b) => westEnd(a) - westEnd(b));
    this.spots = {
      chestTiles: spots.chestTiles.map(wide),
      fills: spots.fills.map((fill) => ({ ...fill, tile: wide(fill.tile), chestTile: wide(fill.chestTile) })),
      loads: loads.map((load) => ({ ...load, tile: wide(load.tile), chestTile: wide(load.chestTile), target: wide(load.target) })),
    };
    const soleFills = soleFillsOf(site, spots);
    this.firstLoads = loads.findLastIndex((load) => !westmost.mayStepWest(load, soleFills.get(load.chestTile))) + 1;
  }

  /** Of a crew here: whether another one speaks for it. Where it is open what fills a chest, that may be known further west, and stand in the way. */
  hasCopyInTheWest(crew: Crew): boolean {
    const isFilled = (_: unknown, chest: number): boolean => crew.arms.some((arm) => arm.role === 'fill' && arm.chest === chest);
    const own = crewOn(crew, (tile) => this.onSite(tile, 0));
    return crew.chests.every(isFilled) && this.westmost.told(own).copyInTheWest !== undefined;
  }

  /** The first copy, from the west, that fits on the site itself; undefined where none does. */
  copyOf(view: CarrierView, crew: Crew): { readonly view: CarrierView; readonly crew: Crew } | undefined {
    const { width } = this.site;
    const columns = [...view.tail.subarray(0, view.count), ...view.head.subarray(0, view.count)].map((tile) => (tile % (2 * width)) - width);
    const first = Math.min(...columns);
    const last = Math.max(...columns);
    for (let by = Math.max(0, -first); last + by < width; by++) {
      const moved = (tile: number): number => this.onSite(tile, by);
      const copy = crewOn(crew, moved);
      if (!this.westmost.mayStand(copy)) continue;
      return { view: { ...viewOf(view), tail: view.tail.map(moved), head: view.head.map(moved) }, crew: copy };
    }
    return undefined;
  }

  /** A tile of the site itself, so many columns further east than one here; one of other rows where there is none. */
  private onSite(tile: number, by: number): number {
    const { width } = this.site;
    const row = Math.floor(tile / (2 * width));
    return tile - width * (row + 1) + by;
  }
}

const crewOn = ({ chests, arms }: Crew, moved: (tile: number) => number): Crew => ({
  chests: chests.map((chest) => ({ ...chest, tile: moved(chest.tile) })),
  arms: arms.map((arm) => ({ ...arm, tile: moved(arm.tile), target: moved(arm.target) })),
});

const viewOf = ({ count, kind, heading, model, tail, head, mate, next, speed }: CarrierView): CarrierView => ({ count, kind, heading, model, tail, head, mate, next, speed });
