/**
 * Short hands for layouts in tests of the simulator: a catalog with the numbers of the world rules'
 * worked values (U 240, P 60, v 15, payload 12, swing 13, grab 1, release 1, slack 0), and parts by place.
 */
import type { Heading } from '../../src/base/geometry.js';
import type { Rational } from '../../src/base/rational.js';
import type {
  ArmModel,
  BeltModel,
  Catalog,
  ChestModel,
  ModelName,
  SplitterModel,
  UnderpassModel,
  WagonModel,
} from '../../src/catalog/catalog.js';
import type { Layout, Part, PlacedExit, PlacedWagon, Side } from '../../src/layout/layout.js';

const named = (text: string): ModelName => text as ModelName;

export const beltModel = (speed = 15): BeltModel => ({ name: named(`belt ${speed}`), speed, cost: 1 });
export const splitterModel = (speed = 15, favour = false): SplitterModel => ({
  name: named(`splitter ${speed}`),
  speed,
  cost: 8,
  favour,
});
export const underpassModel = (speed = 15): UnderpassModel => ({ name: named(`underpass ${speed}`), speed, span: 5, cost: 3 });
export const armModel = (changes: Partial<ArmModel> = {}): ArmModel => ({
  name: named('arm'),
  reach: 1,
  payload: 12,
  swingTicks: 13,
  grabTicks: 1,
  releaseTicks: 1,
  slack: 0,
  patienceTicks: undefined,
  cost: 10,
  ...changes,
});
export const chestModel: ChestModel = { name: named('chest'), capacity: 1600, cost: 4 };
export const wagonModel: WagonModel = { name: named('wagon'), length: 6, coupling: 0, capacity: 2000 };

export const plainCatalog: Catalog = {
  name: 'test',
  ticksPerSecond: 50,
  unitsPerTile: 240,
  pitch: 60,
  turn: { inner: 240, outer: 240 },
  belts: [beltModel()],
  splitters: [splitterModel()],
  underpasses: [underpassModel()],
  arms: [armModel()],
  chests: [chestModel],
  wagons: [wagonModel],
};

export const belt = (x: number, y: number, heading: Heading, speed = 15): Part => ({
  kind: 'belt',
  at: { x, y },
  heading,
  model: beltModel(speed),
});

/** A row of belts of one heading, the first of `length` at (x, y). */
export function belts(x: number, y: number, heading: Heading, length: number, speed = 15): Part[] {
  const stepX = heading === 'E' ? 1 : heading === 'W' ? -1 : 0;
  const stepY = heading === 'S' ? 1 : heading === 'N' ? -1 : 0;
  return Array.from({ length }, (_, i) => belt(x + i * stepX, y + i * stepY, heading, speed));
}

export const splitter = (
  x: number,
  y: number,
  heading: Heading,
  options: { readonly speed?: number; readonly favourIn?: Side; readonly favourOut?: Side } = {},
): Part => ({
  kind: 'splitter',
  at: { x, y },
  heading,
  model: splitterModel(options.speed ?? 15, options.favourIn !== undefined || options.favourOut !== undefined),
  ...(options.favourIn === undefined ? {} : { favourIn: options.favourIn }),
  ...(options.favourOut === undefined ? {} : { favourOut: options.favourOut }),
});

export const underpass = (x: number, y: number, toX: number, toY: number, speed = 15): Part => ({
  kind: 'underpass',
  from: { x, y },
  to: { x: toX, y: toY },
  model: underpassModel(speed),
});

export const arm = (x: number, y: number, heading: Heading, changes: Partial<ArmModel> = {}): Part => ({
  kind: 'arm',
  at: { x, y },
  heading,
  model: armModel(changes),
});

export const chest = (x: number, y: number): Part => ({ kind: 'chest', at: { x, y }, model: chestModel });

export const exit = (x: number, y: number, heading: Heading, take?: Rational): PlacedExit => ({
  at: { x, y },
  heading,
  take,
});

export const layoutOf = (
  parts: readonly Part[],
  exits: readonly PlacedExit[],
  changes: { readonly catalog?: Partial<Catalog>; readonly wagons?: readonly PlacedWagon[] } = {},
): Layout => ({
  name: 'sketch',
  catalog: { ...plainCatalog, ...changes.catalog },
  site: { width: 20, depth: 20, keepOut: [] },
  wagons: changes.wagons ?? [],
  parts,
  exits,
});
