/**
 * Whether a watched run holds its items where the reference simulator holds them, after every tick: the strictest
 * comparison, and the one that names the first tick in which two simulators part.
 */
import { compareTiles, type Tile } from '../../src/base/geometry.js';
import type { Layout, PlacedArm, Side } from '../../src/layout/layout.js';
import { referenceRun } from '../../src/audit/reference-simulator.js';

interface Place {
  readonly tile: Tile;
  readonly lane: Side;
  readonly position: number;
}

/** What this comparison needs of a run that can be watched. */
export interface WatchedRun {
  step(): void;
  items(): readonly Place[];
  arms(): readonly { readonly tile: Tile; readonly held: number; readonly taken: number }[];
}

/** `delays`: by arm in the order in which arms act, (y, x). */
export type Watch = (layout: Layout, delays: readonly number[]) => WatchedRun;

const placeLines = (places: readonly Place[]): readonly string[] =>
  places.map(({ tile, lane, position }) => `${tile.x},${tile.y} ${lane} @${position}`).sort();

export const armsInOrder = (layout: Layout): readonly PlacedArm[] =>
  layout.parts
    .flatMap((part) => (part.kind === 'arm' ? [part] : []))
    .sort((a, b) => compareTiles(a.at, b.at));

/** The first difference within so many ticks, or undefined. */
export function placeDifference(
  layout: Layout,
  ticks: number,
  watch: Watch,
  delays: readonly number[] = [],
): string | undefined {
  const acting = armsInOrder(layout);
  const held = layout.parts.flatMap((part) => (part.kind === 'arm' ? [delays[acting.indexOf(part)] ?? 0] : []));
  const reference = referenceRun(layout, held);
  const run = watch(layout, acting.map((_, index) => delays[index] ?? 0));
  for (let tick = 1; tick <= ticks; tick += 1) {
    reference.step();
    run.step();
    const taken = (arms: readonly { readonly at: Tile; readonly taken: number }[]): readonly string[] =>
      arms.map(({ at, taken }) => `arm ${at.x},${at.y} took ${taken}`).sort();
    const expected = [...placeLines(reference.places()), ...taken(reference.takenByArms())];
    const found = [
      ...placeLines(run.items()),
      ...taken(run.arms().map((arm) => ({ at: arm.tile, taken: arm.taken }))),
    ];
    if (expected.join() === found.join()) continue;
    const only = (some: readonly string[], others: readonly string[]): string =>
      some.filter((line) => !others.includes(line)).join('; ');
    return `in tick ${tick} by the rules: ${only(expected, found)}; found: ${only(found, expected)}`;
  }
  return undefined;
}
