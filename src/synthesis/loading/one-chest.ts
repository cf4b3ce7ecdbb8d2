/**
 * Where a crew can pay for one chest only, all arms that fill stand around that one, so few tiles matter: each leaf is one of
 * them, and carriers come to enough of them. Trees that can't are given up, or need what several chests cost.
 */
import type { TileSet } from './laid-forest.js';
import type { Delivery, Pick } from './loading-arms.js';
import type { LoadingSite } from './loading-site.js';

interface Chest {
  readonly tile: number;
  /** Arms that empty it fast enough. */
  readonly emptiedBy: readonly Delivery[];
  /** By place of an arm that fills it the fastest one; whichever it is, it picks from the same tile. */
  readonly fillers: readonly Pick[];
}

export class OneChest {
  private readonly chests: readonly Chest[];
  /** Whether it matters where ways meet: no arm alone takes what is wanted, and two or more may take too much. */
  readonly asksWhereWaysMeet: boolean;

  constructor(private readonly site: LoadingSite) {
    const { deliveries, picks, led, wanted, takenByTwo } = site;
    this.chests = deliveries.flatMap((list, tile): readonly Chest[] => {
      const emptiedBy = list.filter(({ flow }) => flow >= led);
      const into = picks.flat().filter((pick) => pick.into === tile);
      const places = [...new Set(into.map(({ at }) => at))];
      const fillers = places.map((at) => into.filter((pick) => pick.at === at).reduce((best, pick) => (pick.through > best.through ? pick : best)));
      return emptiedBy.length === 0 ? [] : [{ tile, emptiedBy, fillers }];
    });
    this.asksWhereWaysMeet = takenByTwo > 0 && picks.flat().every(({ through }) => through < wanted);
  }

  /**
   * Whether one chest may do with these leaves. `mayCome`: whether carriers stand on a tile, or may come to; `mayMeet`: whether
   * ways may meet there, if what is known of arms that pick from elsewhere holds.
   */
  mayDo(taken: TileSet, leaves: readonly { readonly tiles: readonly number[] }[], mayCome: (tile: number) => boolean, mayMeet?: (tile: number) => boolean): boolean {
    return this.chests.some(({ tile, emptiedBy, fillers }) => {
      if (taken.has(tile) || emptiedBy.every(({ at }) => taken.has(at))) return false;
      if (!leaves.every(({ tiles }) => fillers.some(({ at, from }) => tiles.includes(from) && !taken.has(at)))) return false;
      if (mayMeet !== undefined && !this.isEmptied(emptiedBy, taken) && !fillers.some(({ at, from }) => !taken.has(at) && mayMeet(from))) return false;
      let most = 0;
      for (const { at, from, through } of fillers) if (!taken.has(at) && mayCome(from)) most += through;
      return most >= this.site.wanted;
    });
  }

  /** Whether an arm for which there is room empties a chest as fast as two or more fill it at least. */
  private isEmptied(emptiedBy: readonly Delivery[], taken: TileSet): boolean {
    return emptiedBy.some(({ at, flow }) => flow >= this.site.takenByTwo && !taken.has(at));
  }
}
