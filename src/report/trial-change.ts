/**
 * What differs between two trials of a plan that is being worked on, in a line or a few.
 */
import { compare, ZERO, type Rational } from '../base/rational.js';
import type { TrialResult } from '../simulation/trial-result.js';
import { styled, type Style } from './canvas.js';
import { perSecondText } from './numbers.js';
import { EDGE_WORD, tileText } from './places.js';

type ExitTrial = TrialResult['exits'][number];

const nameOf = ({ at, heading }: ExitTrial): string => `exit over the ${EDGE_WORD[heading]} edge of ${tileText(at)}`;

export function trialChangeLines(before: TrialResult, after: TrialResult, ticksPerSecond: number, style: Style): readonly string[] {
  const rate = (flow: Rational): string => perSecondText(flow, ticksPerSecond);
  const names = [...new Set([...before.exits, ...after.exits].map(nameOf))];
  const flows = names.flatMap((name) => {
    const [old, now] = [before, after].map(({ exits }) => exits.find((exit) => nameOf(exit) === name)?.flow ?? ZERO);
    const better = compare(now, old);
    return better === 0 ? [] : [styled(style, better > 0 ? 'good' : 'bad', `${name}: ${rate(old)}, now ${rate(now)}`)];
  });
  const cost = before.cost === after.cost ? [] : [`cost: ${before.cost}, now ${after.cost}`];
  const lines = [...flows, ...cost];
  return lines.length === 0 ? ['Saved: same flows, same cost.'] : ['Changed by this save:', ...lines.map((line) => `  ${line}`)];
}
