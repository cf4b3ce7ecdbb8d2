/**
 * The options of `tradeoffs` as checked data. What they do is in `commands/tradeoffs.ts`.
 */
import type { Argv } from 'yargs';
import { MEASURES, parseCondition, parseShare, type Condition, type ConditionFlaw, type Measure, type Rational, type SortKey, type StaircaseRange } from '../index.js';
import { rangeOption, STAIRCASES } from './staircase-range.js';
import { fileOption, usage, wholeOption } from './usage.js';

export interface TradeoffsChoice {
  /** Left out: those of the brief, and the imbalance. */
  readonly objectives: readonly Measure[] | undefined;
  /** The list is to be complete up to this price, or to this share above the cheapest; left out: the usual share. */
  readonly upTo: number | 'all' | undefined;
  readonly within: Rational | undefined;
  readonly most: number | undefined;
  readonly sort: readonly SortKey[];
  readonly where: readonly Condition[];
  /** The cheapest cost as a function of this, in place of the list. */
  readonly over: StaircaseRange | undefined;
  /** Number of a layout in the whole list, from 1 on. */
  readonly pick: number | 'knee' | undefined;
  readonly csvFile: string | undefined;
  readonly htmlFile: string | undefined;
}

export const tradeoffsOptions = <T>(argv: Argv<T>) =>
  argv
    .option('objectives', { type: 'string', requiresArg: true, describe: 'What to trade, such as cost,footprint,imbalance; left out: what the brief minimises, and imbalance' })
    .option('up-to', { type: 'string', requiresArg: true, describe: 'Prove the list complete up to this cost, or “all”' })
    .option('within', { type: 'string', requiresArg: true, describe: 'Prove the list complete up to this share above the cheapest; left out: 1/10' })
    .option('most', { type: 'string', requiresArg: true, describe: 'Show at most so many layouts, the first in their order' })
    .option('sort', { type: 'string', requiresArg: true, describe: 'Show the best in this measure first, such as footprint,cost; “-cost”: the worst first' })
    .option('where', { type: 'string', requiresArg: true, describe: 'Show only layouts of which this holds, such as "imbalance<=1/20"; may be given again' })
    .option('over', { type: 'string', requiresArg: true, describe: `In place of the list: the least cost as a function of ${STAIRCASES.join(', ')}` })
    .option('from', { type: 'string', requiresArg: true, describe: 'With --over: where to begin; left out: half of the fill that the brief asks for, or 1' })
    .option('to', { type: 'string', requiresArg: true, describe: 'With --over: where to end; left out: saturation, or where more brings nothing' })
    .option('pick', { type: 'string', requiresArg: true, describe: 'Print what this layout is built of, by its number or “knee”; --out takes its plan' })
    .option('csv', { type: 'string', requiresArg: true, describe: 'Also write the whole list to this file, as CSV' })
    .option('html', { type: 'string', requiresArg: true, describe: 'Also write a page to this file: a plot, and every station moves' });

/**
 * The words with all values of an option that may be given again in its last place, separated: the library
 * for arguments keeps the last value alone.
 */
export function gathered(words: readonly string[], option: string, separator = ','): readonly string[] {
  const values: string[] = [];
  const others: string[] = [];
  for (let at = 0; at < words.length; at += 1) {
    if (words[at].startsWith(`${option}=`)) values.push(words[at].slice(option.length + 1));
    else if (words[at] === option && at + 1 < words.length) values.push(words[(at += 1)]);
    else others.push(words[at]);
  }
  const joined = values.length === 0 ? [] : [`${option}=${values.join(separator)}`];
  return [...others, ...joined];
}

/** The options as they were given: texts, which go from thread to thread. */
export interface GivenTradeoffs {
  readonly objectives: string | undefined;
  readonly 'up-to': string | undefined;
  readonly within: string | undefined;
  readonly most: string | undefined;
  readonly sort: string | undefined;
  readonly where: string | undefined;
  readonly over: string | undefined;
  readonly from: string | undefined;
  readonly to: string | undefined;
  readonly pick: string | undefined;
  readonly csv: string | undefined;
  readonly html: string | undefined;
}

function measureOf(option: string, name: string): Measure {
  const measure = MEASURES.find((each) => each === name);
  if (measure === undefined) throw usage(`--${option} knows no measure “${name}”; there are: ${MEASURES.join(', ')}.`);
  return measure;
}

const PRICES: readonly Measure[] = ['cost', 'parts'];

function objectivesOption(text: string | undefined): readonly Measure[] | undefined {
  if (text === undefined) return undefined;
  const objectives = text.split(',').map((name) => measureOf('objectives', name.trim()));
  const twice = objectives.find((each, index) => objectives.indexOf(each) !== index);
  if (twice !== undefined) throw usage(`--objectives names “${twice}” twice; name it once.`);
  if (!PRICES.includes(objectives[0])) {
    throw usage(`--objectives begins with cost or parts, not “${objectives[0]}”: the search goes through their prices one after the other.`);
  }
  if (objectives.length < 2) throw usage('--objectives needs two measures at least; with one, “transloom design” gives the best layout.');
  return objectives;
}

function withinOption(text: string | undefined): Rational | undefined {
  if (text === undefined) return undefined;
  const share = parseShare(text);
  if (share === undefined) throw usage(`--within needs a share such as 1/4, 0.25 or 25%, not “${text}”.`);
  return share;
}

function sortOption(text: string | undefined): readonly SortKey[] {
  return (text?.split(',') ?? []).map((word) => {
    const key = word.trim();
    const reversed = key.startsWith('-');
    return { measure: measureOf('sort', reversed ? key.slice(1) : key), reversed };
  });
}

function expectedWords({ expected, found }: ConditionFlaw): string {
  const stands = found === '' ? 'nothing stands' : `“${found}” stands`;
  switch (expected) {
    case 'measure':
      return `${stands} where one of these must: ${MEASURES.join(', ')}.`;
    case 'comparison':
      return `${stands} where one of these must: <=, <, >=, >, =.`;
    case 'number':
      return `${stands} where a number must, such as 40, 1/20, 0.05 or 5%.`;
    case 'end':
      return `“${found}” is too much; give each condition a --where of its own.`;
  }
}

function whereOption(text: string): Condition {
  const parsed = parseCondition(text);
  if (parsed.ok) return parsed.value;
  throw usage(`--where “${text}”, sign ${parsed.flaw.column}: ${expectedWords(parsed.flaw)}`);
}

function pickOption(text: string | undefined): TradeoffsChoice['pick'] {
  if (text === undefined || text === 'knee') return text;
  return wholeOption('pick', text, 1, undefined, ', or “knee”');
}

/** Of all that was given, what is this command's own. */
export const givenTradeoffs = ({ objectives, 'up-to': upTo, within, most, sort, where, over, from, to, pick, csv, html }: GivenTradeoffs): GivenTradeoffs => ({
  objectives,
  'up-to': upTo,
  within,
  most,
  sort,
  where,
  over,
  from,
  to,
  pick,
  csv,
  html,
});

export function readTradeoffsOptions(raw: GivenTradeoffs): TradeoffsChoice {
  if (raw['up-to'] !== undefined && raw.within !== undefined) throw usage('--up-to and --within both say how far the list is to go; give one of them.');
  const choice: TradeoffsChoice = {
    objectives: objectivesOption(raw.objectives),
    upTo: raw['up-to'] === 'all' ? 'all' : wholeOption('up-to', raw['up-to'], 1, undefined, ', or “all”'),
    within: withinOption(raw.within),
    most: wholeOption('most', raw.most, 1),
    sort: sortOption(raw.sort),
    where: (raw.where?.split(',') ?? []).map(whereOption),
    over: rangeOption(raw),
    pick: pickOption(raw.pick),
    csvFile: fileOption('csv', raw.csv),
    htmlFile: fileOption('html', raw.html),
  };
  const listOnly = (['objectives', 'up-to', 'within', 'most', 'sort', 'where', 'pick', 'csv', 'html'] as const).find((name) => raw[name] !== undefined);
  if (choice.over !== undefined && listOnly !== undefined) throw usage(`--over gives a staircase in place of the list, so --${listOnly} does not go with it.`);
  return choice;
}
