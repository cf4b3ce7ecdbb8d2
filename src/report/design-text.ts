/**
 * What a design run found, for a reader at a terminal: the verdict in words, the proof, the picture,
 * the bill of materials and the flows.
 */
import { compare, ZERO } from '../base/rational.js';
import type { Brief, Objective } from '../brief/brief.js';
import type { TrainFormula } from '../ranking/train-formula.js';
import type { TrialResult } from '../simulation/trial-result.js';
import type { DesignOutcome, DesignProof, StopCause } from '../synthesis/outcome.js';
import { billText } from './bill.js';
import { styled, type Style } from './canvas.js';
import { drawLayout } from './draw-layout.js';
import { counted, percent, secondsText } from './numbers.js';
import { reasonText, remedyLines } from './reason-text.js';
import { proseWidth, titleLines, verdictLines, wrap } from './table.js';
import { trainLines } from './train-text.js';
import { flowText } from './trial-text.js';

export interface DesignFinding {
  readonly brief: Brief;
  readonly outcome: DesignOutcome;
  /** Of the layout found, if there is one. */
  readonly trial: TrialResult | undefined;
  /** By formula, at that trial's flows. */
  readonly trains?: TrainFormula | undefined;
}

/** The first objective is what is proven; a brief begins with cost or part count. */
const amountText = (amount: number, objective: Objective): string =>
  objective === 'parts' ? counted(amount, 'part') : `cost ${amount}`;

const leastText = (amount: number, objective: Objective): string =>
  objective === 'parts' ? `at least ${counted(amount, 'part')}` : `a cost of at least ${amount}`;

/** What came before the end of the search, to be followed by what did not come. */
export const STOPPED: Readonly<Record<StopCause, string>> = {
  'time-limit': 'the time limit came',
  interrupt: 'the run was ended from outside',
  solver: 'the solver of integer programs gave up',
  simulation: 'the simulation of some cheaper station reached its limit of ticks',
};

/** One or two sentences that say what is known, and no more than that. */
export function verdictText(outcome: DesignOutcome, objective: Objective, ticksPerSecond: number): string {
  const { bound, cost, gap } = outcome.proof;
  const amount = (value: number): string => amountText(value, objective);
  const least = (value: number): string => leastText(value, objective);
  switch (outcome.status) {
    case 'optimal':
      return `${amount(cost ?? 0)}; no station in the searched space meets the brief with less.`;
    case 'feasible': {
      const found = `a station of ${amount(cost ?? 0)} meets the brief, but a better one may exist: ${STOPPED[outcome.stoppedBy]} before the proof.`;
      if (bound === undefined) return found;
      const away = gap !== undefined && compare(gap, ZERO) > 0 ? ` (gap ${percent(gap)})` : '';
      return `${found} Any station needs ${least(bound)}${away}.`;
    }
    case 'infeasible':
      return reasonText(outcome.reason, ticksPerSecond);
    case 'unknown': {
      // That a station costs no less than nothing is nothing known.
      const known = bound === undefined || bound <= 0 ? '' : ` Any station that meets the brief needs ${least(bound)}.`;
      return `${STOPPED[outcome.stoppedBy]} before a station was found that meets the brief, or shown that there is none.${known}`;
    }
  }
}

const HEADLINE = { optimal: 'Optimal', feasible: 'Feasible', infeasible: 'Infeasible', unknown: 'Unknown' } as const;
const HEADLINE_INK = { optimal: 'good', feasible: 'warn', infeasible: 'bad', unknown: 'warn' } as const;

const RESUMED =
  'Goes on from a saved search: what that had ruled out is taken on trust, the best station was tried again; counts and seconds are of all portions.';

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
    ...(proof.solver === undefined ? [] : [`solver ${proof.solver}`]),
  ].join(', ');
  return [
    styled(style, 'title', 'Proof'),
    ...(bounds === '' ? [] : wrap(bounds, proseWidth(style))).map((line) => styled(style, 'plain', line)),
    ...wrap(work, proseWidth(style)).map((line) => styled(style, 'plain', line)),
    ...(proof.resumed === true ? wrap(RESUMED, proseWidth(style)) : []).map((line) => styled(style, 'plain', line)),
    ...wrap(`Searched: ${proof.space}.`, proseWidth(style)).map((line) => styled(style, 'dim', line)),
  ];
}

/** The verdict alone, for `--quiet`. */
export function designVerdict({ brief, outcome }: DesignFinding, style: Style): readonly string[] {
  const { status } = outcome;
  const words = verdictText(outcome, brief.minimise[0], brief.catalog.ticksPerSecond);
  return verdictLines(HEADLINE[status], HEADLINE_INK[status], words, proseWidth(style), style);
}

export function designText(finding: DesignFinding, style: Style): readonly string[] {
  const { brief, outcome, trial, trains } = finding;
  const verdict = [...titleLines(brief.name, style), ...designVerdict(finding, style), ''];
  const proof = proofLines(outcome.proof, style);
  if (outcome.status === 'infeasible') {
    const remedies = remedyLines(outcome.reason, brief, proseWidth(style)).map((line) => styled(style, 'plain', line));
    return [...verdict, ...(remedies.length === 0 ? [] : [...remedies, '']), ...proof];
  }
  if (outcome.status === 'unknown') return [...verdict, ...proof];
  return [
    ...verdict,
    ...drawLayout(outcome.layout, style),
    '',
    ...billText(outcome.layout, style),
    ...(trial === undefined ? [] : ['', ...flowText(outcome.layout, trial, style, brief.presence)]),
    ...(trains === undefined ? [] : trainLines(outcome.layout, trains, style)),
    '',
    ...proof,
  ];
}
