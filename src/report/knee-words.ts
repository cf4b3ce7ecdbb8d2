/**
 * Why one layout of a list gives most for what it asks, in words: what sets it apart from the first of the list, and
 * what each further step would give. How it is found is in `ranking/knee.ts`.
 */
import { compare, isLess, ONE, ratio, ZERO, type Rational } from '../base/rational.js';
import { compareMeasured, type Measure, type Measures } from '../layout/measure.js';
import type { Exchange } from '../ranking/knee.js';
import { measureText } from './measure-words.js';
import { percent } from './numbers.js';

const SHARES: readonly (readonly [Rational, string])[] = [
  [ratio(1, 2), 'half'],
  [ratio(1, 3), 'a third'],
  [ratio(2, 3), 'two thirds'],
  [ratio(1, 4), 'a quarter'],
  [ratio(3, 4), 'three quarters'],
  [ratio(1, 5), 'a fifth'],
];

const shareText = (share: Rational): string => SHARES.find(([exact]) => compare(exact, share) === 0)?.[1] ?? percent(share);

const counted = (amount: Rational, one: string, many: string): string =>
  `${measureText('', amount)} ${compare(amount, ONE) === 0 ? one : many}`;

/** How a layout differs from another in one measure: "costs 8 more". */
function difference(measure: Measure, from: Rational, to: Rational): string {
  const isMore = isLess(from, to);
  const amount = to.sub(from).abs();
  switch (measure) {
    case 'cost':
      return `costs ${measureText('', amount)} ${isMore ? 'more' : 'less'}`;
    case 'footprint':
      return `takes ${counted(amount, 'tile', 'tiles')} ${isMore ? 'more of ground' : `less of ground (${shareText(amount.div(from))} less)`}`;
    case 'parts':
      return `has ${counted(amount, 'part', 'parts')} ${isMore ? 'more' : 'fewer'}`;
    case 'arms':
      return `has ${counted(amount, 'arm', 'arms')} ${isMore ? 'more' : 'fewer'}`;
    case 'splitters':
      return `has ${counted(amount, 'splitter', 'splitters')} ${isMore ? 'more' : 'fewer'}`;
    case 'depth':
      return `is ${counted(amount, 'tile', 'tiles')} ${isMore ? 'deeper' : 'less deep'}`;
    case 'width':
      return `is ${counted(amount, 'tile', 'tiles')} ${isMore ? 'wider' : 'narrower'}`;
    case 'imbalance':
      return `drains its chests ${isMore ? 'less' : 'more'} evenly (imbalance ${measureText(measure, to)}, not ${measureText(measure, from)})`;
    case 'dwell':
      return `keeps a train ${measureText('', amount)} ${compare(amount, ONE) === 0 ? 'tick' : 'ticks'} ${isMore ? 'longer' : 'less long'}`;
    case 'trainsPerHour':
      return `carries off ${measureText(measure, to)} trains an hour, not ${measureText(measure, from)}`;
    case 'fill':
      return `is filled to ${measureText(measure, to)}, not ${measureText(measure, from)}`;
  }
}

const rounded = (value: Rational): string => `${value.d === 1n ? '' : 'about '}${measureText('', value)}`;

const UNITS: Readonly<Record<Exclude<Measure, 'fill' | 'imbalance' | 'trainsPerHour'>, readonly [one: string, many: string]>> = {
  cost: [' of cost', ' of cost'],
  footprint: [' tile of ground', ' tiles of ground'],
  parts: [' part', ' parts'],
  arms: [' arm', ' arms'],
  splitters: [' splitter', ' splitters'],
  depth: [' tile of depth', ' tiles of depth'],
  width: [' tile of width', ' tiles of width'],
  dwell: [' tick of dwell', ' ticks of dwell'],
};

/** "1 of cost saves 2 tiles of ground", "4 of cost save 1 part": whole things are not told in pieces. */
function bargain(price: 'cost' | 'parts', measure: Measure, rate: Rational): string {
  const [unit, units] = UNITS[price];
  if (measure === 'fill') return `1${unit} wins ${rounded(rate.mul(100))} % of fill`;
  if (measure === 'trainsPerHour') return `1${unit} wins ${rounded(rate)} trains an hour`;
  if (measure === 'imbalance') return `1${unit} takes ${rounded(rate)} off the imbalance`;
  const [one, many] = UNITS[measure];
  if (isLess(rate, ONE)) return `${rounded(ONE.div(rate))}${units} save 1${one}`;
  return `1${unit} saves ${rounded(rate)}${compare(rate, ONE) === 0 ? one : many}`;
}

function exchangeText(objectives: readonly Measure[], { objective, before, beyond }: Exchange): string {
  const price = objectives[0] === 'parts' ? 'parts' : 'cost';
  const told = (rate: Rational): string => bargain(price, objectives[objective], rate);
  const further = beyond === undefined ? 'nothing beyond it is better in that' : `beyond it ${told(beyond)} at best`;
  return before === undefined ? `For that it asks nothing more; ${further}.` : `Up to it ${told(before)}; ${further}.`;
}

/** "a, b and c". */
const enumerated = (words: readonly string[]): string =>
  words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}`;

/**
 * `first` and `knee` are layouts of one list, the first of it and its knee; `number` is that of the knee, as the
 * list has it.
 */
export function kneeReason(
  objectives: readonly Measure[],
  number: number,
  { first, knee }: { readonly first: Measures; readonly knee: Measures },
  exchange: Exchange | undefined,
): string {
  const nearest = `Number ${number} gives most for what it asks: of all it lies nearest to the best value of every objective at once, each measured by its span in the list.`;
  const [end, than] = objectives[0] === 'cost' ? ['the cheapest', 'Set against the cheapest'] : ['the first of the list', 'Set against the first'];
  if (exchange === undefined) return `${nearest} It is ${end}: what others are better in is worth less, so measured, than what they ask.`;
  const differing = objectives.filter((measure) => compareMeasured(measure, first[measure], knee[measure]) !== 0);
  const isGain = (measure: Measure): boolean => compareMeasured(measure, knee[measure], first[measure]) < 0;
  const ordered = [...differing.filter((measure) => measure === objectives[0]), ...differing.filter((measure) => measure !== objectives[0] && isGain(measure)), ...differing.filter((measure) => measure !== objectives[0] && !isGain(measure))];
  return `${nearest} ${than}, it ${enumerated(ordered.map((measure) => difference(measure, first[measure] ?? ZERO, knee[measure] ?? ZERO)))}. ${exchangeText(objectives, exchange)}`;
}
