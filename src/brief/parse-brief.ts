/**
 * Reads a brief against a checked catalog: schema first, then what no schema can state. Gives every
 * finding at once. Targets become items per tick here. The shape of the result is in `brief.ts`.
 */
import { parseTicks } from '../base/duration.js';
import { boxHolds, type Box, type Tile } from '../base/geometry.js';
import { isOnTrack, isWithin, rowsOf, topOf } from '../base/ground.js';
import type { Checked, Finding } from '../base/finding.js';
import type { JsonNode } from '../base/json-node.js';
import { parseRate } from '../base/rate.js';
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
import { readLoadJob, type LoadCode } from './parse-load-job.js';
import { flowForTrains, flowOfTrains, fullLoad } from './asked-trains.js';
import type { Brief, Edge, ExitDemand, Feed, Kept, Limits, Objective, Target } from './brief.js';

export type BriefCode =
  | SchemaCode
  | SiteCode
  | LoadCode
  | 'share-over-one'
  | 'share-zero'
  | 'fill-and-rate'
  | 'target-missing'
  | 'target-empty'
  | 'target-zero'
  | 'target-over-capacity'
  | 'total-under-lanes'
  | 'target-under-exits'
  | 'range-reversed'
  | 'range-outside'
  | 'range-kept-out'
  | 'range-on-track'
  | 'range-at-wagon'
  | 'exits-crowded'
  | 'no-chest-model'
  | 'no-arm-model'
  | 'reach-over-site'
  | 'first-objective'
  | 'not-a-demand'
  | 'keep-of-three'
  | 'keep-outside'
  | 'not-a-time'
  | 'dwell-zero'
  | 'not-trains'
  | 'trains-over-capacity';

const EDGES: readonly Edge[] = ['N', 'E', 'S', 'W'];
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
const USUAL_STARTS = 16;
const USUAL_OBJECTIVES: readonly Objective[] = ['cost', 'footprint', 'parts'];

type Report = (code: BriefCode, node: JsonNode, values?: Finding['values'], severity?: Finding['severity']) => void;

/** A share from 0 (only where `zero` allows it) to 1. */
function readShare(node: JsonNode, zero: boolean, report: Report): Rational | undefined {
  const text = node.text();
  if (text === undefined) return undefined;
  const share = parseRational(text);
  if (share === undefined) report('not-a-share', node, { found: shown(text) });
  else if (isLess(ONE, share)) report('share-over-one', node, { found: shown(text) });
  else if (!zero && compare(share, ZERO) === 0) report('share-zero', node);
  else return share;
  return undefined;
}

/** `bad`: something stands there that has a finding, whoever reported it. */
type Flow =
  { readonly kind: 'absent' } | { readonly kind: 'bad' } | { readonly kind: 'flow'; readonly itemsPerTick: Rational };

/** What is asked of an exit without a target of its own. */
const NOTHING: Target = { total: ZERO, left: ZERO, right: ZERO };

const BAD: Flow = { kind: 'bad' };

/** Reads fill (a share of `capacity`) or rate as items per tick, at most `capacity`. */
function readFlow(node: JsonNode, capacity: Rational, ticksPerSecond: number, report: Report): Flow {
  const fill = node.at('fill');
  const rate = node.at('rate');
  if (fill.isPresent && rate.isPresent) {
    report('fill-and-rate', node);
    return BAD;
  }
  if (fill.isPresent) {
    const share = readShare(fill, true, report);
    return share === undefined ? BAD : { kind: 'flow', itemsPerTick: share.mul(capacity) };
  }
  if (!rate.isPresent) return { kind: 'absent' };
  const text = rate.text();
  if (text === undefined) return BAD;
  const itemsPerTick = parseRate(text, ticksPerSecond);
  if (itemsPerTick === undefined) {
    report('not-a-rate', rate, { found: shown(text) });
    return BAD;
  }
  if (isLess(capacity, itemsPerTick)) {
    const perSecond = `${formatRational(capacity.mul(ratio(ticksPerSecond)))}/s`;
    report('target-over-capacity', rate, { found: shown(text), capacity: formatRational(capacity), perSecond });
    return BAD;
  }
  return { kind: 'flow', itemsPerTick };
}

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

const borderTile = (site: Brief['site'], edge: Edge, place: number): Tile => {
  switch (edge) {
    case 'N':
      return { x: place, y: topOf(site) };
    case 'S':
      return { x: place, y: site.depth - 1 };
    case 'W':
      return { x: 0, y: place };
    case 'E':
      return { x: site.width - 1, y: place };
  }
};

interface Range {
  readonly node: JsonNode;
  readonly edge: Edge;
  readonly from: number;
  readonly to: number;
}

/** Places of the range at which a belt could leave. */
function openPlaces(range: Range, site: Brief['site'], wagons: Brief['wagons'], report: Report): readonly number[] {
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

/** Gives each belt of an edge a place of its own, the one whose range ends first having the first choice. */
function checkCrowding(ranges: readonly (Range & { readonly open: readonly number[] })[], report: Report): void {
  for (const edge of EDGES) {
    const taken = new Set<number>();
    const inOrder = ranges.filter((range) => range.edge === edge && range.open.length > 0).sort((a, b) => a.to - b.to);
    // Exact, since all ranges of an edge have the same gaps: a place given up to a later end can be swapped.
    for (const { node, open } of inOrder) {
      const place = open.find((candidate) => !taken.has(candidate));
      if (place === undefined) report('exits-crowded', node, { edge });
      else taken.add(place);
    }
  }
}

function readExits(
  root: JsonNode,
  catalog: Catalog,
  site: Brief['site'] | undefined,
  wagons: Brief['wagons'],
  report: Report,
): {
  readonly demands: readonly ExitDemand[];
  readonly together: Rational | undefined;
  readonly unknown: readonly Finding<BriefCode>[];
} {
  const demands: ExitDemand[] = [];
  const unknown: Finding<BriefCode>[] = [];
  const ranges: (Range & { readonly open: readonly number[] })[] = [];
  const speeds: number[] = [];
  const common = root.at('target');
  for (const node of root.at('exits').items()) {
    const edge = node.at('edge').oneOf(EDGES);
    const from = node.at('from').whole();
    const to = node.at('to').whole();
    const belt = lookUp(catalog.belts, node.at('belt'), 'belts');
    unknown.push(...belt.findings);
    // Of an unknown belt nothing is known but that no lane is faster than the pitch.
    const speed = belt.model?.speed ?? catalog.pitch;
    speeds.push(speed);
    const own = node.at('target');
    if (!own.isPresent && !common.isPresent && node.isObject) report('target-missing', node);
    const target = own.isPresent ? readTarget(own, speed, catalog, report) : NOTHING;
    if (from === undefined || to === undefined) continue;
    if (from > to) report('range-reversed', node, { from, to });
    if (edge === undefined || from > to) continue;
    if (site !== undefined) {
      const range = { node, edge, from, to };
      ranges.push({ ...range, open: openPlaces(range, site, wagons, report) });
    }
    if (belt.model && target) demands.push({ edge, from, to, belt: belt.model, target });
  }
  checkCrowding(ranges, report);
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

/** No more trains than all belts that leave, or come in, can carry the load of. */
function checkTrains(node: JsonNode, brief: Brief, report: Report): void {
  const { trainsPerHour } = brief.limits;
  const capacity = sumRational((brief.load?.entries ?? brief.exits).map(({ belt }) => ratio(2 * belt.speed, brief.catalog.pitch)));
  if (trainsPerHour === undefined || !isLess(capacity, flowForTrains(brief))) return;
  const most = capacity.div(flowOfTrains(brief, ONE));
  const perSecond = `${formatRational(capacity.mul(ratio(brief.catalog.ticksPerSecond)))}/s`;
  report('trains-over-capacity', node, { found: shown(node.text()), load: formatRational(fullLoad(brief)), perSecond, most: formatRational(most) });
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

  const { job, unknown: unknownBelts } = readLoadJob(root, catalog, site, wagons, {
    report,
    readFlow: (node, capacity) => readFlow(node, capacity, catalog.ticksPerSecond, report),
    openPlaces: (range) => (site === undefined ? [] : openPlaces(range, site, wagons, report)),
    checkCrowding: (ranges) => {
      checkCrowding(ranges, report);
    },
  });
  findings.push(...unknownBelts);
  const { demands, together, unknown } =
    job === undefined ? readExits(root, catalog, site, wagons, report) : { demands: [], together: undefined, unknown: [] };
  findings.push(...unknown);

  const feed = root.at('feed').oneOf(FEEDS) ?? 'either';
  if (feed === 'chests' && catalog.chests.length === 0) report('no-chest-model', root.at('feed'));
  if (catalog.arms.length === 0) report('no-arm-model', root.at('catalog'));
  if (site !== undefined) {
    for (const arm of catalog.arms) {
      if (!reachesTooFar(arm.reach, site)) continue;
      report('reach-over-site', root.at('site'), { name: arm.name, reach: arm.reach }, 'warning');
    }
  }

  const presence = readShare(root.at('presence'), false, report) ?? ONE;
  const demand = readDemand(root.at('demand'), catalog, report);
  const keep = readKeep(root.at('keep'), site, report);
  const limits = root.at('limits');
  const imbalance = readShare(limits.at('imbalance'), true, report);
  const trainLimits = readTrainLimits(limits, catalog, report);

  const minimise = root
    .at('minimise')
    .items()
    .flatMap((node): Objective[] => {
      const objective = node.oneOf(OBJECTIVES);
      return objective === undefined ? [] : [objective];
    });
  const first = root.at('minimise').at(0);
  const firstObjective = first.oneOf(OBJECTIVES);
  if (firstObjective !== undefined && firstObjective !== 'cost' && firstObjective !== 'parts') {
    report('first-objective', first, { found: firstObjective });
  }

  const isFlawed = (): boolean => findings.some((finding) => finding.severity === 'error');
  if (site === undefined || isFlawed()) return { ok: false, findings };
  const brief: Brief = {
    name: root.at('name').text() ?? '',
    catalog,
    site,
    wagons,
    exits: demands,
    together,
    ...(root.at('exceed').truth() === true ? { exceed: true } : {}),
    feed,
    spotting,
    presence,
    starts: root.at('starts').whole() ?? USUAL_STARTS,
    limits: {
      arms: limits.at('arms').whole(),
      parts: limits.at('parts').whole(),
      cost: limits.at('cost').whole(),
      imbalance,
      ...trainLimits,
    },
    minimise: minimise.length === 0 ? USUAL_OBJECTIVES : minimise,
    ...(demand === undefined ? {} : { demand }),
    ...(job === undefined ? {} : { load: job }),
    ...(keep === undefined ? {} : { keep }),
  };
  checkTrains(limits.at('trainsPerHour'), brief, report);
  return isFlawed() ? { ok: false, findings } : { ok: true, warnings: findings, value: brief };
}

/** What can be said of a brief while its catalog can't be read: the schema's findings alone. */
export function checkBriefForm(json: unknown): readonly Finding<SchemaCode>[] {
  return checkSchema('brief', json).findings;
}
