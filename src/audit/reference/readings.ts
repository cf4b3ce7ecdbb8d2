/**
 * What can be read of a world: counts, items and where they are, gaps, and the whole state as text.
 */
import { stepFrom, type Tile } from '../../base/geometry.js';
import { formatRational } from '../../base/rational.js';
import { entriesOf, type Side } from '../../layout/layout.js';
import type { Counts } from '../../simulation/trial-result.js';
import { lanesOf } from './carriers.js';
import { distanceBehind } from './distances.js';
import { SIDES, show, type ArmState, type ExitState, type World } from './world.js';

export function countsOf({ layout, exits, entries, wagons, chests }: World): Counts {
  const cameIn = entriesOf(layout).map((placed) => {
    const counts = entries.find((entry) => entry.placed === placed)?.counts ?? { left: 0, right: 0 };
    return { at: placed.at, heading: placed.heading, ...counts };
  });
  return {
    ...(cameIn.length === 0 ? {} : { entries: cameIn }),
    exits: exits.map(({ placed, counts: { left, right } }) => ({ at: placed.at, heading: placed.heading, left, right })),
    chests: chests.map(({ at, container }) => ({ at, taken: container.taken })),
    wagons: layout.wagons.map((wagon, index) => ({ at: wagon.at, taken: wagons[index]?.taken ?? 0 })),
  };
}

/** Every item that lies on a lane or in a hand. */
export const itemsOf = ({ carriers, arms }: World): readonly { readonly id: number; readonly where: string; readonly at: number | undefined }[] => [
  ...lanesOf(carriers).flatMap((lane) => lane.items.map((item) => ({ id: item.id, where: lane.name, at: item.at }))),
  ...arms.flatMap((arm) => arm.hand.map((item) => ({ id: item.id, where: `hand ${show(arm.placed.at)}`, at: undefined }))),
];

/** Every item on a carrier: its tile, its lane, and the units from the tail of its belt, splitter half or underpass. */
export const placesOf = ({ carriers, unitsPerTile }: World): readonly { readonly tile: Tile; readonly lane: Side; readonly position: number }[] =>
  carriers.flatMap((carrier) =>
    SIDES.flatMap((lane) => {
      switch (carrier.kind) {
        case 'belt':
          return carrier.lanes[lane].items.map((item) => ({ tile: carrier.at, lane, position: item.at }));
        case 'underpass':
          return carrier.lanes[lane].items.map((item) => {
            // An item on a border is on the tile behind it.
            const tilesIn = Math.max(0, Math.ceil(item.at / unitsPerTile) - 1);
            return { tile: stepFrom(carrier.from, carrier.heading, tilesIn), lane, position: item.at };
          });
        case 'splitter':
          return SIDES.flatMap((half) => {
            const { at: tile, input, output } = carrier.halves[half];
            return [
              ...input[lane].items.map((item) => ({ tile, lane, position: item.at })),
              ...output[lane].items.map((item) => ({ tile, lane, position: unitsPerTile / 2 + item.at })),
            ];
          });
      }
    }),
  );

export interface Totals {
  readonly taken: number;
  readonly delivered: number;
  readonly left: number;
  readonly entered: number;
  readonly inside: number;
}

export function totalsOf(world: World): Totals {
  const { wagons, chests, exits, entries } = world;
  const containers = [...wagons, ...chests.map((chest) => chest.container)];
  return {
    taken: containers.reduce((sum, container) => sum + container.taken, 0),
    delivered: containers.reduce((sum, container) => sum + container.delivered, 0),
    left: exits.reduce((sum, exit) => sum + exit.counts.left + exit.counts.right, 0),
    entered: entries.reduce((sum, entry) => sum + entry.counts.left + entry.counts.right, 0),
    inside: itemsOf(world).length,
  };
}

/** v(t2 - t1) + u1 - u2. */
const gapsBetween = (exit: ExitState, departures: ExitState['departures']['left']): readonly number[] =>
  departures.flatMap((departure, index) => {
    if (index === 0) return [];
    const before = departures[index - 1];
    return [exit.speed * (departure.tick - before.tick) + before.unspent - departure.unspent];
  });

/** Gaps in units from each item that left to the one before it, per exit in the layout's order. */
export const gapsOf = ({ exits }: World): readonly { readonly left: readonly number[]; readonly right: readonly number[] }[] =>
  exits.map((exit) => ({
    left: gapsBetween(exit, exit.departures.left),
    right: gapsBetween(exit, exit.departures.right),
  }));

/**
 * The greatest gap in units on each exit's lanes in a period of so many ticks that ends now, the one from its first
 * item to the last of the period before included; undefined where no item leaves.
 */
export const greatestGapsOf = ({ exits, now }: World, periodTicks: number): readonly Readonly<Record<Side, number | undefined>>[] =>
  exits.map((exit) => {
    const greatest = (side: Side): number | undefined => {
      const inPeriod = exit.departures[side].filter((departure) => departure.tick > now - periodTicks);
      if (inPeriod.length === 0) return undefined;
      const [first] = inPeriod;
      return Math.max(...gapsBetween(exit, [...inPeriod, { tick: first.tick + periodTicks, unspent: first.unspent }]));
    };
    return { left: greatest('left'), right: greatest('right') };
  });

/** Ticks after which none of an arm's clocks matters any more. */
const clocksRunFor = ({ placed: { model } }: ArmState): number => 1 + Math.max(model.grabTicks, model.releaseTicks, model.patienceTicks ?? 0);

/**
 * The whole state but for trains as text, with ticks since a past one and ticks to a coming one, so that equal states at different
 * ticks read the same: equal texts have equal futures.
 */
export const keyOf = ({ now, carriers, entries, exits, arms, wagons, chests }: World, containersCount: boolean, trains: readonly unknown[]): string =>
  JSON.stringify([
    lanesOf(carriers).map((lane) => lane.items.map((item) => item.at)),
    carriers.map((carrier) => (carrier.kind === 'splitter' ? [carrier.outputToggle, carrier.inputToggle] : [])),
    entries.map((entry) => [
      SIDES.map((side) => entry.lanes[side].items[0]?.at),
      formatRational(entry.credit),
      entry.placed.give === undefined ? '' : (entry.last ?? ''),
    ]),
    exits.map((exit) => [formatRational(exit.credit), exit.placed.take === undefined ? '' : (exit.last ?? '')]),
    arms.map((arm) => [
      Math.max(0, arm.holdBackTicks - now),
      arm.phase,
      arm.hand.length,
      arm.phase === 'out' || arm.phase === 'back' ? arm.arrives - now : 0,
      arm.lastAct === undefined ? '' : Math.min(now - arm.lastAct, clocksRunFor(arm)),
    ]),
    containersCount ? [...wagons, ...chests.map((chest) => chest.container)].map((one) => one.held) : [],
    trains,
  ]);

/** Names of the first two items found closer than the pitch along a lane's way, if any. */
export function tooCloseIn(world: World): string | undefined {
  for (const lane of lanesOf(world.carriers)) {
    for (const item of lane.items) {
      const others = lane.items.filter((one) => one !== item && one.at <= item.at).map((one) => item.at - one.at);
      const upstream = others.length > 0 ? Math.min(...others) : distanceBehind(world, lane, item.at);
      if (upstream < world.pitch) return `${lane.name} at ${item.at}: ${upstream}`;
    }
  }
  return undefined;
}
