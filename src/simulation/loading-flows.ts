/**
 * What comes in over entries and what of it gets into wagons, in a steady run (world rules, section 11, *Loading*).
 * Whether chests keep up is in `supply.ts`.
 */
import { isLess, minRational, ratio, ZERO, type Rational } from '../base/rational.js';
import { entriesOf, type Layout } from '../layout/layout.js';
import { compileLayout, type Program } from './compile.js';
import { Starts, type StartOptions } from './starts.js';
import type { Settled } from './steady-state.js';
import { armFlows, chestFlows } from './supply.js';

interface EntryFlow {
  /** Items per tick that come in. */
  readonly left: Rational;
  readonly right: Rational;
  /** Speed of the carrier onto which they come; 0 where none takes them. */
  readonly speed: number;
}

/** In the order of the layout's entries. */
export function entryFlows(program: Program, settled: readonly Settled[]): readonly EntryFlow[] {
  const flows: EntryFlow[] = entriesOf(program.layout).map(() => ({ left: ZERO, right: ZERO, speed: 0 }));
  program.pieces.forEach(({ entries, machine }, index) => {
    const { entryCount, periodTicks } = settled[index].orbit;
    entries.forEach((entry, local) => {
      flows[entry] = {
        left: ratio(entryCount[local * 2], periodTicks),
        right: ratio(entryCount[local * 2 + 1], periodTicks),
        speed: machine.laneSpeed[machine.entryLane[local]],
      };
    });
  });
  return flows;
}

/**
 * Items per tick, in the long run, into each wagon: what arms bring straight from carriers while it stands there, and
 * what chests are given by arms from carriers, as far as their arms can carry it off; these share it by their rates.
 */
export function wagonFlows(program: Program, settled: readonly Settled[], presence: Rational): readonly Rational[] {
  const { layout, network } = program;
  const into = layout.wagons.map(() => ZERO);
  if (entriesOf(layout).length === 0) return into;
  const flows = armFlows(program, settled);
  const chests = new Map(chestFlows(program, settled, presence).map((chest) => [chest.part, chest.loads]));
  network.arms.forEach(({ pick, place }, arm) => {
    if (place.kind !== 'wagon') return;
    if (pick.kind === 'carrier') into[place.wagon] = into[place.wagon].add(flows[arm].mul(presence));
    if (pick.kind !== 'chest') return;
    const loads = chests.get(pick.part);
    if (loads === undefined) return;
    const through = minRational(loads.inflow, loads.carryOff.mul(presence));
    into[place.wagon] = into[place.wagon].add(through.mul(flows[arm]).div(loads.carryOff));
  });
  return into;
}

/** Whether one list of flows into wagons has a smaller sum. */
export const isLessLoaded = (a: readonly Rational[], b: readonly Rational[]): boolean =>
  isLess(a.reduce((sum, flow) => sum.add(flow), ZERO), b.reduce((sum, flow) => sum.add(flow), ZERO));

/** Least flow into each wagon over all starts; undefined where the layout has no entry or some start is unproven. */
export function leastIntoWagons(layout: Layout, options: StartOptions, presence: Rational): readonly Rational[] | undefined {
  if (entriesOf(layout).length === 0) return undefined;
  const program = compileLayout(layout);
  const starts = new Starts(program, options);
  let least: readonly Rational[] | undefined;
  for (let start = 0; start <= options.starts; start++) {
    const settled = starts.settle(start);
    if (settled.some(({ orbit }) => !orbit.exact)) return undefined;
    const into = wagonFlows(program, settled, presence);
    least = least === undefined ? into : least.map((flow, wagon) => minRational(flow, into[wagon]));
  }
  return least;
}
