/**
 * Starts of visit runs: in a staggered one each arm is held back by a seeded number of ticks below one of its cycles, as in
 * trials (`starts.ts`), whatever it lifts from.
 */
import { seededRandom } from '../base/random.js';
import type { Layout } from '../layout/layout.js';

/** Ticks by arm, in the order of the layout's parts; none in the standard start, 0. */
export function visitDelays({ parts, catalog }: Layout, seed: number, start: number): readonly number[] {
  const draw = seededRandom((seed ^ Math.imul(start, 0x9e3779b1)) >>> 0);
  const slowest = parts.reduce((least, part) => (part.kind === 'arm' || part.kind === 'chest' ? least : Math.min(least, part.model.speed)), catalog.pitch);
  return parts.flatMap((part): readonly number[] => {
    if (part.kind !== 'arm') return [];
    const { grabTicks, swingTicks, payload, releaseTicks } = part.model;
    const cycle = grabTicks + 2 * swingTicks + 1 + payload * Math.max(releaseTicks, Math.ceil(catalog.pitch / slowest));
    return [start === 0 ? 0 : draw(cycle)];
  });
}
