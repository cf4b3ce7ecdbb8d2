/**
 * Ways from the tiles of a site to its exits, past the chests and arms of a crew: whether there is one, and how many moves
 * it takes. Carriers that stand do not matter.
 */
import { BLOCKED, type CarrierNetwork } from './carrier-network.js';
import { left, right, type SiteMap } from '../site/site-map.js';

export const FAR = 1_000_000;

export class WaysOut {
  /** [tile]: least number of moves to an exit past the crew, FAR where there is no way; once they are `measured`. */
  readonly distance: Int32Array;
  private measured = false;
  private readonly steps: Steps;
  /** Tiles in the order in which they are reached. */
  private readonly queue: Int32Array;

  constructor(
    map: SiteMap,
    private readonly net: CarrierNetwork,
  ) {
    this.distance = new Int32Array(map.tiles);
    this.steps = stepsOf(map);
    this.queue = new Int32Array(map.tiles);
  }

  /** Begins anew with the crew that stands, without measuring. */
  enter(): void {
    this.measured = false;
  }

  /** Breadth first from the exits, backwards; an underpass counts its tiles apart as one move at least. */
  measure(): void {
    const { net, distance, queue, steps } = this;
    this.measured = true;
    distance.fill(FAR);
    let end = 0;
    for (const tile of steps.exits) {
      if (net.occupant[tile] === BLOCKED) continue;
      distance[tile] = 1;
      queue[end++] = tile;
    }
    for (let at = 0; at < end; at++) {
      const tile = queue[at];
      for (const from of steps.before[tile]) {
        if (net.occupant[from] === BLOCKED || distance[from] !== FAR) continue;
        distance[from] = distance[tile] + 1;
        queue[end++] = from;
      }
    }
  }

  /** Whether any way leads from a tile to an exit past the crew. Distances are measured only if it isn't the first shortest one past no crew. */
  leadsFrom(tile: number): boolean {
    let at = tile;
    while (!this.measured && this.steps.distance[at] > 1) {
      at = this.nearer(at);
      if (at < 0) this.measure();
    }
    return !this.measured || this.distance[tile] !== FAR;
  }

  /** The first tile past the crew to which one move leads and that lies nearer to an exit, if nothing stood there; or -1. */
  private nearer(tile: number): number {
    const { after, distance } = this.steps;
    for (const to of after[tile]) if (distance[to] < distance[tile] && this.net.occupant[to] !== BLOCKED) return to;
    return -1;
  }
}

/** Where moves may end, and from where they come, whatever stands there. */
interface Steps {
  /** Tiles over which belts may leave. */
  readonly exits: readonly number[];
  /** [tile]: tiles from which one move, at least, leads there. */
  readonly before: readonly Int32Array[];
  /** [tile]: tiles to which one leads. */
  readonly after: readonly (readonly number[])[];
  /** [tile]: least number of moves to an exit past no crew, FAR where there is no way. */
  readonly distance: Int32Array;
}

function stepsOf(map: SiteMap): Steps {
  const tiles = Array.from({ length: map.tiles }, (_, tile) => tile);
  const ways = [0, 1, 2, 3];
  const before = tiles.map((tile) =>
    ways.flatMap((heading) => {
      const beside = map.neighbour[tile * 4 + heading];
      if (beside < 0) return [];
      const from = [beside];
      let beyond = beside;
      for (let apart = 2; apart <= map.longestSpan; apart++) {
        beyond = map.neighbour[beyond * 4 + heading];
        if (beyond < 0) break;
        from.push(beyond);
      }
      // A splitter may shift items to the tile beside it.
      if (map.splitters.length > 0) from.push(...[left(heading), right(heading)].map((turn) => map.neighbour[beside * 4 + turn]).filter((diagonal) => diagonal >= 0));
      return from;
    }),
  );
  const after = tiles.map((): number[] => []);
  before.forEach((some, to) => {
    for (const from of new Set(some)) after[from].push(to);
  });
  const exits = tiles.filter((tile) => ways.some((heading) => map.exitsAt[tile * 4 + heading] !== 0));
  const distance = new Int32Array(map.tiles).fill(FAR);
  const reached = exits.filter((tile) => map.keepOut[tile] === 0);
  for (const tile of reached) distance[tile] = 1;
  for (const tile of reached) {
    for (const from of before[tile]) {
      if (map.keepOut[from] !== 0 || distance[from] !== FAR) continue;
      distance[from] = distance[tile] + 1;
      reached.push(from);
    }
  }
  return { exits, before: before.map((from) => Int32Array.from(new Set(from))), after, distance };
}
