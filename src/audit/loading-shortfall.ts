/**
 * In what a layout falls short of a brief whose wagons are to be filled, given its flows from one start (world rules,
 * section 11, *Loading*). As `shortfall.ts`, which is for wagons that are emptied, arithmetic alone.
 */
import { jainImbalance } from '../base/jain.js';
import { isLess, maxRational, minRational, ONE, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import { backOf, sameTile, stepFrom, type Heading, type Tile } from '../base/geometry.js';
import type { Brief } from '../brief/brief.js';
import type { LoadJob } from '../brief/load-job.js';
import { entriesOf, pickTile, placeTile, tilesOf, underpassHeading, wagonAt, type Layout, type Part } from '../layout/layout.js';
import { armsOf, headsOf } from './networks.js';
import { fillRateOf, type Flows, type TrainPace } from './steady-flow.js';

/** All in items per tick. */
export type LoadingShortfall =
  /** What arms carry off of what comes in over an entry. */
  | { readonly kind: 'entry'; readonly entry: number; readonly found: Rational; readonly asked: Rational }
  | { readonly kind: 'wagon'; readonly wagon: number; readonly found: Rational; readonly asked: Rational }
  | { readonly kind: 'wagons'; readonly found: Rational; readonly asked: Rational }
  /** `carryOff`: what arms can take into wagons in the share of time in which these stand there. */
  | { readonly kind: 'overfull'; readonly at: Tile; readonly inflow: Rational; readonly carryOff: Rational };

type Carrier = Exclude<Part, { readonly kind: 'arm' | 'chest' }>;

const isCarrier = (part: Part): part is Carrier => part.kind !== 'arm' && part.kind !== 'chest';

/** Whether a carrier takes what comes to that tile with that heading. */
function accepts(part: Carrier, at: Tile, heading: Heading): boolean {
  switch (part.kind) {
    case 'belt':
      return heading !== backOf(part.heading);
    case 'splitter':
      return heading === part.heading;
    case 'underpass':
      return sameTile(part.from, at) && heading === underpassHeading(part);
  }
}

/** By entry: the carriers to which its items may come, and all that hang together with these, by arms from one to the other too. */
function reachOf(layout: Layout): readonly ReadonlySet<Carrier>[] {
  const carriers = layout.parts.filter(isCarrier);
  const on = (tile: Tile): Carrier | undefined => carriers.find((part) => tilesOf(part).some((own) => sameTile(own, tile)));
  const next = new Map(
    carriers.map((part) => [
      part,
      headsOf(part).flatMap(({ at, heading }) => {
        const ahead = stepFrom(at, heading);
        const to = on(ahead);
        return to !== undefined && accepts(to, ahead, heading) ? [to] : [];
      }),
    ]),
  );
  for (const arm of armsOf(layout)) {
    const [from, onto] = [on(pickTile(arm)), on(placeTile(arm))];
    if (from !== undefined && onto !== undefined) next.set(from, [...(next.get(from) ?? []), onto]);
  }
  return entriesOf(layout).map(({ at }) => {
    const first = on(at);
    const reach = new Set(first === undefined ? [] : [first]);
    for (let before = -1; before < reach.size; ) {
      before = reach.size;
      for (const [part, to] of next) {
        if (!reach.has(part) && !to.some((each) => reach.has(each))) continue;
        for (const each of [part, ...to]) reach.add(each);
      }
    }
    return reach;
  });
}

interface Filled {
  readonly at: Tile;
  /** Whether some arm brings from a carrier, be it nothing. */
  readonly isFilled: boolean;
  /** What arms bring from carriers. */
  readonly inflow: Rational;
  /** What arms could carry into wagons that always stand there; by arm in the order of `armsOf`. */
  readonly carryOff: Rational;
  readonly into: readonly { readonly wagon: number; readonly rate: Rational }[];
}

const ofArm = ({ taken }: Flows, arm: number): Rational => taken[arm] ?? ZERO;

/** Every chest that arms fill from carriers or empty into wagons. */
function filledChests(layout: Layout, flows: Flows): readonly Filled[] {
  const arms = armsOf(layout);
  const carriers = layout.parts.filter(isCarrier).flatMap(tilesOf);
  return layout.parts.flatMap((part): readonly Filled[] => {
    if (part.kind !== 'chest') return [];
    const filling = arms.flatMap((arm, index) => (sameTile(placeTile(arm), part.at) && carriers.some((tile) => sameTile(tile, pickTile(arm))) ? [ofArm(flows, index)] : []));
    const into = arms.flatMap((arm) => {
      const wagon = sameTile(pickTile(arm), part.at) ? wagonAt(layout.wagons, placeTile(arm)) : undefined;
      return wagon === undefined ? [] : [{ wagon, rate: fillRateOf(arm) }];
    });
    return [{ at: part.at, isFilled: filling.length > 0, inflow: sumRational(filling), carryOff: sumRational(into.map(({ rate }) => rate)), into }];
  });
}

/** Imbalance of what goes through the chests: nothing through those that no arm empties where the wagons stand. */
export const fillingImbalance = (layout: Layout, flows: Flows): Rational => jainImbalance(filledChests(layout, flows).map(({ inflow, into }) => (into.length === 0 ? ZERO : inflow)));

/** Items per tick into each wagon, in the long run; without presence, where one train follows the other at once. */
function intoWagons(layout: Layout, flows: Flows, presence?: Rational): readonly Rational[] {
  const arms = armsOf(layout);
  const chests = filledChests(layout, flows);
  const carriers = layout.parts.filter(isCarrier).flatMap(tilesOf);
  return layout.wagons.map((_, wagon) => {
    const straight = arms.map((arm, index) =>
      wagonAt(layout.wagons, placeTile(arm)) === wagon && carriers.some((tile) => sameTile(tile, pickTile(arm))) ? ofArm(flows, index).mul(presence ?? ONE) : ZERO,
    );
    const byChests = chests.flatMap(({ inflow, carryOff, into }) => {
      const through = presence === undefined ? inflow : minRational(inflow, carryOff.mul(presence));
      return into.map((arm) => (arm.wagon === wagon ? through.mul(arm.rate).div(carryOff) : ZERO));
    });
    return sumRational([...straight, ...byChests]);
  });
}

/** What all wagons get in the long run: by this, starts are compared. */
export const intoAllWagons = (layout: Layout, flows: Flows, presence: Rational): Rational => sumRational(intoWagons(layout, flows, presence));

/**
 * Of trains that are filled, by formula (world rules, section 11): one follows the other as fast as flows into wagons let
 * it, and stands as long as all arms take that never wait for a chest. Undefined where some wagon gets nothing.
 */
export function fillingPace(layout: Layout, flows: Flows): TrainPace | undefined {
  const gets = intoWagons(layout, flows);
  if (gets.length === 0 || gets.some((flow) => flow.equals(ZERO))) return undefined;
  const chests = filledChests(layout, flows);
  const carriers = layout.parts.filter(isCarrier).flatMap(tilesOf);
  const atOnce = layout.wagons.map((_, wagon) =>
    sumRational([
      ...chests.flatMap(({ isFilled, into }) => into.map((arm) => (isFilled && arm.wagon === wagon ? arm.rate : ZERO))),
      ...armsOf(layout).map((arm, index) =>
        wagonAt(layout.wagons, placeTile(arm)) === wagon && carriers.some((tile) => sameTile(tile, pickTile(arm))) ? ofArm(flows, index) : ZERO,
      ),
    ]),
  );
  const slowest = (rates: readonly Rational[]): Rational => layout.wagons.map(({ model }, wagon) => ratio(model.capacity).div(rates[wagon])).reduce(maxRational, ZERO);
  return { dwell: slowest(atOnce), trainsPerHour: ratio(3600 * layout.catalog.ticksPerSecond).div(slowest(gets)) };
}

/**
 * What of each entry's items gets into wagons, and into chests that are emptied into them. Nobody can tell whose items are left
 * where entries are joined: all that are count against each, and from what straight arms bring there, presence takes off of all.
 */
export function carriedOff(layout: Layout, flows: Flows, presence: Rational): readonly Rational[] {
  const arms = armsOf(layout);
  const chests = filledChests(layout, flows);
  const reach = reachOf(layout);
  const entered = (entry: number): Rational => flows.entered[entry] ?? ZERO;
  return reach.map((own, entry) => {
    const takenBy = (goes: (place: Tile) => boolean): Rational =>
      sumRational(arms.map((arm, index) => (goes(placeTile(arm)) && [...own].some((part) => tilesOf(part).some((tile) => sameTile(tile, pickTile(arm)))) ? ofArm(flows, index) : ZERO)));
    const straight = takenBy((place) => wagonAt(layout.wagons, place) !== undefined);
    const byChests = takenBy((place) => chests.some(({ at, into }) => into.length > 0 && sameTile(at, place)));
    const joined = reach.flatMap((other, index) => ([...other].some((part) => own.has(part)) ? [index] : []));
    // Arms may take more than comes in: what others set down on the same carriers.
    if (joined.length === 1) return minRational(entered(entry), byChests.add(straight.mul(presence)));
    const left = maxRational(ZERO, sumRational(joined.map(entered)).sub(byChests).sub(straight));
    return maxRational(ZERO, entered(entry).sub(left)).mul(straight.equals(ZERO) ? ONE : presence);
  });
}

export function measureLoading(layout: Layout, flows: Flows, brief: Brief, job: LoadJob): { readonly shortfalls: readonly LoadingShortfall[]; readonly incomplete: boolean } {
  const { presence, exceed } = brief;
  const isShort = (found: Rational, asked: Rational): boolean => (exceed === true && isLess(ZERO, asked) ? !isLess(asked, found) : isLess(found, asked));
  if (flows.taken.includes(undefined)) return { shortfalls: [], incomplete: true };
  const chests = filledChests(layout, flows);
  const gets = intoWagons(layout, flows, presence);
  const all = sumRational(gets);
  const together = job.together ?? ZERO;
  return {
    incomplete: false,
    shortfalls: [
      ...carriedOff(layout, flows, presence).flatMap((found, entry): LoadingShortfall[] => {
        const asked = job.entries[entry].target;
        return isShort(found, asked) ? [{ kind: 'entry', entry, found, asked }] : [];
      }),
      ...gets.flatMap((found, wagon): LoadingShortfall[] => {
        const asked = job.fullTicks === undefined ? ZERO : ratio(layout.wagons[wagon].model.capacity).div(job.fullTicks);
        return isShort(found, asked) ? [{ kind: 'wagon', wagon, found, asked }] : [];
      }),
      ...(isShort(all, together) ? [{ kind: 'wagons', found: all, asked: together } as const] : []),
      ...chests.flatMap(({ at, inflow, carryOff }): LoadingShortfall[] => {
        const most = carryOff.mul(presence);
        return isLess(most, inflow) ? [{ kind: 'overfull', at, inflow, carryOff: most }] : [];
      }),
    ],
  };
}
