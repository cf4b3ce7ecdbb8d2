/**
 * The world rules, transcribed as literally as possible: an object per item, a list per lane, exact rationals for
 * credits, and no cleverness. It is slow on purpose and shares no code with `src/simulation`, so that the two can
 * witness each other (`test/oracles/agreement.test.ts`). Here is the tick, and what a run can be asked; each kind of part
 * has a file in `reference/`. Where the world rules are silent, what was chosen is said in `rationale.md` beside this file.
 */
import type { Tile } from '../base/geometry.js';
import { ONE, maxRational, minRational } from '../base/rational.js';
import type { Layout } from '../layout/layout.js';
import type { Counts } from '../simulation/trial-result.js';
import { act } from './reference/arms.js';
import { buildWorld, type Levels } from './reference/build-world.js';
import { moveCarriers } from './reference/movement.js';
import { countsOf, gapsOf, greatestGapsOf, itemsOf, keyOf, placesOf, tooCloseIn, totalsOf, type Totals } from './reference/readings.js';
import { Trains, type ReferenceVisit, type Timetable } from './reference/trains.js';

export interface ReferenceRun {
  readonly tick: () => number;
  readonly step: () => void;
  readonly counts: () => Counts;
  readonly items: () => ReturnType<typeof itemsOf>;
  readonly places: () => ReturnType<typeof placesOf>;
  readonly totals: () => Totals;
  /** What wagons (0 where none stands) and chests hold, in the order of `VisitLevels`. */
  readonly levels: () => Levels;
  /** The trains that have left. */
  readonly visits: () => readonly ReferenceVisit[];
  /** What all trains that came have brought. */
  readonly brought: () => number;
  readonly gaps: () => ReturnType<typeof gapsOf>;
  readonly greatestGaps: (periodTicks: number) => ReturnType<typeof greatestGapsOf>;
  /** Items that each arm took, in the order of the layout's parts. */
  readonly takenByArms: () => readonly { readonly at: Tile; readonly taken: number }[];
  /** The whole state as text: equal texts have equal futures. */
  readonly key: () => string;
  /** How often each kind of thing happened; shape counts too. */
  readonly events: ReadonlyMap<string, number>;
  /** Names of the first two items found closer than the pitch along a lane's way, if any. */
  readonly tooClose: () => string | undefined;
}

/** Real counts at the start. */
interface VisitLevels extends Levels {
  /** With one, `wagons` is what each train brings; without, the wagons stand there for ever. */
  readonly timetable?: Timetable;
}

/**
 * `holdBackTicks`: for each arm, in the order of the layout's parts, the ticks it stays idle at the start.
 * Without `visit`, containers never run dry and never fill.
 */
export function referenceRun(layout: Layout, holdBackTicks: readonly number[] = [], visit?: VisitLevels): ReferenceRun {
  const world = buildWorld(layout, holdBackTicks, visit);
  const { exits, entries, wagons, chests, arms, armsOfPlan, events } = world;
  const trains = visit?.timetable && new Trains(world, visit.timetable, layout.wagons.map((_, index) => visit.wagons[index] ?? 0));

  /** World rules, section 3. */
  function step(): void {
    world.now += 1;
    trains?.arrive();
    for (const exit of exits) if (exit.placed.take !== undefined) exit.credit = exit.credit.add(exit.placed.take);
    for (const entry of entries) if (entry.placed.give !== undefined) entry.credit = entry.credit.add(entry.placed.give);
    moveCarriers(world);
    for (const arm of arms) act(world, arm);
    trains?.leave();
    for (const exit of exits) {
      if (exit.placed.take !== undefined) exit.credit = minRational(exit.credit, maxRational(ONE, exit.placed.take));
    }
    for (const entry of entries) {
      if (entry.placed.give !== undefined) entry.credit = minRational(entry.credit, maxRational(ONE, entry.placed.give));
    }
  }

  return {
    tick: () => world.now,
    step,
    counts: () => countsOf(world),
    items: () => itemsOf(world),
    places: () => placesOf(world),
    totals: () => totalsOf(world),
    levels: () => ({ wagons: wagons.map(({ held }) => held), chests: chests.map(({ container }) => container.held) }),
    visits: () => trains?.visits ?? [],
    brought: () => trains?.brought ?? 0,
    gaps: () => gapsOf(world),
    greatestGaps: (periodTicks) => greatestGapsOf(world, periodTicks),
    takenByArms: () => armsOfPlan.map((arm) => ({ at: arm.placed.at, taken: arm.taken })),
    key: () => keyOf(world, visit !== undefined, trains?.key ?? []),
    events,
    tooClose: () => tooCloseIn(world),
  };
}
