/**
 * How reports and pages name what layouts are compared by, and what they show of a value. Exact values stand in JSON.
 */
import type { Rational } from '../base/rational.js';
import { isMeasure, type Measure } from '../layout/measure.js';
import { percent, secondsText, tenths } from './numbers.js';

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
  dwell: 'dwell, ticks',
  trainsPerHour: 'trains an hour',
};

export const measureWord = (name: string): string => (isMeasure(name) ? WORDS[name] : name);

/** A measure and its value as told in a row of others: "cost 75", "footprint 24 tiles", "13 parts". */
export function measurePhrase(name: string, text: string): string {
  const [noun, unit] = measureWord(name).split(', ');
  if (text === 'none') return `no ${noun}`;
  if (name === 'dwell') return text.replace(/^\S+/, (ticks) => `${noun} ${ticks} ${unit}`);
  if (unit !== undefined) return `${noun} ${text} ${text === '1' ? 'tile' : unit}`;
  if (name === 'trainsPerHour') return `${text} ${text === '1' ? 'train an hour' : noun}`;
  const isCount = name === 'parts' || name === 'arms' || name === 'splitters';
  return isCount ? `${text} ${text === '1' ? noun.slice(0, -1) : noun}` : `${noun} ${text}`;
}

/** "9375 (188 s)", to a tenth of a tick. */
const dwellText = (ticks: Rational, ticksPerSecond: number | undefined): string =>
  `${tenths(ticks)}${ticksPerSecond === undefined ? '' : ` (${secondsText(ticks.valueOf() / ticksPerSecond)})`}`;

/** "75", "0.0019", "97.3 %"; of a dwell ticks, and seconds where it is known how many a second has. */
export function measureText(name: string, value: Rational | undefined, ticksPerSecond?: number): string {
  if (value === undefined) return name === 'dwell' || name === 'trainsPerHour' ? 'none' : 'unknown';
  if (name === 'fill') return percent(value);
  if (name === 'dwell') return dwellText(value, ticksPerSecond);
  if (name === 'trainsPerHour') return tenths(value);
  return value.d === 1n ? value.toFraction() : value.valueOf().toPrecision(2);
}
