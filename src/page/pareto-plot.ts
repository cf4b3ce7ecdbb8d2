/**
 * The plot of a list in two of its objectives, as SVG text. Scales, ticks and the step line of the front are d3's. Who
 * listens to the dots is `overview.ts`.
 */
import { scaleLinear } from 'd3-scale';
import { curveStepAfter, line, symbol, symbolCircle, symbolDiamond } from 'd3-shape';
import { element, empty, escaped } from '../report/svg/markup.js';

export interface PlotPoint {
  /** Index into the list. */
  readonly entry: number;
  readonly x: number;
  readonly y: number;
  /** What stands in the dot, and what it says to those who listen. */
  readonly label: string;
  readonly words: string;
}

/** An objective along one side of the plot. */
export interface PlotAxis {
  readonly name: string;
  /** Whether more of it is better. */
  readonly betterGreater: boolean;
  /** Whether its values are shares, to be shown in per cent; none is above 1. */
  readonly isShare: boolean;
}

interface PlotOptions {
  readonly across: PlotAxis;
  readonly up: PlotAxis;
  readonly knee: number | undefined;
  readonly selected: number;
  /** Pixels that there is room for. */
  readonly width: number;
}

const LEAST_WIDTH = 300;
const MARGIN = { left: 64, right: 24, top: 18, bottom: 52 };
/** Pixels across a dot, with what keeps it apart from the next. */
const DOT = 17;

/** Where dots may go that would hide each other: their own place first, then rings round it. */
const PLACES: readonly (readonly [number, number])[] = [0, 1, 2, 3].flatMap((ring) =>
  Array.from({ length: Math.max(1, ring * 6) }, (_, index): readonly [number, number] => {
    const angle = (index / Math.max(1, ring * 6)) * 2 * Math.PI;
    return [ring * DOT * Math.cos(angle), ring * DOT * Math.sin(angle)];
  }),
);

interface Spot {
  readonly x: number;
  readonly y: number;
}

/** A place for each dot, as near as may be to its own, where no earlier one is; where all are taken, its own. */
export function spread(dots: readonly Spot[]): readonly Spot[] {
  const taken: Spot[] = [];
  for (const { x, y } of dots) {
    const free = PLACES.find(([dx, dy]) => taken.every((other) => Math.hypot(other.x - x - dx, other.y - y - dy) >= DOT - 0.5));
    const [dx, dy] = free ?? [0, 0];
    taken.push({ x: x + dx, y: y + dy });
  }
  return taken;
}

type Sense = Pick<PlotAxis, 'betterGreater'>;

/** Those that no other beats in both; of equals, all. The best in x first. */
export function frontOf(points: readonly PlotPoint[], across: Sense, up: Sense): readonly PlotPoint[] {
  const [xSign, ySign] = [across, up].map(({ betterGreater }) => (betterGreater ? -1 : 1));
  const worseX = (a: PlotPoint, b: PlotPoint): number => xSign * (a.x - b.x);
  const worseY = (a: PlotPoint, b: PlotPoint): number => ySign * (a.y - b.y);
  const beats = (a: PlotPoint, b: PlotPoint): boolean => worseX(a, b) <= 0 && worseY(a, b) <= 0 && (worseX(a, b) < 0 || worseY(a, b) < 0);
  return points.filter((point) => !points.some((other) => beats(other, point))).sort((a, b) => worseX(a, b) || a.entry - b.entry);
}

/** "Left and low is better." */
export const betterWords = (across: Sense, up: Sense): string => `${across.betterGreater ? 'Right' : 'Left'} and ${up.betterGreater ? 'high' : 'low'} is better.`;

/** From left to right, then from below: the order in which keys go through the dots. */
export const inPlotOrder = (points: readonly PlotPoint[]): readonly PlotPoint[] =>
  [...points].sort((a, b) => a.x - b.x || a.y - b.y || a.entry - b.entry);

/** A little wider than the values, and never of no width. */
function domain(values: readonly number[], { isShare }: PlotAxis): readonly [number, number] {
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const room = most > least ? (most - least) * 0.06 : Math.max(Math.abs(least) * 0.1, 0.001);
  return [least >= 0 && least - room < 0 ? 0 : least - room, isShare ? Math.min(1, most + room) : most + room];
}

/** Where values stand along one side, and what is written there; whole numbers have whole ones between them. */
function axis(values: readonly number[], side: PlotAxis, range: readonly [number, number], count: number) {
  const scale = scaleLinear(domain(values, side), range).nice(count);
  const wholeOnly = values.every(Number.isInteger);
  const format = scale.tickFormat(count, side.isShare ? '%' : undefined);
  const ticks = scale.ticks(count).filter((tick) => !wholeOnly || Number.isInteger(tick));
  return { scale, ticks: ticks.map((tick) => ({ at: scale(tick), text: format(tick) })) };
}

/** The plot as an `svg` element; dots carry `data-entry`, in the order of `inPlotOrder`. */
export function plotSvg(points: readonly PlotPoint[], { across, up, knee, selected, width: room }: PlotOptions): string {
  const width = Math.max(LEAST_WIDTH, Math.round(room));
  const height = Math.max(270, Math.min(400, Math.round(width * 0.62)));
  const floor = height - MARGIN.bottom;
  const xAxis = axis(points.map((point) => point.x), across, [MARGIN.left, width - MARGIN.right], Math.max(3, Math.min(7, Math.floor(width / 90))));
  const yAxis = axis(points.map((point) => point.y), up, [floor, MARGIN.top], 5);
  const [x, y] = [xAxis.scale, yAxis.scale];
  const xTicks = xAxis.ticks.map(
    ({ at, text }) =>
      empty('path', { class: 'grid', d: `M${at} ${MARGIN.top}V${floor}` }) + element('text', { x: at, y: floor + 18, 'text-anchor': 'middle' }, text),
  );
  const yTicks = yAxis.ticks.map(
    ({ at, text }) =>
      empty('path', { class: 'grid', d: `M${MARGIN.left} ${at}H${width - MARGIN.right}` }) +
      element('text', { x: MARGIN.left - 8, y: at + 4, 'text-anchor': 'end' }, text),
  );
  const front = frontOf(points, across, up);
  const best = new Set(front.map((point) => point.entry));
  const corners = front.map((point): [number, number] => [x(point.x), y(point.y)]);
  const [first, last] = [corners[0], corners[corners.length - 1]];
  // Nothing is known of what is better still: the line goes on to where either objective is worst.
  const [worstX, worstY] = [across.betterGreater ? MARGIN.left : width - MARGIN.right, up.betterGreater ? floor : MARGIN.top];
  const steps = line().curve(curveStepAfter)([[first[0], worstY], ...corners, [worstX, last[1]]]);
  const order = inPlotOrder(points);
  const places = order.map((point) => ({ x: x(point.x), y: y(point.y) }));
  const spots = spread(places);
  const dots = order.map((point, rank) => {
    const [own, at] = [places[rank], spots[rank]];
    const lead = own.x === at.x && own.y === at.y ? '' : empty('path', { class: 'lead', d: `M0 0L${own.x - at.x} ${own.y - at.y}` });
    const shape = symbol(point.entry === knee ? symbolDiamond : symbolCircle, point.entry === knee ? 300 : 230)();
    return element(
      'g',
      {
        class: best.has(point.entry) ? 'dot best' : 'dot',
        role: 'option',
        'data-entry': point.entry,
        'aria-selected': String(point.entry === selected),
        'aria-label': point.words,
        tabindex: point.entry === selected || (rank === 0 && !points.some((other) => other.entry === selected)) ? 0 : -1,
        transform: `translate(${at.x.toFixed(1)} ${at.y.toFixed(1)})`,
      },
      lead,
      empty('circle', { class: 'ring', r: 13 }),
      empty('path', { class: 'shape', d: shape ?? '' }),
      element('text', { 'text-anchor': 'middle', y: 3, 'aria-hidden': 'true' }, point.label),
    );
  });
  return element(
    'svg',
    { viewBox: `0 0 ${width} ${height}`, role: 'group', 'aria-label': `Layouts by ${across.name} and ${up.name}` },
    ...xTicks,
    ...yTicks,
    empty('path', { class: 'axis', d: `M${MARGIN.left} ${MARGIN.top}V${floor}H${width - MARGIN.right}`, fill: 'none' }),
    element('text', { class: 'name', x: (MARGIN.left + width - MARGIN.right) / 2, y: height - 10, 'text-anchor': 'middle' }, escaped(across.name)),
    element('text', { class: 'name', transform: `translate(16 ${(MARGIN.top + floor) / 2}) rotate(-90)`, 'text-anchor': 'middle' }, escaped(up.name)),
    empty('path', { class: 'front', d: steps ?? '' }),
    element('g', { role: 'listbox', 'aria-label': 'Layouts' }, ...dots),
  );
}
