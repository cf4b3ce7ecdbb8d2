/**
 * What a drawn station can do without: arms that its chests do not keep up with, then all that it does not need for what it is
 * asked. So its price comes near to the best one's, and a bound that is too high shows.
 */
import type { Layout } from '../../src/layout/layout.js';
import { sameTile } from '../../src/base/geometry.js';
import { pick, type Draw } from './random-networks.js';

export interface Rules {
  /** The layout without a part, and without what is of no use then. */
  readonly without: (layout: Layout, part: number) => Layout;
  /** Whether a search is to know of it. */
  readonly isSound: (layout: Layout) => boolean;
  readonly passes: (layout: Layout) => boolean;
}

export const withoutPart = (layout: Layout, part: number): Layout => ({ ...layout, parts: layout.parts.filter((_, other) => other !== part) });

/** With fewer arms, one after the other left out, until it passes; undefined where it never does. */
export function watered(draw: Draw, layout: Layout, { without, isSound, passes }: Rules): Layout | undefined {
  let left = layout;
  while (!passes(left)) {
    const arms = [...left.parts.entries()].filter(([, { kind }]) => kind === 'arm');
    const fewer = arms.map(([part]) => without(left, part)).filter(isSound);
    if (fewer.length === 0) return undefined;
    left = pick(draw, fewer);
  }
  return left;
}

/** Without what it can do without, one part after the other, and with cheaper belts where they do: nothing else is changed. */
export function thrifty(layout: Layout, { without, isSound, passes }: Rules): Layout {
  let best = layout;
  for (let index = layout.parts.length - 1; index >= 0; index--) {
    const part = best.parts.at(index);
    if (part === undefined) continue;
    const isAtEdge = part.kind === 'belt' && [...best.exits, ...(best.entries ?? [])].some(({ at }) => sameTile(at, part.at));
    const cheaper = part.kind !== 'belt' || isAtEdge ? [] : best.catalog.belts.filter(({ cost }) => cost < part.model.cost).map((model): Layout => ({ ...best, parts: best.parts.with(index, { ...part, model }) }));
    best = [without(best, index), ...cheaper].find((other) => isSound(other) && passes(other)) ?? best;
  }
  return best;
}
