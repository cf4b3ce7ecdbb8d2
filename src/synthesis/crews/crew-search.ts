/**
 * Every crew (chests and arms on tiles) that has the counts of a bill, one after the other, each once.
 * A crew that is not yet whole is dropped as soon as even its part of the arms needs dearer carriers than
 * the budget allows.
 */
import type { Bill } from '../site/bill.js';
import type { Candidates, FillCandidate, LoadCandidate } from '../site/candidates.js';
import type { Crew, CrewArm, CrewChest } from '../site/crew.js';
import type { SiteMap } from '../site/site-map.js';

/** Whether carriers for these chests and arms, others still to come, can be had within the budget. */
export type Affordable = (crew: Crew, whole: boolean) => boolean;

export interface CrewTests {
  readonly affordable: Affordable;
  /**
   * Asked before all crews that begin alike, by a name of theirs: whether any of them is still to be looked at. Groups lie
   * within one another; if so, this one is open until `close`.
   */
  readonly mayHold: (group: string) => boolean;
  readonly close: () => void;
}

/** Whether a group is of all crews with the same chests; all others lie within one of these. */
export const isOfChests = (group: string): boolean => !group.includes('.');
/** The name of that group. */
export const chestsOf = ({ chests }: Pick<Crew, 'chests'>): string => chests.map(({ tile }) => tile).join();

/** Crews that have all but so many of their load arms in common are too few to be a group. */
const FEWEST_TO_COME = 3;

export function* crewsOf(map: SiteMap, spots: Candidates, bill: Bill, { affordable, mayHold, close }: CrewTests): Generator<Crew, void> {
  const taken = new Uint8Array(map.tiles);
  const chests: CrewChest[] = [];
  const arms: CrewArm[] = [];
  const fillsLeft = [...bill.fills];
  const loadsLeft = [...bill.loads];
  const sum = (counts: readonly number[]): number => counts.reduce((total, n) => total + n, 0);
  const loadsTotal = sum(bill.loads);
  const targets = new Uint8Array(map.tiles);

  const crewNow = (): Crew => ({ chests: [...chests], arms: [...arms].sort((a, b) => a.tile - b.tile) });

  function* chooseChests(from: number): Generator<Crew, void> {
    if (chests.length === bill.chests) {
      const name = chestsOf({ chests });
      if (!mayHold(name)) return;
      yield* chooseFills(0, fillPool(), name);
      close();
      return;
    }
    for (let i = from; i <= spots.chestTiles.length - (bill.chests - chests.length); i++) {
      const tile = spots.chestTiles[i];
      taken[tile] = 1;
      chests.push({ tile, model: 0 });
      yield* chooseChests(i + 1);
      chests.pop();
      taken[tile] = 0;
    }
  }

  const chestAt = (tile: number): number => chests.findIndex((chest) => chest.tile === tile);

  const fillPool = (): readonly CrewArm[] =>
    spots.fills.flatMap((fill): CrewArm[] => {
      const chest = chestAt(fill.chestTile);
      return chest < 0 || fillsLeft[fill.model] === 0 || taken[fill.tile] === 1
        ? []
        : [{ tile: fill.tile, heading: fill.heading, model: fill.model, role: 'fill', chest, target: fill.chestTile }];
    });

  const loadPool = (): readonly CrewArm[] =>
    spots.loads.flatMap((load): CrewArm[] => {
      const chest = load.chestTile < 0 ? -1 : chestAt(load.chestTile);
      if ((load.chestTile >= 0 && chest < 0) || loadsLeft[load.model] === 0) return [];
      if (taken[load.tile] === 1 || taken[load.target] === 1) return [];
      return [{ tile: load.tile, heading: load.heading, model: load.model, role: 'load', chest, target: load.target }];
    });

  /** Whether each chest has an arm of this role, so that none is left out. */
  const allServed = (role: CrewArm['role']): boolean => chests.every((_, chest) => arms.some((arm) => arm.role === role && arm.chest === chest));

  function* chooseFills(from: number, pool: readonly CrewArm[], name: string): Generator<Crew, void> {
    if (sum(fillsLeft) === 0) {
      if (allServed('fill')) yield* chooseLoads(0, loadPool(), 0, name);
      return;
    }
    for (let i = from; i < pool.length; i++) {
      const arm = pool[i];
      if (fillsLeft[arm.model] === 0 || taken[arm.tile] === 1) continue;
      fillsLeft[arm.model]--;
      taken[arm.tile] = 1;
      arms.push(arm);
      yield* chooseFills(i + 1, pool, `${name}.${i}`);
      arms.pop();
      taken[arm.tile] = 0;
      fillsLeft[arm.model]++;
    }
  }

  function* chooseLoads(from: number, pool: readonly CrewArm[], chosen: number, name: string): Generator<Crew, void> {
    if (chosen === loadsTotal) {
      if (allServed('load')) yield crewNow();
      return;
    }
    for (let i = from; i < pool.length; i++) {
      const arm = pool[i];
      if (loadsLeft[arm.model] === 0 || taken[arm.tile] === 1 || targets[arm.tile] > 0 || taken[arm.target] === 1) continue;
      loadsLeft[arm.model]--;
      taken[arm.tile] = 1;
      targets[arm.target]++;
      arms.push(arm);
      const toCome = loadsTotal - chosen - 1;
      const ofGroup = `${name}.${i}`;
      const isGroup = toCome >= FEWEST_TO_COME;
      if (!isGroup || mayHold(ofGroup)) {
        if (affordable(crewNow(), toCome === 0)) yield* chooseLoads(i + 1, pool, chosen + 1, ofGroup);
        if (isGroup) close();
      }
      arms.pop();
      targets[arm.target]--;
      taken[arm.tile] = 0;
      loadsLeft[arm.model]++;
    }
  }

  if (affordable(crewNow(), false)) yield* chooseChests(0);
}

/** Load arms of one network: how many of each model, and from how many chests they draw. */
interface LoadBill {
  readonly loads: readonly number[];
  readonly chests: number;
}

/**
 * The same of the arms alone that load carriers, with the chests they draw from. What fills a chest is left open, but where
 * all arms that can fill it stand on the same tile: then the best of them does. Of each crew's arms the first in the order of
 * `spots.loads` is one of the first `firstLoads` of these.
 */
export function* loadCrewsOf(map: SiteMap, spots: Candidates, bill: LoadBill, { affordable, mayHold, close }: CrewTests, firstLoads = spots.loads.length): Generator<Crew, void> {
  const arms = new Uint8Array(map.tiles);
  const chests = new Uint8Array(map.tiles);
  const targets = new Uint8Array(map.tiles);
  const soleFills = soleFillsOf(map, spots);
  const left = [...bill.loads];
  const total = left.reduce((sum, n) => sum + n, 0);
  const chosen: LoadCandidate[] = [];
  const fills: FillCandidate[] = [];
  let drawnFrom = 0;

  const crewNow = (): Crew => {
    const tiles = [...new Set(chosen.map(({ chestTile }) => chestTile))].filter((tile) => tile >= 0).sort((a, b) => a - b);
    const loading = chosen.map(({ tile, heading, model, chestTile, target }): CrewArm => ({ tile, heading, model, role: 'load', chest: tiles.indexOf(chestTile), target }));
    const filling = fills.map(({ tile, heading, model, chestTile }): CrewArm => ({ tile, heading, model, role: 'fill', chest: tiles.indexOf(chestTile), target: chestTile }));
    return { chests: tiles.map((tile) => ({ tile, model: 0 })), arms: [...loading, ...filling].sort((a, b) => a.tile - b.tile) };
  };

  const isFree = (tile: number): boolean => arms[tile] === 0 && chests[tile] === 0 && targets[tile] === 0;

  function* choose(from: number, name: string): Generator<Crew, void> {
    if (chosen.length === total) {
      yield crewNow();
      return;
    }
    const end = chosen.length === 0 ? firstLoads : spots.loads.length;
    for (let i = from; i < end; i++) {
      const load = spots.loads[i];
      const { tile, target, chestTile } = load;
      if (left[load.model] === 0 || !isFree(tile) || arms[target] > 0 || chests[target] > 0) continue;
      if (chestTile >= 0 && (arms[chestTile] > 0 || targets[chestTile] > 0)) continue;
      const isNew = chestTile >= 0 && chests[chestTile] === 0;
      const drawn = drawnFrom + (isNew ? 1 : 0);
      // Each arm to come may draw from one more chest.
      if (drawn > bill.chests || drawn + total - chosen.length - 1 < bill.chests) continue;
      const fill = isNew ? soleFills.get(chestTile) : undefined;
      if (fill !== undefined && (!isFree(fill.tile) || fill.tile === tile || fill.tile === target)) continue;
      left[load.model]--;
      arms[tile]++;
      targets[target]++;
      if (chestTile >= 0) chests[chestTile]++;
      if (fill !== undefined) {
        arms[fill.tile]++;
        fills.push(fill);
      }
      drawnFrom = drawn;
      chosen.push(load);
      const toCome = total - chosen.length;
      const ofGroup = `${name}.${i}`;
      const isGroup = toCome >= FEWEST_TO_COME || chosen.length === 1;
      if (!isGroup || mayHold(ofGroup)) {
        if (affordable(crewNow(), toCome === 0)) yield* choose(i + 1, ofGroup);
        if (isGroup) close();
      }
      chosen.pop();
      drawnFrom -= isNew ? 1 : 0;
      if (fill !== undefined) {
        arms[fill.tile]--;
        fills.pop();
      }
      if (chestTile >= 0) chests[chestTile]--;
      targets[target]--;
      arms[tile]--;
      left[load.model]++;
    }
  }

  yield* choose(0, '');
}

/** By chest tile that can be filled from one tile only: the arm there that brings most. */
export function soleFillsOf({ fillRates }: Pick<SiteMap, 'fillRates'>, { fills }: Pick<Candidates, 'fills'>): ReadonlyMap<number, FillCandidate> {
  const best = new Map<number, FillCandidate>();
  const several = new Set<number>();
  for (const fill of fills) {
    const known = best.get(fill.chestTile);
    if (known !== undefined && known.tile !== fill.tile) several.add(fill.chestTile);
    if (known === undefined || fillRates[fill.model] > fillRates[known.model]) best.set(fill.chestTile, fill);
  }
  for (const tile of several) best.delete(tile);
  return best;
}

/**
 * A crew for a bill with its parts on tiles drawn at random; undefined where the draw leads nowhere.
 * `draw` gives a whole number from 0 to below its argument.
 */
export function drawCrew(spots: Candidates, bill: Bill, draw: (below: number) => number): Crew | undefined {
  const taken = new Set<number>();
  const targets = new Set<number>();
  const pickFrom = <T>(all: readonly T[]): T | undefined => (all.length === 0 ? undefined : all[draw(all.length)]);
  const chests: CrewChest[] = [];
  while (chests.length < bill.chests) {
    const tile = pickFrom(spots.chestTiles.filter((free) => !taken.has(free)));
    if (tile === undefined) return undefined;
    taken.add(tile);
    chests.push({ tile, model: 0 });
  }
  const arms: CrewArm[] = [];
  const add = (role: CrewArm['role'], counts: readonly number[], all: readonly (FillCandidate | LoadCandidate)[]): boolean => {
    const left = [...counts];
    // The first arms serve a chest each, so that none is left out; then anywhere.
    for (let n = 0; left.some((count) => count > 0); n++) {
      const wanted = n < chests.length ? chests[n].tile : undefined;
      const fits = (spot: FillCandidate | LoadCandidate): boolean =>
        left[spot.model] > 0 &&
        (wanted === undefined ? spot.chestTile < 0 || chests.some(({ tile }) => tile === spot.chestTile) : spot.chestTile === wanted) &&
        !taken.has(spot.tile) &&
        !targets.has(spot.tile) &&
        (role === 'fill' || !taken.has('target' in spot ? spot.target : -1));
      const arm = pickFrom(all.filter(fits));
      if (arm === undefined) return false;
      left[arm.model]--;
      taken.add(arm.tile);
      const target = 'target' in arm ? arm.target : arm.chestTile;
      if (role === 'load') targets.add(target);
      const chest = chests.findIndex(({ tile }) => tile === arm.chestTile);
      arms.push({ tile: arm.tile, heading: arm.heading, model: arm.model, role, chest, target });
    }
    return true;
  };
  if (!add('fill', bill.fills, spots.fills) || !add('load', bill.loads, spots.loads)) return undefined;
  return { chests, arms: arms.sort((a, b) => a.tile - b.tile) };
}
