/**
 * A layout as SVG: site, wagons, lanes with their flow, arms, chests, exits. It speaks the language of the terminal
 * picture (`draw-layout.ts`): every belt lane by lane, arms as an arc from ◦ to an arrow, broken lines for gaps.
 * Lanes are drawn in `carrier-svg.ts`, what lies under them in `ground-svg.ts`, and the stand-alone file is made in
 * `plan-svg.ts`; colours are in `picture-style.ts`, places in `lane-geometry.ts`.
 */
import { backOf, leftOf, rightOf, stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import { topOf } from '../../base/ground.js';
import type { Rational } from '../../base/rational.js';
import { entriesOf, type Layout, type PlacedArm, type PlacedChest, type PlacedEntry, type PlacedExit } from '../../layout/layout.js';
import { deriveNetwork, type ArmLink } from '../../layout/network.js';
import type { LaneFlows } from '../../simulation/lane-flows.js';
import { entryNumber, exitLetter } from '../labels.js';
import { modelSigns } from '../model-signs.js';
import { percent, perSecondText } from '../numbers.js';
import { EDGE_WORD, tileText } from '../places.js';
import { bedsOf, drawCarrier, drawSplitterBox } from './carrier-svg.js';
import { drawGround, frameOf } from './ground-svg.js';
import { bulge, centreOf, HALF, linePath, moved, QUARTER, TILE, triangle } from './lane-geometry.js';
import { element, empty, titled, titledAt } from './markup.js';

/** What a picture shows besides the parts. */
interface PictureOptions {
  /** Left out: lanes are drawn as they are built. */
  readonly flows?: LaneFlows | undefined;
  /** Share of what the belt can carry, per exit of the layout. */
  readonly fills?: readonly Rational[] | undefined;
  /** Titles for parts and names for rows and columns; not worth their room in a small picture. */
  readonly details?: boolean | undefined;
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

/** `letter`: of its model, where there are several. */
function drawArm(layout: Layout, arm: PlacedArm, link: ArmLink | undefined, letter: string | undefined, details: boolean): string {
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

/** Beyond the site's edge, where a belt leaves or comes in: an arrowhead for each lane, and a badge with its sign. */
interface EdgeMark {
  readonly at: Tile;
  /** Over this edge of its tile. */
  readonly edge: Heading;
  /** Where items go. */
  readonly heading: Heading;
  /** Pixels from the edge to the tips. */
  readonly tips: number;
  readonly sign: string;
  readonly title: string;
  /** Beside the badge; left out: nothing. */
  readonly note?: string | undefined;
}

function drawEdge({ at, edge, heading, tips, sign, title, note }: EdgeMark, details: boolean): string {
  const border = moved(centreOf(at), edge, HALF);
  const heads = [leftOf(heading), rightOf(heading)].map((side) =>
    empty('path', { class: 'st-leave', d: triangle(moved(moved(border, side, QUARTER), edge, tips), heading, 8, 10) }),
  );
  const badge = moved(border, edge, edge === 'E' || edge === 'W' ? 30 : 24);
  // Below the badge, or above it at the north: belts may leave side by side.
  const noteY = badge.y + (edge === 'N' ? -14 : 24);
  return titled(
    details,
    title,
    ...heads,
    empty('circle', { class: 'st-badge', cx: badge.x, cy: badge.y, r: 10 }),
    element('text', { class: 'st-text st-strong', x: badge.x, y: badge.y + 4, 'text-anchor': 'middle' }, sign),
    ...(note === undefined ? [] : [element('text', { class: 'st-text', x: badge.x, y: noteY, 'text-anchor': 'middle' }, note)]),
  );
}

/** Where a belt leaves, and how full it is. */
function drawExit({ at, heading, take }: PlacedExit, index: number, fill: Rational | undefined, layout: Layout, details: boolean): string {
  const sign = exitLetter(index);
  const takes = take === undefined ? 'open' : `takes ${perSecondText(take, layout.catalog.ticksPerSecond)} at most`;
  const title = `exit ${sign} over the ${EDGE_WORD[heading]} edge of ${tileText(at)}, ${takes}`;
  return drawEdge({ at, edge: heading, heading, tips: 10, sign, title, note: fill && percent(fill) }, details);
}

/** Where items come in. */
function drawEntry({ at, heading, give }: PlacedEntry, index: number, layout: Layout, details: boolean): string {
  const edge = backOf(heading);
  const sign = entryNumber(index);
  const gives = give === undefined ? 'as much as fits' : `gives ${perSecondText(give, layout.catalog.ticksPerSecond)} at most`;
  return drawEdge({ at, edge, heading, tips: 2, sign, title: `entry ${sign} over the ${EDGE_WORD[edge]} edge of ${tileText(at)}, ${gives}` }, details);
}

/** What stands inside the `svg` element. Items that move go on top of it. */
export function drawPicture(layout: Layout, options: PictureOptions): string {
  const network = deriveNetwork(layout);
  const details = options.details === true;
  const { flows, fills } = options;
  const letterOf = modelSigns(layout);
  return [
    drawGround(layout, frameOf(layout, details), details),
    // Beds go under all lines, for those of side belts reach onto their neighbours.
    ...network.carriers.map((carrier) => bedsOf(layout, network, carrier)),
    ...network.carriers.map((carrier) => drawCarrier(layout, network, carrier, flows, details)),
    ...layout.parts.map((part) => (part.kind === 'splitter' ? drawSplitterBox(layout, part) : '')),
    ...layout.parts.map((part) => (part.kind === 'chest' ? drawChest(part, details) : '')),
    ...layout.parts.map((part, index) =>
      part.kind === 'arm' ? drawArm(layout, part, network.arms.find((link) => link.part === index), letterOf(part), details) : '',
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
