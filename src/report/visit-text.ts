/**
 * What a visit run found, for a reader at a terminal: each train, what it waited for, how chests fill and drain, and
 * what leaves over the exits. It is a model of an idealised tile world, and says so.
 */
import { compare, ratio, ZERO, type Rational } from '../base/rational.js';
import type { Layout } from '../layout/layout.js';
import { deriveNetwork } from '../layout/network.js';
import type { TrainMeasures } from '../ranking/train-measures.js';
import type { ArmTarget, ExitFinding, TrainVisit, VisitResult, VisitSample, VisitTerms, WaitedFor } from '../simulation/visit-result.js';
import { styled, type Style } from './canvas.js';
import { exitLetter } from './labels.js';
import type { InkName } from './ink.js';
import { counted, percent, perSecondText, secondsText, tenths } from './numbers.js';
import { EDGE_WORD, NO_EXIT, tileText } from './places.js';
import { spark } from './spark.js';
import { fittingTable, lineWidth, titleLines, wrap, type Table } from './table.js';

export interface VisitFinding {
  readonly layout: Layout;
  readonly terms: VisitTerms;
  readonly result: VisitResult;
  /** Of the cycle, if there is one. */
  readonly measures: TrainMeasures | undefined;
  /** What other starts come to; left out: none was asked for. */
  readonly starts?: VisitStarts;
}

export interface VisitStarts {
  /** Staggered ones, besides the standard one. */
  readonly tried: number;
  readonly seed: number;
  /** How many of all did not come to a cycle. */
  readonly unsettled: number;
  /** From which trains stand longest on average, 0 being the standard start; undefined where none came to a cycle. */
  readonly worst: { readonly start: number; readonly measures: TrainMeasures } | undefined;
}

/** Rows of visits that are shown at the beginning and at the end, where there are many. */
const FIRST_ROWS = 8;
const LAST_ROWS = 3;
const LABEL_WIDTH = 14;

const paint = (style: Style, name: InkName, text: string): string => styled(style, name, text);

/** "2326 ticks (46.5 s)". */
const ticksText = (ticks: number, ticksPerSecond: number): string => `${counted(ticks, 'tick')} (${secondsText(ticks / ticksPerSecond)})`;

export function termsLine({ layout, terms }: VisitFinding): string {
  const { ticksPerSecond } = layout.catalog;
  const total = terms.loads.reduce((sum, load) => sum + load, 0);
  const fills = terms.leaves === 'full';
  const train = `Each train has ${counted(terms.loads.length, 'wagon')} and ${fills && total === 0 ? 'comes empty' : `brings ${counted(total, 'item')}`}`;
  const next =
    terms.headwayTicks === undefined
      ? 'the next one comes as soon as it has left'
      : `the next one comes ${ticksText(terms.headwayTicks, ticksPerSecond)} after it, or once it has left`;
  const done = fills ? 'full' : 'empty';
  const leaves = terms.stayTicks === undefined ? `it leaves when it is ${done}` : `it leaves when it is ${done}, after ${ticksText(terms.stayTicks, ticksPerSecond)} at the latest`;
  const held = terms.levels.reduce((sum, level) => sum + level, 0);
  const chests = terms.levels.length === 0 ? '' : ` At the start the chests hold ${held === 0 ? 'nothing' : counted(held, 'item')}.`;
  return `${train}; ${leaves}; ${next}.${chests}`;
}

/** Terse: ticks alone, and nothing of the exits. */
function visitTable({ layout, terms, result }: VisitFinding, style: Style, terse = false): Table {
  const fills = terms.leaves === 'full';
  const moved = fills ? 'loaded' : 'unloaded';
  const hasExits = layout.exits.length > 0;
  const capacity = layout.wagons.reduce((sum, { model }) => sum + model.capacity, 0);
  const { ticksPerSecond } = layout.catalog;
  const onTime = terms.headwayTicks === undefined;
  const row = (visit: TrainVisit): readonly string[] => [
    String(visit.number),
    String(visit.arrivedTick),
    ...(terse ? [] : [secondsText(visit.arrivedTick / ticksPerSecond)]),
    ...(onTime ? [] : [visit.lateTicks === 0 ? paint(style, 'dim', 'on time') : `${visit.lateTicks}${terse ? ' late' : ''}`]),
    visit.dwellTicks === undefined ? paint(style, 'warn', 'still there') : String(visit.dwellTicks),
    ...(terse ? [] : [visit.dwellTicks === undefined ? '' : secondsText(visit.dwellTicks / ticksPerSecond)]),
    String(fills ? 0 - visit.unloaded : visit.unloaded),
    fills || visit.leftWith === 0 ? paint(style, fills && visit.leftWith < capacity ? 'warn' : 'dim', String(visit.leftWith)) : paint(style, 'warn', String(visit.leftWith)),
    ...(terse || !hasExits ? [] : [String(visit.exits.reduce((sum, count) => sum + count, 0))]),
  ];
  const late = onTime ? [] : [terse ? '' : 'late, ticks'];
  const words = terse
    ? ['train', 'comes', ...late, 'stands', moved, 'still in it']
    : ['train', 'comes, tick', '', ...late, 'stands, ticks', '', moved, 'still in it', ...(hasExits ? ['left over exits'] : [])];
  const heads = words.map((word) => paint(style, 'dim', word));
  const { visits } = result;
  const isLong = visits.length > FIRST_ROWS + LAST_ROWS + 1;
  const rows = isLong ? [...visits.slice(0, FIRST_ROWS).map(row), [paint(style, 'dim', '…')], ...visits.slice(-LAST_ROWS).map(row)] : visits.map(row);
  return { heads, rows, align: heads.map(() => 'right') };
}

function skippedLines({ result: { skippedVisits } }: VisitFinding, style: Style): readonly string[] {
  if (skippedVisits === 0) return [];
  const text = `${counted(skippedVisits, 'more visit')} of whole cycles came in between and ${skippedVisits === 1 ? 'is' : 'are'} counted, but not listed.`;
  return wrap(paint(style, 'dim', text), lineWidth(style));
}

/** Of arms that none held up for long. What they waited for may be all that there is, so only where they never did are they known to be too few. */
function atWorkText({ arm, others }: WaitedFor, waitsFor: string): string {
  const waited = (arm?.blockedTicks ?? 0) + others.blockedTicks;
  return waited === 0
    ? 'the arms there were at work all of the time, so only more or faster arms would let it go earlier'
    : `the arms there were at work most of the time, and waited ${counted(waited, 'tick')} in all for ${waitsFor}`;
}

/** Of a train that is filled. */
function filledForText(waitedFor: WaitedFor, visit: TrainVisit, layout: Layout): string {
  const { why, wagon, arm, others } = waitedFor;
  const place = layout.wagons.length === 1 ? 'the wagon' : `wagon ${wagon + 1} (from x = ${layout.wagons[wagon].at})`;
  if (why === 'unreached' || arm === undefined) return `No arm places into ${place}, so it can not be filled; let an arm reach it.`;
  const stood = visit.dwellTicks;
  const of = stood === undefined ? '' : ` of ${stood}`;
  const source = targetText(arm.into).replace(/^(in|on) /, 'from ');
  const lead = `${place.charAt(0).toUpperCase()}${place.slice(1)} was last served by the arm at ${tileText(arm.at)}`;
  const rest = others.count === 1 ? 'the other arm' : `the other ${others.count} arms`;
  switch (why) {
    case 'items':
      return `${lead}, which waited ${counted(arm.blockedTicks, 'tick')}${of} for items ${source}: less comes there than the arm could carry.`;
    case 'one-arm':
      return `${lead}, which went on taking ${source} while ${rest} of the wagon waited ${counted(Math.round(others.blockedTicks / Math.max(1, others.count)), 'tick')}${of}${others.count === 1 ? '' : ' each'} for items: more comes one way than its share.`;
    default:
      return `${lead}; ${atWorkText(waitedFor, 'items')}.`;
  }
}

function targetText(into: ArmTarget): string {
  switch (into.kind) {
    case 'chest':
      return `in the chest at ${tileText(into.at)}`;
    case 'wagon':
      return `in the wagon from x = ${into.at}`;
    case 'carrier':
      return `on the belt at ${tileText(into.at)}`;
  }
}

/** Why a train stood as long as it did, in a sentence. */
function waitedForText(waitedFor: WaitedFor, visit: TrainVisit, layout: Layout): string {
  const { why, wagon, arm, others } = waitedFor;
  const place = layout.wagons.length === 1 ? 'the wagon' : `wagon ${wagon + 1} (from x = ${layout.wagons[wagon].at})`;
  if (why === 'unreached' || arm === undefined) return `No arm takes from ${place}, so it can not be emptied; let an arm reach it, or bring it empty (--load).`;
  const stood = visit.dwellTicks;
  const of = stood === undefined ? '' : ` of ${stood}`;
  const target = targetText(arm.into);
  const last = layout.wagons.length === 1 ? 'was not emptied' : 'held most in the end';
  const verb = visit.leftWith > 0 ? `${last}; the last to take from it was` : 'was emptied last, by';
  const lead = `${place.charAt(0).toUpperCase()}${place.slice(1)} ${verb} the arm at ${tileText(arm.at)}`;
  const rest = others.count === 1 ? 'the other arm' : `the other ${others.count} arms`;
  switch (why) {
    // Trains that are filled have words of their own.
    case 'items':
    case 'room':
      return `${lead}, which waited ${counted(arm.blockedTicks, 'tick')}${of} for room ${target}: from there items go on more slowly than the arm brings them.`;
    case 'one-arm':
      return `${lead}, which went on placing ${target} while ${rest} of the wagon waited ${counted(Math.round(others.blockedTicks / Math.max(1, others.count)), 'tick')}${of}${others.count === 1 ? '' : ' each'} for room: ${arm.into.kind === 'chest' ? 'one chest has to be filled with more than its share' : 'the belts take less than the arms could bring'}.`;
    case 'arms':
      return `${lead}; ${atWorkText(waitedFor, 'room')}.`;
  }
}

interface LevelRange {
  readonly least: number;
  readonly most: number;
}

const rangeOf = (values: readonly (number | undefined)[]): LevelRange | undefined => {
  const known = values.filter((value): value is number => value !== undefined);
  return known.length === 0 ? undefined : { least: Math.min(...known), most: Math.max(...known) };
};

const rangeText = (range: LevelRange | undefined): string =>
  range === undefined ? '' : range.least === range.most ? String(range.least) : `${range.least} to ${range.most}`;

/** Terse: shorter heads, and without what it holds at most. */
function chestTable({ terms, result }: VisitFinding, visits: readonly TrainVisit[], style: Style, terse = false): Table {
  const fills = terms.leaves === 'full';
  const words = terse ? ['chest', 'comes', 'leaves', 'lowest', 'highest', ''] : ['chest', 'as a train comes', 'as it leaves', 'lowest', 'highest', 'holds at most', ''];
  const heads = words.map((word) => paint(style, 'dim', word));
  const rows = result.chests.map(({ at, capacity }, chest) => {
    const each = visits.map((visit) => visit.chests[chest]);
    const lowest = Math.min(...each.map((visit) => visit.lowest));
    const highest = Math.max(...each.map((visit) => visit.highest));
    const notes = [lowest === 0 ? paint(style, fills ? 'dim' : 'warn', 'runs dry') : '', highest === capacity ? paint(style, fills ? 'warn' : 'dim', 'fills up') : ''];
    return [
      tileText(at),
      rangeText(rangeOf(each.map((visit) => visit.atArrival))),
      rangeText(rangeOf(each.map((visit) => visit.atDeparture))),
      String(lowest),
      String(highest),
      ...(terse ? [] : [String(capacity)]),
      notes.filter((note) => note !== '').join(', '),
    ];
  });
  const told = ['chest', 'as a train comes', 'as it leaves', 'lowest', 'highest', ''].map((word) => paint(style, 'dim', word));
  return { heads, rows, align: ['left', 'right', 'right', 'right', 'right', ...(terse ? [] : (['right'] as const)), 'left'], told };
}

function exitTable({ layout }: VisitFinding, exits: readonly ExitFinding[], ticks: number, style: Style): Table {
  const { ticksPerSecond } = layout.catalog;
  const capacity = exitCapacities(layout);
  const dim = (word: string): string => paint(style, 'dim', word);
  const rows = exits.map((exit, index) => {
    const flow = ratio(exit.left + exit.right, Math.max(1, ticks));
    const starved = ratio(exit.starvedTicks, Math.max(1, ticks));
    return [
      paint(style, 'exit', exitLetter(index)),
      `${EDGE_WORD[exit.heading]} of ${tileText(exit.at)}`,
      perSecondText(flow, ticksPerSecond),
      compare(capacity[index], ZERO) === 0 ? '' : percent(flow.div(capacity[index])),
      exit.starvedTicks === 0 ? paint(style, 'good', 'never') : paint(style, 'warn', `${percent(starved)} of the time`),
    ];
  });
  return {
    heads: ['', 'exit', 'per second', 'fill', 'starved'].map(dim),
    rows,
    align: ['left', 'left', 'right', 'right', 'left'],
    names: 2,
    told: ['', '', '', 'fill', 'starved'].map(dim),
  };
}

/** Items per tick that the carrier at each exit could carry; 0 where none leads there. */
export function exitCapacities(layout: Layout): readonly Rational[] {
  const { carriers } = deriveNetwork(layout);
  return layout.exits.map((_, exit) => {
    const carrier = carriers.find(({ next }) => next.kind === 'exit' && next.exit === exit);
    return carrier === undefined ? ZERO : ratio(2 * carrier.speed, layout.catalog.pitch);
  });
}

/** Of a plan that loads: what came in over a cycle, and what of it trains took away. */
function cameInLines({ layout, terms, result: { cycle } }: VisitFinding, style: Style): readonly string[] {
  if (terms.leaves !== 'full' || cycle === undefined) return [];
  const perSecond = (items: number): string => perSecondText(ratio(items, Math.max(1, cycle.ticks)), layout.catalog.ticksPerSecond);
  const text = `In ${ticksText(cycle.ticks, layout.catalog.ticksPerSecond)} ${counted(cycle.cameIn, 'item')} came in over entries (${perSecond(cycle.cameIn)}), and trains took ${-cycle.unloaded} (${perSecond(-cycle.unloaded)}).`;
  return wrap(text, lineWidth(style));
}

function shownText({ cycle, ending, samples }: VisitResult): string {
  if (cycle === undefined || ending !== 'repeats') return 'The whole run';
  return samples[samples.length - 1].tick - samples[0].tick === cycle.ticks ? 'One cycle' : 'The beginning of a cycle';
}

function chartLines({ layout, result }: VisitFinding, style: Style): readonly string[] {
  const room = Math.max(8, (style.columns ?? Infinity) - LABEL_WIDTH - 2);
  const stride = Math.max(1, Math.ceil((result.samples.length - 1) / room));
  const last = result.samples.length - 1;
  // The last one too, so that nothing of the run is left out.
  const samples = result.samples.filter((_, index) => index % stride === 0 || index === last);
  if (samples.length < 2) return [];
  const label = (text: string): string => `  ${text.padEnd(LABEL_WIDTH)}`;
  const bins = samples.slice(1).map((to, index): readonly [VisitSample, VisitSample] => [samples[index], to]);
  const capacities = exitCapacities(layout).map((capacity) => capacity.valueOf());
  const exits = layout.exits.map((_, exit) => {
    const shares = bins.map(([from, to]) => (to.exits[exit] - from.exits[exit]) / Math.max(1, to.tick - from.tick) / (capacities[exit] || 1));
    return label(`exit ${exitLetter(exit)}`) + spark(shares, 'exit', style);
  });
  const chests = result.chests.map(({ at, capacity }, chest) => label(`chest ${tileText(at)}`) + spark(bins.map(([from]) => from.chests[chest] / capacity), 'chest', style));
  const train = label('train there') + spark(bins.map(([from]) => (from.trainStands ? 1 : 0)), 'wagon', style);
  const loads = result.samples.length === 0 ? [] : layout.wagons.map(({ model }, wagon) =>
    label(layout.wagons.length === 1 ? 'in the wagon' : `in wagon ${wagon + 1}`) + spark(bins.map(([from]) => from.wagons[wagon] / model.capacity), 'wagon', style),
  );
  const ticks = samples[samples.length - 1].tick - samples[0].tick;
  const about = `${shownText(result)}, ${ticksText(ticks, layout.catalog.ticksPerSecond)}, in ${counted(bins.length, 'step')}; a full cell is a full belt, chest or wagon.`;
  return ['', paint(style, 'title', 'Over time'), ...wrap(paint(style, 'dim', about), lineWidth(style)), train, ...loads, ...chests, ...exits];
}

/** How long trains stand from the worst of several starts. */
function startsText({ tried, unsettled, worst }: VisitStarts, ticksPerSecond: number): string {
  const open = unsettled === 0 ? '' : ` From ${unsettled} of ${counted(tried + 1, 'start')} in all visits did not come over again.`;
  if (worst === undefined) return `Tried from ${counted(tried, 'staggered start')} too.${open}`;
  const { dwellTicks } = worst.measures;
  const time = `${tenths(dwellTicks)} ticks (${secondsText(dwellTicks.valueOf() / ticksPerSecond)})`;
  const found = worst.start === 0 ? `from none of them does a train stand for more than ${time} on average` : `from the worst, number ${worst.start}, a train stands for ${time} on average`;
  return `Tried from ${counted(tried, 'staggered start')} too: ${found}.${open}`;
}

/** Why a train stood as long as it did, whether it was emptied or filled. */
export const waitText = (waited: WaitedFor, visit: TrainVisit, { layout, terms }: VisitFinding): string =>
  (terms.leaves === 'full' ? filledForText : waitedForText)(waited, visit, layout);

/** What came of it, in a line or two. */
export function visitVerdict(finding: VisitFinding, style: Style): readonly string[] {
  const { layout, result, measures } = finding;
  const { ticksPerSecond } = layout.catalog;
  const { cycle } = result;
  const lines: string[] = [];
  if (cycle !== undefined && measures !== undefined) {
    const which = cycle.visits === 1 ? `train ${cycle.firstVisit} and all after it are alike` : `trains ${cycle.firstVisit} to ${cycle.firstVisit + cycle.visits - 1} come over and over`;
    lines.push(
      `${paint(style, 'good', 'Exact')}: ${which}, every ${ticksText(cycle.ticks, ticksPerSecond)}.`,
      `A train stands there for ${tenths(measures.dwellTicks)} ${tenths(measures.dwellTicks) === '1' ? 'tick' : 'ticks'} (${secondsText(measures.dwellTicks.valueOf() / ticksPerSecond)})${cycle.visits === 1 ? '' : ' on average'}, ` +
        `${percent(measures.presence)} of the time; ${tenths(measures.trainsPerHour)} trains an hour leave.`,
    );
  }
  if (finding.starts !== undefined) lines.push(startsText(finding.starts, ticksPerSecond));
  if (result.stuckSince !== undefined) lines.push(`${paint(style, 'bad', 'Stuck')}: from tick ${result.stuckSince} on nothing in any wagon or chest changes any more, so the train never leaves.`);
  if (result.ending === 'limit' && cycle === undefined) lines.push(`Ran for ${ticksText(result.ticks, ticksPerSecond)}; ${counted(result.departures, 'train')} left. Visits did not come over again in that time.`);
  if (result.ending === 'limit' && cycle !== undefined) lines.push(`Ran for ${ticksText(result.ticks, ticksPerSecond)}; ${counted(result.departures, 'train')} left.`);
  if (result.ending === 'open') lines.push(`${paint(style, 'warn', 'Unproven')}: visits did not come over again within ${counted(result.ticks, 'tick')}; give --visits or --ticks to say where to end.`);
  return lines;
}

export function visitText(finding: VisitFinding, style: Style): readonly string[] {
  const { layout, result } = finding;
  const { cycle } = result;
  const columns = lineWidth(style);
  const inCycle = cycle === undefined ? result.visits : result.visits.filter(({ number }) => number >= cycle.firstVisit && number < cycle.firstVisit + cycle.visits);
  const shown = inCycle.length === 0 ? result.visits : inCycle;
  const last = inCycle.at(-1);
  const waited = last?.waitedFor;
  const hasChests = result.chests.length > 0;
  const hasExits = layout.exits.length > 0;
  const noExit = hasExits || finding.terms.leaves === 'full' ? [] : [NO_EXIT];
  const cameIn = cameInLines(finding, style);
  const [exits, ticks] = cycle === undefined ? [result.exits, result.ticks] : [cycle.exits, cycle.ticks];
  return [
    ...titleLines(layout.name, style),
    '',
    paint(style, 'title', 'Trains'),
    ...wrap(termsLine(finding), columns),
    '',
    ...fittingTable(style, visitTable(finding, style), visitTable(finding, style, true)),
    ...skippedLines(finding, style),
    ...(waited === undefined || last === undefined ? [] : ['', ...wrap(`Train ${last.number}. ${waitText(waited, last, finding)}`, columns)]),
    '',
    paint(style, 'title', cycle === undefined ? 'Over the whole run' : 'Over a cycle'),
    ...(hasChests ? fittingTable(style, chestTable(finding, shown, style), chestTable(finding, shown, style, true)) : []),
    ...(hasExits && hasChests ? [''] : []),
    ...(hasExits ? fittingTable(style, exitTable(finding, exits, ticks, style)) : []),
    ...noExit,
    ...((hasChests || hasExits) && cameIn.length > 0 ? [''] : []),
    ...cameIn,
    ...chartLines(finding, style),
    '',
    ...visitVerdict(finding, style).flatMap((line) => wrap(line, columns, 0)),
    ...wrap(paint(style, 'dim', 'Counts of an idealised tile world: trains that come to the tick, arms that never miss.'), columns, 0),
  ];
}
