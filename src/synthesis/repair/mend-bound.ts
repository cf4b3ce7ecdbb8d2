/**
 * What mending costs at least, by flows alone: the lanes of all that stands and of all that may still come to stand, as
 * one graph, in which each edge that is not there yet waits for one of the placements that would make it. While the
 * greatest flow is too small, a least cut says which placements could let more through: at least so many of them must
 * be paid for. Their prices are raised together until one is paid in full and its edges open; and again, until the
 * flow suffices. What has been raised is a dual solution of the linear program with all cuts that were met, so no
 * mend costs less (dual ascent: D. Erlenkotter 1978, R. T. Wong 1984; from memory).
 *
 * Optimistic where it is not exact: rates as in `rate-model.ts`; taking parts away is free here.
 */
import { maxRational } from '../../base/rational.js';
import type { Brief } from '../../brief/brief.js';
import { dropOn } from '../../layout/drop.js';
import { entriesOf, pickTile, placeTile, wagonAt, type PlacedArm } from '../../layout/layout.js';
import { tileNumber, type MendState, type Universe } from './mend-universe.js';
import { armRateBoundOfAnyHand } from '../rates/rate-model.js';
import { back, headingOf, indexOfHeading, laneRate, lineRate, right, type SiteMap } from '../site/site-map.js';

/** More than any flow, and many of it still add up exactly. */
const ENDLESS = 2 ** 40;

/** Of each tile: lanes that come in by heading, lanes that leave, what arms set down there; a chest; what arms may pick there. */
const NODES_OF_TILE = 27;
const IN = 0;
const OUT = 8;
const DROP = 16;
const CHEST_IN = 24;
const CHEST_OUT = 25;
const POOL = 26;

/** Most that an arm takes off carriers and puts down anywhere, scaled. */
function fromCarriers(map: SiteMap, arm: PlacedArm['model'], speeds: readonly number[]): number {
  const { catalog } = map.brief;
  const lengths = [...new Set([catalog.unitsPerTile, catalog.turn.inner, catalog.turn.outer])];
  const rates = speeds.flatMap((speed) => [
    ...lengths.flatMap((laneLength) =>
      [1, 2, 3].map((quarter) => armRateBoundOfAnyHand(catalog, arm, { kind: 'lane', speed, laneLength, spot: Math.floor((laneLength * quarter) / 4), testsEndAfter: 0 })),
    ),
    armRateBoundOfAnyHand(catalog, arm, { kind: 'line', speed, outputs: 2, testsEndAfter: 0 }),
  ]);
  return map.scale.supply(rates.reduce(maxRational));
}

export class MendBound {
  private nodes: number;
  private readonly source: number;
  private readonly sink: number;
  /** While the graph is laid: its edges, each with the placements any one of which makes it; undefined: it is always there. */
  private readonly laid: { readonly from: number; readonly to: number; readonly most: number; readonly makers: readonly number[] | undefined }[] = [];
  private readonly tails: Int32Array;
  private readonly heads: Int32Array;
  private readonly caps: Float64Array;
  /** Makers of an edge: `makers` from `firstMaker[edge]` on. */
  private readonly firstMaker: Int32Array;
  private readonly makers: Int32Array;
  private readonly edgesOf: readonly number[][];
  /** [tile * 4 + heading]: edges that are there only while nothing passes into the tile along that heading. */
  private readonly closedBy: readonly number[][];
  private readonly carriers: readonly number[];
  /** Edge e and its reverse are 2 e and 2 e + 1; by node, from `first` on. */
  private readonly first: Int32Array;
  private readonly incident: Int32Array;
  private readonly room: Float64Array;
  private readonly open: Uint8Array;
  private readonly always: readonly number[];
  private readonly left: Float64Array;
  private readonly gives: Float64Array;
  private readonly reached: Int32Array;
  private readonly cameBy: Int32Array;
  private readonly queue: Int32Array;
  private walk = 0;

  constructor(
    private readonly universe: Universe,
    feed: Brief['feed'],
  ) {
    const { map, placements } = universe;
    this.nodes = map.tiles * NODES_OF_TILE;
    this.source = this.nodes++;
    this.sink = this.nodes++;
    this.edgesOf = placements.map(() => []);
    this.closedBy = Array.from({ length: map.tiles * 4 }, () => []);
    this.carriers = placements.flatMap(({ part }, id) => (part.kind === 'arm' || part.kind === 'chest' ? [] : [id]));
    this.layLanes(this.layExits());
    this.layArms(feed);
    const { laid } = this;
    const edges = laid.length;
    this.tails = Int32Array.from(laid, ({ from }) => from);
    this.heads = Int32Array.from(laid, ({ to }) => to);
    this.caps = Float64Array.from(laid, ({ most }) => most);
    this.makers = Int32Array.from(laid.flatMap(({ makers }) => makers ?? []));
    this.firstMaker = new Int32Array(edges + 1);
    laid.forEach(({ makers }, edge) => {
      this.firstMaker[edge + 1] = this.firstMaker[edge] + (makers?.length ?? 0);
    });
    this.always = laid.flatMap(({ makers }, edge) => (makers === undefined ? [edge] : []));
    this.first = new Int32Array(this.nodes + 1);
    for (let edge = 0; edge < edges; edge++) {
      this.first[this.tails[edge] + 1]++;
      this.first[this.heads[edge] + 1]++;
    }
    for (let node = 0; node < this.nodes; node++) this.first[node + 1] += this.first[node];
    const at = this.first.slice();
    this.incident = new Int32Array(edges * 2);
    for (let edge = 0; edge < edges; edge++) {
      this.incident[at[this.tails[edge]]++] = 2 * edge;
      this.incident[at[this.heads[edge]]++] = 2 * edge + 1;
    }
    this.room = new Float64Array(edges * 2);
    this.open = new Uint8Array(edges);
    this.left = new Float64Array(placements.length);
    this.gives = new Float64Array(placements.length);
    this.reached = new Int32Array(this.nodes);
    this.cameBy = new Int32Array(this.nodes);
    this.queue = new Int32Array(this.nodes);
  }

  private addEdge(from: number, to: number, most: number, makers?: readonly number[]): number {
    const edge = this.laid.length;
    if (makers?.length === 0 || most <= 0) return -1;
    this.laid.push({ from, to, most, makers });
    for (const id of makers ?? []) this.edgesOf[id].push(edge);
    return edge;
  }

  /** Returns the nodes of exits, [exit * 2 + lane]. */
  private layExits(): readonly number[] {
    const { demands, wanted } = this.universe.map;
    const together = wanted - demands.reduce((sum, { total }) => sum + total, 0);
    const common = this.nodes++;
    this.addEdge(common, this.sink, together);
    return demands.flatMap(({ left, right: onRight, total }) => {
      const extra = this.nodes++;
      this.addEdge(extra, this.sink, total - left - onRight);
      return [left, onRight].map((asked) => {
        const lane = this.nodes++;
        this.addEdge(lane, this.sink, asked);
        this.addEdge(lane, extra, ENDLESS);
        if (together > 0) this.addEdge(lane, common, ENDLESS);
        return lane;
      });
    });
  }

  private readonly node = (tile: number, kind: number, heading = 0, lane = 0): number => tile * NODES_OF_TILE + kind + heading * 2 + lane;

  private layLanes(exits: readonly number[]): void {
    const { node } = this;
    const { layout, map, placements, covering, taking, leaving } = this.universe;
    for (let tile = 0; tile < map.tiles; tile++) {
      const chests = covering[tile].filter((id) => placements[id].part.kind === 'chest');
      this.addEdge(node(tile, CHEST_IN), node(tile, CHEST_OUT), ENDLESS, chests);
      for (let heading = 0; heading < 4; heading++) {
        const belts = covering[tile].filter((id) => placements[id].part.kind === 'belt' && placements[id].heading === heading);
        for (let way = 0; way < 4; way++) if (way !== back(heading)) this.layBelt(tile, heading, way, belts);
        this.layWayOut(tile, heading, leaving[tile * 4 + heading], exits);
        const standing = covering[tile].filter((id) => placements[id].part.kind !== 'arm' && placements[id].part.kind !== 'chest' && placements[id].heading === heading);
        for (const lane of [0, 1]) {
          this.addEdge(node(tile, DROP, heading, lane), node(tile, OUT, heading, lane), ENDLESS, standing);
          this.addEdge(node(tile, IN, heading, lane), node(tile, POOL), ENDLESS, taking[tile * 4 + heading]);
          this.addEdge(node(tile, OUT, heading, lane), node(tile, POOL), ENDLESS);
        }
      }
    }
    for (const { at, heading } of entriesOf(layout)) {
      for (const lane of [0, 1]) this.addEdge(this.source, node(tileNumber(map, at), IN, indexOfHeading(heading), lane), ENDLESS);
    }
    placements.forEach(({ part, tiles: [a, b], heading }, id) => {
      if (part.kind !== 'splitter' && part.kind !== 'underpass') return;
      const most = map.endCapacities[part.model.speed];
      for (const lane of [0, 1]) {
        const [inA, inB] = [node(a, IN, heading, lane), node(b, IN, heading, lane)];
        const [outA, outB] = [node(a, OUT, heading, lane), node(b, OUT, heading, lane)];
        const ways = part.kind === 'underpass' ? [[inA, outB]] : [[inA, outA], [inA, outB], [inB, outA], [inB, outB]];
        for (const [from, to] of ways) this.addEdge(from, to, most, [id]);
      }
    });
  }

  /** What comes along `way` onto a belt of `heading`. */
  private layBelt(tile: number, heading: number, way: number, belts: readonly number[]): void {
    const { node } = this;
    const { passingInto, layout, map } = this.universe;
    if (way === heading) {
      for (const lane of [0, 1]) this.addEdge(node(tile, IN, way, lane), node(tile, OUT, heading, lane), ENDLESS, belts);
      return;
    }
    const near = way === right(heading) ? 0 : 1;
    this.addEdge(node(tile, IN, way, near), node(tile, OUT, heading, near), ENDLESS, belts);
    // The far lane keeps its side through a turn, and comes to the near one where another feeder makes it a tee merge.
    const far = this.nodes++;
    const others = [heading, back(way)];
    this.addEdge(node(tile, IN, way, 1 - near), far, ENDLESS, belts);
    const fedFromOutside = entriesOf(layout).some(({ at, heading: inward }) => tileNumber(map, at) === tile && indexOfHeading(inward) === heading);
    const mergers = fedFromOutside ? undefined : others.flatMap((other) => passingInto[tile * 4 + other]);
    this.addEdge(far, node(tile, OUT, heading, near), ENDLESS, mergers);
    const asTurn = this.addEdge(far, node(tile, OUT, heading, 1 - near), ENDLESS);
    for (const other of others) this.closedBy[tile * 4 + other].push(asTurn);
  }

  private layWayOut(tile: number, heading: number, leaving: readonly number[], exits: readonly number[]): void {
    const { node } = this;
    const { map, placements } = this.universe;
    const bySpeed = new Map<number, number[]>();
    for (const id of leaving) {
      const { part } = placements[id];
      if (part.kind === 'arm' || part.kind === 'chest') continue;
      const known = bySpeed.get(part.model.speed);
      if (known === undefined) bySpeed.set(part.model.speed, [id]);
      else known.push(id);
    }
    const front = map.neighbour[tile * 4 + heading];
    for (const [speed, makers] of bySpeed) {
      for (const lane of [0, 1]) {
        const from = node(tile, OUT, heading, lane);
        const most = map.endCapacities[speed];
        if (front >= 0) this.addEdge(from, node(front, IN, heading, lane), most, makers);
        map.demands.forEach((_, exit) => {
          if ((map.exitsAt[tile * 4 + heading] & (1 << exit)) !== 0) this.addEdge(from, exits[exit * 2 + lane], most, makers);
        });
      }
    }
  }

  private layArms(feed: Brief['feed']): void {
    const { node, universe } = this;
    const { map, placements, layout, covering } = universe;
    const speeds = [...map.laneRates.keys()];
    const offCarriers = map.arms.map((arm) => fromCarriers(map, arm, speeds));
    placements.forEach(({ part, heading }, id) => {
      if (part.kind !== 'arm') return;
      const m = map.arms.findIndex(({ name }) => name === part.model.name);
      const [pick, place] = [pickTile(part), placeTile(part)];
      const onto = tileNumber(map, place);
      const isAtWagon = wagonAt(layout.wagons, pick) !== undefined;
      const from = isAtWagon ? -1 : tileNumber(map, pick);
      if (onto < 0) return;
      const hand = this.nodes++;
      const best = speeds.reduce((most, speed) => Math.max(most, lineRate(map, speed, m, 2)), map.bestLane[m]);
      if (from >= 0) {
        if (feed !== 'direct') this.addEdge(node(from, CHEST_OUT), hand, best, [id]);
        this.addEdge(node(from, POOL), hand, offCarriers[m], [id]);
      } else if (isAtWagon) {
        this.addEdge(this.source, node(onto, CHEST_IN), map.fillRates[m], [id]);
        if (feed !== 'chests') this.addEdge(this.source, hand, best, [id]);
      }
      // With a part-full hand off a carrier an arm may be quicker than any with a full one.
      const most = (rate: number): number => Math.max(rate, from >= 0 ? offCarriers[m] : 0);
      for (let way = 0; way < 4; way++) {
        const drop = dropOn(headingOf(heading), headingOf(way), false);
        if (drop.kind !== 'lane') continue;
        const rate = speeds.reduce((greatest, speed) => Math.max(greatest, laneRate(map, speed, m, drop.quarter)), 0);
        this.addEdge(hand, node(onto, DROP, way, drop.side === 'left' ? 0 : 1), most(rate));
      }
      for (const other of covering[onto]) {
        const { part: target, tiles, heading: way } = placements[other];
        if (target.kind === 'splitter') {
          const drop = dropOn(headingOf(heading), headingOf(way), true);
          if (drop.kind !== 'line') continue;
          for (const half of tiles) this.addEdge(hand, node(half, OUT, way, drop.side === 'left' ? 0 : 1), most(lineRate(map, target.model.speed, m, 2)), [other]);
        } else if (target.kind === 'underpass' && tiles[0] === onto) {
          const drop = dropOn(headingOf(heading), headingOf(way), false);
          if (drop.kind !== 'lane') continue;
          this.addEdge(hand, node(tiles[1], OUT, way, drop.side === 'left' ? 0 : 1), most(laneRate(map, target.model.speed, m, drop.quarter)), [other]);
        }
      }
    });
  }

  private openEdge(edge: number): void {
    if (this.open[edge] === 1) return;
    this.open[edge] = 1;
    this.room[2 * edge] += this.caps[edge];
  }

  /** Marks what the source reaches; whether the sink is among it. */
  private reach(toSink: boolean): boolean {
    const { reached, cameBy, queue, first, incident, room, heads, tails, sink } = this;
    const mark = ++this.walk;
    reached[this.source] = mark;
    queue[0] = this.source;
    let end = 1;
    for (let at = 0; at < end; at++) {
      const from = queue[at];
      for (let i = first[from]; i < first[from + 1]; i++) {
        const edge = incident[i];
        if (room[edge] <= 0) continue;
        const to = (edge & 1) === 0 ? heads[edge >> 1] : tails[edge >> 1];
        if (reached[to] === mark) continue;
        reached[to] = mark;
        cameBy[to] = edge;
        if (to === sink && toSink) return true;
        queue[end++] = to;
      }
    }
    return false;
  }

  /** Sends on what more can flow, from where it stands. */
  private augment(): number {
    const { cameBy, room, heads, tails, source, sink } = this;
    let sent = 0;
    while (this.reach(true)) {
      let most = Infinity;
      for (let at = sink; at !== source; ) {
        const edge = cameBy[at];
        most = Math.min(most, room[edge]);
        at = (edge & 1) === 0 ? tails[edge >> 1] : heads[edge >> 1];
      }
      for (let at = sink; at !== source; ) {
        const edge = cameBy[at];
        room[edge] -= most;
        room[edge ^ 1] += most;
        at = (edge & 1) === 0 ? tails[edge >> 1] : heads[edge >> 1];
      }
      sent += most;
    }
    return sent;
  }

  /**
   * Placements that would let more through a least cut, with what each lets through at most in `gives`: the cut nearest to
   * the sink, since there few of them are.
   */
  private cutBeforeSink(left: Float64Array): readonly number[] {
    const { reached, queue, first, incident, room, heads, tails, open, caps, firstMaker, makers, gives } = this;
    const mark = ++this.walk;
    reached[this.sink] = mark;
    queue[0] = this.sink;
    let end = 1;
    for (let at = 0; at < end; at++) {
      const to = queue[at];
      for (let i = first[to]; i < first[to + 1]; i++) {
        const edge = incident[i] ^ 1;
        if (room[edge] <= 0) continue;
        const from = (edge & 1) === 0 ? tails[edge >> 1] : heads[edge >> 1];
        if (reached[from] === mark) continue;
        reached[from] = mark;
        queue[end++] = from;
      }
    }
    const cut: number[] = [];
    for (let at = 0; at < end; at++) {
      const to = queue[at];
      for (let i = first[to]; i < first[to + 1]; i++) {
        const edge = incident[i] >> 1;
        if ((incident[i] & 1) === 0 || open[edge] === 1 || reached[tails[edge]] === mark) continue;
        for (let m = firstMaker[edge]; m < firstMaker[edge + 1]; m++) {
          const id = makers[m];
          if (left[id] === Infinity) continue;
          if (gives[id] === 0) cut.push(id);
          gives[id] += caps[edge];
        }
      }
    }
    return cut;
  }

  /**
   * The least that has to be paid, beyond the price of this state, for any layout that comes of it and gives what is
   * asked; Infinity if none can. Once it is above `limit` it is not raised further.
   */
  least(state: MendState, limit: number): number {
    const { left, gives, universe, room, open } = this;
    const { placements, map } = universe;
    room.fill(0);
    open.fill(0);
    for (const edge of this.always) this.openEdge(edge);
    for (const id of this.carriers) if (state.stands[id] === 1 && state.settled[id] === 1) this.closeBehind(id);
    for (let id = 0; id < placements.length; id++) {
      left[id] = state.stands[id] === 1 ? 0 : this.pieceOf(state, id);
      if (left[id] === 0) for (const edge of this.edgesOf[id]) this.openEdge(edge);
    }
    let flow = this.augment();
    let paid = 0;
    while (flow < map.wanted) {
      const cut = this.cutBeforeSink(left);
      if (cut.length === 0) return Infinity;
      const cheapest = cut.reduce((least, id) => Math.min(least, left[id]), Infinity);
      const most = cut.reduce((greatest, id) => Math.max(greatest, gives[id]), 0);
      // At least so many of them are needed.
      paid += cheapest * Math.max(1, Math.ceil((map.wanted - flow) / most));
      for (const id of cut) {
        gives[id] = 0;
        left[id] -= cheapest;
      }
      if (paid > limit) return paid;
      for (const id of cut) if (left[id] === 0) for (const edge of this.edgesOf[id]) this.openEdge(edge);
      flow += this.augment();
    }
    return paid;
  }

  /** Placements that are not there yet and over which the flow goes that `least` found last. */
  used(state: MendState): readonly number[] {
    const { firstMaker, makers, room, left, open } = this;
    const found = new Set<number>();
    for (let edge = 0; edge < open.length; edge++) {
      if (room[2 * edge + 1] <= 0) continue;
      const ids = makers.subarray(firstMaker[edge], firstMaker[edge + 1]);
      if (ids.some((id) => state.stands[id] === 1)) continue;
      for (const id of ids) if (left[id] === 0) found.add(id);
    }
    return [...found];
  }

  /** Of a placement's price what no other placement is charged for: a part of two tiles may make way for two. */
  private pieceOf(state: MendState, id: number): number {
    const price = state.priceOf(id);
    if (price === Infinity || price === 0) return price;
    const { universe } = this;
    const shared = state.inTheWayOf(id).filter((other) => universe.placements[other].tiles.length > 1 && universe.turnOf[id] !== other).length;
    return price - shared * universe.work.remove;
  }

  private closeBehind(id: number): void {
    const { placements, map } = this.universe;
    const { part, tiles, heading } = placements[id];
    const heads = part.kind === 'underpass' ? tiles.slice(1) : tiles;
    for (const head of heads) {
      const front = map.neighbour[head * 4 + heading];
      if (front < 0) continue;
      for (const edge of this.closedBy[front * 4 + heading]) this.room[2 * edge] = 0;
    }
  }
}
