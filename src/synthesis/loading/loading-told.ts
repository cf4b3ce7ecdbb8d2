/** What those who search for the same station tell each other, so that nothing is simulated that one of them knows of. */
import { invariant } from '../../base/invariant.js';
import { formatRational, parseRational, type Rational } from '../../base/rational.js';
import type { Standing } from '../families/preference.js';

/** Plain data: keys of stations and of cores that fail (`loading-key.ts`); the standing of a best one, its objectives as rationals in text. */
export type Told =
  | { readonly kind: 'fails'; readonly stations: readonly string[]; readonly cores: readonly string[] }
  | { readonly kind: 'best'; readonly values: readonly string[]; readonly text: string };

/** What is missed, or comes late, is simulated once more. */
export interface Others {
  readonly tell: (told: Told) => void;
  /** The next that has come in; undefined: nothing has. */
  readonly heard: () => Told | undefined;
}

export const toldOf = ({ values, text }: Standing): Told => ({ kind: 'best', values: values.map(formatRational), text });

function rationalOf(text: string): Rational {
  const value = parseRational(text);
  invariant(value !== undefined, 'a standing travels as rationals', { text });
  return value;
}

export const standingOf = ({ values, text }: Extract<Told, { kind: 'best' }>): Standing => ({ values: values.map(rationalOf), text });
