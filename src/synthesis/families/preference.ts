/**
 * Which of two layouts a brief prefers: its objectives in their order, then a fixed order of plans, so
 * that the same brief always gives the same plan.
 */
import { compareTiles, type Tile } from '../../base/geometry.js';
import { invariant } from '../../base/invariant.js';
import { jainImbalance } from '../../base/jain.js';
import { ratio, type Rational } from '../../base/rational.js';
import type { Brief, Objective } from '../../brief/brief.js';
import { countedMeasures, isBetterGreater, isTrainMeasure } from '../../layout/measure.js';
import { entriesOf, tilesOf, type Layout, type Part, type PlacedEntry, type PlacedExit } from '../../layout/layout.js';
import type { Passing } from '../verifier.js';

/** Whether some limit counts what prices of the first objective do not: a dearer last stretch than the cheapest may keep to it. */
export const isLimitedBeyondPrice = ({ limits, minimise }: Pick<Brief, 'limits' | 'minimise'>): boolean => (minimise[0] === 'parts' ? limits.cost : limits.parts) !== undefined;

/** What a layout is preferred by: its objectives in the brief's order, and the plan as text. */
export interface Standing {
  readonly values: readonly Rational[];
  readonly text: string;
}

export interface Ranked extends Standing {
  readonly layout: Layout;
}

/** Of a layout that passes: what its flows are valued by. */
type Flows = Pick<Passing, 'chestOutflows' | 'fill' | 'trains'>;

const firstTile = (part: Part): Tile => tilesOf(part)[0];
const headingText = (part: Part): string =>
  part.kind === 'underpass' ? `${part.to.x},${part.to.y}` : 'heading' in part ? part.heading : '';

const edgeText = ({ at, heading }: PlacedExit | PlacedEntry): string => `${String(at.y).padStart(3, '0')}.${String(at.x).padStart(3, '0')}${heading}`;

/**
 * Of models that act alike on a tile, such as those of idle belts, a search tries the cheapest, of equal ones the first by
 * name. That one comes first here too, so what is found by the way with another one is never preferred to it.
 */
const modelText = ({ model }: Part): string => `${String(model.cost).padStart(7, '0')}${model.name}`;

/** The fixed order: parts from the wagon outward, row by row, then exits and entries, compared as text. */
const textOf = (layout: Layout): string =>
  [...layout.parts]
    .sort((a, b) => compareTiles(firstTile(a), firstTile(b)))
    .map((part) => {
      const { x, y } = firstTile(part);
      return `${String(y).padStart(3, '0')}.${String(x).padStart(3, '0')}${part.kind}${headingText(part)}${modelText(part)}`;
    })
    .concat(layout.exits.map(edgeText), entriesOf(layout).map(edgeText))
    .join(' ');

/** Of a layout that keeps to the brief (`train-bounds.ts`): where trains are an objective, all its wagons are emptied. */
export function valuesOf(layout: Layout, objectives: readonly Objective[], { chestOutflows, fill, trains }: Flows): readonly Rational[] {
  const counted = countedMeasures(layout);
  return objectives.map((objective) => {
    if (objective === 'imbalance') return jainImbalance(chestOutflows);
    if (!isTrainMeasure(objective)) return objective === 'fill' ? fill : ratio(counted[objective]);
    invariant(trains !== undefined, 'a layout that is compared by its trains empties all wagons', { objective });
    return trains[objective];
  });
}

export const rank = (layout: Layout, objectives: readonly Objective[], flows: Flows): Ranked => ({
  layout,
  values: valuesOf(layout, objectives, flows),
  text: textOf(layout),
});

/** Whether `a` comes before `b`; both are valued by these objectives. */
export function isPreferred(a: Standing, b: Standing, objectives: readonly Objective[]): boolean {
  for (let i = 0; i < a.values.length; i++) {
    const order = a.values[i].compare(b.values[i]);
    if (order !== 0) return order < 0 !== isBetterGreater(objectives[i]);
  }
  return a.text < b.text;
}
