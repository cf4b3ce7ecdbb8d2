/**
 * Every forest of carriers that leads on from the entries of a loading brief, up to a price: each once, by deciding for one
 * open end after the other whether it ends there, what comes next, or that it runs into carriers that stand there already.
 * What entries of one group (`loading-groups.ts`) have in common is laid with the first of them, and the others join it: so
 * of each carrier is settled with which entry it is laid, and by which end. Who picks from it is in `loading-crews.ts`.
 */
import { leftOf, rightOf, sameTile, stepFrom, backOf, type Heading, type Tile } from '../../base/geometry.js';
import { borderTile } from '../../base/ground.js';
import type { BeltModel } from '../../catalog/catalog.js';
import { tilesOf, underpassHeading, wagonAt, type Part, type PlacedEntry } from '../../layout/layout.js';
import type { EntryDemand } from '../../brief/load-job.js';
import { outletsOf, type Outlet } from './held-up.js';
import { earlierOf, groupingsOf, type Group, type Grouping } from './loading-groups.js';
import { Room } from './loading-room.js';
import type { LoadingSite } from './loading-site.js';
import { MeetingPlaces, type LaidWays } from './meeting-places.js';
import { OneChest } from './one-chest.js';

/** The end of a carrier that leads nowhere: tiles of it from which an arm may pick, one of which has to be. */
interface Leaf {
  readonly tiles: readonly number[];
  readonly heading: Heading;
  readonly group: number;
}

export interface Forest {
  readonly parts: readonly Part[];
  readonly entries: readonly PlacedEntry[];
  readonly grouping: Grouping;
  /** Tiles that carriers stand on. */
  readonly taken: ReadonlySet<number>;
  /** Of a tile that is taken: over which entries what comes to it comes in. */
  readonly entriesAt: (tile: number) => readonly number[];
  readonly leaves: readonly Leaf[];
  /** Where items of some entry may never get in (`held-up.ts`). */
  readonly outlets: readonly Outlet[];
  /** Where ways meet: from which tile (-1: an edge) onto which. */
  readonly joins: readonly (readonly [number, number])[];
  /** Of carriers alone. */
  readonly price: number;
}

interface CrewPrices {
  readonly least: (groups: readonly Group[], leaves: readonly number[]) => number;
  readonly leastOfSeveral: number;
}

/** An end that is still to be decided. */
interface OpenEnd {
  readonly at: number;
  readonly tiles: readonly number[];
  readonly heading: Heading;
}

interface Laid {
  readonly part: Part;
  readonly entry: number;
  /** The tile behind, whose end led here; -1: the entry's edge. */
  readonly from: number;
}

/** Where a belt may come in, heading inward. */
export function placesOf(site: Pick<LoadingSite, 'indexOf' | 'isOpen' | 'brief'>, { edge, from, to }: EntryDemand): readonly PlacedEntry[] {
  const heading = backOf(edge);
  return Array.from({ length: to - from + 1 }, (_, index) => borderTile(site.brief.site, edge, from + index))
    .filter((at) => site.indexOf(at) >= 0 && site.isOpen(site.indexOf(at)) && wagonAt(site.brief.wagons, stepFrom(at, edge)) === undefined)
    .map((at) => ({ at, heading, give: undefined }));
}

/** Beyond any price; a number, so that it may be taken off again. */
const NEVER = 2 ** 40;
/** Beyond any site. */
const FAR = 2 ** 20;
/** Decisions between two moments at which others may have their turn. */
const TURN = 256;

export class Trees {
  /** Least price above the asked one at which there may be more. */
  next = Infinity;
  private readonly parts: Part[] = [];
  private readonly entries: PlacedEntry[] = [];
  private readonly taken = new Set<number>();
  /** By tile. */
  private readonly laid: (Laid | undefined)[];
  private readonly leaves: Leaf[] = [];
  private price = 0;
  private decisions = 0;

  private grouping: Grouping = { groups: [], groupOf: [] };
  /** By entry: those that come in at earlier places. */
  private earlier: readonly (readonly number[])[] = [];
  /** By entry: the first of those with which it is joined so far. */
  private networkOf: readonly number[] = [];
  /** From which tile on to which, where carriers of two entries meet. */
  private readonly joins: (readonly [number, number])[] = [];
  /** By group: joins that are still to come, for all its entries to have one tree. */
  private joinsLeft: number[] = [];
  /** By entry: belts that were laid with others and onto which it may come in. */
  private readonly servable: number[];
  /** By group: leaves that its tree has, or will have at least. */
  private leavesOf: number[] = [];
  /** By group: what its carriers cost at least. */
  private ownWays: readonly number[] = [];
  /** By group: what the way of its second entry costs at least to where that of the first is picked from, if they may not meet before; undefined if they may. */
  private apartOf: readonly (number | undefined)[] = [];

  /** By entry. */
  private readonly beltPrices: readonly number[];
  /** By entry: what a way to where it is picked from costs at least. */
  private readonly wayPrices: readonly number[];
  /** By tile: how far it is to one from which an arm may pick. */
  private readonly farFromPicks: Int32Array;
  private readonly places: readonly (readonly PlacedEntry[])[];
  /** By entry, and tile: how far it is to carriers of earlier entries of its group; and to where its way may meet theirs, if no arm may pick from it before. */
  private readonly farOf: Int32Array[];
  private readonly bareFarOf: Int32Array[];
  /** By entry: parts laid with it from which an arm may pick, or that part its way. */
  private readonly eased: number[];
  /** By entry: the price of all that stood when the first of these was laid, for what is still to pay from there on; -Infinity where that is not known. */
  private readonly easedAt: number[];
  /** By tile of a carrier's end: onto which it leads. */
  private readonly onward: Int32Array;
  private readonly laidWays: LaidWays;
  private readonly meeting: MeetingPlaces;
  /** By tile: entries that may come in there. */
  private readonly comeInAt: readonly (readonly number[])[];
  private readonly room: Room;
  private readonly oneChest: OneChest | undefined;

  /** `crews`: what arms and chests cost at least, if the trees of the groups have so many leaves; and several chests. */
  constructor(
    private readonly site: LoadingSite,
    private readonly crews: CrewPrices,
  ) {
    this.room = new Room(site);
    if (site.brief.feed === 'chests') this.oneChest = new OneChest(site);
    const { entries } = site.job;
    this.servable = entries.map(() => 0);
    this.beltPrices = entries.map(({ belt }) => site.priceOf(belt));
    this.places = entries.map((demand) => placesOf(site, demand));
    this.wayPrices = this.places.map((places, entry) => places.reduce((least, { at }) => Math.min(least, this.beltPrices[entry] + site.wayLeft[site.indexOf(at)]), Infinity));
    this.farFromPicks = Int32Array.from(site.picks, (picks) => (picks.length > 0 ? 0 : FAR));
    spread(this.farFromPicks, site.width);
    this.farOf = entries.map(() => new Int32Array(site.tiles));
    this.bareFarOf = entries.map(() => new Int32Array(site.tiles));
    this.eased = entries.map(() => 0);
    this.easedAt = entries.map(() => -Infinity);
    this.onward = new Int32Array(site.tiles).fill(-1);
    const laid = Array.from({ length: site.tiles }, (): Laid | undefined => undefined);
    this.laid = laid;
    this.laidWays = { partAt: (tile) => laid[tile]?.part, from: (tile) => laid[tile]?.from ?? -1, onward: (tile) => this.onward[tile], joins: this.joins };
    this.meeting = new MeetingPlaces(site);
    this.comeInAt = Array.from({ length: site.tiles }, (_, tile) =>
      [...entries.keys()].filter((entry) => this.places[entry].some(({ at }) => site.indexOf(at) === tile)),
    );
  }

  private mayBePicked(tiles: readonly number[]): boolean {
    return this.site.picks[tiles[0]].length > 0 || (tiles.length > 1 && this.site.picks[tiles[1]].length > 0);
  }

  /**
   * All of them whose carriers, with the least crew, cost no more than `most`. The forest handed out is valid until the next
   * one. Yields undefined now and then, so that others may have their turn.
   */
  *upTo(most: number): Generator<Forest | undefined, void> {
    this.next = Infinity;
    const mayPay = (groups: readonly Group[]): boolean => {
      const least = this.leastOf(groups);
      if (least > most) this.next = Math.min(this.next, least);
      return least <= most;
    };
    for (const grouping of groupingsOf(this.site, mayPay)) {
      yield undefined;
      if (grouping === undefined) continue;
      this.ownWays = grouping.groups.map(({ entries }) => this.wayOfGroup(entries));
      const least = this.ownWays.reduce((sum, price) => sum + price, this.crews.least(grouping.groups, grouping.groups.map(() => 1)));
      if (least > most) {
        this.next = Math.min(this.next, least);
        continue;
      }
      this.apartOf = grouping.groups.map(({ entries }) => this.apartFrom(entries));
      this.grouping = grouping;
      this.earlier = earlierOf(grouping, this.site);
      this.networkOf = grouping.groupOf.map((_, entry) => entry);
      this.joinsLeft = grouping.groups.map(({ entries }) => entries.length - 1);
      this.leavesOf = grouping.groups.map(() => 1);
      yield* this.enter(0, most);
    }
  }

  /** What carriers of a group cost at least: from each entry one way leads to where it is picked from, and each comes in onto a belt of its own. */
  private wayOfGroup(entries: readonly number[]): number {
    return entries.reduce((most, entry) => Math.max(most, this.wayPrices[entry]), entries.reduce((sum, entry) => sum + this.beltPrices[entry], 0));
  }

  private apartFrom([first, second, ...others]: readonly number[]): number | undefined {
    const { site, places, beltPrices } = this;
    if (second === undefined || others.length > 0 || !this.meeting.mustBePickedFirst(first, second)) return undefined;
    const step = site.onward[1];
    const tiles = places[second].reduce((least, { at }) => Math.min(least, this.farFromPicks[site.indexOf(at)]), FAR) - 1;
    if (tiles > site.onward.length) return undefined;
    return beltPrices[second] + Math.max(0, Math.min(
      site.onward[Math.max(0, tiles)],
      // An arm may pick where an underpass begins, and the ways meet where it ends.
      ...site.underpasses.map((model) => 2 * site.priceOf(model) - step + site.onward[Math.max(0, tiles - model.span - 1)]),
      // A splitter leads part of what comes elsewhere, so ways may meet behind it.
      ...site.splitters.map((model) => site.priceOf(model) - step),
    ));
  }

  /** What a station of such groups costs at least: each entry comes in onto a belt of its own. */
  leastOf(groups: readonly Group[]): number {
    return this.beltPrices.reduce((sum, price) => sum + price, this.crews.least(groups, groups.map(() => 1)));
  }

  private *enter(entry: number, most: number): Generator<Forest | undefined, void> {
    const { site, grouping, leavesOf } = this;
    if (entry === site.job.entries.length) {
      if (!endNowhere(this.leaves.map(({ tiles, heading }) => ({ at: site.tileAt(tiles[tiles.length - 1]), heading })), this.parts)) return;
      const over = this.joins.length === 0 ? undefined : this.entriesByTile();
      const entriesAt = (tile: number): readonly number[] => over?.get(tile) ?? [this.laid[tile]?.entry ?? 0];
      if (over !== undefined && !this.beltsAreTheirs(over)) return;
      const outlets = over === undefined ? [] : this.outlets(over);
      yield { parts: this.parts, entries: this.entries, grouping, taken: this.taken, entriesAt, leaves: this.leaves, outlets, joins: this.joins, price: this.price };
      return;
    }
    const group = grouping.groupOf[entry];
    const leaves = leavesOf[group];
    const { belt: model } = site.job.entries[entry];
    if (grouping.groups[group].entries[0] < entry) this.measureFar(entry, group);
    for (const place of this.placesLeft(entry)) {
      const tile = site.indexOf(place.at);
      const there = this.laid[tile];
      if (this.entries.some(({ at }) => sameTile(at, place.at))) continue;
      this.entries.push(place);
      if (there === undefined) {
        yield* this.put({ kind: 'belt', at: place.at, heading: place.heading, model }, [tile], -1, [{ at: tile, tiles: [tile], heading: place.heading }], [], entry, most);
      } else if (there.part.kind === 'belt' && there.part.model === model && there.part.heading === place.heading) {
        // Carriers of another entry run over the place.
        yield* this.join(-1, tile, [], entry, most);
      }
      this.entries.pop();
    }
    leavesOf[group] = leaves;
  }

  /** Those behind the places of entries that come in earlier. */
  private placesLeft(entry: number): readonly PlacedEntry[] {
    const places = this.places[entry];
    const isTaken = (place: PlacedEntry): boolean => this.earlier[entry].some((other) => sameTile(this.entries[other].at, place.at));
    return places.slice(1 + places.findLastIndex(isTaken));
  }

  /** Puts a part down, with the ends that it adds to those that are open, and goes on. */
  private *put(part: Part, tiles: readonly number[], from: number, ends: readonly OpenEnd[], open: readonly OpenEnd[], entry: number, most: number): Generator<Forest | undefined, void> {
    const price = this.site.priceOf(part.model) * (part.kind === 'underpass' ? 2 : 1);
    const served = this.grouping.groups.length === this.networkOf.length || this.comeInAt[tiles[0]].length === 0 ? [] : this.servedBy(part, tiles[0], entry);
    const laid = { part, entry, from };
    this.parts.push(part);
    for (const tile of tiles) {
      this.taken.add(tile);
      this.laid[tile] = laid;
    }
    for (const other of served) this.servable[other]++;
    const eases = part.kind === 'splitter' || this.mayBePicked(tiles);
    if (eases && this.eased[entry]++ === 0) this.easedAt[entry] = part.kind === 'splitter' ? -Infinity : this.price + (part.kind === 'belt' ? price : 0);
    if (from >= 0) this.onward[from] = tiles[0];
    this.price += price;
    if (!this.room.isAsked(tiles) || this.room.isLeft(this.taken)) yield* this.decide([...open, ...ends], entry, most);
    this.price -= price;
    if (from >= 0) this.onward[from] = -1;
    if (eases) this.eased[entry]--;
    for (const other of served) this.servable[other]--;
    for (const tile of tiles) {
      this.taken.delete(tile);
      this.laid[tile] = undefined;
    }
    this.parts.pop();
  }

  /** Later entries that may come in onto a part. */
  private servedBy(part: Part, tile: number, entry: number): readonly number[] {
    if (part.kind !== 'belt') return [];
    const { entries } = this.site.job;
    return this.comeInAt[tile].filter((other) => other > entry && entries[other].belt === part.model && backOf(entries[other].edge) === part.heading);
  }

  private measureFar(entry: number, group: number): void {
    const { site, grouping, laid, joinsLeft, meeting, laidWays } = this;
    const [far, bareFar] = [this.farOf[entry], this.bareFarOf[entry]];
    const { entries } = grouping.groups[group];
    const isLast = joinsLeft[group] === 1 && entries[entries.length - 1] === entry;
    const mayMeet = isLast ? meeting.mayMeet(entry, entries.slice(0, -1), this.entries, laidWays) : () => true;
    for (let tile = 0; tile < site.tiles; tile++) {
      const there = laid[tile];
      const isTheirs = there !== undefined && grouping.groupOf[there.entry] === group;
      far[tile] = isTheirs ? 0 : FAR;
      // What meets them elsewhere comes from where an arm may pick, or from where it is parted, and the other part leads there.
      bareFar[tile] = isTheirs && mayMeet(tile) ? 0 : site.picks[tile].length > 0 ? 1 : FAR;
    }
    spread(far, site.width);
    spread(bareFar, site.width);
  }

  /** Lets an end run into what stands on a tile, if that is of another entry of its group with which it is not joined yet. */
  private *join(from: number, tile: number, open: readonly OpenEnd[], entry: number, most: number): Generator<Forest | undefined, void> {
    const { networkOf, joinsLeft, grouping } = this;
    const other = this.laid[tile]?.entry ?? entry;
    const [own, others] = [networkOf[entry], networkOf[other]];
    const group = grouping.groupOf[entry];
    if (own === others || grouping.groupOf[other] !== group) return;
    this.networkOf = networkOf.map((network) => (network === own ? others : network));
    joinsLeft[group]--;
    this.joins.push([from, tile]);
    if (from >= 0) this.onward[from] = tile;
    if (joinsLeft[group] > 0 || this.meeting.letThrough(grouping.groups[group].entries, this.entries, this.laidWays)) yield* this.decide(open, entry, most);
    if (from >= 0) this.onward[from] = -1;
    this.joins.pop();
    joinsLeft[group]++;
    this.networkOf = networkOf;
  }

  /** What any forest costs at least, with its crew, that has this one's parts and leads on from these ends. `sure`: what is so without carriers to come. */
  private least(open: readonly OpenEnd[], entry: number, most: number): { readonly least: number; readonly sure: number } {
    const { grouping, leavesOf, joinsLeft, leaves, beltPrices } = this;
    const group = grouping.groupOf[entry];
    let laterInGroup = 0;
    let [own, others] = [0, 0];
    for (let later = entry + 1; later < beltPrices.length; later++) {
      const groupOfIt = grouping.groupOf[later];
      const [first] = grouping.groups[groupOfIt].entries;
      if (groupOfIt === group) laterInGroup++;
      if (first > entry) {
        if (first === later) others += this.ownWays[groupOfIt];
      } else if (this.servable[later] === 0) {
        if (groupOfIt === group) own += beltPrices[later];
        else others += beltPrices[later];
      }
    }
    let ends = open.length + laterInGroup - joinsLeft[group];
    for (const leaf of leaves) if (leaf.group === group) ends++;
    leavesOf[group] = Math.max(1, ends);
    const ways = this.ways(open, entry, laterInGroup);
    // Belts onto which later ones of the group come in may lie on the ways of these ends.
    const carriers = Math.max(this.price + Math.max(ways, own), this.unmet(entry, ways)) + others;
    const crew = this.crews.least(grouping.groups, leavesOf);
    const several = Math.max(crew, this.crews.leastOfSeveral);
    const sure = this.price + others + crew;
    if (carriers + crew > most || carriers + several <= most || this.mayDoWithOneChest(open, entry, most - this.price - crew)) return { least: carriers + crew, sure };
    // With more money carriers might come to where they are picked from.
    return { least: this.mayDoWithOneChest(open, entry, Infinity) ? Math.min(carriers + several, most + 1) : carriers + several, sure };
  }

  /** Whether one chest may do where no more than `money` is left for carriers. */
  private mayDoWithOneChest(open: readonly OpenEnd[], entry: number, money: number): boolean {
    const { site, laid, leaves, taken, oneChest } = this;
    if (oneChest === undefined) return true;
    const isLast = entry === site.job.entries.length - 1;
    const starts = open.map(({ at, heading }) => stepFrom(site.tileAt(at), heading));
    const mayCome = (tile: number): boolean => {
      if (!isLast || laid[tile] !== undefined) return true;
      const { x, y } = site.tileAt(tile);
      return starts.some((start) => site.onward[1 + Math.abs(start.x - x) + Math.abs(start.y - y)] <= money);
    };
    return oneChest.mayDo(taken, leaves, mayCome, oneChest.asksWhereWaysMeet ? this.meetings(open, starts, entry, money) : undefined);
  }

  /** Where ways may meet of one or two entries, if they have one end in all, at whose last tile an arm picks; undefined where that is not known. */
  private meetings(open: readonly OpenEnd[], starts: readonly Tile[], entry: number, money: number): ((tile: number) => boolean) | undefined {
    const { site, laid, joins, leaves } = this;
    const { entries } = site.job;
    if (this.grouping.groups.length > 1 || entries.length > 2 || this.parts.some(({ kind }) => kind === 'splitter')) return undefined;
    if (site.splitters.some((model) => site.priceOf(model) <= money)) return undefined;
    // From an underpass that leads nowhere an arm may pick before its last tile.
    if ([...leaves, ...open].some(({ tiles }) => tiles.length > 1) || (open.length > 0 && site.underpasses.some((model) => 2 * site.priceOf(model) <= money))) return undefined;
    if (entries.length === 1) return () => false;
    if (entry === 0) return undefined;
    if (joins.length > 0) return (tile) => joins[0][1] === tile;
    return (tile) => {
      const { x, y } = site.tileAt(tile);
      return laid[tile]?.entry === 0 && starts.some((start) => site.onward[Math.abs(start.x - x) + Math.abs(start.y - y)] <= money);
    };
  }

  /**
   * What carriers cost at least where the ways of two entries may not meet before an arm may pick from one of them: the first
   * leads there. From there on it may come nearer to the other one, which costs as much as that one's way gets shorter.
   */
  private unmet(entry: number, ways: number): number {
    const { grouping, apartOf, eased, easedAt } = this;
    const group = grouping.groupOf[entry];
    const apart = apartOf[group];
    if (apart === undefined || grouping.groups[group].entries[0] !== entry) return 0;
    return apart + (eased[entry] === 0 ? this.price + ways : easedAt[entry]);
  }

  /** What the ends need to come to where they are picked from, or to the carriers that they join. */
  private ways(open: readonly OpenEnd[], entry: number, laterInGroup: number): number {
    const { site, joinsLeft, grouping } = this;
    let ways = 0;
    for (const { at, tiles } of open) if (!this.mayBePicked(tiles)) ways += Math.min(site.wayLeft[at], NEVER);
    const joins = grouping.groups[grouping.groupOf[entry]].entries[0] === entry ? 0 : Math.min(joinsLeft[grouping.groupOf[entry]], open.length);
    if (joins > 0) {
      const more = open.map((end) => this.wayToOthers(end, entry) - (this.mayBePicked(end.tiles) ? 0 : Math.min(site.wayLeft[end.at], NEVER))).sort((a, b) => a - b);
      for (let index = 0; index < joins; index++) {
        // At its last entry a group still lacks a join, so one end has to take it; what others gain they may.
        if ((index === 0 && laterInGroup === 0) || more[index] < 0) ways += more[index];
      }
    }
    return ways < NEVER ? ways : Infinity;
  }

  /** From an end to where one faces carriers of the group with which its own are not joined. What comes next stands ahead of it. */
  private wayToOthers({ at, heading }: OpenEnd, entry: number): number {
    const { site, farOf, bareFarOf, eased } = this;
    const ahead = site.indexOf(stepFrom(site.tileAt(at), heading));
    const far = ahead < 0 ? FAR : (eased[entry] > 0 ? farOf : bareFarOf)[entry][ahead];
    return far < FAR ? site.onward[far] : NEVER;
  }

  private *decide(open: readonly OpenEnd[], entry: number, most: number): Generator<Forest | undefined, void> {
    const { site, grouping } = this;
    if (++this.decisions % TURN === 0) yield undefined;
    const { least, sure } = this.least(open, entry, most);
    if (least > most) {
      this.next = Math.min(this.next, least);
      return;
    }
    const end = open.at(-1);
    const group = grouping.groupOf[entry];
    if (end === undefined) {
      const { entries } = grouping.groups[group];
      if (this.joinsLeft[group] === 0 || entries[entries.length - 1] > entry) yield* this.enter(entry + 1, most);
      return;
    }
    const rest = open.slice(0, -1);
    const { heading } = end;
    const here = site.tileAt(end.at);
    const ahead = stepFrom(here, heading);
    const tile = site.indexOf(ahead);
    const there = this.laid[tile];
    if (there !== undefined && takesFrom(there.part, ahead, heading)) {
      yield* this.join(end.at, tile, rest, entry, most);
      return;
    }
    if (this.mayBePicked(end.tiles)) {
      this.leaves.push({ tiles: end.tiles, heading, group });
      yield* this.decide(rest, entry, most);
      this.leaves.pop();
    }
    if (tile < 0 || !this.isFree(tile)) return;
    const mayPay = (price: number): boolean => {
      if (sure + price > most) this.next = Math.min(this.next, sure + price);
      return sure + price <= most;
    };
    for (const model of this.beltsOf(entry)) {
      if (!mayPay(site.priceOf(model))) continue;
      for (const turned of [heading, leftOf(heading), rightOf(heading)]) {
        yield* this.put({ kind: 'belt', at: ahead, heading: turned, model }, [tile], end.at, [{ at: tile, tiles: [tile], heading: turned }], rest, entry, most);
      }
    }
    for (const model of site.underpasses) {
      if (!mayPay(2 * site.priceOf(model))) continue;
      for (let apart = 1; apart <= model.span; apart++) {
        const to = stepFrom(ahead, heading, apart);
        const last = site.indexOf(to);
        if (last < 0) break;
        if (!this.isFree(last)) continue;
        yield* this.put({ kind: 'underpass', from: ahead, to, model }, [tile, last], end.at, [{ at: last, tiles: [tile, last], heading }], rest, entry, most);
      }
    }
    for (const model of site.splitters) {
      if (!mayPay(site.priceOf(model))) continue;
      for (const left of [ahead, stepFrom(ahead, leftOf(heading))]) {
        const right = stepFrom(left, rightOf(heading));
        const halves = [site.indexOf(left), site.indexOf(right)];
        if (halves.some((half) => half < 0 || !this.isFree(half))) continue;
        const ends = halves.map((half): OpenEnd => ({ at: half, tiles: [half], heading }));
        yield* this.put({ kind: 'splitter', at: left, heading, model }, halves, end.at, ends, rest, entry, most);
      }
    }
  }

  private isFree(tile: number): boolean {
    return this.site.isOpen(tile) && !this.taken.has(tile);
  }

  /** Of the entry and of those that may still join it; earlier ones would have laid what they come to. */
  private beltsOf(entry: number): readonly BeltModel[] {
    const { groups, groupOf } = this.grouping;
    const { entries } = this.site.job;
    return [...new Set(groups[groupOf[entry]].entries.filter((other) => other >= entry).map((other) => entries[other].belt))];
  }

  private entriesByTile(): ReadonlyMap<number, readonly number[]> {
    const { site, laid, joins } = this;
    const onward = new Map<number, number[]>();
    const lead = (from: number, to: number): void => {
      onward.set(from, [...(onward.get(from) ?? []), to]);
    };
    for (const tile of this.taken) lead(laid[tile]?.from ?? -1, tile);
    for (const [from, tile] of joins) lead(from, tile);
    const over = new Map<number, number[]>([...this.taken].map((tile) => [tile, []]));
    this.entries.forEach(({ at }, entry) => {
      const ways = [site.indexOf(at)];
      for (const tile of ways) {
        const part = laid[tile]?.part;
        // Of a splitter that is joined, both halves pass on what comes to one.
        for (const each of part === undefined ? [] : tilesOf(part).map(site.indexOf)) {
          if (over.get(each)?.at(-1) === entry) continue;
          over.get(each)?.push(entry);
          ways.push(...(onward.get(each) ?? []));
        }
      }
    });
    return over;
  }

  private outlets(over: ReadonlyMap<number, readonly number[]>): readonly Outlet[] {
    const { site, laidWays } = this;
    const comes = (entry: number, tile: number): boolean => over.get(tile)?.includes(entry) === true;
    return outletsOf(laidWays, (onto, sides) => {
      const beyond = this.beyond(onto);
      const held = [...site.entryWanted.keys()].filter((entry) => site.entryWanted[entry] > 0 && sides.some((side) => comes(entry, side)));
      return held.map((entry) => ({ wanted: site.entryWanted[entry], has: (tile) => comes(entry, tile) && !beyond.has(tile) }));
    }, site, site.brief.catalog.unitsPerTile);
  }

  /** A tile and all that what comes onto it comes to. */
  private beyond(tile: number): ReadonlySet<number> {
    const { site, laid, joins, taken } = this;
    const found = new Set([tile]);
    for (const each of found) {
      const part = laid[each]?.part;
      for (const other of part === undefined ? [] : tilesOf(part)) found.add(site.indexOf(other));
      for (const next of taken) if (laid[next]?.from === each) found.add(next);
      for (const [from, onto] of joins) if (from === each) found.add(onto);
    }
    return found;
  }

  /** Whether each belt is of the model of an entry whose items come to it. */
  private beltsAreTheirs(over: ReadonlyMap<number, readonly number[]>): boolean {
    const { entries } = this.site.job;
    if (entries.every(({ belt }) => belt === entries[0].belt)) return true;
    return [...over].every(([tile, comes]) => {
      const part = this.laid[tile]?.part;
      return part?.kind !== 'belt' || comes.some((entry) => entries[entry].belt === part.model);
    });
  }
}

/** By tile, row by row: from how far it is on some tiles to how far it is from each (A. Rosenfeld, J. L. Pfaltz 1966; from memory). */
function spread(far: Int32Array, width: number): void {
  const last = far.length - 1;
  for (let tile = 0; tile <= last; tile++) {
    if (tile >= width) far[tile] = Math.min(far[tile], far[tile - width] + 1);
    if (tile % width > 0) far[tile] = Math.min(far[tile], far[tile - 1] + 1);
  }
  for (let tile = last; tile >= 0; tile--) {
    if (tile + width <= last) far[tile] = Math.min(far[tile], far[tile + width] + 1);
    if ((tile + 1) % width > 0) far[tile] = Math.min(far[tile], far[tile + 1] + 1);
  }
}

/** Whether a part takes what comes onto a tile of it with a heading. */
export function takesFrom(part: Part, tile: Tile, heading: Heading): boolean {
  switch (part.kind) {
    case 'belt':
      return part.heading !== backOf(heading);
    case 'splitter':
      return part.heading === heading;
    case 'underpass':
      return sameTile(part.from, tile) && underpassHeading(part) === heading;
    default:
      return false;
  }
}

/** Whether no end that is to lead nowhere faces a carrier that would take its items. */
export function endNowhere(ends: readonly { readonly at: Tile; readonly heading: Heading }[], parts: readonly Part[]): boolean {
  return ends.every(({ at, heading }) => {
    const ahead = stepFrom(at, heading);
    return parts.every((part) => !takesFrom(part, ahead, heading) || !tilesOf(part).some((tile) => sameTile(tile, ahead)));
  });
}
