/**
 * The flow of a lane in words, for titles of pictures and for tables.
 */
import { leftOf, rightOf, type Heading } from '../../base/geometry.js';
import type { Side } from '../../layout/layout.js';
import type { LaneFlow, LaneState } from '../../simulation/lane-flows.js';
import { percent, perSecondText } from '../numbers.js';
import { EDGE_WORD } from '../places.js';

const STATE_WORDS: Readonly<Record<LaneState, string>> = {
  full: 'saturated',
  gaps: 'with gaps',
  waiting: 'no gaps, items wait',
  standing: 'items stand still',
  empty: 'empty',
};

export const sideWord = (side: Side, heading: Heading): string =>
  `${side} lane (${EDGE_WORD[side === 'left' ? leftOf(heading) : rightOf(heading)]})`;

export function laneWords(lane: LaneFlow | undefined, side: Side, heading: Heading, ticksPerSecond: number): string {
  const name = sideWord(side, heading);
  if (lane === undefined) return `${name}: not measured`;
  if (lane.state === 'empty' || lane.state === 'standing') return `${name}: ${STATE_WORDS[lane.state]}`;
  return `${name}: ${perSecondText(lane.flow, ticksPerSecond)}, ${percent(lane.fill)} full, ${STATE_WORDS[lane.state]}`;
}
