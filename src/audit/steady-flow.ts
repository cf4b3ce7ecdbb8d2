/**
 * Exact steady flows of a layout from one start, by the reference simulator, network by network, within a limit of
 * ticks. What came before (`repeats`) is only a hint where to look for a state that comes back: that it does is seen
 * here, so a wrong hint costs time and nothing else.
 */
import { sameTile, type Tile } from '../base/geometry.js';
import { maxRational, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import { entriesOf, pickTile, placeTile, wagonAt, type Layout, type PlacedArm } from '../layout/layout.js';
import { armsOf, networksOf, type Network } from './networks.js';
import { referenceRun, type ReferenceRun } from './reference-simulator.js';

export interface Repeats {
  /** Ticks after which every network is said to be in a state that comes back. */
  readonly after: number;
  /** Ticks after which it is said to do so, of each network, in no order. */
  readonly every: readonly number[];
}

export interface Start {
  /** Ticks by which each arm is held back, in the order of (y, x). */
  readonly delays: readonly number[];
  readonly repeats?: Repeats | undefined;
}

/** How long a search for a state that comes back may take. */
export interface Patience {
  /** Of each network. */
  readonly mostTicks: number;
  readonly shouldStop: () => boolean;
}

interface LaneFlows {
  /** Items per tick. */
  readonly left: Rational;
  readonly right: Rational;
}

/** What is undefined was not found: its network had no state that came back in time. */
export interface Flows {
  /** By exit of the layout. */
  readonly exits: readonly (LaneFlows | undefined)[];
  /** Items per tick that each arm takes, in the order of (y, x). */
  readonly taken: readonly (Rational | undefined)[];
  /** Items per tick that come in over each entry. */
  readonly entered: readonly (Rational | undefined)[];
}

/** Ticks without a pick after which every tick's state is looked at. */
const QUIET_TICKS = 2_000;
const STOP_EVERY_TICKS = 256;

interface Moment {
  readonly tick: number;
  readonly key: string;
  readonly exits: readonly { readonly left: number; readonly right: number }[];
  readonly taken: readonly number[];
  /** By entry of the layout. */
  readonly entered: readonly number[];
}

const momentOf = (run: ReferenceRun): Moment => ({
  tick: run.tick(),
  key: run.key(),
  exits: run.counts().exits,
  taken: run.takenByArms().map((arm) => arm.taken),
  entered: (run.counts().entries ?? []).map(({ left, right }) => left + right),
});

/** Two moments of one state, the earlier one first; undefined where none came back in time. */
function comeBack(run: ReferenceRun, repeats: Repeats | undefined, patience: Patience): readonly [Moment, Moment] | undefined {
  const runTo = (tick: number): boolean => {
    while (run.tick() < tick) {
      if (run.tick() >= patience.mostTicks || (run.tick() % STOP_EVERY_TICKS === 0 && patience.shouldStop())) return false;
      run.step();
    }
    return true;
  };
  if (repeats !== undefined) {
    if (!runTo(repeats.after)) return undefined;
    const first = momentOf(run);
    for (const period of [...repeats.every].sort((a, b) => a - b)) {
      if (!runTo(repeats.after + period)) return undefined;
      if (run.tick() > first.tick && run.key() === first.key) return [first, momentOf(run)];
    }
  }
  // A landmark that moves on at powers of two (Brent 1980), looked at where some arm has just picked: a state that
  // comes back with picks between comes back at one.
  let landmark = momentOf(run);
  let reach = 1;
  let seen = 0;
  let lastPick = run.tick();
  const picks = (): number => run.takenByArms().reduce((sum, arm) => sum + arm.taken, 0);
  for (let before = picks(); runTo(run.tick() + 1); ) {
    const now = picks();
    const picked = now !== before;
    if (picked) lastPick = run.tick();
    before = now;
    if (!picked && run.tick() - lastPick < QUIET_TICKS) continue;
    if (run.key() === landmark.key) return [landmark, momentOf(run)];
    if (++seen < reach) continue;
    landmark = momentOf(run);
    reach *= 2;
    seen = 0;
  }
  return undefined;
}

interface NetworkFlows {
  readonly exits: readonly LaneFlows[];
  readonly taken: readonly Rational[];
  readonly entered: readonly Rational[];
}

function networkFlows({ layout, arms }: Network, start: Start, patience: Patience): NetworkFlows | undefined {
  if (arms.length === 0) return { exits: layout.exits.map(() => ({ left: ZERO, right: ZERO })), taken: [], entered: entriesOf(layout).map(() => ZERO) };
  const run = referenceRun(layout, arms.map((arm) => start.delays[arm] ?? 0));
  const found = comeBack(run, start.repeats, patience);
  if (found === undefined) return undefined;
  const [from, to] = found;
  const perTick = (after: number, before: number): Rational => ratio(after - before, to.tick - from.tick);
  return {
    exits: to.exits.map((exit, index) => ({
      left: perTick(exit.left, from.exits[index].left),
      right: perTick(exit.right, from.exits[index].right),
    })),
    taken: to.taken.map((taken, index) => perTick(taken, from.taken[index])),
    entered: to.entered.map((count, index) => perTick(count, from.entered[index])),
  };
}

/** Where there is a wagon or a chest. */
const isContainer = (layout: Layout, tile: Tile): boolean =>
  wagonAt(layout.wagons, tile) !== undefined || layout.parts.some((part) => part.kind === 'chest' && sameTile(part.at, tile));

/** Items per tick from container to container: payload / (grab + 2 swing + 1). */
export const fillRateOf = ({ model }: PlacedArm): Rational => ratio(model.payload, model.grabTicks + 2 * model.swingTicks + 1);

/** Flows of the networks that are `wanted`, and of the arms that are in none. */
export function flowsFrom(
  layout: Layout,
  start: Start,
  patience: Patience,
  wanted: (network: Network) => boolean = () => true,
): Flows {
  const exits: (LaneFlows | undefined)[] = layout.exits.map(() => ({ left: ZERO, right: ZERO }));
  const taken: (Rational | undefined)[] = armsOf(layout).map((arm) =>
    isContainer(layout, pickTile(arm)) && isContainer(layout, placeTile(arm)) ? fillRateOf(arm) : ZERO,
  );
  const entered: (Rational | undefined)[] = entriesOf(layout).map(() => ZERO);
  for (const network of networksOf(layout)) {
    const found = wanted(network) ? networkFlows(network, start, patience) : undefined;
    network.exits.forEach((exit, index) => {
      exits[exit] = found?.exits[index];
    });
    network.arms.forEach((arm, index) => {
      taken[arm] = found?.taken[index];
    });
    for (const entry of network.entries) entered[entry] = found?.entered[entry];
  }
  return { exits, taken, entered };
}

export interface TrainPace {
  /** Ticks that a full train stands there. */
  readonly dwell: Rational;
  readonly trainsPerHour: Rational;
}

/**
 * By formula (world rules, section 11): each arm that lifts from a wagon has its part of the load to carry, as it has of the
 * flow. Undefined where some wagon is never emptied, or flows are not known.
 */
export function trainPace(layout: Layout, flows: Flows): TrainPace | undefined {
  const arms = armsOf(layout);
  const chests = chestBalances(layout, flows);
  let [dwell, headway] = [ZERO, ZERO];
  for (const [index, { model }] of layout.wagons.entries()) {
    const lifts = arms.flatMap((arm, number) => {
      if (wagonAt(layout.wagons, pickTile(arm)) !== index) return [];
      const chest = chests.find(({ at }) => sameTile(at, placeTile(arm)));
      if (chest === undefined) return [{ flow: flows.taken[number], rate: flows.taken[number] }];
      return [{ flow: chest.outflow?.mul(fillRateOf(arm)).div(chest.supply), rate: fillRateOf(arm) }];
    });
    const all = sumRational(lifts.map(({ flow }) => flow ?? ZERO));
    if (all.equals(ZERO) || lifts.some(({ flow }) => flow === undefined)) return undefined;
    headway = maxRational(headway, ratio(model.capacity).div(all));
    for (const { flow = ZERO, rate = ZERO } of lifts) {
      if (flow.equals(ZERO)) continue;
      dwell = maxRational(dwell, ratio(model.capacity).mul(flow).div(all).div(rate));
    }
  }
  return { dwell, trainsPerHour: ratio(3600 * layout.catalog.ticksPerSecond).div(headway) };
}

interface ChestBalance {
  readonly at: Tile;
  /** Items per tick that arms take out; undefined where some of them are not known. */
  readonly outflow: Rational | undefined;
  /** Items per tick that arms could bring from wagons that always stand there; 0 where none does. */
  readonly supply: Rational;
}

export function chestBalances(layout: Layout, { taken }: Flows): readonly ChestBalance[] {
  const arms = armsOf(layout);
  return layout.parts.flatMap((part): ChestBalance[] => {
    if (part.kind !== 'chest') return [];
    const drawn = arms.flatMap((arm, index) => (sameTile(pickTile(arm), part.at) ? [taken[index]] : []));
    const known = drawn.filter((flow) => flow !== undefined);
    const filling = arms.filter(
      (arm) => sameTile(placeTile(arm), part.at) && wagonAt(layout.wagons, pickTile(arm)) !== undefined,
    );
    const outflow = known.length === drawn.length ? sumRational(known) : undefined;
    const supply = sumRational(filling.map(fillRateOf));
    return [{ at: part.at, outflow, supply }];
  });
}
