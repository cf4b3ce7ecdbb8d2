/**
 * Loading stations for a search that may be stopped before its end. One entry after the other, in any order, gets a way
 * drawn at random (`loading-ways.ts`), and so many more arms that what it asks is met; then arms are taken away, or cheaper
 * ones put in their places, as long as it still is. Of the best station so far, some ways are drawn anew. Takes no part in
 * any proof. Draws go by a fixed seed; how far they go is a matter of time.
 */
import { seededRandom } from '../../base/random.js';
import { tilesOf, type Part, type PlacedEntry } from '../../layout/layout.js';
import { crewParts, type Delivery, type Pick } from './loading-arms.js';
import type { LoadingSite } from './loading-site.js';
import { endNowhere } from './loading-trees.js';
import { beltsOf, drawWay, type Draw, type Way } from './loading-ways.js';

export interface Station {
  readonly parts: readonly Part[];
  readonly entries: readonly PlacedEntry[];
}

/** Arms that pick from carriers, and by the tile of each chest that they fill, what empties it. */
interface Crew {
  readonly picks: readonly Pick[];
  readonly chests: ReadonlyMap<number, Delivery>;
}

/** What serves some of the entries. */
interface Begun {
  readonly ways: readonly Way[];
  readonly crew: Crew;
}

const NONE: Begun = { ways: [], crew: { picks: [], chests: new Map() } };
/** Ways that are drawn for an entry before others are taken away: as long as there is no station, and then. */
const TRIES = 6;
const BETTER_TRIES = 2;
/** Arms that are added for one entry at most, as long as others are still to come. */
const MOST_ADDED = 8;
/** Of so many stations one is begun without anything of the best one. */
const ANEW_SHARE = 4;

function shuffled<T>(of: readonly T[], draw: Draw): readonly T[] {
  const order = [...of];
  for (let index = order.length - 1; index > 0; index--) {
    const other = draw(index + 1);
    [order[index], order[other]] = [order[other], order[index]];
  }
  return order;
}

const tilesOfWays = (ways: readonly Way[]): readonly number[] => ways.flatMap(({ steps }) => steps.map(({ tile }) => tile));

/** At the same place, the cheapest first. */
const cheaper = <T extends Delivery | Pick>(of: readonly T[], { at, price }: T): readonly T[] => of.filter((each) => each.at === at && each.price < price).toSorted((a, b) => a.price - b.price);

/** These arms alone, and the chests that they fill. */
const crewOf = (picks: readonly Pick[], chests: Crew['chests']): Crew => ({ picks, chests: new Map([...chests].filter(([tile]) => picks.some(({ into }) => into === tile))) });

/** Further arms wherever there is room, in any order, and what empties their chests. */
function furtherArms(site: LoadingSite, { ways, crew }: Begun, draw: Draw): Crew {
  const tiles = tilesOfWays(ways);
  const taken = new Set([...tiles, ...crewParts(crew.picks, crew.chests, site).flatMap(tilesOf).map(site.indexOf)]);
  const picks: Pick[] = [];
  const chests = new Map(crew.chests);
  for (const tile of shuffled(tiles, draw)) {
    for (const pick of shuffled(site.picks[tile], draw).toSorted((a, b) => b.through - a.through)) {
      if (taken.has(pick.at)) continue;
      if (pick.into >= 0 && !chests.has(pick.into)) {
        const delivery = site.deliveries[pick.into].toSorted((a, b) => b.flow - a.flow).find(({ at }) => !taken.has(at) && at !== pick.at && at !== pick.into);
        if (taken.has(pick.into) || delivery === undefined) continue;
        chests.set(pick.into, delivery);
        taken.add(pick.into).add(delivery.at);
      }
      picks.push(pick);
      taken.add(pick.at);
    }
  }
  return { picks, chests };
}

/** Without its end, as far as nothing is picked from there; whole if it joins another one. */
function shortened(way: Way, picks: readonly Pick[]): Way {
  if (way.into !== undefined) return way;
  const length = way.steps.findLastIndex(({ tile }) => picks.some(({ from }) => from === tile)) + 1;
  return { ...way, steps: way.steps.slice(0, length) };
}

/** Whether ways that lead nowhere end at a tile from which an arm picks, and the others lead to one of them. */
function areWhole(site: LoadingSite, ways: readonly Way[]): boolean {
  if (ways.some(({ steps }) => steps.length === 0)) return false;
  const tiles = new Set(tilesOfWays(ways));
  const ends = ways.flatMap(({ into, steps }) => (into === undefined ? steps.slice(-1) : [])).map(({ tile, heading }) => ({ at: site.tileAt(tile), heading }));
  return ways.every(({ into }) => into === undefined || tiles.has(into)) && endNowhere(ends, ways.flatMap((way) => beltsOf(site, way)));
}

function stationOf(site: LoadingSite, { ways, crew }: Begun): Station {
  const inOrder = ways.toSorted((a, b) => a.entry - b.entry);
  return { parts: [...inOrder.flatMap((way) => beltsOf(site, way)), ...crewParts(crew.picks, crew.chests, site)], entries: inOrder.map(({ place }) => place) };
}

/** All but one or two of its ways, and but those that led into these; with the arms that still pick from some. */
function someOf({ ways, crew }: Begun, draw: Draw): Begun {
  let stay = shuffled(ways, draw).slice(1 + draw(2));
  for (let count = -1; count !== stay.length; ) {
    count = stay.length;
    const tiles = new Set(tilesOfWays(stay));
    stay = stay.filter(({ into }) => into === undefined || tiles.has(into));
  }
  const tiles = new Set(tilesOfWays(stay));
  return { ways: stay, crew: crewOf(crew.picks.filter(({ from }) => tiles.has(from)), crew.chests) };
}

interface FirstTools {
  /** Whether a station does what the brief asks of these entries, or of all. */
  readonly meets: (station: Station, entries: readonly number[]) => boolean;
  /** Whether one keeps to what the brief says of its parts. */
  readonly allows: (station: Station) => boolean;
  /** Stations at that price and above are of no use. */
  readonly most: () => number;
}

export class FirstLoadings {
  private readonly draw: Draw;
  private readonly leastArm: number;
  private best: Begun | undefined;
  private bestPrice = Infinity;

  constructor(
    private readonly site: LoadingSite,
    private readonly tools: FirstTools,
    seed: number,
  ) {
    this.draw = seededRandom(seed);
    this.leastArm = Math.min(...site.picks.flat().map(({ price }) => price), Infinity);
  }

  /** Ever better ones, without an end. Yields undefined now and then, so that others may have their turn. */
  *all(): Generator<Station | undefined, never> {
    const { site, draw, tools } = this;
    for (;;) {
      yield;
      const begun = yield* this.completed(this.best !== undefined && draw(ANEW_SHARE) > 0 ? someOf(this.best, draw) : NONE, draw(2) === 0);
      if (begun === undefined) continue;
      const found = yield* this.thinned(begun);
      const station = stationOf(site, found);
      const price = this.priceOf(station.parts);
      if (price >= this.bestPrice || !tools.allows(station)) continue;
      [this.best, this.bestPrice] = [found, price];
      if (price < tools.most()) yield station;
    }
  }

  /** With ways for all entries. As long as there is no station, one that finds no way has some of the others taken away. */
  private *completed(from: Begun, mayJoin: boolean): Generator<undefined, Begun | undefined> {
    const { site, draw } = this;
    const { entries } = site.job;
    let begun = from;
    for (let setbacks = 0; begun.ways.length < entries.length; ) {
      const others = [...entries.keys()].filter((entry) => !begun.ways.some((way) => way.entry === entry));
      const more = yield* this.served(begun, others[draw(others.length)], mayJoin);
      if (more === undefined && (this.best !== undefined || ++setbacks > 2 * entries.length)) return undefined;
      begun = more ?? someOf(begun, draw);
    }
    return begun;
  }

  /** With a way for one more entry. */
  private *served(begun: Begun, entry: number, mayJoin: boolean): Generator<undefined, Begun | undefined> {
    const { site, draw } = this;
    const { parts } = stationOf(site, begun);
    const price = this.priceOf(parts);
    const taken = new Map(parts.flatMap((part) => tilesOf(part).map((tile) => [site.indexOf(tile), part] as const)));
    for (let tries = this.best === undefined ? TRIES : BETTER_TRIES; tries > 0; tries--) {
      yield;
      const way = drawWay(site, entry, taken, mayJoin && draw(2) === 0, draw);
      // Few of the arms that stand there can be spared.
      if (way === undefined || price + this.leastOf(way) >= Math.min(this.bestPrice, this.tools.most())) continue;
      const found = yield* this.grown({ ways: [...begun.ways, way], crew: begun.crew }, way);
      if (found !== undefined) return found;
    }
    return undefined;
  }

  /** With so many more arms that all is met which its entries ask; its last way is new. */
  private *grown(begun: Begun, way: Way): Generator<undefined, Begun | undefined> {
    const { picks, chests } = furtherArms(this.site, begun, this.draw);
    const isThere = ({ from }: Pick): boolean => way.steps.some(({ tile }) => tile === from);
    const isNeeded = way.into === undefined;
    if (isNeeded && !picks.some(isThere)) return undefined;
    const order = isNeeded ? [...picks.filter(isThere), ...picks.filter((pick) => !isThere(pick))] : picks;
    const most = this.isWhole(begun) ? order.length : Math.min(MOST_ADDED, order.length);
    for (let [count, more] = [isNeeded ? 1 : 0, 1]; ; count += more, more *= 2) {
      yield;
      const found = this.checked({ ways: begun.ways, crew: crewOf([...begun.crew.picks, ...order.slice(0, count)], chests) });
      if (found !== undefined || count >= most) return found;
    }
  }

  /** With fewer arms, and with cheaper ones, as long as that does. */
  private *thinned(begun: Begun): Generator<undefined, Begun> {
    const { site, draw } = this;
    let least = begun;
    const isEnough = (crew: Crew): boolean => {
      const found = this.checked({ ways: begun.ways, crew });
      least = found ?? least;
      return found !== undefined;
    };
    for (const pick of shuffled(begun.crew.picks, draw)) {
      yield;
      isEnough(crewOf(least.crew.picks.filter((other) => other !== pick), least.crew.chests));
    }
    for (const [index, pick] of least.crew.picks.entries()) {
      for (const other of cheaper(site.picks[pick.from], pick).filter(({ heading, into }) => heading === pick.heading && into === pick.into)) {
        yield;
        if (isEnough({ ...least.crew, picks: least.crew.picks.with(index, other) })) break;
      }
    }
    for (const [tile, delivery] of least.crew.chests) {
      for (const other of cheaper(site.deliveries[tile], delivery)) {
        yield;
        if (isEnough({ ...least.crew, chests: new Map(least.crew.chests).set(tile, other) })) break;
      }
    }
    return least;
  }

  /** Its ways as far as arms need them; undefined where it does not do. */
  private checked({ ways, crew }: Begun): Begun | undefined {
    const { site, tools } = this;
    const along = { ways: ways.map((way) => shortened(way, crew.picks)), crew };
    if (this.isWhole(along) && crew.picks.reduce((sum, { flow }) => sum + flow, 0) < site.wanted) return undefined;
    return areWhole(site, along.ways) && tools.meets(stationOf(site, along), along.ways.map(({ entry }) => entry)) ? along : undefined;
  }

  private isWhole({ ways }: Begun): boolean {
    return ways.length === this.site.job.entries.length;
  }

  private priceOf(parts: readonly Part[]): number {
    return parts.reduce((sum, { model }) => sum + this.site.priceOf(model), 0);
  }

  /** What will be left of a way at least, and an arm if it leads nowhere. */
  private leastOf({ entry, into, steps }: Way): number {
    const { site, leastArm } = this;
    const belt = site.priceOf(site.job.entries[entry].belt);
    return into === undefined ? (1 + steps.findIndex(({ tile }) => site.picks[tile].length > 0)) * belt + leastArm : steps.length * belt;
  }
}
