/**
 * What finished layouts are compared by, and how much of it a layout has where that can be counted on its parts.
 * The drain imbalance is in `base/jain.ts`, what trains take in `ranking/train-formula.ts`; flows, from which they and the fill
 * come, are a trial's.
 */
import type { Rational } from '../base/rational.js';
import { footprint, layoutCost, partCount, tilesOf, type Layout, type Part } from './layout.js';

/** In the order in which they are listed. */
export const MEASURES = ['cost', 'footprint', 'parts', 'imbalance', 'arms', 'splitters', 'depth', 'width', 'fill', 'dwell', 'trainsPerHour'] as const;

export type Measure = (typeof MEASURES)[number];

/** By formula, of full trains (`ranking/train-formula.ts`). A layout that leaves a wagon unemptied has neither. */
type TrainMeasure = 'dwell' | 'trainsPerHour';

/** `dwell`: ticks that a full train has to stand. */
export type TrainTimes = Readonly<Record<TrainMeasure, Rational>>;

export const isTrainMeasure = (measure: Measure): measure is TrainMeasure => measure === 'dwell' || measure === 'trainsPerHour';

/** A layout's measures; the fill is that of the worst exit. */
export type Measures = Readonly<Record<Exclude<Measure, TrainMeasure>, Rational> & { [measure in TrainMeasure]?: Rational | undefined }>;

export type CountedMeasure = Exclude<Measure, 'imbalance' | 'fill' | TrainMeasure>;

export const isCounted = (measure: Measure): measure is CountedMeasure => measure !== 'imbalance' && measure !== 'fill' && !isTrainMeasure(measure);

export const isMeasure = (name: string): name is Measure => MEASURES.some((measure) => measure === name);

/** Of all other measures, less is better. */
export const isBetterGreater = (measure: string): boolean => measure === 'fill' || measure === 'trainsPerHour';

/** Less is better, whatever the measure: for what compares by dominance. */
export const asBurden = (measure: Measure, value: Rational): Rational => (isBetterGreater(measure) ? value.neg() : value);

/** Which of two comes first by a measure: less than 0 for `a`. What is not known comes last. */
export function compareMeasured(measure: Measure, a: Rational | undefined, b: Rational | undefined): number {
  if (a === undefined || b === undefined) return Number(a === undefined) - Number(b === undefined);
  return asBurden(measure, a).compare(asBurden(measure, b));
}

/** Tiles from the least to the greatest, both counted; 0 without any. */
const extent = (places: readonly number[]): number => (places.length === 0 ? 0 : Math.max(...places) - Math.min(...places) + 1);

const countOf = ({ parts }: Layout, kind: Part['kind']): number => parts.filter((part) => part.kind === kind).length;

/** Depth and width are those of the smallest rectangle that holds all parts, in tiles. */
export function countedMeasures(layout: Layout): Readonly<Record<CountedMeasure, number>> {
  const tiles = layout.parts.flatMap(tilesOf);
  return {
    cost: layoutCost(layout),
    footprint: footprint(layout),
    parts: partCount(layout),
    arms: countOf(layout, 'arm'),
    splitters: countOf(layout, 'splitter'),
    depth: extent(tiles.map((tile) => tile.y)),
    width: extent(tiles.map((tile) => tile.x)),
  };
}
