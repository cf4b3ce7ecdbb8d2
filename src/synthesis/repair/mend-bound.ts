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
import { entriesOf } from '../../layout/layout.js';
import { back, indexOfHeading, right } from '../site/site-map.js';
import { bySpeed, CHEST_IN, CHEST_OUT, DROP, ENDLESS, IN, nodeOf, NODES_OF_TILE, OUT, POOL, type MendGraph } from './mend-graph.js';
import { tileNumber, type MendState, type Universe } from './mend-universe.js';

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
    private readonly graph: MendGraph,
  ) {
    const { map, placements } = universe;
    this.nodes = map.tiles * NODES_OF_TILE;
    this.source = this.nodes++;
    this.sink = this.nodes++;
    this.edgesOf = placements.map(() => []);
    this.closedBy = Array.from({ length: map.tiles * 4 }, () => []);
    this.carriers = placements.flatMap(({ part }, id) => (part.kind === 'arm' || part.kind === 'chest' ? [] : [id]));
    this.layLanes();
    graph.lay({
      universe,
      source: this.source,
      sink: this.sink,
      newNode: () => this.nodes++,
      addEdge: (from, to, most, makers) => {
        this.addEdge(from, to, most, makers);
      },
    });
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

  private layLanes(): void {
    const { map, placements, covering, taking, leaving } = this.universe;
    for (let tile = 0; tile < map.tiles; tile++) {
      const chests = covering[tile].filter((id) => placements[id].part.kind === 'chest');
      this.addEdge(nodeOf(tile, CHEST_IN), nodeOf(tile, CHEST_OUT), ENDLESS, chests);
      for (let heading = 0; heading < 4; heading++) {
        const belts = covering[tile].filter((id) => placements[id].part.kind === 'belt' && placements[id].heading === heading);
        for (let way = 0; way < 4; way++) if (way !== back(heading)) this.layBelt(tile, heading, way, belts);
        this.layWayOut(tile, heading, leaving[tile * 4 + heading]);
        const standing = covering[tile].filter((id) => placements[id].part.kind !== 'arm' && placements[id].part.kind !== 'chest' && placements[id].heading === heading);
        for (const lane of [0, 1]) {
          this.addEdge(nodeOf(tile, DROP, heading, lane), nodeOf(tile, OUT, heading, lane), ENDLESS, standing);
          this.addEdge(nodeOf(tile, IN, heading, lane), nodeOf(tile, POOL), ENDLESS, taking[tile * 4 + heading]);
          this.addEdge(nodeOf(tile, OUT, heading, lane), nodeOf(tile, POOL), ENDLESS);
        }
      }
    }
    placements.forEach(({ part, tiles: [a, b], heading }, id) => {
      if (part.kind !== 'splitter' && part.kind !== 'underpass') return;
      const most = this.graph.laneEnd(part.model.speed);
      for (const lane of [0, 1]) {
        const [inA, inB] = [nodeOf(a, IN, heading, lane), nodeOf(b, IN, heading, lane)];
        const [outA, outB] = [nodeOf(a, OUT, heading, lane), nodeOf(b, OUT, heading, lane)];
        const ways = part.kind === 'underpass' ? [[inA, outB]] : [[inA, outA], [inA, outB], [inB, outA], [inB, outB]];
        for (const [from, to] of ways) this.addEdge(from, to, most, [id]);
      }
    });
  }

  /** What comes along `way` onto a belt of `heading`. */
  private layBelt(tile: number, heading: number, way: number, belts: readonly number[]): void {
    const { passingInto, layout, map } = this.universe;
    if (way === heading) {
      for (const lane of [0, 1]) this.addEdge(nodeOf(tile, IN, way, lane), nodeOf(tile, OUT, heading, lane), ENDLESS, belts);
      return;
    }
    const near = way === right(heading) ? 0 : 1;
    this.addEdge(nodeOf(tile, IN, way, near), nodeOf(tile, OUT, heading, near), ENDLESS, belts);
    // The far lane keeps its side through a turn, and comes to the near one where another feeder makes it a tee merge.
    const far = this.nodes++;
    const others = [heading, back(way)];
    this.addEdge(nodeOf(tile, IN, way, 1 - near), far, ENDLESS, belts);
    const fedFromOutside = entriesOf(layout).some(({ at, heading: inward }) => tileNumber(map, at) === tile && indexOfHeading(inward) === heading);
    const mergers = fedFromOutside ? undefined : others.flatMap((other) => passingInto[tile * 4 + other]);
    this.addEdge(far, nodeOf(tile, OUT, heading, near), ENDLESS, mergers);
    const asTurn = this.addEdge(far, nodeOf(tile, OUT, heading, 1 - near), ENDLESS);
    for (const other of others) this.closedBy[tile * 4 + other].push(asTurn);
  }

  private layWayOut(tile: number, heading: number, leaving: readonly number[]): void {
    const front = this.universe.map.neighbour[tile * 4 + heading];
    if (front < 0) return;
    for (const [speed, makers] of bySpeed(this.universe, leaving)) {
      for (const lane of [0, 1]) this.addEdge(nodeOf(tile, OUT, heading, lane), nodeOf(front, IN, heading, lane), this.graph.laneEnd(speed), makers);
    }
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
    const { placements } = universe;
    const { wanted } = this.graph;
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
    while (flow < wanted) {
      const cut = this.cutBeforeSink(left);
      if (cut.length === 0) return Infinity;
      const cheapest = cut.reduce((least, id) => Math.min(least, left[id]), Infinity);
      const most = cut.reduce((greatest, id) => Math.max(greatest, gives[id]), 0);
      // At least so many of them are needed.
      paid += cheapest * Math.max(1, Math.ceil((wanted - flow) / most));
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
