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
  imbalance: 'imbalance',
  arms: 'arms',
  splitters: 'splitters',
  depth: 'depth, tiles',
  width: 'width, tiles',
  fill: 'fill',
  dwell: 'dwell, ticks',
  trainsPerHour: 'trains an hour',
};

export const measureWord = (name: string): string => (isMeasure(name) ? WORDS[name] : name);

/** What stands before a measure's amount, the amount, and what stands behind it: "footprint ", "24", " tiles". */
export function measureParts(name: string, text: string): readonly [before: string, amount: string, after: string] {
  const [noun, unit] = measureWord(name).split(', ');
  if (text === 'none') return ['no ', noun, ''];
  switch (name) {
    case 'dwell': {
      const [ticks, ...seconds] = text.split(' ');
      return [`${noun} `, ticks, [` ${unit}`, ...seconds].join(' ')];
    }
    case 'footprint':
    case 'depth':
    case 'width':
      return [`${noun} `, text, text === '1' ? ' tile' : ` ${unit}`];
    case 'trainsPerHour':
      return ['', text, text === '1' ? ' train an hour' : ` ${noun}`];
    case 'parts':
    case 'arms':
    case 'splitters':
      return ['', text, ` ${text === '1' ? noun.slice(0, -1) : noun}`];
    default:
      return [`${noun} `, text, ''];
  }
}

/** A measure and its value as told in a row of others: "cost 75", "footprint 24 tiles", "13 parts". */
export const measurePhrase = (name: string, text: string): string => measureParts(name, text).join('');

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
