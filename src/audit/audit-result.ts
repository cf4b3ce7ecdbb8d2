/**
 * What a replay of a proof log comes to, as data: counts of what was rechecked, and everything that does not hold,
 * each with its line. The words are in `report/audit-text.ts`, the replay in `replay.ts`.
 */
import type { Finding } from '../base/finding.js';
import type { Tile } from '../base/geometry.js';
import type { LineOf, StepName } from './proof-line.js';
import type { Shortfall } from './shortfall.js';

export type FlawKind =
  // The log itself.
  | { readonly kind: 'not-json'; readonly reason: string }
  | { readonly kind: 'not-as-described'; readonly findings: readonly Finding[] }
  /** The line's seal does not follow from its text and the line before it. */
  | { readonly kind: 'seal-broken' }
  | { readonly kind: 'out-of-order'; readonly step: StepName; readonly after: StepName | undefined }
  | { readonly kind: 'no-claim' }
  | { readonly kind: 'steps-missing'; readonly step: string; readonly stated: number; readonly found: number }
  // Bills, families and the bound. Prices are in the run's first objective.
  | { readonly kind: 'bill-unknown' }
  | { readonly kind: 'bill-price'; readonly stated: number; readonly found: number }
  | { readonly kind: 'rest-falls'; readonly from: number; readonly to: number }
  | { readonly kind: 'family-unknown'; readonly family: number }
  | { readonly kind: 'family-price'; readonly family: number; readonly stated: number; readonly found: number | undefined }
  | { readonly kind: 'family-falls'; readonly family: number; readonly from: number; readonly to: number }
  | { readonly kind: 'found-dearer'; readonly price: number; readonly before: number }
  /** `least`: of all families and of the bills not proposed. */
  | { readonly kind: 'bound-too-high'; readonly bound: number; readonly least: number }
  | { readonly kind: 'not-exhausted'; readonly least: number; readonly most: number }
  | { readonly kind: 'claim-without-plan'; readonly status: string }
  | { readonly kind: 'claim-with-plan'; readonly status: string }
  | { readonly kind: 'bound-not-price'; readonly bound: number | undefined; readonly price: number }
  /** Undefined: no bill is left. */
  | { readonly kind: 'program-differs'; readonly stated: number | undefined; readonly found: number | undefined }
  // Networks and the plan.
  | { readonly kind: 'layout-unsound'; readonly findings: readonly Finding[] }
  | { readonly kind: 'demand-unknown'; readonly demand: number }
  /** A network was ruled out but falls short of nothing that the brief asks. */
  | { readonly kind: 'not-short' }
  | { readonly kind: 'short'; readonly shortfall: Shortfall }
  | { readonly kind: 'plan-price'; readonly stated: number; readonly found: number }
  | { readonly kind: 'plan-exit'; readonly demand: number }
  | { readonly kind: 'plan-entry'; readonly demand: number }
  | { readonly kind: 'plan-limit'; readonly limit: string; readonly most: string; readonly found: string }
  | { readonly kind: 'plan-feed'; readonly at: Tile }
  | { readonly kind: 'start-unexpected' }
  /** A search for loading stations took an arm to carry less than it can. */
  | { readonly kind: 'arm-bound'; readonly arm: string; readonly stated: string; readonly most: string }
  | { readonly kind: 'delays-count'; readonly expected: number; readonly found: number }
  | { readonly kind: 'starts-missing'; readonly expected: number; readonly found: number };

/** `line` counts from 1. */
export type Flaw = FlawKind & { readonly line: number };

export interface Rechecked {
  /** How many there are in the log. */
  readonly all: number;
  readonly rechecked: number;
  /** Tried, but come to no end within the limits. */
  readonly unfinished: number;
}

/** Whether all holds, something does not, or what was rechecked holds but not all was. */
export type AuditVerdict = 'holds' | 'broken' | 'partly';

export interface Audit {
  readonly verdict: AuditVerdict;
  readonly name: string;
  readonly objective: 'cost' | 'parts';
  readonly status: LineOf<'claimed'>['status'] | undefined;
  readonly bound: number | undefined;
  /** Of the plan that is claimed. */
  readonly price: number | undefined;
  readonly lines: number;
  readonly steps: Readonly<Partial<Record<StepName, number>>>;
  /** Whether wagons are filled: there are no programs then, one family of all stations, and whole stations for networks. */
  readonly loads: boolean;
  /** Whether the log states by which bounds on arms stations were passed over; then these were recomputed. */
  readonly armBounds: boolean;
  readonly programs: Rechecked;
  /** The second solver. */
  readonly solver: string;
  /** Families of the last run, the least price that is left of them, and that of the bills not proposed; undefined: none is left. */
  readonly families: number;
  readonly leastOfFamilies: number | undefined;
  readonly leastOfRest: number | undefined;
  /** Networks that were ruled out. */
  readonly ruledOut: Rechecked;
  /** Networks that passed, from the standard start. */
  readonly passed: Rechecked;
  /** Networks whose simulation came to no end in the run, and that may be cheaper than what is claimed. */
  readonly undecided: number;
  /** Starts of the claimed plan. */
  readonly starts: Rechecked;
  /** The first of them, in the order of lines. */
  readonly flaws: readonly Flaw[];
  readonly flawCount: number;
  readonly seconds: number;
}

/** What a log is not fit for: it names no brief that could be read. */
export type LogRefusal =
  | { readonly kind: 'empty' }
  | { readonly kind: 'no-log'; readonly reason: string }
  | { readonly kind: 'brief-unsound'; readonly findings: readonly Finding[] };
