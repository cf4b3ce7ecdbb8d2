/**
 * What a network's flows depend on, as a text: networks with the same text give the same flows from every
 * start, wherever they stand. So one simulation settles the whole family, and its verdict is a cut that
 * rules all of them in or out: shifted copies, other ways of laying the same lengths, longer tails.
 *
 * What counts: carriers with their speeds, lane lengths and joins, upstream from each exit; where each arm
 * drops; the order in which arms act (and draw their staggers); which arms share a chest; the slowest
 * carrier (staggers depend on it); where wagons may stop short or far, which arms then still reach one. What does not: where things stand, and a last stretch of carriers no
 * slower than the one before it, which never holds an item up.
 */
import { BELT, DEAD, SPLITTER_LEFT, SPLITTER_RIGHT, exitOf, type CarrierView } from './carrier-network.js';
import type { Crew, CrewArm } from './crew.js';
import { left, right, type SiteMap } from './site-map.js';

interface Feeders {
  behind: number;
  fromLeft: number;
  fromRight: number;
}

function feedersOf(view: CarrierView): readonly Feeders[] {
  const feeders: Feeders[] = Array.from({ length: view.count }, () => ({ behind: -1, fromLeft: -1, fromRight: -1 }));
  for (let c = 0; c < view.count; c++) {
    const to = view.next[c];
    if (to < 0) continue;
    if (view.heading[c] === view.heading[to]) feeders[to].behind = c;
    else if (view.heading[c] === right(view.heading[to])) feeders[to].fromLeft = c;
    else if (view.heading[c] === left(view.heading[to])) feeders[to].fromRight = c;
  }
  return feeders;
}

export function networkSignature(map: SiteMap, view: CarrierView, crew: Crew): string {
  const feeders = feedersOf(view);
  const { inner, outer } = map.brief.catalog.turn;
  const units = map.brief.catalog.unitsPerTile;
  const dropsOn = new Map<number, string>();
  crew.arms.forEach((arm, rank) => {
    if (arm.role !== 'load') return;
    dropsOn.set(arm.target, `${dropsOn.get(arm.target) ?? ''}a${rank}h`);
  });
  const dropOf = (tile: number, heading: number): string => {
    const arms = dropsOn.get(tile);
    if (arms === undefined) return '';
    // An arm's direction counts only as seen from the carrier.
    return arms.replace(/a(\d+)h/g, (_, rank: string) => `a${rank}h${(crew.arms[Number(rank)].heading - heading + 4) & 3}`);
  };
  const shape = (c: number): string => {
    const { behind, fromLeft, fromRight } = feeders[c];
    if (view.kind[c] !== BELT || behind >= 0 || fromLeft >= 0 === fromRight >= 0) return '';
    const turnsLeft = fromLeft >= 0;
    const lengths = turnsLeft ? `${inner}:${outer}` : `${outer}:${inner}`;
    return inner === units && outer === units ? '' : `t${lengths}`;
  };

  const number = new Map<number, number>();
  const write = (c: number): string => {
    const known = number.get(c);
    if (known !== undefined) return `#${known}`;
    number.set(c, number.size);
    const heading = view.heading[c];
    const { behind, fromLeft, fromRight } = feeders[c];
    const feed = (from: number): string => (from < 0 ? '' : write(from));
    if (view.kind[c] === SPLITTER_LEFT || view.kind[c] === SPLITTER_RIGHT) {
      const mate = view.mate[c];
      number.set(mate, number.size);
      const [l, r] = view.kind[c] === SPLITTER_LEFT ? [c, mate] : [mate, c];
      const halves = [l, r].map(
        (half) => `${view.next[half] === DEAD ? 'x' : ''}${dropOf(view.tail[half], heading)}(${feed(feeders[half].behind)})`,
      );
      return `s${c === l ? 'l' : 'r'}${view.speed[c]}[${halves.join('')}]`;
    }
    const isBelt = view.kind[c] === BELT;
    const body = isBelt
      ? `b${view.speed[c]}${shape(c)}${dropOf(view.tail[c], heading)}`
      : `u${view.speed[c]}n${apart(map, view, c)}${dropOf(view.tail[c], heading)}/${dropOf(view.head[c], heading)}`;
    return `${body}(${feed(behind)}|${feed(fromLeft)}|${feed(fromRight)})`;
  };

  const parts: string[] = [];
  for (let c = 0; c < view.count; c++) {
    if (view.next[c] > DEAD - 1) continue;
    const { head, tail } = cutTail(map, view, feeders, crew, c);
    parts.push(`e${exitOf(view.next[c])}${tail}=${write(head)}`);
  }
  let slowest = Infinity;
  for (let c = 0; c < view.count; c++) slowest = Math.min(slowest, view.speed[c]);
  const arms = crew.arms.map((arm) => `${arm.role === 'fill' ? 'f' : 'l'}${arm.model}c${arm.chest}${wagonsMet(map, arm)}`).join(',');
  return `${parts.sort().join(';')}@${arms}@${slowest}@${relaxedOrder(view, feeders, number)}`;
}

/** At which offsets of spotting an arm that draws from a wagon meets one; such an arm faces south. */
function wagonsMet({ brief, width }: SiteMap, arm: CrewArm): string {
  if (brief.spotting === 0 || (arm.role === 'load' && arm.chest >= 0)) return '';
  const x = arm.tile % width;
  let met = 'w';
  for (let offset = -brief.spotting; offset <= brief.spotting; offset++) {
    met += brief.wagons.some(({ at, model }) => x >= at + offset && x < at + offset + model.length) ? '1' : '0';
  }
  return met;
}

const apart = (map: SiteMap, view: CarrierView, c: number): number => {
  const dxTiles = Math.abs((view.tail[c] % map.width) - (view.head[c] % map.width));
  const dyTiles = Math.abs(Math.floor(view.tail[c] / map.width) - Math.floor(view.head[c] / map.width));
  return dxTiles + dyTiles;
};

/**
 * Walks upstream from an exit's carrier over the last stretch: carriers with a single feeder along the
 * way and no drop. Where their speeds never fall and begin no lower than the head's, only the fact that
 * there is such a stretch counts; otherwise each of them does.
 */
function cutTail(
  map: SiteMap,
  view: CarrierView,
  feeders: readonly Feeders[],
  crew: Crew,
  last: number,
): { readonly head: number; readonly tail: string } {
  const dropped = (tile: number): boolean => crew.arms.some((arm) => arm.role === 'load' && arm.target === tile);
  const stretch: number[] = [];
  let at = last;
  for (;;) {
    const { behind, fromLeft, fromRight } = feeders[at];
    const ways = [behind, fromLeft, fromRight].filter((from) => from >= 0);
    const splitter = view.kind[at] === SPLITTER_LEFT || view.kind[at] === SPLITTER_RIGHT;
    if (splitter || ways.length !== 1 || dropped(view.tail[at]) || dropped(view.head[at])) break;
    stretch.push(at);
    at = ways[0];
  }
  const { inner, outer } = map.brief.catalog.turn;
  const { pitch, unitsPerTile } = map.brief.catalog;
  let free = true;
  let before = view.speed[at];
  for (let s = stretch.length - 1; s >= 0; s--) {
    if (view.speed[stretch[s]] < before) free = false;
    before = view.speed[stretch[s]];
  }
  // Drops on the head look ahead by a pitch, so a turn shorter than that would show.
  if (Math.min(inner, outer, unitsPerTile) < pitch) free = false;
  if (stretch.length === 0) return { head: at, tail: '' };
  if (free) return { head: at, tail: '+' };
  const detail = stretch.map((c) => {
    const { behind, fromLeft } = feeders[c];
    const turn = view.kind[c] === BELT && behind < 0 ? (fromLeft >= 0 ? 'l' : 'r') : 's';
    const lengths = inner === unitsPerTile && outer === unitsPerTile ? 's' : turn;
    return `${view.speed[c]}${view.kind[c] === BELT ? lengths : `n${apart(map, view, c)}`}`;
  });
  return { head: at, tail: `-${detail.join('.')}` };
}

/**
 * Where a side feeder of a tee merge leads back to the same splitter that feeds the tee from behind, the
 * rules open the knot at the least such part by (y, x). One knot has one way; of several, the order counts.
 */
function relaxedOrder(view: CarrierView, feeders: readonly Feeders[], number: ReadonlyMap<number, number>): string {
  const knots: { readonly tile: number; readonly carrier: number }[] = [];
  feeders.forEach(({ behind, fromLeft, fromRight }) => {
    if (behind < 0 || view.mate[behind] < 0) return;
    for (const side of [fromLeft, fromRight]) if (side >= 0) knots.push({ tile: cornerOf(view, side), carrier: number.get(side) ?? -1 });
  });
  return knots.length < 2 ? '' : [...knots].sort((a, b) => a.tile - b.tile).map((knot) => knot.carrier).join('.');
}

/** The lesser tile of the part that a carrier belongs to. */
function cornerOf(view: CarrierView, c: number): number {
  return Math.min(view.tail[c], view.head[c], view.mate[c] >= 0 ? view.tail[view.mate[c]] : Infinity);
}
