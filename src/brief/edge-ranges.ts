/**
 * Ranges of an edge within which belts leave or come in: whether any of their places is open, and whether there are
 * enough of them for all.
 */
import { boxHolds } from '../base/geometry.js';
import { borderTile, isOnTrack, topOf } from '../base/ground.js';
import type { JsonNode } from '../base/json-node.js';
import type { Brief, Edge } from './brief.js';
import type { Report } from './read-flow.js';

export type RangeCode = 'range-reversed' | 'range-outside' | 'range-kept-out' | 'range-on-track' | 'range-at-wagon' | 'exits-crowded';

const EDGES: readonly Edge[] = ['N', 'E', 'S', 'W'];

export interface Range {
  readonly node: JsonNode;
  readonly edge: Edge;
  readonly from: number;
  readonly to: number;
}

/** Undefined where one of its fields has a finding. */
export function readRange(node: JsonNode, report: Report<RangeCode>): Range | undefined {
  const edge = node.at('edge').oneOf(EDGES);
  const from = node.at('from').whole();
  const to = node.at('to').whole();
  if (from === undefined || to === undefined) return undefined;
  if (from > to) report('range-reversed', node, { from, to });
  return edge === undefined || from > to ? undefined : { node, edge, from, to };
}

/** Places of the range at which a belt could leave. */
function openPlaces(range: Range, site: Brief['site'], wagons: Brief['wagons'], report: Report<RangeCode>): readonly number[] {
  const { node, edge, from, to } = range;
  const [first, last] = edge === 'N' || edge === 'S' ? [0, site.width - 1] : [topOf(site), site.depth - 1];
  if (from < first || to > last) {
    report('range-outside', node, { from, to, edge, last, ...(first === 0 ? {} : { first }) });
    return [];
  }
  const places = Array.from({ length: to - from + 1 }, (_, index) => from + index);
  const beside = places.filter((place) => !isOnTrack(site, borderTile(site, edge, place)));
  const standable = beside.filter((place) => !site.keepOut.some((box) => boxHolds(box, borderTile(site, edge, place))));
  const underWagon = (place: number): boolean =>
    edge === 'N' && (site.north ?? 0) === 0 && wagons.some(({ at, model }) => place >= at && place < at + model.length);
  const open = standable.filter((place) => !underWagon(place));
  if (beside.length === 0) report('range-on-track', node, { from, to, edge });
  else if (standable.length === 0) report('range-kept-out', node, { from, to, edge });
  else if (open.length === 0) report('range-at-wagon', node, { from, to });
  return open;
}

/** That each range has an open place, and all belts of an edge a place of their own. */
export function checkRanges(ranges: readonly Range[], site: Brief['site'], wagons: Brief['wagons'], report: Report<RangeCode>): void {
  const open = ranges.map((range) => ({ range, places: openPlaces(range, site, wagons, report) }));
  for (const edge of EDGES) {
    const taken = new Set<number>();
    const inOrder = open.filter(({ range, places }) => range.edge === edge && places.length > 0).sort((a, b) => a.range.to - b.range.to);
    // The one whose range ends first has the first choice. Exact, since all ranges of an edge have the same gaps: a place given
    // up to a later end can be swapped.
    const surplus = inOrder.filter(({ places }) => {
      const place = places.find((candidate) => !taken.has(candidate));
      if (place !== undefined) taken.add(place);
      return place === undefined;
    });
    if (surplus.length > 0) report('exits-crowded', surplus[0].range.node, { edge, count: surplus.length });
  }
}
