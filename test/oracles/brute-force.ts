/**
 * Every legal plan of a tiny site, up to a stated cost, one after the other: a test oracle for `src/synthesis`, of
 * which it imports nothing. Chests and arms are chosen first, then every network of carriers that is connected to an
 * exit is grown from the exits, port by port, each network once. A caller simulates what comes out.
 *
 * It holds what the product's stated space leaves out: carriers that carry nothing but turn a turn into a tee merge,
 * blind stubs, rings, splitters that favour a side, arms that take items off a carrier again. What is left out, and why it
 * can't matter, stands at `Growth.matters`, `crews` and `mayReach`.
 */
import {
  HEADINGS,
  backOf,
  boxHolds,
  dx,
  dy,
  leftOf,
  rightHalfOf,
  rightOf,
  type Heading,
  type Tile,
} from '../../src/base/geometry.js';
import { ratio, ZERO, type Rational } from '../../src/base/rational.js';
import type { Brief, ExitDemand } from '../../src/brief/brief.js';
import type { ArmModel, SplitterModel } from '../../src/catalog/catalog.js';
import {
  costOf,
  underpassHeading,
  wagonAt,
  type Layout,
  type Part,
  type PlacedArm,
  type PlacedExit,
  type Side,
} from '../../src/layout/layout.js';
import { deriveNetwork, type Network } from '../../src/layout/network.js';

export interface Enumeration {
  /** Whether the work limit was reached before the last plan. */
  readonly complete: boolean;
  readonly crews: number;
  /** Arms chosen and ports decided. */
  readonly steps: number;
  readonly plans: number;
}

export interface EnumerationLimits {
  readonly mostCost: number;
  /** Arms chosen and ports decided: a measure of work that is the same on every machine. */
  readonly mostSteps: number;
}

/** Least that leaves by an exit: the total, or what the lanes ask for together. */
const totalOf = ({ target }: ExitDemand): Rational => {
  const lanes = target.left.add(target.right);
  return lanes.compare(target.total) > 0 ? lanes : target.total;
};

/** A whole hand takes at least this many ticks, wherever it goes (world rules, timeline of an arm). */
const cycleTicks = (arm: ArmModel, lastItemAfter: number): number => arm.grabTicks + 2 * arm.swingTicks + 1 + lastItemAfter;
const fillRate = (arm: ArmModel): Rational => ratio(arm.payload, cycleTicks(arm, 0));
const mostLoadRate = (arm: ArmModel): Rational =>
  ratio(arm.payload, cycleTicks(arm, (arm.payload - 1) * arm.releaseTicks));

// ---------------------------------------------------------------------------------------------------------- ground

class Ground {
  readonly width: number;
  readonly depth: number;
  /** The least y; with a north side, tiles are counted from there on, through the track. */
  readonly top: number;
  readonly tiles: number;
  /** Tiles on which something may stand. */
  readonly open: readonly boolean[];

  constructor(readonly brief: Brief) {
    const { width, depth, north = 0, track, keepOut } = brief.site;
    this.width = width;
    this.depth = depth;
    this.top = north > 0 ? -2 - north : 0;
    this.tiles = width * (depth - this.top);
    this.open = Array.from({ length: this.tiles }, (_, tile) => {
      const { x, y } = this.at(tile);
      const isTrack = (y === -1 || y === -2) && !(track?.from !== undefined && x < track.from) && !(track?.to !== undefined && x > track.to);
      return !isTrack && !keepOut.some((box) => boxHolds(box, { x, y }));
    });
  }

  at(tile: number): Tile {
    return { x: tile % this.width, y: this.top + Math.floor(tile / this.width) };
  }

  /** -1 outside. */
  index({ x, y }: Tile): number {
    return x < 0 || y < this.top || x >= this.width || y >= this.depth ? -1 : (y - this.top) * this.width + x;
  }

  step(tile: number, heading: Heading, tiles = 1): Tile {
    const { x, y } = this.at(tile);
    return { x: x + dx(heading) * tiles, y: y + dy(heading) * tiles };
  }

  next(tile: number, heading: Heading, tiles = 1): number {
    return this.index(this.step(tile, heading, tiles));
  }
}

// ----------------------------------------------------------------------------------------------------------- crews

/** Chests and arms; tile sets as bits. */
interface Crew {
  readonly parts: readonly Part[];
  readonly cost: number;
  readonly tiles: number;
  /** Tiles on which a carrier must stand, for an arm places on it or picks from it. */
  readonly served: number;
  /** Tiles on which an arm places. */
  readonly dropped: number;
}

interface CrewArm {
  readonly part: PlacedArm;
  readonly tile: number;
  readonly role: 'fill' | 'load' | 'drain';
  /** Index of the chest that it fills or draws from, -1: the wagon. */
  readonly chest: number;
  /** The carrier's tile, -1 for a fill. */
  readonly served: number;
}

/**
 * Left out, since none of it can make a plan meet a brief:
 * - arms with nothing to pick from or to place on, and chests or arms that no other part has to do with: idle
 *   (with staggered starts they change what the stagger of another arm is drawn as: a matter of luck, not of plans);
 * - arms from chest to chest or from chest to wagon: they add to a chest's outflow, and what is brought by an arm that
 *   does not draw from a wagon does not count as supply;
 * - arms onto carriers from carriers, or from what the brief's `feed` does not allow: the brief forbids them;
 * - chest models but the cheapest: in a steady run they differ by price alone;
 * - chests that no arm can fill from a wagon, and crews with more chests than the money left can fill and empty;
 * - crews whose arms, even onto an endless free lane, or whose chests' supply, can't bring as much as all targets ask.
 */
function* crews(ground: Ground, budget: number, countStep: () => void): Generator<Crew, void> {
  const { brief } = ground;
  const { catalog } = brief;
  const asked = brief.exits.map(totalOf).reduce((sum, rate) => sum.add(rate), ZERO);
  const wanted = brief.together !== undefined && brief.together.compare(asked) > 0 ? brief.together : asked;
  const [chestModel] = [...catalog.chests].sort((a, b) => a.cost - b.cost);
  const mayStand = Array.from({ length: ground.tiles }, (_, tile) => tile).filter((tile) => ground.open[tile]);
  // Wherever the wagons may stop.
  const offsets = Array.from({ length: 2 * brief.spotting + 1 }, (_, place) => place - brief.spotting);
  const onWagon = ({ x, y }: Tile): boolean => offsets.some((offset) => wagonAt(brief.wagons, { x: x - offset, y }) !== undefined);

  const armsFor = (chests: readonly number[]): readonly CrewArm[] =>
    mayStand.flatMap((tile): readonly CrewArm[] => {
      if (chests.includes(tile)) return [];
      return catalog.arms.flatMap((model) =>
        HEADINGS.flatMap((heading): readonly CrewArm[] => {
          const part: PlacedArm = { kind: 'arm', at: ground.at(tile), heading, model };
          const from = ground.step(tile, backOf(heading), model.reach);
          const onto = ground.step(tile, heading, model.reach);
          const fromTile = ground.index(from);
          const ontoTile = ground.index(onto);
          const found: CrewArm[] = [];
          const ontoChest = chests.indexOf(ontoTile);
          const fromChest = chests.indexOf(fromTile);
          const ontoFree = ontoTile >= 0 && ground.open[ontoTile] && ontoChest < 0;
          const fromFree = fromTile >= 0 && ground.open[fromTile] && fromChest < 0;
          if (onWagon(from) && ontoChest >= 0) found.push({ part, tile, role: 'fill', chest: ontoChest, served: -1 });
          if (onWagon(from) && ontoFree && brief.feed !== 'chests') {
            found.push({ part, tile, role: 'load', chest: -1, served: ontoTile });
          }
          if (fromChest >= 0 && ontoFree) found.push({ part, tile, role: 'load', chest: fromChest, served: ontoTile });
          if (fromFree && (ontoChest >= 0 || onWagon(onto))) {
            found.push({ part, tile, role: 'drain', chest: -1, served: fromTile });
          }
          return found;
        }),
      );
    });

  function* withArms(chests: readonly number[], left: number): Generator<Crew, void> {
    const pool = armsFor(chests);
    const chosen: CrewArm[] = [];
    let taken = chests.reduce((bits, tile) => bits | (1 << tile), 0);
    let served = 0;
    function* choose(from: number, money: number): Generator<Crew, void> {
      countStep();
      const crew = crewOf(chests, chosen, budget - money);
      if (crew !== undefined) yield crew;
      for (let i = from; i < pool.length; i++) {
        const arm = pool[i];
        const bit = 1 << arm.tile;
        const servedBit = arm.served < 0 ? 0 : 1 << arm.served;
        if (arm.part.model.cost > money || (taken & (bit | servedBit)) !== 0 || (served & bit) !== 0) continue;
        const servedBefore = served;
        chosen.push(arm);
        taken |= bit;
        served |= servedBit;
        yield* choose(i + 1, money - arm.part.model.cost);
        chosen.pop();
        taken &= ~bit;
        served = servedBefore;
      }
    }
    yield* choose(0, left);
  }

  const crewOf = (chests: readonly number[], arms: readonly CrewArm[], cost: number): Crew | undefined => {
    const loads = arms.filter((arm) => arm.role === 'load');
    const loadsOf = (chest: number): readonly CrewArm[] => loads.filter((arm) => arm.chest === chest);
    const fillsOf = (chest: number): readonly CrewArm[] => arms.filter((arm) => arm.role === 'fill' && arm.chest === chest);
    const rateOf = (some: readonly CrewArm[], rate: (arm: ArmModel) => Rational): Rational =>
      some.reduce((sum, arm) => sum.add(rate(arm.part.model)), ZERO);
    let brought = rateOf(loadsOf(-1), mostLoadRate);
    for (let chest = 0; chest < chests.length; chest++) {
      const fills = fillsOf(chest);
      const emptied = loadsOf(chest);
      if (fills.length === 0 || emptied.length === 0) return undefined;
      const supply = rateOf(fills, fillRate).mul(brief.presence);
      const drawn = rateOf(emptied, mostLoadRate);
      brought = brought.add(supply.compare(drawn) < 0 ? supply : drawn);
    }
    if (loads.length === 0 || brought.compare(wanted) < 0) return undefined;
    const bits = (tiles: readonly number[]): number => tiles.reduce((sum, tile) => sum | (1 << tile), 0);
    return {
      parts: [
        ...chests.flatMap((tile): Part[] => (chestModel === undefined ? [] : [{ kind: 'chest', at: ground.at(tile), model: chestModel }])),
        ...arms.map(({ part }) => part),
      ],
      cost,
      tiles: bits([...chests, ...arms.map(({ tile }) => tile)]),
      served: bits(arms.flatMap(({ served }) => (served < 0 ? [] : [served]))),
      dropped: bits(loads.map(({ served }) => served)),
    };
  };

  const cheapestArm = Math.min(...catalog.arms.map((model) => model.cost));
  const fillable = mayStand.filter((tile) =>
    catalog.arms.some(({ reach }) =>
      HEADINGS.some((heading) => {
        const arm = ground.next(tile, backOf(heading), reach);
        return arm >= 0 && ground.open[arm] && onWagon(ground.step(tile, backOf(heading), 2 * reach));
      }),
    ),
  );
  function* withChests(from: number, chests: readonly number[], left: number): Generator<Crew, void> {
    if (left < 2 * cheapestArm * chests.length) return;
    yield* withArms(chests, left);
    if (chestModel === undefined || brief.feed === 'direct') return;
    for (let i = from; i < fillable.length; i++) {
      yield* withChests(i + 1, [...chests, fillable[i]], left - chestModel.cost);
    }
  }
  yield* withChests(0, [], budget);
}

// -------------------------------------------------------------------------------------------------------- networks

/** A place at which a carrier may pass items to another one, as seen from one of the two. */
interface Port {
  /** `in`: a carrier on `tile` would feed along `heading`; `out`: one on `tile` would take what comes along `heading`. */
  readonly kind: 'in' | 'out';
  readonly tile: number;
  readonly heading: number;
}

interface Stood {
  readonly part: Part;
  readonly tiles: readonly number[];
  /** Tile * 4 + heading, for each tile where items leave. */
  readonly leaves: readonly number[];
  /** Tile * 4 + heading, for each way in which items are taken. */
  readonly takes: readonly number[];
}

const turnsOf = (heading: Heading): number => HEADINGS.indexOf(heading);

function splitterVariants(model: SplitterModel, favours: boolean): readonly { favourIn?: Side; favourOut?: Side }[] {
  if (!model.favour || !favours) return [{}];
  const sides = [undefined, 'left', 'right'] as const;
  return sides.flatMap((favourIn) =>
    sides.map((favourOut) => ({
      ...(favourIn === undefined ? {} : { favourIn }),
      ...(favourOut === undefined ? {} : { favourOut }),
    })),
  );
}

/** All parts that carry items, by where they would be linked; made once a site. */
class Stock {
  /** [tile * 4 + heading]: parts that pass items from `tile` along `heading`. */
  readonly leaving: readonly (readonly Stood[])[];
  /** [tile * 4 + heading]: parts that take on `tile` what comes along `heading`. */
  readonly taking: readonly (readonly Stood[])[];
  readonly exitBelts: readonly (readonly { readonly stood: Stood; readonly exit: PlacedExit }[])[];
  /** Least cost of a part for each tile that it brings a chain of carriers further. */
  readonly costPerTile: number;
  readonly leastPerServed: number;

  constructor(ground: Ground, favours: boolean) {
    const { brief } = ground;
    const { catalog } = brief;
    const leaving: Stood[][] = Array.from({ length: ground.tiles * 4 }, () => []);
    const taking: Stood[][] = Array.from({ length: ground.tiles * 4 }, () => []);
    const add = (part: Part, tiles: readonly number[], heading: Heading, tails: readonly number[], heads: readonly number[]): void => {
      if (tiles.some((tile) => tile < 0 || !ground.open[tile])) return;
      const ways = part.kind === 'belt' ? HEADINGS.filter((way) => way !== backOf(heading)) : [heading];
      const stood: Stood = {
        part,
        tiles,
        leaves: heads.map((tile) => tile * 4 + turnsOf(heading)),
        takes: tails.flatMap((tile) => ways.map((way) => tile * 4 + turnsOf(way))),
      };
      for (const key of stood.leaves) leaving[key].push(stood);
      for (const key of stood.takes) taking[key].push(stood);
    };
    for (let tile = 0; tile < ground.tiles; tile++) {
      const at = ground.at(tile);
      for (const heading of HEADINGS) {
        for (const model of catalog.belts) add({ kind: 'belt', at, heading, model }, [tile], heading, [tile], [tile]);
        const mate = ground.index(rightHalfOf(at, heading));
        for (const model of catalog.splitters) {
          for (const favour of splitterVariants(model, favours)) {
            add({ kind: 'splitter', at, heading, model, ...favour }, [tile, mate], heading, [tile, mate], [tile, mate]);
          }
        }
        for (const model of catalog.underpasses) {
          for (let apart = 1; apart <= model.span; apart++) {
            const end = ground.next(tile, heading, apart);
            if (end >= 0) add({ kind: 'underpass', from: at, to: ground.at(end), model }, [tile, end], heading, [tile], [end]);
          }
        }
      }
    }
    this.leaving = leaving;
    this.taking = taking;
    this.exitBelts = brief.exits.map(({ edge, from, to, belt }) => {
      const places = Array.from({ length: to - from + 1 }, (_, i) => from + i);
      return places.flatMap((place) => {
        const at: Tile =
          edge === 'N' || edge === 'S'
            ? { x: place, y: edge === 'N' ? ground.top : ground.depth - 1 }
            : { x: edge === 'W' ? 0 : ground.width - 1, y: place };
        const beyond = { x: at.x + dx(edge), y: at.y + dy(edge) };
        const tile = ground.index(at);
        if (tile < 0 || wagonAt(brief.wagons, beyond) !== undefined) return [];
        return leaving[tile * 4 + turnsOf(edge)]
          .filter(({ part }) => part.kind === 'belt' && part.model === belt)
          .map((stood) => ({ stood, exit: { at, heading: edge, take: undefined } }));
      });
    });
    this.costPerTile = Math.min(
      ...catalog.belts.map((model) => model.cost),
      ...catalog.splitters.map((model) => model.cost / 2),
      ...catalog.underpasses.map((model) => (2 * model.cost) / (model.span + 1)),
    );
    this.leastPerServed = Math.min(
      ...catalog.belts.map((model) => model.cost),
      ...catalog.splitters.map((model) => model.cost / 2),
      ...catalog.underpasses.map((model) => model.cost),
    );
  }
}

class WorkDone extends Error {}

/** Grows every network for a crew; each port is decided once, so that each network comes out once. */
class Growth {
  private readonly standing: Stood[] = [];
  private readonly exits: PlacedExit[] = [];
  private readonly ports: Port[] = [];
  /** Index into `standing`, plus 1; 0: free. */
  private readonly occupant: Uint8Array;
  /** [tile * 4 + heading]: decided that no carrier there passes items that way, or takes what comes that way. */
  private readonly noLeaving: Uint8Array;
  private readonly noTaking: Uint8Array;
  private crew: Crew = { parts: [], cost: 0, tiles: 0, served: 0, dropped: 0 };
  private unserved = 0;
  steps = 0;

  constructor(
    private readonly ground: Ground,
    private readonly stock: Stock,
    private readonly mostCost: number,
    private readonly mostSteps: number,
    private readonly emit: (parts: readonly Part[], exits: readonly PlacedExit[], cost: number) => void,
  ) {
    this.occupant = new Uint8Array(ground.tiles);
    this.noLeaving = new Uint8Array(ground.tiles * 4);
    this.noTaking = new Uint8Array(ground.tiles * 4);
  }

  grow(crew: Crew): void {
    this.crew = crew;
    this.unserved = crew.served;
    this.placeExits(0, this.mostCost - crew.cost);
  }

  private placeExits(demand: number, money: number): void {
    if (demand === this.ground.brief.exits.length) {
      this.decide(0, money);
      return;
    }
    for (const { stood, exit } of this.stock.exitBelts[demand]) {
      this.exits.push(exit);
      this.put(stood, money, (left) => {
        this.placeExits(demand + 1, left);
      });
      this.exits.pop();
    }
  }

  /** Places a part where nothing forbids it, goes on, and takes it back. */
  private put(stood: Stood, money: number, then: (money: number) => void): void {
    const cost = costOf(stood.part);
    if (cost > money) return;
    for (const tile of stood.tiles) {
      if (this.occupant[tile] !== 0 || ((this.crew.tiles >> tile) & 1) === 1) return;
    }
    if (stood.leaves.some((key) => this.noLeaving[key] === 1) || stood.takes.some((key) => this.noTaking[key] === 1)) return;
    if (stood.part.kind === 'underpass' && this.crossesUnderpass(stood)) return;
    const portsBefore = this.ports.length;
    const unservedBefore = this.unserved;
    this.standing.push(stood);
    for (const tile of stood.tiles) {
      this.occupant[tile] = this.standing.length;
      this.unserved &= ~(1 << tile);
    }
    if (this.canServeRest(money - cost)) {
      for (const key of stood.takes) {
        const tile = this.ground.next(key >> 2, backOf(HEADINGS[key & 3]));
        if (tile >= 0) this.ports.push({ kind: 'in', tile, heading: key & 3 });
      }
      for (const key of stood.leaves) {
        const tile = this.ground.next(key >> 2, HEADINGS[key & 3]);
        if (tile >= 0) this.ports.push({ kind: 'out', tile, heading: key & 3 });
      }
      then(money - cost);
    }
    this.ports.length = portsBefore;
    this.unserved = unservedBefore;
    for (const tile of stood.tiles) this.occupant[tile] = 0;
    this.standing.pop();
  }

  /** Whether the tiles that arms serve can still be reached: every part brings a chain only so far for its price. */
  private canServeRest(money: number): boolean {
    if (this.unserved === 0) return true;
    let count = 0;
    let farthest = 0;
    for (let tile = 0; tile < this.ground.tiles; tile++) {
      if (((this.unserved >> tile) & 1) === 0) continue;
      count++;
      const { x, y } = this.ground.at(tile);
      let nearest = Infinity;
      for (let other = 0; other < this.ground.tiles; other++) {
        if (this.occupant[other] === 0) continue;
        const to = this.ground.at(other);
        nearest = Math.min(nearest, Math.abs(to.x - x) + Math.abs(to.y - y));
      }
      // Exits that are still to be placed may stand anywhere.
      if (this.exits.length === this.ground.brief.exits.length) farthest = Math.max(farthest, nearest);
    }
    const { costPerTile, leastPerServed } = this.stock;
    return Math.max(count * leastPerServed, farthest * costPerTile) <= money + 1e-9;
  }

  private crossesUnderpass(stood: Stood): boolean {
    const { part, tiles } = stood;
    if (part.kind !== 'underpass') return false;
    const heading = underpassHeading(part);
    const upright = heading === 'N' || heading === 'S';
    const along = (tile: number): number => (upright ? this.ground.at(tile).y : this.ground.at(tile).x);
    const across = (tile: number): number => (upright ? this.ground.at(tile).x : this.ground.at(tile).y);
    const within = (tile: number, ends: readonly number[]): boolean =>
      along(tile) > Math.min(...ends.map(along)) && along(tile) < Math.max(...ends.map(along));
    return this.standing.some((other) => {
      if (other.part.kind !== 'underpass' || underpassHeading(other.part) !== heading) return false;
      if (across(other.tiles[0]) !== across(tiles[0])) return false;
      return other.tiles.some((tile) => within(tile, tiles)) || tiles.some((tile) => within(tile, other.tiles));
    });
  }

  countStep(): void {
    if (++this.steps > this.mostSteps) throw new WorkDone();
  }

  private decide(port: number, money: number): void {
    this.countStep();
    if (port === this.ports.length) {
      this.finish(money);
      return;
    }
    const { kind, tile, heading } = this.ports[port];
    const key = tile * 4 + heading;
    // What stands there has its own heading: whether the two are linked is settled.
    const settled = this.occupant[tile] !== 0;
    if (settled) {
      this.decide(port + 1, money);
      return;
    }
    const none = kind === 'in' ? this.noLeaving : this.noTaking;
    const before = none[key];
    none[key] = 1;
    this.decide(port + 1, money);
    none[key] = before;
    if (before === 1 || !this.ground.open[tile]) return;
    for (const stood of kind === 'in' ? this.stock.leaving[key] : this.stock.taking[key]) {
      this.put(stood, money, (left) => {
        this.decide(port + 1, left);
      });
    }
  }

  private finish(money: number): void {
    if (this.unserved !== 0 || !this.matters()) return;
    const parts = [...this.crew.parts, ...this.standing.map(({ part }) => part)];
    this.emit(parts, this.exits, this.mostCost - money);
  }

  /**
   * False where a cheaper plan has the same flows: where a part in which nothing ever flows may go. Such a part is
   * needed only as a feeder that makes a turn a tee merge, or makes a turn (with lanes of another length), on a belt
   * in which items do flow. Carriers that are not linked to any exit are never grown: none of their items can leave,
   * and nothing that leaves has to do with them. False also where an exit gets nothing.
   */
  private matters(): boolean {
    const { ground, standing } = this;
    const flows = new Set<number>();
    const visit = (index: number): void => {
      if (flows.has(index)) return;
      flows.add(index);
      for (const key of standing[index].leaves) {
        const to = this.takerOf(key);
        if (to >= 0) visit(to);
      }
    };
    standing.forEach(({ tiles }, index) => {
      if (tiles.some((tile) => ((this.crew.dropped >> tile) & 1) === 1)) visit(index);
    });
    for (let exit = 0; exit < this.exits.length; exit++) if (!flows.has(exit)) return false;
    const { turn, unitsPerTile } = ground.brief.catalog;
    const turnsDiffer = turn.inner !== unitsPerTile || turn.outer !== unitsPerTile;
    return standing.every((stood, index) => {
      if (flows.has(index)) return true;
      return stood.leaves.some((key) => {
        const to = this.takerOf(key);
        if (to < 0 || !flows.has(to)) return false;
        const target = standing[to].part;
        if (target.kind !== 'belt') return false;
        const tile = ground.index(target.at);
        const feeds = (heading: Heading): boolean => {
          const from = ground.next(tile, backOf(heading));
          return from >= 0 && this.occupant[from] !== 0 && standing[this.occupant[from] - 1].leaves.includes(from * 4 + turnsOf(heading));
        };
        const behind = feeds(target.heading);
        const sides = [feeds(leftOf(target.heading)), feeds(rightOf(target.heading))].filter((fed) => fed).length;
        const isBehind = HEADINGS[key & 3] === target.heading;
        if (isBehind) return sides === 1;
        if (behind) return false;
        return sides === 2 || turnsDiffer;
      });
    });
  }

  /** The part that takes what leaves by `key`, or -1. */
  private takerOf(key: number): number {
    const front = this.ground.next(key >> 2, HEADINGS[key & 3]);
    if (front < 0 || this.occupant[front] === 0) return -1;
    const index = this.occupant[front] - 1;
    return this.standing[index].takes.includes(front * 4 + (key & 3)) ? index : -1;
  }
}

// --------------------------------------------------------------------------------------------------- what can flow

/** Bit exit * 2 + lane for each exit lane that items on a lane of a carrier may come to, by any way. */
function lanesReached(network: Network): readonly (readonly [number, number])[] {
  const { carriers } = network;
  const reached = carriers.map((): [number, number] => [0, 0]);
  for (let changed = true; changed; ) {
    changed = false;
    for (const carrier of carriers) {
      const halves = carriers.filter((other) => other.part === carrier.part);
      for (const lane of [0, 1] as const) {
        let bits = 0;
        for (const { next } of halves) {
          if (next.kind === 'exit') bits |= 1 << (next.exit * 2 + lane);
          if (next.kind !== 'carrier') continue;
          const into = next.entry === 'tee-left' ? 0 : next.entry === 'tee-right' ? 1 : lane;
          bits |= reached[next.carrier][into];
        }
        if (bits === reached[carrier.index][lane]) continue;
        reached[carrier.index][lane] = bits;
        changed = true;
      }
    }
  }
  return reached;
}

/**
 * Most that leaves by one lane of an exit's belt; undefined where nothing is known. Let e be how far beyond the edge an
 * item is in the tick in which it leaves (at least 1). If the next one was on the tile before, it was a pitch behind, so
 * v times the ticks between the two is at least P plus the rise of e. If it was set down or came in only afterwards, then
 * at no more than some x (the spot of an arm with its slack; 3 / 4 and a move for a tee merge; a move for a faster feeder), and v times the
 * ticks is at least the way from x and the rise of e, plus 1. Over a long run the rises cancel out.
 */
function mostLaneRate({ catalog }: Brief, speed: number): Rational | undefined {
  const { unitsPerTile, pitch, turn, belts, splitters, underpasses, arms } = catalog;
  const fastest = Math.max(...[...belts, ...splitters, ...underpasses].map((model) => model.speed));
  const shortest = Math.min(unitsPerTile, turn.inner, turn.outer);
  const bySpot = Math.max(0, Math.floor(shortest / 4) - Math.max(...arms.map(({ slack }) => slack)));
  const byTee = unitsPerTile / 4 - fastest;
  const byFeeder = fastest > speed ? shortest - fastest : pitch;
  const least = Math.min(pitch, bySpot + 1, byTee + 1, byFeeder + 1);
  return least <= 0 ? undefined : ratio(speed, least);
}

/**
 * Whether arms that work without any hindrance could serve every exit: a plain count of who comes where, so that most
 * hopeless plans need no simulation.
 */
function mayReach(layout: Layout, brief: Brief): boolean {
  const network = deriveNetwork(layout);
  const reached = lanesReached(network);
  const arms = network.arms.flatMap(({ part, place }) => {
    const arm = layout.parts[part];
    if (arm.kind !== 'arm' || place.kind !== 'carrier') return [];
    const { heading } = network.carriers[place.carrier];
    // World rules: along and against, the arm's right hand; across, the lane away from it.
    const right = arm.heading === heading || arm.heading === rightOf(heading);
    return [{ rate: mostLoadRate(arm.model), lanes: reached[place.carrier][right ? 1 : 0] }];
  });
  const most = (bits: number): Rational =>
    arms.reduce((sum, { rate, lanes }) => ((lanes & bits) === 0 ? sum : sum.add(rate)), ZERO);
  const held = (rate: Rational, cap: Rational | undefined): Rational => (cap !== undefined && cap.compare(rate) < 0 ? cap : rate);
  let together = ZERO;
  const eachMay = brief.exits.every((demand, exit) => {
    const cap = mostLaneRate(brief, demand.belt.speed);
    const left = held(most(1 << (exit * 2)), cap);
    const right = held(most(2 << (exit * 2)), cap);
    together = together.add(left).add(right);
    if (left.compare(demand.target.left) < 0 || right.compare(demand.target.right) < 0) return false;
    return most(3 << (exit * 2)).compare(totalOf(demand)) >= 0 && left.add(right).compare(totalOf(demand)) >= 0;
  });
  if (!eachMay || brief.together === undefined) return eachMay;
  return together.compare(brief.together) >= 0 && most(-1).compare(brief.together) >= 0;
}

// ------------------------------------------------------------------------------------------------------------ plans

/** Hands over every plan of at most `mostCost` that could meet the brief, in no order of cost. */
export function everyPlan(
  brief: Brief,
  { mostCost, mostSteps }: EnumerationLimits,
  consider: (layout: Layout, cost: number) => void,
): Enumeration {
  const ground = new Ground(brief);
  if (ground.tiles > 30) throw new Error('tile sets are kept in 30 bits');
  const stock = new Stock(ground, true);
  const { catalog, site, wagons } = brief;
  let plans = 0;
  const growth = new Growth(ground, stock, mostCost, mostSteps, (parts, exits, cost) => {
    const layout: Layout = { name: 'brute force', catalog, site, wagons, parts, exits: [...exits] };
    if (!mayReach(layout, brief)) return;
    plans++;
    consider(layout, cost);
  });
  let crewCount = 0;
  let complete = true;
  const exitCost = brief.exits.reduce((sum, { belt }) => sum + belt.cost, 0);
  try {
    const countStep = (): void => {
      growth.countStep();
    };
    for (const crew of crews(ground, mostCost - exitCost, countStep)) {
      crewCount++;
      growth.grow(crew);
    }
  } catch (thrown) {
    if (!(thrown instanceof WorkDone)) throw thrown;
    complete = false;
  }
  return { complete, crews: crewCount, steps: growth.steps, plans };
}

/** What a plan's flows depend on: parts but chests and arms that fill them, wherever on the site they stand together. */
export function flowKey(layout: Layout, withFills: boolean): string {
  const network = deriveNetwork(layout);
  const idle = new Set(network.arms.flatMap(({ part, place }) => (place.kind === 'chest' && !withFills ? [part] : [])));
  const flowing = layout.parts.flatMap((part, index) => (part.kind === 'chest' || idle.has(index) ? [] : [part]));
  const firsts = flowing.map((part) => ('at' in part ? part.at : part.from));
  const minX = Math.min(...firsts.map(({ x }) => x));
  const minY = Math.min(...firsts.map(({ y }) => y));
  const place = ({ x, y }: Tile): string => `${x - minX}.${y - minY}`;
  const texts = flowing.map((part) => {
    const model = part.model.name;
    if (part.kind === 'underpass') return `u${place(part.from)}-${place(part.to)}${model}`;
    const favours = part.kind === 'splitter' ? `${part.favourIn ?? ''}/${part.favourOut ?? ''}` : '';
    return `${part.kind}${place(part.at)}${part.heading}${model}${favours}`;
  });
  return `${texts.sort().join(' ')} | ${layout.exits.map((exit) => `${place(exit.at)}${exit.heading}`).join(' ')}`;
}
