/**
 * What a whole station needs, by formula and by a run of visits, side by side; as text and as JSON.
 */
import { compare, formatRational, ONE, ratio, type Rational } from '../base/rational.js';
import { sameTile, type Tile } from '../base/geometry.js';
import type { Layout } from '../layout/layout.js';
import type { Bottleneck, Sizing, SizingTerms, TrainNeed } from '../ranking/sizing.js';
import { styled, type Style } from './canvas.js';
import { STOPPED } from './design-text.js';
import { counted, percent, perSecondNumber, perSecondText, secondsText, tenths } from './numbers.js';
import { tileText } from './places.js';
import { fittingTable, lineWidth, titleLines, wrap, type Table } from './table.js';
import { drainText } from './train-text.js';
import { position, present, type Json, type JsonObject } from './trial-json.js';

/** Of a cycle of visits. */
export interface MeasuredStation extends TrainNeed {
  readonly flow: Rational;
  readonly chests: readonly { readonly at: Tile; readonly capacity: number }[];
  /** Most items in each chest; where trains are filled, most that it gave of its stock to one. */
  readonly used: readonly number[];
  /** Least in each chest as a train comes. */
  readonly found: readonly number[];
}

export interface StationFinding {
  readonly layout: Layout;
  readonly terms: SizingTerms;
  /** Undefined where the layout's flows can not last, or are not known. */
  readonly sizing: Sizing | undefined;
  readonly measured: MeasuredStation | undefined;
  /** By so many ticks the two dwells may differ and still agree. */
  readonly toleranceTicks: number;
  readonly agrees: boolean | undefined;
  /** What it was stopped before, and by what: then there are no visits, or nothing at all is known. */
  readonly stopped: { readonly before: 'formula' | 'visits'; readonly by: 'time-limit' | 'interrupt' } | undefined;
}


function fillingBottleneck({ kind, drain, use }: Bottleneck): string {
  const share = percent(use);
  switch (kind) {
    case 'belts':
      return `what the belts and arms bring: the demand is ${share} of it. More needs another layout.`;
    case 'arms':
      return `the arms that fill the wagons: a train has to stand there ${share} of the time for them. More or faster arms there would free the track.`;
    case 'chests':
      return `${drain === undefined ? 'a chest' : drainText(drain)}: to fill a train without a pause it needs ${share} of what it holds. More trains that take less each, or another chest, would help.`;
  }
}

function bottleneckText({ kind, drain, use }: Bottleneck): string {
  const share = percent(use);
  switch (kind) {
    case 'belts':
      return `what the belts and arms carry off: the demand is ${share} of it. More needs another layout.`;
    case 'arms':
      return `the arms that fill ${drain === undefined ? 'a chest' : drainText(drain)}: a train has to stand there ${share} of the time for them. More or faster arms there would free the track.`;
    case 'chests':
      return `${drain === undefined ? 'a chest' : drainText(drain)}: to bridge the time between two trains it needs ${share} of what it holds. More trains with less in each, or another chest, would help.`;
  }
}

/** Terse: seconds without ticks, and no words for a share of time. */
function needTable({ measured, layout, stopped }: StationFinding, sizing: Sizing, style: Style, terse = false): Table {
  const { ticksPerSecond } = layout.catalog;
  const dim = (text: string): string => styled(style, 'dim', text);
  const ticks = (value: Rational | undefined): string => (value === undefined ? '' : `${terse ? '' : `${tenths(value)} ticks, `}${secondsText(value.valueOf() / ticksPerSecond)}`);
  const row = (name: string, cell: (need: TrainNeed) => string): readonly string[] => [name, cell(sizing), measured === undefined ? dim(stopped === undefined ? 'no cycle' : 'not known') : cell(measured)];
  const rows = [
    [sizing.fills ? 'loaded' : 'carried off', perSecondText(sizing.isMet ? sizing.demand : sizing.most, ticksPerSecond), measured === undefined ? '' : perSecondText(measured.flow, ticksPerSecond)],
    row('from train to train', ({ headwayTicks }) => ticks(headwayTicks)),
    row('a train stands', ({ dwellTicks }) => ticks(dwellTicks)),
    row('a train is there', ({ presence }) => terse ? percent(presence) : `${percent(presence)} of the time`),
    ...(sizing.cycleTicks === undefined ? [] : [row('a train is back after', ({ cycleTicks }) => ticks(cycleTicks)), row('trains', ({ trains }) => String(trains ?? ''))]),
  ];
  return { heads: ['', 'by formula', 'by visits'].map(dim), rows, align: ['left', 'right', 'right'] };
}

/** Of a chest, what visits have shown; undefined where they came to no cycle. */
function usedOf({ measured }: StationFinding, { drain: { at } }: Sizing['chests'][number]): number | undefined {
  const index = measured?.chests.findIndex((chest) => sameTile(chest.at, at)) ?? -1;
  return index < 0 ? undefined : measured?.used[index];
}

/** Terse: shorter heads and verdicts. */
function chestTable(finding: StationFinding, sizing: Sizing, style: Style, terse = false): Table {
  const dim = (text: string): string => styled(style, 'dim', text);
  const rows = sizing.chests.map((chest) => {
    const { drain, items, capacity } = chest;
    const isEnough = compare(items, ratio(capacity)) <= 0;
    return [
      tileText(drain.at),
      tenths(items),
      String(usedOf(finding, chest) ?? ''),
      String(capacity),
      isEnough ? styled(style, 'good', '✓ enough') : styled(style, 'warn', terse ? '✗ too small' : '✗ too small: trains have to stand longer'),
    ];
  });
  const whole = sizing.fills ? ['gives of its stock, by formula', 'by visits', 'holds at most'] : ['needs, by formula', 'most in it, by visits', 'holds at most'];
  const heads = ['chest', ...(terse ? [sizing.fills ? 'gives' : 'needs', 'by visits', 'holds'] : whole), ''].map(dim);
  return { heads, rows, align: ['left', 'right', 'right', 'right', 'left'] };
}

/** A chest that needs little and comes to hold much looks like a contradiction. */
function stockNote(finding: StationFinding, { chests, fills }: Sizing): readonly string[] {
  const isFuller = chests.some((chest) => compare(ratio(usedOf(finding, chest) ?? 0), chest.items.mul(2)) > 0);
  return fills || finding.agrees !== true || !isFuller ? [] : ['A chest may come to hold much more than it needs: what earlier trains left over in it stays there, and holds no train up.'];
}

/** Why visits may differ where trains are filled: the formula has chests full as a train comes. The least full one tells. */
function emptierNote({ sizing, measured }: StationFinding): string {
  if (sizing?.fills !== true || measured === undefined) return '';
  const [least] = measured.chests
    .map(({ at, capacity }, chest) => ({ at, capacity, found: measured.found[chest] }))
    .filter(({ capacity, found }) => found < capacity)
    .sort((a, b) => a.found * b.capacity - b.found * a.capacity);
  if (least === undefined) return '';
  return ` The formula takes chests to be full as a train comes; the one at ${tileText(least.at)} comes to hold ${least.found} of ${least.capacity} then, as may be where belts bring hardly more than trains take.`;
}

function verdict(finding: StationFinding, style: Style): readonly string[] {
  const { layout, sizing, measured, agrees, toleranceTicks, terms, stopped } = finding;
  const { ticksPerSecond } = layout.catalog;
  if (stopped?.before === 'formula') {
    const advice = stopped.by === 'time-limit' ? '; give --time-limit more' : '';
    return [`${styled(style, 'warn', 'Not known')}: ${STOPPED[stopped.by]} before the flow of the station had been simulated${advice}.`];
  }
  if (sizing === undefined) return [`${styled(style, 'bad', 'No')}: the flow of this layout carries off, or fills, no trains, for a chest does not keep up, or nothing flows out of a wagon in the long run, nor into it; “transloom trial” shows what flows.`];
  const asked = perSecondText(sizing.demand, ticksPerSecond);
  const most = perSecondText(sizing.most, ticksPerSecond);
  const done = sizing.fills ? 'loaded' : 'carried off';
  const met = terms.itemsPerTick === undefined ? `no demand is given, so it is sized for all that can be ${done}, ${most}` : `${asked} are asked for, and ${most} can be ${done}`;
  const first = sizing.isMet
    ? `${styled(style, 'good', 'Yes')}: ${met}.`
    : `${styled(style, 'bad', 'No')}: ${asked} are asked for, but only ${most} can be ${done} with full trains. What follows is for those.`;
  const wagons = sizing.trains === undefined ? '' : ` ${counted(sizing.trains * sizing.wagonsPerTrain, 'wagon')} in all.`;
  const under = sizing.trainsInCycle === undefined ? '' : ` (By Little's law ${sizing.trainsInCycle.valueOf().toFixed(2)} trains are in their cycle on average.)`;
  const fleet =
    sizing.trains === undefined
      ? `Each train has ${counted(sizing.wagonsPerTrain, 'wagon')}. Give the time of a round trip (--round-trip, or “demand” in a brief) to learn how many trains that takes.`
      : `It takes ${counted(sizing.trains, 'train')} of ${counted(sizing.wagonsPerTrain, 'wagon')}${terms.layover.equals(0) ? '' : `, with ${percent(terms.layover)} on top of a cycle in reserve`}.${wagons}${under}`;
  const agreement =
    measured === undefined
      ? `${stopped === undefined ? 'The run of visits did not come to a cycle' : `Visits are not known, for ${STOPPED[stopped.by]}`}, so the formula stands alone.`
      : agrees === true
        ? `Formula and visits agree: dwells to within ${counted(toleranceTicks, 'tick')} (two cycles of the slowest arm${sizing.isBridged ? '' : ', and what belts and hands can hold'}), flows to within 1 %.`
        : `${styled(style, 'warn', 'Formula and visits do not agree')} to within ${counted(toleranceTicks, 'tick')} of dwell and 1 % of flow: trust the visits, which count every item.${emptierNote(finding)}`;
  return [first, fleet, `Bottleneck: ${(sizing.fills ? fillingBottleneck : bottleneckText)(sizing.bottleneck)}`, agreement];
}

export function stationText(finding: StationFinding, style: Style, quiet = false): readonly string[] {
  const columns = lineWidth(style);
  const lines = verdict(finding, style).flatMap((line) => wrap(line, columns, 0)).map((line) => styled(style, 'plain', line));
  if (quiet) return lines;
  const { layout, sizing } = finding;
  const needs = sizing === undefined ? [] : fittingTable(style, needTable(finding, sizing, style), needTable(finding, sizing, style, true));
  const hasChests = sizing !== undefined && sizing.chests.length > 0;
  const chests = hasChests
    ? [
        '',
        ...fittingTable(style, chestTable(finding, sizing, style), chestTable(finding, sizing, style, true)),
        ...stockNote(finding, sizing).flatMap((note) => wrap(note, columns)).map((line) => styled(style, 'dim', line)),
      ]
    : [];
  return [
    ...titleLines(`${layout.name}, as a station`, style),
    ...(sizing === undefined ? [] : ['', ...needs, ...chests, '']),
    ...lines,
    ...wrap(styled(style, 'dim', sizing?.fills === true ? 'For an idealised tile world: empty trains that come to the tick, one track; by formula, chests are full as a train comes.' : 'For an idealised tile world: full trains that come to the tick, one track, exits that take evenly.'), columns, 0),
  ];
}

const needJson = (need: TrainNeed): Readonly<Record<string, Json | undefined>> => ({
  headway: formatRational(need.headwayTicks),
  dwell: formatRational(need.dwellTicks),
  presence: formatRational(compare(need.presence, ONE) > 0 ? ONE : need.presence),
  cycle: need.cycleTicks && formatRational(need.cycleTicks),
  trains: need.trains,
});

export function stationJson(finding: StationFinding): JsonObject {
  const { layout, sizing, measured, agrees, toleranceTicks, stopped } = finding;
  const { ticksPerSecond } = layout.catalog;
  const stoppedBy = stopped?.by;
  const rate = (value: Rational): JsonObject => ({ flow: formatRational(value), perSecond: perSecondNumber(value, ticksPerSecond) });
  if (sizing === undefined) return present({ name: layout.name, met: stopped === undefined ? false : undefined, stoppedBy });
  const { bottleneck } = sizing;
  return present({
    name: layout.name,
    met: sizing.isMet,
    demand: rate(sizing.demand),
    most: rate(sizing.most),
    load: sizing.load,
    wagonsPerTrain: sizing.wagonsPerTrain,
    wagons: sizing.trains === undefined ? undefined : sizing.trains * sizing.wagonsPerTrain,
    trainsInCycle: sizing.trainsInCycle && formatRational(sizing.trainsInCycle),
    formula: present(needJson(sizing)),
    visits: measured && present({ ...needJson(measured), ...rate(measured.flow) }),
    toleranceTicks,
    agrees,
    stoppedBy,
    chests: sizing.chests.map((chest) =>
      present({ at: position(chest.drain.at), needs: formatRational(chest.items), capacity: chest.capacity, most: usedOf(finding, chest) }),
    ),
    bottleneck: present({ kind: bottleneck.kind, at: bottleneck.drain && position(bottleneck.drain.at), use: formatRational(bottleneck.use) }),
  });
}
