/**
 * What a page is made of. `PageData` stands in the page as JSON, so that a script can read it there: its `list` is
 * that of `tradeoffs --json`. `PageEntry` is one layout of it, read.
 */
import { JsonNode } from '../../base/json-node.js';
import { parseRational, ratio, type Rational } from '../../base/rational.js';
import type { Layout } from '../../layout/layout.js';
import type { LaneFlows } from '../../simulation/lane-flows.js';
import type { TrialResult } from '../../simulation/trial-result.js';
import { measurePhrase, measureText } from '../measure-words.js';
import type { JsonObject } from '../trial-json.js';

export interface ReportEntry {
  /** A plan with its catalog inside it. */
  readonly plan: JsonObject;
  /** As `trial --json` prints it. */
  readonly trial: JsonObject;
  /** As `design --json` prints it; left out, that under the plan's `result`. */
  readonly proof?: JsonObject | undefined;
  /** Its number in the whole list, from 1 on; left out, its place in this one. */
  readonly number?: number | undefined;
  /** Exact values of what layouts are compared by; those left out are the trial's. */
  readonly measures?: JsonObject | undefined;
  /** From which the trial drew its staggered starts; left out, that under the plan's `result`. */
  readonly seed?: number | undefined;
}

export interface PageData {
  readonly title: string;
  /** Names of what layouts are compared by: all the better the less, but for `fill` and `trainsPerHour`. */
  readonly objectives: readonly string[];
  readonly list: readonly ReportEntry[];
  /** How many the whole list has, if this is not all of it. */
  readonly found?: number | undefined;
  /** Whether the list lacks no layout. */
  readonly complete: boolean;
  /** Index of the layout that gives most for what it asks, and why it does. */
  readonly knee?: number | undefined;
  readonly kneeReason?: string | undefined;
  /** How complete the list is and what of it is shown, in sentences; left out, what `complete` says. */
  readonly notes?: readonly string[] | undefined;
}

export interface PageEntry {
  readonly layout: Layout;
  readonly trial: TrialResult;
  /** Undefined where nothing flows, or as long as nobody has measured it. */
  readonly flows: LaneFlows | undefined;
  /** The plan's `result`, and the proof beside it. */
  readonly result: JsonNode;
  readonly proof: JsonNode;
  readonly seed: number | undefined;
  /** Whether it has a number in a list. */
  readonly isListed: boolean;
}

/** Without flows. */
export function pageEntry(layout: Layout, trial: TrialResult, entry: ReportEntry): PageEntry {
  const result = new JsonNode(entry.plan, new Set()).at('result');
  const proof = entry.proof === undefined ? result.at('proof') : new JsonNode(entry.proof, new Set());
  return { layout, trial, flows: undefined, result, proof, seed: entry.seed ?? result.at('seed').whole(), isListed: entry.number !== undefined };
}

/** What an entry says of an objective: a whole number or a fraction; a trial lists its arms. */
export function objectiveValue({ measures, trial }: ReportEntry, name: string): Rational | undefined {
  const value = measures?.[name] ?? trial[name];
  if (Array.isArray(value)) return ratio(value.length);
  return typeof value === 'number' || typeof value === 'string' ? parseRational(String(value)) : undefined;
}

/** The same in words; of a dwell also the seconds, which its plan's catalog tells. */
export const objectiveText = (entry: ReportEntry, name: string): string =>
  measureText(name, objectiveValue(entry, name), new JsonNode(entry.plan, new Set()).at('catalog').at('ticksPerSecond').whole());

export const entryNumber = ({ list }: PageData, index: number): number => list[index].number ?? index + 1;

/** "Layout 3 of 12: its name"; where it is alone, the page's title names it. */
export const entryHeading = (data: PageData, index: number, name: string): string =>
  data.list.length === 1 ? 'The station' : `Layout ${entryNumber(data, index)} of ${data.found ?? data.list.length}: ${name}`;

/** "cost 75, footprint 24 tiles". */
export const entryWords = ({ objectives, list }: PageData, index: number): string =>
  objectives.map((name) => measurePhrase(name, objectiveText(list[index], name))).join(', ');

/** The layout that is shown at first. */
export const firstShown = ({ knee, list }: PageData): number => (knee !== undefined && knee < list.length ? knee : 0);
