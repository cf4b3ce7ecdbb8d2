/**
 * Stations as they are put together to be shown (`loading-first.ts`): the ways of some entries, and the arms and chests at
 * them. What is asked here of one takes no simulation.
 */
import { backOf } from '../../base/geometry.js';
import { tilesOf, type Part, type PlacedEntry } from '../../layout/layout.js';
import { letsIn, outletsOf, type Wanted } from './held-up.js';
import { crewParts, type Delivery, type Pick } from './loading-arms.js';
import type { LoadingSite } from './loading-site.js';
import { endNowhere } from './carrier-ends.js';
import { beltsOf, lastOf, wayAfter, type Way } from './loading-ways.js';

export interface Station {
  readonly parts: readonly Part[];
  readonly entries: readonly PlacedEntry[];
}

/** Arms that pick from carriers, and by the tile of each chest that they fill, what empties it. */
export interface Crew {
  readonly picks: readonly Pick[];
  readonly chests: ReadonlyMap<number, Delivery>;
}

export interface Begun {
  readonly ways: readonly Way[];
  readonly crew: Crew;
}

export const tilesOfWays = (ways: readonly Way[]): readonly number[] => ways.flatMap(({ steps }) => steps.map(({ tile }) => tile));

/** These arms alone, and the chests that they fill. */
export const crewOf = (picks: readonly Pick[], chests: Crew['chests']): Crew => ({ picks, chests: new Map([...chests].filter(([tile]) => picks.some(({ into }) => into === tile))) });

/** These ways, with the arms that still pick from some. */
export function alongWays(ways: readonly Way[], { picks, chests }: Crew): Begun {
  const tiles = new Set(tilesOfWays(ways));
  return { ways, crew: crewOf(picks.filter(({ from }) => tiles.has(from)), chests) };
}

export function stationOf(site: LoadingSite, { ways, crew }: Begun): Station {
  const inOrder = ways.toSorted((a, b) => a.entry - b.entry);
  return { parts: [...inOrder.flatMap((way) => beltsOf(site, way)), ...crewParts(crew.picks, crew.chests, site)], entries: inOrder.map(({ place }) => place) };
}

/** By tile. */
export const partsByTile = (site: LoadingSite, begun: Begun): ReadonlyMap<number, Part> =>
  new Map(stationOf(site, begun).parts.flatMap((part) => tilesOf(part).map((tile) => [site.indexOf(tile), part] as const)));

/** Without the ends of its ways, as far as nothing is picked from there; those that join another one stay whole. */
export function shortened({ ways, crew }: Begun): Begun {
  const lengthOf = ({ into, steps }: Way): number => (into === undefined ? steps.findLastIndex(({ tile }) => crew.picks.some(({ from }) => from === tile)) + 1 : steps.length);
  return { ways: ways.map((way) => ({ ...way, steps: way.steps.slice(0, lengthOf(way)) })), crew };
}

/** Whether ways that lead nowhere end at a tile from which an arm picks, and the others lead to one of them, which takes their items. */
export function areWhole(site: LoadingSite, { ways }: Begun): boolean {
  if (ways.some(({ steps }) => steps.length === 0)) return false;
  const headings = new Map(ways.flatMap(({ steps }) => steps.map(({ tile, heading }) => [tile, heading] as const)));
  const isHeadOn = (way: Way): boolean => way.into !== undefined && headings.get(way.into) === backOf(lastOf(way).heading);
  const leadsNowhere = (way: Way): boolean => {
    let [last, after] = [way, wayAfter(way, ways)];
    for (let count = 0; after !== undefined && count < ways.length; count++) [last, after] = [after, wayAfter(after, ways)];
    return last.into === undefined;
  };
  const ends = ways.flatMap((way) => (way.into === undefined ? [lastOf(way)] : [])).map(({ tile, heading }) => ({ at: site.tileAt(tile), heading }));
  return !ways.some(isHeadOn) && ways.every(leadsNowhere) && endNowhere(ends, ways.flatMap((way) => beltsOf(site, way)));
}

/** Whether no items that are wanted wait for ever where one way joins another from the side (`held-up.ts`). */
export function getIn(site: LoadingSite, { ways, crew }: Begun): boolean {
  const wayAt = new Map(ways.flatMap((way) => way.steps.map(({ tile }) => [tile, way] as const)));
  const partAt = new Map(ways.flatMap((way) => beltsOf(site, way).map((part, index) => [way.steps[index].tile, part] as const)));
  const from = new Map(ways.flatMap(({ steps }) => steps.map(({ tile }, index) => [tile, index > 0 ? steps[index - 1].tile : -1] as const)));
  /** All that lead to a way, with it. */
  const before = (way: Way): readonly Way[] => [way, ...ways.filter((other) => wayAfter(other, ways) === way).flatMap(before)];
  const heldOf = (side: number): readonly Wanted[] => {
    const way = wayAt.get(side);
    const all = way === undefined ? [] : before(way);
    const tiles = new Set(tilesOfWays(all));
    return all.flatMap(({ entry }) => (site.entryWanted[entry] > 0 ? [{ wanted: site.entryWanted[entry], has: (tile: number) => tiles.has(tile) }] : []));
  };
  const joins = ways.flatMap((way) => (way.into === undefined ? [] : [[lastOf(way).tile, way.into] as const]));
  const laid = { partAt: (tile: number) => partAt.get(tile), from: (tile: number) => from.get(tile) ?? -1, joins };
  const outlets = outletsOf(laid, (_, sides) => sides.flatMap(heldOf), site, site.brief.catalog.unitsPerTile);
  return outlets.every((outlet) => letsIn(outlet, crew.picks));
}
