/**
 * Writes a catalog as JSON, so that a plan can carry its own. The inverse of `parse-catalog.ts`.
 */
import type { Catalog, ModelName } from './catalog.js';

/** Left-out fields are written out, so that a reader needs no defaults; `work` only where it was given. */
export function writeCatalog(catalog: Catalog): Readonly<Record<string, unknown>> {
  const named = <T extends { readonly name: ModelName }>(models: readonly T[], write: (model: T) => object): object =>
    Object.fromEntries(models.map((model) => [model.name, write(model)]));
  return {
    format: 'transloom-catalog/1',
    name: catalog.name,
    ticksPerSecond: catalog.ticksPerSecond,
    unitsPerTile: catalog.unitsPerTile,
    pitch: catalog.pitch,
    turn: { inner: catalog.turn.inner, outer: catalog.turn.outer },
    belts: named(catalog.belts, ({ speed, cost }) => ({ speed, cost })),
    splitters: named(catalog.splitters, ({ speed, cost, favour }) => ({ speed, cost, favour })),
    underpasses: named(catalog.underpasses, ({ speed, span, cost }) => ({ speed, span, cost })),
    arms: named(catalog.arms, (arm) => ({
      reach: arm.reach,
      payload: arm.payload,
      swing: arm.swingTicks,
      grab: arm.grabTicks,
      release: arm.releaseTicks,
      slack: arm.slack,
      ...(arm.patienceTicks === undefined ? {} : { patience: arm.patienceTicks }),
      cost: arm.cost,
    })),
    chests: named(catalog.chests, ({ capacity, cost }) => ({ capacity, cost })),
    wagons: named(catalog.wagons, ({ length, coupling, capacity }) => ({ length, coupling, capacity })),
    ...(catalog.work === undefined ? {} : { work: catalog.work }),
  };
}
