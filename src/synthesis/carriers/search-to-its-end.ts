/** Runs a search that others share in to its end, on a thread of its own. */
import { SearchStopped } from './carrier-search.js';

/** What a search comes to; undefined where it was stopped before. `begin` may throw `SearchStopped`, too. */
export function searchToItsEnd<T>(begin: () => Generator<unknown, T>, shouldStop: () => boolean): T | undefined {
  try {
    const search = begin();
    let step = search.next();
    while (step.done !== true) {
      if (shouldStop()) throw new SearchStopped();
      step = search.next();
    }
    return step.value;
  } catch (thrown) {
    if (!(thrown instanceof SearchStopped)) throw thrown;
    return undefined;
  }
}
