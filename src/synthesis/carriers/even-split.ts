/**
 * Most that leaves by each lane where splitters share evenly. A dividing line turns its toggle after each
 * crossing, so an output gets no less than the other one unless items are held up on its way on. A way is
 * *smooth* where nothing can hold an item up: no slower carrier, no tee merge as the side that waits, no
 * splitter shared with others. So the output beside a smooth one gets half of what crosses, at most.
 *
 * Holds where items stand at whole multiples of a tick's move, so that two that cross in one tick land alike,
 * and where what arms set down is a pitch beyond the line. Other catalogs are left to the flow test.
 */
import { dropOn } from '../../layout/drop.js';
import { BELT, DEAD, FREE, OPEN, UNDERPASS, exitOf, type CarrierNetwork } from './carrier-network.js';
import type { Crew } from '../site/crew.js';
import { headingOf, laneRate, lineRate, outputRate, right, type SiteMap } from '../site/site-map.js';

const YES = 1;
const NO = 2;

/** Whether this is a catalog in which splitters share evenly: see above. */
function sharesEvenly({ brief }: SiteMap): boolean {
  const { catalog } = brief;
  const speeds = [...catalog.belts, ...catalog.splitters, ...catalog.underpasses].map(({ speed }) => speed);
  const quarter = catalog.unitsPerTile / 4;
  const lengths = [catalog.turn.inner, catalog.turn.outer];
  return (
    catalog.pitch <= quarter &&
    catalog.arms.every((arm) => arm.slack === 0) &&
    speeds.every((speed) => speed === speeds[0] && catalog.pitch % speed === 0 && quarter % speed === 0) &&
    lengths.every((length) => length % (4 * speeds[0]) === 0)
  );
}

export class EvenSplit {
  /** Whether anything is to be learned here. */
  readonly applies: boolean;
  /** [carrier * 2 + lane]: most that leaves that lane, in scaled units per tick. */
  private readonly most: Float64Array;
  private readonly filled: Uint8Array;
  private readonly behind: Int16Array;
  private readonly fromLeft: Int16Array;
  private readonly fromRight: Int16Array;
  /** [carrier * 2 + lane]: what arms set down on a lane, and at a dividing line. */
  private readonly dropped: Float64Array;
  private readonly lined: Float64Array;
  /** The same of which one output can come by. */
  private readonly linedToOne: Float64Array;
  /** [carrier * 2 + lane]: YES, NO or 0 where not known yet. */
  private readonly carries: Uint8Array;
  private readonly smooth: Uint8Array;
  /** Open carriers whose way on is not known to be smooth; all others lead to an exit of their own. */
  private readonly rough: Uint8Array;
  /** Exits (bits) on whose ways something may still change. */
  private roughExits = 0;
  /** Whether something is still to come that may join placed carriers. */
  private joining = false;

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
  ) {
    const most = map.tiles + 4;
    this.applies = sharesEvenly(map);
    this.most = new Float64Array(most * 2);
    this.filled = new Uint8Array(most);
    this.behind = new Int16Array(most);
    this.fromLeft = new Int16Array(most);
    this.fromRight = new Int16Array(most);
    this.dropped = new Float64Array(most * 2);
    this.lined = new Float64Array(most * 2);
    this.linedToOne = new Float64Array(most * 2);
    this.carries = new Uint8Array(most * 2);
    this.smooth = new Uint8Array(most * 2);
    this.rough = new Uint8Array(most);
  }

  /** Whether each exit may get its demand; of a network without open places. */
  suffices(crew: Crew): boolean {
    const { map, net } = this;
    if (!this.applies) return true;
    this.enter(crew);
    for (let c = 0; c < net.count; c++) {
      if (net.next[c] >= DEAD) continue;
      const { left: onLeft, right: onRight, total } = map.demands[exitOf(net.next[c])];
      const [l, r] = [this.mostOf(c, 0), this.mostOf(c, 1)];
      if (l < onLeft || r < onRight || l + r < total) return false;
    }
    return true;
  }

  /** Begins anew with what is placed now. Every open carrier counts as the way to an exit of its own. */
  enter(crew: Crew): void {
    const { map, net } = this;
    const { count } = net;
    this.filled.fill(0, 0, count);
    this.behind.fill(-1, 0, count);
    this.fromLeft.fill(-1, 0, count);
    this.fromRight.fill(-1, 0, count);
    this.dropped.fill(0, 0, count * 2);
    this.lined.fill(0, 0, count * 2);
    this.linedToOne.fill(0, 0, count * 2);
    this.carries.fill(0, 0, count * 2);
    this.rough.fill(0, 0, count);
    this.roughExits = 0;
    this.joining = false;
    for (let c = 0; c < count; c++) {
      const to = net.next[c];
      if (to < 0) continue;
      if (net.heading[c] === net.heading[to]) this.behind[to] = c;
      else if (net.heading[c] === right(net.heading[to])) this.fromLeft[to] = c;
      else this.fromRight[to] = c;
    }
    for (const arm of crew.arms) {
      const at = net.occupant[arm.target];
      if (arm.role !== 'load' || at === FREE) continue;
      const c = at - 1;
      const mate = net.mate[c];
      const drop = dropOn(headingOf(arm.heading), headingOf(net.heading[c]), mate >= 0);
      const lane = drop.side === 'left' ? 0 : 1;
      if (drop.kind === 'lane') this.dropped[c * 2 + lane] += laneRate(map, net.speed[c], arm.model, drop.quarter);
      else {
        const rate = lineRate(map, net.speed[c], arm.model, net.next[c] === DEAD || net.next[mate] === DEAD ? 1 : 2);
        this.lined[c * 2 + lane] += rate;
        this.linedToOne[c * 2 + lane] += Math.min(rate, outputRate(map, net.speed[c], arm.model, 0));
      }
    }
    this.forget();
  }

  /** Says what may still change: the ways on from these open carriers, and to these exits (bits). */
  setRough(carriers: readonly number[], exits: number): void {
    this.rough.fill(0, 0, this.net.count);
    for (const carrier of carriers) this.rough[carrier] = 1;
    this.roughExits = exits;
    this.joining = true;
    this.forget();
  }

  private forget(): void {
    this.filled.fill(0, 0, this.net.count);
    this.smooth.fill(0, 0, this.net.count * 2);
  }

  /** Most that leaves a lane of `carrier`. */
  mostOf(carrier: number, lane: number): number {
    this.fill(carrier);
    return this.most[carrier * 2 + lane];
  }

  /** Rounded up where supplies are multiples of a unit, as demands that are to be exceeded need it. */
  private halfOf(flow: number): number {
    const { unit } = this.map.scale;
    return unit === 1 ? flow / 2 : unit * Math.ceil(flow / 2 / unit);
  }

  private isTurn(c: number): boolean {
    return this.net.kind[c] === BELT && this.behind[c] < 0 && this.fromLeft[c] >= 0 !== this.fromRight[c] >= 0;
  }

  private fill(c: number): void {
    if (this.filled[c] !== 0) return;
    const { net, map, most, dropped, lined, linedToOne } = this;
    this.filled[c] = 1;
    const mate = net.mate[c];
    const end = map.endCapacities[net.speed[c]];
    if (mate >= 0) {
      this.filled[mate] = 1;
      for (const half of [c, mate]) if (this.behind[half] >= 0) this.fill(this.behind[half]);
      for (let lane = 0; lane < 2; lane++) {
        let come = 0;
        for (const half of [c, mate]) if (this.behind[half] >= 0) come += Math.min(end, most[this.behind[half] * 2 + lane]);
        const across = come + lined[c * 2 + lane] + lined[mate * 2 + lane];
        const toOne = come + linedToOne[c * 2 + lane] + linedToOne[mate * 2 + lane];
        for (const [half, other] of [[c, mate], [mate, c]]) {
          const blind = net.next[half] === DEAD;
          const shared = net.next[other] !== DEAD && this.isSmooth(other, lane) ? this.halfOf(across) : toOne;
          most[half * 2 + lane] = blind ? 0 : Math.min(end, shared + dropped[half * 2 + lane]);
        }
      }
      return;
    }
    const turn = this.isTurn(c);
    // A turn that is joined is a tee merge from then on: its way leads to what may still change, and nothing else.
    const mayBeTee = turn && this.joining && !this.isSmooth(c, 0) && !this.isSmooth(c, 1);
    for (let lane = 0; lane < 2; lane++) {
      let sum = dropped[c * 2 + lane];
      if (this.behind[c] >= 0) {
        this.fill(this.behind[c]);
        sum += most[this.behind[c] * 2 + lane];
      }
      for (const side of [this.fromLeft[c], this.fromRight[c]]) {
        if (side < 0) continue;
        this.fill(side);
        if ((!turn || mayBeTee) && (side === this.fromLeft[c] ? 0 : 1) === lane) sum += most[side * 2] + most[side * 2 + 1];
        else if (turn) sum += most[side * 2 + lane];
      }
      most[c * 2 + lane] = Math.min(end, sum);
    }
  }

  /** Whether any item can come on a lane, as far as placed carriers tell. */
  private mayCarry(c: number, lane: number): boolean {
    const at = c * 2 + lane;
    if (this.carries[at] !== 0) return this.carries[at] === YES;
    const { net, behind, dropped, lined } = this;
    let found = dropped[at] > 0;
    const mate = net.mate[c];
    if (!found && mate >= 0) {
      found = lined[at] > 0 || lined[mate * 2 + lane] > 0 || this.mayBring(behind[c], lane) || this.mayBring(behind[mate], lane);
    } else if (!found) {
      found = this.mayBring(behind[c], lane);
      const turn = this.isTurn(c);
      for (const side of [this.fromLeft[c], this.fromRight[c]]) {
        if (side < 0 || found) continue;
        if (turn) found = this.mayCarry(side, lane);
        else if ((side === this.fromLeft[c] ? 0 : 1) === lane) found = this.mayCarry(side, 0) || this.mayCarry(side, 1);
      }
    }
    this.carries[at] = found ? YES : NO;
    return found;
  }

  private mayBring(feeder: number, lane: number): boolean {
    return feeder >= 0 && this.mayCarry(feeder, lane);
  }

  /** Whether nothing can hold up an item that leaves a lane of `c`. */
  private isSmooth(c: number, lane: number): boolean {
    const at = c * 2 + lane;
    if (this.smooth[at] === 0) this.smooth[at] = this.findSmooth(c, lane) ? YES : NO;
    return this.smooth[at] === YES;
  }

  private findSmooth(c: number, lane: number): boolean {
    const { net } = this;
    const code = net.next[c];
    if (code === OPEN) return this.rough[c] === 0;
    // An open exit takes all that comes.
    if (code < 0) return code !== DEAD && (this.roughExits & (1 << exitOf(code))) === 0;
    if (net.speed[code] < net.speed[c]) return false;
    if (net.kind[code] === UNDERPASS) return this.isSmooth(code, lane);
    if (net.kind[code] === BELT) {
      if (net.heading[c] === net.heading[code] || this.isTurn(code)) return this.isSmooth(code, lane);
      const near = c === this.fromLeft[code] ? 0 : 1;
      const alone = !this.mayCarry(c, 1 - lane) && !this.mayBring(this.behind[code], near) && this.dropped[code * 2 + near] === 0;
      return alone && this.isSmooth(code, near);
    }
    const mate = net.mate[code];
    if (this.mayBring(this.behind[mate], lane) || this.lined[code * 2 + lane] > 0 || this.lined[mate * 2 + lane] > 0) return false;
    return this.isSmooth(code, lane) || this.isSmooth(mate, lane);
  }
}
