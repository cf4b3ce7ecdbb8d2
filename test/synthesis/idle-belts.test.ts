/** Stations that are cheapest by an idle belt, each held against brute force. */
import { expect, it } from 'vitest';
import { deriveNetwork } from '../../src/layout/network.js';
import type { Layout } from '../../src/layout/layout.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { compareDesign } from '../oracles/compare-designs.js';
import { tinyBrief } from '../oracles/random-briefs.js';

/** Belts that nothing comes onto: no arm places there, and no carrier that is not idle leads there. */
function idleBelts(layout: Layout): number {
  const { carriers, arms } = deriveNetwork(layout);
  const used = new Set(arms.flatMap(({ place }) => (place.kind === 'carrier' ? [place.carrier] : [])));
  for (const carrier of used) {
    for (const half of carriers.filter(({ part }) => part === carriers[carrier].part)) if (half.next.kind === 'carrier') used.add(half.next.carrier);
  }
  return carriers.filter(({ index }) => !used.has(index)).length;
}

it.each([
  ['beside a last stretch', 79, 9],
])('an idle belt %s', async (_, seed, price) => {
  const brief = tinyBrief(seed);
  if (brief === undefined) throw new Error('no brief');
  const { outcome, compared, difference } = await compareDesign(brief, await loadGlpkSolver(), { mostSteps: 40_000, timeLimitSeconds: 30 });
  expect([compared, difference]).toEqual([true, undefined]);
  if (outcome.status !== 'optimal') throw new Error(outcome.status);
  expect(outcome.proof.cost).toBe(price);
  expect(idleBelts(outcome.layout)).toBeGreaterThan(0);
});
