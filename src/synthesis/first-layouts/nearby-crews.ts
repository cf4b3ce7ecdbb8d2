/**
 * Cheaper layouts near one that is known to work: some of its chests and arms are taken away and drawn anew, one more or
 * fewer than before and with one splitter more or fewer, and carriers are looked for that cost less in all. What is found
 * passes; that nothing is found proves nothing. Which part of a site is looked at, and when, is in `first-layouts.ts`.
 */
import type { Tile } from '../../base/geometry.js';
import type { Brief } from '../../brief/brief.js';
import { pickTile, placeTile, type Layout } from '../../layout/layout.js';
import { SearchStopped } from '../carriers/carrier-search.js';
import { BestSoFar } from '../families/best-so-far.js';
import { FamilySearch } from '../families/family-search.js';
import { Judge } from '../networks/judge.js';
import { candidates, type Candidates, type FillCandidate, type LoadCandidate } from '../site/candidates.js';
import { crewKey, type Crew, type CrewArm } from '../site/crew.js';
import { indexOfHeading, priceOf, siteMap, type SiteMap } from '../site/site-map.js';
import type { Verify } from '../verifier.js';

/** A crew, the splitters beside it, and what all its parts but other carriers cost. */
interface Staffing {
  readonly crew: Crew;
  /** By splitter model. */
  readonly splitters: readonly number[];
  readonly fixed: number;
}

/** Whole numbers from 0 to below its argument. */
type Draw = (below: number) => number;

/** Crews drawn at once, of which those are tried whose carriers may be cheapest. */
const DRAWN = 40;
const TRIED = 6;
/** Steps of the search for one crew's carriers at the first level; each level has twice those of the one before, and changes more; from the second on idle belts are tried too. */
const STEPS = 3_000;
const LEVELS = 4;
/** Draws in which nothing new comes up, after which a level is at its end. */
const DRY_DRAWS = 150;

export class NearbyCrews {
  private readonly map: SiteMap;
  private readonly spots: Candidates;
  private readonly search: FamilySearch;
  private readonly kept: BestSoFar;
  private level = 1;
  private dry = 0;
  /** Crews that were tried at this level. */
  private readonly tried = new Set<string>();
  private readonly untried: Staffing[] = [];

  /** `given`: chests of others, on tiles that the brief keeps out. */
  constructor(
    brief: Brief,
    given: readonly Tile[],
    private best: Layout,
    /** Of `best`. */
    private price: number,
    verify: Verify,
    shouldStop: () => boolean,
    private readonly draw: Draw,
  ) {
    this.map = siteMap(brief, priceOf(brief));
    this.spots = candidates(this.map, given.map((tile) => tileOf(this.map, tile)));
    this.kept = new BestSoFar(brief, () => undefined);
    this.search = new FamilySearch(this.map, this.spots, new Judge(verify, () => undefined, brief), this.kept, shouldStop);
  }

  /** Whether nothing more is looked for. */
  get isDone(): boolean {
    return this.level > LEVELS;
  }

  /** Tries one crew more; what is found takes the place of the best. */
  next(): Layout | undefined {
    if (this.untried.length === 0) this.drawSome();
    const staffing = this.untried.shift();
    if (staffing === undefined) return undefined;
    const { crew, splitters, fixed } = staffing;
    try {
      if (!this.search.scout(crew, splitters, this.price - 1 - fixed, STEPS << (this.level - 1), this.level > 1)) return undefined;
    } catch (thrown) {
      if (thrown instanceof SearchStopped) return undefined;
      throw thrown;
    }
    const found = this.kept.best;
    // What breaks a limit is not kept.
    if (found === undefined || this.kept.price >= this.price) return undefined;
    this.best = found.layout;
    this.price = this.kept.price;
    this.untried.length = 0;
    this.level = 1;
    this.dry = 0;
    return found.layout;
  }

  private drawSome(): void {
    const standing = staffingOf(this.map, this.best);
    const drawn = new Map<string, { readonly staffing: Staffing; readonly least: number }>();
    const remnant = this.remnantOf(standing);
    for (let n = 0; n < DRAWN; n++) {
      const staffing = drawNear(this.map, this.spots, standing, remnant, this.draw);
      if (staffing === undefined) continue;
      const key = `${crewKey(staffing.crew)}|${staffing.splitters.join()}`;
      if (this.tried.has(key) || drawn.has(key)) continue;
      const least = staffing.fixed + this.search.carriers.leastCost(staffing.crew, staffing.splitters, true);
      if (least < this.price) drawn.set(key, { staffing, least });
    }
    const cheapest = [...drawn].sort(([, a], [, b]) => a.least - b.least).slice(0, TRIED);
    for (const [key, { staffing }] of cheapest) {
      this.tried.add(key);
      this.untried.push(staffing);
    }
    this.dry = cheapest.length > 0 ? 0 : this.dry + 1;
    if (this.dry < DRY_DRAWS) return;
    this.dry = 0;
    this.level++;
    this.tried.clear();
  }

  /** What is left of a crew: further levels take away more. */
  private remnantOf({ crew }: Staffing): Remnant {
    const chests = new Set(crew.chests.map(({ tile }) => tile));
    const loads = new Set(crew.arms.filter(({ role }) => role === 'load'));
    const dropOne = <T>(all: Set<T>): void => {
      if (all.size > 0) all.delete([...all][this.draw(all.size)]);
    };
    for (let n = this.draw(this.level + 2); n > 0; n--) dropOne(chests);
    for (const arm of loads) if (arm.chest >= 0 && !chests.has(crew.chests[arm.chest].tile)) loads.delete(arm);
    for (let n = this.draw(this.level + 3); n > 0; n--) dropOne(loads);
    const chestTileOf = ({ chest }: CrewArm): number => (chest < 0 ? -1 : crew.chests[chest].tile);
    const arms = crew.arms.filter((arm) => (arm.role === 'load' ? loads.has(arm) : chests.has(chestTileOf(arm))));
    return { chests: [...chests], arms: arms.map((arm) => ({ ...arm, chestTile: chestTileOf(arm) })) };
  }
}

interface Remnant {
  /** Tiles. */
  readonly chests: readonly number[];
  readonly arms: readonly (CrewArm & { readonly chestTile: number })[];
}

const tileOf = ({ width, top }: SiteMap, { x, y }: Tile): number => (y - top) * width + x;

/** The crew of a layout, its splitters, and what these cost. */
export function staffingOf(map: SiteMap, { parts }: Layout): Staffing {
  const chests = parts.flatMap((part) => (part.kind === 'chest' ? [{ tile: tileOf(map, part.at), model: 0 }] : [])).sort((a, b) => a.tile - b.tile);
  const chestAt = (tile: number): number => chests.findIndex((chest) => chest.tile === tile);
  const arms = parts.flatMap((part): readonly CrewArm[] => {
    if (part.kind !== 'arm') return [];
    const target = tileOf(map, placeTile(part));
    const filled = chestAt(target);
    const model = map.arms.findIndex(({ name }) => name === part.model.name);
    const arm = { tile: tileOf(map, part.at), heading: indexOfHeading(part.heading), model, target };
    return [filled >= 0 ? { ...arm, role: 'fill', chest: filled } : { ...arm, role: 'load', chest: chestAt(tileOf(map, pickTile(part))) }];
  });
  const splitters = map.splitters.map(({ name }) => parts.filter((part) => part.kind === 'splitter' && part.model.name === name).length);
  const crew: Crew = { chests, arms: arms.sort((a, b) => a.tile - b.tile) };
  return { crew, splitters, fixed: fixedOf(map, crew, splitters) };
}

const fixedOf = (map: SiteMap, { chests, arms }: Crew, splitters: readonly number[]): number =>
  chests.reduce((sum, { model }) => sum + map.chests[model].cost, 0) +
  arms.reduce((sum, { model }) => sum + map.arms[model].cost, 0) +
  splitters.reduce((sum, count, m) => sum + count * map.splitters[m].cost, 0);

/** Draws what a remnant lacks; undefined where the draw leads nowhere. */
function drawNear(map: SiteMap, spots: Candidates, { crew, splitters }: Staffing, { chests: kept, arms: keptArms }: Remnant, draw: Draw): Staffing | undefined {
  const about = (count: number): number => count + draw(3) - 1;
  const pickFrom = <T>(all: readonly T[]): T | undefined => (all.length === 0 ? undefined : all[draw(all.length)]);
  const tiles = [...kept];
  for (const wanted = about(crew.chests.length); tiles.length < wanted; ) {
    const tile = pickFrom(spots.chestTiles.filter((free) => !tiles.includes(free)));
    if (tile === undefined) return undefined;
    tiles.push(tile);
  }
  tiles.sort((a, b) => a - b);
  const taken = new Set(tiles);
  const targets = new Set<number>();
  const arms: CrewArm[] = [];
  const fits = ({ tile, target }: { readonly tile: number; readonly target: number }): boolean => !taken.has(tile) && !targets.has(tile) && !taken.has(target);
  const add = ({ tile, heading, model, chestTile }: FillCandidate | LoadCandidate, role: CrewArm['role'], target: number): void => {
    taken.add(tile);
    if (role === 'load') targets.add(target);
    arms.push({ tile, heading, model, role, chest: tiles.indexOf(chestTile), target });
  };
  const served = (role: CrewArm['role'], tile: number): boolean => arms.some((arm) => arm.role === role && tiles[arm.chest] === tile);
  for (const arm of keptArms) if (arm.role === 'fill' && !taken.has(arm.tile)) add(arm, 'fill', arm.target);
  for (const chestTile of tiles) {
    if (served('fill', chestTile)) continue;
    const fill = pickFrom(spots.fills.filter((each) => each.chestTile === chestTile && !taken.has(each.tile)));
    if (fill === undefined) return undefined;
    add(fill, 'fill', chestTile);
  }
  for (const arm of keptArms) if (arm.role === 'load' && fits(arm)) add(arm, 'load', arm.target);
  const loadsIn = (all: readonly CrewArm[]): number => all.filter(({ role }) => role === 'load').length;
  for (const wanted = about(loadsIn(crew.arms)); loadsIn(arms) < wanted; ) {
    const idle = tiles.filter((tile) => !served('load', tile));
    const mayServe = ({ chestTile }: LoadCandidate): boolean => (idle.length > 0 ? idle.includes(chestTile) : chestTile < 0 || tiles.includes(chestTile));
    const load = pickFrom(spots.loads.filter((each) => mayServe(each) && fits(each)));
    if (load === undefined) return undefined;
    add(load, 'load', load.target);
  }
  if (!tiles.every((tile) => served('load', tile))) return undefined;
  const drawn: Crew = { chests: tiles.map((tile) => ({ tile, model: 0 })), arms: arms.sort((a, b) => a.tile - b.tile) };
  const changed = draw(Math.max(1, splitters.length));
  const split = splitters.map((number, m) => (m === changed ? Math.max(0, about(number)) : number));
  return { crew: drawn, splitters: split, fixed: fixedOf(map, drawn, split) };
}
