/**
 * A sentence for each way in which a plan can break its promise.
 */
import { unreachable } from '../base/invariant.js';
import type { Rational } from '../base/rational.js';
import type { Breach } from '../ranking/promise.js';
import { perSecondText, perTickText } from './numbers.js';
import { EDGE_WORD, tileText } from './places.js';

export function breachText(breach: Breach, ticksPerSecond: number): string {
  const rate = (flow: Rational): string => `${perSecondText(flow, ticksPerSecond)} (${perTickText(flow)} per tick)`;
  switch (breach.kind) {
    case 'exit-missing':
      return `The exit over the ${EDGE_WORD[breach.heading]} of ${tileText(breach.at)} is promised but is not in the plan.`;
    case 'flow-below': {
      const lane = breach.lane === 'both' ? 'both lanes' : `the ${breach.lane} lane`;
      return `The exit at ${tileText(breach.at)} gives ${rate(breach.found)} on ${lane}; promised were ${rate(breach.promised)}.`;
    }
    case 'sum-below':
      return `All exits together give ${rate(breach.found)}; promised were ${rate(breach.promised)}.`;
    case 'wagon-below':
      return `The wagon from x = ${breach.at} gets ${rate(breach.found)}; promised were ${rate(breach.promised)}.`;
    case 'chest-fills-up':
      return `The chest at ${tileText(breach.at)} is filled at ${rate(breach.inflow)} but emptied at most at ${rate(breach.carryOff)}.`;
    case 'cost-differs':
      return `The parts cost ${breach.found}; promised was ${breach.promised}.`;
    case 'chest-runs-dry':
      return `The chest at ${tileText(breach.at)} is drained at ${rate(breach.outflow)} but filled at most at ${rate(breach.supply)}.`;
    case 'unproven':
      return 'The run did not repeat within its tick limit, so the promised flows are not proven.';
    default:
      return unreachable(breach);
  }
}
