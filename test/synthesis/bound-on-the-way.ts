/**
 * The bound on repairs on the way to a repair that is known: from a plan to a whole one, part by part.
 */
import type { Part } from '../../src/layout/layout.js';
import type { MendBound } from '../../src/synthesis/repair/mend-bound.js';
import { keyOf, MendState, type Universe } from '../../src/synthesis/repair/mend-universe.js';

export interface OnTheWay {
  /** The bound, and what the rest of the way costs. */
  readonly least: number;
  readonly price: number;
}

/** At the plan as it stands and after each change; undefined where a part of the whole one is never bought: of models that act alike only the cheapest is. */
export function boundOnTheWay(universe: Universe, bound: MendBound, whole: readonly Part[]): readonly OnTheWay[] | undefined {
  const numbers = new Map(universe.placements.map(({ part }, id) => [keyOf(part), id]));
  const there = whole.map((part) => numbers.get(keyOf(part)));
  if (there.includes(undefined)) return undefined;
  const wanted = new Set(there.filter((id) => id !== undefined));
  const goal = new MendState(universe);
  const ids = universe.placements.flatMap((_, id) => (wanted.has(id) === id < universe.standing ? [] : [id]));
  const order = [...ids.filter((id) => id >= universe.standing), ...ids.filter((id) => id < universe.standing)];
  for (const id of order) if (id >= universe.standing || goal.stands[id] === 1) goal.change(id);
  const state = new MendState(universe);
  return [-1, ...order].map((id) => {
    if (id >= 0 && (id >= universe.standing || state.stands[id] === 1)) state.change(id);
    return { least: bound.least(state, Infinity), price: goal.price - state.price };
  });
}
