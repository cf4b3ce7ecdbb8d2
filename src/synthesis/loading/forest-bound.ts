/**
 * What any forest of carriers costs at least, with its crew, that has what is laid and leads on from ends that are open
 * (`loading-trees.ts`).
 */
import { stepFrom, type Tile } from '../../base/geometry.js';
import type { LaidForest } from './laid-forest.js';
import type { Group, Grouping } from './loading-groups.js';
import { FAR, spread, type End, type Piece, type Pieces } from './loading-pieces.js';
import type { LoadingSite } from './loading-site.js';
import type { MeetingPlaces } from './meeting-places.js';
import { OneChest } from './one-chest.js';

/** What arms and chests cost at least, if the trees of the groups have so many leaves; and several chests. */
export interface CrewPrices {
  readonly least: (groups: readonly Group[], leaves: readonly number[]) => number;
  readonly leastOfSeveral: number;
}

/** Beyond any price; a number, so that it may be taken off again. */
const NEVER = 2 ** 40;

export class ForestBound {
  /** What is so without carriers to come, where the bound was asked for last. */
  sure = 0;
  private grouping: Grouping = { groups: [], groupOf: [] };
  /** By group: what its carriers cost at least. */
  private ownWays: readonly number[] = [];
  /** By group: what the way of its second entry costs at least to where that of the first is picked from, if they may not meet before; undefined if they may. */
  private apartOf: readonly (number | undefined)[] = [];
  /** By group: leaves that its tree will have at least. */
  private leaves: number[] = [];
  /** By entry. */
  private readonly beltPrices: readonly number[];
  /** By entry: what a way to where it is picked from costs at least. */
  private readonly wayPrices: readonly number[];
  /** By tile: how far it is to one from which an arm may pick. */
  private readonly farFromPicks: Int32Array;
  /** By entry: how far it is from where its first belt leads to behind a tile from which an arm may pick; 0 if its first belt may be such a one. */
  private readonly picksFrom: readonly number[];
  /** By entry, and tile: how many tiles a way from there takes at least to a pick if the entry's first belt leads on to it. */
  private readonly throughOf: readonly Int32Array[];
  /** And if it runs over a place where the entry may come in. */
  private readonly overOf: readonly Int32Array[];
  /** By entry, and tile: how far it is to carriers of earlier entries of its group; and to where its way may meet theirs, if no arm may pick from it before. */
  private readonly farOf: readonly Int32Array[];
  private readonly bareFarOf: readonly Int32Array[];
  private readonly oneChest: OneChest | undefined;

  constructor(
    private readonly site: LoadingSite,
    private readonly crews: CrewPrices,
    private readonly pieces: Pieces,
    private readonly laid: LaidForest,
    private readonly meeting: MeetingPlaces,
  ) {
    const { entries } = site.job;
    if (site.brief.feed === 'chests') this.oneChest = new OneChest(site);
    this.beltPrices = entries.map(({ belt }) => site.priceOf(belt));
    this.wayPrices = pieces.firsts.map((firsts, entry) => firsts.reduce((least, { tiles: [tile] }) => Math.min(least, this.beltPrices[entry] + site.wayLeft[tile]), Infinity));
    this.farFromPicks = Int32Array.from(site.picks, (picks) => (picks.length > 0 ? 0 : FAR));
    spread(this.farFromPicks, site.width);
    this.picksFrom = pieces.firsts.map((firsts) =>
      firsts.reduce((least, { mayBePicked, ends: [{ ahead }] }) => Math.min(least, mayBePicked ? 0 : ahead < 0 ? FAR : 1 + this.farFromPicks[ahead]), FAR),
    );
    this.throughOf = pieces.farFromFirsts.map((farFromFirsts) => {
      const through = farFromFirsts.map((far, tile) => far + this.farFromPicks[tile]);
      spread(through, site.width);
      return through;
    });
    this.overOf = pieces.firsts.map((firsts) => {
      const over = new Int32Array(site.tiles).fill(FAR);
      for (const { tiles: [tile] } of firsts) over[tile] = this.farFromPicks[tile];
      spread(over, site.width);
      return over;
    });
    this.farOf = entries.map(() => new Int32Array(site.tiles));
    this.bareFarOf = entries.map(() => new Int32Array(site.tiles));
  }

  /** What a station of such groups costs at least: each entry comes in onto a belt of its own. */
  leastOf(groups: readonly Group[]): number {
    return this.beltPrices.reduce((sum, price) => sum + price, this.crews.least(groups, groups.map(() => 1)));
  }

  /** What any of these groups costs at least, of which nothing is laid; to be called before what `least` is asked of them. */
  begin(grouping: Grouping): number {
    const { groups } = grouping;
    this.grouping = grouping;
    this.leaves = groups.map(() => 1);
    this.ownWays = groups.map(({ entries }) => this.wayOfGroup(entries));
    this.apartOf = groups.map(({ entries }) => this.apartFrom(entries));
    return this.ownWays.reduce((sum, price) => sum + price, this.crews.least(groups, this.leaves));
  }

  /** What carriers of a group cost at least: from each entry one way leads to where it is picked from, and each comes in onto a belt of its own. */
  private wayOfGroup(entries: readonly number[]): number {
    return entries.reduce((most, entry) => Math.max(most, this.wayPrices[entry]), entries.reduce((sum, entry) => sum + this.beltPrices[entry], 0));
  }

  private apartFrom([first, second, ...others]: readonly number[]): number | undefined {
    const { site, beltPrices, farFromPicks } = this;
    if (second === undefined || others.length > 0 || !this.meeting.mustBePickedFirst(first, second)) return undefined;
    const step = site.onward[1];
    const tiles = this.pieces.firsts[second].reduce((least, { tiles: [tile] }) => Math.min(least, farFromPicks[tile]), FAR) - 1;
    // Where the first is picked from the second may come in onto its belt.
    if (tiles < 0 || tiles > site.onward.length) return undefined;
    return beltPrices[second] + Math.max(0, Math.min(
      site.onward[tiles],
      // An arm may pick where an underpass begins, and the ways meet where it ends.
      ...site.underpasses.map((model) => 2 * site.priceOf(model) - step + site.onward[Math.max(0, tiles - model.span - 1)]),
      // A splitter leads part of what comes elsewhere, so ways may meet behind it.
      ...site.splitters.map((model) => site.priceOf(model) - step),
    ));
  }

  /** Where an entry may meet earlier ones of its group, of which all is laid; to be called before its first move. */
  enter(entry: number): void {
    const { site, laid, meeting } = this;
    const group = this.grouping.groupOf[entry];
    const { entries } = this.grouping.groups[group];
    if (entries[0] === entry) return;
    const [far, bareFar] = [this.farOf[entry], this.bareFarOf[entry]];
    const isLast = laid.joinsLeft[group] === 1 && entries[entries.length - 1] === entry;
    const mayMeet = isLast ? meeting.mayMeet(entry, entries.slice(0, -1), laid.entries, laid) : () => true;
    for (let tile = 0; tile < site.tiles; tile++) {
      const isTheirs = laid.groupAt(tile) === group;
      far[tile] = isTheirs ? 0 : FAR;
      // What meets them elsewhere comes from where an arm may pick, or from where it is parted, and the other part leads there.
      bareFar[tile] = isTheirs && mayMeet(tile) ? 0 : site.picks[tile].length > 0 ? 1 : FAR;
    }
    spread(far, site.width);
    spread(bareFar, site.width);
  }

  /** By entry: how far it is from where its first belt leads to where it may meet what is laid of its group, of which nothing is so far. */
  get farOfAll(): readonly number[] {
    return this.beltPrices.map(() => FAR);
  }

  /** That, with one piece more of an entry. */
  nearer(far: readonly number[], { tiles }: Piece, entry: number): readonly number[] {
    const { laid, meeting, pieces, picksFrom, grouping: { groups, groupOf } } = this;
    if (!laid.hasMoreToCome(entry)) return far;
    let mayMeet: ((tile: number) => boolean) | undefined;
    return far.map((before, other) => {
      if (other <= entry || groupOf[other] !== groupOf[entry]) return before;
      let least = before;
      for (const tile of tiles) {
        const there = pieces.farFromFirsts[other][tile];
        if (there >= least) continue;
        // Of two entries the way of the first stays as it is up to where they meet.
        if (groups[groupOf[entry]].entries.length === 2) mayMeet ??= meeting.mayMeet(other, [entry], laid.entries, laid);
        least = Math.min(least, mayMeet?.(tile) === false ? Math.max(there, picksFrom[other]) : there);
      }
      return least;
    });
  }

  /** What any forest costs at least that is laid on from here. `far`: as of `nearer`. */
  least(open: readonly End[], entry: number, far: readonly number[], most: number): number {
    const { grouping, laid, beltPrices } = this;
    const group = grouping.groupOf[entry];
    let laterInGroup = 0;
    let [own, others] = [0, 0];
    for (let later = entry + 1; later < beltPrices.length; later++) {
      const groupOfIt = grouping.groupOf[later];
      const [first] = grouping.groups[groupOfIt].entries;
      if (groupOfIt === group) laterInGroup++;
      if (first > entry) {
        if (first === later) others += this.ownWays[groupOfIt];
      } else if (laid.servable[later] === 0) {
        if (groupOfIt === group) own += beltPrices[later];
        else others += beltPrices[later];
      }
    }
    const ways = this.ways(open, entry, laterInGroup);
    // Belts onto which later ones of the group come in may lie on the ways of these ends.
    const carriers = Math.max(laid.price + Math.max(ways, own, this.joined(open, entry, far, ways)), this.unmet(entry, ways)) + others;
    const crew = this.crews.least(grouping.groups, this.leavesAtLeast(open, entry));
    const several = Math.max(crew, this.crews.leastOfSeveral);
    this.sure = laid.price + others + crew;
    if (carriers + crew > most || carriers + several <= most || this.mayDoWithOneChest(open, entry, most - laid.price - crew)) return carriers + crew;
    // With more money carriers might come to where they are picked from.
    return this.mayDoWithOneChest(open, entry, Infinity) ? Math.min(carriers + several, most + 1) : carriers + several;
  }

  /** What carriers to come cost at least so that each later entry of the group meets what is laid, or what goes on from its ends. */
  private joined(open: readonly End[], entry: number, far: readonly number[], ways: number): number {
    const { laid, grouping: { groups, groupOf } } = this;
    const { entries } = groups[groupOf[entry]];
    let most = 0;
    for (const later of entries) {
      if (later <= entry || laid.servable[later] > 0) continue;
      let least = (entries[0] === entry ? ways : 0) + this.beltPrices[later] + this.onward(far[later]);
      // The way of another entry to come may run over where it comes in.
      if (entries.length - 1 > 1 + entries.indexOf(entry)) least = Math.min(least, this.onward(far[later] - 1));
      for (const end of open) least = Math.min(least, this.joinedFrom(end, later, entries[0] === entry ? ways : undefined));
      most = Math.max(most, least);
    }
    return most;
  }

  /** That, if what goes on from an end is met, or runs over where the entry comes in. `ways`: of all ends, if all go on to where they are picked from, which may be on the way of this one then. */
  private joinedFrom(end: End, later: number, ways: number | undefined): number {
    const { beltPrices, throughOf, overOf, pieces } = this;
    if (ways === undefined) return this.onward(pieces.farFromFirsts[later][end.at] - 1);
    return ways - this.wayToPicks(end) + Math.min(beltPrices[later] + this.onward(throughOf[later][end.at]), this.onward(overOf[later][end.at]));
  }

  private onward(tiles: number): number {
    const { onward } = this.site;
    return onward[Math.max(0, Math.min(tiles, onward.length - 1))];
  }

  /** By group: each entry to come ends somewhere, and each join takes an end. */
  private leavesAtLeast(open: readonly End[], entry: number): readonly number[] {
    const { grouping: { groups, groupOf }, laid, leaves } = this;
    for (let group = 0; group < groups.length; group++) leaves[group] = laid.leavesOf[group] - laid.joinsLeft[group];
    for (let later = entry + 1; later < groupOf.length; later++) leaves[groupOf[later]]++;
    leaves[groupOf[entry]] += open.length;
    for (let group = 0; group < groups.length; group++) leaves[group] = Math.max(1, leaves[group]);
    return leaves;
  }

  /** Whether one chest may do where no more than `money` is left for carriers. */
  private mayDoWithOneChest(open: readonly End[], entry: number, money: number): boolean {
    const { laid, oneChest } = this;
    if (oneChest === undefined) return true;
    const starts = open.map(({ at, heading }) => stepFrom(this.site.tileAt(at), heading));
    const mayCome = (tile: number): boolean => laid.partAt(tile) !== undefined || this.wayFrom(starts, tile) <= money || this.wayOfLater(entry, tile) <= money;
    return oneChest.mayDo(laid.taken, laid.leaves, mayCome, oneChest.asksWhereWaysMeet ? this.meetings(open, starts, entry, money) : undefined);
  }

  /** Where ways may meet of one or two entries, if they have one end in all, at whose last tile an arm picks; undefined where that is not known. */
  private meetings(open: readonly End[], starts: readonly Tile[], entry: number, money: number): ((tile: number) => boolean) | undefined {
    const { site, laid } = this;
    const { entries } = site.job;
    if (this.grouping.groups.length > 1 || entries.length > 2 || laid.parts.some(({ kind }) => kind === 'splitter')) return undefined;
    if (site.splitters.some((model) => site.priceOf(model) <= money)) return undefined;
    // From an underpass that leads nowhere an arm may pick before its last tile.
    if ([...laid.leaves, ...open].some(({ tiles }) => tiles.length > 1) || (open.length > 0 && site.underpasses.some((model) => 2 * site.priceOf(model) <= money))) return undefined;
    if (entries.length === 1) return () => false;
    if (laid.joins.length > 0) return (tile) => laid.joins[0][1] === tile;
    if (entry > 0) return (tile) => laid.entryAt(tile) === 0 && this.wayFrom(starts, tile, 0) <= money;
    if (laid.servable[1] > 0) return undefined;
    const { farFromFirsts, firsts } = this.pieces;
    const comesIn = (tile: number): boolean => firsts[1].some(({ tiles }) => tiles[0] === tile);
    return (tile) => {
      const way = laid.entryAt(tile) === 0 ? 0 : this.wayFrom(starts, tile);
      return way <= money && (comesIn(tile) || way + this.beltPrices[1] + this.onward(farFromFirsts[1][tile]) <= money);
    };
  }

  /** What it costs at least to come from tiles onto which ends lead onto another one; up to before it, if that is no tile `more`. */
  private wayFrom(starts: readonly Tile[], tile: number, more = 1): number {
    const { x, y } = this.site.tileAt(tile);
    let least = Infinity;
    for (const start of starts) least = Math.min(least, this.onward(more + Math.abs(start.x - x) + Math.abs(start.y - y)));
    return least;
  }

  /** What it costs at least that an entry to come lays a carrier on a tile. */
  private wayOfLater(entry: number, tile: number): number {
    const { beltPrices, pieces: { farFromFirsts } } = this;
    let least = Infinity;
    // The first belt stands a tile before it leads on.
    for (let later = entry + 1; later < beltPrices.length; later++) least = Math.min(least, beltPrices[later] + this.onward(farFromFirsts[later][tile] - 1));
    return least;
  }

  /**
   * What carriers cost at least where the ways of two entries may not meet before an arm may pick from one of them: the first
   * leads there. From there on it may come nearer to the other one, which costs as much as that one's way gets shorter.
   */
  private unmet(entry: number, ways: number): number {
    const { grouping, laid } = this;
    const group = grouping.groupOf[entry];
    const apart = this.apartOf[group];
    if (apart === undefined || grouping.groups[group].entries[0] !== entry) return 0;
    return apart + (laid.eased[entry] === 0 ? laid.price + ways : laid.easedAt[entry]);
  }

  /** What the ends need to come to where they are picked from, or to the carriers that they join. */
  private ways(open: readonly End[], entry: number, laterInGroup: number): number {
    const { grouping, laid: { joinsLeft } } = this;
    const group = grouping.groupOf[entry];
    let ways = 0;
    for (const end of open) ways += this.wayToPicks(end);
    const joins = grouping.groups[group].entries[0] === entry ? 0 : Math.min(joinsLeft[group], open.length);
    if (joins > 0) {
      const more = open.map((end) => this.wayToOthers(end, entry) - this.wayToPicks(end)).sort((a, b) => a - b);
      for (let index = 0; index < joins; index++) {
        // At its last entry a group still lacks a join, so one end has to take it; what others gain they may.
        if ((index === 0 && laterInGroup === 0) || more[index] < 0) ways += more[index];
      }
    }
    return ways < NEVER ? ways : Infinity;
  }

  private wayToPicks({ at, mayBePicked }: End): number {
    return mayBePicked ? 0 : Math.min(this.site.wayLeft[at], NEVER);
  }

  /** From an end to where one faces carriers of the group with which its own are not joined. What comes next stands ahead of it. */
  private wayToOthers({ ahead }: End, entry: number): number {
    const far = ahead < 0 ? FAR : (this.laid.eased[entry] > 0 ? this.farOf : this.bareFarOf)[entry][ahead];
    return far < FAR ? this.site.onward[far] : NEVER;
  }
}
