/**
 * Which of a plan's exits a brief's ranges mean, against trying every way.
 */
import { expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { placesFor } from '../../src/tasks/mend-terms.js';

type Ranges = Parameters<typeof placesFor>[0];
type Places = Parameters<typeof placesFor>[1];

const seed = Number(process.env['TRANSLOOM_SEED'] ?? 1);

/** The first way in the order of places, or the first range that no way reaches. */
function byTrying(ranges: Ranges, places: Places): readonly number[] | { readonly none: number } {
  let farthest = 0;
  const from = (taken: readonly number[]): readonly number[] | undefined => {
    const range = ranges.at(taken.length);
    if (range === undefined) return taken;
    farthest = Math.max(farthest, taken.length);
    for (const [index, { edge, along }] of places.entries()) {
      if (edge !== range.edge || along < range.from || along > range.to || taken.includes(index)) continue;
      const found = from([...taken, index]);
      if (found !== undefined) return found;
    }
    return undefined;
  };
  return from([]) ?? { none: farthest };
}

it(`is the first way that there is, or the first range that is left without (from seed ${seed})`, () => {
  const draw = seededRandom(seed);
  const seen = { found: 0, none: 0 };
  for (let times = 0; times < 3_000; times++) {
    const edge = (): 'S' | 'E' => (draw(3) === 0 ? 'E' : 'S');
    const places: Places = Array.from({ length: 1 + draw(6) }, () => ({ edge: edge(), along: draw(6) }));
    const ranges: Ranges = Array.from({ length: 1 + draw(5) }, () => {
      const from = draw(6);
      return { edge: edge(), from, to: from + draw(6 - from) };
    });
    const found = placesFor(ranges, places);
    expect({ places, ranges, found }).toEqual({ places, ranges, found: byTrying(ranges, places) });
    seen['none' in found ? 'none' : 'found']++;
  }
  expect(Math.min(...Object.values(seen))).toBeGreaterThan(100);
});

it('takes no time where many places are one too few', () => {
  const places: Places = Array.from({ length: 31 }, (_, along) => ({ edge: 'S' as const, along }));
  const ranges: Ranges = Array.from({ length: 32 }, () => ({ edge: 'S' as const, from: 0, to: 40 }));
  expect(placesFor(ranges, places)).toEqual({ none: 31 });
  expect(placesFor(ranges.slice(1), places)).toEqual(places.map((_, index) => index));
});
