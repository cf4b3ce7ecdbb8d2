/**
 * What may come next in a search for carriers: where a place is still open, every belt, splitter and underpass that may
 * stand there. Each is placed, held against the budget and the flow test, and taken off again once all that may follow was
 * tried. Whether and how a search goes on from there is in `carrier-search.ts`.
 */
import { dropOn } from '../../layout/drop.js';
import { BELT, DEAD, FREE, OPEN, SPLITTER_LEFT, SPLITTER_RIGHT, UNDERPASS, exitCode, type CarrierNetwork } from './carrier-network.js';
import type { Draft } from './draft.js';
import type { LaneFlow } from './lane-flow.js';
import type { JoinMemory, KnownJoins } from './last-join.js';
import { FAR, type WaysOut } from './ways-out.js';
import { areAlike, back, headingOf, laneRate, left, right, type SiteMap } from '../site/site-map.js';

const ALL_HEADINGS: readonly number[] = [0, 1, 2, 3];
const DEAD_ONLY: readonly number[] = [DEAD];
const OPEN_OR_DEAD: readonly number[] = [OPEN, DEAD];

export const NOTHING_KNOWN: KnownJoins = new Map();

/** The search that goes on from each carrier placed. */
interface Onward {
  /** `headsPass`: whether all that is left are last stretches behind heads that are known to pass; `total`: of `leastTotal`. */
  readonly descend: (headsPass: boolean, known: KnownJoins, total: number) => void;
  readonly countStep: () => void;
  /** Whether any network will do, so that ways which lead to the exits come first. */
  readonly isScouting: () => boolean;
}

export class Branching {
  private readonly map: SiteMap;
  private readonly net: CarrierNetwork;
  private readonly waysOut: WaysOut;
  private readonly flow: LaneFlow;

  constructor(
    private readonly draft: Draft,
    private readonly onward: Onward,
  ) {
    this.map = draft.map;
    this.net = draft.net;
    this.waysOut = draft.bound.waysOut;
    this.flow = draft.flow;
  }

  /** The open place farthest from the exits, drop tiles before others; -1 if none is left. */
  chooseOpenPlace(): number {
    const { map, net } = this;
    let best = -1;
    let bestKey = -1;
    const consider = (tile: number): void => {
      const key = this.waysOut.distance[tile] * 65_536 + (65_535 - tile);
      if (key > bestKey) {
        bestKey = key;
        best = tile;
      }
    };
    // Drop tiles first: what arms set down where decides more than how stretches lie.
    for (const tile of net.dropTiles) if (net.occupant[tile] === FREE) consider(tile);
    if (best >= 0) return best;
    for (let c = 0; c < net.count; c++) {
      if (net.next[c] === OPEN) consider(map.neighbour[net.head[c] * 4 + net.heading[c]]);
    }
    return best;
  }

  branch(place: number, heads: boolean, memory?: JoinMemory): void {
    const { draft, net } = this;
    const open = net.facing(place, OPEN);
    const dead = net.facing(place, DEAD);
    const dropped = net.drops[place] > 0;
    for (const heading of this.headingsFrom(place)) this.tryBelts(place, heading, open, dead, heads, memory);
    if (draft.splittersTotalLeft > 0) {
      for (let heading = 0; heading < 4; heading++) {
        this.trySplitters(place, heading, true);
        this.trySplitters(place, heading, false);
      }
    }
    if (this.map.underpasses.length > 0) {
      for (let heading = 0; heading < 4; heading++) {
        this.tryUnderpassesFrom(place, heading, open, dead, heads);
        if (dropped && open === 0) this.tryUnderpassesTo(place, heading);
      }
    }
  }

  /** All headings; for a scout those that lead nearer to an exit first. */
  private headingsFrom(place: number): readonly number[] {
    if (!this.onward.isScouting()) return ALL_HEADINGS;
    const { map, waysOut } = this;
    const after = (heading: number): number => {
      const front = map.neighbour[place * 4 + heading];
      return front < 0 ? 0 : waysOut.distance[front];
    };
    return [...ALL_HEADINGS].sort((a, b) => after(a) - after(b));
  }

  private tryBelts(place: number, heading: number, open: number, dead: number, heads: boolean, memory?: JoinMemory): void {
    const { draft, map, net } = this;
    const headOn = 1 << back(heading);
    // A belt takes from behind and from both sides, so a half that is to lead nowhere must be head on.
    if ((open & headOn) !== 0 || (dead & ~headOn) !== 0) return;
    // Where two stretches come together, what is left is no longer a way for each to an exit of its own.
    const gathers = (open & (open - 1)) !== 0;
    const tailsOnly = heads && !gathers;
    const front = map.neighbour[place * 4 + heading];
    if (front < 0) {
      const exits = map.exitsAt[place * 4 + heading];
      for (let e = 0; e < map.demands.length; e++) {
        if ((exits & (1 << e)) === 0 || draft.exitTaken[e] === 1 || this.sameDemandFreeBefore(e, place, heading)) continue;
        draft.exitTaken[e] = 1;
        this.putBelt(place, heading, map.exitBelt[e], exitCode(e), !tailsOnly, tailsOnly);
        draft.exitTaken[e] = 0;
      }
      return;
    }
    const next = net.nextOf(front, heading);
    if (next === undefined) return;
    const joins = next >= 0 || gathers || (net.drops[place] > 0 && open !== 0);
    for (const m of map.bodyBelts) {
      const check = joins || this.mayLower(place, heading, map.belts[m].speed);
      const grows = !check && next === OPEN && memory !== undefined;
      this.putBelt(place, heading, m, next, check, tailsOnly && next === OPEN, grows ? this.stillKnown(memory, place, m) : undefined);
    }
  }

  /** Of a last join, what stays known where a stretch grows on: what may be, only while the stretch bears as much as before. */
  private stillKnown(memory: JoinMemory, place: number, belt: number): JoinMemory {
    const { map, net, flow } = this;
    let feeder = 0;
    while (feeder < net.count && (net.next[feeder] !== OPEN || net.frontOf(feeder) !== place)) feeder++;
    if (feeder < net.count && map.capacities[map.belts[belt].speed] >= flow.mostFrom(feeder)) return memory;
    return new Map([...memory].filter(([, may]) => !may));
  }

  /** Whether a belt that is fed by arms alone may bear less than the flow test took its free tile for. */
  private mayLower(place: number, heading: number, speed: number): boolean {
    const { draft, map, net } = this;
    if (net.drops[place] === 0) return false;
    if (net.drops[place] > 1 || draft.splittersTotalLeft > 0) return true;
    const arm = draft.crew.arms.find(({ role, target }) => role === 'load' && target === place);
    if (arm === undefined) return true;
    const drop = dropOn(headingOf(arm.heading), headingOf(heading), false);
    const best = map.bestLane[arm.model];
    if (drop.kind !== 'lane' || best > this.map.capacities[speed]) return true;
    return laneRate(map, speed, arm.model, drop.quarter) < best;
  }

  /** Equal demands are served in their order. */
  private sameDemandFreeBefore(exit: number, place: number, heading: number): boolean {
    const { draft, map } = this;
    for (let e = 0; e < exit; e++) {
      if (draft.exitTaken[e] === 1 || (map.exitsAt[place * 4 + heading] & (1 << e)) === 0) continue;
      if (areAlike(map.brief.exits[e], map.brief.exits[exit])) return true;
    }
    return false;
  }

  private putBelt(place: number, heading: number, model: number, next: number, checkFlow: boolean, heads: boolean, memory: KnownJoins = NOTHING_KNOWN): void {
    const { draft, net } = this;
    const belt = this.map.belts[model];
    const mark = net.count;
    const id = net.add(BELT, heading, model, place, place, -1, belt.speed);
    draft.spent += belt.cost;
    if (net.settle(id, next)) {
      const total = draft.leastTotal();
      if (!this.isTooDear(total) && (!checkFlow || draft.flowSuffices())) this.onward.descend(heads, memory, total);
    }
    draft.spent -= belt.cost;
    net.undo(mark);
  }

  private trySplitters(place: number, heading: number, asLeft: boolean): void {
    const { draft, map, net } = this;
    const other = map.neighbour[place * 4 + (asLeft ? right(heading) : left(heading))];
    if (other < 0 || net.occupant[other] !== FREE) return;
    const leftTile = asLeft ? place : other;
    const rightTile = asLeft ? other : place;
    const own = 1 << heading;
    // A splitter takes from behind only.
    if (((net.facing(leftTile, OPEN) | net.facing(rightTile, OPEN)) & ~own) !== 0) return;
    if (((net.facing(leftTile, DEAD) | net.facing(rightTile, DEAD)) & own) !== 0) return;
    const leftWays = this.waysOn(leftTile, heading);
    const rightWays = this.waysOn(rightTile, heading);
    for (let m = 0; m < map.splitters.length; m++) {
      if (draft.splittersLeft[m] === 0) continue;
      for (const leftNext of leftWays) {
        for (const rightNext of rightWays) {
          if (leftNext === DEAD && rightNext === DEAD) continue;
          this.putSplitter(leftTile, rightTile, heading, m, leftNext, rightNext);
        }
      }
    }
  }

  /** What a splitter half on `tile` may come to pass to: one code, or OPEN and DEAD before a free tile. */
  private waysOn(tile: number, heading: number): readonly number[] {
    const { net } = this;
    const front = this.map.neighbour[tile * 4 + heading];
    if (front < 0) return DEAD_ONLY;
    if (net.occupant[front] === FREE) return this.waysOut.distance[front] === FAR ? DEAD_ONLY : OPEN_OR_DEAD;
    const next = net.nextOf(front, heading);
    return next === undefined ? DEAD_ONLY : [next];
  }

  private putSplitter(
    leftTile: number,
    rightTile: number,
    heading: number,
    model: number,
    leftNext: number,
    rightNext: number,
  ): void {
    const { draft, net } = this;
    const splitter = this.map.splitters[model];
    const mark = net.count;
    const leftId = net.add(SPLITTER_LEFT, heading, model, leftTile, leftTile, mark + 1, splitter.speed);
    const rightId = net.add(SPLITTER_RIGHT, heading, model, rightTile, rightTile, mark, splitter.speed);
    draft.splittersLeft[model]--;
    draft.splittersTotalLeft--;
    // Only with both halves linked to what faces them does a ring through the left one show.
    const ringless = net.settle(leftId, leftNext) && net.settle(rightId, rightNext) && !(leftNext >= 0 && net.leadsTo(leftNext, leftId));
    // What a splitter that joins nothing can spoil is only what arms may give.
    const joins = leftNext >= 0 || rightNext >= 0 || this.isFedAndDropped(leftId) || this.isFedAndDropped(rightId);
    const total = ringless ? draft.leastTotal() : Infinity;
    if (ringless && !this.isTooDear(total) && (joins ? draft.flowSuffices() : this.flow.givesEnough(draft.splittersTotalLeft))) {
      this.onward.descend(false, NOTHING_KNOWN, total);
    }
    draft.splittersLeft[model]++;
    draft.splittersTotalLeft++;
    net.undo(mark);
  }

  /** Whether a carrier gets items both from another carrier and from arms, or from several arms. */
  private isFedAndDropped(carrier: number): boolean {
    const { net } = this;
    const drops = net.drops[net.tail[carrier]];
    return drops > 1 || (drops > 0 && net.isFed(carrier));
  }

  private tryUnderpassesFrom(entry: number, heading: number, open: number, dead: number, heads: boolean): void {
    const { map } = this;
    const own = 1 << heading;
    if ((open & ~own) !== 0 || (dead & own) !== 0) return;
    let exit = entry;
    for (let apart = 1; apart <= map.longestSpan; apart++) {
      exit = map.neighbour[exit * 4 + heading];
      if (exit < 0) return;
      for (let m = 0; m < map.underpasses.length; m++) {
        if (map.underpasses[m].span < apart) continue;
        this.putUnderpass(entry, exit, heading, m, heads);
      }
    }
  }

  private tryUnderpassesTo(exit: number, heading: number): void {
    const { map, net } = this;
    let entry = exit;
    for (let apart = 1; apart <= map.longestSpan; apart++) {
      entry = map.neighbour[entry * 4 + back(heading)];
      if (entry < 0) return;
      const own = 1 << heading;
      if ((net.facing(entry, OPEN) & ~own) !== 0 || (net.facing(entry, DEAD) & own) !== 0) continue;
      for (let m = 0; m < map.underpasses.length; m++) {
        if (map.underpasses[m].span < apart) continue;
        this.putUnderpass(entry, exit, heading, m, false);
      }
    }
  }

  private putUnderpass(entry: number, exit: number, heading: number, model: number, heads: boolean): void {
    const { draft, map, net } = this;
    if (net.occupant[entry] !== FREE || net.occupant[exit] !== FREE) return;
    // Nothing passes into an exit end.
    if (net.facing(exit, OPEN) !== 0 || net.crossesUnderpass(entry, exit, heading)) return;
    const front = map.neighbour[exit * 4 + heading];
    if (front < 0) return;
    const next = net.nextOf(front, heading);
    if (next === undefined) return;
    const underpass = map.underpasses[model];
    const mark = net.count;
    const id = net.add(UNDERPASS, heading, model, entry, exit, -1, underpass.speed);
    draft.spent += 2 * underpass.cost;
    const joins = next >= 0 || net.drops[entry] > 0 || net.drops[exit] > 0;
    if (net.settle(id, next)) {
      const total = draft.leastTotal();
      if (!this.isTooDear(total) && (!joins || draft.flowSuffices())) this.onward.descend(heads && next === OPEN, NOTHING_KNOWN, total);
    }
    draft.spent -= 2 * underpass.cost;
    net.undo(mark);
  }

  /** Whether that matters no more: neither now nor for the price that is next. Told before the flow test, which costs more. */
  private isTooDear(total: number): boolean {
    const { draft } = this;
    if (total <= draft.budget || total < draft.nextBudget) return false;
    this.onward.countStep();
    return true;
  }
}
