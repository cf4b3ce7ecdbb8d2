/**
 * Parts put on a site by geometry alone: belts that wander, part and run into each other, and of stations that unload chests and
 * arms beside them. What is legal and of use is held by who draws (`drawn-stations.ts`, `drawn-loading.ts`).
 */
import { HEADINGS, leftOf, rightHalfOf, rightOf, sameTile, stepFrom, type Box, type Heading, type Tile } from '../../src/base/geometry.js';
import { isOnTrack, isWithin, tilesWithin } from '../../src/base/ground.js';
import type { Brief } from '../../src/brief/brief.js';
import type { BeltModel } from '../../src/catalog/catalog.js';
import { pickTile, placeTile, tilesOf, wagonAt, type Layout, type Part, type PlacedExit } from '../../src/layout/layout.js';
import { spottingOffsets } from '../../src/layout/spotting.js';
import { chance, pick, type Draw } from './random-networks.js';

const MOST_EXITS = 3;

export const isCarrier = ({ kind }: Part): boolean => kind !== 'arm' && kind !== 'chest';
export const standsOn = (part: Part, tile: Tile): boolean => tilesOf(part).some((other) => sameTile(other, tile));

/** Tiles on which nothing stands, one in four of them, or none at all. */
export function keptOut(draw: Draw, { site, parts }: Pick<Layout, 'site' | 'parts'>): readonly Box[] {
  const isBare = chance(draw, 40);
  return tilesWithin(site)
    .filter((tile) => !isBare && !isOnTrack(site, tile) && !parts.some((part) => standsOn(part, tile)) && chance(draw, 25))
    .map(({ x, y }) => ({ x, y, width: 1, height: 1 }));
}

interface BeltEnd {
  readonly at: Tile;
  readonly heading: Heading;
}

export class DrawnWays {
  readonly parts: Part[] = [];

  constructor(
    protected readonly draw: Draw,
    protected readonly brief: Brief,
  ) {}

  protected isFree(tile: Tile): boolean {
    const { site } = this.brief;
    return isWithin(site, tile) && !isOnTrack(site, tile) && !this.parts.some((part) => standsOn(part, tile));
  }

  protected put(part: Part): boolean {
    const fits = tilesOf(part).every((tile) => this.isFree(tile));
    if (fits) this.parts.push(part);
    return fits;
  }

  protected shuffled<T>(all: readonly T[]): readonly T[] {
    const left = [...all];
    return all.map(() => left.splice(this.draw(left.length), 1)[0]);
  }

  protected onCarrier(tile: Tile): boolean {
    return this.parts.some((part) => isCarrier(part) && standsOn(part, tile));
  }

  /** What a belt leads on to, and where that ends. */
  protected goOn(ahead: Tile, heading: Heading, model: BeltModel): readonly BeltEnd[] {
    const { draw, brief: { catalog: { splitters, underpasses } } } = this;
    if (splitters.length > 0 && chance(draw, 25)) {
      const at = chance(draw, 50) ? ahead : stepFrom(ahead, leftOf(heading));
      if (this.put({ kind: 'splitter', at, heading, model: pick(draw, splitters) })) return [{ at, heading }, { at: rightHalfOf(at, heading), heading }];
    }
    if (underpasses.length > 0 && chance(draw, 20)) {
      const under = pick(draw, underpasses);
      const to = stepFrom(ahead, heading, 1 + draw(under.span));
      if (this.put({ kind: 'underpass', from: ahead, to, model: under })) return [{ at: to, heading }];
    }
    const turned = chance(draw, 30) ? pick(draw, [leftOf(heading), rightOf(heading)]) : heading;
    return this.put({ kind: 'belt', at: ahead, heading: turned, model }) ? [{ at: ahead, heading: turned }] : [];
  }
}

export class DrawnGround extends DrawnWays {
  readonly exits: PlacedExit[] = [];

  private inWagon(tile: Tile): boolean {
    const { wagons, spotting } = this.brief;
    return spottingOffsets(spotting).some((offset) => wagonAt(wagons, { ...tile, x: tile.x - offset }) !== undefined);
  }

  /** A belt from anywhere, until it leaves, runs into another one or has no room; where it is parted, both go on. */
  wander(): void {
    const { draw, brief: { site, wagons, catalog } } = this;
    const model = pick(draw, catalog.belts);
    const first = { at: pick(draw, tilesWithin(site)), heading: pick(draw, HEADINGS) };
    if (!this.put({ kind: 'belt', ...first, model })) return;
    const ends = [first];
    for (const { at, heading } of ends) {
      const ahead = stepFrom(at, heading);
      const leaves = !isWithin(site, ahead) && wagonAt(wagons, ahead) === undefined;
      if (leaves && this.exits.length < MOST_EXITS) this.exits.push({ at, heading, take: undefined });
      if (this.isFree(ahead)) ends.push(...this.goOn(ahead, heading, model));
    }
  }

  /** Arms that wagons are emptied by, straight onto carriers or into chests, and arms around those. */
  serve(): void {
    const { draw, brief: { feed, site, catalog } } = this;
    const places = tilesWithin(site).flatMap((at) => HEADINGS.flatMap((heading) => catalog.arms.map((model) => ({ kind: 'arm' as const, at, heading, model }))));
    for (const arm of this.shuffled(places.filter((each) => this.inWagon(pickTile(each))))) {
      const onto = placeTile(arm);
      if (this.onCarrier(onto)) {
        if (feed !== 'chests' && chance(draw, 60)) this.put(arm);
      } else if (feed !== 'direct' && chance(draw, 80) && this.isFree(arm.at) && this.isFree(onto)) {
        const before = this.parts.length;
        this.parts.push(arm, { kind: 'chest', at: onto, model: pick(draw, catalog.chests) });
        this.empty(onto);
        if (this.parts.length === before + 2) this.parts.length = before;
      }
    }
  }

  private empty(chest: Tile): void {
    const { draw, brief: { catalog } } = this;
    for (const heading of HEADINGS) {
      for (const model of this.shuffled(catalog.arms)) {
        const arm = { kind: 'arm' as const, at: stepFrom(chest, heading, model.reach), heading, model };
        if (this.onCarrier(placeTile(arm)) && chance(draw, 80)) this.put(arm);
      }
    }
  }

  /** A belt by which nothing comes, that faces another one. */
  putIdle(): void {
    const { draw, brief: { catalog } } = this;
    const beside = this.parts.flatMap((part) => (part.kind === 'belt' ? HEADINGS.map((heading) => ({ kind: 'belt' as const, at: stepFrom(part.at, heading, -1), heading, model: catalog.belts[0] })) : []));
    const free = beside.filter(({ at }) => this.isFree(at));
    if (free.length > 0) this.put(pick(draw, free));
  }
}
