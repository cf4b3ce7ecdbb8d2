/**
 * A crew: chests and arms placed on the site, before any carrier. Tiles are indices of the site map.
 * Which crews there are for a bill of parts is in `crew-search.ts`.
 */

export interface CrewChest {
  readonly tile: number;
  /** Index into the catalog's chests, cheapest first. */
  readonly model: number;
}

export interface CrewArm {
  readonly tile: number;
  /** Quarter turns from N. */
  readonly heading: number;
  /** Index into the site map's arms. */
  readonly model: number;
  /** `fill`: from a wagon into a chest; `load`: onto a carrier. */
  readonly role: 'fill' | 'load';
  /** The chest that it fills or empties: index into the crew's chests; -1: it draws from a wagon. */
  readonly chest: number;
  /** The tile on which it places. */
  readonly target: number;
}

export interface Crew {
  readonly chests: readonly CrewChest[];
  /** In the order of their tiles, which is the order in which arms act. */
  readonly arms: readonly CrewArm[];
  /** By how many columns further west it stands too; then only networks matter that have no such copy: see `westmost.ts`. */
  readonly copyInTheWest?: number;
}

/** What tells crews of the same counts apart. */
export const crewKey = (crew: Crew): string => crew.arms.map((arm) => `${arm.tile}.${arm.heading}.${arm.model}.${arm.target}`).join(' ');
