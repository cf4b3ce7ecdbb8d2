/**
 * What measurements tell of a catalog: in words, and as JSON.
 */
import { formatDecimal, formatRational, ratio, type Rational } from '../base/rational.js';
import type { Fit, Known } from '../fitting/fit.js';
import type { Measurement, Measurements, Probe } from '../fitting/measurements.js';
import type { Suggestion } from '../fitting/suggest.js';
import { styled, type Style } from './canvas.js';
import { counted } from './numbers.js';
import { fittingTable, lineWidth, proseWidth, titleLines, wrap, type Table } from './table.js';
import { present, type JsonObject } from './trial-json.js';

const isTime = ({ kind }: Probe): boolean => kind === 'item-travels' || kind === 'first-item';

/** "60 s", or so many ticks where that is no short decimal. */
function timeText(ticks: Rational, ticksPerSecond: number): string {
  const seconds = ticks.div(ratio(ticksPerSecond));
  const text = String(Number(formatDecimal(seconds, 3)));
  return ratio(1000).mul(seconds).d === 1n ? `${text} s` : `${formatRational(ticks)} ticks`;
}

/** What is measured, as the object of "count" or "time". */
function probeText(probe: Probe, ticksPerSecond: number): string {
  const over = (ticks: number): string => `in ${timeText(ratio(ticks), ticksPerSecond)}`;
  switch (probe.kind) {
    case 'lane-holds':
      return `the items that stand packed on ${counted(probe.tiles, 'tile')} of a lane`;
    case 'belt-carries':
      return `the items that pass on ${probe.lanes === 1 ? 'one lane' : 'both lanes'} of a saturated “${probe.belt}” ${over(probe.ticks)}`;
    case 'item-travels':
      return `how long an item with a free way takes for ${counted(probe.tiles, 'tile')} of “${probe.belt}”`;
    case 'hand-holds':
      return `the items in a full hand of “${probe.arm}”`;
    case 'first-item':
      return `how long “${probe.arm}” takes from its pick to the first item placed`;
    case 'arm-to-chest':
      return `the items that “${probe.arm}” moves from container to container ${over(probe.ticks)}`;
    case 'arm-to-lane':
      return `the items that “${probe.arm}” places onto a lane of “${probe.belt}” ${over(probe.ticks)}`;
  }
}

const amountText = (probe: Probe, amount: Rational, ticksPerSecond: number): string =>
  isTime(probe) ? timeText(amount, ticksPerSecond) : counted(Number(amount.n), 'item');

const measurementText = ({ probe, observed, uncertainty }: Measurement, ticksPerSecond: number): string =>
  `${probeText(probe, ticksPerSecond)}: ${amountText(probe, observed, ticksPerSecond)}, give or take ${amountText(probe, uncertainty, ticksPerSecond)}`;

/** "11", "10 to 12", "9, 11 to 13"; of many pieces only both ends. */
function valuesText(values: readonly number[]): string {
  const pieces: [number, number][] = [];
  for (const value of values) {
    const last = pieces.at(-1);
    if (last !== undefined && value === last[1] + 1) last[1] = value;
    else pieces.push([value, value]);
  }
  if (pieces.length > 4) return `${counted(values.length, 'value')} from ${values[0]} to ${values[values.length - 1]}`;
  return pieces.map(([from, to]) => (from === to ? `${from}` : to === from + 1 ? `${from}, ${to}` : `${from} to ${to}`)).join(', ');
}

const UNITS: Readonly<Record<Known['integer'], string>> = {
  pitch: 'units',
  speed: 'units per tick',
  payload: 'items',
  grab: 'ticks',
  release: 'ticks',
  swing: 'ticks',
};

function suggestionLines(suggestion: Suggestion | undefined, candidates: bigint, ticksPerSecond: number, width: number): readonly string[] {
  if (candidates === 1n) return wrap('No other integers within the ranges explain the measurements.', width);
  if (suggestion === undefined) {
    return wrap('None of the measurements that this command knows tells these candidates apart; of parts used as measured, they behave alike.', width);
  }
  const { probe, uncertainty, leaves } = suggestion;
  const verb = isTime(probe) ? 'Time' : 'Count';
  const sentence =
    `${verb} ${probeText(probe, ticksPerSecond)}, to within ${amountText(probe, uncertainty, ticksPerSecond)}:` +
    ` of ${candidates} candidates that leaves about ${formatDecimal(leaves, leaves.valueOf() < 10 ? 1 : 0)} on average.`;
  return wrap(sentence, width);
}

function knownText({ basis, values }: Known, style: Style): string {
  if (basis === 'given') return 'given';
  if (values.length === 1) return styled(style, 'good', 'settled');
  return basis === 'measured' ? `may be ${valuesText(values)}` : styled(style, 'warn', `not measured, may be ${valuesText(values)}`);
}

/** `verdictOnly` leaves out the table, what to measure next and what the words mean. */
export function fitText({ name, ticksPerSecond, measurements }: Measurements, fit: Fit, style: Style, verdictOnly = false): readonly string[] {
  const dim = (text: string): string => styled(style, 'dim', text);
  const title = titleLines(name, style);
  const width = proseWidth(style);
  switch (fit.kind) {
    case 'too-many':
      return [
        ...title,
        ...wrap(
          'Too little is measured: too many choices of pitch and speeds remain to go through them. Measure what a lane holds and what each belt carries (“lane-holds”, “belt-carries”), or narrow “ranges”.',
          width,
        ),
      ];
    case 'none': {
      const { against } = fit;
      return [
        ...title,
        ...wrap('No integers within the ranges explain all of the measurements.', width, 0).map((line) => styled(style, 'bad', line)),
        ...(against.length === 0
          ? wrap('Leaving out any single one does not help: several are off, or the ranges are too narrow.', width)
          : [
              ...wrap(
                against.length === 1
                  ? 'All but this one can be explained together; measure it again, or give it more uncertainty:'
                  : 'Without any one of these the others can be explained together; measure them again, or give them more uncertainty:',
                width,
              ),
              ...against.flatMap((each) => wrap(measurementText(each, ticksPerSecond), width, 6).map((line, index) => (index === 0 ? `    - ${line.trimStart()}` : line))),
            ]),
      ];
    }
    case 'found': {
      const { known, candidates, suggestion } = fit;
      const rows = known.map((each, index) => {
        const { integer, of, best } = each;
        return [
          of === undefined ? 'all lanes' : known[index - 1].of === of ? '' : of,
          integer,
          String(best),
          UNITS[integer],
          knownText(each, style),
        ];
      });
      const table: Table = { heads: ['part', 'integer', 'best', '', 'within the uncertainties'].map(dim), rows, align: ['left', 'left', 'right', 'left', 'left'] };
      const withUnits: Table = {
        heads: ['part', 'integer', 'best', ''].map(dim),
        rows: rows.map(([part, integer, best, unit, may]) => [part, integer, `${best} ${unit}`, may]),
        align: ['left', 'left', 'left', 'left'],
        names: 2,
        told: [],
      };
      const open = known.filter(({ values }) => values.length > 1).length;
      const verdict =
        candidates === 1n
          ? `One choice of integers explains ${measurements.length === 1 ? 'the measurement' : `all ${measurements.length} measurements`}.`
          : `${candidates} choices of integers explain ${measurements.length === 1 ? 'the measurement' : `all ${measurements.length} measurements`}; ${open} of ${known.length} integers are not settled.`;
      if (verdictOnly) return wrap(verdict, lineWidth(style), 0);
      return [
        ...title,
        ...wrap(verdict, width, 0),
        ...fittingTable(style, table, withUnits),
        styled(style, 'title', 'What to measure next'),
        ...suggestionLines(suggestion, candidates, ticksPerSecond, width),
        ...(candidates === 1n
          ? []
          : wrap('Best: the least sum of squares of how far each measurement is off, told in its uncertainty, which is one item or tick at least; of equal ones the first, by pitch, speeds, payload, grab, release and swing.', width).map(dim)),
        ...wrap('All of this holds in the idealised tile world of the rules, for arms without slack.', width).map(dim),
      ];
    }
  }
}

const probeJson = ({ kind, ...rest }: Probe): JsonObject => present({ kind, ...rest });

/** `catalog` is the fitted one's document. */
export function fitJson({ name, measurements }: Measurements, fit: Fit, catalog: Readonly<Record<string, unknown>> | undefined): JsonObject {
  switch (fit.kind) {
    case 'too-many':
      return { name, status: fit.kind };
    case 'none':
      return { name, status: fit.kind, against: fit.against.map((each) => measurements.indexOf(each)) };
    case 'found':
      return present({
        name,
        status: fit.candidates === 1n ? 'unique' : 'several',
        candidates: String(fit.candidates),
        misfit: formatRational(fit.misfit),
        integers: fit.known.map(({ integer, of, basis, best, values }) => present({ integer, of, basis, best, values })),
        next:
          fit.suggestion === undefined
            ? undefined
            : { ...probeJson(fit.suggestion.probe), uncertainty: formatRational(fit.suggestion.uncertainty), leaves: formatRational(fit.suggestion.leaves) },
        catalog: catalog as JsonObject | undefined,
      });
  }
}
