/**
 * The order in which to build: each part after all that it passes to, whatever the plan; and by hand.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildOrder } from '../../src/layout/build-order.js';
import { tilesOf, type Layout } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { jsonFiles, planOf, SEED } from '../documents.js';
import { arbitraryPlan } from '../oracles/random-plans.js';

/** Pairs of parts: the first passes items to the second, or lifts from or to it. */
function passes(layout: Layout): readonly (readonly [from: number, to: number])[] {
  const { carriers } = deriveNetwork(layout);
  return carriers.flatMap(({ part, next }) => (next.kind === 'carrier' && carriers[next.carrier].part !== part ? [[part, carriers[next.carrier].part] as const] : []));
}

/** Whether the way on from one part leads to another. */
function leadsTo(start: number, end: number, edges: readonly (readonly [number, number])[]): boolean {
  const seen = new Set<number>();
  const waiting = [start];
  for (let at = waiting.pop(); at !== undefined; at = waiting.pop()) {
    for (const [from, to] of edges) {
      if (from !== at) continue;
      if (to === end) return true;
      if (!seen.has(to)) waiting.push(to);
      seen.add(to);
    }
  }
  return false;
}

describe('the order in which to build', () => {
  it('goes from the exit upstream, branch by branch, then to chests, then to arms', () => {
    const layout = planOf('models/plans/grain-two-exits.json');
    const steps = buildOrder(layout).map((index) => {
      const part = layout.parts[index];
      return `${part.kind} ${tilesOf(part).map(({ x, y }) => `${x},${y}`).join(' ')}`;
    });
    expect(steps).toEqual([
      'underpass 2,5 2,7',
      'belt 3,7',
      'belt 3,6',
      'belt 3,5',
      'splitter 3,4 2,4',
      'belt 2,3',
      'belt 2,2',
      'belt 2,1',
      'chest 0,1',
      'chest 4,1',
      'arm 1,1',
      'arm 3,1',
      'arm 0,0',
      'arm 4,0',
    ]);
  });

  it('has every part of any plan once, each after what it passes to unless that is on a ring with it', () => {
    let checked = 0;
    fc.assert(
      fc.property(arbitraryPlan, (layout) => {
        const order = buildOrder(layout);
        expect([...order].sort((a, b) => a - b)).toEqual(layout.parts.map((_, index) => index));
        const at = new Map(order.map((part, place) => [part, place]));
        const edges = passes(layout);
        for (const [from, to] of edges) {
          if (leadsTo(to, from, edges)) continue;
          checked += 1;
          expect(at.get(from)).toBeGreaterThan(at.get(to) ?? Infinity);
        }
        const kinds = order.map((part) => layout.parts[part].kind);
        const firstOf = (...wanted: readonly string[]): number => kinds.findIndex((kind) => wanted.includes(kind));
        const lastOf = (...wanted: readonly string[]): number => kinds.findLastIndex((kind) => wanted.includes(kind));
        if (kinds.includes('chest')) expect(firstOf('chest')).toBeGreaterThan(lastOf('belt', 'splitter', 'underpass'));
        if (kinds.includes('arm')) expect(firstOf('arm')).toBeGreaterThan(lastOf('belt', 'splitter', 'underpass', 'chest'));
      }),
      { seed: SEED, numRuns: 300 },
    );
    expect(checked).toBeGreaterThan(100);
  });

  it('is the same however the plan lists its parts', () => {
    for (const path of jsonFiles('models/plans')) {
      const layout = planOf(path);
      const turned = { ...layout, parts: [...layout.parts].reverse() };
      expect(buildOrder(turned).map((index) => turned.parts[index])).toEqual(buildOrder(layout).map((index) => layout.parts[index]));
    }
  });
});
