/**
 * Copies of layouts, a column further west. Where one exists it costs the same, flows the same and comes first in the order
 * of plans, so whoever looks for the best layout need not meet the other one. Of a crew that stands a column further west
 * too, only those networks have no such copy that reach the first two columns (carriers of items the second, or an idle belt
 * beside them the first): the search bounds them by the moves that lead there (`carrier-bound.ts`).
 *
 * A copy holds on a bare site alone: no obstacles, rows on one side, wagons that stop where they are told, exits that
 * leave over the south edge from the first column on, and nothing asked of trains, which tell one wagon from another.
 */
import { isTrainMeasure } from '../../layout/measure.js';
import type { Candidates, FillCandidate, LoadCandidate } from '../site/candidates.js';
import type { Crew, CrewArm } from '../site/crew.js';
import type { SiteMap } from '../site/site-map.js';

/** Columns beyond this are told in texts of four digits, which have another order. */
const MOST_COLUMNS = 1000;

function mayHaveCopies({ brief, keepOut, top, width }: SiteMap): boolean {
  const { exits, limits, minimise, spotting } = brief;
  return (
    exits.every(({ edge, from }) => edge === 'S' && from === 0) &&
    top === 0 &&
    width <= MOST_COLUMNS &&
    spotting === 0 &&
    keepOut.every((kept) => kept === 0) &&
    limits.dwell === undefined &&
    limits.trainsPerHour === undefined &&
    !minimise.some(isTrainMeasure)
  );
}

export class Westmost {
  /** Places of arms, each with what it lifts from and onto; undefined where layouts have no copies. */
  private readonly places: ReadonlySet<string> | undefined;
  private readonly width: number;

  constructor(map: SiteMap, { fills, loads }: Candidates) {
    this.width = map.width;
    if (!mayHaveCopies(map)) return;
    this.places = new Set([
      ...fills.map(({ tile, heading, model, chestTile }) => placeOf(tile, heading, model, -1, chestTile)),
      ...loads.map(({ tile, heading, model, chestTile, target }) => placeOf(tile, heading, model, chestTile, target)),
    ]);
  }

  /** Whether any layout has copies. */
  get holdsAnywhere(): boolean {
    return this.places !== undefined;
  }

  /** The crew, and whether it stands a column further west too. */
  told(crew: Crew): Crew {
    return this.hasCopy(crew) ? { ...crew, hasCopyInTheWest: true } : crew;
  }

  /** Whether all arms of a crew may stand where they do, each with what it lifts from and onto. */
  mayStand({ arms, chests }: Crew): boolean {
    const { places } = this;
    return places !== undefined && arms.every(({ tile, heading, model, role, chest, target }) => places.has(placeOf(tile, heading, model, role === 'fill' || chest < 0 ? -1 : chests[chest].tile, target)));
  }

  /** Whether what loads a carrier, and what fills the chest it lifts from, may both stand a column further west; not where the latter is open. */
  mayStepWest({ tile, heading, model, chestTile, target }: LoadCandidate, fill: FillCandidate | undefined): boolean {
    if (chestTile >= 0 && fill === undefined) return false;
    const arms: CrewArm[] = [{ tile, heading, model, role: 'load', chest: chestTile < 0 ? -1 : 0, target }];
    if (fill !== undefined) arms.push({ tile: fill.tile, heading: fill.heading, model: fill.model, role: 'fill', chest: 0, target: fill.chestTile });
    return this.hasCopy({ chests: chestTile < 0 ? [] : [{ tile: chestTile, model: 0 }], arms });
  }

  private hasCopy({ arms, chests }: Crew): boolean {
    const { places, width } = this;
    if (places === undefined) return false;
    const isFirst = (tile: number): boolean => tile % width === 0;
    return arms.every(({ tile, heading, model, role, chest, target }) => {
      const from = role === 'fill' || chest < 0 ? -1 : chests[chest].tile - 1;
      return !isFirst(tile) && !isFirst(target) && (from < 0 || !isFirst(from + 1)) && places.has(placeOf(tile - 1, heading, model, from, target - 1));
    });
  }
}

const placeOf = (tile: number, heading: number, model: number, from: number, target: number): string => `${tile}.${heading}.${model}.${from}.${target}`;
