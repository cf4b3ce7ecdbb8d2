/**
 * Why a station gives less than it might, in words and as JSON: causes that add up to what is missing, and the single
 * changes that were tried and help most.
 */
import type { Barrier, Cause, Culprit, ExitWhy, FailingChests, TriedChange, WhyResult } from '../audit/cause.js';
import type { Tile } from '../base/geometry.js';
import { compare, formatRational, ZERO, type Rational } from '../base/rational.js';
import { layoutCost, tilesOf, type Layout, type Part } from '../layout/layout.js';
import type { Change } from '../layout/single-change.js';
import { styled, type Style } from './canvas.js';
import { failureWords } from './chest-words.js';
import { article, exitLetter, startWords } from './labels.js';
import { counted, percent, perSecondNumber, perSecondText, perTickText } from './numbers.js';
import { EDGE_WORD, tileText } from './places.js';
import { firstThatFits, lineWidth, tabulate, titleLines, wrap } from './table.js';
import { present, type JsonObject } from './trial-json.js';

/** As wide as is easy to read, and no wider than the terminal; files and pipes get it whole. */
export const paragraph = (text: string, style: Style, indent = 0): readonly string[] => wrap(text, lineWidth(style), indent);

/** What stands on a tile: "the field belt at [2, 3]". */
export function standing(layout: Layout, at: Tile): string {
  const part = layout.parts.find((each) => tilesOf(each).some((tile) => tile.x === at.x && tile.y === at.y));
  return `${part === undefined ? 'the tile' : `the ${part.model.name}`} at ${tileText(at)}`;
}

function barrierWords(layout: Layout, { kind, at }: Barrier): string {
  switch (kind) {
    case 'tee':
      return `behind the tee merge onto ${standing(layout, at)}`;
    case 'splitter':
      return `before the line of ${standing(layout, at)}`;
    case 'exit': {
      const take = layout.exits.find((exit) => exit.at.x === at.x && exit.at.y === at.y)?.take;
      const most = take === undefined ? '' : `, which takes ${perSecondText(take, layout.catalog.ticksPerSecond)} at most`;
      return `on the way to the exit of ${tileText(at)}${most}`;
    }
    case 'end':
      return `on the way that ends at ${tileText(at)}`;
    case 'ring':
      return `in the ring through ${tileText(at)}`;
  }
}

function culpritWords(layout: Layout, culprit: Culprit): string {
  switch (culprit.kind) {
    case 'arm': {
      const arm = standing(layout, culprit.at);
      switch (culprit.doing) {
        case 'working':
          return `${arm} was busy: swinging, grabbing or putting down`;
        case 'blocked':
          return `${arm} was blocked: no room on ${standing(layout, culprit.onto)}, ${barrierWords(layout, culprit.ahead)}`;
        case 'starved':
          return `${arm} was starved: nothing there to pick`;
      }
      break;
    }
    case 'wait':
      return `items stood ${barrierWords(layout, culprit.before)}`;
    case 'slow':
      return `${standing(layout, culprit.at)} is slower than the belt at the exit`;
    case 'nothing':
      return 'nothing ever comes over this lane';
  }
}

const partWords = (part: Part): string => `the ${part.model.name} at ${tileText(tilesOf(part)[0])}`;

function placing(part: Part): string {
  const what = article(part.model.name);
  if (part.kind === 'underpass') return `${what} from ${tileText(part.from)} to ${tileText(part.to)}`;
  return `${what} at ${tilesOf(part).map(tileText).join(' and ')}${'heading' in part ? `, heading ${EDGE_WORD[part.heading]}` : ''}`;
}

export function changeWords(change: Change): string {
  switch (change.kind) {
    case 'remove':
      return `remove ${partWords(change.part)}`;
    case 'turn':
      return `turn ${partWords(change.part)} to the ${EDGE_WORD[change.heading]}`;
    case 'swap':
      return `put ${article(change.model)} in the place of ${partWords(change.part)}`;
    case 'add':
      return `add ${placing(change.part)}`;
    case 'divide':
      return `put ${placing(change.part)}, in the place of ${change.instead.map(partWords).join(' and ')}`;
    case 'admit':
      return `let the entry at ${tileText(change.at)}, heading ${EDGE_WORD[change.heading]}, give all that fits`;
    case 'open':
      return `let the exit over the ${EDGE_WORD[change.heading]} edge of ${tileText(change.at)} take all that comes`;
  }
}

const whileWords = ({ longest }: Cause): string =>
  longest === undefined ? '' : `longest ${counted(longest.to - longest.from, 'tick')}, from tick ${longest.from} on`;

function exitLines({ layout }: WhyResult, exit: ExitWhy, index: number, style: Style): readonly string[] {
  const { ticksPerSecond } = layout.catalog;
  const rate = (value: Rational): string => perSecondText(value, ticksPerSecond);
  const dim = (text: string): string => styled(style, 'dim', text);
  const head = `Exit ${exitLetter(index)}, over the ${EDGE_WORD[exit.heading]} edge of ${tileText(exit.at)}, gives ${rate(exit.flow)} of ${rate(exit.target)}`;
  if (compare(exit.shortfall, ZERO) === 0) return paragraph(`${head}: ${styled(style, 'good', 'nothing is missing')}.`, style);
  const rows = exit.causes.map((cause) => [
    rate(cause.missing),
    percent(cause.missing.div(exit.shortfall)),
    `${cause.side} lane`,
    styled(style, 'plain', culpritWords(layout, cause.culprit)),
    dim(whileWords(cause)),
  ]);
  return [
    ...paragraph(`${head}: ${styled(style, 'bad', `${rate(exit.shortfall)} are missing`)}, ${perTickText(exit.shortfall)} items per tick.`, style),
    ...firstThatFits(style.columns, [
      () => tabulate(rows, ['right', 'right', 'left', 'left', 'left']),
      () => tabulate(rows.map((row) => row.slice(0, -1)), ['right', 'right', 'left', 'left']),
      () => rows.flatMap(([missing, share, lane, words]) => paragraph(`${missing} (${share.trim()}), ${lane}: ${words}`, style, 2)),
    ]),
  ];
}

export function failingLines({ layout, drying, filling }: Pick<WhyResult, 'layout' | keyof FailingChests>, style: Style): readonly string[] {
  const rate = (value: Rational): string => perSecondText(value, layout.catalog.ticksPerSecond);
  const failing = (chest: FailingChests[keyof FailingChests][number], what: string): string =>
    styled(style, 'bad', `${standing(layout, chest.at).replace('the', 'The')} ${failureWords(what, chest.fromStart)}`);
  const lines = [
    ...filling.map((chest) => `${failing(chest, 'fills up')}: ${rate(chest.inflow)} come in, ${rate(chest.carryOff)} can be carried off, so this flow lasts only while there is room.`),
    ...drying.map((chest) => `${failing(chest, 'runs dry')}: ${rate(chest.outflow)} leave it, ${rate(chest.supply)} can come in, so this flow lasts only while there is stock.`),
  ];
  return lines.length === 0 ? [] : ['', ...lines.flatMap((line) => paragraph(line, style))];
}

export function changeLines({ layout, changes, tried, untried }: Pick<WhyResult, 'layout' | 'changes' | 'tried' | 'untried'>, style: Style, heading = 'What would give most'): readonly string[] {
  if (tried + untried === 0) return [];
  const { ticksPerSecond } = layout.catalog;
  const rest = untried === 0 ? '' : `; ${untried} more could not be settled in time`;
  const count = `${counted(tried, 'single change')} tried${rest}`;
  if (changes.length === 0) return ['', ...paragraph(`No single change${untried === 0 ? '' : ' that was tried'} gives more (${count}).`, style)];
  const rows = changes.map(({ change, gain, cost, chestsKeepUp }) => {
    const more = cost - layoutCost(layout);
    return [
      styled(style, 'good', `+${perSecondText(gain, ticksPerSecond)}`),
      changeWords(change),
      `cost ${more < 0 ? '-' : '+'}${Math.abs(more)}`,
      chestsKeepUp ? '' : styled(style, 'warn', 'but a chest does not keep up'),
    ];
  });
  return [
    '',
    ...paragraph(`${heading}, from every start (${count}, each simulated):`, style),
    ...firstThatFits(style.columns, [
      () => tabulate(rows, ['right', 'left', 'right', 'left']),
      () => rows.flatMap(([more, words, price, but]) => paragraph(`${more}, ${price}: ${words}${but === '' ? '' : `, ${but}`}`, style, 2)),
    ]),
  ];
}

/** Which run the numbers are of. */
export function runWords({ exact, ticks, starts, worstStart }: Pick<WhyResult, 'exact' | 'ticks' | 'starts' | 'worstStart'>): string {
  const span = exact ? `the period of ${counted(ticks, 'tick')}, exactly` : `${counted(ticks, 'tick')} only, so the numbers are measured and not exact`;
  return `From ${startWords(worstStart)}${starts === 1 ? '' : `, the worst of ${starts}`}, over ${span}.`;
}

export function whyText(why: WhyResult, style: Style, quiet = false): readonly string[] {
  const { layout, exits } = why;
  const nothing = exits.length === 0 ? ['No belt leads over any exit, so nothing can leave.'] : [];
  const lines = exits.flatMap((exit) => exitLines(why, exit, layout.exits.findIndex((other) => other.at === exit.at && other.heading === exit.heading), style));
  if (quiet) return [...nothing, ...lines];
  return [
    ...titleLines(layout.name, style),
    ...paragraph(`Each missing item, followed back to what held it up. ${runWords(why)}`, style),
    '',
    ...nothing,
    ...lines,
    ...failingLines(why, style),
    ...changeLines(why, style),
  ];
}

function partJson(part: Part): JsonObject {
  const [at, other] = tilesOf(part).map(({ x, y }) => [x, y]);
  return { kind: part.kind, model: part.model.name, ...(part.kind === 'underpass' ? { from: at, to: other } : { at }) };
}

function changeJson(change: Change): JsonObject {
  if (change.kind === 'open' || change.kind === 'admit') return { kind: change.kind, at: [change.at.x, change.at.y], heading: change.heading };
  const part = partJson(change.part);
  if (change.kind === 'turn') return { kind: 'turn', part, heading: change.heading };
  if (change.kind === 'swap') return { kind: 'swap', part, model: change.model };
  if (change.kind === 'remove') return { kind: 'remove', part };
  const placed = 'heading' in change.part ? { ...part, heading: change.part.heading } : part;
  return change.kind === 'add' ? { kind: 'add', part: placed } : { kind: 'divide', part: placed, instead: change.instead.map(partJson) };
}

export const failingJson = ({ drying, filling }: FailingChests): JsonObject => ({
  filling: filling.map(({ at, inflow, carryOff, fromStart }) => present({ at: [at.x, at.y], inflow: formatRational(inflow), carryOff: formatRational(carryOff), fromStart })),
  drying: drying.map(({ at, outflow, supply, fromStart }) => present({ at: [at.x, at.y], outflow: formatRational(outflow), supply: formatRational(supply), fromStart })),
});

export const changesJson = ({ layout, changes, tried, untried }: Pick<WhyResult, 'layout' | 'changes' | 'tried' | 'untried'>): JsonObject => ({
  changes: changes.map((each: TriedChange) => ({
    change: changeJson(each.change),
    gain: formatRational(each.gain),
    perSecond: perSecondNumber(each.gain, layout.catalog.ticksPerSecond),
    cost: each.cost,
    chestsKeepUp: each.chestsKeepUp,
    words: changeWords(each.change),
  })),
  tried,
  untried,
});

/** The run in which causes were looked for, and what it gives in all. */
export const runJson = ({ layout, exact, ticks, worstStart, starts, together }: Pick<WhyResult, 'layout' | 'exact' | 'ticks' | 'worstStart' | 'starts' | 'together'>): JsonObject => ({
  name: layout.name,
  exact,
  ticks,
  worstStart,
  starts,
  together: { flow: formatRational(together), perSecond: perSecondNumber(together, layout.catalog.ticksPerSecond) },
});

export function whyJson(why: WhyResult): JsonObject {
  const { layout, exits } = why;
  const { ticksPerSecond } = layout.catalog;
  const per = (value: Rational): number => perSecondNumber(value, ticksPerSecond);
  const tile = ({ x, y }: Tile): readonly number[] => [x, y];
  const barrier = (found: Barrier): JsonObject => ({ kind: found.kind, at: tile(found.at) });
  const culprit = (found: Culprit): JsonObject => {
    switch (found.kind) {
      case 'arm':
        return { kind: 'arm', at: tile(found.at), doing: found.doing, ...(found.doing === 'blocked' ? { onto: tile(found.onto), ahead: barrier(found.ahead) } : {}) };
      case 'wait':
        return { kind: 'wait', before: barrier(found.before) };
      case 'slow':
        return { kind: 'slow', at: tile(found.at) };
      case 'nothing':
        return { kind: 'nothing' };
    }
  };
  return present({
    ...runJson(why),
    exits: exits.map(({ at, heading, flow, target, shortfall, causes }) => ({
      at: [at.x, at.y],
      heading,
      flow: formatRational(flow),
      target: formatRational(target),
      missing: formatRational(shortfall),
      perSecond: per(shortfall),
      causes: causes.map((cause) =>
        present({
          ...culprit(cause.culprit),
          lane: cause.side,
          missing: formatRational(cause.missing),
          perSecond: per(cause.missing),
          longest: cause.longest && { from: cause.longest.from, to: cause.longest.to },
          words: culpritWords(layout, cause.culprit),
        }),
      ),
    })),
    ...failingJson(why),
    ...changesJson(why),
  });
}
