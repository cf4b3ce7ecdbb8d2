/**
 * What a trial found, for a reader at a terminal: exits lane by lane, how each arm spends its time,
 * how each chest drains, and whether all of it is exact.
 */
import { backOf, leftOf, rightOf } from '../base/geometry.js';
import { compare, ONE, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import type { Layout, PlacedArm } from '../layout/layout.js';
import { deriveNetwork, type ArmEnd, type Network } from '../layout/network.js';
import type { Counts, ExitTrial, LaneTrial, TrialResult } from '../simulation/trial-result.js';
import { shareBar, stackedBar } from './bars.js';
import { styled, type Style } from './canvas.js';
import { drains, drainVerdict, freeArmsNote, loadVerdict, presenceNote, type ChestVerdict } from './chest-words.js';
import { exitLetter } from './labels.js';
import type { InkName } from './ink.js';
import { counted, percent, perSecondText, perTickText, secondsText } from './numbers.js';
import { EDGE_WORD, NO_EXIT, tileText } from './places.js';
import { firstThatFits, fittingTable, lineWidth, proseWidth, titleLines, wrap, type Table } from './table.js';

const BAR_WIDTH = 16;
const ARM_BAR_WIDTH = 12;

type Paint = (name: InkName, text: string) => string;

const painter =
  (style: Style): Paint =>
  (name, text) =>
    styled(style, name, text);

/** "worst of 17 starts: staggered start 4; repeats every 1560 ticks, from tick 412 on". */
function certainty(trial: TrialResult, style: Style): readonly string[] {
  const paint = painter(style);
  const start = trial.worstStart === 0 ? 'the standard one' : `staggered start ${trial.worstStart}`;
  const which =
    trial.starts > 1 ? `Worst of ${counted(trial.starts, 'start')}: ${start}.` : 'From the standard start.';
  if (trial.exact) {
    const when = `repeats every ${counted(trial.periodTicks, 'tick')}, from tick ${trial.transientTicks} on`;
    return wrap(`${which} ${paint('good', 'Exact')}: the station ${when}.`, lineWidth(style));
  }
  const ran = trial.transientTicks + trial.periodTicks;
  const measured = `the station did not repeat within its tick limit, so these flows were measured over the last ${trial.periodTicks} of ${ran} ticks and are not exact.`;
  return wrap(`${which} ${paint('warn', 'Unproven')}: ${measured}`, proseWidth(style));
}

function gapText(lane: LaneTrial, pitch: number, paint: Paint, terse: boolean): string {
  if (lane.largestGap === undefined) return paint('dim', 'no gap to measure');
  if (terse) return lane.largestGap <= pitch ? 'no hole' : `${(lane.largestGap / pitch).toFixed(2)} pitches`;
  if (lane.largestGap <= pitch) return `${lane.largestGap} ${paint('dim', 'units, no hole')}`;
  return `${lane.largestGap} ${paint('dim', `units, ${(lane.largestGap / pitch).toFixed(2)} pitches`)}`;
}

/** Flow of all exits, and what share that is of what their carriers carry. */
function together(layout: Layout, exits: readonly ExitTrial[]): { readonly flow: Rational; readonly fill: Rational } {
  const flow = sumRational(exits.map((exit) => exit.flow));
  const leaving = deriveNetwork(layout).carriers.filter(({ next }) => next.kind === 'exit');
  const capacity = sumRational(leaving.map(({ speed }) => ratio(2 * speed, layout.catalog.pitch)));
  return { flow, fill: compare(capacity, ZERO) === 0 ? ZERO : flow.div(capacity) };
}

/** Terse: without bars, gaps in pitches alone. */
function exitTable(layout: Layout, exits: readonly ExitTrial[], style: Style, terse = false): Table {
  const paint = painter(style);
  const { pitch, ticksPerSecond } = layout.catalog;
  const flowCells = (flow: Rational): readonly string[] => [perSecondText(flow, ticksPerSecond), perTickText(flow)];
  const fillCells = (fill: Rational): readonly string[] => [
    ...(terse ? [] : [shareBar(fill, BAR_WIDTH, compare(fill, ONE) >= 0 ? 'good' : 'belt2', style)]),
    percent(fill),
  ];
  const rows = exits.flatMap((exit, index) => {
    const letter = paint('exit', exitLetter(index));
    const where = `${EDGE_WORD[exit.heading]} of ${tileText(exit.at)}`;
    const laneSide = (side: 'left' | 'right'): string =>
      `${side} (${EDGE_WORD[side === 'left' ? leftOf(exit.heading) : rightOf(exit.heading)]})`;
    return [
      [letter, where, 'both lanes', ...flowCells(exit.flow), ...fillCells(exit.fill), ''],
      ['', '', laneSide('left'), ...flowCells(exit.left.flow), ...fillCells(exit.left.fill), gapText(exit.left, pitch, paint, terse)],
      ['', '', laneSide('right'), ...flowCells(exit.right.flow), ...fillCells(exit.right.fill), gapText(exit.right, pitch, paint, terse)],
    ];
  });
  if (exits.length > 1) {
    const { flow, fill } = together(layout, exits);
    rows.push(['', 'all exits', 'together', ...flowCells(flow), ...fillCells(fill), '']);
  }
  const dim = (word: string): string => paint('dim', word);
  return {
    heads: ['', 'exit', 'lane', 'per second', 'per tick', 'fill', ...(terse ? [] : ['']), 'largest gap'].map(dim),
    rows,
    align: ['left', 'left', 'left', 'right', 'right', ...(terse ? [] : (['left'] as const)), 'right', 'left'],
    names: 3,
    told: ['', '', '', '', 'per tick', 'fill', 'largest gap'].map(dim),
  };
}

/** Lanes below their exit, in the same column. */
const exitsInOneColumn = ({ heads = [], rows, align, told = heads }: Table): Table => {
  const joined = ([letter, exit, lane, ...rest]: readonly string[]): readonly string[] => [letter, exit === '' ? `  ${lane}` : exit, ...rest];
  return { heads: joined(heads), rows: rows.map(joined), align: align.slice(1), names: 2, told: told.slice(1) };
};

/** Terse: without bars. */
function entryTable(layout: Layout, trial: TrialResult, style: Style, terse = false): Table {
  const paint = painter(style);
  const { ticksPerSecond } = layout.catalog;
  const rows = (trial.entries ?? []).map((entry, index) => [
    paint('entry', String(index + 1)),
    `${EDGE_WORD[backOf(entry.heading)]} of ${tileText(entry.at)}`,
    perSecondText(entry.flow, ticksPerSecond),
    perTickText(entry.flow),
    ...(terse ? [] : [shareBar(entry.share, BAR_WIDTH, compare(entry.share, ONE) >= 0 ? 'good' : 'belt2', style)]),
    percent(entry.share),
  ]);
  const dim = (word: string): string => paint('dim', word);
  return {
    heads: ['', 'entry', 'comes in per second', 'per tick', ...(terse ? ['of offered'] : ['of what is offered', ''])].map(dim),
    rows,
    align: ['left', 'left', 'right', 'right', ...(terse ? (['right'] as const) : (['left', 'right'] as const))],
    names: 2,
    told: ['', '', 'comes in', 'per tick', 'of what is offered'].map(dim),
  };
}

/** What gets into each wagon, and how long that takes to fill it. */
function wagonLines(layout: Layout, trial: TrialResult, style: Style): readonly string[] {
  const paint = painter(style);
  const { ticksPerSecond } = layout.catalog;
  const rows = (trial.wagons ?? []).map(({ at, inflow }, index) => {
    const { model } = layout.wagons[index];
    const full = compare(inflow, ZERO) === 0 ? paint('warn', 'never') : secondsText(ratio(model.capacity).div(inflow).div(ticksPerSecond).valueOf());
    return [`from x = ${at}`, model.name, perSecondText(inflow, ticksPerSecond), perTickText(inflow), full];
  });
  const dim = (word: string): string => paint('dim', word);
  return fittingTable(style, {
    heads: ['wagon', 'model', 'gets per second', 'per tick', 'full in'].map(dim),
    rows,
    align: ['left', 'left', 'right', 'right', 'right'],
    names: 2,
    told: ['wagon', '', 'gets', 'per tick', 'full in'].map(dim),
  });
}

const verdictCell = ({ isGood, words }: ChestVerdict, style: Style): string =>
  words === '' ? '' : styled(style, isGood ? 'good' : 'bad', `${isGood ? '✓' : '✗'} ${words}`);

/** Terse: without bars. */
function loadingChestTable(layout: Layout, trial: TrialResult, presence: Rational, style: Style, terse = false): Table {
  const paint = painter(style);
  const { ticksPerSecond } = layout.catalog;
  const rows = trial.chests.flatMap((chest) => {
    const { at, loads } = chest;
    if (loads === undefined) return [];
    const verdict = loadVerdict(chest, presence);
    const share = loads.inflow.div(loads.carryOff);
    return [
      [
        tileText(at),
        perSecondText(loads.inflow, ticksPerSecond),
        perTickText(loads.inflow),
        perSecondText(loads.carryOff, ticksPerSecond),
        ...(terse ? [] : [shareBar(share, BAR_WIDTH, verdict.isGood ? 'chest' : 'blocked', style)]),
        percent(share),
        verdictCell(verdict, style),
      ],
    ];
  });
  const heads = ['chest', 'filled', 'per tick', 'can be emptied', ...(terse ? ['of that'] : ['filled of that', '']), ''].map((word) => paint('dim', word));
  return { heads, rows, align: ['left', 'right', 'right', 'right', ...(terse ? [] : (['left'] as const)), 'right', 'left'] };
}

function endText(network: Network, end: ArmEnd): string {
  switch (end.kind) {
    case 'nothing':
      return 'nothing';
    case 'wagon':
      return 'wagon';
    case 'chest':
      return 'chest';
    case 'carrier': {
      const carrier = network.carriers[end.carrier];
      return carrier.kind === 'splitter-half' ? 'splitter' : carrier.kind;
    }
  }
}

/** Terse: without the flow per tick and without the bar. */
function armTable(layout: Layout, trial: TrialResult, style: Style, terse = false): Table {
  const paint = painter(style);
  const network = deriveNetwork(layout);
  const rows = network.arms.flatMap((link) => {
    const part = layout.parts[link.part] as PlacedArm;
    const arm = trial.arms.find((each) => each.at.x === part.at.x && each.at.y === part.at.y);
    if (arm === undefined) return [];
    const { moving, blocked, starved } = arm.share;
    const bar = stackedBar(
      [
        { share: moving, glyph: '█', ink: 'moving' },
        { share: blocked, glyph: '▓', ink: 'blocked' },
        { share: starved, glyph: '░', ink: 'starved' },
      ],
      ARM_BAR_WIDTH,
      style,
    );
    const faint = (share: Rational): string => (compare(share, ZERO) === 0 ? paint('dim', percent(share)) : percent(share));
    return [
      [
        tileText(part.at),
        `${endText(network, link.pick)} to ${endText(network, link.place)}`,
        perSecondText(arm.flow, layout.catalog.ticksPerSecond),
        ...(terse ? [] : [perTickText(arm.flow)]),
        arm.cycleTicks === undefined ? paint('dim', 'none') : trimmed(arm.cycleTicks),
        ...(terse ? [] : [bar]),
        faint(moving),
        faint(blocked),
        faint(starved),
      ],
    ];
  });
  const words = terse
    ? ['arm', 'carries', 'per second', 'cycle']
    : ['arm', 'carries', 'per second', 'per tick', 'cycle, ticks', "arm's time"];
  const dim = (word: string): string => paint('dim', word);
  const shares = [paint('moving', '█ moving'), paint('blocked', '▓ blocked'), paint('starved', '░ starved')];
  return {
    heads: [...words.map(dim), ...shares],
    rows,
    align: ['left', 'left', 'right', 'right', ...(terse ? [] : (['right', 'left'] as const)), 'right', 'right', 'right'],
    names: 2,
    told: ['', '', '', 'cycle', 'moving', 'blocked', 'starved'].map(dim),
  };
}

/** Up to two decimals, and none where they are zeros. */
const trimmed = (value: Rational): string => value.valueOf().toFixed(2).replace(/\.?0+$/, '');

/** Terse: without bars. */
function chestTable(layout: Layout, trial: TrialResult, presence: Rational, style: Style, terse = false): Table {
  const paint = painter(style);
  const { ticksPerSecond } = layout.catalog;
  const rows = trial.chests.filter(drains).map((chest) => {
    const verdict = drainVerdict(chest, presence);
    const part = layout.parts.find(
      (each) => each.kind === 'chest' && each.at.x === chest.at.x && each.at.y === chest.at.y,
    );
    const supplied = compare(chest.supply, ZERO) > 0;
    const share = supplied ? chest.outflow.div(chest.supply) : undefined;
    return [
      tileText(chest.at),
      part?.kind === 'chest' ? part.model.name : '',
      perSecondText(chest.outflow, ticksPerSecond),
      perTickText(chest.outflow),
      perSecondText(chest.supply, ticksPerSecond),
      ...(terse ? [] : [share === undefined ? '' : shareBar(share, BAR_WIDTH, verdict.isGood ? 'chest' : 'blocked', style)]),
      share === undefined ? '' : percent(share),
      verdictCell(verdict, style),
    ];
  });
  const heads = ['chest', 'model', 'drained', 'per tick', 'can be filled', ...(terse ? ['of that'] : ['drained of that', '']), ''].map((word) =>
    paint('dim', word),
  );
  return { heads, rows, align: ['left', 'left', 'right', 'right', 'right', ...(terse ? [] : (['left'] as const)), 'right', 'left'], names: 2, told: heads.with(1, '') };
}

function countLines(counts: Counts, ticks: number, style: Style): readonly string[] {
  const paint = painter(style);
  const rows = [
    ...(counts.entries ?? []).map(({ at, left, right }, index) => [
      paint('entry', String(index + 1)),
      `entry at ${tileText(at)}`,
      `${left} left, ${right} right`,
    ]),
    ...counts.exits.map(({ at, left, right }, index) => [
      paint('exit', exitLetter(index)),
      `exit at ${tileText(at)}`,
      `${left} left, ${right} right`,
    ]),
    ...counts.chests.map(({ at, taken }) => ['', `chest at ${tileText(at)}`, `${taken} taken`]),
    ...counts.wagons.map(({ at, taken }) => ['', `wagon from x = ${at}`, `${taken} taken`]),
  ];
  return ['', ...titleLines(`Counted over ${counted(ticks, 'tick')} from an empty start`, style), ...fittingTable(style, { rows, align: ['left', 'left', 'left'], names: 2 })];
}

interface TrialReport {
  readonly layout: Layout;
  readonly trial: TrialResult;
  /** Share of time in which a wagon stands there; left out: always. */
  readonly presence?: Rational | undefined;
  readonly counts?: { readonly counts: Counts; readonly ticks: number };
}

/** The flows section, which `design` prints as well; `presence` is the share of time in which a wagon stands there. */
export function flowText(layout: Layout, trial: TrialResult, style: Style, presence: Rational = ONE): readonly string[] {
  const paint = painter(style);
  const lines = [paint('title', 'Flow'), ...certainty(trial, style)];
  if ((trial.entries ?? []).length > 0) {
    lines.push('', ...fittingTable(style, entryTable(layout, trial, style), entryTable(layout, trial, style, true)), '', ...wagonLines(layout, trial, style));
  }
  if (trial.exits.length === 0 && trial.entries === undefined) lines.push('', NO_EXIT);
  if (trial.exits.length > 0) {
    const terse = exitTable(layout, trial.exits, style, true);
    lines.push('', ...fittingTable(style, exitTable(layout, trial.exits, style), terse, exitsInOneColumn(terse)));
  }
  if (trial.chests.length > 0) {
    const even = compare(trial.imbalance, ZERO) === 0;
    const loading = trial.chests.filter(({ loads }) => loads !== undefined).length;
    if (loading > 0) lines.push('', ...fittingTable(style, loadingChestTable(layout, trial, presence, style), loadingChestTable(layout, trial, presence, style, true)));
    if (trial.chests.some(drains)) lines.push('', ...fittingTable(style, chestTable(layout, trial, presence, style), chestTable(layout, trial, presence, style, true)));
    const note = presenceNote(trial, presence);
    if (note !== undefined) lines.push(...wrap(note, lineWidth(style)));
    const words = loading === trial.chests.length ? (['Filling', 'are filled'] as const) : (['Drain', 'drain'] as const);
    const amount = even ? paint('good', `0, all chests ${words[1]} evenly`) : `${perTickText(trial.imbalance)} (0 is even)`;
    lines.push(...wrap(`${words[0]} imbalance: ${amount}`, lineWidth(style)));
  }
  return lines;
}

export function trialText({ layout, trial, presence, counts }: TrialReport, style: Style): readonly string[] {
  const paint = painter(style);
  const note = freeArmsNote(deriveNetwork(layout));
  const arms = [
    ...fittingTable(style, armTable(layout, trial, style), armTable(layout, trial, style, true)),
    ...(note === undefined ? [] : wrap(paint('dim', note), proseWidth(style))),
  ];
  const station = `cost ${trial.cost}, ${counted(trial.parts, 'part')}, footprint ${counted(trial.footprint, 'tile')}`;
  return [
    ...flowText(layout, trial, style, presence),
    ...(trial.arms.length === 0 ? [] : ['', paint('title', 'Arms'), ...arms]),
    ...(counts === undefined ? [] : countLines(counts.counts, counts.ticks, style)),
    '',
    ...firstThatFits(style.columns, [() => [`${paint('title', 'Station')}  ${station}`], () => [paint('title', 'Station'), ...wrap(station, proseWidth(style))]]),
  ];
}
