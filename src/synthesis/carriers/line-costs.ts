/**
 * What carriers cost at least that carry a flow across grid lines, where they come at several speeds: across one line it
 * takes belts that carry as much together, or underpasses. And what so many moves cost, whatever they carry. Which lines must
 * be crossed, and by how much, is said in `grid-lines.ts` and `carrier-bound.ts`; here is only the price.
 */
import type { SiteMap } from '../site/site-map.js';

/** Belts side by side. */
interface Belts {
  readonly cost: number;
  readonly carries: number;
}

/** Belts side by side, of the given ones and up to so much, of which none carries less than one that costs no more. */
function cheapest(belts: readonly Belts[], upTo: number): readonly Belts[] {
  let all: readonly Belts[] = [{ cost: 0, carries: 0 }];
  for (;;) {
    const wider = all.flatMap((some) => (some.carries >= upTo ? [] : belts.map((belt) => ({ cost: some.cost + belt.cost, carries: some.carries + belt.carries }))));
    const sorted = [...all, ...wider].sort((a, b) => a.cost - b.cost || b.carries - a.carries);
    const kept: Belts[] = [];
    for (const some of sorted) if (some.carries > (kept.at(-1)?.carries ?? -1)) kept.push(some);
    if (kept.length === all.length && kept.every(({ cost, carries }, n) => cost === all[n].cost && carries === all[n].carries)) return kept;
    all = kept;
  }
}

export class LineCosts {
  /** Whether a slow belt may be too little where a fast one is enough. */
  readonly hasTiers: boolean;
  private readonly belt: number;
  /** [n]: least cost of belts and underpasses that make n moves across grid lines, whatever these carry. */
  private readonly coverCost: Float64Array;
  /** [n]: the same of underpasses alone, of n moves or more. */
  private readonly underpassCost: Float64Array;
  /** What belts carry across one line together, and cost: the cheapest first, each more than those before. */
  private readonly sideBySide: readonly Belts[];

  constructor(map: SiteMap, coverCost: Float64Array) {
    const acrossLine = ({ speed }: { readonly speed: number }): number => 2 * map.endCapacities[speed];
    this.hasTiers = new Set([...map.belts, ...map.underpasses, ...map.splitters].map(({ speed }) => map.endCapacities[speed])).size > 1;
    this.belt = Math.min(...map.belts.map(({ cost }) => cost));
    this.coverCost = coverCost;
    this.underpassCost = new Float64Array(coverCost.length).fill(Infinity);
    this.underpassCost[0] = 0;
    for (let n = 1; n < coverCost.length; n++) {
      for (const { span, cost } of map.underpasses) {
        this.underpassCost[n] = Math.min(this.underpassCost[n], 2 * cost + this.underpassCost[Math.max(0, n - span - 1)]);
      }
    }
    this.sideBySide = this.hasTiers ? cheapest(map.belts.map((belt) => ({ cost: belt.cost, carries: acrossLine(belt) })), map.wanted) : [];
  }

  /** What it costs to carry so much across one line, beyond `moves` of the cheapest belts. */
  extraOf(flow: number, moves: number): number {
    const enough = this.sideBySide.find(({ carries }) => carries >= flow);
    return enough === undefined ? 0 : Math.max(0, enough.cost - moves * this.belt);
  }

  /**
   * Of so many moves, at most one of which each of `extras` makes dearer (the greatest first, those before `from` left out). An
   * underpass makes a move across each of its lines at one price; it may do so where belts are dearest.
   */
  ofMoves(moves: number, extras: readonly number[], from: number): number {
    const plain = this.coverCost[Math.min(moves, this.coverCost.length - 1)];
    if (from >= extras.length) return plain;
    let byBelts = moves * this.belt;
    for (let n = from; n < extras.length; n++) byBelts += extras[n];
    let least = byBelts;
    for (let beneath = 1; beneath <= moves && beneath < this.underpassCost.length; beneath++) {
      byBelts -= this.belt + (from + beneath <= extras.length ? extras[from + beneath - 1] : 0);
      const cost = this.underpassCost[beneath] + byBelts;
      if (cost < least) least = cost;
    }
    return Math.max(plain, least);
  }
}

export const cheapestTile = (map: SiteMap): number =>
  Math.min(...map.belts.map((belt) => belt.cost), ...map.underpasses.map((underpass) => underpass.cost));

/** [n]: least cost of belts and underpasses that make n moves across grid lines. */
export function coverCosts(map: SiteMap): Float64Array {
  const most = 4 * (map.width + map.depth + 2) * Math.max(1, map.demands.length);
  const costs = new Float64Array(most + 1);
  const belt = Math.min(...map.belts.map((model) => model.cost));
  for (let n = 1; n <= most; n++) {
    costs[n] = costs[n - 1] + belt;
    for (const { span, cost } of map.underpasses) costs[n] = Math.min(costs[n], costs[Math.max(0, n - span - 1)] + 2 * cost);
  }
  return costs;
}
