/**
 * What a page is made of. `PageData` stands in the page as JSON, so that a script can read it there: its `list` is
 * that of `tradeoffs --json`. `PageEntry` is one layout of it, read.
 */
import { JsonNode } from '../../base/json-node.js';
import { parseRational, type Rational } from '../../base/rational.js';
import type { Layout } from '../../layout/layout.js';
import type { LaneFlows } from '../../simulation/lane-flows.js';
import type { TrialResult } from '../../simulation/trial-result.js';
import type { JsonObject } from '../trial-json.js';

export interface ReportEntry {
  /** A plan with its catalog inside it. */
  readonly plan: JsonObject;
  /** As `trial --json` prints it. */
  readonly trial: JsonObject;
  /** As `design --json` prints it; left out, that under the plan's `result`. */
  readonly proof?: JsonObject | undefined;
  /** From which the trial drew its staggered starts; left out, that under the plan's `result`. */
  readonly seed?: number | undefined;
}

export interface PageData {
  readonly title: string;
  /** Names of numbers of a trial, all the better the less. */
  readonly objectives: readonly string[];
  readonly list: readonly ReportEntry[];
  /** Whether the list lacks no layout. */
  readonly complete: boolean;
  /** Index of the layout that gives most for what it asks. */
  readonly knee?: number | undefined;
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
}

/** Without flows. */
export function pageEntry(layout: Layout, trial: TrialResult, entry: ReportEntry): PageEntry {
  const result = new JsonNode(entry.plan, new Set()).at('result');
  const proof = entry.proof === undefined ? result.at('proof') : new JsonNode(entry.proof, new Set());
  return { layout, trial, flows: undefined, result, proof, seed: entry.seed ?? result.at('seed').whole() };
}

const OBJECTIVE_WORDS: Readonly<Record<string, string>> = {
  cost: 'cost',
  parts: 'parts',
  footprint: 'footprint, tiles',
  imbalance: 'drain imbalance',
};

export const objectiveWord = (name: string): string => OBJECTIVE_WORDS[name] ?? name;

/** What a trial's JSON says of an objective: a whole number or a fraction. */
export function objectiveValue(trial: JsonObject, name: string): Rational | undefined {
  const value = trial[name];
  return typeof value === 'number' || typeof value === 'string' ? parseRational(String(value)) : undefined;
}

/** "75", "0.0019". */
export function objectiveText(value: Rational | undefined): string {
  if (value === undefined) return 'unknown';
  return value.d === 1n ? value.toFraction() : value.valueOf().toPrecision(2);
}

/** "Layout 3 of 12: its name"; where it is alone, the page's title names it. */
export const entryHeading = (data: PageData, index: number, name: string): string =>
  data.list.length === 1 ? 'The station' : `Layout ${index + 1} of ${data.list.length}: ${name}`;

/** "cost 75, footprint 24". */
export const entryWords = ({ objectives, list }: PageData, index: number): string =>
  objectives.map((name) => `${objectiveWord(name)} ${objectiveText(objectiveValue(list[index].trial, name))}`).join('; ');

/** The layout that is shown at first. */
export const firstShown = ({ knee, list }: PageData): number => (knee !== undefined && knee < list.length ? knee : 0);
