/**
 * Every forest of carriers that leads on from the entries of a loading brief, up to a price: each once, by deciding for one
 * open end after the other whether it ends there, what comes next, or that it runs into carriers that stand there already
 * (`laid-forest.ts`). What it costs at least is in `forest-bound.ts`, who picks from it in `loading-crews.ts`.
 */
import { sameTile } from '../../base/geometry.js';
import type { BeltModel } from '../../catalog/catalog.js';
import type { PlacedEntry } from '../../layout/layout.js';
import { takesFrom } from './carrier-ends.js';
import { forestOf, type Forest } from './forest.js';
import { ForestBound, type CrewPrices } from './forest-bound.js';
import { LaidForest, type Move } from './laid-forest.js';
import { earlierOf, groupingsOf, type Group, type Grouping } from './loading-groups.js';
import { Pieces, type End, type Piece } from './loading-pieces.js';
import { Room } from './loading-room.js';
import type { LoadingSite } from './loading-site.js';
import { MeetingPlaces } from './meeting-places.js';

/** What may be done at one point of the walk; the move before `next` is made. */
interface Level {
  readonly entry: number;
  /** The tile from which its moves lead on; -1: an edge. */
  readonly from: number;
  readonly moves: readonly Move[];
  next: number;
  /** Ends that are decided later. */
  readonly open: readonly End[];
  /** How far entries to come are from what is laid, as `ForestBound.nearer` tells. */
  readonly far: readonly number[];
}

const NO_ENDS: readonly End[] = [];

/** Moves that are made before those who share a walk part: deep enough for thousands of places where there is much to share, and next to nothing of what is walked then. */
const PART_AFTER = 6;

const ALL = (): boolean => true;

/** Decisions between two moments at which others may have their turn. */
const TURN = 256;

export class Trees {
  /** Least price above the asked one at which there may be more. */
  next = Infinity;
  private decisions = 0;
  private grouping: Grouping = { groups: [], groupOf: [] };
  /** By entry: those that come in at earlier places; and belt models of those of its group that don't come before it. */
  private earlier: readonly (readonly number[])[] = [];
  private beltsOf: readonly ReadonlySet<BeltModel>[] = [];
  private readonly pieces: Pieces;
  private readonly laid: LaidForest;
  private readonly bound: ForestBound;
  private readonly meeting: MeetingPlaces;
  /** By place where the wagons may stop. */
  private readonly rooms: readonly Room[];

  constructor(
    private readonly site: LoadingSite,
    crews: CrewPrices,
  ) {
    this.pieces = new Pieces(site);
    this.laid = new LaidForest(site);
    this.meeting = new MeetingPlaces(site);
    this.bound = new ForestBound(site, crews, this.pieces, this.laid, this.meeting);
    this.rooms = site.places.map((place) => new Room(site, place));
  }

  /** What a station of such groups costs at least. */
  leastOf(groups: readonly Group[]): number {
    return this.bound.leastOf(groups);
  }

  /**
   * All of them whose carriers, with the least crew, cost no more than `most`. The forest handed out is valid until the next
   * one. Yields undefined now and then, so that others may have their turn. `takes`: whether what begins as it is laid by now
   * is to be gone through here; asked in an order that is the same for all who walk up to the same price.
   */
  *upTo(most: number, takes: () => boolean = ALL): Generator<Forest | undefined, void> {
    this.next = Infinity;
    for (const grouping of groupingsOf(this.site, (groups) => this.mayCost(this.leastOf(groups), most))) {
      yield undefined;
      if (grouping === undefined || !this.mayCost(this.bound.begin(grouping), most)) continue;
      this.grouping = grouping;
      this.earlier = earlierOf(grouping, this.site);
      this.beltsOf = grouping.groupOf.map((group, entry) => this.beltsFrom(entry, grouping.groups[group]));
      this.laid.begin(grouping);
      yield* this.walk(most, takes);
    }
  }

  private mayCost(price: number, most: number): boolean {
    if (price > most) this.next = Math.min(this.next, price);
    return price <= most;
  }

  /** Earlier entries would have laid what they come to. */
  private beltsFrom(entry: number, { entries }: Group): ReadonlySet<BeltModel> {
    return new Set(entries.filter((other) => other >= entry).map((other) => this.site.job.entries[other].belt));
  }

  /** Depth first, in a loop: a chain of generators as deep as the walk would take longer than all else. */
  private *walk(most: number, takes: () => boolean): Generator<Forest | undefined, void> {
    const { site, laid, bound } = this;
    const levels = [this.entering(0, bound.farOfAll)];
    for (let level = levels.at(-1); level !== undefined; level = levels.at(-1)) {
      const { entry, from, moves } = level;
      if (level.next > 0) laid.takeBack(moves[level.next - 1], from, entry);
      if (level.next === moves.length) {
        levels.pop();
        continue;
      }
      const move = moves[level.next++];
      laid.make(move, from, entry);
      if (!this.mayLeadOn(move, entry)) continue;
      if (++this.decisions % TURN === 0) yield undefined;
      const open = move.kind === 'piece' ? withEnds(level.open, move.ends) : level.open;
      const far = move.kind === 'piece' ? bound.nearer(level.far, move, entry) : level.far;
      if (!this.mayCost(bound.least(open, entry, far, most), most)) continue;
      if (levels.length === PART_AFTER && !takes()) continue;
      if (open.length > 0) levels.push(this.deciding(open, entry, far, most));
      else if (!this.mayBeJoined(entry)) continue;
      else if (entry + 1 < site.job.entries.length) levels.push(this.entering(entry + 1, far));
      else if (levels.length >= PART_AFTER || takes()) {
        const forest = forestOf(laid, site);
        if (forest !== undefined) yield forest;
      }
    }
  }

  /** Whether what was laid so far leaves room for the arms that are needed, and lets through what they need. */
  private mayLeadOn(move: Move, entry: number): boolean {
    const { grouping, laid, meeting, rooms } = this;
    switch (move.kind) {
      case 'piece':
        return rooms.every((room) => !room.isAsked(move.tiles) || room.isLeft(laid.taken));
      case 'join': {
        const group = grouping.groupOf[entry];
        return laid.joinsLeft[group] > 0 || meeting.letThrough(grouping.groups[group].entries, laid.entries, laid);
      }
      case 'end':
        return true;
    }
  }

  /** Whether an entry of which all is laid is joined with the others of its group, or later ones of it are to come. */
  private mayBeJoined(entry: number): boolean {
    return this.laid.joinsLeft[this.grouping.groupOf[entry]] === 0 || this.laid.hasMoreToCome(entry);
  }

  /** Where an entry comes in: behind the places of those that come in earlier, where no other one does. */
  private entering(entry: number, far: Level['far']): Level {
    const { laid, pieces } = this;
    this.bound.enter(entry);
    const firsts = pieces.firsts[entry];
    const isEarlier = (first: Piece & { readonly comesIn: PlacedEntry }): boolean => this.earlier[entry].some((other) => sameTile(laid.entries[other].at, first.comesIn.at));
    const moves = firsts.slice(1 + firsts.findLastIndex(isEarlier)).flatMap((piece): readonly Move[] => {
      const { part, tiles: [tile], comesIn } = piece;
      if (laid.entries.some(({ at }) => sameTile(at, comesIn.at))) return [];
      const there = laid.partAt(tile);
      if (there === undefined) return [piece];
      // Carriers of another entry may run over the place.
      const isSame = there.kind === 'belt' && part.kind === 'belt' && there.model === part.model && there.heading === part.heading;
      return isSame && laid.mayJoin(tile, entry) ? [{ kind: 'join', onto: tile, comesIn }] : [];
    });
    return { entry, from: -1, moves, next: 0, open: NO_ENDS, far };
  }

  /** What may be done with the last of the open ends, for no more than is left of `most`. */
  private deciding(open: readonly End[], entry: number, far: Level['far'], most: number): Level {
    const { site, laid, bound: { sure } } = this;
    const end = open[open.length - 1];
    const rest = open.length === 1 ? NO_ENDS : open.slice(0, -1);
    const there = end.ahead < 0 ? undefined : laid.partAt(end.ahead);
    const moves: Move[] = [];
    if (there !== undefined && takesFrom(there, site.tileAt(end.ahead), end.heading)) {
      if (laid.mayJoin(end.ahead, entry)) moves.push({ kind: 'join', onto: end.ahead, comesIn: undefined });
    } else {
      if (end.mayBePicked) moves.push({ kind: 'end', end, comesIn: undefined });
      for (const piece of this.pieces.next(end)) {
        if (laid.isFree(piece) && this.isOfUse(piece, entry) && this.mayCost(sure + piece.price, most)) moves.push(piece);
      }
    }
    return { entry, from: end.at, moves, next: 0, open: rest, far };
  }

  private isOfUse({ part }: Piece, entry: number): boolean {
    return part.kind !== 'belt' || this.beltsOf[entry].has(part.model);
  }
}

const withEnds = (open: readonly End[], ends: readonly End[]): readonly End[] => (open.length === 0 ? ends : [...open, ...ends]);
