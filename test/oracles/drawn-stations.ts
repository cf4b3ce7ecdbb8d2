/**
 * Stations that unload, drawn by geometry alone and by nothing of the search, each with a brief that asks for just what it
 * gives: so what a search takes for granted of a layout, or of what is asked, is not taken for granted here. Sites of one
 * side or two, some very narrow; wagons in a row, with gaps between them, that may stop short or far.
 */
import { sameTile } from '../../src/base/geometry.js';
import { topOf } from '../../src/base/ground.js';
import { seededRandom } from '../../src/base/random.js';
import type { Brief } from '../../src/brief/brief.js';
import { isLegal } from '../../src/layout/check-layout.js';
import type { Layout } from '../../src/layout/layout.js';
import { deriveNetwork, type Network } from '../../src/layout/network.js';
import { spotted } from '../../src/layout/spotting.js';
import type { Verify } from '../../src/synthesis/verifier.js';
import { askingForFlows, keptBrief, NOTHING, type Kept } from './drawn-brief.js';
import { catalogDocument } from './drawn-catalog.js';
import { DrawnGround, isCarrier, keptOut, standsOn } from './drawn-ground.js';
import { thrifty, watered, withoutPart, type Rules } from './drawn-thrift.js';
import { readBrief } from './random-briefs.js';
import { chance, pick, type Draw } from './random-networks.js';

/** Staggered ones of each brief. */
export const STARTS = 2;
/** Larger ones cost so much more than the best that their price tells nothing. */
const MOST_PARTS = 30;

/** Carriers by which items of some arm come, and both halves of splitters. */
function loadedCarriers({ carriers, arms }: Network): ReadonlySet<number> {
  const loaded = new Set(arms.flatMap(({ place }) => (place.kind === 'carrier' ? [place.carrier] : [])));
  for (const carrier of loaded) {
    const { next, part } = carriers[carrier];
    if (next.kind === 'carrier') loaded.add(next.carrier);
    for (const { index } of carriers.filter((other) => other.part === part)) loaded.add(index);
  }
  return loaded;
}

const exitsLeft = (exits: Layout['exits'], parts: Layout['parts']): Layout['exits'] => exits.filter(({ at }) => parts.some((part) => isCarrier(part) && standsOn(part, at)));

/** Without carriers by which no item comes, but for belts that head into a belt by which some do. */
function trimmed(layout: Layout): Layout {
  const network = deriveNetwork(layout);
  const { carriers } = network;
  const loaded = loadedCarriers(network);
  const used = new Set([...loaded].map((carrier) => carriers[carrier].part));
  for (const { kind, next, part } of carriers) if (kind === 'belt' && next.kind === 'carrier' && loaded.has(next.carrier)) used.add(part);
  const parts = layout.parts.filter((part, index) => !isCarrier(part) || used.has(index));
  return { ...layout, parts, exits: exitsLeft(layout.exits, parts) };
}

/** Whether the search is to know of it: each arm and chest has work to do, each exit is of a belt, and all items may leave. */
function isOfSpace(layout: Layout, spotting: number): boolean {
  const network = deriveNetwork(layout);
  const { carriers } = network;
  const loaded = loadedCarriers(network);
  const leaves = new Set(carriers.flatMap(({ next, index }) => (next.kind === 'exit' ? [index] : [])));
  for (const carrier of leaves) for (const { next, index } of carriers) if (next.kind === 'carrier' && next.carrier === carrier) leaves.add(index);
  const isBlind = ({ kind, next, part }: (typeof carriers)[number]): boolean => kind === 'splitter-half' && next.kind === 'nothing' && carriers.some((half) => half.part === part && leaves.has(half.index));
  const isIdle = ({ kind, behind, fromLeft, fromRight, next }: (typeof carriers)[number]): boolean => kind === 'belt' && next.kind === 'carrier' && [behind, fromLeft, fromRight].every((feeder) => feeder === undefined);
  const links = spotted(layout, spotting).flatMap((each) => deriveNetwork(each).arms);
  const works = (part: number): boolean => links.some((arm) => arm.part === part && arm.pick.kind !== 'nothing' && arm.place.kind !== 'nothing');
  const isEmptied = (chest: number): boolean => links.some(({ pick: from, place }) => from.kind === 'chest' && from.part === chest && place.kind === 'carrier');
  return (
    layout.exits.length > 0 &&
    carriers.every((carrier) => (loaded.has(carrier.index) || isIdle(carrier)) && (leaves.has(carrier.index) || isBlind(carrier))) &&
    layout.exits.every(({ heading, at }) => carriers.some(({ kind, index, heading: own, head }) => kind === 'belt' && loaded.has(index) && own === heading && sameTile(head, at))) &&
    layout.parts.every(({ kind }, part) => (kind !== 'arm' || works(part)) && (kind !== 'chest' || isEmptied(part)))
  );
}

/** Wagons in a row, and how far the track reaches where there are two sides. */
export function alongTrack(draw: Draw, { wagons: models }: ReturnType<typeof catalogDocument>, width: number, spotting: number) {
  let next = chance(draw, 60) ? 0 : draw(3) - 1;
  const row = Array.from({ length: pick(draw, [1, 1, 2, 2, 3]) }, () => {
    const model = pick(draw, ['wagon', 'wagon', 'short'] as const);
    const { length, coupling } = models[model];
    const at = next;
    next += length + (chance(draw, 80) ? coupling : draw(3));
    return { model, at, last: at + length - 1 };
  });
  const beside = row.filter(({ at, last }) => at < width && last >= 0);
  const from = Math.min(...beside.map(({ at }) => at)) - spotting - draw(2);
  const to = Math.max(...beside.map(({ last }) => last)) + spotting + draw(2);
  const track = { ...(from > 0 && chance(draw, 50) ? { from } : {}), ...(to < width - 1 && chance(draw, 80) ? { to } : {}) };
  return { wagons: beside.map(({ model, at }) => ({ model, at })), ...(Object.keys(track).length > 0 ? { track } : {}) };
}

interface Drawn {
  readonly layout: Layout;
  readonly brief: Brief;
}

/** Parts on a site; what is asked is left out. Undefined where nothing comes of it. */
function drawnParts(draw: Draw): Drawn | undefined {
  const size = (): number => (chance(draw, 15) ? 1 + draw(2) : 3 + draw(chance(draw, 25) ? 6 : 4));
  const [width, depth] = [size(), size()];
  const north = chance(draw, 20) ? 1 + draw(3) : 0;
  const spotting = pick(draw, [0, 0, 0, 1, 1, 2]);
  const catalog = catalogDocument(draw, chance(draw, 50) ? width : 1 + draw(3));
  const { wagons, track } = alongTrack(draw, catalog, width, spotting);
  const brief = readBrief({
    format: 'transloom-brief/1',
    name: 'drawn',
    catalog,
    site: { width, depth, ...(north > 0 ? { north, ...(track === undefined ? {} : { track }) } : {}) },
    wagons,
    exits: [{ edge: 'S', from: 0, to: 0, belt: 'slow', target: { rate: '1/1000' } }],
    spotting,
    feed: pick(draw, ['chests', 'chests', 'chests', 'direct', 'either', 'either']),
    starts: STARTS,
  } as { readonly catalog: unknown });
  if (brief === undefined) return undefined;
  const ground = new DrawnGround(draw, brief);
  for (let belts = 1 + draw(6); belts > 0; belts--) ground.wander();
  ground.serve();
  while (chance(draw, 15)) ground.putIdle();
  const { parts, exits } = ground;
  const layout = trimmed({ name: brief.name, catalog: brief.catalog, wagons: brief.wagons, site: brief.site, parts, exits });
  return isLegal(layout) && isOfSpace(layout, spotting) ? { layout, brief } : undefined;
}

/** The brief with the layout's exits, each of which may be elsewhere along its edge half of the time, and tiles kept out on which nothing stands. */
function onItsGround(draw: Draw, { layout, brief }: Drawn): Drawn {
  const { site } = brief;
  const exits = layout.exits.map(({ at, heading }) => {
    const isAcross = heading === 'N' || heading === 'S';
    const along = isAcross ? at.x : at.y;
    const [first, last] = isAcross ? [0, site.width - 1] : [topOf(site), site.depth - 1];
    const [belt] = layout.parts.flatMap((part) => (part.kind === 'belt' && sameTile(part.at, at) ? [part.model] : []));
    const [from, to] = chance(draw, 50) ? [first, last] : [along, along];
    return { edge: heading, from, to, belt, target: NOTHING };
  });
  const kept = { ...site, keepOut: keptOut(draw, { site, parts: layout.parts }) };
  return { layout: { ...layout, site: kept }, brief: { ...brief, site: kept, exits } };
}

export interface DrawnStation extends Kept {
  readonly layout: Layout;
}

/** A station with a brief that it just meets; undefined where nothing comes of the seed. */
export function drawnStation(seed: number, verify: Verify): DrawnStation | undefined {
  const draw = seededRandom(seed * 7_919 + 3);
  const drawn = drawnParts(draw);
  if (drawn === undefined || drawn.layout.parts.length > MOST_PARTS) return undefined;
  const first = onItsGround(draw, drawn);
  const { spotting } = drawn.brief;
  const rules = (brief: Brief): Rules => ({ without: withoutPart, isSound: (layout) => exitsLeft(layout.exits, layout.parts).length === layout.exits.length && isOfSpace(layout, spotting), passes: (layout) => verify(layout, brief).verdict === 'passes' });
  const standing = watered(draw, first.layout, rules(first.brief));
  const asked = standing && askingForFlows(draw, standing, first.brief);
  if (standing === undefined || asked === undefined) return undefined;
  // What is left of it may stand elsewhere, and may give more.
  const { layout, brief } = onItsGround(draw, { layout: thrifty(standing, rules(asked)), brief: first.brief });
  const anew = askingForFlows(draw, layout, brief);
  const kept = anew && keptBrief(draw, layout, anew, verify);
  return kept && { layout, ...kept };
}
