/**
 * What arms and chests can give at most, wherever their items go: arms by the rate model for what they set down on, or the
 * best they may come to, chests their supply. What that leaves of a brief's limits on trains and of an even drain.
 */
import { leastImbalance } from '../../base/jain.js';
import { dropOn } from '../../layout/drop.js';
import { DEAD, FREE, type CarrierNetwork } from './carrier-network.js';
import type { Crew, CrewArm } from '../site/crew.js';
import { LineCover } from './line-cover.js';
import { headingOf, laneRate, lineRate, outputRate, totalDemand, type SiteMap } from '../site/site-map.js';
import { boundsOfCrew, type TrainBounds } from '../site/train-bounds.js';

const ENDLESS = Number.MAX_SAFE_INTEGER;

/** All rates are scaled. */
export class ArmRates {
  crew: Crew = { chests: [], arms: [] };
  /** Of the last call of `most`: [arm of the crew] what it gives, fill arms apart, */
  rate = new Float64Array(4);
  /** [chest] what it holds ready, */
  chestHas = new Float64Array(4);
  /** and what dividing lines to come add to all arms together; to each, `gainOfArm`. */
  lineGain = 0;
  /** Chests of which it is left open what fills them: they hold enough. */
  openChests: readonly number[] = [];
  private chestGives = new Float64Array(4);
  private given = 0;
  private readonly lineCover: LineCover;
  /** Not rounded up: what all exits give at the least. */
  private readonly asked: number;

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
  ) {
    this.lineCover = new LineCover(map, net);
    this.asked = map.scale.demand(totalDemand(map.brief));
  }

  enter(crew: Crew): void {
    this.crew = crew;
    const { arms, chests } = crew;
    if (this.rate.length < arms.length) this.rate = new Float64Array(arms.length);
    if (this.chestHas.length < chests.length) {
      this.chestGives = new Float64Array(chests.length);
      this.chestHas = new Float64Array(chests.length);
    }
    this.openChests = chests.flatMap((_, chest) => (arms.some((arm) => arm.role === 'fill' && arm.chest === chest) ? [] : [chest]));
  }

  /** Most that all arms together can give, wherever their items go, with so many splitters still to come. */
  most(splittersLeft: number): number {
    const { map, crew, rate, chestGives, chestHas } = this;
    chestGives.fill(0);
    chestHas.fill(0);
    for (const chest of this.openChests) chestHas[chest] = ENDLESS;
    let direct = 0;
    for (let a = 0; a < crew.arms.length; a++) {
      const arm = crew.arms[a];
      if (arm.role === 'fill') {
        chestHas[arm.chest] += map.fillRates[arm.model];
        continue;
      }
      rate[a] = this.rateOf(arm);
      if (arm.chest >= 0) chestGives[arm.chest] += rate[a];
      else direct += rate[a];
    }
    this.lineGain = this.lineCover.most(crew, splittersLeft);
    let total = direct + this.lineGain;
    for (let chest = 0; chest < crew.chests.length; chest++) total += Math.min(chestGives[chest], chestHas[chest]);
    this.given = total;
    return total;
  }

  /** [arm of the crew]: what a dividing line to come can add to it. */
  get gainOfArm(): Float64Array {
    return this.lineCover.ofArm;
  }

  /** Bound of one load arm: by what stands on its drop tile, or by the best lane while that is free. */
  rateOf(arm: CrewArm): number {
    const { map, net } = this;
    const at = net.occupant[arm.target];
    if (at === FREE) return map.bestLane[arm.model];
    const carrier = at - 1;
    const mate = net.mate[carrier];
    const drop = dropOn(headingOf(arm.heading), headingOf(net.heading[carrier]), mate >= 0);
    if (drop.kind === 'lane') return laneRate(map, net.speed[carrier], arm.model, drop.quarter);
    const outputs = net.next[carrier] === DEAD || net.next[mate] === DEAD ? 1 : 2;
    return lineRate(map, net.speed[carrier], arm.model, outputs);
  }

  /** Most that an arm on a dividing line of this speed gives to one of its outputs, if all others give their most. */
  toOneOutput(a: number, speed: number): number {
    const { map, crew, rate, given, chestGives, chestHas } = this;
    const { chest, model } = crew.arms[a];
    const others = chest < 0 ? given - rate[a] : given - Math.min(chestGives[chest], chestHas[chest]) + Math.min(chestGives[chest] - rate[a], chestHas[chest]);
    return outputRate(map, speed, model, map.wanted - others);
  }

  /**
   * No layout that comes of this drains its chests more evenly (see `base/jain.ts`), but for rounding: they give what is
   * wanted at least, and each the most that it can at most.
   */
  leastImbalance(splittersLeft: number): number {
    const { crew, chestGives, chestHas } = this;
    const chests = crew.chests.length;
    if (chests < 2) return 0;
    let fromChests = this.most(splittersLeft);
    for (let chest = 0; chest < chests; chest++) fromChests -= Math.min(chestGives[chest], chestHas[chest]);
    // Gains of dividing lines and what comes straight from wagons are no more than that; either may be all of one chest.
    const gain = this.lineGain;
    const wanted = this.asked - (fromChests - gain);
    return leastImbalance(
      crew.chests.map((_, chest) => Math.min(chestGives[chest] + gain, chestHas[chest])),
      wanted,
    );
  }

  /**
   * The same of trains. Where one wagon is emptied by way of chests alone, closer than `boundsOfCrew`: if the greatest of
   * the shares flow / supply of its chests is r, they give the sum of min(most, r supply) at most, and the dwell is the load
   * times r by what they give, which rises with r; and r is no less than what is asked for takes.
   */
  trainBounds(splittersLeft: number): TrainBounds {
    const { map, crew, chestGives, chestHas } = this;
    const given = this.most(splittersLeft);
    const { leastDwell, mostTrainsPerHour } = boundsOfCrew(map, crew);
    const { brief, scale, demands, exitBelt, endCapacities } = map;
    const { wagons, presence } = brief;
    const load = wagons.reduce((sum, { model }) => sum + model.capacity, 0);
    const leaves = demands.reduce((sum, _, e) => sum + 2 * endCapacities[map.belts[exitBelt[e]].speed], 0);
    const trains = (3600 * brief.catalog.ticksPerSecond * Math.min(given, leaves)) / scale.factor / load;
    const isByChests = wagons.length === 1 && crew.arms.every(({ role, chest }) => role === 'fill' || chest >= 0);
    const gain = this.lineGain;
    const drains = crew.chests.map((_, chest) => ({
      most: Math.min(chestGives[chest] + gain, chestHas[chest]),
      supply: chestHas[chest] / presence.valueOf(),
    }));
    const closer = isByChests ? (load * leastShare(drains, this.asked) * scale.factor) / this.asked : 0;
    return { leastDwell: Math.max(leastDwell, closer), mostTrainsPerHour: Math.min(mostTrainsPerHour, trains) };
  }
}

/** The least r for which the sum of min(most, r supply) comes to `asked`; 0 where it never does. */
function leastShare(drains: readonly { readonly most: number; readonly supply: number }[], asked: number): number {
  let left = asked;
  let supplyLeft = drains.reduce((sum, { supply }) => sum + supply, 0);
  for (const { most, supply } of [...drains].sort((a, b) => a.most / a.supply - b.most / b.supply)) {
    const share = left / supplyLeft;
    if (share * supply <= most) return share;
    left -= most;
    supplyLeft -= supply;
  }
  return 0;
}
