/**
 * One layout of a page: its picture, the buttons that move it, and its figures as bars with numbers beside them.
 * Plain HTML that says all of it without a script; `src/page/` fills in what moves, and draws other layouts with
 * the same functions.
 */
import { backOf } from '../../base/geometry.js';
import { compare, ONE, parseRational, ZERO, type Rational } from '../../base/rational.js';
import { deriveNetwork, type ArmEnd, type Network } from '../../layout/network.js';
import { billOf } from '../bill.js';
import { drains, drainVerdict, freeArmsNote, loadVerdict, presenceNote } from '../chest-words.js';
import { entryNumber, exitLetter } from '../labels.js';
import { signsOfModel } from '../model-signs.js';
import { counted, percent, perSecondText, perTickText, secondsText } from '../numbers.js';
import { EDGE_WORD, tileText } from '../places.js';
import { layoutSvg } from '../svg/layout-svg.js';
import { sideWord } from '../svg/lane-words.js';
import { element, escaped } from '../svg/markup.js';
import type { LaneTrial } from '../../simulation/trial-result.js';
import type { PageEntry } from './page-data.js';
import { proofWords } from './proof-words.js';

const cell = (text: string): string => element('td', {}, text);
const number = (text: string): string => element('td', { class: 'number' }, escaped(text));

/** Heads of columns of numbers begin with ">". */
function table(caption: string, heads: readonly string[], rows: readonly string[]): string {
  if (rows.length === 0) return '';
  const head = element(
    'tr',
    {},
    ...heads.map((text) => element('th', { scope: 'col', class: text.startsWith('>') ? 'number' : undefined }, escaped(text.replace('>', '')))),
  );
  return element(
    'div',
    { class: 'scroll' },
    element('table', {}, element('caption', {}, escaped(caption)), element('thead', {}, head), element('tbody', {}, ...rows)),
  );
}

interface BarPiece {
  readonly kind: string;
  readonly share: Rational;
}

/** A bar of shares of 1. What it says stands beside it in numbers, so it is hidden from those who listen. */
function bar(pieces: readonly BarPiece[]): string {
  const shown = pieces.map(({ kind, share }) => {
    const width = Math.max(0, Math.min(100, share.valueOf() * 100));
    return element('span', { class: `piece ${kind}`, style: `width:${width.toFixed(2)}%` });
  });
  return element('span', { class: 'bar', 'aria-hidden': 'true' }, ...shown);
}

function gapText(lane: LaneTrial, pitch: number): string {
  if (lane.largestGap === undefined) return 'not measured';
  if (lane.largestGap <= pitch) return 'none';
  return `${(lane.largestGap / pitch).toFixed(2)} pitches`;
}

function exitTable({ layout, trial }: PageEntry): string {
  const { pitch, ticksPerSecond } = layout.catalog;
  const rows = trial.exits.flatMap((exit, index) => {
    const row = (name: string, lane: { readonly flow: Rational; readonly fill: Rational }, gap: string): string =>
      element(
        'tr',
        {},
        element('th', { scope: 'row' }, escaped(name)),
        number(perSecondText(lane.flow, ticksPerSecond)),
        number(perTickText(lane.flow)),
        cell(bar([{ kind: compare(lane.fill, ZERO) > 0 ? 'flow' : 'none', share: lane.fill }])),
        number(percent(lane.fill)),
        cell(escaped(gap)),
      );
    return [
      row(`${exitLetter(index)}: ${EDGE_WORD[exit.heading]} of ${tileText(exit.at)}`, exit, ''),
      row(sideWord('left', exit.heading), exit.left, gapText(exit.left, pitch)),
      row(sideWord('right', exit.heading), exit.right, gapText(exit.right, pitch)),
    ];
  });
  return table('What leaves', ['exit and lane', '>per second', '>per tick', '', '>full', 'largest gap'], rows);
}

function wagonTable({ layout, trial }: PageEntry): string {
  const { ticksPerSecond } = layout.catalog;
  const rows = (trial.wagons ?? []).map(({ at, inflow }, index) => {
    const isNever = compare(inflow, ZERO) === 0;
    const full = isNever ? 'never' : secondsText(layout.wagons[index].model.capacity / inflow.valueOf() / ticksPerSecond);
    return element('tr', {}, element('th', { scope: 'row' }, `from x = ${at}`), number(perSecondText(inflow, ticksPerSecond)), number(perTickText(inflow)), number(full));
  });
  return table('What gets into each wagon', ['wagon', '>per second', '>per tick', '>full in'], rows);
}

function entryTable({ layout, trial }: PageEntry): string {
  const { ticksPerSecond } = layout.catalog;
  const rows = (trial.entries ?? []).map((entry, index) =>
    element(
      'tr',
      {},
      element('th', { scope: 'row' }, escaped(`${entryNumber(index)}: ${EDGE_WORD[backOf(entry.heading)]} of ${tileText(entry.at)}`)),
      number(perSecondText(entry.flow, ticksPerSecond)),
      number(perTickText(entry.flow)),
      cell(bar([{ kind: compare(entry.share, ZERO) > 0 ? 'flow' : 'none', share: entry.share }])),
      number(percent(entry.share)),
    ),
  );
  return table('What comes in', ['entry', '>per second', '>per tick', '', '>of what is offered'], rows);
}

/** The share of time is the promise's; a plan that promises none is tried as if a wagon always stood there. */
const presenceOf = ({ result }: PageEntry): Rational => parseRational(result.at('presence').text() ?? '') ?? ONE;

function loadingChestTable(entry: PageEntry): string {
  const { layout, trial } = entry;
  const { ticksPerSecond } = layout.catalog;
  const presence = presenceOf(entry);
  const rows = trial.chests.flatMap((chest) => {
    const { at, loads } = chest;
    if (loads === undefined) return [];
    const { isGood, words } = loadVerdict(chest, presence);
    const share = loads.inflow.div(loads.carryOff);
    return [
      element(
        'tr',
        {},
        element('th', { scope: 'row' }, escaped(tileText(at))),
        number(perSecondText(loads.inflow, ticksPerSecond)),
        number(perSecondText(loads.carryOff, ticksPerSecond)),
        cell(bar([{ kind: isGood ? 'drain' : 'blocked', share }])),
        number(percent(share)),
        cell(words),
      ),
    ];
  });
  return table('How each chest fills', ['chest', '>filled', '>can be emptied', '', '>of that', ''], rows);
}

function endText(network: Network, end: ArmEnd): string {
  if (end.kind !== 'carrier') return end.kind;
  const { kind } = network.carriers[end.carrier];
  return kind === 'splitter-half' ? 'splitter' : kind;
}

function armTable({ layout, trial }: PageEntry): string {
  const network = deriveNetwork(layout);
  const rows = trial.arms.map((arm) => {
    const link = network.arms.find(({ part }) => {
      const placed = layout.parts[part];
      return placed.kind === 'arm' && placed.at.x === arm.at.x && placed.at.y === arm.at.y;
    });
    const { moving, blocked, starved } = arm.share;
    const way = link === undefined ? '' : `${endText(network, link.pick)} to ${endText(network, link.place)}`;
    return element(
      'tr',
      { 'data-at': `${arm.at.x},${arm.at.y}` },
      element('th', { scope: 'row' }, escaped(tileText(arm.at))),
      cell(escaped(way)),
      number(perSecondText(arm.flow, layout.catalog.ticksPerSecond)),
      cell(bar([{ kind: 'moving', share: moving }, { kind: 'blocked', share: blocked }, { kind: 'starved', share: starved }])),
      ...[moving, blocked, starved].map((share) => number(percent(share))),
    );
  });
  const note = freeArmsNote(network);
  return table('How each arm spends its time', ['arm', 'carries', '>per second', '', '>moving', '>blocked', '>starved'], rows) + noteParagraph(note);
}

function chestTable(entry: PageEntry): string {
  const { layout, trial } = entry;
  const { ticksPerSecond } = layout.catalog;
  const presence = presenceOf(entry);
  const rows = trial.chests.filter(drains).map((chest) => {
    const { isGood, words } = drainVerdict(chest, presence);
    const share = compare(chest.supply, ZERO) > 0 ? chest.outflow.div(chest.supply) : undefined;
    return element(
      'tr',
      {},
      element('th', { scope: 'row' }, escaped(tileText(chest.at))),
      number(perSecondText(chest.outflow, ticksPerSecond)),
      number(perSecondText(chest.supply, ticksPerSecond)),
      cell(share === undefined ? '' : bar([{ kind: isGood ? 'drain' : 'blocked', share }])),
      number(share === undefined ? '' : percent(share)),
      cell(words),
    );
  });
  return table('How each chest drains', ['chest', '>drained', '>can be filled', '', '>of that', ''], rows);
}

function presenceParagraph(entry: PageEntry): string {
  return noteParagraph(presenceNote(entry.trial, presenceOf(entry)));
}

const noteParagraph = (note: string | undefined): string => (note === undefined ? '' : element('p', { class: 'note' }, escaped(note)));

/** Letters that the picture has beside its arms. */
function billTable({ layout, trial }: PageEntry): string {
  const rows = billOf(layout).map(({ kind, model, count, cost }) => {
    const signs = kind === 'arm' ? signsOfModel(layout, kind, model) : '';
    return element('tr', {}, element('th', { scope: 'row' }, escaped(signs === '' ? model : `${model} (${signs})`)), cell(kind), number(String(count)), number(String(cost)));
  });
  const total = element('tr', {}, element('th', { scope: 'row' }, 'total'), cell(''), number(String(trial.parts)), number(String(trial.cost)));
  return table('What it is built of', ['model', 'part', '>pieces', '>cost'], [...rows, total]);
}

const button = (action: string, text: string): string => element('button', { type: 'button', 'data-action': action }, text);

const SPEEDS: readonly (readonly [value: string, text: string])[] = [
  ['0.1', '1/10'],
  ['0.25', '1/4'],
  ['1', 'real time'],
  ['4', 'times 4'],
  ['16', 'times 16'],
  ['64', 'times 64'],
];

/** Hidden until a script has the station ready. */
function controls({ trial, seed }: PageEntry): string {
  const starts = trial.worstStart > 0 && seed !== undefined
    ? element(
        'label',
        {},
        'start ',
        element('select', { 'data-action': 'start' }, element('option', { value: '0' }, 'standard'), element('option', { value: trial.worstStart }, `staggered ${trial.worstStart}, the worst`)),
      )
    : '';
  return element(
    'div',
    { class: 'controls', role: 'group', 'aria-label': 'Animation', hidden: true },
    button('run', 'Run'),
    button('step', 'Step'),
    button('reset', 'Reset'),
    element(
      'label',
      {},
      'speed ',
      element('select', { 'data-action': 'speed' }, ...SPEEDS.map(([value, text]) => element('option', { value, selected: value === '1' }, text))),
    ),
    starts,
    element(
      'span',
      { class: 'together' },
      element('input', { type: 'number', min: 0, max: 1_000_000, step: 1, value: 0, 'aria-label': 'tick to go to', 'data-action': 'tick' }),
      button('go', 'Go to tick'),
    ),
    element('label', {}, element('input', { type: 'checkbox', 'data-action': 'lines' }), ' flow'),
    element('output', { class: 'clock', 'data-show': 'clock' }),
  );
}

export function figureList(entry: PageEntry): string {
  const { trial } = entry;
  const figures: readonly (readonly [string, string])[] = [
    ['cost', String(trial.cost)],
    ['parts', String(trial.parts)],
    ['footprint', counted(trial.footprint, 'tile')],
    ['imbalance', compare(trial.imbalance, ZERO) === 0 ? '0, even' : trial.imbalance.valueOf().toPrecision(2)],
    ...trial.exits.map((exit, index): readonly [string, string] => [`exit ${exitLetter(index)}`, `${percent(exit.fill)} full`]),
  ];
  return element('dl', { class: 'figures' }, ...figures.map(([name, value]) => element('div', {}, element('dt', {}, escaped(name)), element('dd', {}, escaped(value)))));
}

/** What stands inside the section of a layout. */
export function detailHtml(entry: PageEntry, heading: string): string {
  const { layout, trial, flows } = entry;
  const picture = layoutSvg(layout, { flows, fills: trial.exits.map((exit) => exit.fill), details: true });
  return [
    element('h2', { id: 'detail-heading', tabindex: -1 }, escaped(heading)),
    figureList(entry),
    element(
      'div',
      { class: 'detail-columns' },
      element(
        'div',
        { class: 'stage' },
        element('div', { class: 'picture', 'data-show': 'picture' }, picture),
        controls(entry),
        element('div', { class: 'tapes', 'data-show': 'tapes' }),
        flowLegend(flows !== undefined),
      ),
      element(
        'div',
        { class: 'facts' },
        ...(entry.trial.entries === undefined ? [] : [entryTable(entry), wagonTable(entry)]),
        ...(entry.trial.exits.length === 0 && entry.trial.entries !== undefined ? [] : [exitTable(entry)]),
        armTable(entry),
        ...(entry.trial.chests.some(({ loads }) => loads !== undefined) ? [loadingChestTable(entry)] : []),
        ...(entry.trial.chests.length === 0 || entry.trial.chests.some(drains) ? [chestTable(entry)] : []),
        presenceParagraph(entry),
        element('h3', {}, 'How sure is this?'),
        ...proofWords(entry).map((sentence) => element('p', {}, escaped(sentence))),
        billTable(entry),
      ),
    ),
  ].join('');
}

const flowLegend = (hasFlows: boolean): string =>
  hasFlows
    ? element('p', { class: 'note' }, 'The wider a lane’s line, the more flows; a broken line has gaps, a thin whole one items that wait, none means that nothing moves. Point at a part to read its figures.')
    : '';
