/**
 * What `tradeoffs --over`, `--from` and `--to` ask about, as checked data.
 */
import { parseShare, type Rational, type StaircaseRange } from '../index.js';
import { usage, wholeOption } from './usage.js';

export const STAIRCASES = ['fill', 'depth', 'width', 'arms'] as const;
/** No site is longer. */
const LONGEST = 200;

export interface GivenRange {
  readonly over: string | undefined;
  readonly from: string | undefined;
  readonly to: string | undefined;
}

function shareOption(name: string, text: string | undefined): Rational | undefined {
  if (text === undefined) return undefined;
  const share = parseShare(text);
  if (share === undefined || share.n === 0n || share.n > share.d) {
    throw usage(`--${name} needs a fill above 0 and up to 1, such as 0.9, 9/10 or 90%, not “${text}”.`);
  }
  return share;
}

function sizeOption(name: string, over: string, text: string | undefined): number | undefined {
  return over === 'arms' ? wholeOption(name, text, 1) : wholeOption(name, text, 1, LONGEST, ', the longest side of a site');
}

/** Undefined where the list is asked for. */
export function rangeOption({ over, from, to }: GivenRange): StaircaseRange | undefined {
  if (over === undefined) {
    const alone = from === undefined ? (to === undefined ? undefined : 'to') : 'from';
    if (alone !== undefined) throw usage(`--${alone} says where a staircase goes; it needs --over ${STAIRCASES.join(', ')}.`);
    return undefined;
  }
  const axis = STAIRCASES.find((each) => each === over);
  if (axis === undefined) throw usage(`--over knows no “${over}”; there are: ${STAIRCASES.join(', ')}.`);
  const range: StaircaseRange =
    axis === 'fill'
      ? { over: axis, from: shareOption('from', from), to: shareOption('to', to) }
      : { over: axis, from: sizeOption('from', axis, from), to: sizeOption('to', axis, to) };
  const reversed = range.from !== undefined && range.to !== undefined && range.from.valueOf() > range.to.valueOf();
  if (reversed) throw usage(`--from ${String(from)} lies beyond --to ${String(to)}; the lesser comes first.`);
  return range;
}
