/**
 * What stretches must carry at least, where carriers come at several speeds, and so how fast their carriers must be. Without
 * a splitter ahead all that an arm sets down goes where its stretch goes, on one lane at a time; what all other arms can't
 * give must come by that stretch. Where stretches may lie, and what follows for their costs, is in `stretches.ts`.
 */
import { FREE, OPEN, type CarrierNetwork } from './carrier-network.js';
import type { CrewArm } from '../site/crew.js';
import type { LaneFlow } from './lane-flow.js';
import type { SiteMap } from '../site/site-map.js';

/** Carriers that are not slower than some speed. */
interface Grade {
  /** What a lane of that speed bears where one carrier feeds it, and where items are set down or join. */
  readonly plain: number;
  readonly atEnd: number;
  /** Least cost of a belt; UNBEARABLE without one. */
  readonly tileCost: number;
  /** Of each underpass model, whether it is one of them. */
  readonly holds: readonly boolean[];
}

/** Stands for the cost of what no carrier bears; more than any stretch costs, and finite, so that it can be taken off again. */
export const UNBEARABLE = 1e9;

/** Of more arms together it is asked only what both lanes bear. */
const MOST_DEALT = 8;

/** All carriers, then those that are not the slowest, and so on; the last holds none. */
function gradesOf(map: Pick<SiteMap, 'belts' | 'underpasses' | 'plainCapacities' | 'endCapacities'>): readonly Grade[] {
  const plain = (speed: number): number => map.plainCapacities[speed];
  const speeds = [...new Set([...map.belts, ...map.underpasses].map(({ speed }) => speed))].sort((a, b) => plain(a) - plain(b));
  const grades = speeds.map((slowest): Grade => {
    const isOf = ({ speed }: { readonly speed: number }): boolean => plain(speed) >= plain(slowest);
    const tileCost = Math.min(UNBEARABLE, ...map.belts.filter(isOf).map(({ cost }) => cost));
    return { plain: plain(slowest), atEnd: map.endCapacities[slowest], tileCost, holds: map.underpasses.map(isOf) };
  });
  return [...grades, { plain: Infinity, atEnd: Infinity, tileCost: UNBEARABLE, holds: map.underpasses.map(() => false) }];
}

/** What each carrier of a stretch may be, and costs at least. */
export interface StretchKind {
  readonly tileCost: number;
  readonly holds: readonly boolean[];
}

export class StretchLoads {
  readonly grades: readonly Grade[];
  /** By `kindOf`. The first is of stretches that may be of any carriers. */
  readonly kinds: readonly StretchKind[];
  readonly hasTiers: boolean;
  /** Ends (bits) that arms are tied to, by their number in the crew; 0 of those that a splitter follows. */
  private readonly endOf: number[] = [];
  private readonly rates: number[] = [];
  private arms: readonly CrewArm[] = [];
  /** So many idle belts are paid for; 0: none will come. */
  private idle = 0;
  private stamp = 0;
  /** [set of ends]: the call of `begin` after which it was measured, and what it came to. */
  private readonly known: Int32Array;
  private readonly plainGrade: Uint8Array;
  private readonly meetingGrade: Uint8Array;
  private readonly ofSet: number[] = [];

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
    private readonly flow: LaneFlow,
    mostEnds: number,
  ) {
    this.known = new Int32Array(1 << mostEnds);
    this.plainGrade = new Uint8Array(1 << mostEnds);
    this.meetingGrade = new Uint8Array(1 << mostEnds);
    this.grades = gradesOf(map);
    this.hasTiers = this.grades.length > 2;
    // An idle belt beside a belt may let items join there, and costs as much as the cheapest belt.
    const [{ tileCost }] = this.grades;
    this.kinds = this.grades.flatMap((plain) =>
      this.grades.map((meeting) => ({ holds: plain.holds, tileCost: Math.min(plain.tileCost, Math.max(tileCost, meeting.tileCost + (meeting === plain ? 0 : tileCost))) })),
    );
  }

  /**
   * Begins anew with open ends. `idle`: so many idle belts are paid for; 0: none will come. On the tile beside it an idle belt
   * makes items join, so a slower belt may be enough there. Each is counted with that belt, as if it were not paid for; returns
   * what that is too much.
   */
  begin(ends: readonly number[], idle: number): number {
    if (!this.hasTiers) return 0;
    this.stamp++;
    this.idle = idle;
    this.arms = this.flow.arms.crew.arms;
    this.arms.forEach((arm, a) => {
      this.endOf[a] = arm.role === 'load' ? this.endBehind(arm, ends) : 0;
      this.rates[a] = arm.role === 'load' ? this.flow.arms.rateOf(arm) : 0;
    });
    return idle * this.grades[0].tileCost;
  }

  private endBehind({ target }: CrewArm, ends: readonly number[]): number {
    const { net } = this;
    let end = -1 - target;
    if (net.occupant[target] !== FREE) {
      end = net.occupant[target] - 1;
      while (net.mate[end] < 0 && net.next[end] >= 0) end = net.next[end];
      if (net.mate[end] >= 0 || net.next[end] !== OPEN) return 0;
    }
    return 1 << ends.indexOf(end);
  }

  /** The kind of carriers that bear what a set of ends must carry together, where one carrier feeds each, or idle belts stand beside. */
  kindOf(set: number): number {
    if (!this.hasTiers) return 0;
    if (this.known[set] !== this.stamp) this.measure(set);
    const plain = this.plainGrade[set];
    return plain * this.grades.length + (this.idle === 0 ? plain : this.meetingGrade[set]);
  }

  /** Least cost of a belt that bears it on the tile where its stretches meet. */
  meetingCost(set: number): number {
    if (!this.hasTiers) return this.grades[0].tileCost;
    if (this.known[set] !== this.stamp) this.measure(set);
    return this.grades[this.meetingGrade[set]].tileCost;
  }

  private measure(set: number): void {
    const { grades, endOf, rates, ofSet } = this;
    ofSet.length = 0;
    for (let a = 0; a < this.arms.length; a++) if ((endOf[a] & set) !== 0) ofSet.push(rates[a]);
    const least = this.map.wanted - this.mostOfOthers(set);
    let meeting = 0;
    while (this.bornBy(grades[meeting].atEnd) < least) meeting++;
    let plain = meeting;
    while (this.bornBy(grades[plain].plain) < least) plain++;
    this.known[set] = this.stamp;
    this.meetingGrade[set] = meeting;
    this.plainGrade[set] = plain;
  }

  /** Most that arms give that are tied to none of these ends. */
  private mostOfOthers(set: number): number {
    const { arms, endOf, rates, map } = this;
    const { chests } = this.flow.arms.crew;
    let most = 0;
    for (let chest = -1; chest < chests.length; chest++) {
      let gives = 0;
      let has = 0;
      let isFilled = false;
      for (let a = 0; a < arms.length; a++) {
        if (arms[a].chest !== chest) continue;
        if (arms[a].role === 'fill') {
          has += map.fillRates[arms[a].model];
          isFilled = true;
        } else if ((endOf[a] & set) === 0) gives += rates[a];
      }
      // What fills a chest may be left open; then it holds enough.
      most += isFilled ? Math.min(gives, has) : gives;
    }
    return most;
  }

  /** Most of what the arms of the set give that a carrier with lanes of this capacity bears, each arm's items on one of them. */
  private bornBy(capacity: number): number {
    const { ofSet } = this;
    if (capacity === Infinity) return Infinity;
    if (ofSet.length > MOST_DEALT) return 2 * capacity;
    let most = 0;
    for (let onLeft = 0; onLeft < 1 << Math.max(0, ofSet.length - 1); onLeft++) {
      let left = 0;
      let right = 0;
      for (let n = 0; n < ofSet.length; n++) {
        if ((onLeft & (1 << n)) !== 0) left += ofSet[n];
        else right += ofSet[n];
      }
      most = Math.max(most, Math.min(left, capacity) + Math.min(right, capacity));
    }
    return most;
  }
}
