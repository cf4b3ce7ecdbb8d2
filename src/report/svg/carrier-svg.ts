/**
 * Belts, splitters and underpasses as SVG, lane by lane: how full a lane is shows in the width of its line, gaps in how it
 * is broken, speed in arrowheads. Colours are in `picture-style.ts`, places in `lane-geometry.ts`, words in `lane-words.ts`.
 */
import { leftOf, rightHalfOf, rightOf, type Heading, type Tile } from '../../base/geometry.js';
import type { Rational } from '../../base/rational.js';
import type { Layout, PlacedSplitter, Side } from '../../layout/layout.js';
import type { Carrier, Network } from '../../layout/network.js';
import type { LaneFlow, LaneFlows } from '../../simulation/lane-flows.js';
import { EDGE_WORD, tileText } from '../places.js';
import { tierOf } from '../tiers.js';
import { centreOf, HALF, lanePath, linePath, moved, pointOn, teePath, TILE, triangle, type Point } from './lane-geometry.js';
import { laneWords } from './lane-words.js';
import { empty, titled } from './markup.js';

const SIDES: readonly Side[] = ['left', 'right'];

/** Pixels of a lane's line: nothing is thinner than can be seen. */
const flowWidth = (fill: Rational): number => 1.5 + 5.5 * Math.min(1, fill.valueOf());

/** Four dashes to a tile; the line between two gaps is as long as the lane is full. */
const DASH_PERIOD = TILE / 4;

function dashes({ fill, state }: LaneFlow): string | undefined {
  if (state === 'standing') return '2 4';
  if (state !== 'gaps') return undefined;
  const line = Math.max(2, Math.min(DASH_PERIOD - 2.5, DASH_PERIOD * fill.valueOf()));
  return `${line.toFixed(1)} ${(DASH_PERIOD - line).toFixed(1)}`;
}

/** One of three colours, as in the terminal, and as many arrowheads as there are speeds up to this one. */
export function tierLook(layout: Layout, speed: number): { readonly look: number; readonly steps: number } {
  const { ink, number } = tierOf(layout, speed);
  return { look: Number(ink.slice(-1)), steps: Math.min(3, number) };
}

/** A piece of a carrier's way: what lies under all lanes, and the line of its flow. */
interface Strip {
  readonly path: string;
  readonly tier: number;
  /** Undefined where flows are not shown, or not known. */
  readonly lane: LaneFlow | undefined;
}

const bedOf = ({ path }: Strip): string => empty('path', { class: 'st-bed', d: path });

function lineOf({ path, tier, lane }: Strip): string {
  if (lane === undefined) return empty('path', { class: `st-lane st-tier${tier}`, d: path });
  if (lane.state === 'empty') return '';
  const width = lane.state === 'standing' ? 3 : flowWidth(lane.fill);
  return empty('path', { class: `st-flow st-tier${tier}`, d: path, 'stroke-width': width, 'stroke-dasharray': dashes(lane) });
}

/** Arrowheads at the end of a lane, one for each step of speed. */
function tips(end: Point, heading: Heading, tier: { readonly look: number; readonly steps: number }, idle: boolean): string {
  const heads = Array.from({ length: tier.steps }, (_, index) => triangle(moved(end, heading, -7 * index), heading, 9, 12));
  return empty('path', { class: `st-tip ${idle ? 'st-idle' : `st-tip${tier.look}`}`, d: heads.join('') });
}

/** A stretch of lane for a key, 48 pixels long. */
export function keySample(lane: LaneFlow | undefined, x: number, y: number, tier: ReturnType<typeof tierLook>): string {
  const strip = { path: `M${x} ${y}h48`, tier: tier.look, lane };
  return bedOf(strip) + lineOf(strip) + tips({ x: x + 48, y }, 'E', tier, lane?.state === 'empty');
}

const isIdle = (lane: LaneFlow | undefined): boolean => lane?.state === 'empty' || lane?.state === 'standing';

/** The strips of a carrier's two lanes, and those by which side belts come to them. */
function stripsOf(layout: Layout, { carriers }: Network, carrier: Carrier, flows: LaneFlows | undefined): readonly Strip[] {
  const tier = tierLook(layout, carrier.speed).look;
  const flow = flows?.carriers[carrier.index];
  const stretch = (side: Side): readonly Strip[] => {
    const before = flow?.tail[side];
    const beyond = flow?.head[side];
    const strip = (lane: LaneFlow | undefined, from: number, to: number): Strip => ({ path: lanePath(carrier, side, from, to), tier, lane });
    if (carrier.kind === 'splitter-half') return [strip(before, 0, 0.5), strip(beyond, 0.5, 1)];
    if (carrier.kind === 'belt') return [strip(before, 0, 1)];
    const share = 0.6 / (Math.abs(carrier.head.x - carrier.tail.x) + Math.abs(carrier.head.y - carrier.tail.y) + 1);
    return [strip(before, 0, share), strip(beyond, 1 - share, 1)];
  };
  const tees = ([['left', carrier.fromLeft], ['right', carrier.fromRight]] as const).flatMap(([from, feeder]) =>
    feeder === undefined || carrier.shape !== 'straight'
      ? []
      : SIDES.map((side): Strip => ({
          path: teePath(carrier, from, side),
          tier: tierLook(layout, carriers[feeder].speed).look,
          lane: flows?.carriers[feeder].head[side],
        })),
  );
  return [...SIDES.flatMap(stretch), ...tees];
}

/** What lies under the lines of a carrier and of those that come to it from its sides. */
export const bedsOf = (layout: Layout, network: Network, carrier: Carrier): string => stripsOf(layout, network, carrier, undefined).map(bedOf).join('');

/** Its lanes with what flows on them, up to its head. `flows` left out: as it is built. */
export function drawCarrier(layout: Layout, network: Network, carrier: Carrier, flows: LaneFlows | undefined, details: boolean): string {
  const tier = tierLook(layout, carrier.speed);
  const flow = flows?.carriers[carrier.index];
  const { heading, kind, head, shape } = carrier;
  const heads = SIDES.map((side) => {
    const end = moved(pointOn(carrier, side, 1), heading, -3);
    return tips(end, heading, shape === 'straight' ? tier : { ...tier, steps: 1 }, isIdle(flow?.head[side]));
  });
  const stop = carrier.next.kind === 'nothing' ? [endBar(carrier, tier.look)] : [];
  const under = kind === 'underpass' ? [underground(carrier, tier.look)] : [];
  const title = [
    `${layout.parts[carrier.part].model.name} at ${tileText(head)}, toward the ${EDGE_WORD[heading]}`,
    ...(flow === undefined ? [] : SIDES.map((side) => laneWords(flow.head[side], side, heading, layout.catalog.ticksPerSecond))),
  ].join('\n');
  return titled(details, title, ...stripsOf(layout, network, carrier, flows).map(lineOf), ...under, ...heads, ...stop);
}

/** Across the head of a belt that nothing takes items from. */
function endBar(carrier: Carrier, tier: number): string {
  const end = moved(centreOf(carrier.head), carrier.heading, HALF - 1.5);
  const path = linePath(moved(end, leftOf(carrier.heading), HALF - 4), moved(end, rightOf(carrier.heading), HALF - 4));
  return empty('path', { class: `st-stop st-tier${tier}`, d: path });
}

/** The two mouths of an underpass, and its way below other tiles. */
function underground(carrier: Carrier, tier: number): string {
  const { heading, tail, head } = carrier;
  const bars = (tile: Tile, toward: Heading): readonly string[] =>
    [4, 10, 16].map((depth, index) => {
      const middle = moved(centreOf(tile), toward, depth);
      const half = 20 - index * 3;
      const path = linePath(moved(middle, leftOf(heading), half), moved(middle, rightOf(heading), half));
      return empty('path', { class: `st-hatch st-tier${tier}`, d: path, opacity: 1 - index * 0.28 });
    });
  const back = leftOf(leftOf(heading));
  const way = linePath(moved(centreOf(tail), heading, HALF), moved(centreOf(head), back, HALF));
  return [empty('path', { class: `st-under st-tier${tier}`, d: way }), ...bars(tail, heading), ...bars(head, back)].join('');
}

/** What makes one of two halves: a frame, the dividing line, and the halves that are favoured. */
export function drawSplitterBox(layout: Layout, part: PlacedSplitter): string {
  const tier = tierLook(layout, part.model.speed).look;
  const other = rightHalfOf(part.at, part.heading);
  const x = Math.min(part.at.x, other.x) * TILE;
  const y = Math.min(part.at.y, other.y) * TILE;
  const along = part.at.x === other.x;
  const [width, height] = along ? [TILE, 2 * TILE] : [2 * TILE, TILE];
  const box = empty('rect', { class: `st-box st-tier${tier}`, x: x + 3, y: y + 3, width: width - 6, height: height - 6, rx: 6 });
  const middle = { x: x + width / 2, y: y + height / 2 };
  const reach = TILE - 6;
  const line = empty('path', {
    class: `st-line st-tier${tier}`,
    d: linePath(moved(middle, leftOf(part.heading), reach), moved(middle, rightOf(part.heading), reach)),
  });
  const favour = (side: Side | undefined, at: 'in' | 'out'): readonly string[] => {
    if (side === undefined) return [];
    const half = centreOf(side === 'left' ? part.at : other);
    const tip = moved(half, part.heading, at === 'in' ? -HALF + 12 : HALF - 4);
    return [empty('path', { class: `st-tip${tier}`, d: triangle(tip, part.heading, 8, 8) })];
  };
  return box + line + [...favour(part.favourIn, 'in'), ...favour(part.favourOut, 'out')].join('');
}

