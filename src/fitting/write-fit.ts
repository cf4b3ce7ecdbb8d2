/**
 * A catalog of what was given and what was fitted, as a document; `catalog/parse-catalog.ts` reads it.
 */
import type { Chosen } from './fit.js';
import type { Measurements } from './measurements.js';

type Members = Readonly<Record<string, unknown>>;

const isMembers = (value: unknown): value is Members => typeof value === 'object' && value !== null && !Array.isArray(value);

/** Each model of a group, changed; the measurements' schema vouches for their shape. */
function models(given: Members, group: string, write: (name: string, model: Members) => Members): Members {
  const found = given[group];
  return isMembers(found) ? Object.fromEntries(Object.entries(found).map(([name, model]) => [name, write(name, isMembers(model) ? model : {})])) : {};
}

/** JSON of the format "transloom-catalog/1". */
export function fittedCatalog({ name, ticksPerSecond, unitsPerTile, belts, arms, given }: Measurements, best: Chosen): Members {
  const speedOf = (belt: unknown): number => best.speeds[belts.findIndex((each) => each.name === belt)];
  const asFast = (_: string, { asFastAs, ...model }: Members): Members => ({ speed: speedOf(asFastAs), ...model });
  return {
    format: 'transloom-catalog/1',
    name,
    ticksPerSecond,
    unitsPerTile,
    pitch: best.pitch,
    ...(given['turn'] === undefined ? {} : { turn: given['turn'] }),
    belts: models(given, 'belts', (belt, model) => ({ ...model, speed: speedOf(belt) })),
    splitters: models(given, 'splitters', asFast),
    underpasses: models(given, 'underpasses', asFast),
    arms: models(given, 'arms', (arm, model) => ({ ...model, ...best.arms[arms.findIndex((each) => each.name === arm)] })),
    chests: models(given, 'chests', (_, model) => model),
    wagons: models(given, 'wagons', (_, model) => model),
  };
}
