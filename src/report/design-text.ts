/**
 * What a design run found, for a reader at a terminal: the verdict in words, the proof, the picture,
 * the bill of materials and the flows.
 */
import { unreachable } from '../base/invariant.js';
import { compare, type Rational, ZERO } from '../base/rational.js';
import type { Brief, Objective } from '../brief/brief.js';
import type { TrialResult } from '../simulation/trial-result.js';
import type { DesignOutcome, DesignProof, InfeasibleReason } from '../synthesis/outcome.js';
import { billText } from './bill.js';
import { styled, type Style } from './canvas.js';
import { drawLayout, exitLetter } from './draw-layout.js';
import { counted, percent, perSecondText, perTickText, secondsText } from './numbers.js';
import { wrap } from './table.js';
import { flowText } from './trial-text.js';

const WIDTH = 96;

export interface DesignFinding {
  readonly brief: Brief;
  readonly outcome: DesignOutcome;
  /** Of the layout found, if there is one. */
  readonly trial: TrialResult | undefined;
}

export function reasonText(reason: InfeasibleReason, ticksPerSecond: number): string {
  const rate = (flow: Rational): string => `${perSecondText(flow, ticksPerSecond)} (${perTickText(flow)} per tick)`;
  switch (reason.kind) {
    case 'limit-too-low': {
      const what = { arms: 'arms', parts: 'parts', cost: 'cost' }[reason.limit];
      return `The brief allows ${what} of at most ${reason.allowed}, but any station that meets it needs at least ${reason.needed}.`;
    }
    case 'arms-too-slow':
      return `No arms of this catalog can put more than ${rate(reason.most)} onto belt ${exitLetter(reason.exit)}; the brief asks for ${rate(reason.target)}.`;
    case 'supply-too-low':
      return `The arms that fit beside the wagons can fill chests at ${rate(reason.most)} at most; the brief's belts drain ${rate(reason.target)}.`;
    case 'site-too-small':
      return 'Nothing that the brief allows fits on the site.';
    case 'space-exhausted':
      return 'Every layout of the searched space was ruled out, by bound or by simulation.';
    default:
      return unreachable(reason);
  }
}

/** The first objective is what is proven; a brief begins with cost or part count. */
const amountText = (amount: number, objective: Objective): string =>
  objective === 'parts' ? counted(amount, 'part') : `cost ${amount}`;

const leastText = (amount: number, objective: Objective): string =>
  objective === 'parts' ? `at least ${counted(amount, 'part')}` : `a cost of at least ${amount}`;

/** One or two sentences that say what is known, and no more than that. */
export function verdictText(outcome: DesignOutcome, objective: Objective, ticksPerSecond: number): string {
  const { bound, cost, gap } = outcome.proof;
  const amount = (value: number): string => amountText(value, objective);
  const least = (value: number): string => leastText(value, objective);
  switch (outcome.status) {
    case 'optimal':
      return `${amount(cost ?? 0)}, and no station of the searched space that meets the brief has less.`;
    case 'feasible': {
      const found = `${amount(cost ?? 0)} meets the brief, but a better one may exist.`;
      if (bound === undefined) return found;
      const away = gap !== undefined && compare(gap, ZERO) > 0 ? ` (gap ${percent(gap)})` : '';
      return `${found} Any station needs ${least(bound)}${away}.`;
    }
    case 'infeasible':
      return reasonText(outcome.reason, ticksPerSecond);
    case 'unknown': {
      const known = bound === undefined ? '' : ` Any station that meets the brief needs ${least(bound)}.`;
      return `no station was found before the limit.${known}`;
    }
  }
}

const HEADLINE = { optimal: 'Optimal', feasible: 'Feasible', infeasible: 'Infeasible', unknown: 'Unknown' } as const;
const HEADLINE_INK = { optimal: 'good', feasible: 'warn', infeasible: 'bad', unknown: 'warn' } as const;

function proofLines(proof: DesignProof, style: Style): readonly string[] {
  const bounds = [
    ...(proof.bound === undefined ? [] : [`lower bound ${proof.bound}`]),
    ...(proof.cost === undefined ? [] : [`found ${proof.cost}`]),
    ...(proof.gap === undefined ? [] : [`gap ${compare(proof.gap, ZERO) === 0 ? '0' : percent(proof.gap)}`]),
  ].join(', ');
  const work = [
    counted(proof.rounds, 'round'),
    counted(proof.simulations, 'simulation'),
    secondsText(proof.seconds),
    `solver ${proof.solver}`,
  ].join(', ');
  return [
    styled(style, 'title', 'Proof'),
    ...(bounds === '' ? [] : wrap(bounds, WIDTH)).map((line) => styled(style, 'plain', line)),
    ...wrap(work, WIDTH).map((line) => styled(style, 'plain', line)),
    ...wrap(`Searched: ${proof.space}.`, WIDTH).map((line) => styled(style, 'dim', line)),
  ];
}

/** The verdict alone, for `--quiet`. */
export function verdictLines({ brief, outcome }: DesignFinding, style: Style): readonly string[] {
  const { status } = outcome;
  const words = wrap(verdictText(outcome, brief.minimise[0], brief.catalog.ticksPerSecond), WIDTH - 12, 0);
  const [first, ...rest] = words;
  return [
    `${styled(style, HEADLINE_INK[status], HEADLINE[status])}: ${styled(style, 'plain', first)}`,
    ...rest.map((line) => styled(style, 'plain', `  ${line}`)),
  ];
}

export function designText(finding: DesignFinding, style: Style): readonly string[] {
  const { brief, outcome, trial } = finding;
  const verdict = [styled(style, 'title', brief.name), ...verdictLines(finding, style), ''];
  const proof = proofLines(outcome.proof, style);
  if (outcome.status === 'infeasible' || outcome.status === 'unknown') return [...verdict, ...proof];
  return [
    ...verdict,
    ...drawLayout(outcome.layout, style),
    '',
    ...billText(outcome.layout, style),
    ...(trial === undefined ? [] : ['', ...flowText(outcome.layout, trial, style)]),
    '',
    ...proof,
  ];
}
