/**
 * One head for each exit out of a library (`station-heads.ts`), so that none is in another's way and all together cost
 * least: depth first, cheapest first, with what chests cost that several share counted once. Last stretches are laid
 * where heads leave room. What is found is handed out to be judged; that nothing cheaper is found proves nothing.
 */
import { boxHolds, sameTile, type Tile } from '../../base/geometry.js';
import { sumRational, type Rational } from '../../base/rational.js';
import type { Brief, ExitDemand } from '../../brief/brief.js';
import { layoutCost, partCount, tilesOf, type Part, type PlacedExit } from '../../layout/layout.js';
import { BLOCKED, CarrierNetwork, FREE } from '../carriers/carrier-network.js';
import { fillRate } from '../rates/rate-model.js';
import { liftsFrom, partsOf, type Store } from './shared-chests.js';
import { areAlike, headingOf, inCatalog, indexOfHeading, numberOf, placeOf, priceOf, siteMap, type SiteMap } from '../site/site-map.js';
import { headKey, reachesWagons, shiftedHead, storeKey, type Head } from './station-heads.js';
import { TailCosts, type Tail } from '../carriers/tail-costs.js';

/** A station without its chests: these are in `Packed.stores`. */
export interface PackedStation {
  readonly exit: number;
  readonly placed: PlacedExit;
  readonly parts: readonly Part[];
}

export interface Packed {
  readonly stations: readonly PackedStation[];
  readonly stores: readonly Store[];
  readonly price: number;
}

export interface Passes {
  /** Whether stations are not in each other's way, and meet the brief if they share chests. */
  readonly together: (packed: Packed) => boolean;
  /** Whether a station with all its chests meets its exit's part of the brief. */
  readonly alone: (station: PackedStation, stores: readonly Store[]) => boolean;
}

/** A set of tiles. */
type TileSet = Uint32Array;

interface SiteStore {
  readonly store: Store;
  readonly tiles: TileSet;
  readonly price: number;
  /** Items per tick that it gives at most. */
  readonly supply: number;
}

/** A head at one place, for one exit. */
interface Place {
  readonly head: Head;
  /** Of a mirror image: what it is known by. */
  readonly image: string | undefined;
  /** Of all but the stores, and where the last stretch begins. */
  readonly tiles: TileSet;
  readonly stores: readonly number[];
  /** Items per tick that it takes of each store, if its arms give alike. */
  readonly draws: readonly number[];
  /** Without its stores, the last stretch at its least. */
  readonly price: number;
  readonly storesPrice: number;
}

interface Found {
  readonly chosen: readonly (Place | undefined)[];
  readonly price: number;
}

/** What arms give differs from what they give on average; the simulator has the last word. */
const DRAW_TOLERANCE = 1.02;
/** Places that are looked at for one packing, and last stretches that are laid, before it is given up. */
const MOST_LOOKS = 2_000_000;
const MOST_LAID = 500;
/** Looks between two moments to look up. */
const LOOKS_A_TURN = 200_000;
const LAID_A_TURN = 10;
const MOST_JUDGED = 10;
/** Places of each exit, the cheapest. */
const MOST_PLACES = 6_000;

export class Packing {
  private readonly map: SiteMap;
  private readonly net: CarrierNetwork;
  private readonly tails: TailCosts;
  private readonly words: number;
  private readonly stores: SiteStore[] = [];
  private readonly storeIndex = new Map<string, number>();
  private places: readonly (readonly Place[])[] = [];
  private readonly leastStores: number;
  private readonly storePrice: number;
  private chosen: (Place | undefined)[] = [];
  private found: Found | undefined;
  private looks = 0;
  private laid = 0;
  private judged = 0;

  constructor(
    private readonly brief: Brief,
    /** Of each exit. */
    private readonly targets: readonly ExitDemand[],
    private readonly passes: Passes,
    /** Mirror images, whether they pass: by their key. It grows. */
    private readonly images: Map<string, boolean>,
  ) {
    this.map = siteMap(brief, priceOf(brief));
    this.net = new CarrierNetwork(this.map);
    this.tails = new TailCosts(this.map, this.net);
    this.words = Math.ceil(this.map.tiles / 32);
    const most = Math.max(0, ...this.map.arms.map((arm) => fillRate(arm).valueOf())) * brief.presence.valueOf();
    const flow = sumRational(targets.map(({ target }) => target.total)).valueOf();
    this.leastStores = most > 0 ? Math.ceil(flow / most - 1e-9) : 0;
    const cheapest = (models: readonly { readonly cost: number }[]): number => Math.min(...models.map(({ cost }) => cost));
    this.storePrice = this.map.chests.length > 0 ? cheapest(this.map.chests) + cheapest(this.map.arms) : 0;
  }

  /** Every place of the heads that serve each exit. */
  placeAll(heads: readonly (readonly Head[])[]): void {
    this.places = heads.map((own, e) => {
      this.measureEmpty(e);
      return own
        .flatMap((head) => this.placesOf(head, e))
        .sort((a, b) => a.price + a.storesPrice - b.price - b.storesPrice)
        .slice(0, MOST_PLACES)
        .sort((a, b) => a.price - b.price || a.storesPrice - b.storesPrice);
    });
  }

  /** Whether some exit has no place at all. */
  get isHopeless(): boolean {
    return this.places.some((own) => own.length === 0);
  }

  /**
   * Packings that cost less than `below`, each cheaper than the one before; undefined where there is a moment to look up.
   * `standing`: a head for each exit that are known to go together at that price, to begin with.
   */
  *run(below: number, standing: readonly Head[] | undefined): Generator<Packed | undefined, void> {
    const exits = this.targets.map((_, e) => e).sort((a, b) => this.places[a].length - this.places[b].length || a - b);
    const many = exits.length > 2;
    const places = standing?.flatMap((head, e) => this.placeAt(head, e) ?? []);
    // Of many exits a first packing is taken however dear, and then chosen anew pair by pair.
    this.found = many && places?.length === exits.length ? { chosen: places, price: below } : undefined;
    if (this.found === undefined) yield* this.offered(this.chooseFor(exits, exits.map(() => undefined), many ? Infinity : below), below);
    for (let gained = many; gained; ) {
      gained = false;
      for (const [n, a] of exits.entries()) {
        for (const b of exits.slice(n + 1)) {
          const before = this.lastFound();
          if (before === undefined) return;
          const others = before.chosen.map((place, e) => (e === a || e === b ? undefined : place));
          yield* this.offered(this.chooseFor([a, b], others, before.price), below);
          gained ||= this.lastFound() !== before;
        }
      }
    }
  }

  private lastFound(): Found | undefined {
    return this.found;
  }

  private *offered(all: Generator<Packed | undefined, unknown>, below: number): Generator<Packed | undefined, void> {
    for (let step = all.next(); step.done !== true; step = all.next()) yield step.value !== undefined && step.value.price < below ? step.value : undefined;
  }

  private *chooseFor(exits: readonly number[], others: readonly (Place | undefined)[], below: number): Generator<Packed | undefined, void> {
    this.looks = this.laid = this.judged = 0;
    this.chosen = [...others];
    const standing = others.filter((place) => place !== undefined);
    const price = standing.reduce((sum, place) => sum + place.price, 0);
    const stores = [...new Set(standing.flatMap((place) => place.stores))];
    yield* this.choose(exits, 0, { below, price, stores, from: 0 });
  }

  private readonly least = (e: number): number => this.places[e][0].price;

  private *choose(order: readonly number[], depth: number, state: { below: number; price: number; stores: readonly number[]; from: number }): Generator<Packed | undefined, number> {
    let { below } = state;
    if (depth === order.length) {
      const { judged } = this;
      const packed = this.lay(state.stores, below);
      if (packed === undefined) {
        // Chests that many exits share can take long to simulate.
        if (this.judged > judged) yield undefined;
        return below;
      }
      this.found = { chosen: [...this.chosen], price: packed.price };
      yield packed;
      return packed.price;
    }
    const e = order[depth];
    const places = this.places[e];
    const rest = order.slice(depth + 1).reduce((sum, other) => sum + this.least(other), 0);
    const before = depth === 0 ? -1 : order[depth - 1];
    const isAlike = before >= 0 && areAlike(this.targets[before], this.targets[e]);
    for (let i = isAlike ? state.from : 0; i < places.length; i++) {
      const place = places[i];
      const own = state.price + place.price;
      if (own + rest + Math.max(this.leastStores, state.stores.length) * this.storePrice >= below) break;
      if (++this.looks % LOOKS_A_TURN === 0) yield undefined;
      if (this.looks > MOST_LOOKS || this.laid > MOST_LAID || this.judged > MOST_JUDGED) return below;
      if (!this.isApart(place, state.stores)) continue;
      if (place.image !== undefined && this.images.get(place.image) === false) continue;
      const stores = [...new Set([...state.stores, ...place.stores])];
      if (own + rest + Math.max(this.leastStores * this.storePrice, this.priceOfStores(stores)) >= below) continue;
      if (stores.length < state.stores.length + place.stores.length && !this.keepUp(place, stores)) continue;
      this.chosen[e] = place;
      const laid = this.laid;
      below = yield* this.choose(order, depth + 1, { below, price: own, stores, from: i + 1 });
      this.chosen[e] = undefined;
      if (Math.floor(laid / LAID_A_TURN) < Math.floor(this.laid / LAID_A_TURN)) yield undefined;
    }
    return below;
  }

  private priceOfStores(stores: readonly number[]): number {
    return stores.reduce((sum, s) => sum + this.stores[s].price, 0);
  }

  private isApart(place: Place, stores: readonly number[]): boolean {
    for (const s of stores) {
      if (meet(place.tiles, this.stores[s].tiles)) return false;
      for (const t of place.stores) if (t !== s && meet(this.stores[t].tiles, this.stores[s].tiles)) return false;
    }
    for (const other of this.chosen) {
      if (other === undefined) continue;
      if (meet(place.tiles, other.tiles)) return false;
      for (const t of place.stores) if (meet(this.stores[t].tiles, other.tiles)) return false;
    }
    return true;
  }

  /** Whether stores give what is taken of them. */
  private keepUp(place: Place, stores: readonly number[]): boolean {
    return stores.every((s) => {
      let drawn = 0;
      for (const each of [place, ...this.chosen]) {
        const at = each?.stores.indexOf(s) ?? -1;
        drawn += each?.draws[at] ?? 0;
      }
      return drawn <= this.stores[s].supply * DRAW_TOLERANCE;
    });
  }

  // ---------------------------------------------------------------- places

  private setOf(tiles: readonly Tile[]): TileSet {
    const set = new Uint32Array(this.words);
    for (const tile of tiles) {
      const index = numberOf(this.map, tile);
      set[index >> 5] |= 1 << (index & 31);
    }
    return set;
  }

  private isFree({ x, y }: Tile): boolean {
    const { site } = this.brief;
    return x >= 0 && y >= 0 && x < site.width && y < site.depth && !site.keepOut.some((box) => boxHolds(box, { x, y }));
  }

  private placesOf(head: Head, e: number): readonly Place[] {
    if (head.isMirrored && this.images.get(headKey(head)) === false) return [];
    return Array.from({ length: this.brief.site.width }, (_, x) => this.placeAt(shiftedHead(head, x), e, head) ?? []).flat();
  }

  /** By what a way to the exit costs where `placeAll` has measured last, or measures now. */
  private placeAt(at: Head, e: number, head?: Head): Place | undefined {
    if (head === undefined) this.measureEmpty(e);
    const own = at.others.flatMap(tilesOf);
    const all = [...own, ...at.stores.flatMap(partsOf).flatMap(tilesOf)];
    if (!all.every((tile) => this.isFree(tile)) || !reachesWagons(this.brief, at)) return undefined;
    // Heads that end at the very edge would need an exit there.
    if (!this.isFree(at.front) || all.some((tile) => sameTile(tile, at.front))) return undefined;
    const tail = this.tails.at(numberOf(this.map, at.front), indexOfHeading(at.heading));
    if (tail === Infinity) return undefined;
    const stores = at.stores.map((store) => this.storeOf(store));
    const loads = at.stores.map((store) => liftsFrom(at.others, store));
    const flow = this.targets[e].target.total.valueOf() / Math.max(1, loads.reduce((sum, n) => sum + n, 0));
    return {
      head: at,
      image: head?.isMirrored === true ? headKey(head) : undefined,
      tiles: this.setOf([...own, at.front]),
      stores,
      draws: loads.map((n) => n * flow),
      price: this.priceOf(at.others) + tail,
      storesPrice: this.priceOfStores(stores),
    };
  }

  private measureEmpty(e: number): void {
    this.clearTiles();
    this.tails.measure(this.tailOf(e));
  }

  private storeOf(store: Store): number {
    const key = storeKey(store);
    const known = this.storeIndex.get(key);
    if (known !== undefined) return known;
    const parts = partsOf(store);
    const supply = sumRational(store.fills.map(({ model }): Rational => fillRate(model))).mul(this.brief.presence);
    this.stores.push({ store, tiles: this.setOf(parts.flatMap(tilesOf)), price: this.priceOf(parts), supply: supply.valueOf() });
    this.storeIndex.set(key, this.stores.length - 1);
    return this.stores.length - 1;
  }

  private priceOf(parts: readonly Part[]): number {
    const layout = { ...this.brief, parts, exits: [] };
    return priceOf(this.brief) === 'cost' ? layoutCost(layout) : partCount(layout);
  }

  // ---------------------------------------------------------------- last stretches

  private clearTiles(): void {
    this.net.occupant.set(this.map.keepOut.map((kept) => (kept === 1 ? BLOCKED : FREE)));
  }

  private block(tiles: readonly Tile[]): void {
    for (const tile of tiles) if (this.isFree(tile)) this.net.occupant[numberOf(this.map, tile)] = BLOCKED;
  }

  /** Of carriers of the exit's own speed. */
  private tailOf(exit: number): Tail {
    const { map } = this;
    const { speed } = map.belts[map.exitBelt[exit]];
    return {
      exit,
      belts: map.bodyBelts.filter((b) => map.belts[b].speed === speed),
      underpasses: map.underpasses.flatMap((model, m) => (model.speed === speed ? [m] : [])),
    };
  }

  /** What was chosen with last stretches, laid one after the other; each head's is the first once. Undefined where there is no room for less than `below`. */
  private lay(storeIndices: readonly number[], below: number): Packed | undefined {
    this.laid++;
    const stores = storeIndices.map((s) => this.stores[s].store);
    const heads = this.chosen.flatMap((place) => (place === undefined ? [] : [place.head]));
    const least = this.chosen.reduce((sum, place) => sum + (place?.price ?? 0), this.priceOfStores(storeIndices));
    let cheapest: Packed | undefined;
    for (let first = 0; first < heads.length; first++) {
      this.clearTiles();
      this.block([...stores.flatMap(partsOf), ...heads.flatMap(({ others }) => others)].flatMap(tilesOf));
      this.block(heads.map(({ front }) => front));
      const stations: PackedStation[] = [];
      for (let n = 0; n < heads.length; n++) {
        const exit = (first + n) % heads.length;
        const { others, front, heading } = heads[exit];
        this.net.occupant[numberOf(this.map, front)] = FREE;
        const laid = this.layTail(exit, numberOf(this.map, front), indexOfHeading(heading));
        if (laid === undefined) break;
        this.block(laid.parts.flatMap(tilesOf));
        stations.push({ exit, placed: laid.placed, parts: [...others, ...laid.parts] });
      }
      if (stations.length < heads.length) continue;
      const price = this.priceOf([...stations.flatMap(({ parts }) => parts), ...stores.flatMap(partsOf)]);
      if (price < (cheapest?.price ?? below)) cheapest = { stations, stores, price };
      // None is any longer than it would be on a site of its own.
      if (price === least) break;
    }
    if (cheapest === undefined) return undefined;
    this.judged++;
    return this.imagesPass(cheapest) && this.passes.together(cheapest) ? cheapest : undefined;
  }

  private imagesPass({ stations }: Packed): boolean {
    return stations.every((station) => {
      const place = this.chosen[station.exit];
      if (place?.image === undefined) return true;
      const known = this.images.get(place.image);
      if (known !== undefined) return known;
      const passes = this.passes.alone(station, place.head.stores);
      this.images.set(place.image, passes);
      return passes;
    });
  }

  /** One of the cheapest ways to the exit, the straightest first. */
  private layTail(exit: number, from: number, entered: number): { readonly parts: readonly Part[]; readonly placed: PlacedExit } | undefined {
    const { map, net, tails } = this;
    const tail = this.tailOf(exit);
    tails.measure(tail);
    const parts: Part[] = [];
    const at = (tile: number): Tile => placeOf(map, tile);
    const cheapest = map.belts[tail.belts[0]];
    const bodyBelt = inCatalog(this.brief.catalog.belts, cheapest);
    let place = from;
    let heading = entered;
    for (;;) {
      const left = tails.at(place, heading);
      if (left === Infinity || net.occupant[place] !== FREE) return undefined;
      net.occupant[place] = BLOCKED;
      const ways = [heading, (heading + 1) & 3, (heading + 3) & 3];
      const leaves = ways.find((way) => (map.exitsAt[place * 4 + way] & (1 << exit)) !== 0 && map.belts[map.exitBelt[exit]].cost === left);
      if (leaves !== undefined) {
        parts.push({ kind: 'belt', at: at(place), heading: headingOf(leaves), model: this.brief.exits[exit].belt });
        return { parts, placed: { at: at(place), heading: headingOf(leaves), take: undefined } };
      }
      const way = ways.find((w) => {
        const front = map.neighbour[place * 4 + w];
        return front >= 0 && net.occupant[front] === FREE && tails.at(front, w) === left - cheapest.cost;
      });
      if (way !== undefined) {
        parts.push({ kind: 'belt', at: at(place), heading: headingOf(way), model: bodyBelt });
        place = map.neighbour[place * 4 + way];
        heading = way;
        continue;
      }
      const under = this.underpassFrom(place, heading, left, tail);
      if (under === undefined) return undefined;
      net.occupant[under.end] = BLOCKED;
      parts.push({ kind: 'underpass', from: at(place), to: at(under.end), model: inCatalog(this.brief.catalog.underpasses, under.model) });
      place = map.neighbour[under.end * 4 + heading];
    }
  }

  private underpassFrom(place: number, heading: number, left: number, { underpasses }: Tail): { readonly end: number; readonly model: SiteMap['underpasses'][number] } | undefined {
    const { map, net, tails } = this;
    let end = place;
    for (let apart = 1; apart <= map.longestSpan; apart++) {
      end = map.neighbour[end * 4 + heading];
      if (end < 0) return undefined;
      const front = map.neighbour[end * 4 + heading];
      if (front < 0) return undefined;
      if (net.occupant[end] !== FREE || net.occupant[front] !== FREE) continue;
      const model = underpasses.map((m) => map.underpasses[m]).find(({ span, cost }) => span >= apart && tails.at(front, heading) === left - 2 * cost);
      if (model !== undefined) return { end, model };
    }
    return undefined;
  }
}

function meet(a: TileSet, b: TileSet): boolean {
  for (let word = 0; word < a.length; word++) if ((a[word] & b[word]) !== 0) return true;
  return false;
}
