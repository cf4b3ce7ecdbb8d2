/**
 * What is known of a plan and how it came to be known, in sentences: from its trial, and from what a design
 * run has left in it.
 */
import { counted, perSecondText } from '../numbers.js';
import { parseRational } from '../../base/rational.js';
import type { JsonNode } from '../../base/json-node.js';
import { exitLetter } from '../labels.js';
import type { TrialResult } from '../../simulation/trial-result.js';
import type { PageEntry } from './page-data.js';

function certaintyWords(trial: TrialResult): string {
  const start = trial.worstStart === 0 ? 'the standard start' : `staggered start ${trial.worstStart}`;
  const which = trial.starts > 1 ? `The figures are those of the worst of ${counted(trial.starts, 'start')}, ${start}.` : 'The figures are those of the standard start.';
  if (trial.exact) {
    return `${which} They are exact: the station repeats every ${counted(trial.periodTicks, 'tick')}, from tick ${trial.transientTicks} on.`;
  }
  return `${which} They are unproven: the station did not repeat within ${trial.transientTicks + trial.periodTicks} ticks, so they are measured, not exact.`;
}

const numberOf = (node: JsonNode): number | undefined => node.whole();

/** A bound is one of the first objective of its brief, which is the cost or the number of parts. */
function amountText(amount: number, trial: TrialResult): string {
  if (amount === trial.cost) return `Its cost is ${amount}`;
  return amount === trial.parts ? `It has ${counted(amount, 'part')}` : `It comes to ${amount}`;
}

function claim(entry: PageEntry): readonly string[] {
  const { result, proof, trial } = entry;
  const bound = numberOf(proof.at('bound'));
  const found = numberOf(proof.at('cost'));
  const known = found === undefined ? [] : [`${amountText(found, trial)}${bound === undefined ? '' : `; the proven lower bound is ${bound}`}.`];
  switch (result.at('status').text()) {
    case 'optimal':
      return [['Optimal: no station in the searched space meets the brief with less.', ...known].join(' ')];
    case 'feasible':
      // In a list a dearer layout is no worse an answer: it is there for what cheaper ones lack.
      if (entry.isListed) return [['It meets the brief, and stands in the list for what cheaper ones lack.', ...known].join(' ')];
      return [['Feasible: it meets the brief, but a better one may exist.', ...known].join(' ')];
    default:
      return known;
  }
}

function work(proof: JsonNode): readonly string[] {
  const rounds = numberOf(proof.at('rounds'));
  const simulations = numberOf(proof.at('simulations'));
  const solver = proof.at('solver').text();
  const parts = [
    ...(rounds === undefined ? [] : [counted(rounds, 'round')]),
    ...(simulations === undefined ? [] : [counted(simulations, 'simulation')]),
  ];
  if (parts.length === 0) return solver === undefined ? [] : [`Integer programs were solved by ${solver}.`];
  return [`The search took ${[...parts, ...(solver === undefined ? [] : [`solver ${solver}`])].join(', ')}.`];
}

function promised({ result, layout }: PageEntry): readonly string[] {
  // A plan may list its exits in another order than its promise.
  const promises = result.at('exits').items();
  const exits = layout.exits.flatMap(({ at, heading }, index) => {
    const promise = promises.find((each) => {
      const [x, y] = each.at('at').wholes(2) ?? [];
      return x === at.x && y === at.y && each.at('heading').text() === heading;
    });
    const flow = parseRational(promise?.at('flow').text() ?? '');
    return flow === undefined ? [] : [`${perSecondText(flow, layout.catalog.ticksPerSecond)} over exit ${exitLetter(index)}`];
  });
  const wagons = result.at('wagons').items().flatMap((wagon) => {
    const inflow = parseRational(wagon.at('inflow').text() ?? '');
    return inflow === undefined ? [] : [`${perSecondText(inflow, layout.catalog.ticksPerSecond)} into the wagon from x = ${wagon.at('at').whole() ?? 0}`];
  });
  const promisedFlows = [...exits, ...wagons];
  if (promisedFlows.length === 0) return ['This plan promises nothing.'];
  const starts = numberOf(result.at('starts')) ?? 0;
  const from = starts === 0 ? 'the standard start' : `the standard start and ${counted(starts, 'staggered one')}`;
  return [`It promises at least ${promisedFlows.join(', ')}, from ${from}.`];
}

export function proofWords(entry: PageEntry): readonly string[] {
  const { proof, trial } = entry;
  const space = proof.at('space').text();
  return [
    ...claim(entry),
    ...promised(entry),
    certaintyWords(trial),
    ...work(proof),
    ...(space === undefined ? [] : [`Searched: ${space}.`]),
  ];
}
