/**
 * Strips of columns of a site, one for each exit, from west to east: by what the exits ask for and where wagons can be
 * reached. They are places to begin; what is designed in them is in `first-layouts.ts`.
 */
import { boxHolds } from '../../base/geometry.js';
import { TRACK_ROWS } from '../../base/ground.js';
import type { Brief, ExitDemand } from '../../brief/brief.js';
import { wagonAt } from '../../layout/layout.js';

/** Columns from `from` to `to`, both included. */
export interface Strip {
  readonly from: number;
  readonly to: number;
}

/** What a column counts where no arm can take from a wagon, as a share of one where it can. */
const FAR_COLUMN = 1 / 64;

/** Where an exit lies on the way from west to east, in columns. */
function columnOf({ site }: Brief, { edge, from, to }: ExitDemand): number {
  if (edge === 'W') return -1;
  if (edge === 'E') return site.width;
  return (from + to) / 2;
}

/** `y`: the row beside the track. */
function columnWeights({ site, wagons }: Brief, y: number, even: boolean): readonly number[] {
  const isFree = (x: number): boolean => !site.keepOut.some((box) => boxHolds(box, { x, y }));
  return Array.from({ length: site.width }, (_, x) => (even || (isFree(x) && wagonAt(wagons, { x, y: -1 }) !== undefined) ? 1 : FAR_COLUMN));
}

/** Whether an exit is reached sooner from the north side of a site that has two. */
const isInNorth = ({ site }: Brief, { edge, from, to }: ExitDemand): boolean =>
  (site.north ?? 0) > 0 && (edge === 'N' || (edge !== 'S' && from + to < -TRACK_ROWS - 1));

/**
 * Exits that are nearer to different sides of the track may have the same columns.
 * `flows`: what each exit is to get its share by, in the brief's order, in which the strips are too; `least`: columns of
 * each, if there are as many; `even`: whether columns count alike, wherever wagons can be reached, since belts take room too.
 */
export function stripsOf(brief: Brief, flows: readonly number[], least: number, even: boolean): readonly Strip[] {
  const strips: Strip[] = brief.exits.map(() => ({ from: 0, to: brief.site.width - 1 }));
  for (const side of [false, true]) {
    const own = brief.exits.flatMap((exit, e) => (isInNorth(brief, exit) === side ? [e] : []));
    if (own.length === 0) continue;
    const found = stripsOfSide({ ...brief, exits: own.map((e) => brief.exits[e]) }, own.map((e) => flows[e]), least, columnWeights(brief, side ? -TRACK_ROWS - 1 : 0, even));
    own.forEach((e, index) => {
      strips[e] = found[index];
    });
  }
  return strips;
}

function stripsOfSide(brief: Brief, flows: readonly number[], least: number, weights: readonly number[]): readonly Strip[] {
  const last = brief.site.width - 1;
  const { exits } = brief;
  const order = exits.map((_, e) => e).sort((a, b) => columnOf(brief, exits[a]) - columnOf(brief, exits[b]) || a - b);
  const wide = Math.max(1, Math.min(least, Math.floor((last + 1) / order.length)));
  const all = weights.reduce((sum, weight) => sum + weight, 0);
  const flow = flows.reduce((sum, each) => sum + each, 0);
  const strips: Strip[] = exits.map(() => ({ from: 0, to: last }));
  let from = 0;
  let reached = 0;
  let asked = 0;
  order.forEach((e, place) => {
    asked += flow > 0 ? flows[e] / flow : 1 / order.length;
    const after = order.length - 1 - place;
    // A border lies where half of the next column would be too much; each strip has a column, as far as there are any.
    let to = Math.min(from, last);
    reached += weights[to];
    while (to < last - after * wide && (after === 0 || to - from + 1 < wide || reached + weights[to + 1] / 2 <= asked * all)) {
      to++;
      reached += weights[to];
    }
    strips[e] = { from: Math.min(from, last), to };
    from = to + 1;
  });
  return strips;
}
