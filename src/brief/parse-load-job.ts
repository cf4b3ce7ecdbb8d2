/**
 * Reads what a brief of the job "load" asks for: belts that come in, and how much of them is to get into wagons. What it
 * shares with exits is handed in by `parse-brief.ts`.
 */
import { parseDuration } from '../base/duration.js';
import type { Finding } from '../base/finding.js';
import type { JsonNode } from '../base/json-node.js';
import { compare, formatRational, isLess, maxRational, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import { shown } from '../base/schema-check.js';
import type { Catalog } from '../catalog/catalog.js';
import { lookUp, type SiteCode } from '../catalog/read-site.js';
import type { Brief, Edge } from './brief.js';
import type { EntryDemand, LoadJob } from './load-job.js';

export type LoadCode = 'exits-of-loading' | 'entries-of-unloading' | 'full-of-unloading' | 'full-of-one-entry' | 'full-and-flow' | 'full-too-soon' | 'entry-target-missing' | 'not-of-loading';

type Flow = { readonly kind: 'absent' } | { readonly kind: 'bad' } | { readonly kind: 'flow'; readonly itemsPerTick: Rational };

interface Range {
  readonly node: JsonNode;
  readonly edge: Edge;
  readonly from: number;
  readonly to: number;
}

interface EdgeReaders {
  readonly report: (code: LoadCode | 'target-empty' | 'target-zero' | 'not-a-time' | 'range-reversed', node: JsonNode, values?: Finding['values']) => void;
  /** Fill or rate, at most `capacity`. */
  readonly readFlow: (node: JsonNode, capacity: Rational) => Flow;
  readonly openPlaces: (range: Range) => readonly number[];
  readonly checkCrowding: (ranges: readonly (Range & { readonly open: readonly number[] })[]) => void;
}

const EDGES: readonly Edge[] = ['N', 'E', 'S', 'W'];

function readFull(node: JsonNode, { ticksPerSecond }: Catalog, report: EdgeReaders['report']): Rational | undefined {
  const text = node.text();
  if (text === undefined) return undefined;
  const time = parseDuration(text);
  const ticks = time === undefined ? undefined : time.kind === 'ticks' ? ratio(time.ticks) : time.seconds.mul(ticksPerSecond);
  if (ticks !== undefined && isLess(ZERO, ticks)) return ticks;
  report('not-a-time', node, { found: shown(text) });
  return undefined;
}

/** Undefined where the brief has another job. */
export function readLoadJob(
  root: JsonNode,
  catalog: Catalog,
  site: Brief['site'] | undefined,
  wagons: Brief['wagons'],
  { report, readFlow, openPlaces, checkCrowding }: EdgeReaders,
): { readonly job: LoadJob | undefined; readonly unknown: readonly Finding<SiteCode>[] } {
  const common = root.at('target');
  if (root.at('job').text() !== 'load') {
    if (root.at('entries').isPresent) report('entries-of-unloading', root.at('entries'));
    if (common.at('full').isPresent) report('full-of-unloading', common.at('full'));
    return { job: undefined, unknown: [] };
  }
  if (root.at('exits').isPresent) report('exits-of-loading', root.at('exits'));
  const north = root.at('site').at('north');
  if (north.isPresent) report('not-of-loading', north);
  const unknown: Finding<SiteCode>[] = [];
  const entries: EntryDemand[] = [];
  const ranges: (Range & { readonly open: readonly number[] })[] = [];
  const capacities: Rational[] = [];
  const nodes = root.at('entries').items();
  let fullTicks = readFull(common.at('full'), catalog, report);
  for (const node of nodes) {
    const edge = node.at('edge').oneOf(EDGES);
    const from = node.at('from').whole();
    const to = node.at('to').whole();
    const belt = lookUp(catalog.belts, node.at('belt'), 'belts');
    unknown.push(...belt.findings);
    const capacity = ratio(2 * (belt.model?.speed ?? catalog.pitch), catalog.pitch);
    capacities.push(capacity);
    const own = node.at('target');
    const full = own.at('full');
    if (full.isPresent && nodes.length > 1) report('full-of-one-entry', full);
    else if (full.isPresent && (own.at('fill').isPresent || own.at('rate').isPresent)) report('full-and-flow', full);
    else if (full.isPresent) fullTicks ??= readFull(full, catalog, report);
    const flow = readFlow(own, capacity);
    if (flow.kind === 'absent' && own.isObject && !full.isPresent) report('target-empty', own);
    if (flow.kind === 'absent' && !own.isPresent && !common.isPresent && node.isObject) report('entry-target-missing', node);
    if (flow.kind === 'flow' && compare(flow.itemsPerTick, ZERO) === 0) report('target-zero', own);
    if (from === undefined || to === undefined || edge === undefined) continue;
    if (from > to) {
      report('range-reversed', node, { from, to });
      continue;
    }
    const range = { node, edge, from, to };
    if (site !== undefined) ranges.push({ ...range, open: openPlaces(range) });
    if (belt.model !== undefined && flow.kind !== 'bad') entries.push({ edge, from, to, belt: belt.model, target: flow.kind === 'flow' ? flow.itemsPerTick : ZERO });
  }
  checkCrowding(ranges);
  const capacity = sumRational(capacities);
  const together = readFlow(common, capacity);
  if (together.kind === 'absent' && common.isObject && !common.at('full').isPresent) report('target-empty', common);
  if (together.kind === 'flow' && compare(together.itemsPerTick, ZERO) === 0) report('target-zero', common);
  if (fullTicks !== undefined && nodes.length > 0) {
    const load = wagons.reduce((sum, { model }) => sum + model.capacity, 0);
    const least = ratio(load).div(maxRational(capacity, ratio(1, 1_000_000_000)));
    if (isLess(fullTicks, least)) {
      const node = common.at('full').isPresent ? common.at('full') : nodes[0].at('target').at('full');
      const seconds = formatRational(least.div(catalog.ticksPerSecond));
      report('full-too-soon', node, { items: load, least: `${seconds}s` });
    }
  }
  return { job: { entries, together: together.kind === 'flow' ? together.itemsPerTick : undefined, fullTicks }, unknown };
}
