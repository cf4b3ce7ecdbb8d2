/**
 * Last stretches: where nothing but a way to an exit is left to come for each open place. Heads are judged with stubs in
 * place of such ways, and the cheapest ways are laid. Which ways count for nothing but their cost is in
 * `smooth-tails.ts`, and what they cost in `tail-costs.ts`.
 */
import { BELT, DEAD, FREE, OPEN, UNDERPASS, exitCode, type CarrierNetwork } from './carrier-network.js';
import type { Draft } from './draft.js';
import { back, left, right, type SiteMap } from '../site/site-map.js';
import { looksNotBeyond, smoothTails, type SmoothTails } from './smooth-tails.js';
import { TailCosts, type Tail } from './tail-costs.js';

/** The search of which these are the end. */
interface Ending {
  /** Has a network without open places judged; whether any way of placing its idle belts passed. */
  readonly judgeWhole: (mayAccept: boolean) => boolean;
  /** Whether what stands can still be of interest, flows apart. */
  readonly reachAdmitted: () => boolean;
  /** Tries all that may come on the last open place. */
  readonly branch: (place: number) => void;
  /** Whether a network of this cost is what is looked for now. */
  readonly isWanted: (cost: number) => boolean;
  /** Whether what was looked for is found. */
  readonly isOver: () => boolean;
  /** Whether a dearer last stretch than the cheapest may be wanted for where it lies. */
  readonly dearerTailsCount: boolean;
}

export class LastStretches {
  private readonly map: SiteMap;
  private readonly net: CarrierNetwork;
  private readonly tails: TailCosts;
  /** [exit] */
  private readonly smooth: readonly SmoothTails[];
  private tailFound = false;
  /** Whether a last stretch is only looked for, not judged. */
  private onlyLooking = false;
  /** What a network costs with the tail that is being laid. */
  private tailSpent = 0;

  constructor(
    private readonly draft: Draft,
    private readonly search: Ending,
  ) {
    this.map = draft.map;
    this.net = draft.net;
    this.tails = new TailCosts(this.map, this.net);
    this.smooth = this.map.demands.map((_, exit) => smoothTails(this.map, exit));
  }

  /**
   * Whether each open place is the front of one carrier that needs nothing but a way to an exit of its own, and
   * whatever can bear that exit's demand never holds an item up. Then flows do not depend on how such a last
   * stretch lies: see `smooth-tails.ts`.
   */
  onlyTailsLeft(): boolean {
    const { draft, map, net } = this;
    let fastest = 0;
    let looksBeyond = false;
    for (let c = 0; c < net.count; c++) {
      if (net.next[c] !== OPEN) continue;
      const front = net.frontOf(c);
      if (net.facing(front, DEAD) !== 0) return false;
      for (let other = 0; other < c; other++) if (net.next[other] === OPEN && net.frontOf(other) === front) return false;
      fastest = Math.max(fastest, net.speed[c]);
      looksBeyond ||= !looksNotBeyond(map, net, c);
    }
    for (let e = 0; e < draft.exitTaken.length; e++) {
      if (draft.exitTaken[e] === 1) continue;
      const { mostSpeedBefore, mixed } = this.smooth[e];
      if (mostSpeedBefore < fastest || (mixed && looksBeyond)) return false;
    }
    return draft.idleLeft === 0 || !this.idleMayTurnTails();
  }

  /** Whether some last stretch that is still to come may be one on which an idle belt beside it brings all to one lane. */
  idleMayTurnTails(): boolean {
    const { draft } = this;
    return this.map.demands.some(({ total }, e) => draft.exitTaken[e] === 0 && total <= this.smooth[e].mostOnLane);
  }

  /** Whether the heads pass for some way of giving the exits that are left to them, each tried with a stub of one belt. */
  anyHeadsPass(): boolean {
    const { draft, map, net } = this;
    let open = 0;
    while (open < net.count && net.next[open] !== OPEN) open++;
    if (open === net.count) return this.search.judgeWhole(false);
    const front = net.frontOf(open);
    const heading = this.stubHeading(front, net.heading[open]);
    // Hemmed in by carriers that would take it for a feeder: only whole networks can tell.
    if (heading < 0) return true;
    for (let e = 0; e < map.demands.length; e++) {
      if (draft.exitTaken[e] === 1) continue;
      const mark = net.count;
      const id = net.add(BELT, heading, map.exitBelt[e], front, front, -1, map.belts[map.exitBelt[e]].speed);
      draft.exitTaken[e] = 1;
      net.settle(id, exitCode(e));
      const passes = this.anyHeadsPass();
      draft.exitTaken[e] = 0;
      net.undo(mark);
      if (passes) return true;
    }
    return false;
  }

  /** A heading for a stub on a tile, entered with `entered`, in which it faces nothing that takes or will take items; or -1. */
  private stubHeading(tile: number, entered: number): number {
    const { map, net } = this;
    const facesNothing = (heading: number): boolean => {
      const front = map.neighbour[tile * 4 + heading];
      if (front < 0) return true;
      const next = net.nextOf(front, heading);
      return next === undefined || (next === OPEN && net.facing(front, OPEN) === 0);
    };
    return [entered, left(entered), right(entered)].find(facesNothing) ?? -1;
  }

  /**
   * The cheapest ways from the one open place to the exit that is left. A dearer way gives the same flows, so it is
   * looked at only where the cheapest way is none, or may break a limit that prices do not tell of.
   */
  finishTail(place: number): void {
    const { draft, net } = this;
    let feeder = 0;
    while (net.next[feeder] !== OPEN) feeder++;
    let exit = 0;
    while (draft.exitTaken[exit] === 1) exit++;
    const tail = this.smooth[exit];
    this.tails.measure(tail);
    const least = this.tails.at(place, net.heading[feeder]);
    if (least === Infinity) return;
    const total = draft.spent + least;
    const tooDear = draft.exceeds(total);
    this.tailSpent = total;
    this.tailFound = false;
    if (!this.search.isWanted(total)) {
      if (tooDear) return;
      this.onlyLooking = true;
      if (!this.search.dearerTailsCount) this.walkTail(place, net.heading[feeder], tail);
      this.onlyLooking = false;
      if (!this.tailFound) this.search.branch(place);
      return;
    }
    this.walkTail(place, net.heading[feeder], tail);
    // A cheapest way that runs into itself is no way; the true cost is then unknown, but greater.
    if (!this.tailFound || this.search.dearerTailsCount) draft.nextBudget = Math.min(draft.nextBudget, draft.budget + 1);
  }

  /** Lays the rest of a tail from a free place, entered with that heading, by all ways that cost no more than it may. */
  private walkTail(place: number, entered: number, tail: Tail): void {
    const { draft, map, net, tails } = this;
    if (net.occupant[place] !== FREE || this.search.isOver() || (this.onlyLooking && this.tailFound)) return;
    const { exit, belts } = tail;
    if (!this.onlyLooking && !this.search.reachAdmitted()) {
      this.tailFound = true;
      return;
    }
    const left = this.tailSpent - draft.spent;
    const dead = net.facing(place, DEAD);
    for (let heading = 0; heading < 4; heading++) {
      if (heading === back(entered) || (dead & ~(1 << back(heading))) !== 0) continue;
      const front = map.neighbour[place * 4 + heading];
      if (front < 0) {
        const cost = map.belts[map.exitBelt[exit]].cost;
        if ((map.exitsAt[place * 4 + heading] & (1 << exit)) === 0 || cost !== left) continue;
        draft.exitTaken[exit] = 1;
        this.place(BELT, place, place, heading, map.exitBelt[exit], map.belts[map.exitBelt[exit]].speed, cost, exitCode(exit), () => {
          this.tailFound = true;
          if (!this.onlyLooking && this.search.reachAdmitted()) this.search.judgeWhole(true);
        });
        draft.exitTaken[exit] = 0;
      } else if (net.occupant[front] === FREE) {
        for (const belt of belts) {
          const { speed, cost } = map.belts[belt];
          if (tails.at(front, heading) !== left - cost) continue;
          this.place(BELT, place, place, heading, belt, speed, cost, OPEN, () => {
            this.walkTail(front, heading, tail);
          });
        }
      }
    }
    if ((dead & (1 << entered)) === 0) this.walkUnder(place, entered, tail);
  }

  /** The same by an underpass whose entry end stands on `place`. */
  private walkUnder(place: number, entered: number, tail: Tail): void {
    const { draft, map, net, tails } = this;
    const left = this.tailSpent - draft.spent;
    let end = place;
    for (let apart = 1; apart <= map.longestSpan; apart++) {
      end = map.neighbour[end * 4 + entered];
      if (end < 0) return;
      const front = map.neighbour[end * 4 + entered];
      if (front < 0) return;
      for (const m of tail.underpasses) {
        const model = map.underpasses[m];
        if (model.span < apart) continue;
        if (net.occupant[end] !== FREE || net.occupant[front] !== FREE) continue;
        if (net.crossesUnderpass(place, end, entered)) continue;
        if (tails.at(front, entered) !== left - 2 * model.cost) continue;
        this.place(UNDERPASS, place, end, entered, m, model.speed, 2 * model.cost, OPEN, () => {
          this.walkTail(front, entered, tail);
        });
      }
    }
  }

  private place(
    kind: number,
    tail: number,
    head: number,
    heading: number,
    model: number,
    speed: number,
    cost: number,
    next: number,
    then: () => void,
  ): void {
    const { draft, net } = this;
    const mark = net.count;
    const id = net.add(kind, heading, model, tail, head, -1, speed);
    draft.spent += cost;
    if (net.settle(id, next)) then();
    draft.spent -= cost;
    net.undo(mark);
  }
}
