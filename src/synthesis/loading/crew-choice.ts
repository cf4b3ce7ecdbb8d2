/**
 * Every choice of a crew out of the arms that may pick from one forest of carriers: arm by arm in their order, each with the
 * chest that it fills and the arm that empties that, unless an arm before it fills the same. What cannot be paid for, or
 * brings too little, is cut off. Which forests are asked about is in `loading-crews.ts`.
 */
import type { Part } from '../../layout/layout.js';
import { CrewTally, type Placed, type Share } from './crew-tally.js';
import { letsIn } from './held-up.js';
import type { Prices } from './loading-prices.js';
import { crewParts, worksAt, type Delivery, type Pick } from './loading-arms.js';
import type { LoadingSite } from './loading-site.js';
import type { Forest } from './forest.js';

const FILLED_ALREADY = [undefined];

export class CrewChoice {
  /** Least money on top of what was given for which there may be more. */
  lacks = Infinity;
  private readonly mostArms: number;
  /** By place where the wagons may stop. */
  private readonly tallies: readonly CrewTally[];

  private readonly chosen: Pick[] = [];
  /** Tiles on which arms stand; and chests, by tile. */
  private readonly arms = new Set<number>();
  private readonly chests = new Map<number, Placed>();
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
    const groupsOf = pool.map(({ from }) => this.groupAt(from));
    const sharesAt = pool.map(({ from }) => [...shares.keys()].filter((index) => shares[index].has(from)));
    this.tallies = site.places.map((place) => new CrewTally(site, place, pool, shares, sharesAt, groupsOf, groups.length));
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

  private isHopeless(from: number): boolean {
    for (const tally of this.tallies) if (tally.isHopeless(from)) return true;
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
    if (chest !== undefined) {
      chest.brought += pick.flow;
      chest.filledBy.push(pick);
    }
    for (const tally of this.tallies) tally.count(index, 1);
    this.chosen.push(pick);
  }

  private giveUp(index: number, delivery: Delivery | undefined): void {
    const pick = this.pool[index];
    this.chosen.pop();
    for (const tally of this.tallies) tally.count(index, -1);
    const chest = this.chests.get(pick.into);
    if (chest !== undefined) {
      chest.brought -= pick.flow;
      chest.filledBy.pop();
    }
    if (delivery !== undefined) {
      this.chests.delete(pick.into);
      this.arms.delete(delivery.at);
    }
    this.arms.delete(pick.at);
  }

  /** What is still to be bought costs at least this, wherever the wagons stop. */
  private restPrice(): number {
    this.countUncovered();
    let least = 0;
    for (const tally of this.tallies) least = Math.max(least, this.restPriceBy(tally));
    return least;
  }

  private restPriceBy(tally: CrewTally): number {
    const { site, shares, lackingOf, uncoveredOf, chests } = this;
    lackingOf.fill(0);
    for (let index = 0; index < shares.length; index++) {
      const { group, wanted } = shares[index];
      lackingOf[group] = Math.max(lackingOf[group], wanted - tally.takenOf[index]);
    }
    return this.prices.ofRest({ taken: site.wanted - tally.taken, ofGroups: lackingOf, leaves: uncoveredOf, ...tally.lacks(chests) });
  }

  private countUncovered(): void {
    this.uncoveredOf.fill(0);
    for (const { tiles, group } of this.forest.leaves) if (!this.isPickedFrom(tiles)) this.uncoveredOf[group]++;
  }

  private isPickedFrom(tiles: readonly number[]): boolean {
    return this.chosen.some(({ from }) => tiles.includes(from));
  }

  /** Whether nothing that is known of arms rules out what is asked, wherever the wagons stop. */
  private isWhole(): boolean {
    this.countUncovered();
    return this.uncoveredOf.every((count) => count === 0) && this.site.places.every((place, index) => this.isWholeAt(place, this.tallies[index])) && !this.areSureToFill();
  }

  private isWholeAt(place: number, tally: CrewTally): boolean {
    const { chests, chosen, forest } = this;
    return (
      tally.bringsAll(chests) &&
      forest.outlets.every((outlet) => letsIn(outlet, chosen.filter((pick) => worksAt(pick, place)))) &&
      ![...chests.values()].some((chest) => this.isSureToFill(chest, tally))
    );
  }

  /** Whether arms that are alone at their ways bring more than can be carried off. */
  private isSureToFill({ delivery, filledBy }: Placed, tally: CrewTally): boolean {
    return filledBy.reduce((sum, { alone, from }) => sum + (this.isLoneAt(from, tally) ? alone : 0), 0) > delivery.flow;
  }

  /** Whether the arms at all trees together bring more than all chests pass on; known where all fill chests, which they do wherever the wagons stop. */
  private areSureToFill(): boolean {
    const { site, forest } = this;
    if (site.takenByTwo === 0) return false;
    return forest.grouping.groups.reduce((sum, _, group) => sum + this.takenAtLeast(group), 0) > this.tallies[0].leading(this.chests);
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

  private isLoneAt(tile: number, { takersOf }: CrewTally): boolean {
    const group = this.groupAt(tile);
    return takersOf[group] === 1 && this.forest.grouping.groups[group].entries.length === 1;
  }

  private groupAt(tile: number): number {
    return this.forest.grouping.groupOf[this.forest.entriesAt(tile)[0]];
  }

  private parts(): readonly Part[] {
    const deliveries = [...this.chests].map(([tile, { delivery }]) => [tile, delivery] as const);
    return [...this.forest.parts, ...crewParts(this.chosen, deliveries, this.site)];
  }
}
