/**
 * A list of tradeoffs as the JSON that `tradeoffs --json` prints, and as CSV for spreadsheets. Fields named in
 * models/files-and-commands.md keep their names and meanings.
 */
import { stringify } from 'csv-stringify/sync';
import { formatRational, parseRational, type Rational } from '../base/rational.js';
import { MEASURES, type Measures } from '../layout/measure.js';
import { buildJson } from './build-list.js';
import { JsonNode } from '../base/json-node.js';
import { entriesOf, type PlacedExit } from '../layout/layout.js';
import { exitLetter } from './labels.js';
import { perSecondNumber } from './numbers.js';
import type { ReportEntry } from './page/page-data.js';
import type { ListedLayout, TradeoffsFinding } from './tradeoffs-finding.js';
import { completenessSentences, kneeSentence } from './tradeoffs-text.js';
import { trainsJson } from './train-text.js';
import { present, trialJson, type JsonObject } from './trial-json.js';

const measuresJson = (measures: Measures): JsonObject =>
  Object.fromEntries(
    MEASURES.flatMap((measure) => {
      const value = measures[measure];
      return value === undefined ? [] : [[measure, formatRational(value)]];
    }),
  );

/** An entry of the list, for JSON and for the page. */
export const entryJson = ({ layout, plan, trial, trains, measures }: ListedLayout, index: number): ReportEntry & { readonly number: number } => ({
  number: index + 1,
  measures: measuresJson(measures),
  plan,
  trial: present({ ...trialJson(trial, layout.catalog.ticksPerSecond), trains: trains && trainsJson(trains) }),
});

/** Where in what is shown the knee stands. */
export function shownKnee({ choice, knee }: TradeoffsFinding): number | undefined {
  const at = knee === undefined ? -1 : choice.shown.indexOf(knee.index);
  return at < 0 ? undefined : at;
}

/** `picked`: index of a layout in the whole list. */
export function tradeoffsJson(finding: TradeoffsFinding, picked: number | undefined): JsonObject {
  const { outcome, list, choice } = finding;
  const { status, objectives, completeTo, askedTo, stoppedBy, proof } = outcome;
  const knee = shownKnee(finding);
  return present({
    status,
    complete: status === 'complete',
    objectives,
    completeTo,
    askedTo,
    stoppedBy,
    reason: status === 'infeasible' || status === 'unknown' ? completenessSentences(finding).join(' ') : undefined,
    found: list.length,
    list: choice.shown.map((index) => entryJson(list[index], index) as unknown as JsonObject),
    knee,
    kneeReason: knee === undefined ? undefined : kneeSentence(finding),
    picked: picked === undefined ? undefined : { number: picked + 1, plan: list[picked].plan, ...buildJson(list[picked].layout) },
    proof: present({ ...proof, seconds: Number(proof.seconds.toFixed(3)) }),
  });
}

/** Items per tick that a plan promises over one of its exits. */
function promisedFlow(plan: JsonObject, { at, heading }: PlacedExit): Rational | undefined {
  const promises = new JsonNode(plan, new Set()).at('result').at('exits').items();
  const promise = promises.find((each) => {
    const [x, y] = each.at('at').wholes(2) ?? [];
    return x === at.x && y === at.y && each.at('heading').text() === heading;
  });
  return parseRational(promise?.at('flow').text() ?? '');
}

/** Items per tick that a plan promises to one of its wagons. */
const promisedInflow = (plan: JsonObject, wagon: number): Rational | undefined =>
  parseRational(new JsonNode(plan, new Set()).at('result').at('wagons').items().at(wagon)?.at('inflow').text() ?? '');

/** Up to 9 significant digits, which any spreadsheet reads as a number. */
const decimal = (value: Rational | undefined): string => (value === undefined ? '' : String(Number(value.valueOf().toPrecision(9))));

const flowCells = (flow: Rational | undefined, ticksPerSecond: number): readonly string[] => [flow === undefined ? '' : String(perSecondNumber(flow, ticksPerSecond))];

/**
 * The whole list (RFC 4180), a row for each layout: all measures as decimals; where each exit is, and the flow that the
 * plan promises over it, or where each entry is, and what it promises to each wagon; last, as fractions, what a decimal
 * may round.
 */
export function tradeoffsCsv({ list }: TradeoffsFinding): string {
  // All layouts of a brief have as many exits as it asks for.
  const letters = (list.at(0)?.layout.exits ?? []).map((_, index) => exitLetter(index));
  const entries = (list.at(0)?.layout.entries ?? []).map((_, index) => `entry ${index + 1}`);
  const wagons = entries.length === 0 ? [] : (list.at(0)?.layout.wagons ?? []).map((_, index) => `wagon ${index + 1}`);
  const head = [
    'number',
    ...MEASURES,
    ...letters.flatMap((letter) => [`exit ${letter} x`, `exit ${letter} y`, `exit ${letter} heading`, `exit ${letter} items per second`]),
    ...entries.flatMap((entry) => [`${entry} x`, `${entry} y`, `${entry} heading`]),
    ...wagons.map((wagon) => `${wagon} items per second`),
    'exact imbalance',
    'exact fill',
    ...letters.map((letter) => `exact exit ${letter} items per tick`),
    ...wagons.map((wagon) => `exact ${wagon} items per tick`),
  ];
  const rows = list.map(({ layout, plan, measures }, index) => {
    const { exits } = layout;
    const flows = exits.map((exit) => promisedFlow(plan, exit));
    const inflows = wagons.map((_, wagon) => promisedInflow(plan, wagon));
    return [
      String(index + 1),
      ...MEASURES.map((measure) => decimal(measures[measure])),
      ...exits.flatMap(({ at, heading }, exit) => [String(at.x), String(at.y), heading, ...flowCells(flows[exit], layout.catalog.ticksPerSecond)]),
      ...entriesOf(layout).flatMap(({ at, heading }) => [String(at.x), String(at.y), heading]),
      ...inflows.flatMap((flow) => flowCells(flow, layout.catalog.ticksPerSecond)),
      formatRational(measures.imbalance),
      formatRational(measures.fill),
      ...[...flows, ...inflows].map((flow) => (flow === undefined ? '' : formatRational(flow))),
    ];
  });
  return stringify([head, ...rows], { record_delimiter: 'windows' });
}
