/**
 * The measures by which layouts of a list are sorted and kept: every objective that a brief may name. How they
 * are measured is in `layout/layout.ts`, `base/jain.ts` and, for the fill, in a trial.
 */
import type { Rational } from '../base/rational.js';
import type { Objective } from '../brief/brief.js';

export type Measure = Objective | 'fill';

/** In the order in which they are listed. */
export const MEASURES: readonly Measure[] = ['cost', 'footprint', 'parts', 'imbalance', 'arms', 'splitters', 'depth', 'width', 'fill'];

/** A layout's measures; the fill is that of the worst exit. */
export type Measures = Readonly<Record<Measure, Rational>>;

export const isMeasure = (name: string): name is Measure => MEASURES.some((measure) => measure === name);

/** Of all other measures, less is better. */
export const isBetterGreater = (measure: string): boolean => measure === 'fill';

/** Less is better, whatever the measure: for what compares by dominance. */
export const asBurden = (measure: Measure, value: Rational): Rational => (isBetterGreater(measure) ? value.neg() : value);
