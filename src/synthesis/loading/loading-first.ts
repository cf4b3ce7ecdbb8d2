/**
 * Loading stations for a search that may be stopped before its end. One entry after the other, in any order, gets a way
 * drawn at random (`loading-ways.ts`), and so many more arms that what it asks is met; then arms are taken away, or cheaper
 * ones put in their places, as long as it still is. Of the best station so far, some ways are drawn anew, or changed as in
 * `loading-changes.ts`. Takes no part in any proof. Draws go by a fixed seed; how far they go is a matter of time.
 */
import { seededRandom } from '../../base/random.js';
import { tilesOf, type Part } from '../../layout/layout.js';
import { crewParts, type Delivery, type Pick } from './loading-arms.js';
import { areWhole, crewOf, getIn, partsByTile, shortened, stationOf, tilesOfWays, type Begun, type Crew, type Station } from './loading-begun.js';
import { knotted, someOf, withNewEnd } from './loading-changes.js';
import type { LoadingSite } from './loading-site.js';
import { drawWay, shuffled, type Draw, type Way } from './loading-ways.js';

const NONE: Begun = { ways: [], crew: { picks: [], chests: new Map() } };
/** Ways that are drawn for an entry before others are taken away: as long as there is no station, and then. */
const TRIES = 6;
const BETTER_TRIES = 2;
/** Arms that are added for one entry at most, as long as others are still to come. */
const MOST_ADDED = 8;
/** Of so many stations one is begun without anything of the best one, of those that are put together way by way. */
const ANEW_SHARE = 4;
/** Of so many changes of the best one, one is of each other kind. */
const CHANGES = 4;

/** At the same place, the cheapest first. */
const cheaper = <T extends Delivery | Pick>(of: readonly T[], { at, price }: T): readonly T[] => of.filter((each) => each.at === at && each.price < price).toSorted((a, b) => a.price - b.price);

/** Further arms wherever there is room, in any order, and what empties their chests. */
function furtherArms(site: LoadingSite, { ways, crew }: Begun, draw: Draw): Crew {
  const tiles = tilesOfWays(ways);
  const taken = new Set([...tiles, ...crewParts(crew.picks, crew.chests, site).flatMap(tilesOf).map(site.indexOf)]);
  const picks: Pick[] = [];
  const chests = new Map(crew.chests);
  const noneByChests = draw(2) === 0 && tiles.some((tile) => site.picks[tile].some(({ into }) => into < 0));
  for (const tile of shuffled(tiles, draw)) {
    for (const pick of shuffled(site.picks[tile], draw).toSorted((a, b) => b.through - a.through)) {
      if (taken.has(pick.at) || (noneByChests && pick.into >= 0)) continue;
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

interface FirstTools {
  /** Whether a station does what the brief asks of these entries, or of all. */
  readonly meets: (station: Station, entries: readonly number[]) => boolean;
  /** Whether one keeps to what the brief says of its parts. */
  readonly allows: (station: Station) => boolean;
  /** What the best station costs that anybody has found; Infinity for none. */
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
    const { site, tools } = this;
    for (;;) {
      yield;
      const begun = yield* this.begun();
      if (begun === undefined) continue;
      const found = yield* this.thinned(begun);
      const station = stationOf(site, found);
      const price = this.priceOf(station.parts);
      if (price > this.limit || !tools.allows(station)) continue;
      const isCheaper = price < this.limit;
      [this.best, this.bestPrice] = [found, price];
      if (isCheaper) yield station;
    }
  }

  /** One that may be thinned: near the best one, if there is one, or not. */
  private *begun(): Generator<undefined, Begun | undefined> {
    const { site, best, draw } = this;
    const change = best === undefined ? CHANGES : draw(CHANGES);
    if (best === undefined || change > 1) return yield* this.completed(best !== undefined && draw(ANEW_SHARE) > 0 ? someOf(best, draw) : NONE, draw(2) === 0);
    const changed = change === 0 ? knotted(site, best, draw) : withNewEnd(site, best, draw);
    return changed && (yield* this.grown(changed.begun, changed.way));
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
    const price = this.priceOf(stationOf(site, begun).parts);
    const taken = partsByTile(site, begun);
    for (let tries = this.best === undefined ? TRIES : BETTER_TRIES; tries > 0; tries--) {
      yield;
      const way = drawWay(site, entry, taken, mayJoin && draw(2) === 0, draw);
      // Few of the arms that stand there can be spared.
      if (way === undefined || price + this.leastOf(way) > this.limit) continue;
      const found = yield* this.grown({ ways: [...begun.ways, way], crew: begun.crew }, way);
      if (found !== undefined) return found;
    }
    return undefined;
  }

  /** With so many more arms that all is met which its entries ask; `way` is new. */
  private *grown(begun: Begun, way: Way): Generator<undefined, Begun | undefined> {
    const { picks, chests } = furtherArms(this.site, begun, this.draw);
    const isThere = ({ from }: Pick): boolean => way.steps.some(({ tile }) => tile === from);
    const isNeeded = way.into === undefined;
    if (isNeeded && !picks.some(isThere)) return undefined;
    const order = isNeeded ? [...picks.filter(isThere), ...picks.filter((pick) => !isThere(pick))] : picks;
    const most = this.isWhole(begun) ? order.length : Math.min(MOST_ADDED, order.length);
    for (let [count, more] = [isNeeded ? 1 : 0, 1]; ; count += more, more *= 2) {
      yield;
      const asked = { ways: begun.ways, crew: crewOf([...begun.crew.picks, ...order.slice(0, count)], chests) };
      if (this.isTooDear(asked)) return undefined;
      const found = this.checked(asked);
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
  private checked(begun: Begun): Begun | undefined {
    const { site, tools } = this;
    const along = shortened(begun);
    const { ways, crew } = along;
    if (this.isWhole(along) && crew.picks.reduce((sum, { flow }) => sum + flow, 0) < site.wanted) return undefined;
    return areWhole(site, along) && getIn(site, along) && tools.meets(stationOf(site, along), ways.map(({ entry }) => entry)) ? along : undefined;
  }

  /** Whether it would be so with an arm fewer, too. */
  private isTooDear(begun: Begun): boolean {
    return this.isWhole(begun) && this.priceOf(stationOf(this.site, shortened(begun)).parts) - this.leastArm > this.limit;
  }

  private isWhole({ ways }: Begun): boolean {
    return ways.length === this.site.job.entries.length;
  }

  /** What costs more is of no use; what costs as much as the best one may lead on to something cheaper. */
  private get limit(): number {
    return Math.min(this.bestPrice, this.tools.most());
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
