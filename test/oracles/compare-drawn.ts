/**
 * What a design, or a list of tradeoffs, says of a brief, held against a station that was drawn and meets it: nothing is proven
 * that this one shows to be wrong.
 */
import { expect } from 'vitest';
import type { Rational } from '../../src/base/rational.js';
import type { Objective } from '../../src/brief/brief.js';
import { designStation, findTradeoffs, type TradeoffsAnswer } from '../../src/index.js';
import { entriesOf, type Layout } from '../../src/layout/layout.js';
import { asBurden } from '../../src/layout/measure.js';
import { valuesOf } from '../../src/synthesis/families/preference.js';
import type { DesignOutcome } from '../../src/synthesis/outcome.js';
import type { Verify } from '../../src/synthesis/verifier.js';
import type { Kept } from './drawn-brief.js';

interface Drawn extends Kept {
  readonly layout: Layout;
}

const priceOfDrawn = ({ brief, layout, passing }: Drawn): number => valuesOf(layout, brief.minimise, passing)[0].valueOf();

/** Less than 0 where `a` comes first. */
function comparePreferred(objectives: readonly Objective[], a: readonly Rational[], b: readonly Rational[]): number {
  const at = a.findIndex((value, index) => value.compare(b[index]) !== 0);
  return at < 0 ? 0 : asBurden(objectives[at], a[at]).compare(asBurden(objectives[at], b[at]));
}

/** Orders in which exits or entries may stand: a plan's need not be that of its brief. */
const ordersOf = <T>(all: readonly T[]): readonly (readonly T[])[] =>
  all.length <= 1 ? [all] : all.flatMap((first, index) => ordersOf(all.filter((_, other) => other !== index)).map((rest) => [first, ...rest]));

/** What a design says that the station shows to be wrong. */
function contradictedBy({ brief, layout, passing }: Drawn, outcome: DesignOutcome, verify: Verify): string | undefined {
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
function lackedBy({ brief, layout, passing }: Drawn, { status, completeTo, entries }: TradeoffsAnswer): string | undefined {
  const values = valuesOf(layout, brief.minimise, passing);
  if (status === 'infeasible') return 'infeasible';
  if (completeTo === undefined || (completeTo !== 'all' && completeTo < values[0].valueOf())) return undefined;
  const isMatched = entries.some((entry) => entry.values.every((value, at) => asBurden(brief.minimise[at], value).compare(asBurden(brief.minimise[at], values[at])) <= 0));
  return isMatched ? undefined : 'complete without it';
}

const LIMIT_SECONDS = 3;
/** Of stations so many have a list of tradeoffs, too. */
const LISTED = 4;
/** Plain ones are many, and were found again before. */
const PLAIN_TAKEN = 5;

/** Of fewer stations the rarest kind may be missing. */
const MANY = 300;

interface DrawnKinds<D extends Drawn, V extends Verify> {
  readonly newVerifier: () => V;
  /** Undefined where nothing comes of the seed. */
  readonly drawn: (seed: number, verify: V) => D | undefined;
  /** Each of which some stations are to have. */
  readonly kindsOf: (drawn: D) => Readonly<Record<string, boolean>> & { readonly severalObjectives: boolean };
  readonly isPlain: (drawn: D) => boolean;
}

/** Expects that no design or list says that nothing is as good as any of so many stations, from a seed on. */
export async function expectAsGood<D extends Drawn, V extends Verify>(stations: number, firstSeed: number, { newVerifier, drawn: drawnFrom, kindsOf, isPlain }: DrawnKinds<D, V>): Promise<void> {
  const seen = { stations: 0, lists: 0, proven: 0, atItsPrice: 0 };
  const kindsSeen = new Map<string, number>();
  for (let seed = firstSeed; seen.stations < stations; seed++) {
    const verify = newVerifier();
    const drawn = drawnFrom(seed, verify);
    if (drawn === undefined || (isPlain(drawn) && seed % PLAIN_TAKEN > 0)) continue;
    const kinds = kindsOf(drawn);
    const { brief } = drawn;
    const request = { now: () => performance.now(), timeLimitSeconds: LIMIT_SECONDS };
    const { outcome } = await designStation(brief, { ...request, workers: 1 });
    expect({ seed, contradicted: contradictedBy(drawn, outcome, verify) }).toEqual({ seed, contradicted: undefined });
    const price = priceOfDrawn(drawn);
    if (kinds.severalObjectives && seed % LISTED === 0) {
      const list = await findTradeoffs(brief, { ...request, objectives: brief.minimise, upTo: price });
      expect({ seed, lacked: lackedBy(drawn, list) }).toEqual({ seed, lacked: undefined });
      seen.lists++;
    }
    seen.stations++;
    seen.proven += outcome.status === 'optimal' ? 1 : 0;
    seen.atItsPrice += outcome.proof.bound === price ? 1 : 0;
    for (const [kind, is] of Object.entries(kinds)) kindsSeen.set(kind, (kindsSeen.get(kind) ?? 0) + (is ? 1 : 0));
  }
  const all = { ...seen, ...Object.fromEntries(kindsSeen) };
  const rare = Object.values(all).filter((count) => count <= stations / 100);
  expect(rare.length, JSON.stringify(all)).toBeLessThanOrEqual(stations < MANY ? 1 : 0);
}
