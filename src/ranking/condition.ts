/**
 * Conditions such as "imbalance<=1/20", as they are typed: which layouts of a list to keep. Numbers are exact
 * rationals; "5%" is 1/20, and "90s" a dwell in seconds. What a flaw is called is for `cli/` to say.
 */
import { parseRational, ratio, type Rational } from '../base/rational.js';
import { isMeasure, type Measure, type Measures } from '../layout/measure.js';

const COMPARISONS = ['<=', '>=', '<', '>', '='] as const;
type Comparison = (typeof COMPARISONS)[number];

export interface Condition {
  readonly measure: Measure;
  readonly comparison: Comparison;
  /** Of a dwell in ticks, or in seconds. */
  readonly than: Rational;
  readonly unit?: 'seconds';
  /** As it was typed. */
  readonly text: string;
}

/** What should stand where something else does. */
export interface ConditionFlaw {
  readonly expected: 'measure' | 'comparison' | 'number' | 'end';
  readonly found: string;
  /** Counted from 1, in signs of the text. */
  readonly column: number;
}

type ParsedCondition = { readonly ok: true; readonly value: Condition } | { readonly ok: false; readonly flaw: ConditionFlaw };

/** "3", "3/8", "0.375" or "37.5%"; never negative. */
export function parseShare(text: string): Rational | undefined {
  const trimmed = text.trim();
  if (!trimmed.endsWith('%')) return parseRational(trimmed);
  return parseRational(trimmed.slice(0, -1))?.div(ratio(100));
}

/** A measure, a comparison and a number, in this order; or the first sign that does not fit. */
export function parseCondition(text: string): ParsedCondition {
  const flaw = (expected: ConditionFlaw['expected'], at: number, found: string): ParsedCondition => ({
    ok: false,
    flaw: { expected, found, column: at + 1 },
  });
  const skipSpaces = (from: number): number => from + (/^\s*/.exec(text.slice(from))?.[0].length ?? 0);
  const measureAt = skipSpaces(0);
  const measure = /^[^\s<>=]*/.exec(text.slice(measureAt))?.[0] ?? '';
  if (!isMeasure(measure)) return flaw('measure', measureAt, measure);
  const comparisonAt = skipSpaces(measureAt + measure.length);
  const comparison = COMPARISONS.find((each) => text.startsWith(each, comparisonAt));
  if (comparison === undefined) return flaw('comparison', comparisonAt, text.slice(comparisonAt).trim());
  const numberAt = skipSpaces(comparisonAt + comparison.length);
  const number = /^[^\s%]*\s*%?/.exec(text.slice(numberAt))?.[0] ?? '';
  const isTime = measure === 'dwell' && number.endsWith('s');
  const than = isTime ? parseRational(number.slice(0, -1)) : parseShare(number);
  if (than === undefined) return flaw('number', numberAt, number.trim());
  const endAt = skipSpaces(numberAt + number.length);
  if (endAt < text.length) return flaw('end', endAt, text.slice(endAt).trim());
  return { ok: true, value: { measure, comparison, than, ...(isTime ? { unit: 'seconds' } : {}), text: text.trim() } };
}

/** A layout without a dwell meets no condition on it. */
export function meets(measures: Measures, { measure, comparison, than, unit }: Condition, ticksPerSecond: number): boolean {
  const order = measures[measure]?.compare(unit === 'seconds' ? than.mul(ratio(ticksPerSecond)) : than);
  if (order === undefined) return false;
  switch (comparison) {
    case '<=':
      return order <= 0;
    case '>=':
      return order >= 0;
    case '<':
      return order < 0;
    case '>':
      return order > 0;
    case '=':
      return order === 0;
  }
}
