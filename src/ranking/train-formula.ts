/**
 * What a steady plan means for trains, by formula: how often a full train can come, and how long it has to stand.
 * Arithmetic on the flows of a trial (world rules, section 9); visit runs measure the same with real counts.
 *
 * A wagon w of load L is carried off over its chests and direct arms at F = the sum of their flows f, so one train after
 * the other comes at least L / F apart. Of its load a chest gets the share f / F, and the arms that fill it bring s:
 * so the train has to stand as long as the slowest chest needs, (f / F) L / s, and a direct arm needs all of L / F.
 * A wagon of capacity C that is filled at F is full after C / F where one train comes right after the other. Where chests
 * have filled while no train stood there, all of its arms carry at once, and it is full after C over the sum of their rates.
 * (To the tick it may leave up to a cycle of an arm earlier: with the last hand, which need not be full, still to be placed.)
 */
import { sameTile, type Tile } from '../base/geometry.js';
import { isLess, maxRational, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import { tilesOf, type Layout } from '../layout/layout.js';
import { deriveNetwork, loadsWagons, type ArmLink } from '../layout/network.js';
import type { ArmTrial, ChestTrial } from '../simulation/trial-result.js';

/** What flows out of one wagon by way of one chest, or of one arm that loads a belt. */
export interface Drain {
  readonly kind: 'chest' | 'arm';
  readonly at: Tile;
  /** Index of the wagon that it drains. */
  readonly wagon: number;
  /** Items per tick; of a chest that several wagons fill, what comes from this one. */
  readonly flow: Rational;
  /** Items per tick that its arms could bring from this wagon; of an arm, its flow. */
  readonly supply: Rational;
  /** Of a chest: items that it holds at most. */
  readonly capacity: number | undefined;
}

/** What a chest has to hold to bridge the time between two trains; where trains are filled, of its stock. */
export interface ChestNeed {
  readonly drain: Drain;
  /** Items per tick at the demand. */
  readonly flow: Rational;
  readonly items: Rational;
  readonly capacity: number;
}

/** What the formula takes of a trial. */
interface SteadyFlows {
  readonly arms: readonly Pick<ArmTrial, 'at' | 'flow'>[];
  readonly chests: readonly Pick<ChestTrial, 'at' | 'outflow' | 'supply' | 'loads' | 'keepsUp'>[];
}

export interface TrainFormula {
  /** Whether trains come empty and leave full. */
  readonly fills: boolean;
  /** Items in a full train. */
  readonly load: number;
  readonly drains: readonly Drain[];
  /** Least ticks from one full train to the next. */
  readonly headwayTicks: Rational;
  readonly trainsPerHour: Rational;
  /** Ticks that a full train has to stand there, if chests have room. */
  readonly dwellTicks: Rational;
  /** The drain that decides it; of trains that are filled, undefined. */
  readonly slowest: Drain | undefined;
}

type ChestFlows = SteadyFlows['chests'][number];

/** What a trial tells of the parts of its layout, by their indices. */
class PartFlows {
  constructor(
    private readonly layout: Layout,
    private readonly trial: SteadyFlows,
  ) {}

  tileOf(part: number): Tile {
    return tilesOf(this.layout.parts[part])[0];
  }

  ofArm(part: number): Rational {
    return this.trial.arms.find(({ at }) => sameTile(at, this.tileOf(part)))?.flow ?? ZERO;
  }

  /** Of arms that share one chest each: the chest with what those carry together. `chestOf`: undefined for other arms. */
  byChest(arms: readonly ArmLink[], chestOf: (arm: ArmLink) => number | undefined): readonly ServedChest[] {
    const carried = new Map<number, Rational>();
    for (const arm of arms) {
      const chest = chestOf(arm);
      if (chest !== undefined) carried.set(chest, (carried.get(chest) ?? ZERO).add(this.ofArm(arm.part)));
    }
    return [...carried].flatMap(([index, supply]): readonly ServedChest[] => {
      const part = this.layout.parts[index];
      const flows = this.trial.chests.find(({ at }) => sameTile(at, this.tileOf(index)));
      return part.kind !== 'chest' || flows === undefined ? [] : [{ at: part.at, capacity: part.model.capacity, supply, flows }];
    });
  }

  /** Of an arm between a wagon and a carrier. */
  direct({ part }: ArmLink, wagon: number): Drain {
    const flow = this.ofArm(part);
    return { kind: 'arm', at: this.tileOf(part), wagon, flow, supply: flow, capacity: undefined };
  }
}

interface ServedChest extends Pick<Drain, 'at' | 'supply'> {
  readonly capacity: number;
  readonly flows: ChestFlows;
}

function drainsOf(parts: PartFlows, arms: readonly ArmLink[], wagon: number): readonly Drain[] {
  const own = arms.filter(({ pick }) => pick.kind === 'wagon' && pick.wagon === wagon);
  const chests = parts.byChest(own, ({ place }) => (place.kind === 'chest' ? place.part : undefined));
  const byChest = chests.flatMap(({ flows, ...chest }): readonly Drain[] =>
    flows.supply.equals(0) ? [] : [{ kind: 'chest', wagon, ...chest, flow: flows.outflow.mul(chest.supply).div(flows.supply) }],
  );
  const direct = own.filter(({ place }) => place.kind === 'carrier').map((arm) => parts.direct(arm, wagon));
  return [...byChest, ...direct].filter(({ flow }) => isLess(ZERO, flow));
}

/** What flows into a wagon, by chest and by arm straight from a carrier: drains the other way round. */
function fillsOf(parts: PartFlows, arms: readonly ArmLink[], wagon: number): readonly Drain[] {
  const own = arms.filter(({ place }) => place.kind === 'wagon' && place.wagon === wagon);
  const chests = parts.byChest(own, ({ pick }) => (pick.kind === 'chest' ? pick.part : undefined));
  const byChest = chests.flatMap(({ flows: { loads }, ...chest }): readonly Drain[] =>
    loads === undefined ? [] : [{ kind: 'chest', wagon, ...chest, flow: loads.inflow.mul(chest.supply).div(loads.carryOff) }],
  );
  return [...byChest, ...own.filter(({ pick }) => pick.kind === 'carrier').map((arm) => parts.direct(arm, wagon))];
}

/** Undefined where the flows can not last: a wagon is never emptied or filled, or a chest does not keep up. */
export function trainFormula(layout: Layout, trial: SteadyFlows): TrainFormula | undefined {
  const network = deriveNetwork(layout);
  const fills = loadsWagons(network);
  const parts = new PartFlows(layout, trial);
  const drainsByWagon = layout.wagons.map((_, wagon) => (fills ? fillsOf : drainsOf)(parts, network.arms, wagon));
  const loads = layout.wagons.map(({ model }) => ratio(model.capacity));
  const out = drainsByWagon.map((drains) => sumRational(drains.map(({ flow }) => flow)));
  if (loads.length === 0 || out.some((flow) => flow.equals(0)) || trial.chests.some(({ keepsUp }) => !keepsUp)) return undefined;
  const drains = drainsByWagon.flat();
  const load = layout.wagons.reduce((sum, { model }) => sum + model.capacity, 0);
  const headwayTicks = loads.map((each, wagon) => each.div(out[wagon])).reduce(maxRational, ZERO);
  const trainsPerHour = ratio(3600 * layout.catalog.ticksPerSecond).div(headwayTicks);
  const common = { fills, load, drains, headwayTicks, trainsPerHour };
  if (fills) {
    const carried = drainsByWagon.map((own) => sumRational(own.map(({ supply }) => supply)));
    return { ...common, dwellTicks: loads.map((each, wagon) => each.div(carried[wagon])).reduce(maxRational, ZERO), slowest: undefined };
  }
  const needs = ({ flow, supply, wagon }: Drain): Rational => flow.div(out[wagon]).mul(loads[wagon]).div(supply);
  const slowest = drains.reduce((most, drain) => (isLess(needs(most), needs(drain)) ? drain : most));
  return { ...common, dwellTicks: needs(slowest), slowest };
}
