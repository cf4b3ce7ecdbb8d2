/**
 * Where items from the side never get in. Behind an entry's edge waits an endless packed belt, so on a plain way from there,
 * of one speed and without arms, items of a lane follow each other at just the pitch P for good: each moves by the speed v,
 * or up to P behind the one ahead. What tees into the way's last tile would need 2 P between two of them (world rules,
 * section 2), so it gets in at most before the first of them has passed. (That one comes on at least as fast as what got in
 * before it, so it is not held up for good while anything passes.)
 *
 * So either an arm picks from that way, up to the tile where they meet, or what is wanted of the entries from the side is taken
 * from carriers to which it comes otherwise.
 *
 * Arms further on change nothing. What got in would stand at q < 3U/4 + its speed at that moment, with the next item behind
 * it no nearer than P. Before an arm beyond the tile's end U takes an item, or one moves faster there, that item is at U or
 * further, so the next one at U - P or further; and U - P + P <= q can't be where four times that speed is no more than U.
 */
import { backOf, sameTile, stepFrom } from '../../base/geometry.js';
import { tilesOf, type Part } from '../../layout/layout.js';
import type { LoadingSite } from './loading-site.js';

/** A forest's carriers by tile. */
export interface Ways {
  readonly partAt: (tile: number) => Part | undefined;
  /** The tile whose end leads here, of a splitter to one half at least; -1: an entry's edge. */
  readonly from: (tile: number) => number;
  /** Where ways meet: from which tile (-1: an edge) onto which. */
  readonly joins: readonly (readonly [number, number])[];
}

/** What arms are to take in all which pick from certain tiles. */
export interface Wanted {
  readonly wanted: number;
  readonly has: (tile: number) => boolean;
}

export interface Outlet {
  /** Tiles of a plain way up to where another one joins it from the side. */
  readonly way: readonly number[];
  /** By entry from the side: what is to be taken elsewhere if no arm picks from that way. */
  readonly held: readonly Wanted[];
}

interface Taken {
  readonly from: number;
  readonly through: number;
}

/** Whether arms may take it that pick so much from these tiles at most. */
export const mayTake = ({ wanted, has }: Wanted, picks: readonly Taken[]): boolean =>
  picks.reduce((sum, { from, through }) => (has(from) ? sum + through : sum), 0) >= wanted;

/** Whether, with such arms, nothing that is wanted waits for ever behind an outlet. */
export const letsIn = ({ way, held }: Outlet, picks: readonly Taken[]): boolean =>
  picks.some(({ from }) => way.includes(from)) || held.every((each) => mayTake(each, picks));

type Ground = Pick<LoadingSite, 'tileAt' | 'indexOf'>;

/** The tiles of a plain way from an entry's edge, backwards from one on it; undefined if it is none. `first`: what leads to that one. */
export function plainWay(tile: number, first: number, speed: number, { partAt, from, joins }: Ways, { indexOf }: Ground): readonly number[] | undefined {
  const way: number[] = [];
  let [here, behind] = [tile, first];
  for (;;) {
    const part = partAt(here);
    if (part === undefined || (part.kind !== 'belt' && part.kind !== 'underpass') || part.model.speed !== speed) return undefined;
    way.push(...tilesOf(part).map(indexOf));
    if (behind < 0) return way;
    here = behind;
    if (joins.some(([, onto]) => onto === here)) return undefined;
    behind = from(here);
  }
}

/** Places where items of entries of which some are wanted join a plain way from the side. `heldOf`: these, by the tiles that lead onto one from the side. */
export function outletsOf(ways: Ways, heldOf: (onto: number, sides: readonly number[]) => readonly Wanted[], ground: Ground, unitsPerTile: number): readonly Outlet[] {
  const { partAt, from, joins } = ways;
  return [...new Set(joins.map(([, onto]) => onto))].flatMap((onto) => {
    const part = partAt(onto);
    if (part?.kind !== 'belt') return [];
    const feeders = [from(onto), ...joins.filter((join) => join[1] === onto).map(([feeder]) => feeder)];
    const behindTile = stepFrom(part.at, backOf(part.heading));
    const isBehind = (feeder: number): boolean => feeder < 0 || sameTile(ground.tileAt(feeder), behindTile);
    const through = feeders.find(isBehind);
    const sides = feeders.filter((feeder) => !isBehind(feeder));
    const held = sides.length === 0 ? [] : heldOf(onto, sides);
    if (through === undefined || held.length === 0) return [];
    const isSlow = sides.every((side) => {
      const model = partAt(side)?.model;
      return model !== undefined && 'speed' in model && 4 * model.speed <= unitsPerTile;
    });
    const way = isSlow ? plainWay(onto, through, part.model.speed, ways, ground) : undefined;
    return way === undefined ? [] : [{ way, held }];
  });
}
