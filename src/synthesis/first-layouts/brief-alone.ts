/**
 * Briefs of a few exits of a brief: what each is to carry, and the part of the site on which they are designed alone.
 */
import { compareTiles, type Box, type Tile } from '../../base/geometry.js';
import { northOf } from '../../base/ground.js';
import { formatRational, isLess, ratio, sumRational, ZERO, type Rational } from '../../base/rational.js';
import { NO_LIMITS, type Brief, type ExitDemand } from '../../brief/brief.js';
import { beltCapacity, tilesOf, type Part } from '../../layout/layout.js';
import { demandOf, priceOf, totalDemand } from '../site/site-map.js';
import type { Strip } from './exit-strips.js';
import type { Store } from './shared-chests.js';
import { isHigh } from './simpler-designs.js';

/** Where a few exits' parts may stand, which columns of the wagons they may take from, and most price. */
export interface Ground {
  readonly strip: Strip;
  readonly wagonStrip: Strip;
  /** Whether only the rows near the wagons are looked at, and belts that leave over the south go straight on. */
  readonly shallow: boolean;
  readonly mostPrice: number | undefined;
}

const FULL = ratio(1);
/** Rows that one network takes, as a multiple of an arm's reach and the tile that it stands on. */
const SHALLOW_ROWS = 4;
const boxOf = ({ x, y }: Tile): Box => ({ x, y, width: 1, height: 1 });

/** A few exits alone on a strip of the site, past the others' parts; undefined where there is no way out for one. */
export function briefAlone(brief: Brief, demands: readonly ExitDemand[], { strip, wagonStrip, shallow, mostPrice }: Ground, standing: readonly Part[]): Brief | undefined {
  const { from, to } = strip;
  const depth = shallow ? shallowDepth(brief, demands) : brief.site.depth;
  const price = priceOf(brief);
  const taken = standing.flatMap(tilesOf).sort(compareTiles);
  const inStrip = (box: Box): readonly Box[] => {
    const x = Math.max(box.x, from);
    const end = Math.min(box.x + box.width, to + 1);
    return x < end && box.y < depth ? [{ ...box, x: x - from, width: end - x }] : [];
  };
  const exits = demands.flatMap((exit): readonly ExitDemand[] => {
    if (exit.edge === 'W') return from > 0 ? [] : [{ ...exit, to: Math.min(exit.to, depth - 1) }];
    if (exit.edge === 'E') return to < brief.site.width - 1 ? [] : [{ ...exit, to: Math.min(exit.to, depth - 1) }];
    const range = { from: Math.max(exit.from, from) - from, to: Math.min(exit.to, to) - from };
    return range.from > range.to ? [] : [{ ...exit, ...range }];
  });
  if (exits.length < demands.length) return undefined;
  // A belt that is drawn out over rows that are left out finds them free.
  const barred = [...brief.site.keepOut, ...taken.map(boxOf)]
    .filter((box) => box.y + box.height > depth)
    .map((box) => ({ ...box, y: Math.min(box.y, depth - 1), height: 1 }));
  return {
    ...brief,
    site: {
      width: to - from + 1,
      depth,
      ...northWithin(brief.site, from),
      keepOut: [...brief.site.keepOut, ...taken.map(boxOf), ...barred].flatMap(inStrip),
    },
    wagons: brief.wagons.flatMap(({ at, model }) => {
      const west = Math.max(at, wagonStrip.from);
      const length = Math.min(at + model.length, wagonStrip.to + 1) - west;
      return length > 0 ? [{ model: { ...model, length }, at: west - from }] : [];
    }),
    exits,
    together: undefined,
    limits: mostPrice === undefined ? NO_LIMITS : { ...NO_LIMITS, [price]: mostPrice },
    minimise: [price],
  };
}

/** The north side of a site's columns from `from` on, with the track where it then lies. */
function northWithin(site: Brief['site'], from: number): Pick<Brief['site'], 'north' | 'track'> {
  const { north, track } = northOf(site);
  if (north === undefined) return {};
  const moved = track && { ...(track.from === undefined ? {} : { from: track.from - from }), ...(track.to === undefined ? {} : { to: track.to - from }) };
  return { north, ...(moved === undefined ? {} : { track: moved }) };
}

/** Rows that are enough for a network, with a side exit's first one. */
function shallowDepth({ site, catalog }: Brief, demands: readonly ExitDemand[]): number {
  const reach = Math.max(1, ...catalog.arms.map((arm) => arm.reach));
  const sides = demands.flatMap(({ edge, from }) => (edge === 'W' || edge === 'E' ? [from + 2] : []));
  return Math.min(site.depth, Math.max(SHALLOW_ROWS * (reach + 1), ...sides));
}

/** What tells the briefs apart that are made of one brief. */
export const textOf = ({ site, wagons, exits, limits }: Brief, given: readonly Store[]): string =>
  JSON.stringify([
    site,
    wagons.map(({ at, model }) => [at, model.length, model.name]),
    exits.map(({ edge, from, to, belt, target }) => [edge, from, to, belt.name, ...[target.total, target.left, target.right].map(formatRational)]),
    limits.cost,
    limits.parts,
    given.map(({ chest }) => chest.at),
  ]);

/** Each exit with its share of the common target, by what its belt can carry beyond its own. */
export function targetsAlone(brief: Brief): readonly ExitDemand[] {
  const { exits, catalog } = brief;
  const more = totalDemand(brief).sub(sumRational(exits.map(demandOf)));
  const room = exits.map((exit) => beltCapacity(catalog, exit.belt).sub(demandOf(exit)));
  const roomInAll = sumRational(room);
  return exits.map((exit, e) => {
    const share = isLess(ZERO, roomInAll) ? more.mul(room[e]).div(roomInAll) : ZERO;
    return { ...exit, target: { ...exit.target, total: demandOf(exit).add(share) } };
  });
}

/** `aim`: how much more than its target, 0 nothing, 1 all that its belt can. */
export function aimed({ catalog }: Brief, exit: ExitDemand, aim: Rational): ExitDemand {
  const { target } = exit;
  const room = beltCapacity(catalog, exit.belt).sub(target.total);
  return { ...exit, target: { ...target, total: target.total.add(room.mul(aim)) } };
}

/** What stations are gathered for: where much is asked also for all that the belt can carry, which comes sooner. */
export const libraryAims = (brief: Brief, exit: ExitDemand): readonly ExitDemand[] =>
  isHigh(brief, exit) && isLess(exit.target.total, beltCapacity(brief.catalog, exit.belt)) ? [aimed(brief, exit, FULL), exit] : [exit];

export const spreadOut = ({ site }: Brief, { from, to }: Strip, spread: number): Strip => ({
  from: Math.max(0, from - spread),
  to: Math.min(site.width - 1, to + spread),
});
