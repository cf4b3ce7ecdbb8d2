/**
 * Lists of tradeoffs that no search has found, for tests of what is said and shown of lists: sample plans, with values as
 * a test wants them.
 */
import { formatRational, ratio, type Rational } from '../../src/base/rational.js';
import type { Measure } from '../../src/layout/measure.js';
import type { Layout } from '../../src/layout/layout.js';
import { writePlan } from '../../src/layout/write-plan.js';
import { tryPlan, type JsonObject } from '../../src/index.js';
import type { TradeoffEntry } from '../../src/tasks/tradeoffs-list.js';
import type { TradeoffsOutcome } from '../../src/synthesis/choices/tradeoffs-outcome.js';
import { briefOf, planOf } from '../documents.js';

export const BRIEF = briefOf('models/briefs/grain-060.json');

export type ListedAnswer = Omit<TradeoffsOutcome, 'list'> & { readonly entries: readonly TradeoffEntry[] };

const PATHS = ['grain-direct-tee', 'grain-two-bins', 'grain-two-exits'].map((name) => `models/plans/${name}.json`);

const TRIED = PATHS.map((path) => {
  const layout: Layout = planOf(path);
  const { trial } = tryPlan(layout, undefined, { starts: 2 });
  const exits = trial.exits.map(({ at, heading, flow, left, right }) => ({ at: [at.x, at.y], heading, flow: formatRational(flow), left: formatRational(left.flow), right: formatRational(right.flow) }));
  return { layout, trial, plan: writePlan(layout, { cost: trial.cost, starts: 2, exits }) as JsonObject };
});

/** Entry after entry from the three sample plans in turn, each with one row of values. */
export const entriesWith = (values: readonly (readonly (number | readonly [number, number])[])[]): readonly TradeoffEntry[] =>
  values.map((row, index) => ({
    ...TRIED[index % TRIED.length],
    values: row.map((value): Rational => (typeof value === 'number' ? ratio(value) : ratio(value[0], value[1]))),
  }));

export const answerWith = (objectives: readonly Measure[], values: Parameters<typeof entriesWith>[0], changes: Partial<ListedAnswer> = {}): ListedAnswer => ({
  status: 'complete',
  objectives,
  completeTo: 92,
  askedTo: 92,
  stoppedBy: undefined,
  proof: { space: 'all plans of the brief', solver: 'glpk', rounds: 12, simulations: 301, seconds: 3.2 },
  entries: entriesWith(values),
  ...changes,
});
