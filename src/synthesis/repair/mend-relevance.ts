/**
 * What a verdict on a layout depends on: of all placements those whose coming or going can change it. Carriers that pass
 * items to each other, or share an arm, behave by their own parts, by what faces them and what they face, and by
 * the arms at them with the containers of these; nothing else on the site can be felt there. So a layout that differs
 * from one that falls short, but in none of these, falls short in the same way.
 */
import { HEADINGS, type Tile } from '../../base/geometry.js';
import { invariant } from '../../base/invariant.js';
import { deriveNetwork, type ArmLink, type Network } from '../../layout/network.js';
import { entriesOf, pickTile, placeTile } from '../../layout/layout.js';
import { layoutOf, mayHoldWagon, tileNumber, type MendState, type Universe } from './mend-universe.js';
import { back } from '../site/site-map.js';

/** In what a layout falls short; parts and exits by their index in the layout. */
export type Lack =
  | { readonly kind: 'flow'; readonly exit: number }
  /** All exits together give too little. */
  | { readonly kind: 'sum' }
  /** Too little of what comes in over an entry gets into wagons. */
  | { readonly kind: 'entry'; readonly entry: number }
  /** Some wagon, or all together, get too little. */
  | { readonly kind: 'wagons' }
  /** A chest is not filled as fast as it is emptied, or not emptied as fast as it is filled. */
  | { readonly kind: 'supply'; readonly part: number }
  /** Some start has not repeated within the limit of ticks, so nothing is known. */
  | { readonly kind: 'unproven' }
  /** An arm draws from what the brief does not allow. */
  | { readonly kind: 'feed'; readonly part: number }
  /** The belt that leaves is not of the model that the brief names. */
  | { readonly kind: 'belt'; readonly exit: number }
  /** What comes in does so onto another carrier than a belt of the model that the brief names. */
  | { readonly kind: 'entry-belt'; readonly entry: number }
  | { readonly kind: 'limit'; readonly limit: 'arms' | 'parts' | 'cost' | 'imbalance' | 'trains' };

/** [carrier]: a name of its network. */
function networkNames({ carriers, arms }: Network): Int32Array {
  const names = Int32Array.from(carriers, (_, index) => index);
  const find = (index: number): number => {
    let at = index;
    while (names[at] !== at) at = names[at] = names[names[at]];
    return at;
  };
  const join = (a: number, b: number): void => {
    names[Math.max(find(a), find(b))] = Math.min(find(a), find(b));
  };
  carriers.forEach(({ next, part }, index) => {
    if (next.kind === 'carrier') join(index, next.carrier);
    if (index > 0 && carriers[index - 1].part === part) join(index, index - 1);
  });
  for (const { pick, place } of arms) if (pick.kind === 'carrier' && place.kind === 'carrier') join(pick.carrier, place.carrier);
  return names.map((_, index) => find(index));
}

/** Gathers what a verdict depends on. */
class Relevance {
  readonly found = new Set<number>();
  private readonly network: Network;
  private readonly names: Int32Array;
  private readonly seen = new Set<number>();

  constructor(
    private readonly universe: Universe,
    private readonly state: MendState,
    private readonly standing: readonly number[],
  ) {
    this.network = deriveNetwork(layoutOf(universe, standing));
    this.names = networkNames(this.network);
  }

  private add(id: number): void {
    if (this.state.settled[id] === 0) this.found.add(id);
  }

  private addAbsent(ids: readonly number[]): void {
    for (const id of ids) if (this.state.stands[id] === 0) this.add(id);
  }

  addPart(part: number): void {
    this.add(this.standing[part]);
  }

  private numberOf(tile: Tile): number {
    return tileNumber(this.universe.map, tile);
  }

  /** What an arm could come to pick from, or to place on, on that tile. */
  private addEnds(tile: number): void {
    if (tile < 0) return;
    const { covering, placements } = this.universe;
    this.addAbsent(covering[tile].filter((id) => placements[id].part.kind !== 'arm'));
  }

  private addArm({ part, pick, place }: ArmLink): void {
    const arm = this.universe.placements[this.standing[part]].part;
    invariant(arm.kind === 'arm', 'an arm link names an arm', { part });
    // An arm that lacks an end does nothing until it has both, but at the track a wagon may come to stop.
    const lacks = (end: ArmLink['pick'], tile: Tile): boolean => {
      if (end.kind !== 'nothing') return false;
      this.addEnds(this.numberOf(tile));
      return !mayHoldWagon(tile);
    };
    const [noPick, noPlace] = [lacks(pick, pickTile(arm)), lacks(place, placeTile(arm))];
    if (noPick || noPlace) return;
    this.addPart(part);
    if (pick.kind === 'chest') this.addPart(pick.part);
    if (place.kind === 'chest') this.addPart(place.part);
  }

  /** All that the flows of a carrier's network depend on. */
  addNetworkOf(carrier: number): void {
    const name = this.names[carrier];
    if (this.seen.has(name)) return;
    this.seen.add(name);
    const { carriers, arms } = this.network;
    const { map, passingInto, taking, armsOnto, armsFrom } = this.universe;
    carriers.forEach(({ part, kind, tail, head, next }, index) => {
      if (this.names[index] !== name) return;
      this.addPart(part);
      const [tailTile, headTile] = [this.numberOf(tail), this.numberOf(head)];
      const { heading } = this.universe.placements[this.standing[part]];
      for (let way = 0; way < 4; way++) {
        if (way === heading || (kind === 'belt' && way !== back(heading))) this.addAbsent(passingInto[tailTile * 4 + way]);
      }
      const front = map.neighbour[headTile * 4 + heading];
      if (next.kind === 'nothing' && front >= 0) this.addAbsent(taking[front * 4 + heading]);
      for (const tile of new Set([tailTile, headTile])) {
        this.addAbsent(armsOnto[tile]);
        this.addAbsent(armsFrom[tile]);
      }
    });
    for (const link of arms) {
      if ([link.pick, link.place].some((end) => end.kind === 'carrier' && this.names[end.carrier] === name)) this.addArm(link);
    }
  }

  /** What decides whether a belt leads over an exit, and what it brings there. */
  addExit(exit: number): void {
    const { layout, leaving } = this.universe;
    const { carriers } = this.network;
    const leads = carriers.find(({ next }) => next.kind === 'exit' && next.exit === exit);
    if (leads !== undefined) {
      this.addNetworkOf(leads.index);
      return;
    }
    const { at, heading } = layout.exits[exit];
    this.addAbsent(leaving[this.numberOf(at) * 4 + HEADINGS.indexOf(heading)]);
  }

  addExits(): void {
    this.universe.layout.exits.forEach((_, exit) => {
      this.addExit(exit);
    });
  }

  /** A chest that is filled from a carrier: whether, and into which wagons, it is emptied. */
  private addFilledChest(part: number): void {
    for (const link of this.network.arms) if (link.pick.kind === 'chest' && link.pick.part === part) this.addArm(link);
    const [tile] = this.universe.placements[this.standing[part]].tiles;
    this.addAbsent(this.universe.armsFrom[tile]);
  }

  /** What decides what comes in over an entry, and what of it gets into which wagons. */
  addEntry(entry: number): void {
    const { layout, taking } = this.universe;
    const { carriers, arms } = this.network;
    const onto = carriers.find((carrier) => carrier.entry === entry);
    if (onto === undefined) {
      const { at, heading } = entriesOf(layout)[entry];
      this.addAbsent(taking[this.numberOf(at) * 4 + HEADINGS.indexOf(heading)]);
      return;
    }
    this.addNetworkOf(onto.index);
    const name = this.names[onto.index];
    for (const { pick, place } of arms) {
      if (pick.kind === 'carrier' && this.names[pick.carrier] === name && place.kind === 'chest') this.addFilledChest(place.part);
    }
  }

  /** Where no arm takes from a wagon, and chests keep up, all that gets into wagons has come in over entries. */
  addEntries(): void {
    entriesOf(this.universe.layout).forEach((_, entry) => {
      this.addEntry(entry);
    });
  }

  addNetworks(): void {
    this.network.carriers.forEach((_, index) => {
      this.addNetworkOf(index);
    });
  }

  /** What a chest gives and gets, and whether it is one that loads wagons. */
  addChest(part: number): void {
    const { armsOnto, armsFrom, placements } = this.universe;
    const id = this.standing[part];
    this.add(id);
    for (const link of this.network.arms) {
      const { pick, place } = link;
      if (![pick, place].some((end) => end.kind === 'chest' && end.part === part)) continue;
      this.addArm(link);
      for (const end of [pick, place]) if (end.kind === 'carrier') this.addNetworkOf(end.carrier);
    }
    const [tile] = placements[id].tiles;
    this.addAbsent(armsOnto[tile]);
    this.addAbsent(armsFrom[tile]);
  }

  /** The arm, and what it draws from and gives to; wagons stay. */
  addFeed(part: number): void {
    const arm = this.universe.placements[this.standing[part]].part;
    invariant(arm.kind === 'arm', 'what draws is an arm', { part });
    this.addPart(part);
    for (const tile of [pickTile(arm), placeTile(arm)]) {
      const occupant = tileNumber(this.universe.map, tile) < 0 ? -1 : this.state.occupant[this.numberOf(tile)];
      if (occupant >= 0) this.add(occupant);
    }
  }

  addEntryBelt(entry: number): void {
    const onto = this.network.carriers.find((carrier) => carrier.entry === entry);
    if (onto === undefined) this.addEntry(entry);
    else this.addPart(onto.part);
  }

  addExitBelt(exit: number): void {
    const leads = this.network.carriers.find(({ next }) => next.kind === 'exit' && next.exit === exit);
    if (leads === undefined) this.addExit(exit);
    else this.addPart(leads.part);
  }

  addStanding(): void {
    this.standing.forEach((id) => {
      this.add(id);
    });
  }

  addAll(): void {
    this.universe.placements.forEach((_, id) => {
      this.add(id);
    });
  }
}

/**
 * Placements that may still change and of which any layout that does not fall short in this way, and comes of the
 * same state, must have changed at least one.
 */
export function relevantTo(universe: Universe, state: MendState, standing: readonly number[], lack: Lack): readonly number[] {
  const relevance = new Relevance(universe, state, standing);
  switch (lack.kind) {
    case 'flow':
      relevance.addExit(lack.exit);
      break;
    case 'sum':
      relevance.addExits();
      break;
    case 'entry':
      relevance.addEntry(lack.entry);
      break;
    case 'wagons':
      relevance.addEntries();
      break;
    case 'supply':
      relevance.addChest(lack.part);
      break;
    case 'unproven':
      relevance.addExits();
      relevance.addEntries();
      relevance.addNetworks();
      break;
    case 'feed':
      relevance.addFeed(lack.part);
      break;
    case 'belt':
      relevance.addExitBelt(lack.exit);
      break;
    case 'entry-belt':
      relevance.addEntryBelt(lack.entry);
      break;
    case 'limit':
      // What goes through each chest and out of each wagon depends on all there is.
      if (lack.limit === 'imbalance' || lack.limit === 'trains') relevance.addAll();
      else relevance.addStanding();
      break;
  }
  return [...relevance.found];
}
