/**
 * The greatest fill that a brief's site and limits allow, in words and as JSON. The station that gives it is told like any
 * other design (`design-text.ts`).
 */
import { formatRational, isLess, minRational, ONE } from '../base/rational.js';
import type { FillStep, GreatestFill } from '../synthesis/choices/staircase-outcome.js';
import { styled, type Style } from './canvas.js';
import { STOPPED } from './design-text.js';
import { endJson } from './staircase-json.js';
import { fillText } from './staircase-text.js';
import { proseWidth, wrap } from './table.js';
import { present, type JsonObject } from './trial-json.js';

/** A step may have its least cost and not its end. */
const isCheapest = ({ cost, bound }: FillStep): boolean => bound >= cost;

function sentences({ asked, best, end }: GreatestFill): readonly string[] {
  if (best === undefined) {
    return end.kind === 'open'
      ? [`No station was found: ${STOPPED[end.stoppedBy]}.`]
      : ['There is no station at all: not even a twentieth of what the brief asks for can be had.'];
  }
  const saturated = !isLess(best.upTo, ONE);
  const reach = isLess(best.upTo, asked) ? `; the brief asks for ${fillText(asked)}` : '';
  const cost = isCheapest(best) ? `the cheapest station that gives it costs ${best.cost}` : `a station that gives it costs ${best.cost}, one at least ${best.bound}`;
  switch (end.kind) {
    case 'reached':
      return [`${saturated ? 'Saturation, all that can be asked for' : `The greatest fill is ${fillText(best.upTo)}`}: ${cost}.`];
    case 'none-above':
      return [`The greatest fill is ${fillText(best.upTo)}: proven, no station that keeps to the site and the limits gives more${reach}. Of those, ${cost}.`];
    case 'open':
      return [`A fill of ${fillText(best.upTo)} can be had${reach}; whether more can is not known: ${STOPPED[end.stoppedBy]}. Here ${cost}.`];
  }
}

export const mostFillLines = (greatest: GreatestFill, style: Style): readonly string[] =>
  sentences(greatest)
    .flatMap((text) => wrap(text, proseWidth(style), 0))
    .map((line) => styled(style, 'plain', line));

export const mostFillJson = ({ asked, best, end }: GreatestFill): JsonObject =>
  present({
    // A station may give more where items come onto the exit's own tile, but whether none gives more than that was not asked.
    fill: best && formatRational(minRational(best.upTo, ONE)),
    asked: formatRational(asked),
    cost: best?.cost,
    bound: best?.bound,
    proven: end.kind !== 'open',
    cheapestProven: best && isCheapest(best),
    end: endJson(end),
  });
