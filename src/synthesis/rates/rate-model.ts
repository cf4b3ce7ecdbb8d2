/**
 * The rate model: for every arm and kind of target, the most that it can deliver per tick, in any
 * layout whatever. It knows about ticks (an item clears its spot only in whole ticks) and is
 * optimistic: the simulator never gives more.
 * Source: derived from models/world-rules.md, sections 2, 4 and 7.
 */
import { maxRational, minRational, ratio, type Rational } from '../../base/rational.js';
import type { ArmModel, Catalog } from '../../catalog/catalog.js';

/**
 * Where a hand empties, as far as its rate is concerned.
 * - `container`: a chest or wagon takes all in one tick.
 * - `lane`: one lane of `laneLength` units, at `spot`.
 * - `line`: a splitter's dividing line with `outputs` halves that lead on.
 * `testsEndAfter`: units past the tile's head at which the tests of distance end (0 where it faces a tee
 * merge or an exit, U/2 where it faces a splitter): an item beyond is out of the way, however close.
 */
export type DropKind =
  | { readonly kind: 'container' }
  | {
      readonly kind: 'lane';
      readonly speed: number;
      readonly laneLength: number;
      readonly spot: number;
      readonly testsEndAfter: number;
    }
  | { readonly kind: 'line'; readonly speed: number; readonly outputs: 1 | 2; readonly testsEndAfter: number };

/** Items that leave one lane in one tick: one of its own, one of each lane that merges into it, and one set down. */
const MOST_AT_ONCE = 4;

const fastest = (catalog: Catalog): number =>
  [...catalog.belts, ...catalog.splitters, ...catalog.underpasses].reduce((most, model) => Math.max(most, model.speed), 1);

/**
 * Least ticks after which an item that starts `room` units before its tile's head is `distance` units
 * further. A move that starts on the tile (its head included) has at most the tile's speed, a later one
 * at most the catalog's greatest.
 */
function leastTicksToTravel(distance: number, room: number, speed: number, beyondSpeed: number): number {
  const movesOnTile = Math.floor(room / speed) + 1;
  if (distance <= movesOnTile * speed) return Math.ceil(distance / speed);
  return movesOnTile + Math.ceil((distance - movesOnTile * speed) / beyondSpeed);
}

/** Ticks after which a drop without slack frees its spot; undefined where slack lets items land elsewhere. */
function clearTicks(catalog: Catalog, arm: ArmModel, drop: DropKind): number | undefined {
  if (drop.kind === 'container' || arm.slack > 0) return undefined;
  const room = drop.kind === 'line' ? catalog.unitsPerTile / 2 : drop.laneLength - drop.spot;
  // Strictly past the end of the tests, hence the 1.
  const needed = Math.min(catalog.pitch, room + drop.testsEndAfter + 1);
  return leastTicksToTravel(needed, room, drop.speed, Math.max(drop.speed, fastest(catalog)));
}

/** By items of a hand: least ticks from the first to the last of them, all dropped on one lane or line. */
function leastEmptyingTicks(catalog: Catalog, arm: ArmModel, drop: DropKind): (items: number) => number {
  if (drop.kind === 'container') return () => 0;
  const { pitch, unitsPerTile } = catalog;
  const beyond = Math.max(drop.speed, fastest(catalog));
  const lanes = drop.kind === 'line' ? drop.outputs : 1;
  const room = drop.kind === 'line' ? unitsPerTile / 2 : drop.laneLength - drop.spot;
  const clear = clearTicks(catalog, arm, drop);
  const byRelease = (items: number): number => (items - 1) * arm.releaseTicks;
  const perLaneOf = (items: number): number => Math.ceil(items / lanes);
  if (clear !== undefined) {
    return (items) => {
      // Of an even hand at two halves the second half begins one release later.
      const second = lanes === 2 && items % 2 === 0 ? Math.min(arm.releaseTicks, clear) : 0;
      return items <= 1 ? 0 : Math.max(byRelease(items), (perLaneOf(items) - 1) * clear + second);
    };
  }
  // With slack a hand may drop anywhere in a window, from `low` to `high` units before the tile's head.
  const high = Math.max(0, room - arm.slack);
  const low = drop.kind === 'line' ? room : Math.min(drop.laneLength, room + arm.slack);
  if (high + drop.testsEndAfter >= pitch) {
    return (items) => {
      // Items of one lane keep a pitch apart, so the stretch from last to first, which is (n - 1) pitches at
      // least, grows by no more than the fastest move in each tick.
      const stretch = (perLaneOf(items) - 1) * pitch - (low - high);
      return items <= 1 ? 0 : Math.max(byRelease(items), stretch > 0 ? Math.ceil(stretch / beyond) : 0);
    };
  }
  // The tests end within a pitch of the window: of the hand's items at most `held` are still before that
  // end when the last one is dropped. The others have passed it one by one: the first no sooner than
  // `leave` ticks after it was dropped, each other one `leave` ticks after the one before (if it was dropped
  // once that one had passed) or a pitch behind it.
  const held = Math.floor((low + drop.testsEndAfter) / pitch) + 1;
  const leave = leastTicksToTravel(high + drop.testsEndAfter + 1, high, drop.speed, beyond);
  const apart = Math.min(leave, Math.floor(pitch / beyond));
  return (items) => {
    const passed = perLaneOf(items) - held;
    return items <= 1 ? 0 : Math.max(byRelease(items), passed > 0 ? leave + (passed - 1) * apart : 0);
  };
}

/** By items that are picked from a container at once and emptied onto `drop`: least ticks of a whole cycle. */
function leastCycleTicks(catalog: Catalog, arm: ArmModel, drop: DropKind): (items: number) => number {
  const emptying = leastEmptyingTicks(catalog, arm, drop);
  return (items) => arm.grabTicks + 2 * arm.swingTicks + 1 + emptying(items);
}

/** Most items per tick that an arm drops, if its hands alone bring no more than `byHand`. */
function dropRate(catalog: Catalog, arm: ArmModel, drop: DropKind, byHand: Rational): Rational {
  const clear = clearTicks(catalog, arm, drop);
  // From hand to hand, too, a spot is free again only after its last item has cleared it.
  return clear === undefined ? byHand : minRational(byHand, ratio(drop.kind === 'line' ? drop.outputs : 1, clear));
}

/** Most items per tick that an arm delivers onto `drop` from a container that never runs dry. */
export const armRateBound = (catalog: Catalog, arm: ArmModel, drop: DropKind): Rational =>
  dropRate(catalog, arm, drop, ratio(arm.payload, leastCycleTicks(catalog, arm, drop)(arm.payload)));

/**
 * The same for an arm that picks from a carrier: it may leave with less than a full hand, and `grab` only
 * spaces what it takes, so that a single item takes it one tick.
 */
export function armRateBoundOfAnyHand(catalog: Catalog, arm: ArmModel, drop: DropKind): Rational {
  const ticksOf = leastCycleTicks(catalog, { ...arm, grabTicks: 1 }, drop);
  let best = { items: 0, ticks: 1 };
  // Hands may hold millions, and fractions would take many seconds for those.
  for (let items = 1; items <= arm.payload; items++) {
    const ticks = ticksOf(items);
    if (isMoreOf(items, ticks, best)) best = { items, ticks };
  }
  return dropRate(catalog, arm, drop, ratio(best.items, best.ticks));
}

/** Whether so many items in so many ticks are more per tick. */
function isMoreOf(items: number, ticks: number, other: { readonly items: number; readonly ticks: number }): boolean {
  const [one, two] = [items * other.ticks, other.items * ticks];
  return Math.max(one, two) <= Number.MAX_SAFE_INTEGER ? one > two : BigInt(items) * BigInt(other.ticks) > BigInt(other.items) * BigInt(ticks);
}

/** Items per tick from container to container: payload / (grab + 2 swing + 1), exact. */
export const fillRate = (arm: ArmModel): Rational => ratio(arm.payload, arm.grabTicks + 2 * arm.swingTicks + 1);

/** The greatest of the bounds over every way of dropping on a lane of `speed` at `quarters`, whatever follows it. */
export function bestLaneRate(
  catalog: Catalog,
  arm: ArmModel,
  speed: number,
  quarters: readonly number[] = [1, 2, 3],
): Rational {
  const lengths = new Set([catalog.unitsPerTile, catalog.turn.inner, catalog.turn.outer]);
  return [...lengths]
    .flatMap((laneLength) =>
      quarters.map((quarter) => {
        const spot = Math.floor((laneLength * quarter) / 4);
        return armRateBound(catalog, arm, { kind: 'lane', speed, laneLength, spot, testsEndAfter: 0 });
      }),
    )
    .reduce(maxRational);
}

/**
 * What holds back the part of an arm's items that goes to one output of a dividing line: they come `apart` ticks after one
 * another, and a hand with n of them takes `between` + n apart ticks at least, however many go to the other output.
 */
export interface OutputTicks {
  readonly apart: number;
  readonly between: number;
}

/** Undefined where slack lets items land elsewhere than on the line. */
export function outputTicks(catalog: Catalog, arm: ArmModel, speed: number): OutputTicks | undefined {
  const drop: DropKind = { kind: 'line', speed, outputs: 2, testsEndAfter: 0 };
  const apart = clearTicks(catalog, arm, drop);
  return apart === undefined ? undefined : { apart, between: Math.max(0, leastCycleTicks(catalog, arm, drop)(1) - apart) };
}

/** The same at a dividing line with both outputs open. */
export const bestLineRate = (catalog: Catalog, arm: ArmModel, speed: number): Rational =>
  armRateBound(catalog, arm, { kind: 'line', speed, outputs: 2, testsEndAfter: 0 });

/**
 * Most items per tick that leave a lane of `speed`. Items on one lane keep a pitch apart, so v / P passes
 * along it. But where the tests of distance end at its head, an item that is set down (by an arm, or by a
 * tee merge at 3/4) or that comes from a faster carrier only once the last one has left, follows it after no
 * more than `apart` ticks. An item leaves with up to `most` units of its way beyond the head, so a run of
 * n + 1 that keep a pitch apart takes (n P + 1 - most) / v ticks at least; the worst is one such run after the other.
 */
export function endRateBound(catalog: Catalog, speed: number): Rational {
  const { unitsPerTile, turn } = catalog;
  const slack = catalog.arms.reduce((most, arm) => Math.max(most, arm.slack), 0);
  // Spots are rounded down, so the stretch behind one is a quarter of the length at least. A tee merge and a
  // faster feeder bring an item further by what is left of its move.
  const shortest = Math.min(unitsPerTile, turn.inner, turn.outer);
  const most = Math.max(speed, fastest(catalog));
  const byArm = Math.max(0, Math.ceil(shortest / 4) - slack);
  const byTee = unitsPerTile / 4 - most;
  return rateBehind(catalog, speed, Math.min(byArm, byTee));
}

/**
 * The same of a lane with one feeder, on which nothing is set down: only a faster feeder lets more than v / P leave. But where
 * a turn may be shorter than a pitch, what is set down before it looks past its end, and follows as soon.
 */
export const plainEndRateBound = (catalog: Catalog, speed: number): Rational =>
  keepsPitch(catalog) ? rateBehind(catalog, speed, Infinity) : endRateBound(catalog, speed);

/**
 * Most items per tick that pass along a lane of `speed`, set down further back. A tee merge is no further back where a faster
 * feeder's move may bring an item by it past the tile: then items come as from such a feeder.
 */
export const passRateBound = (catalog: Catalog, speed: number): Rational => {
  const most = fastest(catalog);
  const passesOver = most > speed && most > catalog.unitsPerTile / 4;
  return keepsPitch(catalog) && !passesOver ? ratio(speed, catalog.pitch) : plainEndRateBound(catalog, speed);
};

const keepsPitch = ({ turn, pitch }: Catalog): boolean => Math.min(turn.inner, turn.outer) >= pitch;

/** `room`: where tests end, an item may come to stand so far before the head, but for what comes from a feeder. */
function rateBehind(catalog: Catalog, speed: number, room: number): Rational {
  const { pitch, unitsPerTile, turn } = catalog;
  const most = Math.max(speed, fastest(catalog));
  const byFeeder = most > speed ? Math.min(unitsPerTile, turn.inner, turn.outer) - most : Infinity;
  const apart = Math.ceil((Math.min(room, byFeeder) + 1) / speed);
  if (apart <= 0) return ratio(MOST_AT_ONCE);
  let best = ratio(speed, pitch);
  if (apart === Infinity) return best;
  // The ticks of longer runs repeat, as multiples of the pitch do in whole ticks.
  for (let pitches = 0; pitches < speed; pitches++) {
    const run = Math.max(0, Math.ceil((pitches * pitch + 1 - most) / speed));
    best = maxRational(best, ratio(pitches + 1, apart + run));
  }
  return best;
}
