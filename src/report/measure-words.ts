/**
 * How reports and pages name what layouts are compared by, and what they show of a value. Exact values stand in JSON.
 */
import type { Rational } from '../base/rational.js';
import { isMeasure, type Measure } from '../layout/measure.js';
import { percent } from './numbers.js';

const WORDS: Readonly<Record<Measure, string>> = {
  cost: 'cost',
  footprint: 'footprint, tiles',
  parts: 'parts',
  imbalance: 'drain imbalance',
  arms: 'arms',
  splitters: 'splitters',
  depth: 'depth, tiles',
  width: 'width, tiles',
  fill: 'fill',
};

export const measureWord = (name: string): string => (isMeasure(name) ? WORDS[name] : name);

/** "75", "0.0019", "97.3 %". */
export function measureText(name: string, value: Rational | undefined): string {
  if (value === undefined) return 'unknown';
  if (name === 'fill') return percent(value);
  return value.d === 1n ? value.toFraction() : value.valueOf().toPrecision(2);
}
