/**
 * Reads a brief against a checked catalog: schema first, then what no schema can state. Gives every
 * finding at once. Targets become items per tick here. The shape of the result is in `brief.ts`.
 */
import { parseTicks } from '../base/duration.js';
import type { Box, Tile } from '../base/geometry.js';
import { isWithin, rowsOf, topOf } from '../base/ground.js';
import type { Checked, Finding } from '../base/finding.js';
import type { JsonNode } from '../base/json-node.js';
import {
  compare,
  formatRational,
  isLess,
  maxRational,
  ONE,
  parseRational,
  ratio,
  sumRational,
  ZERO,
  type Rational,
} from '../base/rational.js';
import { checkSchema, shown, type SchemaCode } from '../base/schema-check.js';
import type { Catalog } from '../catalog/catalog.js';
import { checkGround, lookUp, readGround, type SiteCode } from '../catalog/read-site.js';
import { parseDemandRate, type Demand } from './demand.js';
import { checkRanges, readRange, type Range, type RangeCode } from './edge-ranges.js';
import { checkJob, isLoading, readLoadJob, type LoadCode } from './parse-load-job.js';
import { BAD, readFlow, readShare, type Flow, type FlowCode, type Report as ReportOf } from './read-flow.js';
import { flowOfTrains, fullLoad } from './asked-trains.js';
import { USUAL_STARTS, type Brief, type ExitDemand, type Feed, type Kept, type Limits, type Objective, type Target } from './brief.js';

export type BriefCode =
  | SchemaCode
  | SiteCode
  | FlowCode
  | RangeCode
  | LoadCode
  | 'target-missing'
  | 'total-under-lanes'
  | 'target-under-exits'
  | 'no-chest-model'
  | 'no-arm-model'
  | 'reach-over-site'
  | 'first-objective'
  | 'not-a-demand'
  | 'keep-of-three'
  | 'keep-outside'
  | 'dwell-zero'
  | 'not-trains'
  | 'trains-over-capacity';

const FEEDS: readonly Feed[] = ['chests', 'direct', 'either'];
const OBJECTIVES: readonly Objective[] = [
  'cost',
  'footprint',
  'parts',
  'imbalance',
  'arms',
  'splitters',
  'depth',
  'width',
  'fill',
  'dwell',
  'trainsPerHour',
];
const USUAL_OBJECTIVES: readonly Objective[] = ['cost', 'footprint', 'parts'];

type Report = ReportOf<BriefCode>;

/** What is asked of an exit without a target of its own. */
const NOTHING: Target = { total: ZERO, left: ZERO, right: ZERO };

/** `speed` in units per tick. Undefined where the target has a finding, whoever reported it. */
function readTarget(node: JsonNode, speed: number, catalog: Catalog, report: Report): Target | undefined {
  if (!node.isObject) return undefined;
  const { ticksPerSecond, pitch } = catalog;
  const lane = (side: 'left' | 'right'): Flow => {
    const flow = readFlow(node.at(side), ratio(speed, pitch), ticksPerSecond, report);
    if (flow.kind !== 'absent' || !node.at(side).isPresent) return flow;
    if (node.at(side).isObject) report('target-empty', node.at(side));
    return BAD;
  };
  const whole = readFlow(node, ratio(2 * speed, pitch), ticksPerSecond, report);
  const left = lane('left');
  const right = lane('right');
  if (whole.kind === 'absent' && left.kind === 'absent' && right.kind === 'absent') {
    report('target-empty', node);
    return undefined;
  }
  if (whole.kind === 'bad' || left.kind === 'bad' || right.kind === 'bad') return undefined;
  const itemsPerTick = (flow: Exclude<Flow, { kind: 'bad' }>): Rational =>
    flow.kind === 'flow' ? flow.itemsPerTick : ZERO;
  const lanes = itemsPerTick(left).add(itemsPerTick(right));
  if (whole.kind === 'flow' && isLess(whole.itemsPerTick, lanes)) report('total-under-lanes', node, {}, 'warning');
  const total = whole.kind === 'flow' ? whole.itemsPerTick : lanes;
  if (compare(total, ZERO) === 0) report('target-zero', node);
  return { total, left: itemsPerTick(left), right: itemsPerTick(right) };
}

/** The common target, at most what all belts carry: `speeds` are theirs, in units per tick. */
function readTogether(
  node: JsonNode,
  speeds: readonly number[],
  exits: readonly ExitDemand[],
  catalog: Catalog,
  report: Report,
): Rational | undefined {
  if (!node.isObject || speeds.length === 0) return undefined;
  const capacity = sumRational(speeds.map((speed) => ratio(2 * speed, catalog.pitch)));
  const flow = readFlow(node, capacity, catalog.ticksPerSecond, report);
  // Of a time to fill wagons in, more is said where the job is read.
  if (flow.kind === 'absent' && !node.at('full').isPresent) report('target-empty', node);
  if (flow.kind !== 'flow') return undefined;
  const { itemsPerTick } = flow;
  const alone = sumRational(exits.map(({ target }) => maxRational(target.total, target.left.add(target.right))));
  if (compare(itemsPerTick, ZERO) === 0) report('target-zero', node);
  else if (isLess(itemsPerTick, alone)) report('target-under-exits', node, {}, 'warning');
  return itemsPerTick;
}

function readExits(
  root: JsonNode,
  catalog: Catalog,
  site: Brief['site'] | undefined,
  wagons: Brief['wagons'],
  report: Report,
): { readonly demands: readonly ExitDemand[]; readonly together: Rational | undefined; readonly unknown: readonly Finding<'unknown-model'>[] } {
  const demands: ExitDemand[] = [];
  const unknown: Finding<'unknown-model'>[] = [];
  const ranges: Range[] = [];
  const speeds: number[] = [];
  const common = root.at('target');
  for (const node of root.at('exits').items()) {
    const range = readRange(node, report);
    const belt = lookUp(catalog.belts, node.at('belt'), 'belts');
    unknown.push(...belt.findings);
    // Of an unknown belt nothing is known but that no lane is faster than the pitch.
    const speed = belt.model?.speed ?? catalog.pitch;
    speeds.push(speed);
    const own = node.at('target');
    if (!own.isPresent && !common.isPresent && node.isObject) report('target-missing', node);
    const target = own.isPresent ? readTarget(own, speed, catalog, report) : NOTHING;
    if (range === undefined) continue;
    ranges.push(range);
    const { edge, from, to } = range;
    if (belt.model && target) demands.push({ edge, from, to, belt: belt.model, target });
  }
  if (site !== undefined) checkRanges(ranges, site, wagons, report);
  return { demands, together: readTogether(common, speeds, demands, catalog, report), unknown };
}

function readDemand(node: JsonNode, { ticksPerSecond }: Catalog, report: Report): Demand | undefined {
  if (!node.isObject) return undefined;
  const read = (field: 'rate' | 'roundTrip', code: BriefCode, parse: (text: string, ticksPerSecond: number) => Rational | undefined): Rational | undefined => {
    const text = node.at(field).text();
    const value = text === undefined ? undefined : parse(text, ticksPerSecond);
    if (text !== undefined && value === undefined) report(code, node.at(field), { found: shown(text) });
    return value;
  };
  const itemsPerTick = read('rate', 'not-a-demand', parseDemandRate);
  const roundTripTicks = read('roundTrip', 'not-a-time', parseTicks);
  return { itemsPerTick, roundTripTicks, layover: readShare(node.at('layover'), true, report) ?? ZERO };
}

/** What trains are held to: see `layout/measure.ts`. */
function readTrainLimits(limits: JsonNode, { ticksPerSecond }: Catalog, report: Report): Pick<Limits, 'dwell' | 'trainsPerHour'> {
  const time = limits.at('dwell').text();
  const trains = limits.at('trainsPerHour').text();
  const dwell = time === undefined ? undefined : parseTicks(time, ticksPerSecond);
  const trainsPerHour = trains === undefined ? undefined : parseRational(trains);
  if (time !== undefined && dwell === undefined) report('not-a-time', limits.at('dwell'), { found: shown(time) });
  if (dwell !== undefined && compare(dwell, ZERO) === 0) report('dwell-zero', limits.at('dwell'));
  if (trains !== undefined && trainsPerHour === undefined) report('not-trains', limits.at('trainsPerHour'), { found: shown(trains) });
  return { ...(dwell === undefined ? {} : { dwell }), ...(trainsPerHour === undefined ? {} : { trainsPerHour }) };
}

/** No more trains than all belts that leave, or come in, can carry the load of; where all belts and wagons are known. */
function checkTrains(root: JsonNode, catalog: Catalog, wagons: Brief['wagons'], trainsPerHour: Rational | undefined, report: Report): void {
  const belts = root.at(isLoading(root) ? 'entries' : 'exits').items().map((node) => lookUp(catalog.belts, node.at('belt'), 'belts').model);
  const known = belts.filter((belt) => belt !== undefined);
  if (trainsPerHour === undefined || known.length < belts.length || wagons.length < root.at('wagons').items().length) return;
  const capacity = sumRational(known.map(({ speed }) => ratio(2 * speed, catalog.pitch)));
  if (!isLess(capacity, flowOfTrains({ wagons, catalog }, trainsPerHour))) return;
  const most = capacity.div(flowOfTrains({ wagons, catalog }, ONE));
  const perSecond = `${formatRational(capacity.mul(ratio(catalog.ticksPerSecond)))}/s`;
  const node = root.at('limits').at('trainsPerHour');
  report('trains-over-capacity', node, { found: shown(node.text()), load: formatRational(fullLoad({ wagons })), perSecond, most: formatRational(most) });
}

/** `[x, y]` or `[x, y, width, height]`, all of it on the site. */
function readKeep(node: JsonNode, site: Brief['site'] | undefined, report: Report): Kept | undefined {
  if (!node.isPresent) return undefined;
  const boxes: Box[] = [];
  const tiles: Tile[] = [];
  for (const item of node.items()) {
    if (item.items().length === 3) report('keep-of-three', item);
    const numbers = item.wholes(2) ?? item.wholes(4);
    if (numbers === undefined) continue;
    const [x, y, width = 1, height = 1] = numbers;
    if (site !== undefined && (!isWithin(site, { x, y }) || !isWithin(site, { x: x + width - 1, y: y + height - 1 }))) {
      report('keep-outside', item, { width: site.width, rows: rowsOf(site) });
    } else if (numbers.length === 2) tiles.push({ x, y });
    else boxes.push({ x, y, width, height });
  }
  return { boxes, tiles };
}

/** An arm of this reach, wherever it stands, picks or places off the site and its wagons. */
const reachesTooFar = (reach: number, site: Brief['site']): boolean =>
  2 * reach > (topOf(site) < 0 ? rowsOf(site) - 1 : site.depth + 1) && 2 * reach > site.width - 1;

/** That arms can work on the site, and chests where they are wanted. */
function checkParts(root: JsonNode, catalog: Catalog, feed: Feed, site: Brief['site'] | undefined, report: Report): void {
  if (feed === 'chests' && catalog.chests.length === 0) report('no-chest-model', root.at('feed'));
  if (catalog.arms.length === 0) report('no-arm-model', root.at('catalog'));
  if (site === undefined) return;
  for (const arm of catalog.arms) {
    if (reachesTooFar(arm.reach, site)) report('reach-over-site', root.at('site'), { name: arm.name, reach: arm.reach }, 'warning');
  }
}

function readLimits(limits: JsonNode, catalog: Catalog, report: Report): Limits {
  return {
    arms: limits.at('arms').whole(),
    parts: limits.at('parts').whole(),
    cost: limits.at('cost').whole(),
    imbalance: readShare(limits.at('imbalance'), true, report),
    ...readTrainLimits(limits, catalog, report),
  };
}

function readObjectives(list: JsonNode, report: Report): readonly Objective[] {
  const objectives = list.items().map((node) => node.oneOf(OBJECTIVES));
  const [first] = objectives;
  if (first !== undefined && first !== 'cost' && first !== 'parts') report('first-objective', list.at(0), { found: first });
  return objectives.length === 0 ? USUAL_OBJECTIVES : objectives.filter((objective) => objective !== undefined);
}

/** The brief in items per tick and whole tiles, its defaults filled in; `catalog` is the one that it names, checked before. */
export function parseBrief(json: unknown, catalog: Catalog): Checked<Brief, BriefCode> {
  const { findings: complaints, root } = checkSchema('brief', json);
  const findings: Finding<BriefCode>[] = [...complaints];
  const report: Report = (code, node, values, severity = 'error') => {
    findings.push({ severity, code, pointer: node.pointer, ...(values === undefined ? {} : { values }) });
  };

  const ground = readGround(root, catalog, true);
  const { site, wagons } = ground;
  findings.push(...ground.findings);
  const spotting = root.at('spotting').whole() ?? 0;
  if (site !== undefined) findings.push(...checkGround(site, wagons, ground.pointers, spotting));
  checkJob(root, report);
  const loading = isLoading(root) ? readLoadJob(root, catalog, site, wagons, report) : undefined;
  const leaving = loading === undefined ? readExits(root, catalog, site, wagons, report) : undefined;
  findings.push(...((loading ?? leaving)?.unknown ?? []));
  const feed = root.at('feed').oneOf(FEEDS) ?? 'either';
  checkParts(root, catalog, feed, site, report);
  const presence = readShare(root.at('presence'), false, report) ?? ONE;
  const demand = readDemand(root.at('demand'), catalog, report);
  const keep = readKeep(root.at('keep'), site, report);
  const limits = readLimits(root.at('limits'), catalog, report);
  const minimise = readObjectives(root.at('minimise'), report);

  checkTrains(root, catalog, wagons, limits.trainsPerHour, report);

  if (site === undefined || findings.some(({ severity }) => severity === 'error')) return { ok: false, findings };
  const brief: Brief = {
    name: root.at('name').text() ?? '',
    catalog,
    site,
    wagons,
    exits: leaving?.demands ?? [],
    together: leaving?.together,
    ...(root.at('exceed').truth() === true ? { exceed: true } : {}),
    feed,
    spotting,
    presence,
    starts: root.at('starts').whole() ?? USUAL_STARTS,
    limits,
    minimise,
    ...(demand === undefined ? {} : { demand }),
    ...(loading === undefined ? {} : { load: loading.job }),
    ...(keep === undefined ? {} : { keep }),
  };
  return { ok: true, warnings: findings, value: brief };
}

/** What can be said of a brief while its catalog can't be read: the schema's findings alone. */
export function checkBriefForm(json: unknown): readonly Finding<SchemaCode>[] {
  return checkSchema('brief', json).findings;
}
