/**
 * A layout as SVG: site, wagons, lanes with their flow, arms, chests, exits. It speaks the language of the terminal
 * picture (`draw-layout.ts`): every belt lane by lane, arms as an arc from ◦ to an arrow, broken lines for gaps.
 * The stand-alone file is made in `plan-svg.ts`; colours are in `picture-style.ts`, places in `lane-geometry.ts`.
 */
import { backOf, leftOf, rightHalfOf, rightOf, stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import { isOnTrack, rowsOf, topOf, TRACK_ROWS } from '../../base/ground.js';
import type { Rational } from '../../base/rational.js';
import { entriesOf, type Layout, type PlacedArm, type PlacedChest, type PlacedEntry, type PlacedExit, type PlacedSplitter, type Side } from '../../layout/layout.js';
import { deriveNetwork, type ArmLink, type Carrier, type Network } from '../../layout/network.js';
import type { LaneFlow, LaneFlows } from '../../simulation/lane-flows.js';
import { entryNumber, exitLetter } from '../labels.js';
import { tierOf } from '../tiers.js';
import { modelSigns } from '../model-signs.js';
import { percent, perSecondText } from '../numbers.js';
import { EDGE_WORD, tileText } from '../places.js';
import {
  bulge,
  centreOf,
  HALF,
  lanePath,
  linePath,
  moved,
  pointOn,
  QUARTER,
  teePath,
  TILE,
  triangle,
  WAGON_DEPTH,
  WAGON_TOP,
  type Point,
} from './lane-geometry.js';
import { laneWords } from './lane-words.js';
import { element, empty, escaped } from './markup.js';

/** What a picture shows besides the parts. */
export interface PictureOptions {
  /** Left out: lanes are drawn as they are built. */
  readonly flows?: LaneFlows | undefined;
  /** Share of what the belt can carry, per exit of the layout. */
  readonly fills?: readonly Rational[] | undefined;
  /** Titles for parts and names for rows and columns; not worth their room in a small picture. */
  readonly details?: boolean | undefined;
}

export interface PictureFrame {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

const SIDES: readonly Side[] = ['left', 'right'];
const EXIT_ROOM = 54;
const SIDE_EXIT_ROOM = 72;
const EDGE_ROOM = 8;
/** Between a wagon on the track and the sides of the site. */
const TRACK_GAP = 6;
const NAME_ROOM = 20;

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

const titled = (details: boolean, title: string, ...children: readonly string[]): string => titledAt(undefined, details, title, ...children);

/** `at`: by which the rows of a table find what is drawn there. */
const titledAt = (at: Tile | undefined, details: boolean, title: string, ...children: readonly string[]): string =>
  element('g', { 'data-at': at && `${at.x},${at.y}` }, ...(details ? [element('title', {}, escaped(title))] : []), ...children);

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

function drawCarrier(layout: Layout, network: Network, carrier: Carrier, { flows, details }: PictureOptions): string {
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
  return titled(details === true, title, ...stripsOf(layout, network, carrier, flows).map(lineOf), ...under, ...heads, ...stop);
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

function drawSplitterBox(layout: Layout, part: PlacedSplitter): string {
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

/** Pixels from an arm's centre to where it picks or places, for an arm that reaches further than the next tile. */
export function reachPixels({ site }: Layout, arm: PlacedArm): { readonly pick: number; readonly place: number } {
  const from = centreOf(arm.at);
  const distance = (tiles: number): number => {
    const to = centreOf(stepFrom(arm.at, arm.heading, tiles), topOf(site) === 0);
    return Math.abs(to.x - from.x) + Math.abs(to.y - from.y);
  };
  const shown = (pixels: number): number => Math.max(20, pixels - QUARTER);
  return { pick: shown(distance(-arm.model.reach)), place: shown(distance(arm.model.reach)) };
}

function drawArm(layout: Layout, arm: PlacedArm, link: ArmLink | undefined, details: boolean): string {
  const { heading } = arm;
  const centre = centreOf(arm.at);
  const out = bulge(heading);
  const pick = moved(centre, heading, -16);
  const place = moved(centre, heading, 14);
  const idle = link === undefined || link.pick.kind === 'nothing' || link.place.kind === 'nothing';
  const [first, second] = [moved(pick, out, 21), moved(place, out, 21)];
  const arc = `M${pick.x} ${pick.y}C${first.x} ${first.y} ${second.x} ${second.y} ${place.x} ${place.y}`;
  const reach = reachPixels(layout, arm);
  const reaches = arm.model.reach > 1
    ? [linePath(moved(centre, heading, -21), moved(centre, heading, -reach.pick)), linePath(moved(centre, heading, 22), moved(centre, heading, reach.place))]
    : [];
  const letter = modelSigns(layout)(arm);
  const at = moved(centre, out, -12);
  return titledAt(
    details ? arm.at : undefined,
    details,
    `${arm.model.name} at ${tileText(arm.at)}, from ${EDGE_WORD[leftOf(leftOf(heading))]} to ${EDGE_WORD[heading]}${idle ? '\nnothing to pick from or to place on' : ''}`,
    ...reaches.map((d) => empty('path', { class: 'st-arm st-reach', d })),
    empty('path', { class: 'st-arm', d: arc, 'stroke-dasharray': idle ? '3 3' : undefined }),
    empty('circle', { class: 'st-grip', cx: pick.x, cy: pick.y, r: 4 }),
    empty('path', { class: 'st-tool', d: triangle(moved(centre, heading, 21), heading, 9, 11) }),
    ...(letter === undefined ? [] : [element('text', { class: 'st-faint', x: at.x, y: at.y + 4, 'text-anchor': 'middle' }, letter)]),
  );
}

function drawChest(chest: PlacedChest, details: boolean): string {
  const x = chest.at.x * TILE;
  const y = chest.at.y * TILE;
  return titled(
    details,
    `${chest.model.name} at ${tileText(chest.at)}, holds ${chest.model.capacity}`,
    empty('rect', { class: 'st-chest', x: x + 5, y: y + 7, width: TILE - 10, height: TILE - 14, rx: 4 }),
    empty('path', { class: 'st-chest', d: `M${x + 5} ${y + 18}h${TILE - 10}` }),
  );
}

/** Beyond the site's edge: where each belt leaves, and how full it is. */
function drawExit(exit: PlacedExit, index: number, fill: Rational | undefined, layout: Layout, details: boolean): string {
  const { heading } = exit;
  const edge = moved(centreOf(exit.at), heading, HALF);
  const heads = SIDES.map((side) => {
    const lane = moved(edge, side === 'left' ? leftOf(heading) : rightOf(heading), QUARTER);
    return empty('path', { class: 'st-leave', d: triangle(moved(lane, heading, 10), heading, 8, 10) });
  });
  const badge = moved(edge, heading, heading === 'E' || heading === 'W' ? 30 : 24);
  // Below the badge, or above it at the north: belts may leave side by side.
  const labelY = badge.y + (heading === 'N' ? -14 : 24);
  const take = exit.take === undefined ? 'open' : `takes ${perSecondText(exit.take, layout.catalog.ticksPerSecond)} at most`;
  return titled(
    details,
    `exit ${exitLetter(index)} over the ${EDGE_WORD[heading]} edge of ${tileText(exit.at)}, ${take}`,
    ...heads,
    empty('circle', { class: 'st-badge', cx: badge.x, cy: badge.y, r: 10 }),
    element('text', { class: 'st-text st-strong', x: badge.x, y: badge.y + 4, 'text-anchor': 'middle' }, exitLetter(index)),
    ...(fill === undefined ? [] : [element('text', { class: 'st-text', x: badge.x, y: labelY, 'text-anchor': 'middle' }, percent(fill))]),
  );
}

/** Beyond the site's edge: where items come in. */
function drawEntry({ at, heading, give }: PlacedEntry, index: number, layout: Layout, details: boolean): string {
  const outward = backOf(heading);
  const edge = moved(centreOf(at), outward, HALF);
  const heads = SIDES.map((side) => {
    const lane = moved(edge, side === 'left' ? leftOf(heading) : rightOf(heading), QUARTER);
    return empty('path', { class: 'st-leave', d: triangle(moved(lane, outward, 2), heading, 8, 10) });
  });
  const badge = moved(edge, outward, outward === 'E' || outward === 'W' ? 30 : 24);
  const gives = give === undefined ? 'as much as fits' : `gives ${perSecondText(give, layout.catalog.ticksPerSecond)} at most`;
  return titled(
    details,
    `entry ${entryNumber(index)} over the ${EDGE_WORD[outward]} edge of ${tileText(at)}, ${gives}`,
    ...heads,
    empty('circle', { class: 'st-badge', cx: badge.x, cy: badge.y, r: 10 }),
    element('text', { class: 'st-text st-strong', x: badge.x, y: badge.y + 4, 'text-anchor': 'middle' }, entryNumber(index)),
  );
}

/** What lies round the site, in pixels. */
export function frameOf(layout: Layout, details: boolean): PictureFrame {
  const { site, wagons, exits } = layout;
  const leaves = (heading: Heading): boolean =>
    exits.some((exit) => exit.heading === heading) || entriesOf(layout).some((entry) => backOf(entry.heading) === heading);
  const names = details ? NAME_ROOM : 0;
  const left = Math.min(0, ...wagons.map((wagon) => wagon.at * TILE)) - EDGE_ROOM - names - (leaves('W') ? SIDE_EXIT_ROOM - 20 : 0);
  const right = Math.max(site.width * TILE, ...wagons.map((wagon) => (wagon.at + wagon.model.length) * TILE)) + EDGE_ROOM + (leaves('E') ? SIDE_EXIT_ROOM - 20 : 0);
  const edge = topOf(site) * TILE;
  const top = Math.min(wagons.length > 0 ? WAGON_TOP : 0, edge, leaves('N') ? edge - EXIT_ROOM : 0) - EDGE_ROOM - names;
  const bottom = site.depth * TILE + EDGE_ROOM + (leaves('S') ? EXIT_ROOM - EDGE_ROOM : 0);
  return { x: left, y: top, width: right - left, height: bottom - top };
}

/** Between two sides: the ground that the track takes, and its rails, as far as they reach. */
function drawTrack({ track = {} }: Layout['site'], frame: PictureFrame, wagons: Layout['wagons'], details: boolean): string {
  // Numbers of rows stand west of the site.
  const west = Math.min(0, ...wagons.map(({ at }) => at * TILE)) - (details ? EDGE_ROOM / 2 : EDGE_ROOM);
  const from = Math.max(west, track.from === undefined ? -Infinity : track.from * TILE);
  const to = Math.min(frame.x + frame.width, track.to === undefined ? Infinity : (track.to + 1) * TILE);
  const rails = [-1.5, -0.5].map((row) => `M${from} ${row * TILE}H${to}`);
  return empty('path', { class: 'st-rail', d: rails.join('') });
}

function drawGround(layout: Layout, frame: PictureFrame, details: boolean): string {
  const { site, wagons } = layout;
  const width = site.width * TILE;
  const top = topOf(site);
  const height = rowsOf(site) * TILE;
  const dots: string[] = [];
  for (let y = top + 1; y < site.depth; y += 1) {
    for (let x = 1; x < site.width; x += 1) if (y !== -1 || !isOnTrack(site, { x, y })) dots.push(`M${x * TILE - 1} ${y * TILE - 1}h2v2h-2z`);
  }
  const closed = site.keepOut.flatMap((box) => {
    const lines: string[] = [];
    for (let y = box.y; y < box.y + box.height; y += 1) {
      for (let x = box.x; x < box.x + box.width; x += 1) {
        for (const step of [16, 32, 48]) lines.push(`M${x * TILE} ${y * TILE + step}L${x * TILE + step} ${y * TILE}`);
        for (const step of [16, 32]) lines.push(`M${x * TILE + step} ${(y + 1) * TILE}L${(x + 1) * TILE} ${y * TILE + step}`);
      }
    }
    return [empty('path', { class: 'st-closed', d: lines.join('') })];
  });
  const names = details
    ? [
        ...Array.from({ length: site.width }, (_, x) => element('text', { class: 'st-faint st-small', x: x * TILE + HALF, y: frame.y + 14, 'text-anchor': 'middle' }, String(x))),
        ...Array.from({ length: rowsOf(site) }, (_, row) => element('text', { class: 'st-faint st-small', x: -6, y: (top + row) * TILE + HALF + 3, 'text-anchor': 'end' }, String(top + row))),
      ]
    : [];
  const isTwoSided = top < 0;
  const wagonTop = isTwoSided ? -TRACK_ROWS * TILE + TRACK_GAP : WAGON_TOP;
  const wagonDepth = isTwoSided ? TRACK_ROWS * TILE - 2 * TRACK_GAP : WAGON_DEPTH;
  const railY = wagonTop + wagonDepth / 2;
  return [
    empty('rect', { class: 'st-site', x: 0, y: top * TILE, width, height }),
    empty('path', { class: 'st-dot', d: dots.join('') }),
    ...closed,
    ...names,
    ...(isTwoSided ? [drawTrack(site, frame, wagons, details)] : wagons.length === 0 ? [] : [empty('path', { class: 'st-rail', d: `M${frame.x} ${railY}H${frame.x + frame.width}` })]),
    ...wagons.map(({ at, model }) =>
      [
        empty('rect', { class: 'st-wagon', x: at * TILE + 2, y: wagonTop, width: model.length * TILE - 4, height: wagonDepth, rx: 3 }),
        empty('rect', { class: 'st-wagon', x: at * TILE + 6, y: wagonTop + 4, width: model.length * TILE - 12, height: wagonDepth - 8, rx: 2 }),
        element('text', { class: 'st-faint', x: (at + model.length / 2) * TILE, y: railY + 4, 'text-anchor': 'middle' }, escaped(model.name)),
      ].join(''),
    ),
  ].join('');
}

/** What stands inside the `svg` element. Items that move go on top of it. */
export function drawPicture(layout: Layout, options: PictureOptions): string {
  const network = deriveNetwork(layout);
  const details = options.details === true;
  const { flows, fills } = options;
  return [
    drawGround(layout, frameOf(layout, details), details),
    // Beds go under all lines, for those of side belts reach onto their neighbours.
    ...network.carriers.flatMap((carrier) => stripsOf(layout, network, carrier, flows).map(bedOf)),
    ...network.carriers.map((carrier) => drawCarrier(layout, network, carrier, options)),
    ...layout.parts.map((part) => (part.kind === 'splitter' ? drawSplitterBox(layout, part) : '')),
    ...layout.parts.map((part) => (part.kind === 'chest' ? drawChest(part, details) : '')),
    ...layout.parts.map((part, index) =>
      part.kind === 'arm' ? drawArm(layout, part, network.arms.find((link) => link.part === index), details) : '',
    ),
    ...layout.exits.map((exit, index) => drawExit(exit, index, fills?.[index], layout, details)),
    ...entriesOf(layout).map((entry, index) => drawEntry(entry, index, layout, details)),
  ].join('');
}

/** For those who can't see it. */
export const pictureLabel = (layout: Layout): string => {
  const count = (kind: string): number => layout.parts.filter((part) => part.kind === kind).length;
  const words = ([['arm', 'arms'], ['chest', 'chests'], ['belt', 'belts'], ['splitter', 'splitters'], ['underpass', 'underpasses']] as const)
    .flatMap(([one, many]) => (count(one) === 0 ? [] : [`${count(one)} ${count(one) === 1 ? one : many}`]));
  const { width, depth, north } = layout.site;
  const sides = north === undefined ? '' : ` south and ${width} by ${north} tiles north of the track`;
  return `${layout.name}: ${words.join(', ')} on ${width} by ${depth} tiles${sides}`;
};

/** A picture to stand in a page that holds `PICTURE_STYLE`. */
export function layoutSvg(layout: Layout, options: PictureOptions = {}): string {
  const frame = frameOf(layout, options.details === true);
  return element(
    'svg',
    {
      class: 'st-picture',
      viewBox: `${frame.x} ${frame.y} ${frame.width} ${frame.height}`,
      role: 'img',
      'aria-label': pictureLabel(layout),
      xmlns: 'http://www.w3.org/2000/svg',
      // A page may make it smaller, never larger than it is drawn.
      style: `max-width:${frame.width * 1.25}px`,
    },
    drawPicture(layout, options),
  );
}
