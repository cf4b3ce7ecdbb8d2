/**
 * What lies under a picture's parts, as SVG: the site with its kept-out rectangles, the track and its wagons; and how much
 * room the whole picture takes.
 */
import { backOf, type Box, type Heading } from '../../base/geometry.js';
import { isOnTrack, rowsOf, topOf, TRACK_ROWS } from '../../base/ground.js';
import { entriesOf, type Layout } from '../../layout/layout.js';
import { HALF, TILE, WAGON_DEPTH, WAGON_TOP } from './lane-geometry.js';
import { element, empty, escaped } from './markup.js';

/** In pixels; the corner of tile [0, 0] is at 0, 0. */
export interface PictureFrame {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

const EXIT_ROOM = 54;
const SIDE_EXIT_ROOM = 72;
const EDGE_ROOM = 8;
/** Between a wagon on the track and the sides of the site. */
const TRACK_GAP = 6;
const NAME_ROOM = 20;

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

/** A dot at every corner where tiles meet on which parts may stand. */
function dotsOf(site: Layout['site']): string {
  const dots: string[] = [];
  for (let y = topOf(site) + 1; y < site.depth; y += 1) {
    for (let x = 1; x < site.width; x += 1) if (y !== -1 || !isOnTrack(site, { x, y })) dots.push(`M${x * TILE - 1} ${y * TILE - 1}h2v2h-2z`);
  }
  return empty('path', { class: 'st-dot', d: dots.join('') });
}

/** A rectangle on which no part may stand: hatched tile by tile. */
function closedBox({ x: left, y: top, width, height }: Box): string {
  const lines: string[] = [];
  for (let y = top; y < top + height; y += 1) {
    for (let x = left; x < left + width; x += 1) {
      for (const step of [16, 32, 48]) lines.push(`M${x * TILE} ${y * TILE + step}L${x * TILE + step} ${y * TILE}`);
      for (const step of [16, 32]) lines.push(`M${x * TILE + step} ${(y + 1) * TILE}L${(x + 1) * TILE} ${y * TILE + step}`);
    }
  }
  return empty('path', { class: 'st-closed', d: lines.join('') });
}

/** Names of columns, above all, and of rows, west of the site. */
function namesOf(site: Layout['site'], frame: PictureFrame): readonly string[] {
  const top = topOf(site);
  return [
    ...Array.from({ length: site.width }, (_, x) => element('text', { class: 'st-faint st-small', x: x * TILE + HALF, y: frame.y + 14, 'text-anchor': 'middle' }, String(x))),
    ...Array.from({ length: rowsOf(site) }, (_, row) => element('text', { class: 'st-faint st-small', x: -6, y: (top + row) * TILE + HALF + 3, 'text-anchor': 'end' }, String(top + row))),
  ];
}

/** What lies under all parts: the site, what is kept out of it, rails and wagons. `frame` is that of `frameOf`. */
export function drawGround({ site, wagons }: Layout, frame: PictureFrame, details: boolean): string {
  const isTwoSided = topOf(site) < 0;
  const wagonTop = isTwoSided ? -TRACK_ROWS * TILE + TRACK_GAP : WAGON_TOP;
  const wagonDepth = isTwoSided ? TRACK_ROWS * TILE - 2 * TRACK_GAP : WAGON_DEPTH;
  const railY = wagonTop + wagonDepth / 2;
  const rail = wagons.length === 0 ? '' : empty('path', { class: 'st-rail', d: `M${frame.x} ${railY}H${frame.x + frame.width}` });
  return [
    empty('rect', { class: 'st-site', x: 0, y: topOf(site) * TILE, width: site.width * TILE, height: rowsOf(site) * TILE }),
    dotsOf(site),
    ...site.keepOut.map(closedBox),
    ...(details ? namesOf(site, frame) : []),
    isTwoSided ? drawTrack(site, frame, wagons, details) : rail,
    ...wagons.flatMap(({ at, model }) => [
      empty('rect', { class: 'st-wagon', x: at * TILE + 2, y: wagonTop, width: model.length * TILE - 4, height: wagonDepth, rx: 3 }),
      empty('rect', { class: 'st-wagon', x: at * TILE + 6, y: wagonTop + 4, width: model.length * TILE - 12, height: wagonDepth - 8, rx: 2 }),
      element('text', { class: 'st-faint', x: (at + model.length / 2) * TILE, y: railY + 4, 'text-anchor': 'middle' }, escaped(model.name)),
    ]),
  ].join('');
}
