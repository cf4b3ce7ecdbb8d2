/**
 * Stations that fill wagons, drawn by geometry alone and by nothing of the search: belts that come in, wander, part and run
 * into each other, arms beside them, chests that other arms empty into wagons; each with a brief that asks for just what it
 * brings. Its sibling for stations that empty wagons is `drawn-stations.ts`.
 */
import { HEADINGS, backOf, sameTile, stepFrom, type Tile } from '../../src/base/geometry.js';
import { isWithin, tilesWithin, topOf } from '../../src/base/ground.js';
import { isLess, maxRational, ONE, ratio, ZERO, type Rational } from '../../src/base/rational.js';
import { seededRandom } from '../../src/base/random.js';
import type { Brief } from '../../src/brief/brief.js';
import type { LoadJob } from '../../src/brief/load-job.js';
import { isLegal } from '../../src/layout/check-layout.js';
import { entriesOf, pickTile, placeTile, wagonAt, type Layout, type PlacedArm, type PlacedEntry } from '../../src/layout/layout.js';
import { deriveNetwork, type Network } from '../../src/layout/network.js';
import { spottingOffsets } from '../../src/layout/spotting.js';
import type { VerifyLoading } from '../../src/synthesis/loading/loading-search.js';
import { leastLoadedOfAll } from '../../src/tasks/least-flows.js';
import { keptBrief, type Kept } from './drawn-brief.js';
import { catalogDocument } from './drawn-catalog.js';
import { DrawnWays, isCarrier, keptOut, standsOn } from './drawn-ground.js';
import { alongTrack, STARTS } from './drawn-stations.js';
import { thrifty, watered, withoutPart, type Rules } from './drawn-thrift.js';
import { readBrief } from './random-briefs.js';
import { chance, pick, type Draw } from './random-networks.js';

const MOST_PARTS = 26;

/** Whether a wagon covers it, by where they stop. */
const coveredBy = (wagons: Layout['wagons'], spotting: number, tile: Tile): readonly boolean[] => spottingOffsets(spotting).map((offset) => wagonAt(wagons, { ...tile, x: tile.x - offset }) !== undefined);
const isAlwaysWagon = (...asked: Parameters<typeof coveredBy>): boolean => coveredBy(...asked).every((is) => is);
const isEverWagon = (...asked: Parameters<typeof coveredBy>): boolean => coveredBy(...asked).includes(true);

class LoadingGround extends DrawnWays {
  readonly entries: PlacedEntry[] = [];

  /** A belt from over an edge, until it runs into another one, has no room or ends. */
  enter(): void {
    const { draw, brief: { site, wagons, catalog } } = this;
    const model = pick(draw, catalog.belts);
    const heading = pick(draw, HEADINGS);
    const edge = tilesWithin(site).filter((at) => !isWithin(site, stepFrom(at, backOf(heading))) && wagonAt(wagons, stepFrom(at, backOf(heading))) === undefined);
    if (edge.length === 0) return;
    const at = pick(draw, edge);
    if (!this.put({ kind: 'belt', at, heading, model })) return;
    this.entries.push({ at, heading, give: undefined });
    const ends = [{ at, heading }];
    for (const end of ends) {
      const ahead = stepFrom(end.at, end.heading);
      if (this.isFree(ahead) && chance(draw, 85)) ends.push(...this.goOn(ahead, end.heading, model));
    }
  }

  /** Arms that fill wagons, straight from carriers or out of chests, and arms around those. */
  serve(): void {
    const { draw, brief: { feed, site, catalog, wagons, spotting } } = this;
    const places = tilesWithin(site).flatMap((at) => HEADINGS.flatMap((heading) => catalog.arms.map((model) => ({ kind: 'arm' as const, at, heading, model }))));
    for (const arm of this.shuffled(places)) {
      const [from, onto] = [pickTile(arm), placeTile(arm)];
      if (feed !== 'chests' && this.onCarrier(from) && isEverWagon(wagons, spotting, onto) && chance(draw, spotting > 0 ? 70 : 50)) this.put(arm);
      else if (feed !== 'direct' && isAlwaysWagon(wagons, spotting, onto) && this.isFree(arm.at) && this.isFree(from) && chance(draw, 70)) this.putChest(arm, from);
    }
  }

  private putChest(out: PlacedArm, at: Tile): void {
    const { draw, brief: { catalog } } = this;
    const before = this.parts.length;
    this.parts.push(out, { kind: 'chest', at, model: catalog.chests[0] });
    for (const heading of HEADINGS) {
      for (const model of catalog.arms) {
        const arm = { kind: 'arm' as const, at: stepFrom(at, heading, -model.reach), heading, model };
        if (this.onCarrier(pickTile(arm)) && chance(draw, 60)) this.put(arm);
      }
    }
    if (this.parts.length === before + 2) this.parts.length = before;
  }
}

/** Without ends from which nothing is picked. */
function trimmed(layout: Layout): Layout {
  let left = layout;
  for (;;) {
    const { carriers, arms } = deriveNetwork(left);
    const picked = new Set(arms.flatMap(({ pick: from }) => (from.kind === 'carrier' ? [from.carrier] : [])));
    const dead = carriers.find(({ index, next, kind }) => next.kind === 'nothing' && !picked.has(index) && kind !== 'splitter-half');
    if (dead === undefined) break;
    left = { ...left, parts: left.parts.filter((_, part) => part !== dead.part) };
  }
  return { ...left, entries: entriesOf(left).filter(({ at }) => left.parts.some((part) => isCarrier(part) && standsOn(part, at))) };
}

/** Whether no two ways lead from one carrier to another, whichever way their items go. */
function isForest({ carriers }: Network): boolean {
  const root = carriers.map(({ part }) => carriers.findIndex((other) => other.part === part));
  const rootOf = (at: number): number => (root[at] === at ? at : rootOf(root[at]));
  return carriers.every(({ index, next }) => {
    if (next.kind !== 'carrier') return true;
    const [from, onto] = [rootOf(index), rootOf(next.carrier)];
    root[from] = onto;
    return from !== onto;
  });
}

/** Whether items of some entry come over each carrier, and over each belt of one with a first belt of its model. */
function areTheirs(layout: Layout, { carriers }: Network): boolean {
  const modelOf = (part: number): string | undefined => {
    const each = layout.parts[part];
    return each.kind === 'belt' ? each.model.name : undefined;
  };
  const models = carriers.map((): Set<string | undefined> => new Set());
  for (const first of carriers.filter(({ entry }) => entry !== undefined)) {
    const come = new Set([first.index]);
    for (const index of come) {
      const { next, part } = carriers[index];
      models[index].add(modelOf(first.part));
      if (next.kind === 'carrier') come.add(next.carrier);
      for (const half of carriers) if (half.part === part) come.add(half.index);
    }
  }
  return carriers.every(({ index, kind, part }) => models[index].size > 0 && (kind !== 'belt' || models[index].has(modelOf(part))));
}

/** Whether each chest is filled from carriers and emptied by one arm, and each arm has work to do. */
function areAtWork(layout: Layout, { arms }: Network, spotting: number): boolean {
  return layout.parts.every((part, index) => {
    if (part.kind === 'chest') {
      const fills = arms.filter(({ pick: from, place }) => from.kind === 'carrier' && place.kind === 'chest' && place.part === index);
      return fills.length > 0 && arms.filter(({ pick: from }) => from.kind === 'chest' && from.part === index).length === 1;
    }
    const link = arms.find((arm) => arm.part === index);
    if (part.kind !== 'arm' || link === undefined) return part.kind !== 'arm';
    const { pick: from, place } = link;
    if (from.kind === 'chest') return place.kind === 'wagon' && isAlwaysWagon(layout.wagons, spotting, placeTile(part));
    return from.kind === 'carrier' && (place.kind === 'chest' || isEverWagon(layout.wagons, spotting, placeTile(part)));
  });
}

/** Whether the search is to know of it: see `LOADING_SPACE`. */
function isOfSpace(layout: Layout, spotting: number): boolean {
  const network = deriveNetwork(layout);
  const { carriers, arms } = network;
  const entries = entriesOf(layout);
  const picked = new Set(arms.flatMap(({ pick: from }) => (from.kind === 'carrier' ? [from.carrier] : [])));
  return (
    entries.length > 0 &&
    entries.every(({ at, heading }) => layout.parts.some((part) => part.kind === 'belt' && sameTile(part.at, at) && part.heading === heading)) &&
    carriers.every(({ next, index }) => next.kind === 'carrier' || (next.kind === 'nothing' && picked.has(index))) &&
    isForest(network) && areTheirs(layout, network) && areAtWork(layout, network, spotting)
  );
}

interface Drawn {
  readonly layout: Layout;
  readonly brief: Brief;
  readonly job: LoadJob;
}

function drawnParts(draw: Draw): Drawn | undefined {
  const size = (): number => (chance(draw, 15) ? 1 + draw(2) : 3 + draw(3));
  // Beside short wagons with gaps between them it takes arms that miss these as planned.
  const isBesideGaps = chance(draw, 25);
  const [width, depth] = isBesideGaps ? [2 + draw(3), 2 + draw(2)] : [size(), size()];
  const north = chance(draw, 25) ? 1 + draw(3) : 0;
  const spotting = isBesideGaps ? 1 : pick(draw, [0, 0, 0, 1, 1]);
  const feed = pick(draw, isBesideGaps ? ['direct', 'direct', 'either'] : ['chests', 'chests', 'direct', 'either']);
  const catalog = catalogDocument(draw, isBesideGaps ? 1 + draw(3) : chance(draw, 30) ? width + draw(3) : 1 + draw(3));
  const at = draw(2) - (chance(draw, 30) ? 1 : 0);
  const row: { readonly model: 'wagon' | 'short'; readonly at: number }[] = [{ model: 'wagon', at }];
  while (row.length < (isBesideGaps ? 3 : 2) && chance(draw, 70)) {
    const { model, at: last } = row[row.length - 1];
    const { length, coupling } = catalog.wagons[model];
    row.push({ model: pick(draw, ['wagon', 'short']), at: last + length + coupling });
  }
  const inRow = row.filter((wagon) => wagon.at < width && wagon.at + catalog.wagons[wagon.model].length > 0);
  const { wagons, track } = north > 0 ? alongTrack(draw, catalog, width, spotting) : { wagons: inRow, track: undefined };
  const brief = readBrief({
    format: 'transloom-brief/1',
    name: 'drawn',
    catalog,
    job: 'load',
    site: { width, depth, ...(north > 0 ? { north, ...(track === undefined ? {} : { track }) } : {}) },
    wagons,
    entries: [{ edge: 'S', from: 0, to: 0, belt: 'slow', target: { rate: '1/1000' } }],
    spotting,
    feed,
    starts: STARTS,
  } as { readonly catalog: unknown });
  if (brief?.load === undefined) return undefined;
  const ground = new LoadingGround(draw, brief);
  for (let belts = pick(draw, [1, 2, 2, 3]); belts > 0; belts--) ground.enter();
  ground.serve();
  const layout = trimmed({ name: brief.name, catalog: brief.catalog, wagons: brief.wagons, site: brief.site, parts: ground.parts, exits: [], entries: ground.entries });
  return isLegal(layout) && isOfSpace(layout, spotting) ? { layout, brief, job: brief.load } : undefined;
}

function onItsGround(draw: Draw, { layout, brief }: Omit<Drawn, 'job'>): Drawn {
  const { site } = brief;
  const entries = entriesOf(layout).map(({ at, heading }) => {
    const edge = backOf(heading);
    const isAcross = edge === 'N' || edge === 'S';
    const [along, first, last] = isAcross ? [at.x, 0, site.width - 1] : [at.y, topOf(site), site.depth - 1];
    const [belt] = layout.parts.flatMap((part) => (part.kind === 'belt' && sameTile(part.at, at) ? [part.model] : []));
    const [from, to] = chance(draw, 50) ? [first, last] : [along, along];
    return { edge, from, to, belt, target: ZERO };
  });
  const kept = { ...site, keepOut: keptOut(draw, { site, parts: layout.parts }) };
  const job: LoadJob = { entries, together: undefined, fullTicks: undefined };
  return { layout: { ...layout, site: kept }, brief: { ...brief, site: kept, load: job }, job };
}

/** The brief with targets that the layout just meets; undefined where it is not known what it brings, or that is nothing. */
function asking(draw: Draw, layout: Layout, brief: Brief, job: LoadJob): Brief | undefined {
  const least = leastLoadedOfAll(layout, { starts: STARTS, seed: 1, tickLimit: 60_000 }, brief.spotting, brief.presence);
  if (least === undefined || !isLess(ZERO, least.together)) return undefined;
  const way = pick(draw, ['entries', 'entries', 'together', 'full', 'both'] as const);
  const full = (): Rational | undefined => {
    const times = brief.wagons.map(({ model }, wagon) => (least.wagons[wagon].equals(ZERO) ? undefined : ratio(model.capacity).div(least.wagons[wagon])));
    return times.some((time) => time === undefined) ? undefined : times.map((time) => time ?? ZERO).reduce(maxRational);
  };
  const fullTicks = way === 'full' ? full() : undefined;
  if (way === 'full' && fullTicks === undefined) return undefined;
  const isOwn = way === 'entries' || way === 'both';
  if (isOwn && !least.entries.every((flow) => isLess(ZERO, flow))) return undefined;
  const together = way === 'together' || way === 'both' ? least.together : undefined;
  return { ...brief, load: { entries: job.entries.map((entry, e) => ({ ...entry, target: isOwn ? least.entries[e] : ZERO })), together, fullTicks } };
}

export interface DrawnLoading extends Kept {
  readonly layout: Layout;
}

/** A station with a brief that it just meets; undefined where nothing comes of the seed. */
export function drawnLoading(seed: number, verify: VerifyLoading): DrawnLoading | undefined {
  const draw = seededRandom(seed * 7_919 + 5);
  const drawn = drawnParts(draw);
  if (drawn === undefined || drawn.layout.parts.length > MOST_PARTS) return undefined;
  const presence = pick(draw, [ONE, ONE, ratio(1, 2), ratio(5, 7)]);
  const first = onItsGround(draw, { ...drawn, brief: { ...drawn.brief, presence } });
  const entries = entriesOf(first.layout).length;
  const { spotting } = first.brief;
  const rules = (brief: Brief): Rules => ({
    without: (layout, part) => trimmed(withoutPart(layout, part)),
    isSound: (layout) => entriesOf(layout).length === entries && isOfSpace(layout, spotting),
    passes: (layout) => verify(layout, brief).verdict === 'passes',
  });
  const standing = watered(draw, first.layout, rules(first.brief));
  const asked = standing && asking(draw, standing, first.brief, first.job);
  if (standing === undefined || asked === undefined) return undefined;
  // What is left of it may stand elsewhere, and may bring more.
  const { layout, brief, job } = onItsGround(draw, { layout: thrifty(standing, rules(asked)), brief: first.brief });
  const anew = asking(draw, layout, brief, job);
  const kept = anew && keptBrief(draw, layout, anew, verify);
  return kept && { layout, ...kept };
}
