/**
 * How a family's crews are dealt out to the shares of its search. Where chests can stand in many ways, all crews with the
 * same chests belong to one share, so that each is put together once. But a few chests may take nearly all of the time:
 * crews with these belong to every share, each of which goes through a part of their networks. The shares of one crew's
 * networks are in `carriers/share.ts`.
 */
import { WHOLE, type Share } from '../carriers/share.js';
import { chestsOf, isOfChests } from '../crews/crew-search.js';
import type { Crew } from '../site/crew.js';

/** From so many ways of placing the chests on, whole crews are dealt out. */
const FEWEST_CHEST_SETS = 500;
/** Steps of one share's search for the carriers of all crews with the same chests. */
const LONG_STEPS = 1_000;

export const NONE_DIVIDED: ReadonlySet<string> = new Set();

export class CrewShares {
  private readonly steps = new Map<string, number>();
  private readonly byChests: boolean;

  /** `chestSets`: ways of placing the chests; `divided`: chests, by name, whose crews belong to all shares. Once divided, they must stay so. */
  constructor(
    private readonly share: Share,
    chestSets: number,
    private readonly divided: ReadonlySet<string>,
  ) {
    this.byChests = share.of > 1 && chestSets >= FEWEST_CHEST_SETS;
  }

  /** Whether any crew of a group may belong to this share. */
  mayHold(group: string): boolean {
    if (!this.byChests || !isOfChests(group) || this.divided.has(group)) return true;
    return placeOf(group, this.share.of) === this.share.index;
  }

  /** Of a crew that does: the share of its networks. */
  shareOf(crew: Crew): Share {
    return this.byChests && !this.divided.has(chestsOf(crew)) ? WHOLE : this.share;
  }

  /** Told how many steps a crew's networks took. */
  note(crew: Crew, steps: number): void {
    if (!this.byChests) return;
    const chests = chestsOf(crew);
    this.steps.set(chests, (this.steps.get(chests) ?? 0) + steps);
  }

  /** Chests, by name, whose crews took so long that they are better divided from now on. */
  get long(): readonly string[] {
    return [...this.steps].flatMap(([chests, steps]) => (steps > LONG_STEPS && !this.divided.has(chests) ? [chests] : []));
  }
}

function placeOf(name: string, of: number): number {
  let hash = 0x811c9dc5;
  for (let i = 0; i < name.length; i++) hash = Math.imul(hash ^ name.charCodeAt(i), 0x01000193);
  return ((hash ^ (hash >>> 15)) >>> 0) % of;
}
