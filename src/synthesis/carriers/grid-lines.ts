/**
 * Which grid lines items must cross, by where exits lie and where arms may place alone, and by how many moves or with how
 * much in all. Line r lies before row r, line c before column c, counted from the map's first. What follows for a network
 * under construction is in `carrier-bound.ts`.
 */
import type { ExitDemand } from '../../brief/brief.js';
import { headingOf, type SiteMap } from '../site/site-map.js';

/** [heading][line]: of each grid line, what all exits beyond ask for. */
export type Lines = readonly (readonly number[])[];

export const beyondLines = (map: SiteMap, beyond: (map: SiteMap, heading: number, line: number) => number): Lines =>
  [0, 1, 2, 3].map((heading) => Array.from({ length: Math.max(map.width, map.depth) + 1 }, (_, line) => beyond(map, heading, line)));

/** Fills in how much of this must cross, whatever is set down on `drops`: lines that lie beyond them all. */
export function fillNeededCrossings(map: SiteMap, moves: Lines, drops: readonly number[], needed: readonly (Int16Array | Float64Array)[]): void {
  let minX = map.width;
  let minY = map.depth;
  let maxX = -1;
  let maxY = -1;
  for (const tile of drops) {
    const x = tile % map.width;
    const y = (tile - x) / map.width;
    minX = Math.min(minX, x);
    maxX = Math.max(maxX, x);
    minY = Math.min(minY, y);
    maxY = Math.max(maxY, y);
  }
  const fill = (heading: number, from: number, to: number): void => {
    for (let line = from; line <= to; line++) needed[heading][line] = moves[heading][line];
  };
  fill(2, maxY + 1, map.depth);
  fill(0, 0, minY);
  fill(1, maxX + 1, map.width);
  fill(3, 0, minX);
}

export const linesOf = (map: SiteMap): readonly Int16Array[] => [0, 1, 2, 3].map(() => new Int16Array(Math.max(map.width, map.depth) + 1));

/** Least number of moves across grid lines that carry out what is set down on some of these tiles. */
export function leastCrossings(map: SiteMap, drops: readonly number[]): number {
  const needed = linesOf(map);
  fillNeededCrossings(map, beyondLines(map, movesBeyond), drops, needed);
  return needed.reduce((sum, lines) => lines.reduce((total, n) => total + n, sum), 0);
}

/** What exits beyond a grid line ask for, if all items come from before it; and how many of them leave across it, or whether any does beyond. */
function askedBeyond(map: SiteMap, heading: number, line: number): { readonly flow: number; readonly belts: number } {
  let flow = 0;
  let belts = 0;
  let nearer = 0;
  map.brief.exits.forEach((exit, e) => {
    const last = heading === 2 ? map.depth : heading === 1 ? map.width : 0;
    const leaves = exit.edge === headingOf(heading);
    const { top, bottom, first, final } = borderOf(map, exit);
    const beyond = heading === 2 ? top >= line : heading === 0 ? bottom < line : heading === 1 ? first >= line : final < line;
    if (line === last ? leaves : beyond) {
      flow += map.demands[e].total;
      belts = line === last ? belts + 1 : 1;
    } else nearer += 2 * map.endCapacities[exit.belt.speed];
  });
  // Of a common target, what the other exits can't take.
  return { flow: Math.max(flow, map.wanted - nearer), belts };
}

export const flowBeyond = (map: SiteMap, heading: number, line: number): number => Math.max(0, askedBeyond(map, heading, line).flow);

/** How many moves it takes across a grid line to carry that. */
export function movesBeyond(map: SiteMap, heading: number, line: number): number {
  const { flow, belts } = askedBeyond(map, heading, line);
  return Math.max(belts, Math.ceil(flow / (2 * map.mostLaneCapacity)));
}

/** Rows (`top` to `bottom`, counted from the map's first) and columns (`first` to `final`) of the border tiles by which an exit may leave. */
export interface Border {
  readonly top: number;
  readonly bottom: number;
  readonly first: number;
  readonly final: number;
}

export function borderOf(map: SiteMap, { edge, from, to }: ExitDemand): Border {
  const row = edge === 'N' ? 0 : map.depth - 1;
  const column = edge === 'W' ? 0 : map.width - 1;
  const vertical = edge === 'N' || edge === 'S';
  return vertical ? { top: row, bottom: row, first: from, final: to } : { top: from - map.top, bottom: to - map.top, first: column, final: column };
}

/** The last grid line in each direction that items must cross from far enough off, whichever exit they take. */
export interface LastLines {
  readonly south: number;
  readonly north: number;
  readonly east: number;
  readonly west: number;
}

export function lastLines(map: SiteMap): LastLines {
  const exits = map.brief.exits.map((exit) => ({ edge: exit.edge, ...borderOf(map, exit) }));
  return {
    south: Math.min(map.depth + 1, ...exits.map(({ edge, top }) => (edge === 'S' ? map.depth : top))),
    north: Math.max(-1, ...exits.map(({ edge, bottom }) => (edge === 'N' ? 0 : bottom + 1))),
    east: Math.min(map.width + 1, ...exits.map(({ edge, first }) => (edge === 'E' ? map.width : first))),
    west: Math.max(-1, ...exits.map(({ edge, final }) => (edge === 'W' ? 0 : final + 1))),
  };
}
