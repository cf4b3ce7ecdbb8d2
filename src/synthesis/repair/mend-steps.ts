/**
 * A repair as it is told: the layout that comes of it, and what is to be done in order, with what each step costs.
 */
import type { Heading } from '../../base/geometry.js';
import { invariant } from '../../base/invariant.js';
import { buildOrder } from '../../layout/build-order.js';
import type { Mend, MendStep } from './mend-outcome.js';
import { layoutOf, turnPrice, type Universe } from './mend-universe.js';

/** The placements that stand in a layout of the universe, and what changing the plan to it costs. */
export interface Repair {
  readonly standing: readonly number[];
  readonly price: number;
}

const HEADING_NAMES: readonly Heading[] = ['N', 'E', 'S', 'W'];

/** What is taken away comes first, then what is turned, then what is bought, in the order in which to build. */
export function mendOf(universe: Universe, { standing, price }: Repair): Mend {
  const { placements, turnOf, work } = universe;
  const there = new Set(standing);
  const added = standing.filter((id) => id >= universe.standing);
  const turnedBy = new Map(added.flatMap((id): (readonly [number, number])[] => (turnOf[id] >= 0 ? [[turnOf[id], id]] : [])));
  const gone = placements.slice(0, universe.standing).flatMap(({ part }, id): readonly MendStep[] => {
    const turned = turnedBy.get(id);
    if (there.has(id) || turned !== undefined) return [];
    return [{ kind: 'remove', part, price: work.remove }];
  });
  const turned = [...turnedBy].sort(([a], [b]) => a - b).map(([from, to]): MendStep => {
    const { part: other } = placements[to];
    const heading = HEADING_NAMES[placements[to].heading];
    return { kind: 'turn', part: placements[from].part, turned: other, heading, price: turnPrice(universe, from) };
  });
  const layout = layoutOf(universe, standing);
  const bought = buildOrder(layout).flatMap((index): readonly MendStep[] => {
    const id = standing[index];
    const { part, cost } = placements[id];
    return id < universe.standing || turnedBy.get(turnOf[id]) === id ? [] : [{ kind: 'add', part, price: cost }];
  });
  const steps = [...gone, ...turned, ...bought];
  invariant(steps.reduce((sum, step) => sum + step.price, 0) === price, 'the steps of a repair add up to its price', { price });
  return { layout, steps, price };
}
