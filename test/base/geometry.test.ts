/**
 * Headings as on a compass with N toward the wagon (-y); looking N, E is at the right hand.
 */
import { describe, expect, it } from 'vitest';
import {
  backOf,
  boxHolds,
  compareTiles,
  HEADINGS,
  leftOf,
  rightHalfOf,
  rightOf,
  stepFrom,
} from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';

describe('headings', () => {
  it.each([
    ['N', 'E', { x: 5, y: 4 }],
    ['E', 'S', { x: 6, y: 5 }],
    ['S', 'W', { x: 5, y: 6 }],
    ['W', 'N', { x: 4, y: 5 }],
  ] as const)('%s has %s at its right hand and leads to %j', (heading, right, ahead) => {
    expect(rightOf(heading)).toBe(right);
    expect(stepFrom({ x: 5, y: 5 }, heading)).toEqual(ahead);
    expect(leftOf(rightOf(heading))).toBe(heading);
    expect(backOf(heading)).toBe(rightOf(rightOf(heading)));
    expect(rightHalfOf({ x: 5, y: 5 }, heading)).toEqual(stepFrom({ x: 5, y: 5 }, right));
  });

  it('are four, in clockwise order', () => {
    expect(HEADINGS.map(rightOf)).toEqual(['E', 'S', 'W', 'N']);
  });
});

describe('tiles', () => {
  it('are in order of (y, x)', () => {
    const tiles = [
      { x: 0, y: 1 },
      { x: 2, y: 0 },
      { x: 1, y: 0 },
    ];
    expect(tiles.sort(compareTiles)).toEqual([
      { x: 1, y: 0 },
      { x: 2, y: 0 },
      { x: 0, y: 1 },
    ]);
  });

  it('lie in a box up to, not on, its far edges', () => {
    const box = { x: 1, y: 2, width: 2, height: 1 };
    const inside = [0, 1, 2, 3].flatMap((x) => [1, 2, 3].map((y) => ({ x, y }))).filter((tile) => boxHolds(box, tile));
    expect(inside).toEqual([
      { x: 1, y: 2 },
      { x: 2, y: 2 },
    ]);
  });
});

describe('seededRandom', () => {
  it('gives the same sequence for a seed, another for another, and keeps below its bound', () => {
    const draw = (seed: number): readonly number[] => {
      const random = seededRandom(seed);
      return Array.from({ length: 1000 }, () => random(10));
    };
    expect(draw(7)).toEqual(draw(7));
    expect(draw(7)).not.toEqual(draw(8));
    const counts = Array.from({ length: 10 }, (_, value) => draw(7).filter((drawn) => drawn === value).length);
    expect(counts.reduce((sum, count) => sum + count, 0)).toBe(1000);
    expect(Math.min(...counts)).toBeGreaterThan(60);
  });
});
