/**
 * Pieces of a layout: what one exit or more have of it by themselves, and whether several stand together.
 */
import type { Brief } from '../../brief/brief.js';
import { isLegal } from '../../layout/check-layout.js';
import { layoutCost, partCount, tilesOf, type Layout, type Part, type PlacedExit } from '../../layout/layout.js';
import { deriveNetwork } from '../../layout/network.js';
import { priceOf } from '../site/site-map.js';
import type { Strip } from './exit-strips.js';
import { partsOf, type Store } from './shared-chests.js';
import { shifted } from './station-heads.js';

/** The parts of one exit or more, where they stand on the whole site; but for chests that others share. */
export interface Piece {
  /** Indices into the brief's exits, rising, and where each leaves. */
  readonly exits: readonly number[];
  readonly placed: readonly PlacedExit[];
  readonly parts: readonly Part[];
  readonly price: number;
}

/** What parts of a brief's site cost, as the brief counts. */
export function priceOfParts(brief: Brief, parts: readonly Part[]): number {
  const layout = { ...brief, parts, exits: [] };
  return priceOf(brief) === 'cost' ? layoutCost(layout) : partCount(layout);
}

export function columnsOf(parts: readonly Part[]): Strip {
  const xs = parts.flatMap(tilesOf).map(({ x }) => x);
  return { from: Math.min(...xs), to: Math.max(...xs) };
}

/** A layout of these exits on columns from `from` on, its belts over the south edge drawn out to that of the site. */
export function pieceOf(brief: Brief, exits: readonly number[], { parts, exits: placed, site }: Layout, from: number): Piece {
  const more = brief.site.depth - site.depth;
  const leaving = placed.map((exit) => ({ ...exit, at: { x: exit.at.x + from, y: exit.at.y } }));
  const south = leaving.flatMap((exit, index) => (exit.heading === 'S' ? [{ at: exit.at, model: brief.exits[exits[index]].belt }] : []));
  const all: readonly Part[] = [
    ...parts.map((part) => shifted(part, from)),
    ...south.flatMap(({ at, model }) =>
      Array.from({ length: more }, (_, row): Part => ({ kind: 'belt', at: { x: at.x, y: at.y + row + 1 }, heading: 'S', model })),
    ),
  ];
  const placedAt = leaving.map((exit) => (exit.heading === 'S' ? { ...exit, at: { ...exit.at, y: exit.at.y + more } } : exit));
  return { exits, placed: placedAt, parts: all, price: priceOfParts(brief, all) };
}

export function joined({ name, catalog, site, wagons }: Brief, pieces: readonly Piece[], shared: readonly Store[]): Layout {
  const exits = pieces.flatMap(({ exits: indices, placed }) => indices.map((index, n) => ({ index, exit: placed[n] })));
  return {
    name,
    catalog,
    site,
    wagons,
    parts: [...pieces.flatMap(({ parts }) => parts), ...shared.flatMap(partsOf)],
    exits: exits.sort((a, b) => a.index - b.index).map(({ exit }) => exit),
  };
}

/** Whether pieces make a legal layout in which none passes items to another, or bends another's belts. */
export function areApart(brief: Brief, pieces: readonly Piece[], shared: readonly Store[]): boolean {
  const layout = joined(brief, pieces, shared);
  if (!isLegal(layout)) return false;
  const owner = pieces.flatMap(({ parts }, piece) => parts.map(() => piece));
  const { carriers } = deriveNetwork(layout);
  return carriers.every(({ part, behind, fromLeft, fromRight }) =>
    [behind, fromLeft, fromRight].every((feeder) => feeder === undefined || owner[carriers[feeder].part] === owner[part]),
  );
}
