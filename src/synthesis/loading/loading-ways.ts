/**
 * Ways of belts drawn at random from entries on, for stations that are to be shown before the search has met any
 * (`loading-first.ts`): from a place of the entry, or on from a way's first steps, by a short way to where an arm may pick,
 * or into an earlier way. Each tile has a length of its own, drawn anew for each way, so that all ways come up, straight ones
 * and detours.
 */
import { backOf, leftOf, rightOf, stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import type { Part, PlacedEntry } from '../../layout/layout.js';
import type { LoadingSite } from './loading-site.js';
import { placesOf, takesFrom } from './carrier-ends.js';

export type Draw = (below: number) => number;

export interface Step {
  readonly tile: number;
  readonly heading: Heading;
}

export interface Way {
  readonly entry: number;
  readonly place: PlacedEntry;
  /** The tile of an earlier way at which it joins that; undefined where it leads nowhere. */
  readonly into: number | undefined;
  /** From the entry on. */
  readonly steps: readonly Step[];
}

export const lastOf = ({ steps }: Way): Step => steps[steps.length - 1];

/** The one that it joins, if any. */
export const wayAfter = ({ into }: Way, ways: readonly Way[]): Way | undefined => (into === undefined ? undefined : ways.find(({ steps }) => steps.some(({ tile }) => tile === into)));

/** The first of its steps behind all at which others join it. */
export const firstThatMayGo = ({ steps }: Way, ways: readonly Way[]): number => steps.findLastIndex(({ tile }) => ways.some(({ into }) => into === tile)) + 1;

/** A tile that a walk came to, and from where; the heading is that of belts between the two. */
export interface Reached extends Step {
  readonly from: Reached | undefined;
}

interface End {
  readonly last: Reached;
  readonly heading: Heading;
  readonly into: number | undefined;
}

const LONGEST_TILE = 3;
/** Of so many steps one turns, where a way goes on past its end. */
const TURN_SHARE = 4;

export const beltsOf = (site: LoadingSite, { entry, steps }: Way): readonly Part[] =>
  steps.map(({ tile, heading }): Part => ({ kind: 'belt', at: site.tileAt(tile), heading, model: site.job.entries[entry].belt }));

export function shuffled<T>(of: readonly T[], draw: Draw): readonly T[] {
  const order = [...of];
  for (let index = order.length - 1; index > 0; index--) {
    const other = draw(index + 1);
    [order[index], order[other]] = [order[other], order[index]];
  }
  return order;
}

/** A walk over tiles, the way that belts lead or against it. */
interface Walk {
  readonly backwards: boolean;
  /** Of belts that lead on from a tile that was come to, or to it. */
  readonly headingsAt: (here: Reached) => readonly Heading[];
  readonly mayEnter: (tile: number) => boolean;
}

/**
 * Each tile that a walk comes to, the nearest first. A move of belts is as long as the tile that it leads to; these lengths
 * are drawn when the first tile is asked for.
 */
export function* nearestFirst(site: LoadingSite, start: Reached, { backwards, headingsAt, mayEnter }: Walk, draw: Draw): Generator<Reached, void> {
  const lengths = Array.from({ length: site.tiles }, () => 1 + draw(LONGEST_TILE));
  const reached = new Set<number>();
  const byLength: Reached[][] = [[start]];
  for (let length = 0; length < byLength.length; length++) {
    for (const here of byLength[length] ?? []) {
      if (reached.has(here.tile)) continue;
      reached.add(here.tile);
      yield here;
      for (const heading of headingsAt(here)) {
        const tile = site.indexOf(stepFrom(site.tileAt(here.tile), backwards ? backOf(heading) : heading));
        if (tile < 0 || reached.has(tile) || !mayEnter(tile)) continue;
        (byLength[length + lengths[backwards ? here.tile : tile]] ??= []).push({ tile, heading, from: here });
      }
    }
  }
}

const onward = (heading: Heading): readonly Heading[] => [heading, leftOf(heading), rightOf(heading)];

/** A belt comes in heading inward, and may turn from the next one on. */
const headingsAfter = ({ heading, from }: Reached): readonly Heading[] => (from === undefined ? [heading] : onward(heading));

/** Whether a carrier there would take what comes with a heading. */
const leadsInto = (taken: ReadonlyMap<number, Part>, site: LoadingSite, ahead: Tile, heading: Heading): boolean => {
  const there = taken.get(site.indexOf(ahead));
  return there !== undefined && takesFrom(there, ahead, heading);
};

function endsAt(last: Reached, site: LoadingSite, taken: ReadonlyMap<number, Part>): { readonly leaves: readonly End[]; readonly joins: readonly End[] } {
  const here = site.tileAt(last.tile);
  const [joining, leading] = [true, false].map((joins) => headingsAfter(last).filter((heading) => leadsInto(taken, site, stepFrom(here, heading), heading) === joins));
  return {
    leaves: site.picks[last.tile].length === 0 ? [] : leading.slice(0, 1).map((heading) => ({ last, heading, into: undefined })),
    joins: joining.map((heading) => ({ last, heading, into: site.indexOf(stepFrom(here, heading)) })),
  };
}

function stepsTo({ last, heading }: End): readonly Step[] {
  const steps: Step[] = [{ tile: last.tile, heading }];
  for (let here: Reached = last; here.from !== undefined; here = here.from) steps.unshift({ tile: here.from.tile, heading: here.heading });
  return steps;
}

/** With some more steps behind its end. */
function lengthened(steps: readonly Step[], site: LoadingSite, taken: ReadonlyMap<number, Part>, draw: Draw): readonly Step[] {
  const longer = [...steps];
  for (let more = draw(site.width + site.rows); more > 0; more--) {
    const last = longer[longer.length - 1];
    const tile = site.indexOf(stepFrom(site.tileAt(last.tile), last.heading));
    if (tile < 0 || !site.isOpen(tile) || taken.has(tile) || longer.some((step) => step.tile === tile)) break;
    longer.push({ tile, heading: draw(TURN_SHARE) === 0 ? onward(last.heading)[1 + draw(2)] : last.heading });
  }
  return longer;
}

/** One of them, more often an early one. */
const drawn = <T>(of: readonly T[], draw: Draw): T => of[draw(2) === 0 ? 0 : Math.min(draw(of.length), draw(of.length))];

/** `taken`: what stands on tiles. `mayJoin`: whether it may run into an earlier one. Undefined where there is none. */
export function drawWay(site: LoadingSite, entry: number, taken: ReadonlyMap<number, Part>, mayJoin: boolean, draw: Draw): Way | undefined {
  const places = placesOf(site, site.job.entries[entry]).filter(({ at }) => !taken.has(site.indexOf(at)));
  if (places.length === 0) return undefined;
  const place = places[draw(places.length)];
  return drawnOn(site, { entry, place, into: undefined, steps: [{ tile: site.indexOf(place.at), heading: place.heading }] }, taken, mayJoin, draw);
}

/** A way that begins with all steps of this one; the last of them may turn. The same of `taken` and `mayJoin`. */
export function drawnOn(site: LoadingSite, way: Way, taken: ReadonlyMap<number, Part>, mayJoin: boolean, draw: Draw): Way | undefined {
  let start: Reached = { ...way.steps[0], from: undefined };
  for (const [index, { tile }] of way.steps.entries()) if (index > 0) start = { tile, heading: way.steps[index - 1].heading, from: start };
  const walk = { backwards: false, headingsAt: headingsAfter, mayEnter: (tile: number) => site.isOpen(tile) && !taken.has(tile) };
  const ends = [...nearestFirst(site, start, walk, draw)].map((last) => endsAt(last, site, taken));
  const leaves = ends.flatMap((end) => end.leaves);
  const joins = mayJoin ? ends.flatMap((end) => end.joins) : [];
  const chosen = leaves.length === 0 || (joins.length > 0 && draw(2) === 0) ? joins : leaves;
  if (chosen.length === 0) return undefined;
  const end = drawn(chosen, draw);
  const steps = stepsTo(end);
  return { ...way, into: end.into, steps: end.into === undefined && draw(2) === 0 ? lengthened(steps, site, taken, draw) : steps };
}
