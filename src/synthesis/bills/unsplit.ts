/**
 * Without splitters all items of an arm come to one lane of one exit: lanes never mix, and a tee merge brings what it takes
 * from the side onto one lane. So arms must be dealt out to lanes whole; the sum of their rates alone may promise more.
 */
import type { Counts } from '../site/bill.js';
import type { SiteMap } from '../site/site-map.js';

/** There are too many ways of dealing arms out to more lanes, so nothing is said of them. */
const MOST_EXITS = 6;

/** Whether so many load arms of each model may give every exit what it asks for, if no splitter divides what they bring. */
export function maySufficeUnsplit(
  { demands, bestLane, endCapacities, belts, exitBelt }: Pick<SiteMap, 'demands' | 'bestLane' | 'endCapacities' | 'belts' | 'exitBelt'>,
  loads: Counts,
): boolean {
  if (demands.length > MOST_EXITS) return true;
  const failed = new Set<string>();
  const flow = (counts: Counts, exit: number): number =>
    Math.min(endCapacities[belts[exitBelt[exit]].speed], bestLane.reduce((sum, rate, m) => sum + counts[m] * rate, 0));
  const without = (counts: Counts, some: Counts): Counts => counts.map((n, m) => n - some[m]);
  const serves = (exit: number, left: Counts): boolean => {
    if (exit === demands.length) return true;
    const key = `${exit}:${left.join()}`;
    if (failed.has(key)) return false;
    const { left: onLeft, right: onRight, total } = demands[exit];
    for (const some of partsOf(left)) {
      const given = flow(some, exit);
      if (given < onLeft) continue;
      const rest = without(left, some);
      for (const others of partsOf(rest)) {
        const more = flow(others, exit);
        if (more >= onRight && given + more >= total && serves(exit + 1, without(rest, others))) return true;
      }
    }
    failed.add(key);
    return false;
  };
  return serves(0, loads);
}

/** Every vector of counts that is nowhere above `counts`. */
export function partsOf(counts: Counts): readonly Counts[] {
  return counts.reduce<readonly Counts[]>(
    (parts, most) => parts.flatMap((part) => Array.from({ length: most + 1 }, (_, n) => [...part, n])),
    [[]],
  );
}
