/**
 * The knee of a list: the layout that gives most for what it asks. It is the one nearest to the ideal, the best value
 * in every objective at once, where each objective is measured by its span over the list. Source of the
 * compromise nearest to an ideal: P. L. Yu, "A Class of Solutions for Group Decision Problems", Management Science
 * 19(8), 1973; M. Zeleny, "Compromise Programming", 1973 (from memory). Words for it are in `report/knee-words.ts`.
 */
import { compare, isLess, sumRational, ZERO, type Rational } from '../base/rational.js';

/** Of fewer layouts each is an end of the list. */
const FEWEST = 3;

interface Span {
  readonly least: Rational;
  /** Undefined where all are equal, so that nothing is to choose. */
  readonly width: Rational | undefined;
}

function spanOf(values: readonly Rational[]): Span {
  const least = values.reduce((a, b) => (isLess(b, a) ? b : a));
  const most = values.reduce((a, b) => (isLess(a, b) ? b : a));
  const width = most.sub(least);
  return { least, width: compare(width, ZERO) === 0 ? undefined : width };
}

/** Square of the distance to the ideal of each layout; `burdens` has its objectives, all better the less. */
export function distancesToIdeal(burdens: readonly (readonly Rational[])[]): readonly Rational[] {
  if (burdens.length === 0) return [];
  const spans = burdens[0].map((_, objective) => spanOf(burdens.map((each) => each[objective])));
  return burdens.map((each) =>
    sumRational(
      spans.map(({ least, width }, objective) => {
        const share = width === undefined ? ZERO : each[objective].sub(least).div(width);
        return share.mul(share);
      }),
    ),
  );
}

export interface Knee {
  /** Into the list. */
  readonly index: number;
  /** What stands beside the knee's first objective: against the first of the list and what lies beyond. Undefined where it is that one. */
  readonly exchange: Exchange | undefined;
}

/** How much of one objective is got for each 1 of the first. */
export interface Exchange {
  /** The objective of which the knee, against the first of the list, saves most of the span. */
  readonly objective: number;
  /** Up to the knee; undefined where it asks for no more. */
  readonly before: Rational | undefined;
  /** At most so much from the knee to any that asks for more; undefined where none of those saves any. */
  readonly beyond: Rational | undefined;
}

/** The list by rising first objective. Undefined if it is too short; of equally near ones, the first. */
export function kneeOf(burdens: readonly (readonly Rational[])[]): Knee | undefined {
  if (burdens.length < FEWEST) return undefined;
  const distances = distancesToIdeal(burdens);
  const index = distances.reduce((best, distance, at) => (isLess(distance, distances[best]) ? at : best), 0);
  return { index, exchange: exchangeAt(burdens, index) };
}

function exchangeAt(burdens: readonly (readonly Rational[])[], knee: number): Exchange | undefined {
  const [first, here] = [burdens[0], burdens[knee]];
  const shares = first.map((value, objective) => {
    const { width } = spanOf(burdens.map((each) => each[objective]));
    return width === undefined ? ZERO : value.sub(here[objective]).div(width);
  });
  const objective = shares.reduce((best, share, at) => (isLess(shares[best], share) ? at : best), 0);
  if (compare(shares[objective], ZERO) <= 0) return undefined;
  const rate = (from: readonly Rational[], to: readonly Rational[]): Rational | undefined =>
    isLess(from[0], to[0]) ? from[objective].sub(to[objective]).div(to[0].sub(from[0])) : undefined;
  const beyond = burdens
    .map((each) => rate(here, each))
    .filter((each) => each !== undefined)
    .filter((each) => compare(each, ZERO) > 0)
    .reduce<Rational | undefined>((most, each) => (most === undefined || isLess(most, each) ? each : most), undefined);
  return { objective, before: rate(first, here), beyond };
}
