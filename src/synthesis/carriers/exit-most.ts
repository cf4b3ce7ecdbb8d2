/**
 * The most that can come to each exit of a whole network, told exit by exit: what crosses a splitter counts at both of its
 * outputs. That forgets what exits take from one another, but it takes a tenth of the time of a flow test, and tells nearly all
 * networks apart in which something turns a stretch onto one lane.
 */
import { dropOn } from '../../layout/drop.js';
import type { ArmRates } from './arm-rates.js';
import { DEAD, exitOf, type CarrierNetwork } from './carrier-network.js';
import { LEFT_LANE, RIGHT_LANE, type LaneWays } from './lane-ways.js';
import { headingOf, type SiteMap } from '../site/site-map.js';

export class ExitMost {
  /** [carrier * 2 + lane], scaled: what comes from carriers, and what leaves but for the lane's bound. */
  private readonly comes: Float64Array;
  private readonly leaves: Float64Array;
  /** [exit * 2 + lane] */
  private readonly atExit: Float64Array;
  /** [carrier]: feeders that are not reckoned with yet. */
  private readonly feedersLeft: Int16Array;
  /** Carriers in an order in which each follows its feeders; of a splitter one half stands for both. */
  private readonly order: Int16Array;
  private ordered = 0;

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
    private readonly arms: ArmRates,
    private readonly ways: LaneWays,
  ) {
    const most = map.tiles + 4;
    this.comes = new Float64Array(most * 2);
    this.leaves = new Float64Array(most * 2);
    this.atExit = new Float64Array(map.demands.length * 2);
    this.feedersLeft = new Int16Array(most);
    this.order = new Int16Array(most);
  }

  /** Whether enough may come to each exit of a network to which nothing more comes; `ArmRates.most` has just been asked. */
  suffices(): boolean {
    const { net, ways, comes, leaves, order } = this;
    ways.count();
    comes.fill(0, 0, net.count * 2);
    leaves.fill(0, 0, net.count * 2);
    this.atExit.fill(0);
    this.setDown();
    this.begin();
    for (let at = 0; at < this.ordered; at++) {
      const c = order[at];
      const mate = net.mate[c];
      for (let lane = 0; lane < 2; lane++) {
        if (mate < 0) {
          leaves[c * 2 + lane] += comes[c * 2 + lane];
          continue;
        }
        const across = Math.min(ways.capacityOf(c), comes[c * 2 + lane]) + Math.min(ways.capacityOf(mate), comes[mate * 2 + lane]);
        leaves[c * 2 + lane] += across;
        leaves[mate * 2 + lane] += across;
      }
      this.passOn(c);
      if (mate >= 0) this.passOn(mate);
    }
    return this.demandsAreMet();
  }

  /** What arms set down. */
  private setDown(): void {
    const { net, arms, leaves } = this;
    const { crew, rate, chestHas } = arms;
    for (let a = 0; a < crew.arms.length; a++) {
      const { role, chest, heading, target } = crew.arms[a];
      if (role === 'fill') continue;
      const carrier = net.occupant[target] - 1;
      const mate = net.mate[carrier];
      const drop = dropOn(headingOf(heading), headingOf(net.heading[carrier]), mate >= 0);
      const lane = drop.side === 'left' ? 0 : 1;
      const most = chest < 0 ? rate[a] : Math.min(rate[a], chestHas[chest]);
      if (drop.kind === 'line') {
        const toOne = Math.min(most, arms.toOneOutput(a, net.speed[carrier]));
        leaves[carrier * 2 + lane] += toOne;
        leaves[mate * 2 + lane] += toOne;
      } else leaves[carrier * 2 + lane] += most;
    }
  }

  /** Puts those carriers first that nothing feeds. */
  private begin(): void {
    const { net, ways, feedersLeft, order } = this;
    this.ordered = 0;
    for (let c = 0; c < net.count; c++) feedersLeft[c] = ways.feeders[c];
    for (let c = 0; c < net.count; c++) {
      const mate = net.mate[c];
      if (feedersLeft[c] === 0 && (mate < 0 || (c < mate && feedersLeft[mate] === 0))) order[this.ordered++] = c;
    }
  }

  private passOn(c: number): void {
    const { net, ways, comes, leaves, atExit, feedersLeft } = this;
    const to = net.next[c];
    if (to === DEAD) return;
    const capacity = ways.capacityOf(c);
    for (let lane = 0; lane < 2; lane++) {
      const flow = Math.min(capacity, leaves[c * 2 + lane]);
      if (to < 0) {
        atExit[exitOf(to) * 2 + lane] += flow;
        continue;
      }
      const onto = ways.lanesOnto(to, net.heading[c], lane);
      if ((onto & LEFT_LANE) !== 0) comes[to * 2] += flow;
      if ((onto & RIGHT_LANE) !== 0) comes[to * 2 + 1] += flow;
    }
    if (to < 0 || --feedersLeft[to] > 0) return;
    // Half a splitter waits for the other one.
    const mate = net.mate[to];
    if (mate < 0 || feedersLeft[mate] === 0) this.order[this.ordered++] = to;
  }

  private demandsAreMet(): boolean {
    const { map, ways, atExit } = this;
    for (let e = 0; e < map.demands.length; e++) {
      const { left, right, total } = map.demands[e];
      const capacity = ways.exitCapacity(e);
      const onLeft = Math.min(capacity, atExit[e * 2]);
      const onRight = Math.min(capacity, atExit[e * 2 + 1]);
      if (onLeft < left || onRight < right || onLeft + onRight < total) return false;
    }
    return true;
  }
}
