/**
 * Reads what a brief of the job "load" asks for: belts that come in, and how much of them is to get into wagons.
 */
import { parseTicks } from '../base/duration.js';
import type { Finding } from '../base/finding.js';
import type { JsonNode } from '../base/json-node.js';
import { compare, formatRational, isLess, minRational, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import { shown } from '../base/schema-check.js';
import type { Catalog } from '../catalog/catalog.js';
import { lookUp } from '../catalog/read-site.js';
import type { Brief } from './brief.js';
import { checkRanges, readRange, type Range, type RangeCode } from './edge-ranges.js';
import type { EntryDemand, LoadJob } from './load-job.js';
import { readFlow, type Flow, type FlowCode, type Report } from './read-flow.js';

export type LoadCode =
  | FlowCode
  | RangeCode
  | 'exits-of-loading'
  | 'entries-of-unloading'
  | 'full-of-unloading'
  | 'full-of-one-entry'
  | 'full-and-flow'
  | 'full-too-soon'
  | 'entry-target-missing'
  | 'target-empty'
  | 'target-zero'
  | 'not-a-time';

/** What belongs to the other job. */
export function checkJob(root: JsonNode, report: Report<LoadCode>): void {
  const loads = isLoading(root);
  const reportAt = (code: LoadCode, node: JsonNode): void => {
    if (node.isPresent) report(code, node);
  };
  if (loads) {
    reportAt('exits-of-loading', root.at('exits'));
  } else {
    reportAt('entries-of-unloading', root.at('entries'));
    reportAt('full-of-unloading', root.at('target').at('full'));
  }
}

export const isLoading = (root: JsonNode): boolean => root.at('job').text() === 'load';

function readFull(node: JsonNode, { ticksPerSecond }: Catalog, report: Report<LoadCode>): Rational | undefined {
  const text = node.text();
  if (text === undefined) return undefined;
  const ticks = parseTicks(text, ticksPerSecond);
  if (ticks !== undefined && isLess(ZERO, ticks)) return ticks;
  report('not-a-time', node, { found: shown(text) });
  return undefined;
}

/** A fill or a rate, at most `capacity`; more than 0, if something is asked for at all and no time stands in its place. */
function readAsked(node: JsonNode, capacity: Rational, { ticksPerSecond }: Catalog, report: Report<LoadCode>): Flow {
  const flow = readFlow(node, capacity, ticksPerSecond, report);
  if (flow.kind === 'absent' && node.isObject && !node.at('full').isPresent) report('target-empty', node);
  if (flow.kind === 'flow' && compare(flow.itemsPerTick, ZERO) === 0) report('target-zero', node);
  return flow;
}

/** An only entry may ask for a time; beside a flow, or others, it may not. */
function checkOwnTime(target: JsonNode, isOnly: boolean, report: Report<LoadCode>): void {
  const full = target.at('full');
  if (!full.isPresent) return;
  if (!isOnly) report('full-of-one-entry', full);
  else if (target.at('fill').isPresent || target.at('rate').isPresent) report('full-and-flow', full);
}

const itemsPerTick = (flow: Flow): Rational => (flow.kind === 'flow' ? flow.itemsPerTick : ZERO);

/** `capacity`: what all belts bring, in items per tick. */
function checkSoonEnough(node: JsonNode, ticks: Rational, wagons: Brief['wagons'], capacity: Rational, catalog: Catalog, report: Report<LoadCode>): void {
  const items = wagons.reduce((sum, { model }) => sum + model.capacity, 0);
  const least = ratio(items).div(capacity);
  if (isLess(ticks, least)) report('full-too-soon', node, { items, least: `${formatRational(least.div(catalog.ticksPerSecond))}s` });
}

/** Entries that have a finding are left out. `site`: undefined where it is unsound; `wagons`: those that are sound. */
export function readLoadJob(
  root: JsonNode,
  catalog: Catalog,
  site: Brief['site'] | undefined,
  wagons: Brief['wagons'],
  report: Report<LoadCode>,
): { readonly job: LoadJob; readonly unknown: readonly Finding<'unknown-model'>[] } {
  const common = root.at('target');
  const nodes = root.at('entries').items();
  const unknown: Finding<'unknown-model'>[] = [];
  const entries: EntryDemand[] = [];
  const ranges: Range[] = [];
  const capacities: Rational[] = [];
  for (const node of nodes) {
    const range = readRange(node, report);
    const belt = lookUp(catalog.belts, node.at('belt'), 'belts');
    unknown.push(...belt.findings);
    const capacity = ratio(2 * (belt.model?.speed ?? catalog.pitch), catalog.pitch);
    capacities.push(capacity);
    const own = node.at('target');
    checkOwnTime(own, nodes.length === 1, report);
    const flow = readAsked(own, capacity, catalog, report);
    if (!own.isPresent && !common.isPresent && node.isObject) report('entry-target-missing', node);
    if (range === undefined) continue;
    ranges.push(range);
    const { edge, from, to } = range;
    if (belt.model !== undefined && flow.kind !== 'bad') entries.push({ edge, from, to, belt: belt.model, target: itemsPerTick(flow) });
  }
  if (site !== undefined) checkRanges(ranges, site, wagons, report);
  const capacity = sumRational(capacities);
  const together = readAsked(common, capacity, catalog, report);
  const times = [common, ...nodes.slice(0, 1).map((node) => node.at('target'))].flatMap((target) => {
    const node = target.at('full');
    const ticks = readFull(node, catalog, report);
    return ticks === undefined ? [] : [{ node, ticks }];
  });
  if (nodes.length > 0) for (const { node, ticks } of times) checkSoonEnough(node, ticks, wagons, capacity, catalog, report);
  const fullTicks = times.map(({ ticks }) => ticks).reduce((least: Rational | undefined, ticks) => (least === undefined ? ticks : minRational(least, ticks)), undefined);
  return { job: { entries, together: together.kind === 'flow' ? together.itemsPerTick : undefined, fullTicks }, unknown };
}
