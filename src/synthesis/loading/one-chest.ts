/**
 * Where a crew can pay for one chest only, all arms that fill stand around that one, so few tiles matter: each leaf is one of
 * them, and carriers come to enough of them. Trees that can't are given up, or need what several chests cost.
 */
import type { LoadingSite, Pick } from './loading-site.js';

interface Chest {
  readonly tile: number;
  /** Where an arm may stand that empties it fast enough. */
  readonly emptiedFrom: readonly number[];
  /** By place of an arm that fills it: what it may be, the fastest first. */
  readonly fillers: readonly (readonly Pick[])[];
}

export class OneChest {
  private readonly chests: readonly Chest[];

  constructor(private readonly site: LoadingSite) {
    const { deliveries, picks, led } = site;
    this.chests = deliveries.flatMap((list, tile): readonly Chest[] => {
      const emptiedFrom = list.filter(({ flow }) => flow >= led).map(({ at }) => at);
      const into = picks.flat().filter((pick) => pick.into === tile);
      const places = [...new Set(into.map(({ at }) => at))];
      const fillers = places.map((at) => into.filter((pick) => pick.at === at).sort((a, b) => b.through - a.through));
      return emptiedFrom.length === 0 ? [] : [{ tile, emptiedFrom, fillers }];
    });
  }

  /** Whether one chest may do with these leaves. `mayCome`: whether carriers stand on a tile, or may come to. */
  mayDo(taken: ReadonlySet<number>, leaves: readonly { readonly tiles: readonly number[] }[], mayCome: (tile: number) => boolean): boolean {
    return this.chests.some(({ tile, emptiedFrom, fillers }) => {
      if (taken.has(tile) || emptiedFrom.every((at) => taken.has(at))) return false;
      const free = fillers.filter(([{ at }]) => !taken.has(at));
      if (!leaves.every(({ tiles }) => free.some((picks) => picks.some(({ from }) => tiles.includes(from))))) return false;
      const most = free.reduce((sum, picks) => sum + (picks.find(({ from }) => mayCome(from))?.through ?? 0), 0);
      return most >= this.site.wanted;
    });
  }
}
