/**
 * Every choice of a crew out of the arms that may pick from one forest of carriers: arm by arm in their order, each with the
 * chest that it fills and the arm that empties that, unless an arm before it fills the same. What cannot be paid for, or
 * brings too little, is cut off. Which forests are asked about is in `loading-crews.ts`.
 */
import type { Part } from '../../layout/layout.js';
import { letsIn, type Wanted } from './held-up.js';
import type { Inflow, Prices } from './loading-prices.js';
import { crewParts, type Delivery, type Pick } from './loading-arms.js';
import type { LoadingSite } from './loading-site.js';
import type { Forest } from './forest.js';

/** What arms are to take in all which pick from certain carriers of a group. */
interface Share extends Wanted {
  readonly group: number;
}

/** Of each entry from where its items come; of all entries that are joined, from where any do. */
export const sharesOf = ({ grouping, entriesAt }: Forest, { entryWanted }: LoadingSite): readonly Share[] =>
  grouping.groups.flatMap(({ entries, wanted }, group): readonly Share[] => [
    ...entries.map((entry): Share => ({ wanted: entryWanted[entry], group, has: (tile) => entriesAt(tile).includes(entry) })),
    ...(entries.length === 1 ? [] : [{ wanted, group, has: (tile: number) => entries.includes(entriesAt(tile)[0]) }]),
  ]);

interface Placed {
  readonly delivery: Delivery;
  /** What arms bring at most. */
  brought: number;
  readonly filledBy: Pick[];
}

/** By index: the sum of what comes from there on. */
function sumsFrom(flows: readonly number[]): readonly number[] {
  const rest = [0];
  for (const flow of flows.toReversed()) rest.unshift(rest[0] + flow);
  return rest;
}

const sumOf = (flows: readonly number[]): number => flows.reduce((sum, flow) => sum + flow, 0);

const FILLED_ALREADY = [undefined];

export class CrewChoice {
  /** Least money on top of what was given for which there may be more. */
  lacks = Infinity;
  private readonly mostArms: number;
  /** By arm of the pool: its group, and the shares that what it takes counts for. */
  private readonly groupsOf: readonly number[];
  private readonly sharesAt: readonly (readonly number[])[];
  /** From an index on: what the rest of the pool can bring, in all and of each share. */
  private readonly restFlow: readonly number[];
  private readonly restOf: readonly (readonly number[])[];

  private readonly chosen: Pick[] = [];
  /** Tiles on which arms stand; and chests, by tile. */
  private readonly arms = new Set<number>();
  private readonly chests = new Map<number, Placed>();
  /** By wagon: straight into it. */
  private readonly direct: number[];
  /** What is taken at most, of each share too, and by how many arms of each group. */
  private taken = 0;
  private readonly takenOf: number[];
  private readonly takersOf: number[];
  /** By group: leaves that no arm picks from, and what it still lacks. */
  private readonly uncoveredOf: number[];
  private readonly lackingOf: number[];

  /** `isTime`: whether others are to have their turn. */
  constructor(
    private readonly site: LoadingSite,
    private readonly prices: Prices,
    private readonly forest: Forest,
    private readonly pool: readonly Pick[],
    private readonly shares: readonly Share[],
    private readonly isTime: () => boolean,
  ) {
    const { groups } = forest.grouping;
    this.mostArms = site.brief.limits.arms ?? Infinity;
    this.groupsOf = pool.map(({ from }) => this.groupAt(from));
    this.sharesAt = pool.map(({ from }) => [...shares.keys()].filter((index) => shares[index].has(from)));
    this.restFlow = sumsFrom(pool.map(({ through }) => through));
    this.restOf = shares.map((_, share) => sumsFrom(pool.map(({ through }, index) => (this.sharesAt[index].includes(share) ? through : 0))));
    this.direct = site.wagonLed.map(() => 0);
    this.takenOf = shares.map(() => 0);
    this.takersOf = groups.map(() => 0);
    this.uncoveredOf = groups.map(() => 0);
    this.lackingOf = groups.map(() => 0);
  }

  /** Arms of the pool from an index on, on top of those chosen, that cost just so much. Yields undefined now and then. */
  *costing(money: number, from = 0): Generator<readonly Part[] | undefined, void> {
    const { pool } = this;
    if (this.isTime()) yield undefined;
    if (this.isHopeless(from)) return;
    const least = this.restPrice();
    if (least > money) {
      this.overspend(least - money);
      return;
    }
    if (money === 0 && this.isWhole()) yield this.parts();
    for (let index = from; index < pool.length; index++) {
      if (this.isHopeless(index)) return;
      const pick = pool[index];
      if (!this.mayStand(pick)) continue;
      for (const delivery of this.deliveriesOf(pick)) {
        const cost = pick.price + (delivery === undefined ? 0 : delivery.price + this.prices.ofChest);
        if (cost > money) {
          this.overspend(cost - money);
          continue;
        }
        if (delivery !== undefined && !this.hasRoomFor(delivery, pick)) continue;
        this.choose(index, delivery);
        yield* this.costing(money - cost, index + 1);
        this.giveUp(index, delivery);
      }
    }
  }

  private overspend(by: number): void {
    this.lacks = Math.min(this.lacks, by);
  }

  /** Whether all the rest of the pool would not do. */
  private isHopeless(from: number): boolean {
    if (this.taken + this.restFlow[from] < this.site.wanted) return true;
    for (let share = 0; share < this.shares.length; share++) if (this.takenOf[share] + this.restOf[share][from] < this.shares[share].wanted) return true;
    return false;
  }

  private mayStand({ at, into }: Pick): boolean {
    return this.arms.size < this.mostArms && !this.arms.has(at) && !this.chests.has(at) && !(into >= 0 && this.arms.has(into));
  }

  /** How the chest that an arm fills may be emptied, if none stands there yet. */
  private deliveriesOf({ into }: Pick): readonly (Delivery | undefined)[] {
    return into >= 0 && !this.chests.has(into) ? this.site.deliveries[into] : FILLED_ALREADY;
  }

  private hasRoomFor({ at }: Delivery, pick: Pick): boolean {
    return this.arms.size + 2 <= this.mostArms && at !== pick.at && at !== pick.into && !this.arms.has(at) && !this.chests.has(at) && !this.forest.taken.has(at);
  }

  /** `delivery`: given if its chest is new. */
  private choose(index: number, delivery: Delivery | undefined): void {
    const pick = this.pool[index];
    this.arms.add(pick.at);
    if (delivery !== undefined) {
      this.arms.add(delivery.at);
      this.chests.set(pick.into, { delivery, brought: 0, filledBy: [] });
    }
    const chest = this.chests.get(pick.into);
    if (chest === undefined) this.direct[pick.wagon] += pick.through;
    else {
      chest.brought += pick.flow;
      chest.filledBy.push(pick);
    }
    this.taken += pick.through;
    for (const share of this.sharesAt[index]) this.takenOf[share] += pick.through;
    this.takersOf[this.groupsOf[index]]++;
    this.chosen.push(pick);
  }

  private giveUp(index: number, delivery: Delivery | undefined): void {
    const pick = this.pool[index];
    this.chosen.pop();
    this.takersOf[this.groupsOf[index]]--;
    for (const share of this.sharesAt[index]) this.takenOf[share] -= pick.through;
    this.taken -= pick.through;
    const chest = this.chests.get(pick.into);
    if (chest === undefined) this.direct[pick.wagon] -= pick.through;
    else {
      chest.brought -= pick.flow;
      chest.filledBy.pop();
    }
    if (delivery !== undefined) {
      this.chests.delete(pick.into);
      this.arms.delete(delivery.at);
    }
    this.arms.delete(pick.at);
  }

  /** What is still to be bought costs at least this. */
  private restPrice(): number {
    const { site, shares, lackingOf, takenOf } = this;
    this.countUncovered();
    lackingOf.fill(0);
    for (let index = 0; index < shares.length; index++) {
      const { group, wanted } = shares[index];
      lackingOf[group] = Math.max(lackingOf[group], wanted - takenOf[index]);
    }
    // What one wagon's arms might take, but do not, is left for those of others.
    const straightFor = site.wagonLed.map((_, wagon) => site.brought - Math.min(this.direct[wagon], site.brought));
    const straight = site.brought - this.straight();
    const room = site.wagonWanted.map((_, wagon) => this.roomFor(wagon));
    const through = site.wagonWanted.map((_, wagon) => this.throughInto(wagon));
    return this.prices.ofRest({
      taken: site.wanted - this.taken,
      ofGroups: lackingOf,
      leaves: this.uncoveredOf,
      led: { flow: site.led - this.leading(), byArms: straight },
      ledInto: site.wagonLed.map((flow, wagon): Inflow => ({ flow: flow - this.leadingInto(wagon), byArms: straightFor[wagon] })),
      got: { flow: site.wanted - sumOf(through), byArms: sumOf(room) + straight },
      gotInto: site.wagonWanted.map((flow, wagon): Inflow => ({ flow: flow - through[wagon], byArms: room[wagon] + straightFor[wagon] })),
    });
  }

  private countUncovered(): void {
    this.uncoveredOf.fill(0);
    for (const { tiles, group } of this.forest.leaves) if (!this.isPickedFrom(tiles)) this.uncoveredOf[group]++;
  }

  private isPickedFrom(tiles: readonly number[]): boolean {
    return this.chosen.some(({ from }) => tiles.includes(from));
  }

  /** Straight into wagons; no more than comes in. */
  private straight(): number {
    let sum = 0;
    for (const flow of this.direct) sum += flow;
    return Math.min(sum, this.site.brought);
  }

  /** What arms into a wagon, or into all, can carry. */
  private leadingInto(wagon: number): number {
    let sum = Math.min(this.direct[wagon], this.site.brought);
    for (const { delivery } of this.chests.values()) if (delivery.wagon === wagon) sum += delivery.flow;
    return sum;
  }

  private leading(): number {
    let sum = this.straight();
    for (const { delivery } of this.chests.values()) sum += delivery.flow;
    return sum;
  }

  /** What gets into a wagon through chests and arms, if all else allows it. */
  private throughInto(wagon: number): number {
    let sum = this.direct[wagon];
    for (const { delivery, brought } of this.chests.values()) if (delivery.wagon === wagon) sum += Math.min(delivery.flow, brought);
    return sum;
  }

  /** What more arms could give to chests for a wagon before these get more than is carried off. */
  private roomFor(wagon: number): number {
    let sum = 0;
    for (const { delivery, brought } of this.chests.values()) if (delivery.wagon === wagon) sum += Math.max(0, delivery.flow - brought);
    return sum;
  }

  /** Whether nothing that is known of arms rules out what is asked. */
  private isWhole(): boolean {
    const { site, shares, forest } = this;
    const into = site.wagonWanted.map((_, wagon) => this.throughInto(wagon));
    this.countUncovered();
    return (
      into.every((flow, wagon) => flow >= site.wagonWanted[wagon] && this.leadingInto(wagon) >= site.wagonLed[wagon]) &&
      sumOf(into) >= site.wanted &&
      this.leading() >= site.led &&
      this.takenOf.every((flow, share) => flow >= shares[share].wanted) &&
      this.uncoveredOf.every((count) => count === 0) &&
      forest.outlets.every((outlet) => letsIn(outlet, this.chosen)) &&
      ![...this.chests.values()].some((chest) => this.isSureToFill(chest)) &&
      !this.areSureToFill()
    );
  }

  /** Whether arms that are alone at their ways bring more than can be carried off. */
  private isSureToFill({ delivery, filledBy }: Placed): boolean {
    return filledBy.reduce((sum, { alone, from }) => sum + (this.isLoneAt(from) ? alone : 0), 0) > delivery.flow;
  }

  /** Whether the arms at all trees together bring more than all chests pass on. */
  private areSureToFill(): boolean {
    const { site, forest } = this;
    if (site.takenByTwo === 0) return false;
    return forest.grouping.groups.reduce((sum, _, group) => sum + this.takenAtLeast(group), 0) > this.leading();
  }

  /** What a group's arms take at least; several as in `two-arms.ts`. */
  private takenAtLeast(group: number): number {
    const { site, forest, chosen } = this;
    const { entries } = forest.grouping.groups[group];
    const isOwn = (tile: number): boolean => this.groupAt(tile) === group;
    const own = chosen.filter(({ from }) => isOwn(from));
    if (own.length === 1) return entries.length === 1 ? own[0].alone : 0;
    const ends = forest.leaves.filter((leaf) => leaf.group === group);
    // With one end, and as many joins as entries but one, a tree has no splitter.
    if (ends.length > 1 || entries.length > 2) return 0;
    const [{ tiles }] = ends;
    const from = new Set(own.map((pick) => pick.from));
    const isTold = from.size === own.length && from.has(tiles[tiles.length - 1]) && !forest.joins.some(([, onto]) => isOwn(onto) && from.has(onto));
    return isTold ? site.takenByTwo : 0;
  }

  private isLoneAt(tile: number): boolean {
    const group = this.groupAt(tile);
    return this.takersOf[group] === 1 && this.forest.grouping.groups[group].entries.length === 1;
  }

  private groupAt(tile: number): number {
    return this.forest.grouping.groupOf[this.forest.entriesAt(tile)[0]];
  }

  private parts(): readonly Part[] {
    const deliveries = [...this.chests].map(([tile, { delivery }]) => [tile, delivery] as const);
    return [...this.forest.parts, ...crewParts(this.chosen, deliveries, this.site)];
  }
}
