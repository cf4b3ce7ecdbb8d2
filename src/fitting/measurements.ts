/**
 * What was measured at parts whose integers are not known, as checked data, and what may be known of them.
 * Reading the file is in `parse-measurements.ts`; what a part of given integers would show is in `predict.ts`.
 */
import type { Rational } from '../base/rational.js';

/** What can be measured. `ticks` is how long items are counted, from any moment on. */
export type Probe =
  /** Items that stand on so many tiles of one lane, packed. */
  | { readonly kind: 'lane-holds'; readonly tiles: number }
  /** Items that pass a line across a saturated belt. */
  | { readonly kind: 'belt-carries'; readonly belt: string; readonly lanes: 1 | 2; readonly ticks: number }
  /** Ticks in which an item with a free way goes so many tiles. */
  | { readonly kind: 'item-travels'; readonly belt: string; readonly tiles: number }
  /** Items in a full hand. */
  | { readonly kind: 'hand-holds'; readonly arm: string }
  /** Ticks from the pick to the first item placed. */
  | { readonly kind: 'first-item'; readonly arm: string }
  /** Items placed from a container into a container. */
  | { readonly kind: 'arm-to-chest'; readonly arm: string; readonly ticks: number }
  /** Items placed from a container onto a free lane. */
  | { readonly kind: 'arm-to-lane'; readonly arm: string; readonly belt: string; readonly ticks: number };

export interface Measurement {
  readonly probe: Probe;
  /** Items, or ticks where a time was measured. */
  readonly observed: Rational;
  /** What was observed may be off by so much, either way. */
  readonly uncertainty: Rational;
}

/** Both ends belong to it. */
export interface Range {
  readonly least: number;
  readonly most: number;
}

interface BeltToFit {
  readonly name: string;
  readonly speed: Range;
}

/** The integers of an arm, in the order in which they are searched and shown. */
export const ARM_INTEGERS = ['payload', 'grab', 'release', 'swing'] as const;
export type ArmInteger = (typeof ARM_INTEGERS)[number];

export interface ArmToFit {
  readonly name: string;
  readonly ranges: Readonly<Record<ArmInteger, Range>>;
}

export interface Measurements {
  readonly name: string;
  readonly ticksPerSecond: number;
  readonly unitsPerTile: number;
  readonly pitch: Range;
  readonly belts: readonly BeltToFit[];
  readonly arms: readonly ArmToFit[];
  readonly measurements: readonly Measurement[];
  /** The members of a catalog that no measurement tells, as they were given. */
  readonly given: Readonly<Record<string, unknown>>;
}

/** Whether a probe gives a time, in ticks, and not a count of items. */
export const givesTime = ({ kind }: Pick<Probe, 'kind'>): boolean => kind === 'item-travels' || kind === 'first-item';
