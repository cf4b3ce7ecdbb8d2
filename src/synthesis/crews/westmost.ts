/**
 * Copies of layouts further west. Where one exists it costs the same, flows the same and comes first in the order of plans,
 * so whoever looks for the best layout need not meet the other one. Of a crew that stands some columns further west too,
 * only those networks have no such copy for which so many columns are not free beside the site's edge: something of them
 * stands there, be it only an idle belt, and so carriers of items in the next column at the least. The search bounds these by
 * the moves that lead there (`carrier-bound.ts`).
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
  private readonly places: ReadonlySet<number> | undefined;
  private readonly width: number;
  /** More than any tile, also than those asked about that would lie beyond the last column. */
  private readonly span: number;
  private readonly models: number;

  constructor(map: SiteMap, { fills, loads }: Candidates) {
    this.width = map.width;
    this.span = map.tiles + map.width + 2;
    this.models = map.arms.length;
    if (!mayHaveCopies(map)) return;
    this.places = new Set([
      ...fills.map(({ tile, heading, model, chestTile }) => this.placeOf(tile, heading, model, -1, chestTile)),
      ...loads.map(({ tile, heading, model, chestTile, target }) => this.placeOf(tile, heading, model, chestTile, target)),
    ]);
  }

  /** Whether any layout has copies. */
  get holdsAnywhere(): boolean {
    return this.places !== undefined;
  }

  /** The crew, and by how many columns further west it stands too, the fewest: those tell of most networks that they have copies. */
  told(crew: Crew): Crew {
    if (this.places === undefined) return crew;
    const room = this.columnsWestOf(crew);
    for (let by = 1; by <= room; by++) if (this.mayStand(crew, by)) return { ...crew, copyInTheWest: by };
    return crew;
  }

  /** Whether all arms of a crew may stand so many columns further west, each with what it lifts from and onto; none of them may lie beyond the first. */
  mayStand({ arms, chests }: Crew, by = 0): boolean {
    const { places } = this;
    if (places === undefined) return false;
    for (const { tile, heading, model, role, chest, target } of arms) {
      const from = role === 'fill' || chest < 0 ? -1 : chests[chest].tile - by;
      if (!places.has(this.placeOf(tile - by, heading, model, from, target - by))) return false;
    }
    return true;
  }

  /** Whether what loads a carrier, and what fills the chest it lifts from, may both stand a column further west; not where the latter is open. */
  mayStepWest({ tile, heading, model, chestTile, target }: LoadCandidate, fill: FillCandidate | undefined): boolean {
    if (chestTile >= 0 && fill === undefined) return false;
    const arms: CrewArm[] = [{ tile, heading, model, role: 'load', chest: chestTile < 0 ? -1 : 0, target }];
    if (fill !== undefined) arms.push({ tile: fill.tile, heading: fill.heading, model: fill.model, role: 'fill', chest: 0, target: fill.chestTile });
    const crew: Crew = { chests: chestTile < 0 ? [] : [{ tile: chestTile, model: 0 }], arms };
    return this.columnsWestOf(crew) > 0 && this.mayStand(crew, 1);
  }

  /** Columns between a crew, with what its arms lift from and onto, and the site's first one. */
  private columnsWestOf({ arms, chests }: Crew): number {
    let room = this.width;
    for (const { tile, target } of arms) room = Math.min(room, tile % this.width, target % this.width);
    for (const { tile } of chests) room = Math.min(room, tile % this.width);
    return room;
  }

  private placeOf(tile: number, heading: number, model: number, from: number, target: number): number {
    return (((tile * 4 + heading) * this.models + model) * this.span + from + 1) * this.span + target;
  }
}
