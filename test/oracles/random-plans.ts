/**
 * Random legal plans in which items really flow: stations at wagons and chests, belt paths grown from their drops to
 * the border, tee merges, rings, arms that pick from belts, then mutations. Odd catalogs on purpose.
 * One generator serves seeded runs (`seededPlan`) and fast-check (`arbitraryPlan`, which shrinks the drawn numbers);
 * `shrinkPlan` shrinks a failing plan part by part, `planDocument` writes it down. What a plan exercises is counted by
 * the reference simulator's events, not here.
 */
import fc from 'fast-check';
import {
  HEADINGS,
  backOf,
  boxHolds,
  leftOf,
  rightHalfOf,
  rightOf,
  sameTile,
  stepFrom,
  type Box,
  type Heading,
  type Tile,
} from '../../src/base/geometry.js';
import { isOnTrack, isWithin, northOf, rowsOf, tilesWithin, topOf, type Ground } from '../../src/base/ground.js';
import { seededRandom } from '../../src/base/random.js';
import { formatRational, ratio, type Rational } from '../../src/base/rational.js';
import type { ArmModel, Catalog, ModelName, WagonModel } from '../../src/catalog/catalog.js';
import {
  placeTile,
  tilesOf,
  underpassHeading,
  wagonAt,
  type Layout,
  type Part,
  type PlacedArm,
  type PlacedEntry,
  type PlacedExit,
  type PlacedWagon,
  type Side,
} from '../../src/layout/layout.js';

/** A whole number from 0 to below - 1. */
export type Draw = (below: number) => number;

const named = (name: string): ModelName => name as ModelName;
const pickOf = <T>(draw: Draw, list: readonly T[]): T => list[draw(list.length)];
const chance = (draw: Draw, percent: number): boolean => draw(100) < percent;
const between = (draw: Draw, low: number, high: number): number => low + draw(Math.max(1, high - low + 1));
const times = <T>(count: number, make: (index: number) => T): readonly T[] => Array.from({ length: count }, (_, i) => make(i));

// -------------------------------------------------------------------------------------------------------- catalogs

export function randomCatalog(draw: Draw): Catalog {
  const U = pickOf(draw, [240, 240, 64, 8, 12, 16, 20, 24, 36, 60, 100, 256]);
  const P = pickOf(draw, [
    () => Math.ceil(U / 4),
    () => Math.ceil(U / 4),
    () => between(draw, 1, U),
    () => between(draw, Math.ceil(U / 6), Math.ceil(U / 2)),
    () => Math.ceil(U / 2),
    () => between(draw, Math.ceil((3 * U) / 4), U),
    () => U,
  ])();
  const divisors = times(P, (i) => i + 1).filter((v) => P % v === 0);
  const speed = (): number =>
    pickOf(draw, [
      () => pickOf(draw, divisors),
      () => between(draw, Math.ceil(P / 8), Math.ceil(P / 2)),
      () => between(draw, Math.ceil(P / 8), Math.ceil(P / 2)),
      () => between(draw, Math.ceil(P / 2), P),
      () => P,
    ])();
  const plainTurns = chance(draw, 50);
  return {
    name: 'random',
    ticksPerSecond: 50,
    unitsPerTile: U,
    pitch: P,
    turn: plainTurns
      ? { inner: U, outer: U }
      : { inner: between(draw, Math.ceil(P / 4), U), outer: between(draw, U, 2 * U) },
    belts: times(between(draw, 1, 3), (i) => ({ name: named(`belt${i}`), speed: speed(), cost: 1 + i })),
    splitters: times(between(draw, 1, 2), (i) => ({
      name: named(`splitter${i}`),
      speed: speed(),
      cost: 8 + i,
      favour: chance(draw, 50),
    })),
    underpasses: times(between(draw, 1, 2), (i) => ({
      name: named(`underpass${i}`),
      speed: speed(),
      span: between(draw, 1, 5),
      cost: 4 + i,
    })),
    arms: times(between(draw, 2, 5), (i) => ({
      name: named(`arm${i}`),
      reach: i === 0 ? 1 : pickOf(draw, [1, 1, 2, 3]),
      payload: pickOf(draw, [1, 1, 2, 3, 5, 8, 12, 24]),
      swingTicks: between(draw, 1, 13),
      grabTicks: pickOf(draw, [1, 1, 2, 3, 7]),
      releaseTicks: pickOf(draw, [1, 1, 2, 3, 7]),
      slack: pickOf(draw, [0, 0, 1, Math.ceil(P / 4), P, U]),
      patienceTicks: pickOf(draw, [undefined, undefined, 0, 1, 4, 20]),
      cost: 10 + i,
    })),
    chests: [{ name: named('chest0'), capacity: 100, cost: 4 }],
    wagons: times(2, (i) => ({ name: named(`wagon${i}`), length: between(draw, 1, 6), coupling: 0, capacity: 2000 })),
  };
}

// ---------------------------------------------------------------------------------------------------------- layouts

class Board {
  readonly parts: Part[] = [];
  readonly exits: PlacedExit[] = [];
  readonly entries: PlacedEntry[] = [];

  constructor(
    readonly catalog: Catalog,
    readonly site: Ground,
    readonly wagons: readonly PlacedWagon[],
  ) {}

  inside(tile: Tile): boolean {
    return isWithin(this.site, tile);
  }
  partAt(tile: Tile): Part | undefined {
    return this.parts.find((part) => tilesOf(part).some((own) => sameTile(own, tile)));
  }
  isFree(tile: Tile): boolean {
    return this.inside(tile) && !isOnTrack(this.site, tile) && !this.site.keepOut.some((box) => boxHolds(box, tile)) && this.partAt(tile) === undefined;
  }
  /** Whether an arm finds something there: a container or a carrier. */
  isUseful(tile: Tile): boolean {
    if (wagonAt(this.wagons, tile) !== undefined) return true;
    const part = this.partAt(tile);
    return part !== undefined && part.kind !== 'arm';
  }
  tiles(): readonly Tile[] {
    return tilesWithin(this.site);
  }
  freeTiles(): readonly Tile[] {
    return this.tiles().filter((tile) => this.isFree(tile));
  }
  layout(): Layout {
    return {
      name: 'random plan',
      catalog: this.catalog,
      site: this.site,
      wagons: this.wagons,
      parts: [...this.parts],
      exits: [...this.exits],
      ...(this.entries.length === 0 ? {} : { entries: [...this.entries] }),
    };
  }
}

const alongX = (heading: Heading): boolean => heading === 'E' || heading === 'W';

function randomTake(draw: Draw): Rational | undefined {
  if (chance(draw, 65)) return undefined;
  const [num, den] = pickOf(draw, [
    [1, 7],
    [1, 3],
    [2, 5],
    [1, 2],
    [3, 4],
    [1, 1],
    [5, 4],
    [2, 1],
    [1, 20],
  ] as const);
  return ratio(num, den);
}

function addExit(draw: Draw, board: Board, at: Tile, heading: Heading): void {
  if (board.exits.some((exit) => exit.heading === heading && sameTile(exit.at, at))) return;
  const beyond = stepFrom(at, heading);
  if (board.inside(beyond) || isOnTrack(board.site, at) || wagonAt(board.wagons, beyond) !== undefined) return;
  board.exits.push({ at, heading, take: randomTake(draw) });
}

function favours(draw: Draw, allowed: boolean): { favourIn?: Side; favourOut?: Side } {
  if (!allowed) return {};
  return {
    ...(chance(draw, 60) ? { favourIn: pickOf(draw, ['left', 'right'] as const) } : {}),
    ...(chance(draw, 60) ? { favourOut: pickOf(draw, ['left', 'right'] as const) } : {}),
  };
}

/** The far end of an underpass that may start at a tile, or undefined. */
function underpassEnd(draw: Draw, board: Board, from: Tile, heading: Heading, span: number): Tile | undefined {
  const to = stepFrom(from, heading, between(draw, 1, span));
  if (!board.isFree(to)) return undefined;
  const low = { x: Math.min(from.x, to.x), y: Math.min(from.y, to.y) };
  const high = { x: Math.max(from.x, to.x), y: Math.max(from.y, to.y) };
  const clash = board.parts.some(
    (part) =>
      part.kind === 'underpass' &&
      alongX(underpassHeading(part)) === alongX(heading) &&
      tilesOf(part).some((own) => own.x >= low.x && own.x <= high.x && own.y >= low.y && own.y <= high.y),
  );
  // An older pair must not have a new end between its own two, either.
  const splits = board.parts.some((part) => {
    if (part.kind !== 'underpass' || alongX(underpassHeading(part)) !== alongX(heading)) return false;
    return [from, to].some((own) =>
      alongX(heading)
        ? own.y === part.from.y && own.x > Math.min(part.from.x, part.to.x) && own.x < Math.max(part.from.x, part.to.x)
        : own.x === part.from.x && own.y > Math.min(part.from.y, part.to.y) && own.y < Math.max(part.from.y, part.to.y),
    );
  });
  return clash || splits ? undefined : to;
}

/** Lays carriers from a free tile until the border, another part or the end of patience. */
function growPath(draw: Draw, board: Board, start: Tile, startHeading: Heading): void {
  const catalog = board.catalog;
  const favourite = pickOf(draw, catalog.belts);
  const open: { at: Tile; heading: Heading }[] = [{ at: start, heading: startHeading }];
  const straightness = pickOf(draw, [50, 70, 85]);
  const splitting = pickOf(draw, [6, 15, 35]);
  for (let steps = 0; steps < 40; steps += 1) {
    const next = open.pop();
    if (next === undefined) return;
    const { at, heading } = next;
    if (!board.isFree(at)) continue;
    const heads: Tile[] = [];
    const kind = draw(100);
    const besideLeft = stepFrom(at, leftOf(heading));
    const besideRight = rightHalfOf(at, heading);
    const underModel = pickOf(draw, catalog.underpasses);
    const to = kind >= 90 ? underpassEnd(draw, board, at, heading, underModel.span) : undefined;
    if (kind < splitting && (board.isFree(besideLeft) || board.isFree(besideRight))) {
      const asRight = board.isFree(besideLeft) && (chance(draw, 50) || !board.isFree(besideRight));
      const left = asRight ? besideLeft : at;
      const model = pickOf(draw, catalog.splitters);
      board.parts.push({ kind: 'splitter', at: left, heading, model, ...favours(draw, model.favour) });
      heads.push(left, rightHalfOf(left, heading));
    } else if (to !== undefined) {
      board.parts.push({ kind: 'underpass', from: at, to, model: underModel });
      heads.push(to);
    } else {
      const model = chance(draw, 75) ? favourite : pickOf(draw, catalog.belts);
      board.parts.push({ kind: 'belt', at, heading, model });
      heads.push(at);
    }
    for (const head of heads) {
      const ahead = stepFrom(head, heading);
      if (!board.inside(ahead)) {
        if (chance(draw, 93)) addExit(draw, board, head, heading);
        continue;
      }
      if (!board.isFree(ahead) || chance(draw, 3)) continue;
      const turn = draw(100);
      const turned = turn < straightness ? heading : turn % 2 === 0 ? leftOf(heading) : rightOf(heading);
      open.push({ at: ahead, heading: turned });
    }
  }
}

const homeward = (draw: Draw): Heading => pickOf(draw, ['S', 'S', 'E', 'W', 'S', 'N'] as const);

/** What an arm is to drop on: grows a path there if the tile is free. */
function serveDrop(draw: Draw, board: Board, arm: PlacedArm, onChest: boolean): void {
  const drop = placeTile(arm);
  if (!board.isFree(drop)) return;
  const [chest] = board.catalog.chests;
  if (onChest && chest !== undefined) {
    board.parts.push({ kind: 'chest', at: drop, model: chest });
    addArmFrom(draw, board, drop);
    return;
  }
  growPath(draw, board, drop, homeward(draw));
}

/** An arm that picks from a chest. */
function addArmFrom(draw: Draw, board: Board, chest: Tile): void {
  for (let tries = 0; tries < 4; tries += 1) {
    const model = pickOf(draw, board.catalog.arms);
    const heading = pickOf(draw, HEADINGS);
    const arm: PlacedArm = { kind: 'arm', at: stepFrom(chest, heading, model.reach), heading, model };
    const drop = placeTile(arm);
    if (!board.isFree(arm.at) || !(board.isFree(drop) || board.isUseful(drop))) continue;
    board.parts.push(arm);
    serveDrop(draw, board, arm, chance(draw, 10));
    return;
  }
}

function addWagonStation(draw: Draw, board: Board): void {
  for (let tries = 0; tries < 4; tries += 1) if (tryWagonStation(draw, board)) return;
}

/** On the track's rows beyond its end, where there is room: it picks from the wagon along the track. */
function armOverEnd(draw: Draw, { at, model: { length } }: PlacedWagon, model: ArmModel): PlacedArm {
  const y = -1 - draw(2);
  return chance(draw, 50)
    ? { kind: 'arm', at: { x: at + length - 1 + model.reach, y }, heading: 'E', model }
    : { kind: 'arm', at: { x: at - model.reach, y }, heading: 'W', model };
}

function tryWagonStation(draw: Draw, board: Board): boolean {
  const wagon = pickOf(draw, board.wagons);
  const model = pickOf(draw, board.catalog.arms);
  const x = wagon.at + draw(wagon.model.length);
  const y = model.reach - between(draw, 1, 2);
  // On the other side the same, as seen across the track.
  const isNorth = topOf(board.site) < 0 && chance(draw, 50);
  const beside: PlacedArm = { kind: 'arm', at: { x, y: isNorth ? -3 - y : y }, heading: isNorth ? 'N' : 'S', model };
  const arm = topOf(board.site) < 0 && chance(draw, 40) ? armOverEnd(draw, wagon, model) : beside;
  const drop = placeTile(arm);
  if (!board.isFree(arm.at) || !(board.isFree(drop) || board.isUseful(drop))) return false;
  board.parts.push(arm);
  serveDrop(draw, board, arm, chance(draw, 30));
  return true;
}

function addChestStation(draw: Draw, board: Board): void {
  const free = board.freeTiles();
  const [model] = board.catalog.chests;
  if (free.length === 0 || model === undefined) return;
  const at = pickOf(draw, free);
  board.parts.push({ kind: 'chest', at, model });
  addArmFrom(draw, board, at);
  if (chance(draw, 40)) addArmFrom(draw, board, at);
}

/** A short belt into the side of a belt that stands, and something that drops on it if there is room. */
function addSideFeeder(draw: Draw, board: Board): void {
  const belts = board.parts.flatMap((part) => (part.kind === 'belt' ? [part] : []));
  if (belts.length === 0) return;
  // The latest of them is often a side feeder itself: tees into tees.
  const target = chance(draw, 25) ? belts[belts.length - 1] : pickOf(draw, belts);
  const sides = chance(draw, 45) ? ([leftOf, rightOf] as const) : [pickOf(draw, [leftOf, rightOf] as const)];
  for (const side of sides) {
    const heading = backOf(side(target.heading));
    const model = chance(draw, 70) ? target.model : pickOf(draw, board.catalog.belts);
    const splitterModel = pickOf(draw, board.catalog.splitters);
    const length = between(draw, 1, 3);
    let at = stepFrom(target.at, side(target.heading));
    for (let laid = 0; laid < length && board.isFree(at); laid += 1) {
      const beside = rightHalfOf(at, heading);
      if (chance(draw, 12) && board.isFree(beside)) {
        board.parts.push({ kind: 'splitter', at, heading, model: splitterModel, ...favours(draw, splitterModel.favour) });
      } else {
        board.parts.push({ kind: 'belt', at, heading, model });
      }
      addArmOnto(draw, board, at);
      at = stepFrom(at, backOf(heading));
    }
  }
}

/** A belt behind a splitter half that nothing feeds, so that both halves compete. */
function feedSplitter(draw: Draw, board: Board): void {
  const idle = board.parts.flatMap((part) => {
    if (part.kind !== 'splitter') return [];
    const behind = tilesOf(part).map((tile) => stepFrom(tile, backOf(part.heading)));
    return behind.filter((tile) => board.isFree(tile)).map((at) => ({ at, part }));
  });
  if (idle.length === 0) return;
  const { at, part } = pickOf(draw, idle);
  const [fastest] = [...board.catalog.belts].sort((a, b) => b.speed - a.speed);
  const model = chance(draw, 60) ? fastest : pickOf(draw, board.catalog.belts);
  board.parts.push({ kind: 'belt', at, heading: part.heading, model });
  addArmOnto(draw, board, at);
  if (chance(draw, 60)) addArmOnto(draw, board, at);
  const before = stepFrom(at, backOf(part.heading));
  if (chance(draw, 50) && board.isFree(before)) {
    board.parts.push({ kind: 'belt', at: before, heading: part.heading, model });
    addArmOnto(draw, board, before);
  }
}

/** An arm onto an underpass end. */
function feedUnderpassEnd(draw: Draw, board: Board): void {
  const ends = board.parts.flatMap((part) => (part.kind === 'underpass' ? [part.to, part.to, part.from] : []));
  if (ends.length > 0) addArmOnto(draw, board, pickOf(draw, ends));
}

/** Lets most carriers that face a free tile or the open border go on from there. */
function leadOut(draw: Draw, board: Board): void {
  for (let rounds = 0; rounds < 4; rounds += 1) {
    const heads = board.parts.flatMap((part): { at: Tile; heading: Heading }[] => {
      if (part.kind === 'belt') return [{ at: part.at, heading: part.heading }];
      if (part.kind === 'splitter') return tilesOf(part).map((at) => ({ at, heading: part.heading }));
      if (part.kind === 'underpass') return [{ at: part.to, heading: underpassHeading(part) }];
      return [];
    });
    for (const { at, heading } of heads) {
      const ahead = stepFrom(at, heading);
      if (!board.inside(ahead)) addExit(draw, board, at, heading);
      else if (board.isFree(ahead) && chance(draw, 85)) growPath(draw, board, ahead, heading);
    }
  }
}

/** An arm that drops on a tile, from a chest put where it picks if that tile is free. */
function addArmOnto(draw: Draw, board: Board, drop: Tile): void {
  const [chest] = board.catalog.chests;
  for (let tries = 0; tries < 4; tries += 1) {
    const model = pickOf(draw, board.catalog.arms);
    const heading = pickOf(draw, HEADINGS);
    const at = stepFrom(drop, backOf(heading), model.reach);
    const source = stepFrom(at, backOf(heading), model.reach);
    if (!board.isFree(at)) continue;
    if (board.isFree(source) && chest !== undefined) board.parts.push({ kind: 'chest', at: source, model: chest });
    else if (!board.isUseful(source)) continue;
    board.parts.push({ kind: 'arm', at, heading, model });
    return;
  }
}

/** A closed ring of belts, in which a splitter may stand. */
function addRing(draw: Draw, board: Board): void {
  const width = between(draw, 2, 4);
  const depth = between(draw, 2, 3);
  const x = draw(Math.max(1, board.site.width - width + 1));
  const y = topOf(board.site) + draw(Math.max(1, rowsOf(board.site) - depth + 1));
  const clockwise = chance(draw, 50);
  const cells: { at: Tile; heading: Heading }[] = [];
  let at: Tile = { x, y };
  for (const [heading, length] of [
    ['E', width - 1],
    ['S', depth - 1],
    ['W', width - 1],
    ['N', depth - 1],
  ] as const) {
    for (let i = 0; i < length; i += 1) {
      cells.push({ at, heading });
      at = stepFrom(at, heading);
    }
  }
  if (!cells.every((cell) => board.isFree(cell.at))) return;
  // The other way round, a cell heads to where the one before it stands.
  const laid = clockwise
    ? cells
    : cells.map((cell, i) => ({
        at: cell.at,
        heading: backOf(cells[(i + cells.length - 1) % cells.length].heading),
      }));
  const model = pickOf(draw, board.catalog.belts);
  const splitterAt = chance(draw, 50) ? draw(laid.length) : -1;
  const ways: { at: Tile; heading: Heading }[] = [];
  laid.forEach((cell, i) => {
    const fedFrom = laid[(clockwise ? i + laid.length - 1 : i + 1) % laid.length];
    const outer = clockwise ? stepFrom(cell.at, leftOf(cell.heading)) : rightHalfOf(cell.at, cell.heading);
    if (i === splitterAt && fedFrom.heading === cell.heading && board.isFree(outer)) {
      const splitter = pickOf(draw, board.catalog.splitters);
      board.parts.push({
        kind: 'splitter',
        at: clockwise ? outer : cell.at,
        heading: cell.heading,
        model: splitter,
        ...favours(draw, splitter.favour),
      });
      ways.push({ at: stepFrom(outer, cell.heading), heading: cell.heading });
    } else {
      board.parts.push({ kind: 'belt', at: cell.at, heading: cell.heading, model });
    }
  });
  for (const way of ways) growPath(draw, board, way.at, way.heading);
  for (let arms = between(draw, 1, 3); arms > 0; arms -= 1) addArmOnto(draw, board, pickOf(draw, laid).at);
}

/** An arm wherever both of its tiles hold something: from belts above all. */
function addAnyArm(draw: Draw, board: Board): void {
  for (let tries = 0; tries < 25; tries += 1) {
    const free = board.freeTiles();
    if (free.length === 0) return;
    const at = pickOf(draw, free);
    const heading = pickOf(draw, HEADINGS);
    const model: ArmModel = pickOf(draw, board.catalog.arms);
    const source = stepFrom(at, backOf(heading), model.reach);
    const drop = stepFrom(at, heading, model.reach);
    const [chest] = board.catalog.chests;
    const sourceKind = board.partAt(source)?.kind;
    if (sourceKind === undefined || sourceKind === 'arm' || sourceKind === 'chest') continue;
    if (!board.isUseful(drop)) {
      if (tries < 15 || !board.isFree(drop) || sameTile(drop, at)) continue;
      if (chest !== undefined && chance(draw, 50)) board.parts.push({ kind: 'chest', at: drop, model: chest });
      else growPath(draw, board, drop, pickOf(draw, HEADINGS));
      if (!board.isFree(at)) return;
    }
    board.parts.push({ kind: 'arm', at, heading, model });
    return;
  }
}

function mutate(draw: Draw, board: Board): void {
  const free = board.freeTiles();
  const index = board.parts.length === 0 ? 0 : draw(board.parts.length);
  const part = board.parts[index];
  switch (draw(6)) {
    case 0:
    case 1:
      if (part?.kind === 'belt') board.parts[index] = { ...part, heading: pickOf(draw, HEADINGS) };
      break;
    case 2:
      if (part !== undefined && chance(draw, 50)) board.parts.splice(index, 1);
      break;
    case 3:
    case 4:
      if (free.length > 0) {
        const model = pickOf(draw, board.catalog.belts);
        board.parts.push({ kind: 'belt', at: pickOf(draw, free), heading: pickOf(draw, HEADINGS), model });
      }
      break;
    default: {
      const at = { x: draw(board.site.width), y: topOf(board.site) + draw(rowsOf(board.site)) };
      const heading = pickOf(draw, HEADINGS);
      addExit(draw, board, at, heading);
    }
  }
}

function placeWagons(draw: Draw, models: readonly WagonModel[], width: number): readonly PlacedWagon[] {
  const wagons: PlacedWagon[] = [];
  let from = draw(2);
  for (const model of models.slice(0, between(draw, 1, 2))) {
    const length = model.length;
    if (from + length > width) break;
    wagons.push({ model, at: from });
    from += length + draw(2);
  }
  if (wagons.length > 0) return wagons;
  // At least one wagon: the shortest that fits.
  const [first] = models;
  return first === undefined ? [] : [{ model: { ...first, length: Math.min(first.length, width) }, at: 0 }];
}

export const randomPlan = (draw: Draw): Layout => plan(draw, () => ({}));

/** With a north side; the track may end on the site, and parts stand beyond its end. */
export const randomSidesPlan = (draw: Draw): Layout =>
  plan(draw, (wagons) => {
    const ends = wagons.map(({ at, model }) => at + model.length - 1);
    const from = chance(draw, 30) ? Math.min(...wagons.map(({ at }) => at)) - draw(2) : undefined;
    const to = chance(draw, 50) ? Math.max(...ends) + draw(2) : undefined;
    const track = { ...(from === undefined ? {} : { from }), ...(to === undefined ? {} : { to }) };
    return { north: between(draw, 1, 6), ...(from === undefined && to === undefined ? {} : { track }) };
  });

function plan(draw: Draw, northSide: (wagons: readonly PlacedWagon[]) => Pick<Ground, 'north' | 'track'>): Layout {
  const catalog = randomCatalog(draw);
  const width = between(draw, 3, 10);
  const depth = between(draw, 3, 10);
  const wagons = placeWagons(draw, catalog.wagons, width);
  const north = northSide(wagons);
  const bare: Ground = { width, depth, ...north, keepOut: [] };
  const keepOut: readonly Box[] = chance(draw, 10)
    ? [{ x: draw(width), y: topOf(bare) + draw(rowsOf(bare)), width: 1, height: 1 }]
    : [];
  // A shortened wagon is a model of its own, so that the plan stays one that a file can say.
  const models = catalog.wagons.map((model) => wagons.find((wagon) => wagon.model.name === model.name)?.model ?? model);
  const board = new Board({ ...catalog, wagons: models }, { ...bare, keepOut }, wagons);

  if (chance(draw, 25)) addRing(draw, board);
  for (let n = between(draw, 1, 3); n > 0; n -= 1) addWagonStation(draw, board);
  for (let n = draw(3); n > 0; n -= 1) addChestStation(draw, board);
  for (let n = draw(6); n > 0; n -= 1) addSideFeeder(draw, board);
  for (let n = draw(4); n > 0; n -= 1) feedSplitter(draw, board);
  if (chance(draw, 50)) feedUnderpassEnd(draw, board);
  if (chance(draw, 80)) leadOut(draw, board);
  for (let n = draw(3); n > 0; n -= 1) addAnyArm(draw, board);
  for (let n = draw(3); n > 0; n -= 1) mutate(draw, board);
  return board.layout();
}

function addEntry(draw: Draw, board: Board, at: Tile, heading: Heading): void {
  const beyond = stepFrom(at, backOf(heading));
  if (board.inside(beyond) || isOnTrack(board.site, at) || wagonAt(board.wagons, beyond) !== undefined) return;
  if (board.entries.some((entry) => entry.heading === heading && sameTile(entry.at, at))) return;
  if (board.exits.some((exit) => exit.heading === backOf(heading) && sameTile(exit.at, at))) return;
  board.entries.push({ at, heading, give: randomTake(draw) });
}

/** A path that begins at a free border tile, with an entry over its edge. */
function addEntryPath(draw: Draw, board: Board): void {
  const places = board.freeTiles().flatMap((at) =>
    HEADINGS.flatMap((heading) => (board.inside(stepFrom(at, backOf(heading))) ? [] : [{ at, heading }])),
  );
  if (places.length === 0) return;
  const { at, heading } = pickOf(draw, places);
  growPath(draw, board, at, heading);
  addEntry(draw, board, at, heading);
}

/** An arm that picks from a carrier and places into a wagon, or into a chest that another arm empties, if there is room. */
function addLoadingArm(draw: Draw, board: Board): void {
  const [chest] = board.catalog.chests;
  const carriers = board.parts.flatMap((part) => (part.kind === 'arm' || part.kind === 'chest' ? [] : tilesOf(part)));
  for (let tries = 0; tries < 12 && carriers.length > 0; tries += 1) {
    const from = pickOf(draw, carriers);
    const heading = pickOf(draw, HEADINGS);
    const model = pickOf(draw, board.catalog.arms);
    const at = stepFrom(from, heading, model.reach);
    const to = stepFrom(at, heading, model.reach);
    if (!board.isFree(at)) continue;
    const isWagon = wagonAt(board.wagons, to) !== undefined;
    if (!isWagon && !(board.isFree(to) || board.partAt(to)?.kind === 'chest')) continue;
    board.parts.push({ kind: 'arm', at, heading, model });
    if (isWagon || chest === undefined) return;
    if (board.isFree(to)) board.parts.push({ kind: 'chest', at: to, model: chest });
    const second = pickOf(draw, board.catalog.arms);
    const standing = stepFrom(to, 'N', second.reach);
    if (board.isFree(standing) && wagonAt(board.wagons, stepFrom(standing, 'N', second.reach)) !== undefined) {
      board.parts.push({ kind: 'arm', at: standing, heading: 'N', model: second });
    }
    return;
  }
}

/** A random plan over whose border items come in, too; half of them have little else. */
export function randomLoadingPlan(draw: Draw, planned: (draw: Draw) => Layout = randomPlan): Layout {
  const isBare = chance(draw, 50);
  const base = planned(draw);
  const { catalog, site, wagons } = base;
  const board = new Board(catalog, site, wagons);
  if (!isBare) {
    board.parts.push(...base.parts);
    board.exits.push(...base.exits);
  }
  for (let n = between(draw, 1, 3); n > 0; n -= 1) addEntryPath(draw, board);
  for (const { at, heading } of board.parts.flatMap((part) => (part.kind === 'belt' || part.kind === 'splitter' ? [part] : []))) {
    if (chance(draw, 60)) addEntry(draw, board, at, heading);
  }
  for (let n = between(draw, 2, 8); n > 0; n -= 1) addLoadingArm(draw, board);
  for (let n = draw(3); n > 0; n -= 1) addSideFeeder(draw, board);
  for (let n = draw(2); n > 0; n -= 1) addAnyArm(draw, board);
  // Also some that nothing takes.
  if (chance(draw, 20)) addEntry(draw, board, { x: draw(site.width), y: topOf(site) + draw(rowsOf(site)) }, pickOf(draw, HEADINGS));
  return board.layout();
}

export const seededLoadingPlan = (seed: number): Layout => randomLoadingPlan(seededRandom(seed * 48_271 + 17));

/** On sites with two sides; a third of them with entries. */
export const seededSidesPlan = (seed: number): Layout => {
  const draw = seededRandom(seed * 69_621 + 5);
  return seed % 3 === 0 ? randomLoadingPlan(draw, randomSidesPlan) : randomSidesPlan(draw);
};

export const seededPlan = (seed: number): Layout => randomPlan(seededRandom(seed));

/** Draws from a list of numbers, and noughts after its end. */
function drawFrom(tape: readonly number[]): Draw {
  let next = 0;
  return (below) => {
    const value = tape[next] ?? 0;
    next += 1;
    return value % below;
  };
}

/** Shrinks toward shorter lists of smaller numbers, so toward plainer catalogs and fewer parts. */
export const arbitraryPlan: fc.Arbitrary<Layout> = fc
  .array(fc.nat({ max: 999_999 }), { minLength: 60, maxLength: 500, size: 'max' })
  .map((tape) => randomPlan(drawFrom(tape)));

// --------------------------------------------------------------------------------------------- shrinking and writing

/** Takes away and simplifies whatever the failure does not need. */
export function shrinkPlan(layout: Layout, fails: (smaller: Layout) => boolean): Layout {
  let best = layout;
  for (let changed = true; changed; ) {
    changed = false;
    for (const smaller of smallerPlans(best)) {
      if (!fails(smaller)) continue;
      best = smaller;
      changed = true;
      break;
    }
  }
  return best;
}

function* smallerPlans(layout: Layout): Generator<Layout> {
  const without = <T>(list: readonly T[], index: number): readonly T[] => list.filter((_, i) => i !== index);
  for (let i = layout.parts.length - 1; i >= 0; i -= 1) yield { ...layout, parts: without(layout.parts, i) };
  for (let i = layout.exits.length - 1; i >= 0; i -= 1) yield { ...layout, exits: without(layout.exits, i) };
  const { entries = [] } = layout;
  for (let i = entries.length - 1; i >= 0; i -= 1) yield { ...layout, entries: without(entries, i) };
  for (const [i, entry] of entries.entries()) {
    if (entry.give !== undefined) yield { ...layout, entries: entries.map((old, j) => (i === j ? { ...old, give: undefined } : old)) };
  }
  for (const [i, part] of layout.parts.entries()) {
    const swapped = (other: Part): Layout => ({
      ...layout,
      parts: layout.parts.map((old, j) => (i === j ? other : old)),
    });
    if (part.kind === 'arm') {
      const model = part.model;
      const plainer: Partial<ArmModel>[] = [
        { payload: 1 },
        { swingTicks: 1 },
        { grabTicks: 1 },
        { releaseTicks: 1 },
        { slack: 0 },
        { patienceTicks: undefined },
      ];
      for (const change of plainer) {
        const [[field, value] = []] = Object.entries(change);
        if (field !== undefined && model[field as keyof ArmModel] !== value) {
          yield swapped({ ...part, model: { ...model, name: named(`arm at ${part.at.x},${part.at.y}`), ...change } });
        }
      }
    }
    if (part.kind === 'splitter' && (part.favourIn !== undefined || part.favourOut !== undefined)) {
      yield swapped({ kind: 'splitter', at: part.at, heading: part.heading, model: part.model });
    }
    const [belt] = layout.catalog.belts;
    if (part.kind === 'belt' && belt !== undefined && part.model.name !== belt.name) yield swapped({ ...part, model: belt });
    if (part.kind === 'underpass' && belt !== undefined) {
      yield swapped({ kind: 'belt', at: part.from, heading: underpassHeading(part), model: belt });
    }
  }
  for (const [i, exit] of layout.exits.entries()) {
    if (exit.take !== undefined) {
      yield { ...layout, exits: layout.exits.map((old, j) => (i === j ? { ...old, take: undefined } : old)) };
    }
  }
  const { turn, unitsPerTile: U } = layout.catalog;
  if (turn.inner !== U || turn.outer !== U) {
    yield { ...layout, catalog: { ...layout.catalog, turn: { inner: U, outer: U } } };
  }
}

/** The plan as a plan file says it, with those models in its catalog that stand on the site, shrunk ones too. */
export function planDocument(layout: Layout): { readonly catalog: object; readonly [member: string]: unknown } {
  const { catalog } = layout;
  const at = (tile: Tile): readonly number[] => [tile.x, tile.y];
  const modelsOf = <M>(modelOf: (part: Part) => M | undefined): readonly M[] =>
    layout.parts.map(modelOf).filter((model) => model !== undefined);
  const belts = modelsOf((part) => (part.kind === 'belt' ? part.model : undefined));
  const splitters = modelsOf((part) => (part.kind === 'splitter' ? part.model : undefined));
  const underpasses = modelsOf((part) => (part.kind === 'underpass' ? part.model : undefined));
  const arms = modelsOf((part) => (part.kind === 'arm' ? part.model : undefined));
  const chests = modelsOf((part) => (part.kind === 'chest' ? part.model : undefined));
  const byName = <M extends { readonly name: ModelName }>(
    models: readonly M[],
    fields: (model: M) => object,
  ): Record<string, unknown> => Object.fromEntries(models.map((model) => [model.name, fields(model)]));
  return {
    format: 'transloom-plan/1',
    name: layout.name,
    catalog: {
      format: 'transloom-catalog/1',
      name: catalog.name,
      ticksPerSecond: catalog.ticksPerSecond,
      unitsPerTile: catalog.unitsPerTile,
      pitch: catalog.pitch,
      turn: catalog.turn,
      belts: byName(belts, ({ speed, cost }) => ({ speed, cost })),
      splitters: byName(splitters, ({ speed, cost, favour }) => ({ speed, cost, favour })),
      underpasses: byName(underpasses, ({ speed, span, cost }) => ({ speed, span, cost })),
      arms: byName(arms, (model) => ({
        reach: model.reach,
        payload: model.payload,
        swing: model.swingTicks,
        grab: model.grabTicks,
        release: model.releaseTicks,
        slack: model.slack,
        ...(model.patienceTicks === undefined ? {} : { patience: model.patienceTicks }),
        cost: model.cost,
      })),
      chests: byName(chests, ({ capacity, cost }) => ({ capacity, cost })),
      wagons: byName(layout.wagons.map((wagon) => wagon.model), ({ length, capacity }) => ({ length, capacity })),
    },
    site: {
      width: layout.site.width,
      depth: layout.site.depth,
      ...northOf(layout.site),
      keepOut: layout.site.keepOut.map((box) => [box.x, box.y, box.width, box.height]),
    },
    wagons: layout.wagons.map((wagon) => ({ model: wagon.model.name, at: wagon.at })),
    parts: layout.parts.map((part) => {
      switch (part.kind) {
        case 'underpass':
          return { kind: part.kind, from: at(part.from), to: at(part.to), model: part.model.name };
        case 'chest':
          return { kind: part.kind, at: at(part.at), model: part.model.name };
        case 'splitter':
          return {
            kind: part.kind,
            at: at(part.at),
            heading: part.heading,
            model: part.model.name,
            ...(part.favourIn === undefined ? {} : { favourIn: part.favourIn }),
            ...(part.favourOut === undefined ? {} : { favourOut: part.favourOut }),
          };
        default:
          return { kind: part.kind, at: at(part.at), heading: part.heading, model: part.model.name };
      }
    }),
    exits: layout.exits.map((exit) => ({
      at: at(exit.at),
      heading: exit.heading,
      ...(exit.take === undefined ? {} : { take: formatRational(exit.take) }),
    })),
    ...(layout.entries === undefined
      ? {}
      : {
          entries: layout.entries.map((entry) => ({
            at: at(entry.at),
            heading: entry.heading,
            ...(entry.give === undefined ? {} : { give: formatRational(entry.give) }),
          })),
        }),
  };
}
