/**
 * Moves to an exit, against a walk that takes them one by one.
 */
import { describe, expect, it } from 'vitest';
import type { Heading } from '../../src/base/geometry.js';
import { ONE, ZERO } from '../../src/base/rational.js';
import type { ExitDemand } from '../../src/brief/brief.js';
import { movesTo } from '../../src/synthesis/site/least-moves.js';
import { beltModel } from '../simulation/sketch.js';

const SITE = { width: 4, depth: 5, top: 0 };
/** The same with rows counted from the north of another side. */
const SIDES = { ...SITE, top: -4 };
const target = { left: ZERO, right: ZERO, total: ONE };
const exitOver = (edge: Heading, from: number, to: number): ExitDemand => ({ edge, from, to, belt: beltModel(), target });

/** Moves until an item has left over the edge, breadth first over all tiles. */
function walk(start: number, edge: Heading, from: number, to: number): number {
  const { width, depth } = SITE;
  const seen = new Map([[start, 0]]);
  for (const [tile, moves] of seen) {
    const [x, y] = [tile % width, Math.floor(tile / width)];
    const along = edge === 'N' || edge === 'S' ? x : y;
    const atEdge = { N: y === 0, S: y === depth - 1, W: x === 0, E: x === width - 1 }[edge];
    if (atEdge && along >= from && along <= to) return moves + 1;
    for (const [nx, ny] of [[x, y - 1], [x + 1, y], [x, y + 1], [x - 1, y]]) {
      const next = ny * width + nx;
      if (nx >= 0 && ny >= 0 && nx < width && ny < depth && !seen.has(next)) seen.set(next, moves + 1);
    }
  }
  return Infinity;
}

describe('least moves', () => {
  it.each(['N', 'E', 'S', 'W'] as const)('over the edge %s are those of a walk', (edge) => {
    for (const [from, to] of [[0, 3], [1, 2], [3, 3]]) {
      for (let tile = 0; tile < SITE.width * SITE.depth; tile++) {
        const [first, last] = edge === 'N' || edge === 'S' ? [from, to] : [from + SIDES.top, to + SIDES.top];
        expect(movesTo(SITE, tile, exitOver(edge, from, to)), `from ${tile} to ${from}..${to}`).toBe(walk(tile, edge, from, to));
        expect(movesTo(SIDES, tile, exitOver(edge, first, last)), `from ${tile} to ${first}..${last}`).toBe(walk(tile, edge, from, to));
      }
    }
  });
});
