/**
 * A bench for every arm of a catalog and every kind of target: the smallest layout in which one arm feeds
 * it from a chest that never runs dry, with the rate model's bound. Simulating them is a task of its own (`tasks/arm-rates.ts`).
 */
import { stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import { minRational, ratio, type Rational } from '../../base/rational.js';
import type { ArmModel, BeltModel, Catalog, ChestModel, ModelName, SplitterModel, UnderpassModel } from '../../catalog/catalog.js';
import { dropOn } from '../../layout/drop.js';
import type { Layout, Part, PlacedExit } from '../../layout/layout.js';
import { armRateBound, fillRate, type DropKind } from './rate-model.js';

/** How the arm looks at the target's heading. */
type Bearing = 'across' | 'along' | 'against';

export type RateTarget =
  | { readonly kind: 'chest' }
  | { readonly kind: 'belt' | 'splitter' | 'underpass'; readonly model: ModelName; readonly bearing: Bearing };

interface RateBench {
  readonly arm: ArmModel;
  readonly target: RateTarget;
  /** Most items per tick that the arm can deliver, by formula. */
  readonly bound: Rational;
  readonly layout: Layout;
}

/** Belts behind the target, so that no test of distance ends near it. */
const RUN_TILES = 4;
const ANY_CHEST: ChestModel = { name: 'chest' as ModelName, capacity: 1, cost: 0 };

function layoutOf(catalog: Catalog, name: string, parts: readonly Part[], exits: readonly PlacedExit[]): Layout {
  const tiles = [...exits.map((exit) => exit.at), ...parts.flatMap((part) => (part.kind === 'underpass' ? [part.from, part.to] : [part.at]))];
  const site = {
    width: Math.max(...tiles.map((tile) => tile.x)) + 1,
    depth: Math.max(...tiles.map((tile) => tile.y)) + 1,
    keepOut: [],
  };
  return { name, catalog, site, wagons: [], parts, exits };
}

/** Belts from `first` southward that are no slower than what feeds them, and the exit that ends them. */
function runSouth(catalog: Catalog, first: Tile, speed: number): { readonly parts: readonly Part[]; readonly exit: PlacedExit; readonly speed: number } | undefined {
  const fit = [...catalog.belts].filter((belt) => belt.speed >= speed).sort((a, b) => a.speed - b.speed);
  if (fit.length === 0) return undefined;
  const tiles = Array.from({ length: RUN_TILES }, (_, index) => stepFrom(first, 'S', index));
  return {
    parts: tiles.map((at) => ({ kind: 'belt', at, heading: 'S', model: fit[0] })),
    exit: { at: tiles[RUN_TILES - 1], heading: 'S', take: undefined },
    speed: fit[0].speed,
  };
}

/** The chest, the arm beside it, and the tile on which the arm places. */
function feeding(catalog: Catalog, arm: ArmModel, chestAt: Tile, heading: Heading): { readonly parts: readonly Part[]; readonly onto: Tile } {
  const at = stepFrom(chestAt, heading, arm.reach);
  return {
    parts: [
      { kind: 'chest', at: chestAt, model: catalog.chests[0] ?? ANY_CHEST },
      { kind: 'arm', at, heading, model: arm },
    ],
    onto: stepFrom(at, heading, arm.reach),
  };
}

/** `beyond`: the speed of the belts that take the items. */
function boundOn(catalog: Catalog, arm: ArmModel, speed: number, heading: Heading, onSplitter: boolean, beyond = speed): Rational {
  const { unitsPerTile, pitch } = catalog;
  const drop = dropOn(heading, 'S', onSplitter);
  const testsEndAfter = RUN_TILES * unitsPerTile;
  const kind: DropKind =
    drop.kind === 'line'
      ? { kind: 'line', speed, outputs: 2, testsEndAfter }
      : { kind: 'lane', speed, laneLength: unitsPerTile, spot: (unitsPerTile * drop.quarter) / 4, testsEndAfter };
  // Faster belts draw items apart, and more than v / P comes by where these are set down less than a pitch and a move before them.
  const room = unitsPerTile / (drop.kind === 'line' ? 2 : 4) - arm.slack;
  const carried = !onSplitter || room >= pitch + speed ? speed : beyond;
  return minRational(armRateBound(catalog, arm, kind), ratio((drop.kind === 'line' ? 2 : 1) * carried, pitch));
}

const HEADING_OF: Readonly<Record<Bearing, Heading>> = { across: 'E', along: 'S', against: 'N' };

function onBelt(catalog: Catalog, arm: ArmModel, model: BeltModel, bearing: 'across' | 'along'): RateBench {
  const heading = HEADING_OF[bearing];
  const { parts, onto } = feeding(catalog, arm, { x: 0, y: 0 }, heading);
  const belts = Array.from({ length: RUN_TILES + 1 }, (_, index): Part => ({ kind: 'belt', at: stepFrom(onto, 'S', index), heading: 'S', model }));
  const exit: PlacedExit = { at: stepFrom(onto, 'S', RUN_TILES), heading: 'S', take: undefined };
  return {
    arm,
    target: { kind: 'belt', model: model.name, bearing },
    bound: boundOn(catalog, arm, model.speed, heading, false),
    layout: layoutOf(catalog, `${arm.name} ${bearing} ${model.name}`, [...parts, ...belts], [exit]),
  };
}

function onSplitter(catalog: Catalog, arm: ArmModel, model: SplitterModel, bearing: 'across' | 'along'): RateBench | undefined {
  const heading = HEADING_OF[bearing];
  const { parts, onto } = feeding(catalog, arm, { x: 0, y: 0 }, heading);
  const left = stepFrom(onto, 'E');
  const runs = [onto, left].map((half) => runSouth(catalog, stepFrom(half, 'S'), model.speed)).filter((run) => run !== undefined);
  if (runs.length < 2) return undefined;
  return {
    arm,
    target: { kind: 'splitter', model: model.name, bearing },
    bound: boundOn(catalog, arm, model.speed, heading, true, runs[0].speed),
    layout: layoutOf(
      catalog,
      `${arm.name} ${bearing} ${model.name}`,
      [...parts, { kind: 'splitter', at: left, heading: 'S', model }, ...runs.flatMap((run) => run.parts)],
      runs.map((run) => run.exit),
    ),
  };
}

/** Over the entry, from between the two ends. */
function onUnderpass(catalog: Catalog, arm: ArmModel, model: UnderpassModel): RateBench | undefined {
  const apart = 2 * arm.reach + 1;
  if (apart > model.span) return undefined;
  const from = { x: 0, y: 0 };
  const to = stepFrom(from, 'S', apart);
  const { parts } = feeding(catalog, arm, stepFrom(from, 'S', 2 * arm.reach), 'N');
  const run = runSouth(catalog, stepFrom(to, 'S'), model.speed);
  if (run === undefined) return undefined;
  return {
    arm,
    target: { kind: 'underpass', model: model.name, bearing: 'against' },
    bound: boundOn(catalog, arm, model.speed, 'N', false),
    layout: layoutOf(catalog, `${arm.name} against ${model.name}`, [...parts, { kind: 'underpass', from, to, model }, ...run.parts], [run.exit]),
  };
}

/** In the order of the catalog: for each arm, a chest, then belts, splitters and underpasses. */
export function rateBenches(catalog: Catalog): readonly RateBench[] {
  return catalog.arms.flatMap((arm) => {
    const toChest = feeding(catalog, arm, { x: 0, y: 0 }, 'S');
    const chest: RateBench = {
      arm,
      target: { kind: 'chest' },
      bound: fillRate(arm),
      layout: layoutOf(
        catalog,
        `${arm.name} into a chest`,
        [...toChest.parts, { kind: 'chest', at: toChest.onto, model: catalog.chests[0] ?? ANY_CHEST }],
        [],
      ),
    };
    const bearings = ['across', 'along'] as const;
    const benches = [
      ...catalog.belts.flatMap((model) => bearings.map((bearing) => onBelt(catalog, arm, model, bearing))),
      ...catalog.splitters.flatMap((model) => bearings.map((bearing) => onSplitter(catalog, arm, model, bearing))),
      ...catalog.underpasses.map((model) => onUnderpass(catalog, arm, model)),
    ];
    return [chest, ...benches.filter((bench) => bench !== undefined)];
  });
}
