/**
 * What a network's flows depend on, as a text: networks with the same text give the same flows from every
 * start, wherever they stand and whatever stands beside them. So one simulation settles the whole family,
 * and its verdict is a cut that rules all of them in or out: shifted copies, other ways of laying the same
 * lengths, longer tails, the same network at another exit that asks for as much.
 *
 * What counts: carriers with their speeds, lane lengths and joins, upstream from each exit; where each arm
 * drops; the order in which the network's arms act (and draw their staggers); the slowest carrier (staggers
 * depend on it); where wagons may stop short or far, which arms then still reach one; where trains count, which wagon
 * each arm draws from; the speeds of exits' own belts, since the worst start is that of the least fill, and how even chests are
 * and what trains take is told of that start. Of a layout also which arms share a chest, and what fills it. What does not: where things stand, and
 * a last stretch of carriers no slower than the one before it, which never holds an item up, but for the speed of its first.
 */
import { formatRational } from '../../base/rational.js';
import { asksForTrains } from '../../brief/asked-trains.js';
import { BELT, DEAD, SPLITTER_LEFT, SPLITTER_RIGHT, exitOf, type CarrierView } from '../carriers/carrier-network.js';
import type { Crew, CrewArm } from '../site/crew.js';
import type { NetworkPart } from './networks.js';
import { wagonReached } from '../site/candidates.js';
import { left, right, type SiteMap } from '../site/site-map.js';

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

/** Of a layout whose networks are `parts`, with what fills its chests. */
export function layoutSignature(map: SiteMap, view: CarrierView, crew: Crew, parts: readonly NetworkPart[]): string {
  const labels = new Map<number, number>();
  const drawn = parts.map(({ arms }) =>
    arms.map(({ chest }) => {
      if (chest >= 0 && !labels.has(chest)) labels.set(chest, labels.size);
      return labels.get(chest) ?? '';
    }),
  );
  const filled = [...labels.keys()].map((chest) =>
    crew.arms
      .filter((arm) => arm.role === 'fill' && arm.chest === chest)
      .map((arm) => `f${arm.model}${wagonsMet(map, arm)}`)
      .sort()
      .join(),
  );
  return `${parts.map((part) => networkSignature(map, view, part)).join('&')}@${drawn.join(';')}@${filled.join(';')}`;
}

/** Of one network alone: its flows. */
export function networkSignature(map: SiteMap, view: CarrierView, { carriers, arms }: NetworkPart): string {
  const feeders = feedersOf(view);
  const { inner, outer } = map.brief.catalog.turn;
  const units = map.brief.catalog.unitsPerTile;
  const dropsOn = new Map<number, string>();
  arms.forEach((arm, rank) => {
    dropsOn.set(arm.target, `${dropsOn.get(arm.target) ?? ''}a${rank}h`);
  });
  const dropOf = (tile: number, heading: number): string => {
    const here = dropsOn.get(tile);
    if (here === undefined) return '';
    // An arm's direction counts only as seen from the carrier.
    return here.replace(/a(\d+)h/g, (_, rank: string) => `a${rank}h${(arms[Number(rank)].heading - heading + 4) & 3}`);
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

  const ways: string[] = [];
  for (const c of carriers) {
    if (view.next[c] > DEAD - 1) continue;
    const { head, tail } = cutTail(map, view, feeders, dropsOn, c);
    ways.push(`e${demandText(map, exitOf(view.next[c]))}${tail}=${write(head)}`);
  }
  const slowest = carriers.reduce((least, c) => Math.min(least, view.speed[c]), Infinity);
  const loads = arms.map((arm) => `${arm.model}${wagonsMet(map, arm)}`).join(',');
  return `${ways.sort().join(';')}@${loads}@${slowest}@${relaxedOrder(view, feeders, number)}`;
}

/** What an exit asks for, and the speed by which its fill is told; the same of all exits that ask for as much of as fast a belt. */
function demandText({ brief }: SiteMap, exit: number): string {
  const { belt, target } = brief.exits[exit];
  const { left: onLeft, right: onRight, total } = target;
  // With a common target it counts which exit gives how much.
  const which = brief.together === undefined ? '' : exit;
  return `${which}v${belt.speed}[${formatRational(onLeft)},${formatRational(onRight)},${formatRational(total)}]`;
}

/** At which offsets of spotting an arm that draws from a wagon meets one; where trains count, which. */
function wagonsMet(map: SiteMap, arm: CrewArm): string {
  const { brief } = map;
  const whichCounts = brief.wagons.length > 1 && asksForTrains(brief);
  if ((brief.spotting === 0 && !whichCounts) || (arm.role === 'load' && arm.chest >= 0)) return '';
  let met = 'w';
  for (let offset = -brief.spotting; offset <= brief.spotting; offset++) {
    const wagon = wagonReached(map, arm, offset);
    met += whichCounts ? `${wagon}.` : wagon < 0 ? '0' : '1';
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
 * way and no drop. Where their speeds never fall and begin no lower than the head's, only the speed counts with
 * which such a stretch begins; otherwise each of them does.
 */
function cutTail(
  map: SiteMap,
  view: CarrierView,
  feeders: readonly Feeders[],
  dropsOn: ReadonlyMap<number, string>,
  last: number,
): { readonly head: number; readonly tail: string } {
  const stretch: number[] = [];
  let at = last;
  for (;;) {
    const { behind, fromLeft, fromRight } = feeders[at];
    const ways = [behind, fromLeft, fromRight].filter((from) => from >= 0);
    const splitter = view.kind[at] === SPLITTER_LEFT || view.kind[at] === SPLITTER_RIGHT;
    if (splitter || ways.length !== 1 || dropsOn.has(view.tail[at]) || dropsOn.has(view.head[at])) break;
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
  // What joins or is set down close to the head's end looks into the stretch, by less than a tile.
  if (free) return { head: at, tail: `+${view.speed[stretch[stretch.length - 1]]}` };
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
    for (const side of [fromLeft, fromRight]) {
      const carrier = number.get(side);
      if (carrier !== undefined) knots.push({ tile: cornerOf(view, side), carrier });
    }
  });
  return knots.length < 2 ? '' : [...knots].sort((a, b) => a.tile - b.tile).map((knot) => knot.carrier).join('.');
}

/** The lesser tile of the part that a carrier belongs to. */
function cornerOf(view: CarrierView, c: number): number {
  return Math.min(view.tail[c], view.head[c], view.mate[c] >= 0 ? view.tail[view.mate[c]] : Infinity);
}
