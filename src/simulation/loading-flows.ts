/**
 * What comes in over entries and what of it gets into wagons, in a steady run (world rules, section 11, *Loading*).
 * Whether chests keep up is in `supply.ts`.
 */
import { isLess, maxRational, minRational, ONE, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import { entriesOf, type Layout } from '../layout/layout.js';
import type { ArmEnd } from '../layout/network.js';
import type { Program } from './compile.js';
import { startsOf, type StartOptions } from './starts.js';
import type { Settled } from './steady-state.js';
import { armFlows, chestFlows } from './supply.js';
import type { LoadedFlows } from './trial-result.js';

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

/**
 * What of each entry's items gets into wagons, and into chests that are emptied into them. Where entries are joined, by
 * carriers or by arms between them, nobody can tell whose items are left: all that are count against each.
 */
export function carriedOff(program: Program, settled: readonly Settled[], presence: Rational): readonly Rational[] {
  const flows = armFlows(program, settled);
  const enters = entryFlows(program, settled).map(({ left, right }) => left.add(right));
  const { arms: links } = program.network;
  const emptied = new Set(links.flatMap(({ pick, place }) => (pick.kind === 'chest' && place.kind === 'wagon' ? [pick.part] : [])));
  const carried = entriesOf(program.layout).map(() => ZERO);
  for (const { arms, entries } of program.pieces) {
    const taken = arms.filter((arm) => links[arm].pick.kind === 'carrier');
    const sumOf = (ends: (place: ArmEnd) => boolean): Rational => sumRational(taken.map((arm) => (ends(links[arm].place) ? flows[arm] : ZERO)));
    const straight = sumOf(({ kind }) => kind === 'wagon');
    const byChests = sumOf((place) => place.kind === 'chest' && emptied.has(place.part));
    // Arms may take more than comes in: what others set down on the same carriers.
    if (entries.length === 1) carried[entries[0]] = minRational(enters[entries[0]], byChests.add(straight.mul(presence)));
    else {
      const left = maxRational(ZERO, sumRational(entries.map((entry) => enters[entry])).sub(byChests).sub(straight));
      const share = straight.equals(ZERO) ? ONE : presence;
      for (const entry of entries) carried[entry] = maxRational(ZERO, enters[entry].sub(left)).mul(share);
    }
  }
  return carried;
}

/** Whether one list of flows into wagons has a smaller sum. */
export const isLessLoaded = (a: readonly Rational[], b: readonly Rational[]): boolean =>
  isLess(a.reduce((sum, flow) => sum.add(flow), ZERO), b.reduce((sum, flow) => sum.add(flow), ZERO));

/** Each the less of two. */
export const lessLoaded = (a: LoadedFlows, b: LoadedFlows): LoadedFlows => ({
  entries: a.entries.map((flow, entry) => minRational(flow, b.entries[entry])),
  wagons: a.wagons.map((flow, wagon) => minRational(flow, b.wagons[wagon])),
  together: minRational(a.together, b.together),
});

/** The least over all starts. Undefined where the layout has no entry or some start is unproven. */
export function leastLoaded(layout: Layout, options: StartOptions, presence: Rational): LoadedFlows | undefined {
  if (entriesOf(layout).length === 0) return undefined;
  const starts = startsOf(layout, options);
  const { program } = starts;
  let least: LoadedFlows | undefined;
  for (let start = 0; start <= options.starts; start++) {
    const settled = starts.settle(start);
    if (settled.some(({ orbit }) => !orbit.exact)) return undefined;
    const wagons = wagonFlows(program, settled, presence);
    const found: LoadedFlows = { entries: carriedOff(program, settled, presence), wagons, together: sumRational(wagons) };
    least = least === undefined ? found : lessLoaded(least, found);
  }
  options.kept?.keep(starts);
  return least;
}
