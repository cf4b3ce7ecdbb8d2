/**
 * What a design, or a list of tradeoffs, says of a brief, held against a station that was drawn and meets it: nothing is proven
 * that this one shows to be wrong.
 */
import type { Rational } from '../../src/base/rational.js';
import type { Objective } from '../../src/brief/brief.js';
import type { TradeoffsAnswer } from '../../src/index.js';
import type { Layout } from '../../src/layout/layout.js';
import { entriesOf } from '../../src/layout/layout.js';
import { asBurden } from '../../src/layout/measure.js';
import { valuesOf } from '../../src/synthesis/families/preference.js';
import type { DesignOutcome } from '../../src/synthesis/outcome.js';
import type { Verify } from '../../src/synthesis/verifier.js';
import type { Kept } from './drawn-brief.js';

interface Drawn extends Kept {
  readonly layout: Layout;
}

export const priceOfDrawn = ({ brief, layout, passing }: Drawn): number => valuesOf(layout, brief.minimise, passing)[0].valueOf();

/** Less than 0 where `a` comes first. */
function comparePreferred(objectives: readonly Objective[], a: readonly Rational[], b: readonly Rational[]): number {
  const at = a.findIndex((value, index) => value.compare(b[index]) !== 0);
  return at < 0 ? 0 : asBurden(objectives[at], a[at]).compare(asBurden(objectives[at], b[at]));
}

/** Orders in which exits or entries may stand: a plan's need not be that of its brief. */
const ordersOf = <T>(all: readonly T[]): readonly (readonly T[])[] =>
  all.length <= 1 ? [all] : all.flatMap((first, index) => ordersOf(all.filter((_, other) => other !== index)).map((rest) => [first, ...rest]));

/** What a design says that the station shows to be wrong. */
export function contradictedBy({ brief, layout, passing }: Drawn, outcome: DesignOutcome, verify: Verify): string | undefined {
  const values = valuesOf(layout, brief.minimise, passing);
  if (outcome.status === 'infeasible') return 'infeasible';
  if ((outcome.proof.bound ?? 0) > values[0].valueOf()) return `at least ${outcome.proof.bound}`;
  if (outcome.status !== 'optimal') return undefined;
  const { layout: own } = outcome;
  const orders = ordersOf(own.exits).flatMap((exits) => ordersOf(entriesOf(own)).map((entries): Layout => ({ ...own, exits, entries })));
  const found = orders.map((each) => verify(each, brief));
  const valued = found.flatMap((witness) => (witness.verdict === 'passes' ? [valuesOf(own, brief.minimise, witness)] : []));
  if (valued.length === 0) return found.every(({ verdict }) => verdict === 'fails') ? 'a layout that falls short' : undefined;
  return valued.every((each) => comparePreferred(brief.minimise, values, each) < 0) ? `optimal with ${valued[0].join()}` : undefined;
}

/** The same of a list up to the station's price. */
export function lackedBy({ brief, layout, passing }: Drawn, { status, completeTo, entries }: TradeoffsAnswer): string | undefined {
  const values = valuesOf(layout, brief.minimise, passing);
  if (status === 'infeasible') return 'infeasible';
  if (completeTo === undefined || (completeTo !== 'all' && completeTo < values[0].valueOf())) return undefined;
  const isMatched = entries.some((entry) => entry.values.every((value, at) => asBurden(brief.minimise[at], value).compare(asBurden(brief.minimise[at], values[at])) <= 0));
  return isMatched ? undefined : 'complete without it';
}
