/**
 * Where chests and arms may stand: every placement that the space of layouts allows, before any choice.
 * A fill arm lifts from a wagon into a chest, a load arm from a chest (or, fed directly, from a wagon, be it only
 * where that stops short or far) onto the tile on which a carrier must come to stand. Arms that pick from belts, or move items from chest to
 * chest, are outside the space.
 */
import { wagonAt } from '../../layout/layout.js';
import { spottingOffsets } from '../../layout/spotting.js';
import type { CrewArm } from './crew.js';
import type { SiteMap } from './site-map.js';

export interface FillCandidate {
  readonly tile: number;
  readonly model: number;
  readonly heading: number;
  readonly chestTile: number;
}

export interface LoadCandidate {
  readonly tile: number;
  readonly model: number;
  readonly heading: number;
  /** -1: it draws from a wagon, or from a chest that is given. */
  readonly chestTile: number;
  readonly target: number;
}

export interface Candidates {
  /** Tiles on which a chest can be filled, in rising order; if all arms onto carriers draw from chests, wherever the wagons stop. */
  readonly chestTiles: readonly number[];
  readonly fills: readonly FillCandidate[];
  readonly loads: readonly LoadCandidate[];
}

const DX = [0, 1, 0, -1];
const DY = [-1, 0, 1, 0];

/** `given`: tiles of chests that stand there already, which the brief keeps out. */
export function candidates(map: SiteMap, given: readonly number[] = []): Candidates {
  const { brief, width, depth, top } = map;
  const inside = (x: number, y: number): boolean => x >= 0 && y >= 0 && x < width && y < depth;
  const free = (x: number, y: number): boolean => inside(x, y) && map.keepOut[y * width + x] === 0;
  const offsets = spottingOffsets(brief.spotting);
  /** Wherever wagons may stop: as planned there may be a gap. `row` counts from the map's first. */
  const mayMeetWagon = (x: number, row: number): boolean => offsets.some((offset) => wagonAt(brief.wagons, { x: x - offset, y: row + top }) !== undefined);

  const anyFills: FillCandidate[] = [];
  const direct: LoadCandidate[] = [];
  for (let y = 0; y < depth; y++) {
    for (let x = 0; x < width; x++) {
      if (!free(x, y)) continue;
      map.arms.forEach((arm, model) => {
        for (let heading = 0; heading < 4; heading++) {
          const picksWagon = mayMeetWagon(x - DX[heading] * arm.reach, y - DY[heading] * arm.reach);
          const px = x + DX[heading] * arm.reach;
          const py = y + DY[heading] * arm.reach;
          if (!picksWagon || !free(px, py)) continue;
          const tile = y * width + x;
          const target = py * width + px;
          if (brief.feed !== 'direct' && map.chests.length > 0) anyFills.push({ tile, model, heading, chestTile: target });
          if (brief.feed !== 'chests') direct.push({ tile, model, heading, chestTile: -1, target });
        }
      });
    }
  }
  const fills = brief.feed === 'chests' ? steadyFills(map, anyFills) : anyFills;
  const chestTiles = [...new Set(fills.map((fill) => fill.chestTile))].sort((a, b) => a - b);
  const loads: LoadCandidate[] = [...direct];
  for (const from of [...chestTiles, ...given]) {
    const chestTile = given.includes(from) ? -1 : from;
    const cx = from % width;
    const cy = (from - cx) / width;
    map.arms.forEach((arm, model) => {
      for (let heading = 0; heading < 4; heading++) {
        const x = cx + DX[heading] * arm.reach;
        const y = cy + DY[heading] * arm.reach;
        const px = x + DX[heading] * arm.reach;
        const py = y + DY[heading] * arm.reach;
        if (!free(x, y) || !free(px, py)) continue;
        loads.push({ tile: y * width + x, model, heading, chestTile, target: py * width + px });
      }
    });
  }
  loads.sort((a, b) => a.tile - b.tile || a.model - b.model || a.heading - b.heading || a.chestTile - b.chestTile);
  return { chestTiles, fills, loads };
}

/** Tiles on which arms may place. */
export const dropsOf = ({ loads }: Candidates): readonly number[] => [...new Set(loads.map(({ target }) => target))];

/** Index of the wagon that an arm reaches where all stand `offset` tiles further, or -1. Wagons move along x alone. */
export function wagonReached({ brief, width, arms }: SiteMap, arm: Pick<CrewArm, 'tile' | 'heading' | 'model'>, offset: number): number {
  const x = (arm.tile % width) - DX[arm.heading] * arms[arm.model].reach;
  return brief.wagons.findIndex(({ at, model }) => x >= at + offset && x < at + offset + model.length);
}

/**
 * Fills of chests that can be filled wherever the wagons stop. Where all arms onto carriers draw from chests, they never notice
 * where that is, for chests are never found empty; so a chest that can't be filled somewhere has to give nothing anywhere.
 * (Beside arms straight from wagons one may: where these reach a wagon, they can leave it no room.)
 */
function steadyFills(map: SiteMap, fills: readonly FillCandidate[]): readonly FillCandidate[] {
  const offsets = spottingOffsets(map.brief.spotting);
  const filledAt = new Map<number, Set<number>>();
  for (const fill of fills) {
    const known = filledAt.get(fill.chestTile) ?? new Set();
    for (const offset of offsets) if (wagonReached(map, fill, offset) >= 0) known.add(offset);
    filledAt.set(fill.chestTile, known);
  }
  return fills.filter(({ chestTile }) => filledAt.get(chestTile)?.size === offsets.length);
}
