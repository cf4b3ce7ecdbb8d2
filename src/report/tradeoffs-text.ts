/**
 * A list of tradeoffs for a reader at a terminal: how complete it is, the layouts side by side, and which of them
 * gives most for what it asks.
 */
import { compareMeasured, type Measure } from '../layout/measure.js';
import type { StopCause } from '../synthesis/outcome.js';
import { buildText } from './build-list.js';
import { styled, type Style } from './canvas.js';
import { STOPPED as DESIGN_STOPPED } from './design-text.js';
import { drawLayout } from './draw-layout.js';
import { kneeReason } from './knee-words.js';
import { measurePhrase, measureText } from './measure-words.js';
import { counted, secondsText } from './numbers.js';
import { firstThatFits, fittingTable, lineWidth, proseWidth, titleLines, verdictLines, wrap, wrapList, type Table } from './table.js';
import type { TradeoffsFinding } from './tradeoffs-finding.js';

/** Here any station may belong to the list, not only cheaper ones. */
const STOPPED: Readonly<Record<StopCause, string>> = { ...DESIGN_STOPPED, simulation: 'the simulation of some station reached its limit of ticks' };

const stoppedWords = (cause: StopCause | undefined): string => (cause === undefined ? 'the search ended' : STOPPED[cause]);

/** "a cost of 92", "24 parts". */
const priceText = (objective: string, price: number): string => (objective === 'parts' ? counted(price, 'part') : `a cost of ${price}`);

/** How much of the list is proven, in sentences that say what is known and no more than that. */
export function completenessSentences({ outcome, list }: Pick<TradeoffsFinding, 'outcome' | 'list'>): readonly string[] {
  const { status, objectives, completeTo, askedTo, stoppedBy } = outcome;
  const price = (value: number): string => priceText(objectives[0], value);
  const proven =
    completeTo === undefined
      ? 'How complete it is, is not proven.'
      : `${list.length === 1 ? 'It is proven' : 'Nothing lies between: proven'} that every other station of the searched space${completeTo === 'all' ? '' : ` up to ${price(completeTo)}`} is matched or beaten by ${list.length === 1 ? 'it' : 'one of these'} in every objective.`;
  switch (status) {
    case 'complete':
      return [`${list.length === 1 ? '1 station, the best in every objective' : `${list.length} stations, each the best there is for some wish`}. ${proven}`, ...(completeTo === 'all' ? [] : ['What lies beyond was not asked about.'])];
    case 'partial':
      return [
        `${counted(list.length, 'station')} found before ${stoppedWords(stoppedBy)}. ${proven}`,
        ...(completeTo === 'all'
          ? []
          : [
              `Asked for was ${askedTo === undefined || askedTo === 'all' ? 'the whole list' : `the list up to ${price(askedTo)}`}; ${completeTo === undefined ? 'stations may be missing, and some of these may be beaten by others' : 'above that, stations may be missing, and some of these may be beaten by others'}.`,
            ]),
      ];
    case 'infeasible':
      return typeof completeTo === 'number'
        ? [`No station of the searched space up to ${price(completeTo)} meets the brief; ask about a higher price.`]
        : ['No station of the searched space meets the brief; “transloom design” says what binds and what would help.'];
    case 'unknown': {
      const least = typeof completeTo === 'number' ? ` Any station needs more than ${price(completeTo)}.` : '';
      return [`${stoppedWords(stoppedBy)} before a station was found that meets the brief, or shown that there is none.${least}`];
    }
  }
}

const HEADLINE = { complete: 'Complete', partial: 'Partial', infeasible: 'Infeasible', unknown: 'Unknown' } as const;
const HEADLINE_INK = { complete: 'good', partial: 'warn', infeasible: 'bad', unknown: 'warn' } as const;

/** The verdict alone, for `--quiet`. */
export function tradeoffsVerdict(finding: TradeoffsFinding, style: Style): readonly string[] {
  const { status } = finding.outcome;
  return verdictLines(HEADLINE[status], HEADLINE_INK[status], completenessSentences(finding).join(' '), proseWidth(style), style);
}

/** Which of the list are shown, if not all in their order. */
export function choiceSentence({ list, wishes, choice }: TradeoffsFinding): string | undefined {
  const { where, sort, most } = wishes;
  if (where.length === 0 && sort.length === 0 && (most === undefined || most >= list.length)) return undefined;
  const conditions = where.length === 0 ? '' : ` with ${where.map((condition) => condition.text).join(' and ')}`;
  const order = sort.length === 0 ? '' : `, by ${sort.map(({ measure, reversed }) => (reversed ? `${measure} (worst first)` : measure)).join(', then ')}`;
  if (choice.kept.length === 0) return `None of the ${list.length} is one${conditions}.`;
  const all = where.length === 0 ? 'all' : `those${conditions}`;
  const which = choice.shown.length < choice.kept.length ? `the first ${choice.shown.length} of the ${choice.kept.length}${conditions}` : all;
  return `Shown: ${which}${order}. Numbers are those of the whole list.`;
}

/** The objectives, then what else was asked about. */
function columnsOf({ outcome, wishes }: TradeoffsFinding): readonly Measure[] {
  return [...new Set<Measure>([...outcome.objectives, ...wishes.where.map(({ measure }) => measure), ...wishes.sort.map(({ measure }) => measure)])];
}

function table(finding: TradeoffsFinding, style: Style): readonly string[] {
  const { list, choice, knee } = finding;
  const columns = columnsOf(finding);
  /** None where all are equal, so that a mark tells layouts apart. */
  const isBest = (measure: Measure, index: number): boolean => {
    const orders = choice.kept.map((other) => compareMeasured(measure, list[index].measures[measure], list[other].measures[measure]));
    return orders.some((order) => order < 0) && !orders.some((order) => order > 0);
  };
  const dim = (text: string): string => styled(style, 'dim', text);
  const heads = ['no.', ...columns].map(dim);
  const rows = choice.shown.map((index) => [
    `${index === knee?.index ? styled(style, 'good', '▸ ') : ''}${index + 1}`,
    ...columns.map((measure) => {
      const text = measureText(measure, list[index].measures[measure], finding.brief.catalog.ticksPerSecond);
      return isBest(measure, index) ? styled(style, 'good', `*${text}`) : text;
    }),
  ]);
  const whole: Table = { heads, rows, align: heads.map(() => 'right') };
  const flush: Table = { ...whole, indent: 0 };
  return fittingTable(style, whole, flush);
}

const sentences = (texts: readonly string[], style: Style): readonly string[] =>
  texts.flatMap((text) => wrap(text, proseWidth(style))).map((line) => styled(style, 'plain', line));

export function kneeSentence({ outcome, list, choice, knee }: TradeoffsFinding): string | undefined {
  if (knee === undefined) return undefined;
  return kneeReason(outcome.objectives, knee.index + 1, { first: list[choice.kept[0]].measures, knee: list[knee.index].measures }, knee.exchange);
}

export function tradeoffsText(finding: TradeoffsFinding, style: Style): readonly string[] {
  const { brief, outcome, list, choice, knee } = finding;
  const { rounds, simulations, seconds, solver, space } = outcome.proof;
  const chosen = choiceSentence(finding);
  const reason = kneeSentence(finding);
  const key = [...(list.length > 1 ? ['* the best of all'] : []), ...(knee !== undefined && choice.shown.includes(knee.index) ? ['▸ gives most for what it asks'] : [])].join('   ');
  return [
    ...titleLines(brief.name, style),
    ...tradeoffsVerdict(finding, style),
    '',
    ...(chosen === undefined ? [] : [...sentences([chosen], style), '']),
    ...(choice.shown.length === 0 ? [] : [...table(finding, style), ...(key === '' ? [] : wrap(key, lineWidth(style)).map((line) => styled(style, 'dim', line))), '']),
    ...(reason === undefined ? [] : [...sentences([reason], style), '']),
    styled(style, 'title', 'Proof'),
    ...sentences([`${counted(rounds, 'round')}, ${counted(simulations, 'simulation')}, ${secondsText(seconds)}${solver === undefined ? '' : `, solver ${solver}`}`], style),
    ...wrap(`Searched: ${space}.`, proseWidth(style)).map((line) => styled(style, 'dim', line)),
  ];
}

/** One layout of the list, for whoever has chosen it. */
export function pickedText({ list, outcome }: TradeoffsFinding, index: number, style: Style): readonly string[] {
  const { layout, measures } = list[index];
  const figures = outcome.objectives.map((measure) => measurePhrase(measure, measureText(measure, measures[measure], layout.catalog.ticksPerSecond)));
  return [
    ...firstThatFits(style.columns, [
      () => [`${styled(style, 'title', `Number ${index + 1}`)}  ${styled(style, 'plain', figures.join(', '))}`],
      () => [styled(style, 'title', `Number ${index + 1}`), ...wrapList(figures, proseWidth(style)).map((line) => styled(style, 'plain', line))],
    ]),
    ...drawLayout(layout, style),
    '',
    ...buildText(layout, style),
  ];
}
