/**
 * Trains at a station over time, as SVG: when one stands there, what wagons and chests hold, what leaves over each exit and
 * when it is starved, and how long each train stands. The page around it is `page/visit-page.ts`.
 */
import { secondsText } from '../numbers.js';
import { exitLetter } from '../labels.js';
import { tileText } from '../places.js';
import { exitCapacities, type VisitFinding } from '../visit-text.js';
import type { VisitSample } from '../../simulation/visit-result.js';
import { element, empty, escaped, rounded } from './markup.js';

const WIDTH = 940;
const LEFT = 132;
const RIGHT = 66;
const TOP = 26;
const PANEL = 58;
const GAP = 16;
const BAR = 16;
/** Trains whose dwells are drawn, at most. */
const MOST_BARS = 24;
const TICK_MARKS = 8;
/** Steps in which the flow over an exit is drawn, at most. */
const MOST_MEANS = 100;

/** A value over time, from 0 to `most`, with its own name and unit. */
interface Panel {
  readonly name: string;
  readonly ink: 'load' | 'level' | 'flow';
  readonly most: number;
  readonly mostText: string;
  /** Of each sample, or the mean of so many times between two of them. */
  readonly values: readonly number[];
  readonly meanOf: number | undefined;
  /** Stretches in which nothing has left for a second, as indices of samples. */
  readonly starved: readonly (readonly [from: number, to: number])[];
}

/** The stretches between samples at whose ends nothing had left over an exit for a second. */
function starvedStretches(samples: readonly VisitSample[], exit: number, ticksPerSecond: number): readonly (readonly [number, number])[] {
  const isStarved = samples.map(({ tick, exits }) => {
    const before = samples.findLast((other) => other.tick <= tick - ticksPerSecond);
    return before !== undefined && before.exits[exit] === exits[exit];
  });
  const stretches: (readonly [number, number])[] = [];
  for (let at = 1; at < samples.length; at++) {
    if (!isStarved[at]) continue;
    const last = stretches.at(-1);
    if (last?.[1] === at - 1) stretches[stretches.length - 1] = [last[0], at];
    else stretches.push([at - 1, at]);
  }
  return stretches;
}

function panelsOf({ layout, result: { samples, chests } }: VisitFinding): readonly Panel[] {
  const capacities = exitCapacities(layout);
  const { ticksPerSecond } = layout.catalog;
  const wagons = layout.wagons.map(({ model }, wagon): Panel => ({
    name: layout.wagons.length === 1 ? 'in the wagon' : `in wagon ${wagon + 1}`,
    ink: 'load',
    most: model.capacity,
    mostText: String(model.capacity),
    values: samples.map((sample) => sample.wagons[wagon]),
    meanOf: undefined,
    starved: [],
  }));
  const levels = chests.map(({ at, capacity }, chest): Panel => ({
    name: `chest ${tileText(at)}`,
    ink: 'level',
    most: capacity,
    mostText: String(capacity),
    values: samples.map((sample) => sample.chests[chest]),
    meanOf: undefined,
    starved: [],
  }));
  // Longer than arms take from hand to hand, which would be all that is seen.
  const meanOf = Math.ceil((samples.length - 1) / MOST_MEANS);
  const flows = layout.exits.map((_, exit): Panel => {
    const most = capacities[exit].valueOf() * ticksPerSecond;
    return {
      name: `exit ${exitLetter(exit)}`,
      ink: 'flow',
      most,
      mostText: `${most.toFixed(1)}/s`,
      values: Array.from({ length: Math.ceil((samples.length - 1) / meanOf) }, (_, step) => {
        const [from, to] = [samples[step * meanOf], samples[Math.min(samples.length - 1, (step + 1) * meanOf)]];
        return ((to.exits[exit] - from.exits[exit]) / Math.max(1, to.tick - from.tick)) * ticksPerSecond;
      }),
      meanOf,
      starved: starvedStretches(samples, exit, ticksPerSecond),
    };
  });
  return [...wagons, ...levels, ...flows];
}

/** 1, 2 or 5 times a power of ten: the least that gives no more than so many marks. */
function niceStep(span: number, marks: number): number {
  const least = span / marks;
  const power = 10 ** Math.floor(Math.log10(least));
  return power * ([1, 2, 5, 10].find((each) => each * power >= least) ?? 10);
}

/** `last`: index of the last sample. */
function panelMarkup(panel: Panel, top: number, last: number, x: (sample: number) => number): string {
  const scale = panel.most > 0 ? PANEL / panel.most : 0;
  const base = top + PANEL;
  const y = (value: number): number => rounded(base - Math.min(panel.most, Math.max(0, value)) * scale);
  const { values, meanOf } = panel;
  const point = (sample: number, value: number): string => `${rounded(x(sample))} ${y(value)}`;
  const points = values.flatMap((value, at): readonly string[] =>
    meanOf === undefined ? [point(at, value)] : [point(at * meanOf, value), point(Math.min(last, (at + 1) * meanOf), value)],
  );
  const area = `M${rounded(x(0))} ${base}L${points.join('L')}L${rounded(x(last))} ${base}Z`;
  const starved = panel.starved.map(([from, to]) => empty('rect', { class: 'starved', x: x(from), y: top, width: x(to) - x(from), height: PANEL }));
  return [
    ...starved,
    empty('path', { class: `area ${panel.ink}`, d: area }),
    empty('line', { class: 'most', x1: LEFT, y1: top, x2: WIDTH - RIGHT, y2: top }),
    empty('line', { class: 'base', x1: LEFT, y1: base, x2: WIDTH - RIGHT, y2: base }),
    element('text', { class: 'name', x: LEFT - 10, y: top + PANEL / 2 + 4, 'text-anchor': 'end' }, escaped(panel.name)),
    element('text', { x: WIDTH - RIGHT + 8, y: top + 4 }, escaped(panel.mostText)),
    element('text', { x: WIDTH - RIGHT + 8, y: base + 4 }, '0'),
  ].join('');
}

function dwellBars({ layout, result: { visits } }: VisitFinding, top: number): { readonly markup: string; readonly height: number } {
  const { ticksPerSecond } = layout.catalog;
  const shown = visits.filter(({ dwellTicks }) => dwellTicks !== undefined).slice(0, MOST_BARS);
  const longest = Math.max(1, ...shown.map(({ dwellTicks = 0 }) => dwellTicks));
  const room = WIDTH - RIGHT - LEFT - 150;
  const rows = shown.map(({ number, dwellTicks = 0 }, index) => {
    const y = top + 24 + index * (BAR + 4);
    const width = (dwellTicks / longest) * room;
    return [
      element('text', { class: 'name', x: LEFT - 10, y: y + 12, 'text-anchor': 'end' }, `train ${number}`),
      empty('rect', { class: 'dwell', x: LEFT, y, width, height: BAR }),
      element('text', { x: LEFT + width + 8, y: y + 12 }, escaped(`${dwellTicks} ticks (${secondsText(dwellTicks / ticksPerSecond)})`)),
    ].join('');
  });
  const more = visits.length - shown.length;
  const words = `How long each train stands${more > 0 ? ` (${shown.length} of ${visits.length})` : ''}`;
  return { markup: element('text', { class: 'head', x: LEFT, y: top + 10 }, escaped(words)) + rows.join(''), height: 24 + shown.length * (BAR + 4) };
}

/** Needs samples of two moments at least. */
export function visitDrawing(finding: VisitFinding): { readonly markup: string; readonly width: number; readonly height: number } {
  const { layout, result } = finding;
  const { samples } = result;
  const { ticksPerSecond } = layout.catalog;
  const [from, to] = [samples[0].tick, samples[samples.length - 1].tick];
  const xOf = (tick: number): number => LEFT + ((tick - from) / Math.max(1, to - from)) * (WIDTH - RIGHT - LEFT);
  const x = (sample: number): number => xOf(samples[sample].tick);
  const panels = panelsOf(finding);
  const bottom = TOP + panels.length * (PANEL + GAP) - GAP;
  const trains = result.visits.flatMap(({ number, arrivedTick, dwellTicks }) => {
    const [start, end] = [Math.max(from, arrivedTick), Math.min(to, dwellTicks === undefined ? to : arrivedTick + dwellTicks)];
    if (start >= end) return [];
    return [
      empty('rect', { class: 'train', x: xOf(start), y: TOP, width: xOf(end) - xOf(start), height: bottom - TOP }),
      xOf(end) - xOf(start) < 48 ? '' : element('text', { x: xOf(start) + 4, y: TOP - 8 }, `train ${number}`),
    ];
  });
  const step = niceStep((to - from) / ticksPerSecond, TICK_MARKS);
  const marks = Array.from({ length: Math.floor((to - from) / ticksPerSecond / step) + 1 }, (_, mark) => {
    const at = xOf(from + mark * step * ticksPerSecond);
    return empty('line', { class: 'grid', x1: at, y1: TOP, x2: at, y2: bottom + 5 }) + element('text', { x: at, y: bottom + 20, 'text-anchor': 'middle' }, `${rounded(mark * step)} s`);
  });
  const bars = dwellBars(finding, bottom + 46);
  const height = bottom + 46 + bars.height + 12;
  const hatch = element('pattern', { id: 'starved', width: 6, height: 6, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' }, empty('rect', { class: 'hatch', width: 2.5, height: 6 }));
  return {
    width: WIDTH,
    height,
    markup: [element('defs', {}, hatch), element('text', { x: LEFT - 24, y: bottom + 20, 'text-anchor': 'end' }, from === 0 ? 'time' : `from tick ${from}`), ...trains, ...marks, ...panels.map((panel, index) => panelMarkup(panel, TOP + index * (PANEL + GAP), samples.length - 1, x)), bars.markup].join(''),
  };
}

export const VISIT_STYLE = `
.visit text{font:12px system-ui,sans-serif;fill:var(--faint)}
.visit .name,.visit .head{fill:var(--ink);font-weight:600}
.visit .train{fill:var(--mark);opacity:.13}
.visit .grid{stroke:var(--edge);stroke-width:.6}
.visit .base{stroke:var(--faint)}
.visit .most{stroke:var(--faint);stroke-dasharray:2 4}
.visit .area{opacity:.85}
.visit .load{fill:var(--mark)}
.visit .level{fill:var(--drain)}
.visit .flow{fill:var(--flow)}
.visit .hatch{fill:var(--blocked)}
.visit .starved{fill:url(#starved)}
.visit .dwell{fill:var(--mark)}
`.trim();

export const VISIT_LABEL = 'Trains at the station over time: what wagons and chests hold, what leaves over the exits, and how long each train stands.';
