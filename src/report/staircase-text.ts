/**
 * A staircase for a reader at a terminal: its steps as a table and as a picture, and in words what the last of the fill
 * costs, or what more of the site brings. Its JSON is in `staircase-json.ts`.
 */
import { formatRational, isLess, ratio, type Rational } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import { partCount } from '../layout/layout.js';
import type { StopCause } from '../synthesis/outcome.js';
import type { FillStaircase, FillStep, Size, SizeStaircase, SizeStep, Staircase } from '../synthesis/choices/staircase-outcome.js';
import { shareBar } from './bars.js';
import { styled, type Style } from './canvas.js';
import { STOPPED } from './design-text.js';
import { counted, percent } from './numbers.js';
import { fittingTable, proseWidth, titleLines, wrap, type Table } from './table.js';

const BAR = 24;
const PICTURE_WIDTH = 56;
/** The last of the fill, whose price is told in words. */
const LAST = ratio(3, 100);

/** "66.7 % (2/3)"; a round share needs no fraction beside it. */
export function fillText(fill: Rational): string {
  const isRound = 1000n % fill.d === 0n;
  return isRound ? percent(fill) : `${percent(fill)} (${formatRational(fill)})`;
}

/** What one run of a staircase is asked for. */
export const fillAskedText = (fill: Rational, exceed: boolean): string => `fill ${exceed ? 'above ' : ''}${fillText(fill)}`;

export const sizeAskedText = (over: Size, size: number | undefined): string =>
  over !== 'arms' ? `${over} ${size}` : size === undefined ? 'any number of arms' : `at most ${counted(size, 'arm')}`;

const proofText = ({ cost, bound, proven }: Pick<FillStep, 'cost' | 'bound' | 'proven'>): string => {
  if (proven) return 'proven';
  return bound < cost ? `not proven: at least ${bound}` : 'cost proven, its end not';
};

const stoppedText = (stoppedBy: StopCause): string => `${STOPPED[stoppedBy]} before more was known`;

// ---------------------------------------------------------------- fill

/** The step whose station gives a fill. */
const stepAt = ({ steps }: FillStaircase, fill: Rational): FillStep | undefined =>
  steps.find(({ above, upTo }, index) => !isLess(upTo, fill) && (isLess(above, fill) || (index === 0 && !isLess(fill, above))));

/** What the last per cents up to the end cost, as far as they lie within the steps. */
function lastWords(staircase: FillStaircase): readonly string[] {
  const last = staircase.steps.at(-1);
  if (last === undefined || staircase.end.kind === 'open') return [];
  const top = isLess(staircase.to, last.upTo) ? staircase.to : last.upTo;
  const before = stepAt(staircase, top.sub(LAST));
  if (before === undefined) return [];
  const known = before.proven && last.proven ? '' : ', as far as is known';
  const rise = last.cost - before.cost;
  const share = percent(ratio(rise, before.cost === 0 ? 1 : before.cost));
  return [
    rise === 0
      ? `The last three per cent, from ${percent(top.sub(LAST))} to ${percent(top)}, cost nothing: one station of cost ${last.cost} gives both${known}.`
      : `The last three per cent, from ${percent(top.sub(LAST))} to ${percent(top)}, cost ${rise}: ${last.cost} instead of ${before.cost}, ${share} more${known}.`,
  ];
}

function endWords({ steps, end, from, to }: FillStaircase): readonly string[] {
  const last = steps.at(-1);
  switch (end.kind) {
    case 'reached':
      return isLess(to, ratio(1)) ? [] : ['The last step is saturated: more can\'t be asked for.'];
    case 'none-above':
      return [last === undefined ? `No station gives ${fillText(from)}.` : `No station that keeps to the brief gives more than ${fillText(last.upTo)}: proven.`];
    case 'open': {
      const beyond = last === undefined ? `of a fill of ${fillText(from)}` : `that gives more than ${fillText(last.upTo)}`;
      return [`What lies beyond is not known: ${stoppedText(end.stoppedBy)}. Any station ${beyond} costs at least ${end.bound}.`];
    }
  }
}

/** Costs as levels, fills from left to right; levels are not to scale. */
function picture({ steps, from, to }: FillStaircase, style: Style): readonly string[] {
  if (steps.length < 2) return [];
  const span = to.sub(from);
  const label = Math.max(...steps.map(({ cost }) => String(cost).length));
  const width = Math.min(PICTURE_WIDTH, (style.columns ?? Infinity) - label - 4);
  const column = (fill: Rational): number => Math.max(0, Math.min(width, Math.round(fill.sub(from).div(span).valueOf() * width)));
  const rows = [...steps].reverse().map(({ above, upTo, cost, proven }) => {
    const start = column(above);
    const line = (proven ? '━' : '╍').repeat(Math.max(1, column(upTo) - start));
    return `  ${styled(style, 'plain', String(cost).padStart(label))} ${styled(style, 'dim', '│')}${' '.repeat(start)}${styled(style, proven ? 'good' : 'warn', line)}`;
  });
  const axis = `  ${' '.repeat(label)} ${styled(style, 'dim', `└${'─'.repeat(width)}`)}`;
  const ends = `  ${' '.repeat(label)}  ${percent(from)}${percent(to).padStart(width - percent(from).length)}`;
  return [...rows, axis, styled(style, 'dim', ends), ''];
}

function fillTable({ steps }: FillStaircase, style: Style): readonly string[] {
  if (steps.length === 0) return [];
  const heads = ['fill', 'up to', 'cost', 'more', 'parts', ''].map((word) => styled(style, 'dim', word));
  const rows = steps.map((step, index) => [
    `${index === 0 ? 'from' : 'above'} ${fillText(step.above)}`,
    fillText(step.upTo),
    String(step.cost),
    index === 0 ? '' : `+${step.cost - steps[index - 1].cost}`,
    counted(partCount(step.outcome.layout), 'part'),
    styled(style, step.proven ? 'dim' : 'warn', proofText(step)),
  ]);
  const table: Table = { heads, rows, align: ['left', 'left', 'right', 'right', 'right', 'left'], told: ['', 'up to', 'cost', 'more', '', ''] };
  return [...fittingTable(style, table), ''];
}

const askedWords = ({ asked }: FillStaircase, { exits, together, load }: Brief): readonly string[] => {
  if (load !== undefined && load.entries.length > 1) {
    return [`All targets are raised and lowered by one factor. The fill is the share of what belts bring where the brief asks most; there it asks for ${fillText(asked)}.`];
  }
  const several = exits.length > 1 || together !== undefined || exits.some(({ target: { left, right } }) => left.n > 0n || right.n > 0n);
  return several
    ? [`All targets are raised and lowered by one factor. The fill is that of the exit or lane of which the brief asks most; there it asks for ${fillText(asked)}.`]
    : [`The brief itself asks for ${fillText(asked)}.`];
};

// ---------------------------------------------------------------- sizes

const UNIT: Readonly<Record<Size, string>> = { depth: 'row', width: 'column', arms: 'arm' };

const least = (steps: readonly SizeStep[]): Extract<SizeStep, { kind: 'found' }> | undefined =>
  steps.reduce<Extract<SizeStep, { kind: 'found' }> | undefined>((best, step) => (step.kind === 'found' && (best === undefined || step.cost < best.cost) ? step : best), undefined);

function sizeTable({ over, steps, asked }: SizeStaircase, style: Style): readonly string[] {
  const costs = steps.flatMap((step) => (step.kind === 'found' ? [step.cost] : []));
  const most = Math.max(1, ...costs);
  // Of sizes that are too small, the last says all.
  const shown = steps.filter((step, index) => step.kind !== 'none' || steps.at(index + 1)?.kind !== 'none');
  const heads = [over, 'cost', '', ''].map((word) => styled(style, 'dim', word));
  const rows = shown.map((step) => {
    const size = `${step.size === undefined ? '' : counted(step.size, UNIT[over])}${step.size === asked ? ' (as asked)' : ''}`;
    switch (step.kind) {
      case 'none':
        return [over === 'arms' ? `${size} or fewer` : step.size > 1 && shown[0] === step ? `${size} or fewer` : size, '', '', styled(style, 'dim', 'no station: proven')];
      case 'open':
        return [size, '', '', styled(style, 'warn', `not known: ${STOPPED[step.stoppedBy]}; at least ${step.bound}`)];
      case 'found':
        return [size, String(step.cost), shareBar(ratio(step.cost, most), BAR, 'good', style), styled(style, step.proven ? 'dim' : 'warn', proofText(step))];
    }
  });
  const full: Table = { heads, rows, align: ['left', 'right', 'left', 'left'] };
  const withoutBars: Table = { heads: heads.slice(0, 3), rows: rows.map(([size, cost, , proof]) => [size, cost, proof]), align: ['left', 'right', 'left'], told: ['', 'cost', ''] };
  return [...fittingTable(style, full, withoutBars), ''];
}

function sizeWords({ over, steps, end }: SizeStaircase): readonly string[] {
  const best = least(steps);
  if (best === undefined) return [steps.some(({ kind }) => kind === 'open') ? 'No station was found.' : 'There is no station of any of these.'];
  const found = `${end === 'stopped' ? 'The cheapest that is known' : 'The cheapest'} has ${counted(best.size, UNIT[over])}, at a cost of ${best.cost}.`;
  const most = steps.at(-1)?.size ?? best.size;
  switch (end) {
    case 'proven':
      return [`${found} More ${UNIT[over]}s bring nothing cheaper: proven.`];
    case 'tried':
      return [`${found} All up to ${counted(most, UNIT[over])} were tried, and more of them bring nothing cheaper; what lies beyond was not looked at.`];
    case 'cut':
      return [found];
    case 'stopped':
      return [`${found} Not all is proven.`];
  }
}

const sizeNotes: Readonly<Record<Size, string>> = {
  depth: 'Cost by the depth of the site; exits and entries over the south edge move with it.',
  width: 'Cost by the width of the site; exits and entries over the east edge move with it.',
  arms: 'Cost by the number of arms allowed. A step goes on up to the next one.',
};

// ---------------------------------------------------------------- both

/** One step as it is found, for a reader who waits. */
export function stepLine(step: FillStep | SizeStep): string {
  if (!('kind' in step)) return `up to ${fillText(step.upTo)}: cost ${step.cost}, ${proofText(step)}`;
  const size = step.size === undefined ? 'any number' : String(step.size);
  switch (step.kind) {
    case 'found':
      return `${size}: cost ${step.cost}, ${proofText(step)}`;
    case 'none':
      return `${size}: no station`;
    case 'open':
      return `${size}: not known, at least ${step.bound}`;
  }
}

/** The verdict alone, for `--quiet`. */
export function staircaseVerdict(staircase: Staircase, style: Style): readonly string[] {
  const words = staircase.over === 'fill' ? [...lastWords(staircase), ...endWords(staircase)] : sizeWords(staircase);
  return words.flatMap((text) => wrap(text, proseWidth(style), 0)).map((line) => styled(style, 'plain', line));
}

export function staircaseText(brief: Brief, staircase: Staircase, style: Style): readonly string[] {
  const lead = staircase.over === 'fill' ? askedWords(staircase, brief) : [sizeNotes[staircase.over]];
  const body = staircase.over === 'fill' ? [...fillTable(staircase, style), ...picture(staircase, style)] : sizeTable(staircase, style);
  return [
    ...titleLines(brief.name, style),
    ...lead.flatMap((text) => wrap(text, proseWidth(style), 0)).map((line) => styled(style, 'dim', line)),
    '',
    ...body,
    ...staircaseVerdict(staircase, style),
  ];
}
