/**
 * Whether carriers leave room for the arms that are needed beside the wagons: from each place there, an arm brings no more
 * than the best does for which there is still room, of chest and arm that fills it too. Carriers to come take more room, so
 * what has too little has none at any price. What arms cost is in `loading-prices.ts`.
 */
import type { TileSet } from './laid-forest.js';
import { worksAt, type Delivery } from './loading-arms.js';
import type { LoadingSite } from './loading-site.js';

interface ArmPlace {
  readonly at: number;
  readonly wagon: number;
  readonly chests: readonly (Delivery & { readonly tile: number; /** Where arms that fill it may stand. */ readonly fillers: readonly number[] })[];
  /** What an arm there takes straight from a belt at most. */
  readonly straight: number;
}

export class Room {
  private readonly places: readonly ArmPlace[];
  private readonly matters: readonly boolean[];
  /** By wagon: what chests, and what the best of either, can bring. */
  private readonly byChests: number[];
  private readonly best: number[];

  /** `place`: where the wagons stop. */
  constructor(private readonly site: LoadingSite, place: number) {
    const { picks, deliveries, wagonLed } = site;
    const all = picks.flat();
    const chests = deliveries.flatMap((list, tile) =>
      list.map((delivery) => ({ ...delivery, tile, fillers: all.flatMap(({ into, at }) => (into === tile && at !== delivery.at ? [at] : [])) })),
    );
    const straights = all.filter((pick) => pick.into < 0 && worksAt(pick, place));
    // Beyond an end of the track an arm may reach one wagon or the next: a place beside each of them.
    const beside = wagonLed.flatMap((_, wagon) => [...new Set([...chests, ...straights].flatMap((each) => (each.wagons[place] === wagon ? [each.at] : [])))].map((at) => ({ at, wagon })));
    this.places = beside.map(({ at, wagon }): ArmPlace => {
      const isHere = (each: { readonly at: number; readonly wagons: readonly number[] }): boolean => each.at === at && each.wagons[place] === wagon;
      return { at, wagon, chests: chests.filter(isHere), straight: Math.max(0, ...straights.filter(isHere).map(({ through }) => through)) };
    });
    const tiles = new Set(this.places.flatMap(({ at, chests: own }) => [at, ...own.flatMap(({ tile, fillers }) => [tile, ...fillers])]));
    this.matters = Array.from({ length: site.tiles }, (_, tile) => tiles.has(tile));
    this.byChests = wagonLed.map(() => 0);
    this.best = wagonLed.map(() => 0);
  }

  /** Whether what stands on a tile may change the answer. */
  isAsked(tiles: readonly number[]): boolean {
    return tiles.some((tile) => this.matters[tile]);
  }

  isLeft(taken: TileSet): boolean {
    const { site, byChests, best } = this;
    const { brought, led, wagonLed } = site;
    byChests.fill(0);
    best.fill(0);
    for (const { at, wagon, chests, straight } of this.places) {
      if (taken.has(at)) continue;
      let most = 0;
      for (const { tile, flow, fillers } of chests) {
        if (flow > most && !taken.has(tile) && fillers.some((filler) => !taken.has(filler))) most = flow;
      }
      byChests[wagon] += most;
      best[wagon] += Math.max(most, straight);
    }
    let [allByChests, all] = [0, 0];
    for (let wagon = 0; wagon < wagonLed.length; wagon++) {
      // However many arms take straight from belts, they bring no more than comes in.
      if (Math.min(best[wagon], byChests[wagon] + brought) < wagonLed[wagon]) return false;
      allByChests += byChests[wagon];
      all += best[wagon];
    }
    return Math.min(all, allByChests + brought) >= led;
  }
}
