/**
 * Stations that unload, drawn by geometry alone and by nothing of the search: belts that wander, part and run into each
 * other until they leave the site, chests and arms beside them, then tiles that are kept out. So what a search takes for
 * granted of a layout is not taken for granted here.
 */
import { HEADINGS, leftOf, rightHalfOf, rightOf, sameTile, stepFrom, type Heading, type Tile } from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';
import type { Brief } from '../../src/brief/brief.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { pickTile, placeTile, tilesOf, wagonAt, type Layout, type Part, type PlacedExit } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { readBrief } from './random-briefs.js';
import { chance, pick, type Draw } from './random-networks.js';

const UNITS = [[16, 4, 1, 4, 16, 20], [16, 4, 2, 8, 16, 24], [16, 4, 4, 16], [64, 16, 4, 32, 64, 96], [64, 12, 4, 16, 64], [48, 12, 6, 48, 72], [240, 60, 15, 240], [240, 60, 14, 240], [16, 12, 3, 16], [240, 80, 30, 240], [24, 20, 5, 24]] as const;
const MOST_EXITS = 3;
/** Wherever an exit is asked for, at least this much is. */
const LITTLE = { rate: '1/1000' };

function catalogDocument(draw: Draw, width: number): object {
  const [units, pitch, speed, ...turns] = pick(draw, UNITS);
  const isTiered = chance(draw, 40);
  const fast = Math.min(pitch, speed + 1 + draw(speed + 1));
  const speedOfOthers = (): number => (isTiered ? pick(draw, [speed, fast]) : speed);
  const arm = (reach: number): object => ({ reach, payload: pick(draw, [1, 2, 3, 5, 12]), swing: pick(draw, [1, 2, 3, 5, 13]), grab: pick(draw, [1, 1, 2]), release: pick(draw, [1, 1, 1, 3]), slack: pick(draw, [0, 0, 0, pitch]), cost: 2 + draw(4) });
  return {
    format: 'transloom-catalog/1',
    name: 'drawn',
    ticksPerSecond: 50,
    unitsPerTile: units,
    pitch,
    turn: { inner: pick(draw, turns), outer: pick(draw, turns) },
    belts: { slow: { speed, cost: 1 + draw(2) }, ...(isTiered ? { fast: { speed: fast, cost: 1 + draw(5) } } : {}) },
    splitters: chance(draw, 80) ? { splitter: { speed: speedOfOthers(), cost: 1 + draw(4) } } : {},
    underpasses: chance(draw, 50) ? { underpass: { speed: speedOfOthers(), span: 1 + draw(3), cost: 1 + draw(3) } } : {},
    arms: { arm: arm(1), ...(chance(draw, 40) ? { other: arm(1 + draw(2)) } : {}) },
    chests: { chest: { capacity: 400, cost: 1 } },
    wagons: { wagon: { length: width, capacity: 900 } },
  };
}

const isCarrier = ({ kind }: Part): boolean => kind !== 'arm' && kind !== 'chest';
const standsOn = (part: Part, tile: Tile): boolean => tilesOf(part).some((other) => sameTile(other, tile));

class Ground {
  readonly parts: Part[] = [];
  readonly exits: PlacedExit[] = [];

  constructor(
    private readonly draw: Draw,
    private readonly brief: Brief,
  ) {}

  private isInside({ x, y }: Tile): boolean {
    const { width, depth } = this.brief.site;
    return x >= 0 && y >= 0 && x < width && y < depth;
  }

  isFree(tile: Tile): boolean {
    return this.isInside(tile) && !this.parts.some((part) => standsOn(part, tile));
  }

  put(part: Part): boolean {
    const fits = tilesOf(part).every((tile) => this.isFree(tile));
    if (fits) this.parts.push(part);
    return fits;
  }

  /** A belt from anywhere, until it leaves, runs into another one or has no room; where it is parted, both go on. */
  wander(): void {
    const { draw, brief: { site, catalog } } = this;
    const model = pick(draw, catalog.belts);
    const first = { at: { x: draw(site.width), y: 1 + draw(site.depth - 1) }, heading: pick(draw, HEADINGS) };
    if (!this.put({ kind: 'belt', ...first, model })) return;
    const ends = [first];
    for (const { at, heading } of ends) {
      const ahead = stepFrom(at, heading);
      if (!this.isInside(ahead) && heading !== 'N' && this.exits.length < MOST_EXITS) this.exits.push({ at, heading, take: undefined });
      if (this.isFree(ahead)) ends.push(...this.goOn(ahead, heading, model));
    }
  }

  private goOn(ahead: Tile, heading: Heading, model: Brief['catalog']['belts'][number]): readonly { readonly at: Tile; readonly heading: Heading }[] {
    const { draw, brief: { catalog: { splitters, underpasses } } } = this;
    if (splitters.length > 0 && chance(draw, 25)) {
      const at = chance(draw, 50) ? ahead : stepFrom(ahead, leftOf(heading));
      if (this.put({ kind: 'splitter', at, heading, model: splitters[0] })) return [{ at, heading }, { at: rightHalfOf(at, heading), heading }];
    }
    if (underpasses.length > 0 && chance(draw, 15)) {
      const to = stepFrom(ahead, heading, 1 + draw(3));
      if (this.put({ kind: 'underpass', from: ahead, to, model: underpasses[0] })) return [{ at: to, heading }];
    }
    const turned = chance(draw, 30) ? pick(draw, [leftOf(heading), rightOf(heading)]) : heading;
    return this.put({ kind: 'belt', at: ahead, heading: turned, model }) ? [{ at: ahead, heading: turned }] : [];
  }

  private putArm(at: Tile, heading: Heading, mayPick: (tile: Tile) => boolean, mayPlace: (tile: Tile) => boolean): boolean {
    const arms = this.brief.catalog.arms.map((model) => ({ kind: 'arm' as const, at, heading, model })).filter((arm) => mayPick(pickTile(arm)) && mayPlace(placeTile(arm)));
    return arms.length > 0 && this.put(pick(this.draw, arms));
  }

  /** Arms and chests of one column of tiles. */
  serve(x: number): void {
    const { draw, brief: { feed, wagons } } = this;
    const onCarrier = (tile: Tile): boolean => this.parts.some((part) => isCarrier(part) && standsOn(part, tile));
    const inWagon = (tile: Tile): boolean => wagonAt(wagons, tile) !== undefined;
    if (feed !== 'chests' && chance(draw, 50) && this.putArm({ x, y: 0 }, 'S', inWagon, onCarrier)) return;
    if (feed === 'direct' || chance(draw, 20)) return;
    const reach = 1 + draw(2);
    const chest: Tile = { x, y: 2 * reach - 1 };
    const inChest = (tile: Tile): boolean => sameTile(tile, chest);
    if (!this.isFree(chest) || !this.putArm({ x, y: reach - 1 }, 'S', inWagon, inChest)) return;
    this.put({ kind: 'chest', at: chest, model: this.brief.catalog.chests[0] });
    for (const heading of HEADINGS) for (const far of [1, 2]) if (chance(draw, 70)) this.putArm(stepFrom(chest, heading, far), heading, inChest, onCarrier);
  }
}

/** Without carriers by which no item comes. */
function trimmed(layout: Layout): Layout {
  const { carriers, arms } = deriveNetwork(layout);
  const loaded = new Set(arms.flatMap(({ place }) => (place.kind === 'carrier' ? [place.carrier] : [])));
  for (const carrier of loaded) {
    const { next, part } = carriers[carrier];
    if (next.kind === 'carrier') loaded.add(next.carrier);
    for (const { index } of carriers.filter((other) => other.part === part)) loaded.add(index);
  }
  const used = new Set([...loaded].map((carrier) => carriers[carrier].part));
  const parts = layout.parts.filter((part, index) => !isCarrier(part) || used.has(index));
  return { ...layout, parts, exits: layout.exits.filter(({ at }) => parts.some((part) => isCarrier(part) && standsOn(part, at))) };
}

/** Whether the search is to know of it: each chest has arms that load, each exit is of a belt, and all items may leave. */
function isWithin(layout: Layout): boolean {
  const { carriers, arms } = deriveNetwork(layout);
  const leaves = new Set(carriers.flatMap(({ next, index }) => (next.kind === 'exit' ? [index] : [])));
  for (const carrier of leaves) for (const { next, index } of carriers) if (next.kind === 'carrier' && next.carrier === carrier) leaves.add(index);
  const isBlind = ({ kind, next, part }: (typeof carriers)[number]): boolean => kind === 'splitter-half' && next.kind === 'nothing' && carriers.some((half) => half.part === part && leaves.has(half.index));
  return (
    layout.exits.length > 0 &&
    carriers.every((carrier) => leaves.has(carrier.index) || isBlind(carrier)) &&
    layout.exits.every(({ at }) => layout.parts.some((part) => part.kind === 'belt' && sameTile(part.at, at))) &&
    layout.parts.every(({ kind }, index) => kind !== 'chest' || arms.some(({ pick: from }) => from.kind === 'chest' && from.part === index))
  );
}

export interface DrawnStation {
  readonly layout: Layout;
  /** Of its site, wagons and exits, each of which may be elsewhere along its edge half of the time; what is asked is left out. */
  readonly brief: Brief;
}

/** Undefined where nothing comes of it. */
export function drawnStation(seed: number): DrawnStation | undefined {
  const draw = seededRandom(seed * 7_919 + 3);
  const [width, depth] = [3 + draw(5), 3 + draw(5)];
  const base = { format: 'transloom-brief/1', name: 'drawn', catalog: catalogDocument(draw, width), wagons: [{ model: 'wagon', at: 0 }], feed: pick(draw, ['chests', 'chests', 'direct', 'either']), starts: 2, minimise: ['cost'] };
  const briefOf = (site: object, exits: readonly object[]): Brief | undefined => readBrief(Object.assign({ site, exits }, base));
  const empty = briefOf({ width, depth }, [{ edge: 'S', from: 0, to: 0, belt: 'slow', target: LITTLE }]);
  if (empty === undefined) return undefined;
  const ground = new Ground(draw, empty);
  for (let belts = 1 + draw(6); belts > 0; belts--) ground.wander();
  for (let x = 0; x < width; x++) ground.serve(x);
  const { name, catalog, wagons } = empty;
  const layout = trimmed({ name, catalog, wagons, site: empty.site, parts: ground.parts, exits: ground.exits });
  const exits = layout.exits.map(({ at, heading }) => {
    const [along, last] = heading === 'S' ? [at.x, width - 1] : [at.y, depth - 1];
    const belt = layout.parts.flatMap((part) => (part.kind === 'belt' && sameTile(part.at, at) ? [part.model.name] : []))[0] ?? 'slow';
    return { edge: heading, ...(chance(draw, 50) ? { from: 0, to: last } : { from: along, to: along }), belt, target: LITTLE };
  });
  const keepOut = Array.from({ length: width * depth }, (_, tile): Tile => ({ x: tile % width, y: Math.floor(tile / width) }))
    .filter((tile) => !layout.parts.some((part) => standsOn(part, tile)) && chance(draw, 25))
    .map(({ x, y }) => [x, y, 1, 1]);
  const brief = briefOf({ width, depth, keepOut }, exits);
  if (brief === undefined || checkLegality(layout).some(({ severity }) => severity === 'error') || !isWithin(layout)) return undefined;
  return { layout: { ...layout, site: brief.site }, brief };
}
