/**
 * The plot of a list in two of its objectives, as SVG text; both are the better the less. Scales, ticks and the
 * step line of the front are d3's. Who listens to the dots is `overview.ts`.
 */
import { scaleLinear } from 'd3-scale';
import { curveStepAfter, line, symbol, symbolCircle, symbolDiamond } from 'd3-shape';
import { element, empty, escaped } from '../report/svg/markup.js';

export interface PlotPoint {
  /** Index into the list. */
  readonly entry: number;
  readonly x: number;
  readonly y: number;
  /** What the dot says to those who listen. */
  readonly words: string;
}

export interface PlotOptions {
  readonly xName: string;
  readonly yName: string;
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

/** Those that no other beats in both; of equals, all. In the order of x. */
export function frontOf(points: readonly PlotPoint[]): readonly PlotPoint[] {
  const beats = (a: PlotPoint, b: PlotPoint): boolean => a.x <= b.x && a.y <= b.y && (a.x < b.x || a.y < b.y);
  return points.filter((point) => !points.some((other) => beats(other, point))).sort((a, b) => a.x - b.x || a.entry - b.entry);
}

/** From left to right, then from below: the order in which keys go through the dots. */
export const inPlotOrder = (points: readonly PlotPoint[]): readonly PlotPoint[] =>
  [...points].sort((a, b) => a.x - b.x || a.y - b.y || a.entry - b.entry);

/** A little wider than the values, and never of no width. */
function domain(values: readonly number[]): readonly [number, number] {
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const room = most > least ? (most - least) * 0.06 : Math.max(Math.abs(least) * 0.1, 0.001);
  return [least >= 0 && least - room < 0 ? 0 : least - room, most + room];
}

export function plotSvg(points: readonly PlotPoint[], { xName, yName, knee, selected, width: room }: PlotOptions): string {
  const width = Math.max(LEAST_WIDTH, Math.round(room));
  const height = Math.max(270, Math.min(400, Math.round(width * 0.62)));
  const across = Math.max(3, Math.min(7, Math.floor(width / 90)));
  const x = scaleLinear(domain(points.map((point) => point.x)), [MARGIN.left, width - MARGIN.right]).nice(across);
  const y = scaleLinear(domain(points.map((point) => point.y)), [height - MARGIN.bottom, MARGIN.top]).nice(5);
  const floor = height - MARGIN.bottom;
  const [xFormat, yFormat] = [x.tickFormat(across), y.tickFormat(5)];
  const xTicks = x.ticks(across).map(
    (tick) =>
      empty('path', { class: 'grid', d: `M${x(tick)} ${MARGIN.top}V${floor}` }) +
      element('text', { x: x(tick), y: floor + 18, 'text-anchor': 'middle' }, xFormat(tick)),
  );
  const yTicks = y.ticks(5).map(
    (tick) =>
      empty('path', { class: 'grid', d: `M${MARGIN.left} ${y(tick)}H${width - MARGIN.right}` }) +
      element('text', { x: MARGIN.left - 8, y: y(tick) + 4, 'text-anchor': 'end' }, yFormat(tick)),
  );
  const front = frontOf(points);
  const best = new Set(front.map((point) => point.entry));
  const corners = front.map((point): [number, number] => [x(point.x), y(point.y)]);
  const [first, last] = [corners[0], corners[corners.length - 1]];
  const steps = line().curve(curveStepAfter)([[first[0], MARGIN.top], ...corners, [width - MARGIN.right, last[1]]]);
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
      element('text', { 'text-anchor': 'middle', y: 3, 'aria-hidden': 'true' }, String(point.entry + 1)),
    );
  });
  return element(
    'svg',
    { viewBox: `0 0 ${width} ${height}`, role: 'group', 'aria-label': `Layouts by ${xName} and ${yName}` },
    ...xTicks,
    ...yTicks,
    empty('path', { class: 'axis', d: `M${MARGIN.left} ${MARGIN.top}V${floor}H${width - MARGIN.right}`, fill: 'none' }),
    element('text', { class: 'name', x: (MARGIN.left + width - MARGIN.right) / 2, y: height - 10, 'text-anchor': 'middle' }, escaped(xName)),
    element('text', { class: 'name', transform: `translate(16 ${(MARGIN.top + floor) / 2}) rotate(-90)`, 'text-anchor': 'middle' }, escaped(yName)),
    empty('path', { class: 'front', d: steps ?? '' }),
    element('g', { role: 'listbox', 'aria-label': 'Layouts' }, ...dots),
  );
}
