/**
 * Random layouts for property tests of the simulator: crowded grids with belts, splitters, underpasses,
 * arms from wagons, chests and belts, open and metered exits. Every layout follows from its seed.
 */
import { rightHalfOf, stepFrom, HEADINGS, type Heading, type Tile } from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';
import { ratio } from '../../src/base/rational.js';
import type { Catalog } from '../../src/catalog/catalog.js';
import type { Layout, Part, PlacedExit } from '../../src/layout/layout.js';
import { armModel, belt, chest, layoutOf, splitter, underpass, wagonModel } from './sketch.js';

export interface RandomOptions {
  readonly catalog?: Partial<Catalog>;
  /** Belt speeds to draw from. */
  readonly speeds: readonly number[];
  readonly slacks: readonly number[];
  /** Headings to draw from; the more of one, the more often. */
  readonly headings: readonly Heading[];
  /** Whether to begin with a closed loop of belts. */
  readonly loop?: boolean;
}

/** No rings: only two headings occur. */
export const TOWARD_CORNER: readonly Heading[] = ['S', 'S', 'E'];
export const ANYWHERE: readonly Heading[] = ['S', 'S', 'S', 'E', 'W', 'E', 'W', 'N'];

export function randomLayout(seed: number, options: RandomOptions): Layout {
  const draw = seededRandom(seed);
  const pick = <T>(list: readonly T[]): T => list[draw(list.length)];
  const width = 4 + draw(3);
  const depth = 4 + draw(4);
  const taken = new Set<string>();
  const key = (tile: Tile): string => `${tile.x},${tile.y}`;
  const isFree = (tile: Tile): boolean =>
    tile.x >= 0 && tile.y >= 0 && tile.x < width && tile.y < depth && !taken.has(key(tile));
  const parts: Part[] = [];
  const exits: PlacedExit[] = [];
  const put = (part: Part, ...tiles: readonly Tile[]): boolean => {
    if (!tiles.every(isFree)) return false;
    for (const tile of tiles) taken.add(key(tile));
    parts.push(part);
    return true;
  };
  const addExit = (at: Tile, heading: Heading): void => {
    const beyond = stepFrom(at, heading);
    const outside = beyond.x < 0 || beyond.x >= width || beyond.y >= depth;
    if (!outside || draw(5) === 0) return;
    const take = draw(3) === 0 ? ratio(1 + draw(4), 3 + draw(11)) : undefined;
    exits.push({ at, heading, take });
  };
  const arms = (): Part & { kind: 'arm' } => ({
    kind: 'arm',
    at: { x: draw(width), y: draw(depth) },
    heading: pick(HEADINGS),
    model: armModel({
      reach: draw(6) === 0 ? 2 : 1,
      payload: 1 + draw(12),
      swingTicks: 2 + draw(8),
      grabTicks: 1 + draw(3),
      releaseTicks: 1 + draw(3),
      slack: pick(options.slacks),
      patienceTicks: draw(2) === 0 ? draw(20) : undefined,
    }),
  });

  if (options.loop === true) {
    const [left, top] = [draw(2), draw(2)];
    const [right, bottom] = [left + 1 + draw(width - left - 2), top + 1 + draw(depth - top - 2)];
    const speed = pick(options.speeds);
    const lay = (x: number, y: number, heading: Heading): boolean => put(belt(x, y, heading, speed), { x, y });
    for (let x = left; x < right; x++) lay(x, top, 'E');
    for (let y = top; y < bottom; y++) lay(right, y, 'S');
    for (let x = right; x > left; x--) lay(x, bottom, 'W');
    for (let y = bottom; y > top; y--) lay(left, y, 'N');
  }
  const splitters = draw(4);
  for (let i = 0; i < splitters; i++) {
    const at = { x: draw(width), y: draw(depth) };
    const heading = pick(options.headings);
    const favours = draw(4) === 0;
    const part = splitter(at.x, at.y, heading, {
      speed: pick(options.speeds),
      ...(favours && draw(2) === 0 ? { favourIn: pick(['left', 'right'] as const) } : {}),
      ...(favours && draw(2) === 0 ? { favourOut: pick(['left', 'right'] as const) } : {}),
    });
    const right = rightHalfOf(at, heading);
    if (put(part, at, right)) {
      addExit(at, heading);
      addExit(right, heading);
    }
  }
  if (draw(2) === 0) {
    const from = { x: draw(width), y: draw(depth) };
    const heading = pick(options.headings);
    const to = stepFrom(from, heading, 1 + draw(3));
    if (put(underpass(from.x, from.y, to.x, to.y, pick(options.speeds)), from, to)) addExit(to, heading);
  }
  const wanted = 2 + draw(5);
  for (let i = 0; i < wanted; i++) {
    const arm = arms();
    const source = stepFrom(arm.at, arm.heading, -arm.model.reach);
    if (put(arm, arm.at) && source.y >= 0 && draw(3) > 0) put(chest(source.x, source.y), source);
  }
  for (let y = 0; y < depth; y++) {
    for (let x = 0; x < width; x++) {
      if (draw(8) === 0) continue;
      const at = { x, y };
      const heading = pick(options.headings);
      if (put(belt(x, y, heading, pick(options.speeds)), at)) addExit(at, heading);
    }
  }
  return layoutOf(parts, exits, {
    ...(options.catalog === undefined ? {} : { catalog: options.catalog }),
    wagons: [{ model: wagonModel, at: 0 }],
  });
}
