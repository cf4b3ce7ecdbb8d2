/**
 * Crews searched at rising prices of carriers: one after the other, all at one price, each with what is
 * remembered of it, so that no price is searched twice. Which crews there are is in `crew-search.ts`.
 */
import { SearchStopped, type CarrierSearch, type CrewMemory } from './carrier-search.js';
import { crewKey, type Crew } from './crew.js';
import type { Affordable } from './crew-search.js';

/** By crew: the least price of carriers that is left to try, and what the search remembers of it. */
export type CrewMemories = Map<string, { price: number; readonly memory: CrewMemory }>;

/**
 * Searches all crews whose carriers may cost `carriers` at just that price; yields after each, for whoever
 * has to look up now and then. Returns the least price that is left to try; Infinity if there is none.
 */
export function* searchCrews(
  search: CarrierSearch,
  crewsOf: (affordable: Affordable) => Iterable<Crew>,
  splitters: readonly number[],
  carriers: number,
  memories: CrewMemories,
  shouldStop: () => boolean,
): Generator<void, number> {
  let next = Infinity;
  let weighed = 0;
  const affordable = (crew: Crew, whole: boolean): boolean => {
    // Long stretches may hold no affordable crew, and so no other moment to look up.
    if ((++weighed & 63) === 0 && shouldStop()) throw new SearchStopped();
    const least = search.leastCost(crew, splitters, whole);
    if (least <= carriers) return true;
    next = Math.min(next, least);
    return false;
  };
  for (const crew of crewsOf(affordable)) {
    const key = crewKey(crew);
    const known = memories.get(key) ?? { price: 0, memory: { next: [], spots: 0 } };
    memories.set(key, known);
    if (known.price <= carriers) known.price = search.run(crew, splitters, carriers, known.memory);
    next = Math.min(next, known.price);
    yield;
  }
  return next;
}
