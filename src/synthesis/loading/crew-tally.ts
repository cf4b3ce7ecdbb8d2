/**
 * What the arms of a crew that is being chosen (`crew-choice.ts`) bring at one place where the wagons may stop: an arm that
 * reaches no wagon there takes nothing. So at each place those that do have to bring all that is asked.
 */
import type { Wanted } from './held-up.js';
import { worksAt, type Delivery, type Pick } from './loading-arms.js';
import type { Inflow, IntoWagons } from './loading-prices.js';
import type { LoadingSite } from './loading-site.js';
import type { Forest } from './forest.js';

/** What arms are to take in all which pick from certain carriers of a group. */
export interface Share extends Wanted {
  readonly group: number;
}

/** Of each entry from where its items come; of all entries that are joined, from where any do. */
export const sharesOf = ({ grouping, entriesAt }: Forest, { entryWanted }: LoadingSite): readonly Share[] =>
  grouping.groups.flatMap(({ entries, wanted }, group): readonly Share[] => [
    ...entries.map((entry): Share => ({ wanted: entryWanted[entry], group, has: (tile) => entriesAt(tile).includes(entry) })),
    ...(entries.length === 1 ? [] : [{ wanted, group, has: (tile: number) => entries.includes(entriesAt(tile)[0]) }]),
  ]);

/** A chest that stands, wherever wagons stop. */
export interface Placed {
  readonly delivery: Delivery;
  /** What arms bring at most. */
  brought: number;
  readonly filledBy: Pick[];
}

type Chests = ReadonlyMap<number, Placed>;

/** By index: the sum of what comes from there on. */
function sumsFrom(flows: readonly number[]): readonly number[] {
  const rest = [0];
  for (const flow of flows.toReversed()) rest.unshift(rest[0] + flow);
  return rest;
}

const sumOf = (flows: readonly number[]): number => flows.reduce((sum, flow) => sum + flow, 0);

export class CrewTally {
  /** What is taken at most, of each share too, and by how many arms of each group. */
  taken = 0;
  readonly takenOf: number[];
  readonly takersOf: number[];
  /** By wagon: straight into it. */
  private readonly direct: number[];
  /** By arm of the pool: what it takes at most; undefined where it takes nothing. */
  private readonly flows: readonly (number | undefined)[];
  /** From an index on: what the rest of the pool can bring, in all and of each share. */
  private readonly restFlow: readonly number[];
  private readonly restOf: readonly (readonly number[])[];

  /** `sharesAt`: by arm of the pool, the shares that what it takes counts for; `groupsOf`: its group. */
  constructor(
    private readonly site: LoadingSite,
    private readonly place: number,
    private readonly pool: readonly Pick[],
    private readonly shares: readonly Share[],
    private readonly sharesAt: readonly (readonly number[])[],
    private readonly groupsOf: readonly number[],
    groups: number,
  ) {
    this.flows = pool.map((pick) => (worksAt(pick, place) ? pick.through : undefined));
    const flows = this.flows.map((flow) => flow ?? 0);
    this.restFlow = sumsFrom(flows);
    this.restOf = shares.map((_, share) => sumsFrom(flows.map((flow, index) => (sharesAt[index].includes(share) ? flow : 0))));
    this.direct = site.wagonLed.map(() => 0);
    this.takenOf = shares.map(() => 0);
    this.takersOf = Array.from({ length: groups }, () => 0);
  }

  /** Whether all the rest of the pool would not do. */
  isHopeless(from: number): boolean {
    if (this.taken + this.restFlow[from] < this.site.wanted) return true;
    for (let share = 0; share < this.shares.length; share++) if (this.takenOf[share] + this.restOf[share][from] < this.shares[share].wanted) return true;
    return false;
  }

  /** An arm of the pool comes, or with -1 goes. */
  count(index: number, by: 1 | -1): void {
    const flow = this.flows[index];
    if (flow === undefined) return;
    const pick = this.pool[index];
    const through = by * flow;
    if (pick.into < 0) this.direct[pick.wagons[this.place]] += through;
    this.taken += through;
    for (const share of this.sharesAt[index]) this.takenOf[share] += through;
    this.takersOf[this.groupsOf[index]] += by;
  }

  /** What is still to get into wagons. */
  lacks(chests: Chests): IntoWagons {
    const { site, direct } = this;
    // What one wagon's arms might take, but do not, is left for those of others.
    const straightFor = site.wagonLed.map((_, wagon) => site.brought - Math.min(direct[wagon], site.brought));
    const straight = site.brought - this.straight();
    const room = site.wagonWanted.map((_, wagon) => this.roomFor(wagon, chests));
    const through = site.wagonWanted.map((_, wagon) => this.throughInto(wagon, chests));
    return {
      led: { flow: site.led - this.leading(chests), byArms: straight },
      ledInto: site.wagonLed.map((flow, wagon): Inflow => ({ flow: flow - this.leadingInto(wagon, chests), byArms: straightFor[wagon] })),
      got: { flow: site.wanted - sumOf(through), byArms: sumOf(room) + straight },
      gotInto: site.wagonWanted.map((flow, wagon): Inflow => ({ flow: flow - through[wagon], byArms: room[wagon] + straightFor[wagon] })),
    };
  }

  /** Whether what is asked of wagons and entries is brought, as far as is known of arms. */
  bringsAll(chests: Chests): boolean {
    const { site, shares } = this;
    const into = site.wagonWanted.map((_, wagon) => this.throughInto(wagon, chests));
    return (
      into.every((flow, wagon) => flow >= site.wagonWanted[wagon] && this.leadingInto(wagon, chests) >= site.wagonLed[wagon]) &&
      sumOf(into) >= site.wanted &&
      this.leading(chests) >= site.led &&
      this.takenOf.every((flow, share) => flow >= shares[share].wanted)
    );
  }

  /** What arms into all wagons can carry. */
  leading(chests: Chests): number {
    let sum = this.straight();
    for (const { delivery } of chests.values()) sum += delivery.flow;
    return sum;
  }

  /** Straight into wagons; no more than comes in. */
  private straight(): number {
    let sum = 0;
    for (const flow of this.direct) sum += flow;
    return Math.min(sum, this.site.brought);
  }

  private leadsTo({ wagons }: Delivery, wagon: number): boolean {
    return wagons[this.place] === wagon;
  }

  private leadingInto(wagon: number, chests: Chests): number {
    let sum = Math.min(this.direct[wagon], this.site.brought);
    for (const { delivery } of chests.values()) if (this.leadsTo(delivery, wagon)) sum += delivery.flow;
    return sum;
  }

  /** What gets into a wagon through chests and arms, if all else allows it. */
  private throughInto(wagon: number, chests: Chests): number {
    let sum = this.direct[wagon];
    for (const { delivery, brought } of chests.values()) if (this.leadsTo(delivery, wagon)) sum += Math.min(delivery.flow, brought);
    return sum;
  }

  /** What more arms could give to chests for a wagon before these get more than is carried off. */
  private roomFor(wagon: number, chests: Chests): number {
    let sum = 0;
    for (const { delivery, brought } of chests.values()) if (this.leadsTo(delivery, wagon)) sum += Math.max(0, delivery.flow - brought);
    return sum;
  }
}
