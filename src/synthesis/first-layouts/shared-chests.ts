/**
 * Chests that networks share, as they are put together in `first-layouts.ts`: a chest with the arms that fill it belongs
 * to one piece, or, once arms of several pieces lift from it, to none of them. Which chests have something to spare.
 */
import { sameTile, type Tile } from '../../base/geometry.js';
import { isLess, ratio, sumRational, type Rational } from '../../base/rational.js';
import type { Brief } from '../../brief/brief.js';
import { pickTile, placeTile, wagonAt, type Part, type PlacedArm, type PlacedChest } from '../../layout/layout.js';
import { fillRate } from '../rates/rate-model.js';

/** A chest and the arms that fill it. */
export interface Store {
  readonly chest: PlacedChest;
  readonly fills: readonly PlacedArm[];
}

export const partsOf = ({ chest, fills }: Store): readonly Part[] => [chest, ...fills];

export function storesIn(parts: readonly Part[]): readonly Store[] {
  return parts.flatMap((chest) =>
    chest.kind !== 'chest' ? [] : [{ chest, fills: parts.filter((part): part is PlacedArm => part.kind === 'arm' && sameTile(placeTile(part), chest.at)) }],
  );
}

export const liftsFrom = (parts: readonly Part[], { chest }: Store): number =>
  parts.filter((part) => part.kind === 'arm' && sameTile(pickTile(part), chest.at)).length;

const isLoad = (part: Part, tiles: readonly Tile[]): boolean => part.kind === 'arm' && tiles.some((tile) => sameTile(pickTile(part), tile));

/** Stores from which one more arm may lift, if all arms of `parts` give alike. */
export function sparing({ presence, wagons }: Brief, stores: readonly Store[], parts: readonly Part[], flow: Rational): readonly Store[] {
  const chests = parts.flatMap((part) => (part.kind === 'chest' ? [part.at] : []));
  const loads = parts.filter((part) => isLoad(part, chests)).length;
  if (loads === 0) return [];
  const each = flow.div(ratio(loads));
  return stores.filter((store) => {
    const fills = store.fills.filter((arm) => wagonAt(wagons, pickTile(arm)) !== undefined);
    const supply = sumRational(fills.map(({ model }) => fillRate(model))).mul(presence);
    return !isLess(supply, each.mul(ratio(liftsFrom(parts, store) + 1)));
  });
}
