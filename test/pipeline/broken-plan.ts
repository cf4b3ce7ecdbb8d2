/**
 * A plan that was broken on purpose: what tests of repairs begin with.
 */
import { HEADINGS } from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';
import { workOf } from '../../src/catalog/catalog.js';
import { costOf, type Layout, type Part } from '../../src/layout/layout.js';

interface Broken {
  readonly layout: Layout;
  readonly damage: number;
  readonly kinds: readonly string[];
}

/** One to three parts taken away or turned, and what it costs to undo that. */
export function broken(layout: Layout, seed: number): Broken {
  const draw = seededRandom(seed);
  const chosen = new Set(Array.from({ length: 1 + draw(3) }, () => draw(layout.parts.length)));
  const { remove, turn } = workOf(layout.catalog);
  const kinds: string[] = [];
  let damage = 0;
  const parts = layout.parts.flatMap((part, index): readonly Part[] => {
    if (!chosen.has(index)) return [part];
    if ((part.kind === 'belt' || part.kind === 'arm') && draw(2) === 0) {
      kinds.push(`turned ${part.kind}`);
      damage += Math.min(turn, remove + costOf(part));
      return [{ ...part, heading: HEADINGS.filter((heading) => heading !== part.heading)[draw(3)] }];
    }
    kinds.push(`removed ${part.kind}`);
    damage += costOf(part);
    return [];
  });
  return { layout: { ...layout, parts }, damage, kinds };
}
