/**
 * Where stretches may go beneath what stands there, or for less than belts would: how far underpasses have to lead for that.
 */
import { FREE, type CarrierNetwork } from './carrier-network.js';
import { UNDERPASS_STEP } from './step-queues.js';
import type { StretchKind } from './stretch-loads.js';
import type { SiteMap } from '../site/site-map.js';

const [NORTH, EAST, SOUTH, WEST] = [0, 1, 2, 3];

export class Beneath {
  /** [tile * 4 + heading]: how far ahead the first tile is that is not free; more than any span where there is none. */
  private readonly taken: Uint8Array;
  /** [kind]: how far apart the ends of an underpass must be to lead further than belts for its money; beyond all spans where none does. */
  private readonly clearFrom: readonly number[];
  /** Of the last call of `leads`. */
  readonly ends: Int32Array;
  readonly models: Int32Array;

  constructor(
    private readonly map: SiteMap,
    private readonly net: CarrierNetwork,
    private readonly kinds: readonly StretchKind[],
  ) {
    this.ends = new Int32Array(map.longestSpan * map.underpasses.length);
    this.models = new Int32Array(this.ends.length);
    this.taken = new Uint8Array(map.tiles * 4);
    this.clearFrom = kinds.map(({ tileCost, holds }) => {
      const leads = (apart: number): boolean => map.underpasses.some((_, m) => holds[m] && this.leadsFarEnough(m, apart, true, tileCost));
      let apart = 1;
      while (apart <= map.longestSpan && !leads(apart)) apart++;
      return apart;
    });
  }

  /** What is taken, row by row from both corners, so that what lies ahead is known. */
  measure(): void {
    const { map, net, taken } = this;
    const { neighbour, tiles, longestSpan } = map;
    if (longestSpan === 0) return;
    const none = longestSpan + 1;
    const measure = (at: number): void => {
      const front = neighbour[at];
      taken[at] = front < 0 ? none : net.occupant[front] !== FREE ? 1 : Math.min(none, taken[front * 4 + (at & 3)] + 1);
    };
    for (let tile = 0; tile < tiles; tile++) {
      measure(tile * 4 + NORTH);
      measure(tile * 4 + WEST);
    }
    for (let tile = tiles - 1; tile >= 0; tile--) {
      measure(tile * 4 + EAST);
      measure(tile * 4 + SOUTH);
    }
  }

  /**
   * An underpass may end on a drop tile, and what is set down there leaves by it too: two ends meet on that tile, and go on for
   * a belt less.
   */
  ontoDropStep(model: number): number {
    return UNDERPASS_STEP + this.map.underpasses.length + model;
  }

  /**
   * The free tiles to which an underpass whose end stands on a tile may lead ahead, and the models that do: so many, in `ends`
   * and `models`, for a stretch of that kind.
   */
  leads(tile: number, heading: number, kind: number): number {
    // Ahead there must be what stands in the way, or room for an underpass that does the same for less.
    if (Math.min(this.clearFrom[kind], this.taken[tile * 4 + heading] + 1) > this.map.longestSpan) return 0;
    const { map, net, ends, models } = this;
    const { tileCost, holds } = this.kinds[kind];
    let count = 0;
    let end = tile;
    let clear = true;
    for (let apart = 1; apart <= map.longestSpan; apart++) {
      end = map.neighbour[end * 4 + heading];
      if (end < 0) break;
      if (net.occupant[end] !== FREE) {
        clear = false;
        continue;
      }
      for (let m = 0; m < holds.length; m++) {
        if (!holds[m] || !this.leadsFarEnough(m, apart, clear, tileCost)) continue;
        ends[count] = end;
        models[count++] = m;
      }
    }
    return count;
  }

  /** Whether an underpass model may lead so far, and is not simply what belts at `tileCost` do for no more; `clear`: all tiles between are free. */
  private leadsFarEnough(model: number, apart: number, clear: boolean, tileCost: number): boolean {
    const { span, cost } = this.map.underpasses[model];
    return span >= apart && (!clear || 2 * cost < (apart + 1) * tileCost);
  }
}
